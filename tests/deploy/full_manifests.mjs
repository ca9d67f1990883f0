// deploy/kubernetes.yaml without a cluster: values and required members against the schemas of the
// API (npm kubernetes-models), misspelt members by its types, and what the parts owe each other.
import {spawnSync} from 'node:child_process';
import fs from 'node:fs';
import {createRequire} from 'node:module';
import path from 'node:path';
import {finish, ok, root, same} from '../wire/lib.mjs';

process.chdir(root);
const folder = path.resolve('build/npm-deploy'), work = path.join(folder, 'check');
if (!fs.existsSync(path.join(folder, 'package.json'))) {
  ok(true, 'all of it # SKIP there is no build/npm-deploy: make setup-long');
  finish();
}
const require = createRequire(path.join(folder, 'package.json'));
const YAML = require('yaml');
fs.rmSync(work, {recursive: true, force: true});
fs.mkdirSync(work, {recursive: true});
const read = text => YAML.parseAllDocuments(text).map(document => {
  if (document.errors.length) throw document.errors[0];
  return document.toJS();
});
const documents = read(fs.readFileSync('deploy/kubernetes.yaml', 'utf8'));
same(documents.map(d => d.kind), ['Deployment', 'Service', 'PodDisruptionBudget', 'HorizontalPodAutoscaler', 'NetworkPolicy'], 'the five kinds');

const from = d => `kubernetes-models/${d.apiVersion}`;
// Values: each class validates its document.
async function faults(d) {
  const file = path.join(work, 'validate.mjs');
  fs.writeFileSync(file, `import {${d.kind}} from '${from(d)}';
new ${d.kind}(${JSON.stringify(d)}).validate();`);
  const got = spawnSync(process.execPath, [file], {encoding: 'utf8'});
  return got.status === 0 ? '' : got.stderr;
}
// Members: each document as a literal of its type, where TypeScript takes no member it does not know.
function misspelt(list) {
  const file = path.join(work, 'check.ts');
  fs.writeFileSync(file, list.map((d, i) => `import {I${d.kind} as T${i}} from '${from(d)}';\nexport const d${i}: T${i} = ${JSON.stringify(d, null, 1)};\n`).join(''));
  const got = spawnSync(process.execPath, [require.resolve('typescript/bin/tsc'), '--noEmit', '--strict', '--skipLibCheck', '--moduleResolution', 'node', '--module', 'commonjs', '--target', 'es2020', file], {encoding: 'utf8', cwd: folder});
  return got.status === 0 ? '' : got.stdout || got.stderr;
}
for (const d of documents) same(await faults(d), '', `${d.kind}: values`);
same(misspelt(documents), '', 'no member is misspelt');
// Both checks see what is planted.
const planted = structuredClone(documents);
planted[0].spec.template.spec.containers[0].ports[0].containerPort = 'eighty';
ok(/containerPort/.test(await faults(planted[0])), 'a wrong value is seen');
planted[0] = structuredClone(documents[0]);
planted[0].spec.template.spec.enableServiceLink = false;
ok(/enableServiceLink/.test(misspelt(planted)), 'a misspelt member is seen');

// What the parts owe each other and the program.
const [deployment, service, budget, scaler, policy] = documents;
const pod = deployment.spec.template, container = pod.spec.containers[0];
const labels = JSON.stringify(pod.metadata.labels);
same([deployment.spec.selector.matchLabels, service.spec.selector, budget.spec.selector.matchLabels, policy.spec.podSelector.matchLabels].map(one => JSON.stringify(one)),
  Array(4).fill(labels), 'every selector finds the pods');
same(scaler.spec.scaleTargetRef.name, deployment.metadata.name, 'the autoscaler scales the deployment');
ok(scaler.spec.minReplicas > budget.spec.minAvailable && !('replicas' in deployment.spec), 'one may always be missing, and nothing else sets their number');
const env = Object.fromEntries(container.env.map(one => [one.name, one.value]));
const checked = spawnSync('build/tiptail', ['--help'], {encoding: 'utf8', env: {}}).stdout;
for (const name of Object.keys(env)) ok(checked.includes(`${name}\n`), `${name} is a setting`);
ok(spawnSync('build/tiptail', ['--health', '--port', '1'], {env, encoding: 'utf8'}).status === 1, 'the settings are taken');
const drain = Number(env.TIPTAIL_DRAIN_DELAY) + Number(env.TIPTAIL_DRAIN_TIMEOUT);
ok(pod.spec.terminationGracePeriodSeconds > drain, 'the grace period is longer than the drain');
ok(pod.spec.enableServiceLinks === false, 'no variables of services');
ok(spawnSync('build/tiptail', ['--health'], {env: {TIPTAIL_PORT: 'tcp://10.0.0.1:80'}, encoding: 'utf8'}).status === 2, '... which would be refused');
const probes = ['startupProbe', 'livenessProbe', 'readinessProbe'].map(name => container[name].httpGet);
same(probes.map(one => [one.path, one.port]), [['/healthz', 'http'], ['/healthz', 'http'], ['/readyz', 'http']], 'the probes ask what there is');
ok(container.readinessProbe.periodSeconds * container.readinessProbe.failureThreshold < Number(env.TIPTAIL_DRAIN_DELAY), 'a drain is noticed before the listener closes');
finish();
