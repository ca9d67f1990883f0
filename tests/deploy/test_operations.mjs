// docs/operations.md against the program and the files it speaks of.
import {spawnSync} from 'node:child_process';
import fs from 'node:fs';
import {finish, ok, root, same} from '../wire/lib.mjs';

process.chdir(root);
const page = fs.readFileSync('docs/operations.md', 'utf8');
const help = spawnSync(process.env.PROGRAM ?? 'build/tiptail', ['--help'], {encoding: 'utf8'}).stdout;
const said = [...help.matchAll(/\n  --([a-z-]+) \(default ([^,)]*)(?:, from (\d+) to (\d+))?\)\n      (TIPTAIL_\w+)\n      (.*)\n/g)]
  .map(([, name, standard, least, most, variable, text]) => `| \`--${name}\` | \`${variable}\` | ${standard} | ${least ? `${least} to ${most}` : ''} | ${text} |`);
const table = page.split('\n').filter(line => line.startsWith('| `--'));
ok(said.length >= 17, `--help lists ${said.length} settings`);
for (let i = 0; i < Math.max(said.length, table.length); i++) same(table[i], said[i], `row ${i + 1} of the table of settings is that of --help`);

// Limits that the page states in words.
const defined = (file, name) => Number(new RegExp(`#define ${name}\\s+(\\d+)\\b`).exec(fs.readFileSync(file, 'utf8'))?.[1]);
for (const [file, name, words] of [['src/server/guard.h', 'GUARD_TARGET_BYTES', 'bytes of address'], ['src/server/guard.h', 'GUARD_ARGUMENTS', 'arguments'],
  ['src/server/guard.h', 'GUARD_FIELDS', 'fields'], ['src/server/guard.h', 'GUARD_FIELD_BYTES', 'bytes'], ['src/main.c', 'DESCRIPTORS_BESIDE', null]]) {
  const number = defined(file, name).toLocaleString('en');
  ok(page.includes(words ? `${number} ${words}` : `\`connections\` by ${number}`), `${name} is ${number} on the page as well`);
}
// Every metric that the page or the alerts name is served, and every reason exists.
const metrics = fs.readFileSync('src/server/metrics.c', 'utf8'), problems = fs.readFileSync('src/base/problems.def', 'utf8');
const alerts = fs.readFileSync('deploy/alerts.yml', 'utf8');
for (const name of new Set(`${page}${alerts}`.match(/(tiptail|process)_[a-z_]+(?:_total|_seconds|_bytes|connections|sandbox|info|flight)(_bucket)?/g)))
  ok(metrics.includes(`"${name.replace('_bucket', '')}"`), `${name} is a metric`);
for (const [, reason] of `${page}${alerts}`.matchAll(/reason="([a-z-]+)"/g)) ok(problems.includes(`"${reason}"`), `${reason} is a type of problem`);
finish();
