// The log on a pipe that nobody reads, and on one whose reader has gone: the service goes on, and says
// what is missing.
import {execFileSync} from 'node:child_process';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import {ask, connect, finish, get, limit, ok, same, sleep, start, stop_clean} from './lib.mjs';

limit(90);
const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'tiptail-log-'));

// A pipe; read() is what is in it now, and whether it has ended.
function pipe(name) {
  const file = path.join(folder, name);
  execFileSync('mkfifo', [file]);
  const reader = fs.openSync(file, fs.constants.O_RDONLY | fs.constants.O_NONBLOCK), writer = fs.openSync(file, 'w');
  const read = () => {
    const bytes = Buffer.alloc(65536);
    for (let text = ''; ;) {
      try {
        const n = fs.readSync(reader, bytes);
        if (n === 0) return {text, has_ended: true};
        text += bytes.toString('latin1', 0, n);
      } catch (error) {
        if (error.code !== 'EAGAIN') throw error;
        return {text, has_ended: false};
      }
    }
  };
  return {writer, read, close: () => fs.closeSync(reader)};
}
async function start_on(one, settings) {
  const server = start(settings, {stderr: one.writer});
  fs.closeSync(one.writer);
  await server.ready;
  return server;
}
// Lines of about a kilobyte each: a path of control characters, which are escaped.
async function fill(server, requests, clients = 4) {
  let good = 0;
  await Promise.all(Array.from({length: clients}, async () => {
    const link = connect(server.port);
    for (let left = requests / clients; left > 0; left -= 50) {
      link.send(get(`/${'%01'.repeat(120)}`).repeat(50));
      for (let i = 0; i < 50; i++) {
        const answer = await link.answer();
        good += answer?.status === 404;
      }
    }
    link.close();
  }));
  return good;
}
const dropped = async server => Number(/^tiptail_log_lines_dropped_total (\d+)$/m.exec((await ask(server, get('/metrics')))?.body)?.[1]);
const whole = text => text.endsWith('\n') && text.trimEnd().split('\n').every(line => {
  try { return JSON.parse(line).time; } catch { return false; }
});

// Nobody reads for a while.
const first = pipe('first'), server = await start_on(first, {threads: 2});
same(await dropped(server), 0, 'at first nothing is dropped');
const sent = 4000;
same(await fill(server, sent), sent, 'with a full log every request is answered');
const lost = await dropped(server);
ok(lost > 0 && lost < sent, 'the lines that were dropped are counted', lost);
let text = '';
const all = async () => { // until nothing comes any more
  for (let before = -1; before < text.length;) {
    before = text.length;
    await sleep(300);
    text += first.read().text;
  }
  return text.trimEnd().split('\n');
};
await all();
same((await ask(server, get('/healthz')))?.status, 200, 'it is read again');
let lines = await all();
ok(whole(text), 'what is in it are whole lines', text.slice(-1500));
const events = lines.map(JSON.parse).filter(line => line.event === 'log-lines-dropped');
const said = events.reduce((sum, event) => sum + Number(/^(\d+) lines are missing here/.exec(event.detail)[1]), 0);
const requests = lines.map(JSON.parse).filter(line => line.event === undefined);
ok(events.length > 0 && said === lost && events.every(event => event.level === 'warning'), '... which say how many are missing', `${said} not ${lost}`);
// Besides: the two scrapes and the probe.
same(requests.length + said, sent + 3, '... each line is there or counted');
ok(JSON.parse(lines.at(-1)).route === '/healthz', '... and the last request is there');
await stop_clean(server);

// Nobody reads it at the end either.
const second = pipe('second'), unread = await start_on(second, {threads: 1});
same(await fill(unread, sent), sent, 'once more it is full');
const asked = Date.now();
same(await Promise.race([unread.stop(), sleep(20000)]), 0, 'a service whose log nobody reads ends all the same');
ok(Date.now() - asked < 6000, '... without waiting long', Date.now() - asked);
const left = second.read();
ok(left.has_ended && left.text.length > 16384 && whole(left.text), '... and leaves whole lines behind', left.text.slice(-1500));

// The reader goes away.
const third = pipe('third'), alone = await start_on(third, {threads: 1});
third.close();
same(await fill(alone, 200), 200, 'with a log whose reader has gone every request is answered');
let gone = 0;
for (let i = 0; i < 50 && gone < 200; i++, await sleep(50)) gone = await dropped(alone);
ok(gone >= 200, '... and its lines are counted', gone);
await stop_clean(alone);
fs.rmSync(folder, {recursive: true});
finish();
