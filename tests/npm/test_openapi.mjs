// api/openapi.json: two linters, and its examples against the files in tests/examples.
import fs from 'node:fs';
import {format} from './format.mjs';
import {at, check, finish, list, readJson, readText, require, schemaValidator} from './lib.mjs';

const contract = readJson('api/openapi.json');
const show = value => JSON.stringify(value);

// The layout in which it is served: /v1/openapi.json refers to /v1/schemas/….
const folder = at('build/openapi/v1');
fs.rmSync(folder, {recursive: true, force: true});
fs.mkdirSync(`${folder}/schemas`, {recursive: true});
for (const name of list('api', '.json'))
    fs.copyFileSync(at('api', name), `${folder}/${name === 'openapi.json' ? '' : 'schemas/'}${name}`);
const file = `${folder}/openapi.json`;

async function lintBySpectral()
{
    const {Spectral, Document} = require('@stoplight/spectral-core');
    const {Json} = require('@stoplight/spectral-parsers');
    const {oas} = require('@stoplight/spectral-rulesets');
    const spectral = new Spectral();
    spectral.setRuleset({
        extends: [[oas, 'recommended']],
        rules: {
            // Whom to write to is the operator's to say.
            'info-contact': 'off',
            // It reads \p{L} without the Unicode flag that JSON Schema asks for; the other linter
            // and the checks below see to the examples.
            'oas3-valid-media-example': 'off',
        },
    });
    const found = await spectral.run(new Document(readText('build/openapi/v1/openapi.json'), Json, file));
    return found.map(f => `${f.code} ${f.path.join('/')}: ${f.message}`);
}

async function lintByRedocly()
{
    const {createConfig, lint} = require('@redocly/openapi-core');
    const config = await createConfig({
        extends: ['recommended-strict'],
        // Closed objects are closed by the schemas themselves.
        rules: {'no-invalid-media-type-examples': {severity: 'error', allowAdditionalProperties: true}},
    });
    const found = await lint({ref: file, config});
    return found.map(f => `${f.ruleId} ${f.location[0]?.pointer}: ${f.message}`);
}

// What each linter must not overlook, so that a clean report says something.
async function lintBroken(lint)
{
    const broken = structuredClone(contract);
    delete broken.paths['/v1'].get.responses[200].description;
    broken.paths['/v1'].get.operationId = 'resolve';
    fs.writeFileSync(file, show(broken));
    const found = await lint();
    fs.copyFileSync(at('api/openapi.json'), file);
    return found;
}

for (const [name, lint] of [['spectral', lintBySpectral], ['redocly', lintByRedocly]]) {
    const found = await lint();
    check(found.length === 0, `${name} finds nothing wrong with openapi.json`, found.join('\n'));
    const broken = await lintBroken(lint);
    check(broken.length >= 2, `${name} finds what is wrong with a broken one`, show(broken));
}

check(readText('api/openapi.json') === format(contract), 'openapi.json is laid out by format.mjs');

// Every example is a file of tests/examples, and every file an example.
const validate = schemaValidator();
const requests = new Map();
for (const [path, item] of Object.entries(contract.paths)) {
    const content = item.post?.requestBody.content['application/json'];
    for (const [name, example] of Object.entries(content?.examples ?? {})) {
        requests.set(name, {path, value: example.value});
        const wrong = validate(content.schema.$ref.replace('schemas/', ''), example.value);
        check(!wrong, `the request ${name} fits its schema`, wrong);
    }
}
const answers = new Map();
(function collect(node) {
    if (node === null || typeof node !== 'object')
        return;
    for (const [key, value] of Object.entries(node)) {
        if (key === 'examples' && !Array.isArray(value))
            for (const [name, example] of Object.entries(value))
                answers.set(name, example.value);
        else if (key !== 'requestBody')
            collect(value);
    }
})({paths: contract.paths, responses: contract.components.responses});

for (const name of list('tests/examples', '.request.json').map(f => f.replace('.request.json', ''))) {
    const request = readJson(`tests/examples/${name}.request.json`);
    const shown = requests.get(name)?.value;
    check(shown ? show(shown) === show(request) : 'kind' in request,
          `${name}.request.json is the example of that name in openapi.json, or names its kind`, show(shown));
    requests.delete(name);
}
check(requests.size === 0, 'every example request is a file', [...requests.keys()].join());
for (const name of list('tests/examples', '.answer.json').map(f => f.replace('.answer.json', ''))) {
    const answer = readJson(`tests/examples/${name}.answer.json`);
    check(!answers.has(name) || show(answers.get(name)) === show(answer),
          `${name}.answer.json is the example of that name in openapi.json`, show(answers.get(name)));
    answers.delete(name);
}
check(answers.size === 0, 'every example answer is a file', [...answers.keys()].join());
finish();
