// The systemd units: what systemd-analyze says of them, and a real systemd that runs them, in
// namespaces and a root of its own (unit_root.sh). Needs root for that.
import {execFile, spawn, spawnSync} from 'node:child_process';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import {ask, finish, get, limit, need, ok, post, problem, root, same, sleep} from '../wire/lib.mjs';
import {free_port, start_load} from './load.mjs';

limit(120);
need('systemd-analyze', 'unshare', 'nsenter', 'setpriv');
process.chdir(root);
const run = (command, ...args) => {
  const got = spawnSync(command, args, {encoding: 'utf8'});
  return {status: got.status, text: `${got.stdout}${got.stderr}`};
};

// Offline. The score is the one that docs/operations.md states.
const security = run('systemd-analyze', 'security', '--offline=true', '--threshold=5', 'deploy/tiptail.service');
const score = /Overall exposure level for tiptail.service: ([\d.]+)/.exec(security.text)?.[1];
ok(security.status === 0 && score, `the exposure is at most 0.5: ${score}`, security.text.slice(-800));
const stated = /exposure level of ([\d.]+)/.exec(fs.readFileSync('docs/operations.md', 'utf8'))?.[1];
same(stated, score, '... and docs/operations.md says the same');
const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'tiptail-units-'));
const files = path.join(folder, 'files'), system = path.join(files, 'system');
fs.mkdirSync(system, {recursive: true});
for (const unit of ['tiptail.service', 'tiptail.socket']) fs.copyFileSync(`deploy/${unit}`, path.join(system, unit));
fs.copyFileSync('build/tiptail', path.join(files, 'tiptail'));
fs.chmodSync(path.join(files, 'tiptail'), 0o755);

if (process.getuid() !== 0) {
  ok(true, 'a systemd that runs them # SKIP needs root');
  fs.rmSync(folder, {recursive: true});
  finish();
}
const port = await free_port();
const more = (unit, text) => {
  fs.mkdirSync(path.join(system, `${unit}.d`));
  fs.writeFileSync(path.join(system, `${unit}.d`, 'test.conf'), text);
};
// As they are, but for the program's place, the port, and what a whole system would start before them.
more('tiptail.service', '[Unit]\nDefaultDependencies=no\n[Service]\nExecStart=\nExecStart=/units/tiptail\nStandardError=null\nEnvironment=TIPTAIL_SANDBOX=require\n');
more('tiptail.socket', `[Unit]\nDefaultDependencies=no\n[Socket]\nListenStream=\nListenStream=127.0.0.1:${port}\n`);
fs.writeFileSync(path.join(system, 'tiptail-test.target'), '[Unit]\nDefaultDependencies=no\nWants=tiptail.socket tiptail.service\n');
const inner = path.join(folder, 'root');
fs.mkdirSync(inner);
const outer = fs.readlinkSync('/proc/self/ns/mnt');
const boot = spawn('unshare', ['--fork', '--kill-child', '--pid', '--mount', '--mount-proc', '--cgroup', '--uts', '--ipc', 'sh', 'tests/deploy/unit_root.sh', inner, files, outer],
  {stdio: ['ignore', 'pipe', 'pipe']});
let said = '';
for (const stream of [boot.stdout, boot.stderr]) stream.on('data', chunk => said += chunk);
let is_up = true;
boot.on('exit', () => is_up = false);
const clean = () => {
  boot.kill('SIGKILL');
  spawnSync('sh', ['-c', `for d in /sys/fs/cgroup /sys/fs/cgroup/unified; do for s in system.slice/tiptail.service system.slice/tiptail.socket system.slice/system-modprobe.slice system.slice init.scope; do rmdir $d/$s 2>/dev/null; done; done`]);
  fs.rmSync(folder, {recursive: true, force: true});
};
const children = pid => fs.readFileSync(`/proc/${pid}/task/${pid}/children`, 'utf8').trim().split(' ').filter(Boolean);
const started = Date.now();
let answer = null;
while (is_up && !(answer = await ask({port}, get('/metrics'), {ms: 1000})) && Date.now() - started < 15000) await sleep(100);
ok(answer?.status === 200, `the service answers by its socket ${((Date.now() - started) / 1000).toFixed(1)} s after systemd was started`, said);
if (answer) {
  for (const layer of ['no-new-privileges', 'landlock', 'seccomp']) ok(answer.body.includes(`tiptail_sandbox{layer="${layer}"} 1`), `its own sandbox holds as well: ${layer}`);
  same((await ask({port}, post('/v1/resultant', problem))).status, 200, 'it computes');
  const systemd = children(boot.pid)[0];
  // Never waited for in silence: the clients below go on meanwhile.
  const enter = (...args) => new Promise(resolve => execFile('nsenter', ['-t', systemd, '-p', '-m', '--', ...args], (error, out) => resolve({status: error ? 1 : 0, text: out})));
  const main = async () => Number(/MainPID=(\d+)/.exec((await enter('systemctl', 'show', '-p', 'MainPID', 'tiptail.service')).text)?.[1]);
  const outside = () => children(systemd).map(pid => [pid, fs.readFileSync(`/proc/${pid}/status`, 'utf8')]).find(([, text]) => /^Name:\ttiptail$/m.test(text));
  const [pid, status] = outside();
  ok(!/^Uid:\t0/m.test(status) && /^CapBnd:\t0+$/m.test(status) && /^CapEff:\t0+$/m.test(status) && /^NoNewPrivs:\t1$/m.test(status), 'it runs as a user of its own, without any capability', status);
  ok(Number(/Seccomp_filters:\t(\d+)/.exec(status)[1]) >= 2, "systemd's filter and its own");
  ok(fs.readlinkSync(`/proc/${pid}/ns/net`) !== fs.readlinkSync('/proc/self/ns/net'), 'its network is one without any other machine');
  const first = await main();
  const load = start_load(port, 8);
  await sleep(300);
  let good = 0;
  for (let i = 0; i < 10; i++) good += (await enter('systemctl', 'restart', 'tiptail.service')).status === 0;
  await sleep(300);
  const {asked, failed} = await load.stop();
  const last = await main();
  same(good, 10, '10 restarts');
  ok(last > 1 && last !== first, 'each is another process', `${first} ${last}`);
  ok(asked > 1000 && Object.keys(failed).length === 0, `0 of ${asked} requests failed meanwhile`, JSON.stringify(failed));
  // Killed: started again, and the socket keeps who calls.
  await enter('kill', '-9', String(last));
  same((await ask({port}, get('/healthz'), {ms: 5000}))?.status, 200, 'killed, it is started again, and who calls meanwhile is answered');
  await enter('systemctl', 'stop', 'tiptail.socket', 'tiptail.service');
  ok(/Result=success/.test((await enter('systemctl', 'show', '-p', 'Result', 'tiptail.service')).text), 'it ends in order');
}
clean();
finish();
