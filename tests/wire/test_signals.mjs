// Start and end: settings, ports, signals, the order of a drain, sockets handed over.
import {spawn} from 'node:child_process';
import net from 'node:net';
import {ask, connect, finish, get, limit, ok, post, problem, root, same, sleep, start, stop_clean} from './lib.mjs';

limit(90);
const program = process.env.PROGRAM ?? 'build/asan/tiptail';
async function fails(settings, args, status, pattern, name) {
  const one = start(settings, {args});
  const got = await Promise.race([one.ended, sleep(5000).then(() => 'still running')]);
  ok(got === status && pattern.test(one.log) && one.out === '', name, `${got}: ${one.log}${one.out}`);
}

// Settings.
for (const [settings, args, pattern] of [
  [{port: '70000'}, [], /TIPTAIL_PORT is "70000"; it takes a whole number from 0 to 65535/],
  [{port: '80x'}, [], /TIPTAIL_PORT is "80x"/], [{port: ''}, [], /TIPTAIL_PORT is ""/], [{}, ['--port', '-1'], /--port is "-1"/],
  [{}, ['--port'], /--port needs a value/], [{}, ['--ports', '1'], /no option "--ports"/], [{}, ['extra'], /no option "extra"/],
  [{}, ['--address=localhost'], /--address is "localhost"; it takes a numeric address/], [{threads: '257'}, [], /TIPTAIL_THREADS/],
  [{body_limit: '99999999999999999999'}, [], /TIPTAIL_BODY_LIMIT/], [{cors: 'school.example'}, [], /TIPTAIL_CORS/],
  [{cors: 'https://school.example/path'}, [], /TIPTAIL_CORS/], [{cors: 'https://a.example,'}, [], /TIPTAIL_CORS/], [{log_level: 'loud'}, [], /one of info, warning, error, none/], [{sandbox: 'yes'}, [], /one of auto, require, off/],
  [{request_timeout: '0'}, [], /from 1 to 3600/], [{connections: '999999'}, [], /ulimit|connections/]])
  await fails(settings, args, 2, pattern, `refused at the start: ${JSON.stringify(settings)} ${args.join(' ')}`);
let one = start({}, {args: ['--help']});
same(await one.ended, 0, '--help ends with status 0');
for (const name of ['address', 'port', 'threads', 'connections', 'body-limit', 'cors', 'log-level', 'drain-delay'])
  ok(one.out.includes(`--${name} `) && one.out.includes(`TIPTAIL_${name.toUpperCase().replaceAll('-', '_')}\n`), `--help lists ${name} and its variable`);
one = start({}, {args: ['--version']});
ok(await one.ended === 0 && /^tiptail \d+\.\d+\.\d+\n$/.test(one.out), '--version');

// Ports and addresses.
let server = start({port: '1'}, {args: ['--port=0', '--address', '127.0.0.1']});
await server.ready;
ok(server.port > 1023 && server.host === '127.0.0.1', 'an option wins over a variable');
await fails({port: server.port}, [], 1, new RegExp(`Cannot listen on 127.0.0.1 port ${server.port}: Address already in use`), 'a port in use is an error');
await fails({address: '192.0.2.1'}, [], 1, /Cannot listen on 192.0.2.1/, 'so is an address of another machine');
one = start({port: server.port}, {args: ['--health']});
same(await one.ended, 0, '--health of a service that is well');
await stop_clean(server);
one = start({port: server.port}, {args: ['--health']});
ok(await one.ended === 1 && /does not answer/.test(one.log), '--health of none');
server = start({address: '::1'});
if (await server.ready.then(() => true, () => false)) {
  ok(/^http:\/\/\[::1\]:\d+$/.test(server.url), 'an IPv6 address is named in brackets', server.url);
  one = start({address: '::1', port: server.port}, {args: ['--health']});
  same(await one.ended, 0, '... and asked');
  await stop_clean(server);
} else {
  ok(/Cannot listen on ::1/.test(server.log), 'there is no IPv6 here, and that is said', server.log);
}
const again = start({port: server.port});
await again.ready;
await stop_clean(again, 'a port is free again at once');

// SIGTERM with everything under way: a slow upload, idle connections, a client that has just come.
server = start({drain_delay: 1});
await server.ready;
const idle = connect(server.port), upload = connect(server.port), fresh = connect(server.port);
idle.send(get('/healthz'));
await idle.answer();
const whole = post('/v1/resultant', problem);
upload.send(whole.slice(0, -100));
await sleep(100);
const started = Date.now();
server.child.kill('SIGTERM');
await sleep(200);
let a = await ask(server, get('/readyz'));
ok(a?.status === 503 && a.headers['retry-after'] && a.json?.type === '/problems/overloaded', '/readyz is 503 while draining', JSON.stringify(a));
a = await ask(server, post('/v1/resultant', problem));
ok(a?.status === 200 && a.headers.connection === 'close', 'work is still done, and the connection then closes', JSON.stringify(a?.headers));
same((await ask(server, get('/healthz')))?.status, 200, '/healthz still answers');
await sleep(1000);
const late = connect(server.port);
await late.end(1000);
same(late.error, 'ECONNREFUSED', 'after drain-delay nobody is let in');
ok(idle.is_ended && !idle.error, 'idle connections are closed in order', idle.error);
upload.send(whole.slice(-100));
a = await upload.answer();
ok(a?.status === 200 && a.headers.connection === 'close', 'an upload under way is finished and answered', JSON.stringify(a?.headers));
const status = await server.ended;
ok(status === 0 && !/ERROR: |runtime error/.test(server.log), 'then the service ends with status 0', server.log.slice(-1500));
ok(Date.now() - started < 6000, '... without waiting for anything else', Date.now() - started);
fresh.close();

// SIGTERM while large trusses are worked: Pratt trusses of 600 panels.
server = start({threads: 1});
await server.ready;
const panels = 600, joints = {}, members = [];
for (let i = 0; i <= panels; i++) {
  joints[`L${i}`] = [2.5 * i, 0];
  if (i > 0 && i < panels) joints[`U${i}`] = [2.5 * i, 3.1];
}
for (let i = 0; i < panels; i++) members.push([`L${i}`, `L${i + 1}`]);
for (let i = 1; i < panels; i++) members.push([`L${i}`, `U${i}`]);
for (let i = 1; i < panels - 1; i++) members.push([`U${i}`, `U${i + 1}`]);
members.push(['L0', 'U1'], [`L${panels}`, `U${panels - 1}`]);
for (let i = 1; i < panels - 1; i++) members.push(i < panels / 2 ? [`U${i}`, `L${i + 1}`] : [`L${i}`, `U${i + 1}`]);
const large = JSON.stringify({units: {force: 'kN'}, joints, members, loads: [{at: 'L7', magnitude: 217.5, direction: {axis: '-y'}}], working: false,
  supports: [{name: 'A', kind: 'pin', at: 'L0'}, {name: 'B', kind: 'roller', at: `L${panels}`}]});
const trusses = Array.from({length: 4}, () => connect(server.port));
await Promise.all(trusses.map(link => new Promise(resolve => link.socket.once('connect', resolve))));
const sent = Date.now();
trusses.forEach(link => link.send(post('/v1/truss', large)));
await sleep(20);
server.child.kill('SIGTERM');
const worked = await Promise.all(trusses.map(link => link.answer({ms: 20000})));
ok(worked.every(one => one?.status === 200 && one.json?.answer?.members?.length === members.length), 'trusses under way are worked to the end', worked.map(one => `${one?.status} ${one?.body?.slice(0, 300)}`).join('\n'));
ok(await server.ended === 0 && Date.now() - sent > 100, `... and then the service ends with status 0 (${Date.now() - sent} ms)`, server.log.slice(-800));

// Signals that come twice, and requests that never end.
server = start();
await server.ready;
const stuck = connect(server.port);
stuck.send(whole.slice(0, -100));
await sleep(100);
server.child.kill('SIGTERM');
await sleep(300);
ok(server.status === undefined, 'an unfinished request holds the end');
server.child.kill('SIGTERM');
same(await Promise.race([server.ended, sleep(1000)]), 1, 'a second signal ends it at once, with status 1');
server = start({drain_timeout: 1});
await server.ready;
const forever = connect(server.port);
forever.send(whole.slice(0, -100));
await sleep(100);
server.child.kill('SIGINT');
same(await Promise.race([server.ended, sleep(4000)]), 1, 'drain-timeout ends it too, with status 1');
ok(server.log.includes('"event":"cut-off"'), '... and the log says what was cut off');

// A socket handed over (systemd): served, never shut down, and nobody is lost between two services. A
// shell holds the socket and runs one service after the other.
const listener = net.createServer().listen(0, '127.0.0.1');
await new Promise(resolve => listener.once('listening', resolve));
const port = listener.address().port;
const manager = spawn('/bin/sh', ['-c', `for n in 1 2; do sh -c 'LISTEN_FDS=1 LISTEN_PID=$$ exec "${program}"' & echo "pid $!"; wait $!; echo "status $?"; sleep 0.5; done`],
  {cwd: root, env: {PATH: process.env.PATH, TIPTAIL_DRAIN_DELAY: '0', TIPTAIL_SANDBOX: 'off'}, stdio: ['ignore', 'pipe', 'ignore', listener._handle.fd]});
listener.close();
let said = '';
manager.stdout.on('data', chunk => said += chunk);
const says = async (pattern, n) => {
  for (let i = 0; i < 100 && [...said.matchAll(pattern)].length < n; i++) await sleep(50);
  return [...said.matchAll(pattern)][n - 1]?.[1];
};
same(await says(/listening on (.*)\n/g, 1), `http://127.0.0.1:${port}`, 'a socket that was handed over is named');
let good = 0;
for (let i = 0; i < 50; i++) good += (await ask({port}, get('/healthz')))?.status === 200;
same(good, 50, '... and served');
process.kill(Number(await says(/pid (.*)\n/g, 1)), 'SIGTERM');
same(await says(/status (.*)\n/g, 1), '0', 'the first service ends');
const between = connect(port);
between.send(get('/healthz'));
same((await between.answer({ms: 5000}))?.status, 200, 'who calls between two services is answered by the second');
between.close();
process.kill(Number(await says(/pid (.*)\n/g, 2)), 'SIGTERM');
same(await says(/status (.*)\n/g, 2), '0', 'and the second ends');
manager.kill();
finish();
