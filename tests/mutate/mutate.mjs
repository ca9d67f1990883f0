// Mutates src/statics by one token at a time and asks of each mutant: does it change a result; do
// its numbers and its working still agree; do the tests notice?
//
// MUTANTS=n SEED=s draws n of them (default: all), EACH=n so many of each file, FILES=pattern only of
// these; JOBS (default: cores). Mutants that change nothing over the corpus (random exercises, awkward
// problems and every case in tests/) are left out of the count.
// A mutant is compiled into a shared object and put before libtiptail.so by LD_PRELOAD, so that
// nothing is linked again. Fails where more than 5 % of the result-changing mutants survive, or where
// one leaves number and working in disagreement.
import {execFile, execFileSync, spawnSync} from 'node:child_process';
import {mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync} from 'node:fs';
import {basename} from 'node:path';
import {cpus} from 'node:os';
import {readCorpus} from '../npm/corpus.mjs';
import {readJson} from '../npm/lib.mjs';
import {applied, mutations} from './tokens.mjs';

process.chdir(new URL('../..', import.meta.url).pathname);
const BUILD = 'build/mutate';
const JOBS = Number(process.env.JOBS || cpus().length);
const SEED = Number(process.env.SEED || Date.now() % 1e6);
const SECONDS = 20; // of one run; the slowest test takes far less without sanitizers
const SURVIVORS_ALLOWED = 0.05;
const SCRIPTS = ['tests/npm/test_cases.mjs', 'tests/npm/test_examples.mjs', 'tests/npm/test_faults.mjs']; // beside the C tests
const CC = process.env.CC || 'gcc';
const SECCOMP = spawnSync('pkg-config', ['--exists', 'libseccomp']).status === 0 ? ['libseccomp'] : [];
const LIBRARIES = ['libmicrohttpd', 'libcjson', 'libpcre2-8', ...SECCOMP];
const flags = (kind) => execFileSync('pkg-config', [kind, ...LIBRARIES], {encoding: 'utf8'}).trim().split(/\s+/).filter(Boolean);
const COMPILE = ['-std=c17', '-D_POSIX_C_SOURCE=200809L', '-O1', '-fPIC', '-w', '-ffp-contract=off', '-Isrc', ...flags('--cflags')];
const LINK = ['-pthread', ...flags('--libs'), '-lm'];

const run = (command, args, options = {}) => new Promise((resolve) => {
    execFile(command, args, {encoding: 'utf8', timeout: SECONDS * 1000, killSignal: 'SIGKILL',
        maxBuffer: 64 << 20, ...options}, (error, stdout, stderr) => resolve({error, stdout, stderr}));
});

// ---- what the mutants are tried on ----
const tests = readdirSync('tests').filter((f) => /^test_.*\.c$/.test(f)).map((f) => basename(f, '.c'));
const objects = ['src/main', 'tests/mutate/effect', 'tests/filter', ...tests.map((t) => `tests/${t}`)].map((o) => `${BUILD}/${o}.o`);
execFileSync('make', ['-s', `-j${JOBS}`, `${BUILD}/libtiptail.a`, `${BUILD}/liboracle.a`, ...objects],
    {stdio: ['ignore', 'ignore', 'inherit'], env: {...process.env, MAKEFLAGS: '', MAKELEVEL: ''}});
const library = `${BUILD}/libtiptail.so`;
execFileSync(CC, ['-shared', '-o', library, '-Wl,--whole-archive', `${BUILD}/libtiptail.a`, '-Wl,--no-whole-archive', ...LINK]);
// The reference libraries of single tests stand in the Makefile: LIBS_name = …
const references = new Map([...readFileSync('Makefile', 'utf8').matchAll(/^LIBS_(\w+) = (.*)$/gm)].map(([, name, libraries]) => [`test_${name}`, libraries.split(' ')]));
const program = (name, parts) => execFileSync(CC, ['-o', `${BUILD}/${name}`, ...parts, `${BUILD}/liboracle.a`, library,
    `-Wl,-rpath,${process.cwd()}/${BUILD}`, '-lcmocka', ...references.get(name) ?? [], ...LINK]);
program('effect', [`${BUILD}/tests/mutate/effect.o`]);
program('tiptail', [`${BUILD}/src/main.o`]);
// The program for the tests over HTTP: node itself must not load the mutant.
writeFileSync(`${BUILD}/program`, '#!/bin/sh\nLD_PRELOAD=$MUTANT exec "$(dirname "$0")/tiptail" "$@"\n', {mode: 0o755});
// The tests that reach the statics, by the symbols they ask for.
const reaches = tests.filter((t) => /\b(statics_\w+|endpoints|solve)\b/.test(
    execFileSync('nm', ['-u', `${BUILD}/tests/${t}.o`], {encoding: 'utf8'})));
const environment = {...process.env, SIM_ANSWERS: '400', SIM_SEED: '1', ORACLE_EXERCISES: '40', ORACLE_SEED: '1', CMOCKA_MESSAGE_OUTPUT: 'STDOUT'};
const candidates = reaches.map((t) => {
    program(t, [`${BUILD}/tests/${t}.o`, `${BUILD}/tests/filter.o`]);
    return {name: t, test: (mutant) => run(`${BUILD}/${t}`, [], {env: {...environment, LD_PRELOAD: mutant}})};
});
for (const script of SCRIPTS)
    candidates.push({name: basename(script), test: (mutant) =>
        run('node', [script], {env: {...environment, MUTANT: mutant, TIPTAIL_PROGRAM: `${BUILD}/program`}})});
const killers = [];
for (const killer of candidates) {
    const started = Date.now(), {error, stdout} = await killer.test('');
    killer.ms = Date.now() - started;
    killer.kills = 0;
    if (error) console.log(`# ${killer.name} fails without any mutation and is left out:\n${stdout.split('\n').filter((l) => /^not ok|^#   |rror/.test(l)).slice(0, 5).map((l) => `#   ${l}`).join('\n')}`);
    else killers.push(killer);
}

// The corpus: awkward problems and faulty requests, the examples, the published cases and what the
// tests of the notations look at; one a line: path, space, request.
const corpus = `${BUILD}/corpus.txt`;
const contract = readJson('api', 'openapi.json');
const kinds = new Set(Object.keys(contract.paths).map((path) => path.replace('/v1/', '')));
const lines = [...readFileSync('tests/mutate/awkward.txt', 'utf8').trim().split('\n'),
    ...readJson('tests', 'data', 'museum.json').map(({path, request}) => `${path} ${JSON.stringify(request)}`),
    ...readCorpus(kinds, contract).map(({kind, request}) => `/v1/${kind} ${JSON.stringify(request)}`)];
writeFileSync(corpus, lines.map((l) => l + '\n').join(''));
const effect = (preload) => run(`${BUILD}/effect`, [corpus], {env: {...process.env, LD_PRELOAD: preload}});

// One line a request: hashes of answer, key, working; or the problem.
const baseline = await effect('');
const disagreements = (text) => text.split('\n').filter((l) => l.startsWith('disagree'));
const answers = (text) => text.trim().split('\n').filter((l) => !l.startsWith('disagree'));
const expected = answers(baseline.stdout), known = new Set(disagreements(baseline.stdout));
if (baseline.error && (baseline.error.code !== 1 || known.size === 0)) {
    console.log(`the unchanged sources fail the effect run: ${baseline.error.message}`);
    process.exit(1);
}
for (const line of known) console.log(`without any mutation: ${line}`);

// Which lines of a source the corpus reaches (gcov): a change elsewhere cannot have an effect.
const sources = readdirSync('src/statics').filter((f) => f.endsWith('.c')).map((f) => `src/statics/${f}`);
const covered = `${BUILD}/coverage`;
rmSync(covered, {recursive: true, force: true});
mkdirSync(covered, {recursive: true});
const parts = sources.map((file) => `${covered}/${basename(file, '.c')}.o`);
await Promise.all(sources.map((file, i) => run(CC, [...COMPILE, '-O0', '--coverage', '-c', '-o', parts[i], file])));
execFileSync(CC, ['--coverage', '-o', `${covered}/effect`, `${BUILD}/tests/mutate/effect.o`, ...parts, `${BUILD}/liboracle.a`, library,
    `-Wl,-rpath,${process.cwd()}/${BUILD}`, ...LINK]);
await run(`${covered}/effect`, [corpus]);
const reached = new Map();
for (const [i, file] of sources.entries()) {
    const {stdout} = await run('gcov', ['-t', '-o', parts[i], file]), lines = [];
    let last = true; // a line without code of its own belongs to the one before
    let isOwn = false; // headers have sections of their own
    for (const [, count, line, text] of stdout.matchAll(/^ *([^:]+): *(\d+):(.*)$/gm)) {
        if (line === '0' && text.startsWith('Source:')) isOwn = text === `Source:${file}`;
        if (!isOwn) continue;
        if (count !== '-') last = !/^[#=]/.test(count);
        lines[Number(line)] = last;
    }
    reached.set(file, lines);
}

// ---- the mutants ----
let state = SEED >>> 0;
const random = () => { // mulberry32
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ state >>> 15, state | 1);
    t ^= t + Math.imul(t ^ t >>> 7, t | 61);
    return ((t ^ t >>> 14) >>> 0) / 4294967296;
};
const every = sources.flatMap((file) => {
    const text = readFileSync(file, 'utf8');
    return mutations(text).map((m) => ({...m, file, text}));
});
const FILES = new RegExp(process.env.FILES || '');
const all = every.filter((m) => reached.get(m.file)[m.line] && FILES.test(basename(m.file)));
for (let i = all.length - 1; i > 0; i--) {
    const k = Math.floor(random() * (i + 1));
    [all[i], all[k]] = [all[k], all[i]];
}
const EACH = Number(process.env.EACH || all.length), taken = new Map();
const drawn = all.filter((m) => {
    taken.set(m.file, (taken.get(m.file) ?? 0) + 1);
    return taken.get(m.file) <= EACH;
}).slice(0, Number(process.env.MUTANTS || all.length));
console.log(`SEED=${SEED}: ${drawn.length} of ${all.length} one-token changes of ${sources.length} files ` +
    `(${every.length - all.length} more in lines that the corpus does not reach); ` +
    `${expected.length} requests; tests: ${killers.map((k) => k.name).join(' ')}`);

const folder = `${BUILD}/mutants`;
rmSync(folder, {recursive: true, force: true});
mkdirSync(folder, {recursive: true});

async function tryOne(m, index) {
    const source = `${folder}/${index}.c`, object = `${folder}/${index}.so`;
    writeFileSync(source, applied(m.text, m));
    const built = await run(CC, [...COMPILE, '-Isrc/statics', '-shared', '-o', object, source]);
    if (built.error) return 'no program';
    const {error, stdout} = await effect(`${process.cwd()}/${object}`);
    const got = answers(stdout);
    m.disagrees = disagreements(stdout).find((l) => !known.has(l));
    const crashed = error && (error.code !== 1 || got.length !== expected.length);
    const field = (l, k) => l?.split(' ')[k];
    const differs = (k) => expected.some((l, i) => field(l, k) !== field(got[i], k));
    m.effect = error?.killed ? 'hangs' : crashed ? 'crashes'
        : differs(0) ? 'result' : differs(1) ? 'allowance' : differs(2) ? 'working' : null;
    if (!m.effect && !m.disagrees) return 'no effect';
    // What has killed most in its time goes first.
    const worth = (killer) => (killer.kills + 1) / killer.ms;
    for (const killer of [...killers].sort((a, b) => worth(b) - worth(a))) {
        const {error: failed} = await killer.test(`${process.cwd()}/${object}`);
        if (failed) {
            m.killer = killer.name;
            killer.kills++;
            break;
        }
    }
    rmSync(object);
    return 'tried';
}

let next = 0, done = 0;
const began = Date.now();
async function worker() {
    while (next < drawn.length) {
        const index = next++;
        drawn[index].outcome = await tryOne(drawn[index], index);
        if (++done % 200 === 0) console.error(`${done} of ${drawn.length}, ${Math.round((Date.now() - began) / 1000)} s`);
    }
}
await Promise.all(Array.from({length: JOBS}, worker));

// ---- the report ----
const tried = drawn.filter((m) => m.outcome === 'tried');
const changing = tried.filter((m) => ['result', 'crashes', 'hangs'].includes(m.effect));
const percent = (part, whole) => whole ? (100 * part / whole).toFixed(1) : '-';
const groups = [['result changed', changing], ['only an allowance', tried.filter((m) => m.effect === 'allowance')],
    ['only the working', tried.filter((m) => m.effect === 'working')]];
console.log(`${drawn.filter((m) => m.outcome === 'no program').length} do not compile, ` +
    `${drawn.filter((m) => m.outcome === 'no effect').length} change nothing over the corpus`);
for (const [name, group] of groups) {
    const killed = group.filter((m) => m.killer).length;
    console.log(`${name.padEnd(18)} ${String(group.length).padStart(5)} mutants, ${killed} killed (${percent(killed, group.length)} %)`);
}
if (process.env.EACH)
    for (const file of [...taken.keys()].sort()) {
        const of = changing.filter((m) => m.file === file), killed = of.filter((m) => m.killer).length;
        const apart = tried.filter((m) => m.file === file && m.disagrees && !m.killer).length;
        console.log(`${file.padEnd(34)} ${String(of.length).padStart(3)} change a result, ` +
            `${percent(killed, of.length).padStart(5)} % killed, ${apart} survive in disagreement`);
    }
const by = {};
tried.forEach((m) => m.killer && (by[m.killer] = (by[m.killer] || 0) + 1));
console.log('killed first by: ' + Object.entries(by).map(([name, n]) => `${name} ${n}`).join(', '));
const survivors = tried.filter((m) => !m.killer).sort((a, b) => a.file.localeCompare(b.file) || a.line - b.line);
for (const m of survivors)
    console.log(`survives: ${m.file}:${m.line} ${m.what} (${m.effect})`);
const surviving = survivors.filter((m) => changing.includes(m)).length;
const disagreeing = tried.filter((m) => m.disagrees);
for (const m of disagreeing)
    console.log(`number and working disagree: ${m.file}:${m.line} ${m.what}${m.killer ? ` (killed by ${m.killer})` : ''}\n    ${m.disagrees}`);
const unnoticed = disagreeing.filter((m) => !m.killer).length;
console.log(`mutants that survive with number and working in disagreement: ${unnoticed}` +
    ` (of all tried: ${disagreeing.length})`);
console.log(`${Math.round((Date.now() - began) / 1000)} s`);

// All of them are held to 5 %; a sample fails where it shows, by three standard deviations, that more than 5 % survive.
const isSample = drawn.length < all.length;
const allowed = SURVIVORS_ALLOWED * changing.length +
    (isSample ? 3 * Math.sqrt(changing.length * SURVIVORS_ALLOWED * (1 - SURVIVORS_ALLOWED)) : 0);
const checks = [
    [changing.length > 0 && surviving <= allowed,
        `at most 5 % of the result-changing mutants survive (${surviving} of ${changing.length}${isSample ? ', a sample' : ''})`],
    [tried.length > 0 && unnoticed === 0, 'no surviving mutant lets number and working disagree'],
    [known.size === 0, 'number and working agree without any mutation'],
];
console.log(`1..${checks.length}`);
checks.forEach(([good, text], i) => console.log(`${good ? 'ok' : 'not ok'} ${i + 1} - ${text}`));
const passed = checks.filter(([good]) => good).length;
console.log(`${passed} passed, ${checks.length - passed} failed`);
process.exit(passed === checks.length ? 0 : 1);
