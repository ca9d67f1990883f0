// The long ones: every 413 of a large upload arrives, a drain under load loses nothing, memory does
// not grow.
import fs from 'node:fs';
import {ask, connect, finish, get, limit, ok, post, problem, same, sleep, start, stop_clean} from './lib.mjs';

limit(900);
const program = process.env.PROGRAM ?? 'build/tiptail';

// 20 MB where 1 MiB is allowed, announced and in chunks.
const uploads = start({log_level: 'none'}, {program});
await uploads.ready;
const filler = Buffer.alloc(1 << 20, ' '), size = filler.length.toString(16);
let told = 0;
for (let i = 0; i < 100; i++) {
  const link = connect(uploads.port);
  const head = 'POST /v1/resultant HTTP/1.1\r\nHost: t\r\nContent-Type: application/json\r\n';
  if (i % 2) {
    link.send(`${head}Content-Length: ${20 * filler.length}\r\n\r\n`);
    for (let k = 0; k < 20; k++) link.send(filler);
  } else {
    link.send(`${head}Transfer-Encoding: chunked\r\n\r\n`);
    for (let k = 0; k < 20; k++) {
      link.send(`${size}\r\n`);
      link.send(filler);
      link.send('\r\n');
    }
    link.send('0\r\n\r\n');
  }
  const answer = await link.answer({ms: 20000});
  told += answer?.status === 413 && answer.json?.type === '/problems/too-large';
  link.close();
}
same(told, 100, 'the 413 of an upload of 20 MB arrives 100 times of 100');
// Beyond what is read and thrown away the answer is written past the library.
const endless = connect(uploads.port);
endless.send('POST /v1/resultant HTTP/1.1\r\nHost: t\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n');
for (let k = 0; k < 90 && !endless.is_ended; k++) {
  endless.send(`${size}\r\n`);
  endless.send(filler);
  endless.send('\r\n');
  await sleep(2);
}
await endless.end(5000);
ok(endless.is_ended, 'an endless body is cut off');
endless.close();
await stop_clean(uploads);

// SIGTERM while clients ask: whoever was let in gets an answer. A client that reuses a connection
// obeys Connection: close; one that is refused was not let in.
let asked = 0, lost = 0, dirty = 0;
const rounds = Number(process.env.ROUNDS ?? 12);
for (let round = 0; round < rounds; round++) {
  const server = start({log_level: 'none', drain_delay: 1}, {program});
  await server.ready;
  let is_over = false;
  const client = async keeps => {
    let link = null;
    while (!is_over) {
      if (!link || link.is_ended) {
        link = connect(server.port);
        const error = await new Promise(resolve => {
          link.socket.once('connect', () => resolve(null));
          link.socket.once('error', e => resolve(e.code));
        });
        if (error) return;
      }
      asked++;
      link.send(post('/v1/resultant', problem, keeps ? '' : 'Connection: close\r\n'));
      const answer = await link.answer({ms: 5000});
      if (answer?.status !== 200) {
        lost++;
        return;
      }
      if (!keeps || answer.headers.connection === 'close') {
        link.close();
        link = null;
      }
    }
  };
  const clients = Array.from({length: 40}, (_, i) => client(i % 4 !== 0));
  await sleep(300 + 37 * round);
  dirty += await server.stop() !== 0;
  is_over = true;
  await Promise.all(clients);
}
ok(lost === 0 && dirty === 0 && asked > 1000, `no request of ${asked} is lost over ${rounds} restarts`, `${lost} lost, ${dirty} ends with another status than 0`);

// Memory after many requests of every kind, and with many connections come and gone.
const server = start({log_level: 'none'}, {program});
await server.ready;
const resident = () => Number(/VmRSS:\s+(\d+)/.exec(fs.readFileSync(`/proc/${server.pid}/status`, 'utf8'))[1]);
const kinds = [post('/v1/resultant', problem), post('/v1/resultant', '{"forces": 7}'), post('/v1/resultant', '{'), get('/v1'), get('/nope'),
  post('/v1/resultant', problem, 'Accept: text/plain\r\n'), get('/metrics'), post('/v1/resultant', ' '.repeat(200000))];
async function run(batches) {
  let good = 0;
  for (let i = 0; i < batches; i++) {
    const link = connect(server.port);
    link.send(kinds[i % kinds.length].repeat(50));
    for (let k = 0; k < 50; k++) good += (await link.answer({ms: 5000})) !== null;
    link.close();
  }
  return good;
}
await run(200);
const before = resident();
same(await run(2000), 100000, '100,000 requests are answered');
const after = resident();
ok(after - before < 1024, `memory stays: ${before} kB before, ${after} kB after`);
console.log(`# ready in ${server.ready_ms.toFixed(0)} ms, ${after} kB resident`);
await stop_clean(server);
finish();
