// Every example that a reader meets is sent, and the answer compared with the one shown: those of
// openapi.json and tests/examples, and the fenced blocks of README.md and docs/*.md.
//
// A block is sent where its info string says so:
//     ```json request POST /v1/resultant         the block is the body (none for a GET: empty block)
//     ```json request POST /v1/resultant text/plain      with that Accept
//     ```sh request                               run by sh, http://127.0.0.1:8080 being the service
// The next fenced block is compared with what comes back:
//     ```json answer          status 200, the whole answer        ```json answer 422    that status
//     ```json answer part     what is shown; other members don't count, "…" ends a list
//     ```text answer  ```latex answer     exactly
// Numbers are compared to 12 digits, texts exactly. Any other block is left alone.
import {execFile} from 'node:child_process';
import {readBlocks} from './blocks.mjs';
import {check, list, post, readJson, readText, schemaValidator, send, withService} from './lib.mjs';
import {difference} from './match.mjs';

const validate = schemaValidator();

// Every answer of the service is held against the schemas, whatever the example shows of it.
function misfit({status, type, json})
{
    if (json === undefined)
        return '';
    if (type === 'application/problem+json')
        return validate('problem.json', json);
    return status === 200 && json.kind ? validate('result.json', json) : '';
}

function compare(name, shown, answer, {status = 200, part = false} = {})
{
    const faults = [];
    if (answer.status !== status)
        faults.push(`status ${answer.status} in place of ${status}: ${answer.text.slice(0, 1000)}`);
    else if (typeof shown === 'string')
        faults.push(shown.trimEnd() === answer.text.trimEnd() ? '' : `shown:\n${shown}\nis:\n${answer.text}`);
    else if (shown !== undefined)
        faults.push(difference(shown, answer.json, part));
    faults.push(misfit(answer));
    check(faults.join('') === '', name, faults.filter(f => f).join('\n'));
}

function runShell(script, url)
{
    return new Promise(resolve => execFile('sh', ['-c', script.replaceAll('http://127.0.0.1:8080', url)],
        {timeout: 20000}, (error, stdout, stderr) => {
            let json;
            try {
                json = JSON.parse(stdout);
            } catch {
                json = undefined;
            }
            const type = json?.type && json.status ? 'application/problem+json' : '';
            resolve({status: error ? 0 : json?.status ?? 200, type, json, text: stdout || stderr});
        }));
}

async function testPage(file, url)
{
    const blocks = readBlocks(readText(file));
    for (const [i, {info, text, line}] of blocks.entries()) {
        if (info[1] !== 'request')
            continue;
        const [language, , method, target, accept] = info;
        const name = `${file}:${line} ${info.slice(2).join(' ') || 'sh'}`;
        const answer = language === 'sh' ? await runShell(text, url)
                                         : await send(url, method, target, {body: text.trim() ? text : undefined, accept});
        const next = blocks[i + 1];
        if (next?.info[1] !== 'answer') {
            compare(name, undefined, answer);
            continue;
        }
        const status = Number(next.info.find(word => /^\d{3}$/.test(word)) ?? 200);
        const shown = next.info[0] === 'json' ? JSON.parse(next.text) : next.text;
        compare(name, shown, answer, {status, part: next.info.includes('part')});
    }
}

// A document comes in each media type that openapi.json names, and fits the schema given there.
async function testDocument(url, target, content)
{
    for (const [type, {schema}] of Object.entries(content)) {
        const answer = await send(url, 'GET', target, {accept: type});
        const faults = [answer.status === 200 ? '' : `status ${answer.status}`,
            answer.type === type ? '' : `it is ${answer.type}`,
            schema.$ref && answer.json ? validate(schema.$ref.replace('#/components/schemas/', 'openapi.json#/$defs/'), answer.json) : ''];
        if (target === '/v1/openapi.json')
            faults.push(difference(readJson('api/openapi.json'), answer.json));
        if (target.startsWith('/v1/schemas/'))
            faults.push(difference(readJson('api', target.split('/').at(-1)), answer.json));
        check(faults.join('') === '', `GET ${target} as ${type}`, faults.filter(f => f).join('\n'));
    }
}

await withService(async ({url}) => {
    const contract = readJson('api/openapi.json');
    const target = new Map();
    for (const [path, item] of Object.entries(contract.paths)) {
        for (const name of Object.keys(item.post?.requestBody.content['application/json'].examples ?? {}))
            target.set(name, path);
        const get = item.get && path.replace('{name}', item.get.parameters?.find(p => p.name === 'name')?.example);
        if (get)
            await testDocument(url, get, item.get.responses[200].content);
    }
    for (const name of list('tests/examples', '.request.json').map(f => f.replace('.request.json', ''))) {
        const request = readJson(`tests/examples/${name}.request.json`);
        const answer = await post(url, target.get(name) ?? `/v1/${request.kind}`, request);
        const shown = list('tests/examples', `${name}.answer.json`).length ? readJson(`tests/examples/${name}.answer.json`)
                                                                          : undefined;
        compare(`tests/examples/${name}`, shown, answer, {status: shown?.status ?? 200});
    }
    for (const file of ['README.md', ...list('docs', '.md').map(f => `docs/${f}`)])
        if (list(file.includes('/') ? 'docs' : '.', '.md').length)
            await testPage(file, url);
});
