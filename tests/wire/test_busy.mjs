// Long computations: whoever else is there is answered meanwhile, probes above all.
import {ask, connect, finish, get, limit, ok, post, problem, same, sleep, start, stop_clean} from './lib.mjs';

limit(400);

// The museum's crane runway as a lattice of squares, braced along two sides and one brace short: a
// mechanism, which takes longest to be sure of.
function lattice(size) {
  const joints = {}, members = [], loads = [], name = (i, j) => `N${(i * size + j).toString(36).toUpperCase()}`;
  for (let i = 0; i < size; i++)
    for (let j = 0; j < size; j++) {
      joints[name(i, j)] = [2 * i, 2 * j];
      if (i) members.push([name(i - 1, j), name(i, j)]);
      if (j) members.push([name(i, j - 1), name(i, j)]);
      if (i && j && (i === 1 || j === 1)) members.push([name(i - 1, j - 1), name(i, j)]);
      if ((i + j) % 5 === 0) loads.push({magnitude: 3.25, direction: {angle: 37.3 * i % 360}, at: name(i, j)});
    }
  members.splice(100, 1);
  return post('/v1/truss', JSON.stringify({joints, members, loads, supports: [{at: name(0, 0), kind: 'pin'}, {at: name(size - 1, 0), kind: 'roller'}]}));
}
const long = lattice(50), probes = ['/healthz', '/readyz', '/metrics'];
const in_flight = async server => Number(/requests_in_flight (\d+)/.exec((await ask(server, get('/metrics'), {ms: 20000}))?.body)?.[1]);

// Three times as many as there are threads; each probe is a client of its own.
const busy = start({threads: 2, request_timeout: 200, drain_timeout: 200, log_level: 'none'});
await busy.ready;
let left = 6;
const started = performance.now();
const working = Array.from({length: left}, () => ask(busy, long, {ms: 120000}).then(answer => (left--, answer)));
while (await in_flight(busy) < 4) await sleep(20);
let asked = 0, good = 0, slowest = 0;
for (; left > 1 && asked < 200; asked++) {
  const begun = performance.now();
  good += (await ask(busy, get(probes[asked % 3])))?.status === 200;
  slowest = Math.max(slowest, performance.now() - begun);
  await sleep(20);
}
// Where the whole machine is slow, a second is little.
const second = Math.max(1000, (performance.now() - started) / 6);
ok(asked >= 3 && good === asked && slowest < second, `while every thread computes, ${asked} probes are answered within a second`, `${good} of ${asked}, the slowest after ${slowest.toFixed(0)} ms`);
console.log(`# slowest probe ${slowest.toFixed(0)} ms`);
same((await ask(busy, post('/v1/resultant', problem)))?.status, 200, 'and a short computation as well');
const answers = await Promise.all(working);
same(answers.map(answer => answer?.status), Array(6).fill(200), 'the long ones are all answered');
same(new Set(answers.map(answer => answer?.body)).size, 1, '... alike');

// By itself a computation on the second set of threads takes no longer than one on the loop.
const took = async data => {
  const begun = performance.now();
  for (let i = 0; i < 20; i++) await ask(busy, data);
  return performance.now() - begun;
};
const on_loop = await took(post('/v1/resultant', problem)), on_pool = await took(post('/v1/resultant', problem + ' '.repeat(3000)));
ok(on_pool < 2 * on_loop + 1000, 'its answer goes out as soon as it is there', `20 took ${on_pool.toFixed(0)} ms, on the loop ${on_loop.toFixed(0)} ms`);

// A client may close its side of the connection, or keep it for the next request, or go.
const closing = connect(busy.port);
closing.socket.end(long);
same((await closing.answer({ms: 60000}))?.status, 200, 'a client that has closed its side gets its answer');
closing.close();
const piped = connect(busy.port);
piped.send(long + get('/healthz') + long);
for (const what of ['a long computation', 'what came behind it', 'and one more']) same((await piped.answer({ms: 60000}))?.status, 200, `on one connection: ${what}`);
piped.close();
const gone = Array.from({length: 4}, () => connect(busy.port));
gone.forEach(link => link.send(long));
while (await in_flight(busy) < 3) await sleep(20);
gone.forEach((link, i) => i % 2 && link.socket.resetAndDestroy ? link.socket.resetAndDestroy() : link.close());
let now = 0;
for (let i = 0; i < 600 && (now = await in_flight(busy)) > 1; i++) await sleep(100);
same(now, 1, 'of those that went nothing is left');

// Asked to end meanwhile: what is under way is finished.
const last = Array.from({length: 6}, () => ask(busy, long, {ms: 120000}));
while (await in_flight(busy) < 6) await sleep(5);
await stop_clean(busy, 'it ends with status 0');
same((await Promise.all(last)).map(answer => answer?.status), Array(6).fill(200), '... after its answers');

// Short bodies can take long too, all together: the loop does not compute for more than a moment on end.
const check = post('/v1/check', JSON.stringify({problem: {kind: 'truss', joints: {A: [0, 0], B: [3.2, 0], C: [6.4, 0], D: [9.6, 0], E: [6.4, 2.4], F: [3.2, 2.4]},
  members: ['AB', 'BC', 'CD', 'AF', 'BF', 'CF', 'EF', 'CE', 'DE'].map(two => [...two]), supports: [{at: 'A', kind: 'pin'}, {at: 'D', kind: 'roller'}],
  loads: [{name: 'P', magnitude: 18.75, direction: {axis: '-y'}, at: 'B'}, {name: 'H', magnitude: 1.6, direction: {axis: '+x'}, at: 'F'}]},
answers: Array.from({length: 12}, (_, i) => ({members: [{name: 'AB', force: 9.1 + i}, {name: 'CF', force: -4.3 + i}, {name: 'EF', force: -11.7 + i}]}))}));
const single = start({threads: 1, request_timeout: 300, log_level: 'none'});
await single.ready;
const links = Array.from({length: 80}, () => connect(single.port));
links.forEach(link => link.send(check));
good = 0;
for (let i = 0; i < 10; i++) good += (await ask(single, get(probes[i % 3]), {ms: 60000}))?.status === 200;
const waiting = links.filter(link => !link.bytes.length).length;
ok(good === 10 && waiting > 5, 'probes that come after 80 clients whose answers are marked do not wait for them all', `${good} of 10, ${waiting} still waiting`);
console.log(`# ${waiting} of 80 still waiting after 10 probes`);
same((await Promise.all(links.map(link => link.answer({ms: 200000})))).filter(answer => answer?.status === 200).length, 80, '... and all of them get their marks');
links.forEach(link => link.close());
await stop_clean(single);

// Who would wait too long is told so.
const narrow = start({threads: 1, request_timeout: 1, log_level: 'none'});
await narrow.ready;
const told = await Promise.all(Array.from({length: 100}, () => ask(narrow, long, {ms: 120000})));
const refused = told.filter(answer => answer?.status === 503);
ok(refused.length > 0 && told.every(answer => answer?.status === 200 || answer?.status === 503) && refused.every(answer => answer.headers['retry-after'] && answer.json.type === '/problems/overloaded'),
  'of more than can be computed in time, the rest gets 503 with Retry-After', told.map(answer => answer?.status).join(' '));
await stop_clean(narrow);

// What one request may take is bounded: a class whose mistakes would take seconds to look for.
const release = start({threads: 1, log_level: 'none'}, {program: 'build/tiptail'});
await release.ready;
const loads = on => Array.from({length: 30}, (_, i) => ({name: `${on}${i}`, magnitude: 1.5 + i / 100, direction: {angle: 37.31 * i % 360}, at: [i % 7, i % 4]}));
const arch = {kind: 'equilibrium', points: {A: [0, 0], B: [9.6, 0], C: [4, 4.6]}, pins: [{name: 'C', at: 'C', joins: ['AC', 'CB']}],
  bodies: {AC: {forces: loads('P'), supports: [{name: 'A', kind: 'pin', at: 'A'}]}, CB: {forces: loads('Q'), supports: [{name: 'B', kind: 'pin', at: 'B'}]}}};
const wrong = k => ({unknowns: ['A', 'B', 'C'].map((name, i) => ({name, parts: ['x', 'y'].map((axis, j) => ({symbol: `${name}_${axis}`, value: (k * 37 + i * 101 + j * 53) % 180 - 90.5}))}))});
const class_of = count => post('/v1/check', JSON.stringify({problem: arch, answers: Array.from({length: count}, (_, k) => wrong(k))}));
const bounded = await ask(release, class_of(1000), {ms: 120000});
ok(bounded?.status === 422 && bounded.json.type === '/problems/work-limit' && /fewer of them/.test(bounded.json.detail), 'a class that takes too long is told to come in parts', JSON.stringify(bounded)?.slice(0, 500));
same((await ask(release, class_of(300), {ms: 60000}))?.status, 200, '... and its parts are marked');
await stop_clean(release);

// No time to finish: what waits is given up, what is being computed ends first.
const hasty = start({threads: 1, drain_timeout: 0, log_level: 'warning'});
await hasty.ready;
const cut = Array.from({length: 6}, () => ask(hasty, long, {ms: 60000}));
while (await in_flight(hasty) < 5) await sleep(20);
const status = await hasty.stop();
ok(status === 1 && /"cut-off"/.test(hasty.log) && !/ERROR: |runtime error/.test(hasty.log), 'without time to finish it ends in order and says what it did', `status ${status}\n${hasty.log.slice(-1500)}`);
await Promise.all(cut);
finish();
