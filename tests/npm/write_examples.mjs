// Writes the answers that are shown: tests/examples/*.answer.json, the examples of that name in
// api/openapi.json, and the answer blocks of README.md and docs/*.md, as the service gives them now. What is written is then read by a person: that the
// numbers are right is the business of the other tests.
// Usage: node tests/npm/write_examples.mjs
import {execFileSync} from 'node:child_process';
import fs from 'node:fs';
import {readBlocks} from './blocks.mjs';
import {at, list, post, readJson, readText, send, startService} from './lib.mjs';
import {format} from './format.mjs';

const service = await startService();
const contract = readJson('api/openapi.json');
const answers = new Map();
for (const name of list('tests/examples', '.request.json').map(f => f.replace('.request.json', ''))) {
    const request = readJson(`tests/examples/${name}.request.json`);
    const path = Object.keys(contract.paths).find(
        key => contract.paths[key].post?.requestBody.content['application/json'].examples?.[name]);
    const {json} = await post(service.url, path ?? `/v1/${request.kind}`, request);
    const {instance, ...answer} = json;
    answers.set(name, answer);
    fs.writeFileSync(at(`tests/examples/${name}.answer.json`), format(answer));
}

// Of an answer, what a part shows: its members, and of a list as many entries before "…".
function shownPart(shown, actual)
{
    if (Array.isArray(shown) && Array.isArray(actual)) {
        const open = shown.at(-1) === '…';
        const entries = (open ? actual.slice(0, shown.length - 1) : actual).map((entry, i) => shownPart(shown[i], entry));
        return open ? [...entries, '…'] : entries;
    }
    if (shown === null || actual === null || typeof shown !== 'object' || typeof actual !== 'object')
        return actual;
    return Object.fromEntries(Object.keys(shown).filter(key => key in actual).map(key => [key, shownPart(shown[key], actual[key])]));
}

for (const file of ['README.md', ...list('docs', '.md').map(f => `docs/${f}`)]) {
    const lines = readText(file).split('\n');
    const blocks = readBlocks(lines.join('\n'));
    for (const [i, {info, text}] of [...blocks.entries()].reverse()) {
        const next = blocks[i + 1];
        if (info[1] !== 'request' || next?.info[1] !== 'answer')
            continue;
        const [language, , method, target, accept] = info;
        const reply = language === 'sh'
            ? execFileSync('sh', ['-c', text.replaceAll('http://127.0.0.1:8080', service.url)], {encoding: 'utf8'})
            : (await send(service.url, method, target, {body: text.trim() ? text : undefined, accept})).text;
        let shown = reply.trimEnd();
        if (next.info[0] === 'json') {
            const {instance, ...answer} = JSON.parse(reply);
            shown = format(next.info.includes('part') ? shownPart(JSON.parse(next.text), answer) : answer).trimEnd();
        }
        lines.splice(next.line, next.last - next.line - 1, ...shown.split('\n'));
    }
    fs.writeFileSync(at(file), lines.join('\n'));
}
await service.stop();
(function fill(node) {
    if (node === null || typeof node !== 'object')
        return;
    for (const [key, value] of Object.entries(node)) {
        if (key === 'examples' && !Array.isArray(value)) {
            for (const [name, example] of Object.entries(value))
                example.value = answers.get(name) ?? example.value;
        } else if (key !== 'requestBody') {
            fill(value);
        }
    }
})({paths: contract.paths, responses: contract.components.responses});
fs.writeFileSync(at('api/openapi.json'), format(contract));
