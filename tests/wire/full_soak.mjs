// Good, bad and hostile clients at once, under the address sanitizer, for SOAK_SECONDS (45; `make soak`
// is 600): no report, no leak, no growth, no 500, and a good client is always served. The seed is
// printed; SEED repeats a run.
import fs from 'node:fs';
import path from 'node:path';
import {ask, connect, finish, get, limit, ok, post, root, same, sleep, start} from './lib.mjs';

const seconds = Number(process.env.SOAK_SECONDS || 45);
limit(seconds + 150);
let state = Number(process.env.SEED ?? Date.now() % 1e6) >>> 0;
console.log(`# SEED=${state}, ${seconds} s`);
// mulberry32
const random = () => {
  state = (state + 0x6d2b79f5) >>> 0;
  let t = Math.imul(state ^ (state >>> 15), 1 | state);
  t ^= t + Math.imul(t ^ (t >>> 7), 61 | t);
  return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
};
const below = n => Math.floor(random() * n);
const one_of = list => list[below(list.length)];

const folder = path.join(root, 'tests/examples');
const examples = fs.readdirSync(folder).filter(name => name.endsWith('.request.json')).map(name => {
  const {kind = 'resultant'} = JSON.parse(fs.readFileSync(path.join(folder, name.replace('.request', '.answer')), 'utf8'));
  return {body: fs.readFileSync(path.join(folder, name), 'utf8'), target: `/v1/${kind}`};
});
const raw = fs.readdirSync(path.join(root, 'tests/wire/raw')).map(name => fs.readFileSync(path.join(root, 'tests/wire/raw', name), 'utf8').split('\n').slice(2)
  .map(line => line.replace(/^@(\d+) (.*)$/, (_, n, text) => text.repeat(Math.min(n, 2000))).replace(/\\(x([0-9a-f]{2})|[rnt0])/g, (_, one, hex) => hex ? String.fromCharCode(parseInt(hex, 16)) : {r: '\r', n: '\n', t: '\t', 0: '\0'}[one])).join(''));

const server = start({threads: 2, connections: 160, request_timeout: 60, idle_timeout: 2, answer_timeout: 3, log_level: 'error'}, {env: {ASAN_OPTIONS: 'quarantine_size_mb=4'}});
await server.ready;
const over = () => Date.now() - begun > seconds * 1000;
const begun = Date.now();
const seen = {}, done = {good: 0, bad: 0, hostile: 0};
let unserved = 0, wrong = 0;
const count = answer => seen[answer?.status ?? 'none'] = (seen[answer?.status ?? 'none'] ?? 0) + 1;
const first = new Map(); // the same request, the same bytes, all along

const accepts = ['application/json', 'text/plain', 'text/x-latex'];
async function good() {
  while (!over()) {
    const turn = done.good++, e = examples[turn % examples.length], accept = accepts[Math.floor(turn / examples.length) % accepts.length];
    const answer = await ask(server, post(e.target, e.body, `Accept: ${accept}\r\n`), {ms: 60000});
    count(answer);
    const key = accept + e.body, body = answer?.body.replace(/"instance": "[^"]*"/, '');
    if (!answer || answer.status >= 500) unserved++;
    else if (!first.has(key)) first.set(key, body);
    else if (first.get(key) !== body && wrong++ < 3) console.log(`# ${e.target} as ${accept}: ${answer.status} ${body.slice(0, 300)}`);
  }
}
// A body with some bytes changed, cut or doubled: JSON of a kind, problems without meaning.
async function bad() {
  while (!over()) {
    const e = one_of(examples);
    const bytes = Buffer.from(e.body);
    for (let n = 1 + below(4); n > 0; n--) bytes[below(bytes.length)] = one_of([0x22, 0x2c, 0x30, 0x39, 0x2d, 0x5b, 0x7d, 0xff, 0x65, below(256)]);
    const body = bytes.toString('latin1').slice(0, random() < 0.1 ? below(bytes.length) : undefined);
    const head = `POST ${one_of(examples).target} HTTP/1.1\r\nHost: t\r\nContent-Type: application/json\r\nContent-Length: ${body.length}\r\n\r\n`;
    count(await ask(server, Buffer.from(head + body, 'latin1'), {ms: 60000}));
    done.bad++;
  }
}
const hostile_ways = [
  async link => { link.send(Buffer.from(one_of(raw), 'latin1')); await link.answer({ms: 300}); },
  async link => { link.send(post('/v1/resultant', 'x'.repeat(60000)).slice(0, below(60000))); await sleep(below(50)); link.socket.resetAndDestroy?.(); }, // an upload broken off
  async link => { link.send('POST /v1/truss HTTP/1.1\r\nHost: t\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n'); for (let i = 0; i < 30 && !link.is_ended; i++) { link.send(`${(40000).toString(16)}\r\n${' '.repeat(40000)}\r\n`); await sleep(1); } await link.answer({ms: 300}); },
  async link => { for (const c of 'GET /v1 HTTP/1.1\r\nHost: t\r\nX-Slow: ') { if (link.is_ended) break; link.send(c); await sleep(250); } },
  async link => { link.socket.pause(); link.send(get('/v1/openapi.json').repeat(60)); await sleep(500); }, // reads nothing
  async link => { link.send(one_of(examples.map(e => post(e.target, e.body))).repeat(20)); await link.answer({ms: 2000}); }, // leaves most answers
  async link => { link.send(Buffer.from(Array.from({length: 200}, () => below(256)))); await link.answer({ms: 200}); },
  async link => { link.send(post('/v1/resultant', '['.repeat(100000))); await link.answer({ms: 2000}); },
  async link => { link.send(post('/v1/resultant', `{"forces": [${'{"magnitude": 2.5, "direction": {"angle": 217.5}},'.repeat(1500)}{}]}`)); await link.answer({ms: 4000}); },
  async () => sleep(below(200)), // connects and goes
];
async function hostile() {
  while (!over()) {
    const link = connect(server.port);
    await hostile_ways[done.hostile++ % hostile_ways.length](link);
    link.close();
  }
}
const resident = () => Number(/VmRSS:\s+(\d+)/.exec(fs.readFileSync(`/proc/${server.pid}/status`, 'utf8'))[1]);
const memory = [];
const watch = setInterval(() => { try { memory.push(resident()); } catch { /* it has gone: seen below */ } }, 500);
await Promise.all([...Array.from({length: 6}, good), ...Array.from({length: 4}, bad), ...Array.from({length: 40}, hostile)]);
clearInterval(watch);
await sleep(3500);
const scrape = (await ask(server, get('/metrics')))?.body ?? '';
const value = name => Number(scrape.split('\n').find(line => line.startsWith(`${name} `))?.slice(name.length));
console.log(`# ${JSON.stringify(done)}, statuses ${JSON.stringify(seen)}`);
// How many there were is the machine's affair; that each way was gone is the test's.
ok(first.size === examples.length * accepts.length && done.bad > examples.length && done.hostile > hostile_ways.length, 'every example in every form, bad requests, every hostile way', `${first.size} ${JSON.stringify(done)}`);
same(unserved, 0, `a good client is always served (${done.good} times)`);
same(wrong, 0, 'the same request gave the same bytes all along');
same(value('tiptail_http_refused_total{reason="internal"}'), 0, 'no 500');
same(value('tiptail_http_connections'), 1, 'no connection is left');
same(value('tiptail_http_requests_in_flight'), 1, 'no request is left');
// The allocator's own caches settle in the first half; from then on nothing may grow.
const half = Math.floor(memory.length / 2), largest = list => Math.max(...list);
const before = largest(memory.slice(Math.floor(half / 2), half)), after = largest(memory.slice(half));
ok(after < before * 1.15 + 8192, `memory stays: at most ${before} kB before, ${after} kB after`, memory.join(' '));
const status = await server.stop();
ok(status === 0 && !/ERROR: |runtime error|Sanitizer/.test(server.log), 'it ends with status 0, and the sanitizers have nothing to say', `status ${status}\n${server.log.slice(-2500)}`);
finish();
