// Three instances behind each of the balancers of deploy/, under load: restarted one after the other,
// then one is killed. The configuration is the one of deploy/, but for its ports.
import {spawn} from 'node:child_process';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import {ask, connect, finish, get, limit, need, ok, post, problem, root, same, sleep, start} from '../wire/lib.mjs';
import {free_port, start_load} from './load.mjs';

limit(240);
need('haproxy', 'nginx');
process.chdir(root);
const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'tiptail-balancers-'));
process.on('exit', () => fs.rmSync(folder, {recursive: true, force: true}));
const program = 'build/tiptail';
const delay = 2;

async function begin(port) {
  const one = start({port, drain_delay: delay, threads: 1, log_level: 'none'}, {program});
  await one.ready;
  return one;
}
const sum = counts => Object.values(counts).reduce((a, b) => a + b, 0);

for (const balancer of ['haproxy', 'nginx']) {
  const ports = [];
  for (let i = 0; i < 4; i++) ports.push(await free_port());
  const [front, ...backs] = ports;
  const name = {haproxy: 'haproxy.cfg', nginx: 'nginx.conf'}[balancer];
  let text = fs.readFileSync(`deploy/${name}`, 'utf8').replace('127.0.0.1:8080', `127.0.0.1:${front}`);
  backs.forEach((port, i) => text = text.replace(`127.0.0.1:${8081 + i}`, `127.0.0.1:${port}`));
  if (balancer === 'nginx') {
    const paths = ['client_body', 'proxy', 'fastcgi', 'uwsgi', 'scgi'].map(one => `${one}_temp_path ${folder}/${one};`).join(' ');
    text = `pid ${folder}/nginx.pid; daemon off; error_log stderr crit;\n${text.replace('http {', `http { ${paths}`)}`;
  }
  const file = path.join(folder, name);
  fs.writeFileSync(file, text);
  const instances = [];
  for (const port of backs) instances.push(await begin(port));
  const child = balancer === 'haproxy' ? spawn('haproxy', ['-db', '-f', file], {stdio: ['ignore', 'ignore', 'pipe']}) :
    spawn('nginx', ['-p', folder, '-e', 'stderr', '-c', file], {stdio: ['ignore', 'ignore', 'pipe']});
  let said = '';
  child.stderr.on('data', chunk => said += chunk);
  const balanced = {port: front};
  let answer = null;
  for (let i = 0; i < 60 && answer?.status !== 200; i++, await sleep(100)) answer = await ask(balanced, get('/readyz'), {ms: 1000});
  ok(answer?.status === 200, `${balancer} starts with deploy/${name} and finds the instances`, said);
  same((await ask(balanced, post('/v1/resultant', problem)))?.status, 200, `${balancer}: a computation goes through`);

  // Rolling: each goes when the one before has come back.
  let load = start_load(front, 16);
  await sleep(500);
  let clean = 0;
  for (let i = 0; i < 3; i++) {
    clean += await instances[i].stop() === 0;
    instances[i] = await begin(backs[i]);
    await sleep(700);
  }
  let {asked, failed} = await load.stop();
  same(clean, 3, `${balancer}: three instances restarted, each ended with status 0`);
  ok(asked > 1000 && sum(failed) === 0, `${balancer}: 0 of ${asked} requests failed over a rolling restart`, JSON.stringify(failed));

  // One is killed: what was in flight there goes to another.
  load = start_load(front, 16);
  await sleep(500);
  instances[0].child.kill('SIGKILL');
  await sleep(2000);
  ({asked, failed} = await load.stop());
  ok(asked > 300 && sum(failed) <= 16, `${balancer}: one instance killed, ${sum(failed)} of ${asked} requests failed: no more than were in flight there`, JSON.stringify(failed));
  if (balancer === 'nginx') same(sum(failed), 0, `${balancer}: its retries cover those as well`);
  console.log(`# ${balancer}, kill -9: ${sum(failed)} of ${asked} failed ${JSON.stringify(failed)}`);

  // Requests that the service alone cannot tell from sound ones (tests/wire/raw/hidden-*).
  const raw = async bytes => {
    const link = connect(front);
    link.send(Buffer.from(bytes, 'latin1'));
    const got = await link.answer({ms: 3000});
    link.close();
    return got?.status ?? 'closed';
  };
  const host = 'GET /v1 HTTP/1.1\r\nHost: t\r\n';
  for (const [what, bytes, haproxy, nginx] of [['a NUL in a value', `${host}X-A: b\0c\r\n\r\n`, 200, 400], ['a line with an empty name', `${host}: x\r\n\r\n`, 400, 400],
    ['a folded field', `${host}X-A: b\r\n c\r\n\r\n`, 200, 400], ['bare line feeds', 'GET /v1 HTTP/1.1\nHost: t\n\n', 200, 200],
    ['length and chunked at once', 'POST /v1/resultant HTTP/1.1\r\nHost: t\r\nContent-Type: application/json\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n', 400, 400]])
    same(await raw(bytes), {haproxy, nginx}[balancer], `${balancer}: ${what}`);
  child.kill('SIGTERM');
  await new Promise(resolve => child.exitCode !== null ? resolve() : child.on('exit', resolve));
  for (const one of instances.slice(1)) await one.stop();
}
finish();
