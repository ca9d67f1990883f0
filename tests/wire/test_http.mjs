// What RFC 9110, RFC 9457 and the contract owe a caller, on the wire.
import {ask, connect, finish, get, limit, ok, post, problem, same, start, stop_clean} from './lib.mjs';

limit(60);
const server = start({body_limit: 65536});
await server.ready;
const call = (data, options) => ask(server, data, options);

function is_problem(answer, status, type, name) {
  const p = answer?.json ?? {};
  ok(answer?.status === status && answer.headers['content-type'] === 'application/problem+json' && p.status === status &&
    p.type === `/problems/${type}` && p.title?.length > 5 && p.detail?.length > 5 && p.instance === answer.headers['x-request-id'] &&
    answer.headers['x-content-type-options'] === 'nosniff' && answer.headers['cache-control'] === 'no-store',
  name, JSON.stringify(answer)?.slice(0, 700));
}

// The index, made from the route table.
let a = await call(get('/v1'));
ok(a.status === 200 && a.headers['content-type'] === 'application/json', 'GET /v1 is JSON');
const paths = a.json.computations.map(one => one.path);
ok(paths.includes('/v1/resultant') && paths.includes('/v1/resolve'), 'the index names the computations', paths);
for (const one of a.json.computations) {
  const schema = await call(get(one.schema));
  ok(schema.status === 200 && schema.json?.title?.length > 0, `${one.path} has the schema that the index names`);
}
for (const one of a.json.documents.filter(d => !d.path.includes('{'))) {
  const document = await call(get(one.path));
  ok(document.status === 200 && document.body.length > 2, `GET ${one.path}`);
}
const contract = (await call(get('/v1/openapi.json'))).json;
same(a.json.version, contract.info.version, 'the version of the service is that of its contract');
const every = [...paths, ...a.json.documents.map(d => d.path)].sort();
same(every, Object.keys(contract.paths).sort(), 'the contract and the route table name the same paths');

// HEAD is GET without its body, also in Content-Length.
for (const target of ['/v1', '/healthz', '/problems/not-json']) {
  const [full, head] = [await call(get(target)), await call(get(target).replace('GET', 'HEAD'), {head: true})];
  for (const one of [full, head]) for (const name of ['date', 'x-request-id']) delete one.headers[name];
  same([head.status, head.headers], [full.status, full.headers], `HEAD ${target} has the fields of GET`);
}
const link = connect(server.port);
link.send(get('/v1').replace('GET', 'HEAD') + get('/healthz'));
await link.answer({head: true});
a = await link.answer();
same(a?.body, 'ok\n', 'a HEAD answer has no body on the wire');
link.close();

// OPTIONS, 405 with Allow, 501, 404.
for (const [target, allow] of [['/v1', 'GET, HEAD, OPTIONS'], ['/v1/resultant', 'POST, OPTIONS'], ['/metrics', 'GET, HEAD, OPTIONS']]) {
  a = await call(get(target).replace('GET', 'OPTIONS'));
  ok(a.status === 204 && a.headers.allow === allow && !('content-length' in a.headers), `OPTIONS ${target}`, JSON.stringify(a));
  const wrong = target === '/v1/resultant' ? get(target) : post(target, '{}');
  a = await call(wrong);
  is_problem(a, 405, 'method-not-allowed', `a wrong method at ${target} is 405`);
  same(a.headers.allow, allow, `... with Allow: ${allow}`);
}
a = await call('OPTIONS * HTTP/1.1\r\nHost: t\r\n\r\n');
ok(a.status === 204 && a.headers.allow === 'GET, HEAD, POST, OPTIONS', 'OPTIONS * is for the service as a whole', JSON.stringify(a));
is_problem(await call(get('/v1/resultant').replace('GET', 'BREW')), 501, 'not-implemented', 'an unknown method is 501');
for (const target of ['/', '/v2', '/v1/', '/v1/resultants', '/v1/schemas/', '/v1/schemas/nothing.json', '/problems/nothing', '/v1/schemas/openapi.json'])
  is_problem(await call(get(target)), 404, 'not-found', `GET ${target} is 404`);
a = await call(get('/v1/schemas/%63ommon.json'));
same(a.status, 200, 'a percent-encoded path is the path');
a = await call('GET http://t/v1?x=1 HTTP/1.1\r\nHost: t\r\n\r\n');
same(a.status, 200, 'a whole address as target');

// Every type of problem can be fetched, as JSON and as text.
for (const name of ['not-json', 'bad-request', 'not-found', 'method-not-allowed', 'not-acceptable', 'request-timeout', 'too-large', 'uri-too-long',
  'unsupported-media-type', 'expectation-failed', 'invalid-request', 'too-many-requests', 'headers-too-large', 'internal', 'not-implemented',
  'overloaded', 'work-limit']) {
  a = await call(get(`/problems/${name}`));
  const text = await call(get(`/problems/${name}`, 'Accept: text/plain\r\n'));
  ok(a.json?.type === `/problems/${name}` && a.json.mend.length > 10 && text.headers['content-type'] === 'text/plain; charset=utf-8' &&
    text.body.includes(a.json.mend) && text.headers.etag !== a.headers.etag, `/problems/${name} explains itself`);
}

// A computation, in three representations.
a = await call(post('/v1/resultant', problem));
ok(a.status === 200 && a.headers['content-type'] === 'application/json' && a.headers['cache-control'] === 'no-store' && a.json?.kind === 'resultant',
  'POST /v1/resultant', JSON.stringify(a).slice(0, 500));
const again = await call(post('/v1/resultant', problem));
same(again.body, a.body, 'the same request gives the same bytes');
for (const [accept, type] of [['text/plain', 'text/plain; charset=utf-8'], ['text/x-latex', 'text/x-latex; charset=utf-8'], ['*/*', 'application/json'],
  ['text/plain;q=0.5, application/json;q=0.5', 'application/json'], ['application/json;q=0.1, text/*;q=0.2', 'text/plain; charset=utf-8']]) {
  a = await call(post('/v1/resultant', problem, `Accept: ${accept}\r\n`));
  same([a.status, a.headers['content-type'], a.headers.vary], [200, type, 'Accept'], `Accept: ${accept}`);
}
a = await call(post('/v1/resultant', problem, 'Accept: text/html\r\nAccept: text/x-latex\r\n'));
same([a.status, a.headers['content-type']], [200, 'text/x-latex; charset=utf-8'], 'two Accept fields are one list');
is_problem(await call(post('/v1/resultant', problem, 'Accept: image/png\r\n')), 406, 'not-acceptable', 'Accept: image/png is 406');
is_problem(await call(post('/v1/resultant', problem, 'Accept: */*;q=0\r\n')), 406, 'not-acceptable', 'Accept: */*;q=0 is 406');
is_problem(await call(get('/v1', 'Accept: text/html\r\n')), 406, 'not-acceptable', 'the index is JSON only');

// Bodies: not JSON, not the schema, not the media type, too large.
is_problem(await call(post('/v1/resultant', '{"forces": [')), 400, 'not-json', 'a body that is not JSON is 400');
is_problem(await call(post('/v1/resultant', '')), 400, 'not-json', 'no body is 400');
a = await call(post('/v1/resultant', '{"forces": 7}'));
is_problem(a, 422, 'invalid-request', 'a body that breaks the schema is 422');
same(a.json?.errors?.[0]?.pointer, '/forces', '... and the place is named');
for (const type of ['text/plain', 'application/jsonx', 'application/json; charset=latin1', 'application/x-www-form-urlencoded']) {
  a = await call(post('/v1/resultant', problem, '', type));
  is_problem(a, 415, 'unsupported-media-type', `Content-Type: ${type} is 415`);
  same(a.headers.accept, 'application/json', '... with Accept');
}
for (const type of ['application/json', 'APPLICATION/JSON ; charset=utf-8', 'application/json;charset="UTF-8"'])
  same((await call(post('/v1/resultant', problem, '', type))).status, 200, `Content-Type: ${type}`);
a = await call(`POST /v1/resultant HTTP/1.1\r\nHost: t\r\nContent-Length: 2\r\n\r\n{}`);
is_problem(a, 415, 'unsupported-media-type', 'no Content-Type is 415');
a = await call(post('/v1/resultant', problem, 'Content-Encoding: gzip\r\n'));
is_problem(a, 415, 'unsupported-media-type', 'a content coding is 415');
same(a.headers['accept-encoding'], 'identity', '... with Accept-Encoding');
same((await call(post('/v1/resultant', problem, 'Content-Encoding: identity\r\n'))).status, 200, 'Content-Encoding: identity');
is_problem(await call(post('/v1/resultant', problem, 'Expect: 200-ok\r\n')), 417, 'expectation-failed', 'an unknown expectation is 417');
is_problem(await call(get(`/v1?x=${'y'.repeat(8100)}`)), 414, 'uri-too-long', 'an address of 8,100 bytes is 414');
is_problem(await call(get('/v1', Array.from({length: 70}, (_, i) => `X-${i}: y\r\n`).join(''))), 431, 'headers-too-large', '70 fields are 431');
const chunk = `${(50000).toString(16)}\r\n${' '.repeat(50000)}\r\n`;
const chunked = 'POST /v1/resultant HTTP/1.1\r\nHost: t\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n';
is_problem(await call(post('/v1/resultant', ' '.repeat(65537))), 413, 'too-large', 'a body one byte beyond the limit is 413');
is_problem(await call(chunked + chunk.repeat(3) + '0\r\n\r\n'), 413, 'too-large', 'so is a chunked one');
is_problem(await call(post('/v1/resultant', ' '.repeat(65536))), 400, 'not-json', 'a body at the limit is read');
a = await call(`${chunked}${problem.length.toString(16)}\r\n${problem}\r\n0\r\n\r\n`);
same([a.status, a.body], [200, again.body], 'a chunked body is a body');
let arrived = 0;
for (let i = 0; i < 30; i++) {
  a = await call(i % 2 ? post('/v1/resultant', ' '.repeat(3000000)) : chunked + chunk.repeat(60) + '0\r\n\r\n');
  arrived += a?.status === 413;
}
same(arrived, 30, 'the 413 of an upload of 3 MB arrives 30 times of 30');

// Expect: 100-continue is answered before the body; a refusal then saves the upload.
const patient = connect(server.port);
patient.send(post('/v1/resultant', problem, 'Expect: 100-continue\r\n').slice(0, -problem.length));
a = await patient.answer();
same(a?.status, 100, '100 before the body');
patient.send(problem);
same((await patient.answer())?.status, 200, '... and the answer after it');
patient.close();
a = await call('POST /v1/resultant HTTP/1.1\r\nHost: t\r\nContent-Type: application/json\r\nContent-Length: 9000000\r\nExpect: 100-continue\r\n\r\n');
is_problem(a, 413, 'too-large', 'a refusal instead of 100');

// Refusals keep the connection where the framing is sound.
const kept = connect(server.port);
const statuses = [];
for (const data of [get('/nope'), post('/nope', '{}'), get('/v1/resultant'), post('/v1/resultant', problem, 'Accept: image/png\r\n'),
  post('/v1/resultant', ' '.repeat(70000)), post('/v1/resultant', '{', '', 'text/plain'), get('/healthz')]) {
  kept.send(data);
  statuses.push((await kept.answer())?.status);
}
same(statuses, [404, 404, 405, 406, 413, 415, 200], 'one connection survives seven answers, six of them refusals');
const not_modified = [];
const etag_of_index = (await call(get('/v1'))).headers.etag;
kept.send(get('/v1', `If-None-Match: ${etag_of_index}\r\n`) + get('/healthz'));
for (let i = 0; i < 2; i++) not_modified.push((await kept.answer())?.body);
same(not_modified, ['', 'ok\n'], 'a 304 has no body on the wire, whatever its Content-Length');
kept.close();
const pipelined = connect(server.port);
pipelined.send(get('/healthz') + post('/v1/resultant', problem) + get('/nope') + get('/readyz'));
same([(await pipelined.answer())?.status, (await pipelined.answer())?.status, (await pipelined.answer())?.status, (await pipelined.answer())?.status],
  [200, 200, 404, 200], 'four pipelined requests are answered in order');
pipelined.close();

// Validators.
a = await call(get('/v1/openapi.json'));
const etag = a.headers.etag, length = a.headers['content-length'];
ok(/^"[0-9a-f]{16}"$/.test(etag) && /max-age=\d+/.test(a.headers['cache-control']), 'a document has a strong ETag and may be kept');
for (const value of [etag, `W/${etag}`, `"x", ${etag}`, '*']) {
  a = await call(get('/v1/openapi.json', `If-None-Match: ${value}\r\n`));
  ok(a.status === 304 && a.headers.etag === etag && a.body === '' && a.headers['content-length'] === length, `If-None-Match: ${value} is 304`);
}
same((await call(get('/v1/openapi.json', 'If-None-Match: "x"\r\n'))).status, 200, 'another ETag is 200');

// Ids, traces, and what is logged of them.
a = await call(get('/nope', 'X-Request-Id: bridge-7.a_B\r\n'));
same(a.json?.instance, 'bridge-7.a_B', 'an id of the client goes through');
for (const id of ['has space', 'x'.repeat(65), 'quote"']) {
  a = await call(get('/healthz', `X-Request-Id: ${id}\r\n`));
  ok(/^[0-9a-f]{16}$/.test(a.headers['x-request-id']), `the id ${id.slice(0, 9)} is replaced`);
}
const trace = '4bf92f3577b34da6a3ce929d0e0e4736';
for (const [value, is_valid] of [[`00-${trace}-00f067aa0ba902b7-01`, true], [`01-${trace}-00f067aa0ba902b7-01`, false], [`00-${'0'.repeat(32)}-00f067aa0ba902b7-01`, false],
  [`00-${trace.toUpperCase()}-00f067aa0ba902b7-01`, false], ['nonsense', false]]) {
  const id = `trace-${Math.random().toString(36).slice(2)}`;
  a = await call(get('/healthz', `traceparent: ${value}\r\nX-Request-Id: ${id}\r\n`));
  await new Promise(resolve => setTimeout(resolve, 50));
  const line = server.log.split('\n').find(one => one.includes(id)) ?? '';
  ok(a.status === 200 && line.includes(`"trace":"${trace}"`) === is_valid, `traceparent ${value.slice(0, 20)} is ${is_valid ? 'logged' : 'ignored'}`, line);
}
await call(get('/a%22%0a%1b%c3%a9'));
await new Promise(resolve => setTimeout(resolve, 50));
const lines = server.log.trim().split('\n').map(line => { try { return JSON.parse(line); } catch { return line; } });
ok(lines.every(line => typeof line === 'object' && /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$/.test(line.time) && line.level && (line.event || (line.id && line.method && line.route))),
  'every line of the log is one JSON object', lines.find(line => typeof line !== 'object'));
ok(lines.some(line => line.path?.startsWith('/a"\n\u001b')), 'what a client sent is escaped in the log');
ok(!server.log.includes('magnitude'), 'no body is in the log');

// Metrics: well-formed, and never labelled by a raw path.
a = await call(get('/metrics'));
const families = new Map(), bad = [];
for (const line of a.body.trim().split('\n')) {
  const meta = /^# (HELP|TYPE) ([a-z_]+) (.+)$/.exec(line);
  if (meta) { families.set(meta[2], {...families.get(meta[2]), [meta[1]]: meta[3]}); continue; }
  const sample = /^([a-z_]+)(\{[a-z]+="[^"\\]*"(,[a-z]+="[^"\\]*")*\})? ([0-9.e+-]+)$/.exec(line);
  const family = sample && families.get(sample[1].replace(/_(bucket|sum|count)$/, m => families.has(sample[1]) ? m : ''));
  if (!family?.HELP || !family?.TYPE || (family.TYPE === 'counter' && !sample[1].endsWith('_total'))) bad.push(line);
}
ok(a.headers['content-type'].startsWith('text/plain; version=0.0.4') && bad.length === 0 && families.size > 8, 'every sample of /metrics belongs to a family', bad.join('\n'));
ok(a.body.includes('tiptail_http_requests_total{route="other",method="GET",status="404"}') && !a.body.includes('/nope'), 'unknown paths are one label');
ok(/tiptail_http_requests_in_flight 1\n/.test(a.body), 'the scrape itself is the only request in flight');
const value = name => Number(a.body.split('\n').find(line => line.startsWith(`${name} `))?.slice(name.length));
same(value('tiptail_http_request_duration_seconds_bucket{route="/v1/resultant",le="+Inf"}'), value('tiptail_http_request_duration_seconds_count{route="/v1/resultant"}'), 'the last bucket is the count');
await stop_clean(server);

// CORS is off above; here it is on.
const origin = 'https://museum.example';
for (const [setting, allowed] of [['*', '*'], [`https://school.example,${origin}`, origin]]) {
  const open = start({cors: setting});
  await open.ready;
  a = await ask(open, post('/v1/resultant', problem, `Origin: ${origin}\r\n`));
  same([a.headers['access-control-allow-origin'], a.headers['access-control-expose-headers']], [allowed, 'ETag, Retry-After, X-Request-Id'], `cors ${setting}: an answer`);
  a = await ask(open, get('/nope', `Origin: ${origin}\r\n`));
  same([a.status, a.headers['access-control-allow-origin']], [404, allowed], '... an error');
  a = await ask(open, get('/v1/resultant', `Origin: ${origin}\r\nAccess-Control-Request-Method: POST\r\nAccess-Control-Request-Headers: content-type\r\n`).replace('GET', 'OPTIONS'));
  same([a.status, a.headers['access-control-allow-methods'], a.headers['access-control-allow-headers'], a.headers['access-control-max-age']],
    [204, 'POST, OPTIONS', 'Content-Type, X-Request-Id, traceparent', '3600'], '... a preflight');
  a = await ask(open, get('/v1', 'Origin: https://elsewhere.example\r\n'));
  same(a.headers['access-control-allow-origin'], setting === '*' ? '*' : undefined, '... another origin');
  if (setting !== '*') same(a.headers.vary, 'Origin', '... and caches are told');
  await stop_clean(open);
}
const closed = start();
await closed.ready;
a = await ask(closed, get('/v1', `Origin: ${origin}\r\n`));
ok(!Object.keys(a.headers).some(name => name.startsWith('access-control')), 'cors is off by default');
await stop_clean(closed);

// A limit on what one client may ask.
const limited = start({rate_limit: 5, threads: 1});
await limited.ready;
const got = [];
for (let i = 0; i < 14; i++) got.push((a = await ask(limited, post('/v1/resultant', problem))).status);
ok(got.slice(0, 10).every(s => s === 200) && got.slice(11).every(s => s === 429), 'rate-limit 5 lets 10 through at once, then refuses', got);
is_problem(a, 429, 'too-many-requests', 'a refusal is 429');
ok(Number(a.headers['retry-after']) >= 1, '... with Retry-After');
same((await ask(limited, get('/healthz'))).status, 200, 'the limit is for computations only');
await stop_clean(limited);
finish();
