// Requests byte by byte: each file of raw/ is one. First line: the status, and whether the connection
// is kept or closed. `library`: the answer is the library's own page (or none). `hidden`: the library
// hides the fault from us; pinned, so that a release that mends it is noticed. `by-hand`: written to
// the socket past the library. Then a comment and the
// bytes: line ends of the file do not count, \r \n \t \0 \xNN do; "@70 X" is X seventy times.
import fs from 'node:fs';
import path from 'node:path';
import {connect, finish, get, limit, ok, root, start, stop_clean} from './lib.mjs';

limit(60);
const folder = path.join(root, 'tests/wire/raw');
const escapes = {r: '\r', n: '\n', t: '\t', 0: '\0'};
const unescape = text => text.replace(/\\(x([0-9a-f]{2})|[rnt0])/g, (_, one, hex) => hex ? String.fromCharCode(parseInt(hex, 16)) : escapes[one]);

const server = start();
await server.ready;
for (const name of fs.readdirSync(folder).filter(one => one.endsWith('.txt')).sort()) {
  const [expected, comment, ...lines] = fs.readFileSync(path.join(folder, name), 'utf8').trimEnd().split('\n');
  const bytes = lines.map(line => {
    const times = /^@(\d+) (.*)$/.exec(line);
    return times ? unescape(times[2]).repeat(Number(times[1])) : unescape(line);
  }).join('');
  const link = connect(server.port);
  link.send(Buffer.from(bytes, 'latin1'));
  const answer = await link.answer({ms: 2000});
  // A kept connection answers once more.
  let keeps = false;
  if (answer && !link.is_ended) {
    link.send(get('/healthz'));
    keeps = (await link.answer({ms: 2000}))?.status === 200;
  }
  const is_ours = answer?.headers['x-request-id'] !== undefined;
  const [kind, status] = /^(library|hidden|by-hand)? ?(\d*)/.exec(expected).slice(1);
  const is_right = (status ? answer?.status === Number(status) : !answer) &&
    (kind === 'library' ? !is_ours : is_ours) &&
    (kind === 'library' || answer.status < 400 || answer.headers['content-type'] === 'application/problem+json');
  ok(is_right && keeps === expected.endsWith('keeps'), `${name}: ${expected} (${comment.slice(2)})`,
    `${answer?.line ?? 'no answer'}, ${keeps ? 'kept' : 'closed'}, ${is_ours ? 'ours' : 'not ours'}\n${answer?.body}`);
  link.close();
}
await stop_clean(server);
finish();
