// /metrics and the alerts as Prometheus' own tool reads them.
import {spawnSync} from 'node:child_process';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import {ask, connect, finish, get, limit, need, ok, post, problem, root, start, stop_clean} from '../wire/lib.mjs';

limit(60);
need('promtool');
process.chdir(root);
const server = start({threads: 2, request_timeout: 1, log_level: 'none'}, {program: 'build/tiptail'});
await server.ready;
const slow = connect(server.port);
slow.send('POST /v1/resultant HTTP/1.1\r\nHost: t\r\n');
for (const data of [post('/v1/resultant', problem), post('/v1/resultant', '{'), post('/v1/resultant', '{}'), get('/nope"\\'), get('/v1'), get('/readyz'), get('/v1/resultant')])
  await ask(server, data);
await slow.answer({ms: 4000});
const {body} = await ask(server, get('/metrics'));
const checked = spawnSync('promtool', ['check', 'metrics'], {input: body, encoding: 'utf8'});
ok(checked.status === 0 && checked.stderr === '', 'promtool check metrics has nothing to say', checked.error ?? checked.stderr);
const broken = spawnSync('promtool', ['check', 'metrics'], {input: `${body}tiptail_x{ 1\n`, encoding: 'utf8'});
ok(broken.status !== 0, '... and would say so');
for (const [reason, n] of [['not-json', 1], ['invalid-request', 1], ['not-found', 1], ['bad-request', 0], ['method-not-allowed', 1], ['request-timeout', 1], ['internal', 0]])
  ok(body.includes(`tiptail_http_refused_total{reason="${reason}"} ${n}\n`), `refusals by reason: ${n} ${reason}`, body.match(new RegExp(`.*"${reason}".*`))?.[0]);
ok(body.includes('\ntiptail_log_lines_dropped_total 0\n'), 'lines of the log that were dropped are counted');
await stop_clean(server);

const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'tiptail-alerts-'));
fs.copyFileSync('deploy/alerts.yml', path.join(folder, 'alerts.yml'));
fs.copyFileSync('tests/deploy/alerts.test.yml', path.join(folder, 'test.yml'));
for (const args of [['check', 'rules', 'alerts.yml'], ['test', 'rules', 'test.yml']]) {
  const got = spawnSync('promtool', args, {cwd: folder, encoding: 'utf8'});
  ok(got.status === 0, `promtool ${args.join(' ')}`, `${got.stdout}${got.stderr}`);
}
fs.rmSync(folder, {recursive: true});
finish();
