// What the node tests share: TAP, the packages in build/npm, the schemas of api/, a running service.
import {spawn} from 'node:child_process';
import fs from 'node:fs';
import {createRequire} from 'node:module';
import path from 'node:path';
import {fileURLToPath} from 'node:url';

export const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '../..');
export const at = (...parts) => path.join(root, ...parts);
export const require = createRequire(at('build/npm/package.json'));
export const readText = (...parts) => fs.readFileSync(at(...parts), 'utf8');
export const readJson = (...parts) => JSON.parse(readText(...parts));
export const list = (folder, ending) =>
    fs.statSync(at(folder), {throwIfNoEntry: false})?.isDirectory()
        ? fs.readdirSync(at(folder)).filter(f => f.endsWith(ending)).sort() : [];

// TAP: a line for each check, the reason below one that failed, at the end the plan and the sum.
let passed = 0, failed = 0;
export function check(holds, name, reason = '')
{
    const line = name.replaceAll('#', '\\#').replaceAll('\n', ' ');
    console.log(`${holds ? 'ok' : 'not ok'} ${passed + failed + 1} - ${line}`);
    if (holds) {
        passed++;
        return;
    }
    failed++;
    for (const text of String(reason).split('\n').slice(0, 12))
        console.log(`#   ${text.slice(0, 500)}`);
}
export function finish()
{
    if (passed + failed === 0)
        check(false, 'something was tested', 'nothing was');
    console.log(`1..${passed + failed}`);
    console.log(`${passed} passed, ${failed} failed`);
    process.exitCode = failed ? 1 : 0;
}

// The schemas of api/ by name, openapi.json apart.
export function readSchemas()
{
    const names = list('api', '.json').filter(name => name !== 'openapi.json');
    return new Map(names.map(name => [name, readJson('api', name)]));
}

// validator(reference, value) → '' or what is wrong; reference: "result.json#/$defs/resolve",
// "openapi.json#/$defs/index".
export function schemaValidator()
{
    const Ajv = require('ajv/dist/2020').default;
    const ajv = new Ajv({strict: true, strictRequired: false, strictTypes: false, allErrors: true});
    for (const [name, schema] of readSchemas())
        ajv.addSchema(schema, name);
    const own = JSON.stringify(readJson('api/openapi.json').components.schemas).replaceAll('#/components/schemas/', '#/$defs/');
    ajv.addSchema({$defs: JSON.parse(own)}, 'openapi.json');
    return (reference, value) => {
        const validate = ajv.getSchema(reference);
        if (!validate)
            throw new Error(`no schema ${reference}`);
        return validate(value) ? '' : ajv.errorsText(validate.errors, {separator: '\n'});
    };
}

// Starts the program on a free port. stop() ends it by SIGTERM and resolves to its exit status.
export async function startService()
{
    const program = path.resolve(root, process.env.TIPTAIL_PROGRAM ?? 'build/tiptail');
    const env = Object.fromEntries(Object.entries(process.env).filter(([name]) => !/^TIPTAIL_/.test(name)));
    // A test may work longer between two requests than a connection is kept idle, and fetch then writes to a closed one.
    const options = ['--port', '0', '--log-level', 'error', '--drain-delay', '0', '--idle-timeout', '3600'];
    const child = spawn(program, options, {stdio: ['ignore', 'pipe', 'pipe'], env});
    const ended = new Promise(resolve => child.on('close', (status, signal) => resolve(status ?? signal)));
    let output = '', log = '';
    child.stderr.on('data', bytes => { log += bytes; });
    const url = await new Promise((resolve, reject) => {
        const timer = setTimeout(() => {
            child.kill('SIGKILL');
            reject(new Error(`${program} said nothing for 10 s`));
        }, 10000);
        const fail = error => {
            clearTimeout(timer);
            reject(error);
        };
        child.on('error', fail);
        child.stdout.on('data', bytes => {
            output += bytes;
            const found = /^listening on (http:\/\/\S+)\n/m.exec(output);
            if (found) {
                clearTimeout(timer);
                resolve(found[1]);
            }
        });
        ended.then(status => fail(new Error(`${program} ended with ${status}: ${log.slice(0, 500)}`)));
    });
    return {
        url,
        log: () => log,
        stop() {
            child.kill('SIGTERM');
            return ended;
        },
    };
}

// Runs `body` against a service; whatever happens, the service is stopped and the sum is printed.
export async function withService(body)
{
    let service = null;
    try {
        service = await startService();
        await body(service);
    } catch (error) {
        check(false, 'the test ran to its end', error.stack);
    }
    if (service) {
        const status = await service.stop();
        check(status === 0, 'the service ends with status 0', `status ${status}\n${service.log()}`);
    }
    finish();
}

// {status, type, text, json}: json is undefined where the body is none.
export async function send(url, method, target, {body, accept} = {})
{
    const headers = {...(accept ? {Accept: accept} : {})};
    if (body !== undefined)
        headers['Content-Type'] = 'application/json';
    const response = await fetch(url + target, {method, headers, body});
    const text = await response.text();
    const type = (response.headers.get('content-type') ?? '').split(';')[0];
    return {status: response.status, type, text, json: /json$/.test(type) ? JSON.parse(text) : undefined};
}
export const post = (url, target, value, accept) =>
    send(url, 'POST', target, {body: typeof value === 'string' ? value : JSON.stringify(value), accept});

// The published cases, each with its kind and file. `text` of a request is as typed.
export function readCases()
{
    const cases = [];
    for (const kind of fs.readdirSync(at('tests/cases')).sort()) {
        for (const file of list(`tests/cases/${kind}`, '.json'))
            for (const one of readJson('tests/cases', kind, file))
                cases.push({...one, kind, file: `tests/cases/${kind}/${file}`});
    }
    return cases;
}

// The kinds whose calls the service has.
export async function readKinds(url)
{
    const index = (await send(url, 'GET', '/v1')).json;
    return new Set(index.computations.map(call => call.path.replace('/v1/', '')));
}
