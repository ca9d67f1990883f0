// Mixed traffic: a force resolved, a resultant, a beam, a truss of 20 joints, an answer marked, in
// turn. CPU time per request with one and with two threads, and latency at a fixed 1,000 requests/s,
// beside nginx (`return` of the same answers) and, for resultants, the Node framework: alternated
// rounds of one run, for only their ratios mean anything. BENCH_ROUNDS (5), BENCH_SECONDS (2).
import {execFileSync, spawn} from 'node:child_process';
import fs from 'node:fs';
import {cpus} from 'node:os';
import {ask, connect, post, root, sleep, start} from '../wire/lib.mjs';
import {free_port} from '../deploy/load.mjs';

process.chdir(root);
const SECONDS = Number(process.env.BENCH_SECONDS || 2), ROUNDS = Number(process.env.BENCH_ROUNDS || 5);
const RATE = 1000, FOLDER = 'build/bench';
const TICK_US = 1e6 / Number(execFileSync('getconf', ['CLK_TCK'], {encoding: 'utf8'}));
const sorted = list => [...list].sort((a, b) => a - b);
const median = list => sorted(list)[list.length >> 1];
fs.mkdirSync(FOLDER, {recursive: true});

// ---- the traffic ----

// The footbridge, ten panels long: 20 joints, 37 members.
function footbridge() {
  const joints = {}, members = [], name = i => String.fromCharCode(65 + i);
  for (let i = 0; i < 20; i++) {
    joints[name(i)] = [+(1.6 * i).toFixed(1), i % 2 ? 2.4 : 0];
    for (let k = 1; k <= 2 && i >= k; k++) members.push([name(i - k), name(i)]);
  }
  const loads = [4, 8, 12].map((i, k) => ({name: 'PQR'[k], magnitude: 12.5 + 3.4 * k, direction: {axis: '-y'}, at: name(i)}));
  return {units: {force: 'kN', length: 'm'}, joints, members, supports: [{at: 'A', kind: 'pin'}, {at: name(18), kind: 'roller'}], loads};
}
fs.writeFileSync(`${FOLDER}/truss20.json`, JSON.stringify(footbridge()));
const mixed = [['tests/examples/crane-jib.request.json', 'resolve'], ['tests/bench/request.json', 'resultant'], ['tests/bench/beam.json', 'equilibrium'],
  [`${FOLDER}/truss20.json`, 'truss'], ['tests/examples/hook-checked.request.json', 'check']].map(([file, kind]) => ({file, kind, target: `/v1/${kind}`, body: fs.readFileSync(file, 'utf8')}));
const resultant = mixed.filter(one => one.kind === 'resultant');

// ---- the servers ----

const running = [];
process.on('exit', () => running.forEach(child => child.kill('SIGTERM')));
async function tiptail(threads) {
  const server = start({threads, log_level: 'none'}, {program: 'build/tiptail'});
  await server.ready;
  running.push(server.child);
  return {name: `tiptail, ${threads} thread${threads > 1 ? 's' : ''}`, port: server.port, url: server.url, pid: server.pid};
}
async function nginx(workers, answers) {
  const port = await free_port(), folder = `${FOLDER}/nginx-${workers}`;
  fs.mkdirSync(folder, {recursive: true});
  const quoted = text => text.replace(/\\/g, '\\\\').replace(/'/g, "\\'").replace(/\$/g, '');
  // A word of its configuration may have 4 kB.
  const answer = text => {
    const parts = text.match(/[^]{1,2500}/g);
    return `${parts.map((part, k) => `set $part${k} '${quoted(part)}';`).join(' ')} return 200 "${parts.map((_, k) => `\${part${k}}`).join('')}";`;
  };
  const paths = ['client_body', 'proxy', 'fastcgi', 'uwsgi', 'scgi'].map(one => `${one}_temp_path ${one};`).join(' ');
  fs.writeFileSync(`${folder}/nginx.conf`, `daemon off; worker_processes ${workers}; pid nginx.pid; error_log stderr crit;
events { worker_connections 512; }
http { access_log off; keepalive_requests 1000000000; default_type application/json; ${paths}
server { listen 127.0.0.1:${port} reuseport;
${mixed.map((one, i) => `location = ${one.target} { ${answer(answers[i])} }`).join('\n')} } }
`);
  const child = spawn('nginx', ['-p', `${process.cwd()}/${folder}`, '-e', 'stderr', '-c', 'nginx.conf'], {stdio: ['ignore', 'ignore', 'inherit']});
  running.push(child);
  return {name: `nginx, ${workers} worker${workers > 1 ? 's' : ''}`, port, url: `http://127.0.0.1:${port}`, pid: child.pid};
}
async function framework() {
  const child = spawn('node', ['tests/bench/framework.mjs'], {stdio: ['ignore', 'pipe', 'inherit']});
  running.push(child);
  const url = await new Promise(resolve => child.stdout.on('data', bytes => resolve(/listening on (\S+)/.exec(bytes)?.[1])));
  return {name: 'Node framework', port: Number(url.split(':').at(-1)), url, pid: child.pid};
}
// Of the process, its threads and its children, in microseconds.
function cpu(pid) {
  const own = fs.readFileSync(`/proc/${pid}/stat`, 'utf8').replace(/^.*\) /, '').split(' ');
  const children = fs.readFileSync(`/proc/${pid}/task/${pid}/children`, 'utf8').trim().split(' ').filter(Boolean);
  return (Number(own[11]) + Number(own[12])) * TICK_US + children.reduce((sum, child) => sum + cpu(child), 0);
}

// ---- the measurements ----

// As much as they serve, 16 connections.
function load(server, list) {
  const before = cpu(server.pid);
  const text = execFileSync('wrk', ['-t1', '-c16', `-d${SECONDS}s`, '-s', 'tests/bench/mixed.lua', server.url, '--', ...list.flatMap(one => [one.file, one.target])], {encoding: 'utf8'});
  if (/Non-2xx|Socket errors/.test(text)) throw new Error(`${server.name}: ${text}`);
  const n = Number(/(\d+) requests in/.exec(text)[1]);
  return {us: (cpu(server.pid) - before) / n, rate: n / SECONDS};
}
// A request every millisecond, whether or not the last has been answered; from when it was due.
async function paced(server, list) {
  const data = list.map(one => post(one.target, one.body));
  const free = Array.from({length: 64}, () => connect(server.port));
  await Promise.all(free.map(link => new Promise(resolve => link.socket.once('connect', resolve))));
  const all = [...free], took = [], waiting = [];
  const begun = performance.now();
  for (let i = 0; i < RATE * SECONDS; i++) {
    const due = begun + i * 1000 / RATE;
    while (performance.now() < due || !free.length) await sleep(0);
    const link = free.pop();
    link.send(data[i % data.length]);
    waiting.push(link.answer({ms: 30000}).then(answer => {
      if (answer?.status !== 200) throw new Error(`${server.name}: status ${answer?.status}`);
      took.push(performance.now() - due);
      free.push(link);
    }));
  }
  await Promise.all(waiting);
  all.forEach(link => link.close());
  const t = sorted(took);
  return {p50: t[t.length >> 1], p99: t[Math.floor(t.length * 0.99)]};
}

const one = await tiptail(1), two = await tiptail(2);
const answers = [];
for (const each of mixed) {
  const answer = await ask(one, post(each.target, each.body));
  if (answer?.status !== 200) throw new Error(`${each.kind}: ${answer?.status} ${answer?.body}`);
  answers.push(answer.body);
}
const servers = [one, two, await nginx(1, answers), await nginx(2, answers), await framework()];
for (const server of servers) while ((await ask(server, post(resultant[0].target, resultant[0].body)))?.status !== 200) await sleep(50);
const runs = [...servers.slice(0, 4).map(server => ({server, list: mixed, what: 'mixed'})), ...mixed.map(each => ({server: one, list: [each], what: each.kind})),
  {server: servers[4], list: resultant, what: 'resultant'}].map(run => ({...run, us: [], rate: [], p50: [], p99: []}));
const is_paced = run => run.what === 'mixed' || run.what === 'resultant';
for (let round = 0; round < ROUNDS; round++)
  for (const run of runs) {
    const m = load(run.server, run.list);
    run.us.push(m.us);
    run.rate.push(m.rate);
    if (!is_paced(run)) continue;
    const t = await paced(run.server, run.list);
    run.p50.push(t.p50);
    run.p99.push(t.p99);
  }
console.log(`medians of ${ROUNDS} alternated rounds of ${SECONDS} s, keep-alive, ${cpus().length} cores shared with the load`);
console.log(`${''.padEnd(32)}CPU a request   requests/s    at ${RATE}/s: p50      p99`);
for (const run of runs)
  console.log(`${`${run.server.name}: ${run.what}`.padEnd(32)}${median(run.us).toFixed(1).padStart(10)} us${median(run.rate).toFixed(0).padStart(13)}` +
    (is_paced(run) ? `${median(run.p50).toFixed(2).padStart(16)} ms${median(run.p99).toFixed(2).padStart(6)} ms` : ''));
const us = (name, what) => median(runs.find(run => run.server.name === name && run.what === what).us);
const ratio = (a, b) => (a / b).toFixed(2);
console.log(`mixed, of the CPU of nginx: ${ratio(us('tiptail, 1 thread', 'mixed'), us('nginx, 1 worker', 'mixed'))} with one thread, ${ratio(us('tiptail, 2 threads', 'mixed'), us('nginx, 2 workers', 'mixed'))} with two`);
console.log(`two threads, of the CPU a request of one: tiptail ${ratio(us('tiptail, 2 threads', 'mixed'), us('tiptail, 1 thread', 'mixed'))}, nginx ${ratio(us('nginx, 2 workers', 'mixed'), us('nginx, 1 worker', 'mixed'))}`);
console.log(`a resultant, of the CPU of the Node framework: ${ratio(us('tiptail, 1 thread', 'resultant'), us('Node framework', 'resultant'))}`);
process.exit(0);
