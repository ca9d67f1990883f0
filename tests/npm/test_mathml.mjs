// Every MathML line of the working: well-formed XML of MathML Core elements, rendered by a browser.
import {execFile} from 'node:child_process';
import fs from 'node:fs';
import {pathToFileURL} from 'node:url';
import {at, check, post, readJson, readKinds, require, withService} from './lib.mjs';
import {linesOf, readCorpus} from './corpus.mjs';

const {SaxesParser} = require('saxes');
const namespace = 'http://www.w3.org/1998/Math/MathML';
// The elements of MathML Core (W3C) that mathematics is written with.
const elements = new Set(['math', 'mrow', 'mi', 'mn', 'mo', 'mtext', 'mspace', 'mfrac', 'msqrt', 'mroot', 'msub', 'msup',
    'msubsup', 'munder', 'mover', 'munderover', 'mtable', 'mtr', 'mtd', 'mstyle', 'mpadded', 'mphantom', 'menclose']);

function fault(mathml)
{
    const faults = [];
    const parser = new SaxesParser({xmlns: true});
    let depth = 0, roots = 0;
    parser.on('error', error => faults.push(error.message));
    parser.on('opentag', tag => {
        if (depth++ === 0 && (++roots, tag.local !== 'math'))
            faults.push(`the root is ${tag.name}`);
        if (tag.uri !== namespace)
            faults.push(`${tag.name} is not in the namespace of MathML`);
        if (!elements.has(tag.local))
            faults.push(`${tag.name} is no element of MathML Core`);
    });
    parser.on('closetag', () => depth--);
    parser.on('text', text => {
        if (depth === 0 && text.trim())
            faults.push(`text outside: ${text}`);
    });
    parser.write(mathml).close();
    if (roots !== 1)
        faults.push(`${roots} roots`);
    return faults.join('; ');
}

// Renders formulas in headless Chromium: for each {width, height, errors}, as its engine lays it out.
function render(formulas)
{
    const page = at('build/mathml/page.html');
    fs.mkdirSync(at('build/mathml'), {recursive: true});
    fs.writeFileSync(page, `<!doctype html><meta charset="utf-8"><body>
${formulas.map(text => `<div>${text}</div>`).join('\n')}
<script>
const found = [...document.querySelectorAll('body > div')].map(div => {
    const math = div.firstElementChild;
    const box = math ? math.getBoundingClientRect() : {width: 0, height: 0};
    const known = math !== null && [...div.querySelectorAll('*')].every(e => e.namespaceURI === '${namespace}');
    const flat = [...div.querySelectorAll('mi, mn')].filter(e => e.textContent.trim() && !e.getBoundingClientRect().width);
    return {width: box.width, height: box.height, errors: div.querySelectorAll('merror').length + flat.length + !known,
            alone: div.childElementCount === 1};
});
document.body.textContent = '@' + JSON.stringify(found) + '@';
</script>`);
    const options = ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
        '--disable-background-networking', `--user-data-dir=${at('build/mathml/profile')}`, '--dump-dom'];
    return new Promise((resolve, reject) => execFile('chromium', [...options, pathToFileURL(page).href],
        {timeout: 120000, maxBuffer: 1 << 27}, (error, stdout) => {
            const found = /@(\[.*\])@/.exec(stdout);
            if (error || !found)
                reject(error ?? new Error(`no measures in: ${stdout.slice(0, 500)}`));
            else
                resolve(JSON.parse(found[1]));
        }));
}

const isShown = box => box.width > 5 && box.height > 5 && box.errors === 0 && box.alone;

check(fault(`<math xmlns="${namespace}"><mi>x</mi></math>`) === '', 'a formula is accepted');
for (const bad of ['<math><mi>x</mi></math>', `<math xmlns="${namespace}"><mi>x</math>`,
    `<math xmlns="${namespace}"><mfoo/></math>`, `<math xmlns="${namespace}"><mi>a & b</mi></math>`, 'x'])
    check(fault(bad) !== '', `refused: ${bad}`);

await withService(async ({url}) => {
    const probes = await render([`<math xmlns="${namespace}"><mfrac><mi>x</mi><mn>2</mn></mfrac></math>`,
        `<math xmlns="${namespace}"><merror><mi>x</mi></merror></math>`, '<math></math>', '<span>x</span>']);
    check(isShown(probes[0]) && !probes.slice(1).some(isShown), 'the browser tells a formula from none',
          JSON.stringify(probes));

    const corpus = readCorpus(await readKinds(url), readJson('api/openapi.json'));
    for (const notation of ['scalar', 'vector']) {
        const lines = [], faults = [];
        for (const {name, kind, request} of corpus) {
            const answer = await post(url, `/v1/${kind}`, {...request, working: {notation, formats: ['mathml']}});
            if (answer.status === 200)
                lines.push(...linesOf(name, notation, answer.json));
            else
                faults.push(`${name}: ${answer.status} ${answer.text}`);
        }
        for (const {name, line} of lines) {
            const wrong = line.mathml ? fault(line.mathml) : 'there is no MathML';
            if (wrong)
                faults.push(`${name}: ${wrong}: ${line.mathml}`);
        }
        check(faults.length === 0, `the MathML of ${corpus.length} problems in ${notation} notation is well-formed`, faults.join('\n'));
        check(lines.length > 5 * corpus.length, `they have lines (${lines.length})`);
        const boxes = await render(lines.map(({line}) => line.mathml));
        const hidden = boxes.flatMap((box, i) => isShown(box) ? [] : [`${lines[i].name}: ${JSON.stringify(box)}: ${lines[i].line.mathml}`]);
        check(boxes.length === lines.length && hidden.length === 0, `a browser renders all ${boxes.length} of them`, hidden.join('\n'));
    }
});
