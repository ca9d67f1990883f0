// CPU time per request, alternated rounds in one run: the service, libmicrohttpd with fixed bytes,
// nginx `return` of the same bytes, and a schema-first Node framework that computes the same answer.
// One thread each on core 0, wrk on core 1, keep-alive on loopback.
import {execFileSync, spawn} from 'node:child_process';
import {mkdirSync, readFileSync, writeFileSync} from 'node:fs';
import {createServer} from 'node:net';
import {cpus} from 'node:os';

const ROUNDS = Number(process.env.BENCH_ROUNDS || 7);
const SECONDS = Number(process.env.BENCH_SECONDS || 1);
const REQUESTS = Number(process.env.BENCH_REQUESTS || 1e6);
const CONNECTIONS = 16;
const FOLDER = 'build/bench';
const REQUEST = 'tests/bench/request.json';
const TICK_US = 1e6 / Number(execFileSync('getconf', ['CLK_TCK'], {encoding: 'utf8'}));
const cores = cpus().length;
const pinned = (core, command) => cores > 1 ? ['taskset', '-c', String(core), ...command] : command;

mkdirSync(FOLDER, {recursive: true});
const started = [];
process.on('exit', () => started.forEach((child) => child.kill('SIGKILL')));
process.on('SIGINT', () => process.exit(130));
process.on('SIGTERM', () => process.exit(143));

const freePort = () => new Promise((resolve) => {
    const server = createServer().listen(0, '127.0.0.1', () => {
        const {port} = server.address();
        server.close(() => resolve(port));
    });
});

// Start a program; its base URL from its first line, or, where it prints none, by asking until it answers.
async function start(name, command, url) {
    const [program, ...args] = pinned(0, command);
    const child = spawn(program, args, {stdio: ['ignore', 'pipe', 'ignore']});
    started.push(child);
    child.on('exit', (code) => { if (!child.ended) { console.error(`${name} ended with ${code}`); process.exit(1); } });
    if (!url) {
        url = await new Promise((resolve) => {
            let text = '';
            child.stdout.on('data', (bytes) => {
                text += bytes;
                const found = /listening on (\S+)/.exec(text);
                if (found) resolve(found[1]);
            });
        });
    } else {
        for (let i = 0; ; i++) {
            try { await fetch(url); break; } catch (error) {
                if (i > 100) throw error;
                await new Promise((resolve) => setTimeout(resolve, 50));
            }
        }
    }
    return {name, child, pid: child.pid, url: `${url}/v1/resultant`};
}

function stop(server) {
    server.child.ended = true;
    server.child.kill('SIGTERM');
}

// utime + stime of the process with all its threads, in microseconds.
function cpu(pid) {
    const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').replace(/^.*\) /, '').split(' ');
    return (Number(fields[11]) + Number(fields[12])) * TICK_US;
}

const resident = (pid) =>
    Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))[1]) / 1024;

function load(server, seconds) {
    const [program, ...args] = pinned(1, ['wrk', '-t1', `-c${CONNECTIONS}`, `-d${seconds}s`, '-s',
        'tests/bench/post.lua', server.url, '--', REQUEST]);
    const text = execFileSync(program, args, {encoding: 'utf8'});
    const bad = /Non-2xx or 3xx responses: (\d+)|Socket errors: (.*)/.exec(text);
    if (bad) throw new Error(`${server.name}: ${bad[0]}`);
    return Number(/(\d+) requests in/.exec(text)[1]);
}

const median = (list) => [...list].sort((a, b) => a - b)[list.length >> 1];

async function ask(server) {
    const response = await fetch(server.url, {method: 'POST', body: readFileSync(REQUEST),
        headers: {'content-type': 'application/json'}});
    return {status: response.status, text: await response.text()};
}

const tiptail = await start('tiptail', ['build/tiptail', '--port', '0', '--threads', '1', '--log-level', 'none']);
const answer = await ask(tiptail);
if (answer.status !== 200) throw new Error(`tiptail: ${answer.status} ${answer.text}`);
writeFileSync(`${FOLDER}/answer.json`, answer.text);

const port = await freePort();
const quoted = answer.text.replace(/\\/g, '\\\\').replace(/'/g, "\\'").replace(/\$/g, '');
writeFileSync(`${FOLDER}/nginx.conf`, `daemon off; master_process off; worker_processes 1;
pid nginx.pid; error_log stderr crit;
events { worker_connections 256; }
http {
    access_log off; keepalive_requests 1000000000; default_type application/json;
    client_body_temp_path body; proxy_temp_path proxy; fastcgi_temp_path fastcgi;
    uwsgi_temp_path uwsgi; scgi_temp_path scgi;
    server { listen 127.0.0.1:${port}; location / { return 200 '${quoted}'; } }
}
`);
// The same answer; where a line of the working is worded otherwise by now, that is said.
function alike(text) {
    const [a, b] = [text, answer.text].map((t) => JSON.parse(t));
    if (JSON.stringify(a) !== JSON.stringify(b))
        console.log('note: the framework no longer prints the same working word for word (tests/bench/framework.mjs)');
    return JSON.stringify(a.answer) === JSON.stringify(b.answer) &&
        Math.abs(text.length - answer.text.length) < answer.text.length / 10;
}

// A client that is quicker than its server sleeps before every answer, and waking it is billed to the
// server. What HTTP costs besides is told by a fixed answer that is held back as long as it takes to
// compute one.
const stages = execFileSync(`${FOLDER}/stages`, [REQUEST], {encoding: 'utf8'});
const computing = /in all ([\d.]+) us/.exec(stages)[1];

const servers = [
    tiptail,
    await start('tiptail, logging', ['build/tiptail', '--port', '0', '--threads', '1']),
    await start('libmicrohttpd, fixed answer', [`${FOLDER}/fixed`, `${FOLDER}/answer.json`]),
    await start('the same, after as long', [`${FOLDER}/fixed`, `${FOLDER}/answer.json`, computing]),
    await start('nginx return', ['nginx', '-p', `${process.cwd()}/${FOLDER}`, '-e', 'stderr', '-c', 'nginx.conf'],
        `http://127.0.0.1:${port}`),
    await start('schema-first node', ['node', 'tests/bench/framework.mjs']),
];
for (const server of servers) {
    const other = await ask(server);
    const same = server.name === 'nginx return' ? other.text.length === answer.text.length
        : server.name === 'schema-first node' ? alike(other.text)
        : other.text === answer.text;
    if (other.status !== 200 || !same) {
        writeFileSync(`${FOLDER}/different.json`, other.text);
        throw new Error(`${server.name} answers otherwise: ${other.status}, see ${FOLDER}/different.json`);
    }
    load(server, SECONDS);
}

const figures = new Map(servers.map((server) => [server.name, {cpu: [], rate: []}]));
for (let round = 0; round < ROUNDS; round++) {
    for (const server of servers) {
        const before = cpu(server.pid);
        const requests = load(server, SECONDS);
        const figure = figures.get(server.name);
        figure.cpu.push((cpu(server.pid) - before) / requests);
        figure.rate.push(requests / SECONDS);
    }
}
const own = median(figures.get('tiptail').cpu);
console.log(`${readFileSync(REQUEST).length} bytes in, ${Buffer.byteLength(answer.text)} out; ` +
    `medians of ${ROUNDS} alternated rounds of ${SECONDS} s, ${CONNECTIONS} connections`);
console.log(stages.trim());
console.log('                             CPU a request   spread          tiptail is   requests/s   resident');
for (const server of servers) {
    const {cpu: list, rate} = figures.get(server.name), m = median(list);
    console.log(`${server.name.padEnd(28)} ${m.toFixed(1).padStart(8)} us   ` +
        `${Math.min(...list).toFixed(1)}-${Math.max(...list).toFixed(1)}`.padEnd(14) +
        `${(own / m).toFixed(2).padStart(8)} x ${median(rate).toFixed(0).padStart(14)} ` +
        `${resident(server.pid).toFixed(1).padStart(7)} MB`);
}
servers.slice(1).forEach(stop);

let done = 0, first = resident(tiptail.pid);
while (done < REQUESTS)
    done += load(tiptail, Math.min(10, Math.max(1, Math.ceil((REQUESTS - done) / median(figures.get('tiptail').rate)))));
console.log(`resident after ${done} further requests: ${resident(tiptail.pid).toFixed(1)} MB (before: ${first.toFixed(1)} MB)`);
stop(tiptail);

const times = execFileSync(`${FOLDER}/ready`, ['21', 'build/tiptail', '--port', '0'],
    {encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore']}).trim().split('\n').map(Number);
console.log(`exec to the listening line: ${median(times).toFixed(1)} ms (${Math.min(...times).toFixed(1)}-${Math.max(...times).toFixed(1)} of ${times.length})`);
process.exit(0);
