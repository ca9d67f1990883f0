// Writes the answers that are shown: tests/examples/*.answer.json and the examples of that name in
// api/openapi.json, as the service gives them now. What is written is then read by a person: that the
// numbers are right is the business of the other tests.
// Usage: node tests/npm/write_examples.mjs
import fs from 'node:fs';
import {at, list, post, readJson, startService} from './lib.mjs';
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
