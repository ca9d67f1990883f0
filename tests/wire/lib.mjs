// lib.mjs: start and stop a server, speak raw HTTP to it, report as TAP.
import {spawn, spawnSync} from 'node:child_process';
import net from 'node:net';
import path from 'node:path';

export const root = path.resolve(import.meta.dirname ?? path.dirname(new URL(import.meta.url).pathname), '../..');
export const sleep = ms => new Promise(resolve => setTimeout(resolve, ms));

// ---- TAP ----
let count = 0, failed = 0;
export function ok(is_good, name, detail = '') {
  count++;
  if (!is_good) failed++;
  console.log(`${is_good ? 'ok' : 'not ok'} ${count} - ${name}`);
  if (!is_good && detail !== '') console.log(String(detail).replace(/^/gm, '# ').slice(0, 2000));
}
export function same(actual, expected, name) {
  ok(JSON.stringify(actual) === JSON.stringify(expected), name, `${JSON.stringify(actual)}\nnot ${JSON.stringify(expected)}`);
}
export function finish() {
  console.log(`1..${count}`);
  for (const one of running) one.child.kill('SIGKILL');
  process.exit(failed ? 1 : 0);
}
// Where a command is not there, nothing can be said: not passed, not failed.
export function need(...commands) {
  for (const command of commands)
    if (spawnSync('sh', ['-c', `command -v ${command}`]).status !== 0) {
      console.log(`ok ${++count} - all of it # SKIP there is no ${command}: make setup-long`);
      finish();
    }
}
// A test that hangs is a test that failed, whatever it waits for.
export function limit(seconds) {
  setTimeout(() => {
    ok(false, `ends within ${seconds} s`);
    finish();
  }, seconds * 1000).unref();
}

// ---- servers: build/asan/tiptail, or PROGRAM from the environment ----
const running = new Set();
process.on('exit', () => running.forEach(one => one.child.kill('SIGKILL')));

export function start(settings = {}, {program = process.env.PROGRAM ?? 'build/asan/tiptail', args = [], env: more = {}, stderr = 'pipe'} = {}) {
  const env = {PATH: process.env.PATH, TIPTAIL_PORT: '0', TIPTAIL_DRAIN_DELAY: '0', ...more};
  if (process.env.TSAN_OPTIONS) env.TSAN_OPTIONS = process.env.TSAN_OPTIONS;
  if (/san/.test(program)) env.TIPTAIL_SANDBOX = 'off'; // a sanitizer opens files and starts processes for its report
  for (const [key, value] of Object.entries(settings)) env[`TIPTAIL_${key.toUpperCase()}`] = String(value);
  const child = spawn(path.resolve(root, program), args, {env, stdio: ['ignore', 'pipe', stderr]});
  const server = {child, pid: child.pid, out: '', log: '', started: performance.now()};
  running.add(server);
  server.ended = new Promise(resolve => child.on('close', (status, signal) => {
    running.delete(server);
    server.status = signal ?? status;
    resolve(server.status);
  }));
  child.stderr?.on('data', chunk => server.log += chunk);
  server.ready = new Promise((resolve, reject) => {
    child.stdout.on('data', chunk => {
      server.out += chunk;
      const line = /^listening on (http:\/\/(.*):(\d+))\n/.exec(server.out);
      if (!line) return;
      server.ready_ms = performance.now() - server.started;
      [, server.url, server.host] = line;
      server.port = Number(line[3]);
      resolve(server);
    });
    server.ended.then(status => reject(new Error(`ended with ${status}: ${server.log}`)));
  });
  server.ready.catch(() => {});
  server.stop = () => (child.kill('SIGTERM'), server.ended);
  return server;
}
// Stop it and hold it to a clean end: status 0 and nothing from the sanitizers.
export async function stop_clean(server, name = 'the server ends with status 0') {
  const status = await server.stop();
  ok(status === 0 && !/ERROR: |runtime error/.test(server.log), name, `status ${status}\n${server.log.slice(-1500)}`);
}

// ---- raw HTTP ----
export function connect(port) {
  const socket = net.connect({port, host: '127.0.0.1', allowHalfOpen: true});
  const link = {socket, bytes: Buffer.alloc(0), is_ended: false, waiting: []};
  const wake = () => link.waiting.splice(0).forEach(f => f());
  socket.on('data', chunk => (link.bytes = Buffer.concat([link.bytes, chunk]), wake()));
  socket.on('end', () => (link.is_ended = true, socket.end(), wake()));
  socket.on('error', error => (link.is_ended = true, link.error = error.code, wake()));
  socket.on('close', () => (link.is_ended = true, wake()));
  link.send = data => socket.write(data);
  link.close = () => socket.destroy();
  link.changed = ms => new Promise(resolve => {
    const timer = setTimeout(resolve, ms);
    link.waiting.push(() => (clearTimeout(timer), resolve()));
  });
  // The next answer, or null where the connection ends or nothing comes.
  link.answer = async ({ms = 5000, head = false} = {}) => {
    const end = Date.now() + ms;
    for (;;) {
      const answer = parse(link, head);
      if (answer) return answer;
      const left = end - Date.now();
      if (link.is_ended || left <= 0) return null;
      await link.changed(left);
    }
  };
  link.end = async (ms = 5000) => {
    const end = Date.now() + ms;
    while (!link.is_ended && Date.now() < end) await link.changed(end - Date.now());
    return link.is_ended;
  };
  return link;
}
function parse(link, head) {
  const at = link.bytes.indexOf('\r\n\r\n');
  if (at < 0) return null;
  const lines = link.bytes.subarray(0, at).toString('latin1').split('\r\n');
  const status = Number(lines[0].split(' ')[1]);
  const headers = {};
  for (const line of lines.slice(1)) {
    const [, name, value] = /^([^:]+): *(.*)$/.exec(line) ?? [];
    if (name) headers[name.toLowerCase()] = headers[name.toLowerCase()] ? `${headers[name.toLowerCase()]}, ${value}` : value;
  }
  const length = head || status === 204 || status === 304 || status < 200 ? 0 : Number(headers['content-length'] ?? 0);
  if (link.bytes.length < at + 4 + length) return null;
  const body = link.bytes.subarray(at + 4, at + 4 + length).toString();
  link.bytes = link.bytes.subarray(at + 4 + length);
  let json;
  try { json = JSON.parse(body); } catch { /* no JSON */ }
  return {status, line: lines[0], headers, body, json};
}
// One request on a connection of its own.
export async function ask(server, data, options = {}) {
  const link = connect(server.port);
  link.send(data);
  const answer = await link.answer(options);
  link.close();
  return answer;
}
export const get = (target, more = '') => `GET ${target} HTTP/1.1\r\nHost: t\r\n${more}\r\n`;
export function post(target, body, more = '', type = 'application/json') {
  return `POST ${target} HTTP/1.1\r\nHost: t\r\nContent-Type: ${type}\r\nContent-Length: ${Buffer.byteLength(body)}\r\n${more}\r\n${body}`;
}
// A request of our own scene: the guys of the signal mast.
export const problem = JSON.stringify({units: {force: 'kN'}, forces: [
  {name: 'P', magnitude: 4.2, direction: {angle: 62.5}}, {name: 'Q', magnitude: 2.6, direction: {slope: {run: -12, rise: 5}}},
  {name: 'W', magnitude: 6.5, direction: {angle: 248.2}}]});
