// What a core serves of mixed traffic: every example of tests/examples in turn, CPU time per request
// with one and with two threads, each kind alone, and the latency at a fixed 1,000 requests/s.
import {execFileSync} from 'node:child_process';
import fs from 'node:fs';
import {cpus} from 'node:os';
import {connect, post, root, sleep, start} from '../wire/lib.mjs';

process.chdir(root);
const SECONDS = Number(process.env.BENCH_SECONDS || 2), ROUNDS = Number(process.env.BENCH_ROUNDS || 3);
const TICK_US = 1e6 / Number(execFileSync('getconf', ['CLK_TCK'], {encoding: 'utf8'}));
const median = list => [...list].sort((a, b) => a - b)[list.length >> 1];
const examples = fs.readdirSync('tests/examples').filter(one => one.endsWith('.request.json')).map(name => {
  const answer = JSON.parse(fs.readFileSync(`tests/examples/${name.replace('.request', '.answer')}`, 'utf8'));
  return {file: `tests/examples/${name}`, kind: answer.kind};
}).filter(one => one.kind);

const cpu = pid => {
  const fields = fs.readFileSync(`/proc/${pid}/stat`, 'utf8').replace(/^.*\) /, '').split(' ');
  return (Number(fields[11]) + Number(fields[12])) * TICK_US;
};
function measure(server, list) {
  const us = [], rate = [];
  for (let i = 0; i < ROUNDS; i++) {
    const before = cpu(server.pid);
    const text = execFileSync('wrk', ['-t1', '-c16', `-d${SECONDS}s`, '-s', 'tests/bench/mixed.lua', server.url, '--', ...list.flatMap(one => [one.file, `/v1/${one.kind}`])], {encoding: 'utf8'});
    if (/Non-2xx|Socket errors/.test(text)) throw new Error(text);
    const n = Number(/(\d+) requests in/.exec(text)[1]);
    us.push((cpu(server.pid) - before) / n);
    rate.push(n / SECONDS);
  }
  return {us: median(us), rate: median(rate)};
}
const line = (name, m) => console.log(`${name.padEnd(34)} ${m.us.toFixed(1).padStart(8)} us   ${(1e6 / m.us).toFixed(0).padStart(7)} a core and second   (${m.rate.toFixed(0)} seen)`);

console.log(`CPU time per request, keep-alive, 16 connections, medians of ${ROUNDS} rounds of ${SECONDS} s, ${cpus().length} cores shared with the load`);
for (const threads of [1, 2]) {
  const server = start({threads, log_level: 'none'}, {program: 'build/tiptail'});
  await server.ready;
  line(`mixed, ${threads} thread${threads > 1 ? 's' : ''}`, measure(server, examples));
  if (threads === 1) for (const kind of new Set(examples.map(one => one.kind))) line(`  ${kind} alone`, measure(server, examples.filter(one => one.kind === kind)));
  await server.stop();
}

// A request every millisecond, whether or not the last has been answered.
const server = start({threads: 2, log_level: 'none'}, {program: 'build/tiptail'});
await server.ready;
const bodies = examples.map(one => post(`/v1/${one.kind}`, fs.readFileSync(one.file, 'utf8')));
const free = Array.from({length: 64}, () => connect(server.port));
await Promise.all(free.map(link => new Promise(resolve => link.socket.once('connect', resolve))));
const took = [], waiting = [];
let late = 0;
const begun = performance.now();
for (let i = 0; i < 1000 * 5; i++) {
  while (performance.now() - begun < i) await sleep(0);
  const link = free.pop();
  if (!link) { late++; continue; }
  const due = begun + i;
  link.send(bodies[i % bodies.length]);
  waiting.push(link.answer({ms: 10000}).then(answer => {
    if (answer?.status !== 200) throw new Error(`status ${answer?.status}`);
    took.push(performance.now() - due);
    free.push(link);
  }));
}
await Promise.all(waiting);
took.sort((a, b) => a - b);
console.log(`1,000 requests/s, mixed: p50 ${took[took.length >> 1].toFixed(2)} ms, p99 ${took[Math.floor(took.length * 0.99)].toFixed(2)} ms, largest ${took.at(-1).toFixed(1)} ms of ${took.length}` + (late ? `; ${late} found no free connection` : ''));
await server.stop();
process.exit(0);
