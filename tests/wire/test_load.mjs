// Many clients, slow clients, and more clients than there is room for.
import {execFileSync} from 'node:child_process';
import fs from 'node:fs';
import {ask, connect, finish, get, limit, ok, post, problem, same, sleep, start, stop_clean} from './lib.mjs';

limit(90);

// All clients ready in one moment: the server is stopped while they ask. A multiple of 128 is where
// the library's own loop hangs.
const one_loop = start({threads: 1, connections: 600, log_level: 'none'});
await one_loop.ready;
for (const clients of [1, 127, 128, 129, 256, 257, 384]) {
  const links = Array.from({length: clients}, () => connect(one_loop.port));
  await Promise.all(links.map(link => new Promise(resolve => link.socket.on('connect', resolve))));
  await ask(one_loop, get('/healthz'));
  one_loop.child.kill('SIGSTOP');
  links.forEach(link => link.send(get('/healthz')));
  await sleep(100);
  const started = Date.now();
  one_loop.child.kill('SIGCONT');
  const answers = await Promise.all(links.map(link => link.answer({ms: 3000})));
  const good = answers.filter(answer => answer?.status === 200).length;
  ok(good === clients && Date.now() - started < 2000, `exactly ${clients} ready clients are all answered at once`, `${good} in ${Date.now() - started} ms`);
  links.forEach(link => link.close());
}

// One connection, a thousand requests sent before the first answer is read.
for (const [what, data] of [['GET', get('/healthz')], ['POST', post('/v1/resultant', problem)]]) {
  const link = connect(one_loop.port);
  link.send(data.repeat(1000));
  let good = 0;
  while (good < 1000 && (await link.answer({ms: 10000}))?.status === 200) good++;
  same(good, 1000, `1,000 pipelined ${what} requests are answered`);
  link.close();
}
await stop_clean(one_loop);

// More slow clients than connections: the oldest unfinished ones make room.
const crowded = start({threads: 1, connections: 64, log_level: 'none'});
await crowded.ready;
const slow = [];
const drip = setInterval(() => slow.forEach(link => link.is_ended || link.send(' ')), 200);
for (let i = 0; i < 400; i++) {
  const link = connect(crowded.port);
  link.send(i % 2 ? 'GET /v1 HTTP/1.1\r\nHost: t\r\nX-Slow: ' : 'POST /v1/resultant HTTP/1.1\r\nHost: t\r\nContent-Type: application/json\r\nContent-Length: 9999\r\n\r\n');
  slow.push(link);
  await sleep(3);
}
let asked = 0, good = 0;
for (const end = Date.now() + 2000; Date.now() < end; asked++)
  good += (await ask(crowded, post('/v1/resultant', problem)))?.status === 200;
ok(good === asked && asked > 20, 'among 200 slow heads and 200 slow bodies on 64 connections a healthy client is always served', `${good} of ${asked}, status ${crowded.status}\n${crowded.log.slice(0, 1500)}`);
const told = (await Promise.all(slow.map(link => link.answer({ms: 100})))).filter(answer => answer?.status === 503).length;
ok(told >= 336, 'whoever had to go was told 503', `${told}`);
clearInterval(drip);
slow.forEach(link => link.close());
const scrape = await ask(crowded, get('/metrics'));
ok(Number(/tiptail_http_evicted_total (\d+)/.exec(scrape?.body)?.[1]) >= 336, 'evictions are counted');
await stop_clean(crowded);

// The same with room for all of them.
const roomy = start({threads: 1, connections: 1000, log_level: 'none'});
await roomy.ready;
const slower = Array.from({length: 400}, () => connect(roomy.port));
slower.forEach((link, i) => link.send(i % 2 ? 'GET /v1 HTTP/1.1\r\nHost: t\r\nX-Slow: ' : 'POST /v1/resultant HTTP/1.1\r\nHost: t\r\nContent-Type: application/json\r\nContent-Length: 9999\r\n\r\n'));
let served = 0;
for (let i = 0; i < 200; i++) {
  slower.forEach(link => i % 20 || link.send(' '));
  served += (await ask(roomy, post('/v1/resultant', problem)))?.status === 200;
}
same(served, 200, 'among 400 slow clients with room for all a healthy one gets every answer');
same(slower.filter(link => link.is_ended).length, 0, '... and none of them had to go');
slower.forEach(link => link.close());

// Uploads broken off, in order and with a reset.
for (let i = 0; i < 100; i++) {
  const link = connect(roomy.port);
  link.send(post('/v1/resultant', ' '.repeat(50000)).slice(0, 200 + 400 * i));
  await new Promise(resolve => link.socket.once('connect', resolve));
  await sleep(2);
  if (i % 2 && link.socket.resetAndDestroy) link.socket.resetAndDestroy();
  else link.close();
}
same((await ask(roomy, post('/v1/resultant', problem)))?.status, 200, 'after 100 uploads broken off the next one is answered');
let after = '';
for (let i = 0; i < 30 && !/requests_in_flight 1\n/.test(after); i++, await sleep(100)) after = (await ask(roomy, get('/metrics')))?.body ?? '';
ok(Number(/tiptail_http_aborted_total (\d+)/.exec(after)?.[1]) >= 100 && /tiptail_http_requests_in_flight 1\n/.test(after), '... and each of them has ended', after.match(/tiptail_http_(aborted|requests_in).*/g)?.join());

// No file descriptor is left: who is in is served, who calls waits, and is served once there is one.
const descriptors = n => execFileSync('prlimit', ['--pid', String(roomy.pid), `--nofile=${n}:4096`]);
const inside = connect(roomy.port);
inside.send(get('/healthz'));
await inside.answer();
// None is free below this one.
const taken = new Set(fs.readdirSync(`/proc/${roomy.pid}/fd`).map(Number));
let first_free = 0;
while (taken.has(first_free)) first_free++;
descriptors(first_free);
const callers = Array.from({length: 20}, () => connect(roomy.port));
callers.forEach(link => link.send(get('/healthz')));
await sleep(300);
same(callers.filter(link => link.bytes.length).length, 0, 'without a descriptor left nobody is let in');
inside.send(post('/v1/resultant', problem));
same((await inside.answer())?.status, 200, '... who is in is served');
descriptors(4096);
inside.close();
const waited = await Promise.all(callers.map(link => link.answer({ms: 5000})));
same(waited.filter(answer => answer?.status === 200).length, 20, '... and who called meanwhile is served afterwards');
callers.forEach(link => link.close());
await stop_clean(roomy);

// Every connection busy with an answer that is not read: one more is refused, not left to wait.
const full = start({threads: 1, connections: 8, log_level: 'none'});
await full.ready;
const readers = Array.from({length: 8}, () => connect(full.port));
for (const link of readers) {
  link.socket.pause();
  link.send(get('/v1/openapi.json').repeat(400));
}
await sleep(800);
const refused = await ask(full, get('/v1'));
ok(refused?.status === 503 && refused.headers['retry-after'] && refused.json?.type === '/problems/overloaded' && refused.headers.connection === 'close',
  'a full service says 503 with Retry-After', JSON.stringify(refused)?.slice(0, 500));
readers[0].close();
await sleep(300);
same((await ask(full, get('/v1')))?.status, 200, 'and serves again as soon as one has gone');
readers.forEach(link => link.close());
await stop_clean(full);

// One client with more connections than it may have.
const fair = start({threads: 1, connections_per_client: 3, log_level: 'none'});
await fair.ready;
const greedy = Array.from({length: 3}, () => connect(fair.port));
for (const link of greedy) {
  link.send(get('/healthz'));
  await link.answer();
}
same((await ask(fair, get('/v1')))?.status, 429, 'the fourth connection of one client is 429 where three are allowed');
greedy.forEach(link => link.close());
await sleep(100);
same((await ask(fair, get('/v1')))?.status, 200, 'and a new one is served when they have gone');
await stop_clean(fair);

// Deadlines: a byte now and then does not hold a connection.
const strict = start({request_timeout: 1, idle_timeout: 1, answer_timeout: 1, threads: 1});
await strict.ready;
async function dripping(head, each) {
  const link = connect(strict.port), started = Date.now();
  link.send(head);
  const timer = setInterval(() => link.is_ended || link.send(each), 100);
  const answer = await link.answer({ms: 4000});
  const ended = await link.end(1000);
  clearInterval(timer);
  link.close();
  return {answer, ended, ms: Date.now() - started};
}
const deaf = connect(strict.port);
deaf.socket.pause();
deaf.send(get('/v1/openapi.json').repeat(400));
await Promise.all([
  ...[['a slow request line', 'G', 'E'], ['a slow head', 'GET /v1 HTTP/1.1\r\nHost: t\r\nX: ', 'y'],
    ['a slow body', 'POST /v1/resultant HTTP/1.1\r\nHost: t\r\nContent-Type: application/json\r\nContent-Length: 9999\r\n\r\n', ' ']].map(async ([what, head, each]) => {
    const got = await dripping(head, each);
    for (let i = 0; i < 20 && !strict.log.includes(got.answer?.json?.instance); i++) await sleep(50); // the log comes by another way
    ok(got.answer?.status === 408 && got.answer.json?.instance === got.answer.headers['x-request-id'] && strict.log.includes(got.answer.json.instance) && got.ended && got.ms > 900 && got.ms < 3000, `${what} ends with 408 in time`, JSON.stringify(got));
  }),
  ...[['a connection that never asks', ''], ['a connection that asks no more', get('/healthz')]].map(async ([what, first]) => {
    const link = connect(strict.port), started = Date.now();
    link.send(first);
    if (first) await link.answer();
    const answer = await link.answer({ms: 3000});
    ok(answer === null && link.is_ended && Date.now() - started < 2500, `${what} is closed in silence`, JSON.stringify(answer));
    link.close();
  }),
  sleep(3000),
]);
const open = /tiptail_http_connections (\d+)/.exec((await ask(strict, get('/metrics'))).body)?.[1];
same(open, '1', 'a client that reads nothing is closed as well');
deaf.close();
await stop_clean(strict);
finish();
