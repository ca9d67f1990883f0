// The release program within its sandbox: everything is served, nothing is logged about it, and the
// kernel says which layers hold for every thread. What is forbidden is tried in tests/test_sandbox.c.
import fs from 'node:fs';
import {ask, connect, finish, get, limit, ok, post, problem, same, start, stop_clean} from './lib.mjs';

limit(60);
const program = process.env.PROGRAM ?? 'build/tiptail';
const server = start({sandbox: 'require', threads: 2, drain_delay: 0}, {program});
if (await server.ready.then(() => true, () => false)) {
  const states = fs.readdirSync(`/proc/${server.pid}/task`).map(id => fs.readFileSync(`/proc/${server.pid}/task/${id}/status`, 'utf8'));
  ok(states.length === 6 && states.every(text => /^NoNewPrivs:\t1$/m.test(text) && /^Seccomp:\t2$/m.test(text)), 'every thread has its filter and no new privileges',
    states.map(text => /NoNewPrivs[^]*Seccomp:.*/.exec(text)[0]).join('\n'));
  const index = (await ask(server, get('/v1'))).json;
  for (const one of index.documents.filter(d => !d.path.includes('{')))
    same((await ask(server, get(one.path))).status, 200, `GET ${one.path} within the sandbox`);
  for (const accept of ['application/json', 'text/plain', 'text/x-latex'])
    same((await ask(server, post('/v1/resultant', problem, `Accept: ${accept}\r\n`))).status, 200, `a computation as ${accept}`);
  same((await ask(server, post('/v1/resultant', '{'))).status, 400, 'a refusal');
  // Enough memory for the allocator to ask the kernel, enough connections for its tables to grow.
  same((await ask(server, post('/v1/resultant', `{"forces": [${Array(900).fill('{"magnitude": 2.5, "direction": {"angle": 217.5}}').join()}]}`))).status, 200, '900 forces');
  const links = Array.from({length: 300}, () => connect(server.port));
  links.forEach(link => link.send(get('/healthz')));
  same((await Promise.all(links.map(link => link.answer()))).filter(a => a?.status === 200).length, 300, '300 connections at once');
  links.forEach(link => link.close());
  const metrics = (await ask(server, get('/metrics'))).body;
  ok(['no-new-privileges', 'landlock', 'seccomp'].every(layer => metrics.includes(`tiptail_sandbox{layer="${layer}"} 1\n`)), '/metrics says which layers hold');
  ok(/process_resident_memory_bytes \d{6,}\n/.test(metrics), 'memory is still measured');
  await stop_clean(server);
} else {
  ok(await server.ended === 1 && /sandbox is "require", and there is no (landlock|seccomp) here/.test(server.log), 'where the kernel lacks a layer, "require" does not start and says so', server.log);
}
const open = start({sandbox: 'off', drain_delay: 0}, {program});
await open.ready;
ok(/^Seccomp:\t0$/m.test(fs.readFileSync(`/proc/${open.pid}/status`, 'utf8')) && (await ask(open, get('/metrics'))).body.includes('tiptail_sandbox{layer="seccomp"} 0\n'), 'sandbox off is off, and /metrics says so');
await stop_clean(open);
finish();
