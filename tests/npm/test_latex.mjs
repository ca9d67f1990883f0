// Every LaTeX line of the working, and every formula of the LaTeX fragment, through KaTeX, which throws
// at what it doesn't know. (KaTeX: a general-purpose typesetter of mathematics.)
import {check, post, readJson, readKinds, require, withService} from './lib.mjs';
import {linesOf, readCorpus} from './corpus.mjs';

const katex = require('katex');
function fault(latex, displayMode = true)
{
    try {
        katex.renderToString(latex, {throwOnError: true, strict: 'error', displayMode});
        return '';
    } catch (error) {
        return error.message;
    }
}

// The formulas of a fragment: between $ and $, \( and \), \[ and \], and in display environments.
const formula = /(?<!\\)\$([^$]+)(?<!\\)\$|\\\(([\s\S]*?)\\\)|(?<!\\)\\\[([\s\S]*?)\\\]|(\\begin\{(align|gather|equation)\*?\}[\s\S]*?\\end\{\5\*?\})/g;

// What of a fragment is no formula must be text to LaTeX: no bare special character, and no character
// beyond ASCII but those of the request's own names.
function strayIn(fragment, request)
{
    const prose = fragment.replace(/^%.*$/gm, '').replace(formula, '').replace(/\\(begin|end)\{itemize\}/g, '');
    const own = JSON.stringify(request);
    return [...prose].filter((c, i) => (/[_^&#%$~<>|"]/.test(c) && prose[i - 1] !== '\\') ||
                                       (c > '~' && !own.includes(c)));
}

check(fault('\\frac{1}{2') !== '' && fault('\\nonsense{1}') !== '' && fault('\\mathrm{é}') !== '',
      'KaTeX refuses what is no LaTeX, and text in mathematics');
check(strayIn('\\section*{Force F_1} a − b \\(x_1\\) \\% α', {name: 'α'}).join('') === '_−',
      'bare characters in the text of a fragment are found');

await withService(async ({url}) => {
    const corpus = readCorpus(await readKinds(url), readJson('api/openapi.json'));
    for (const notation of ['scalar', 'vector']) {
        let lines = 0, formulas = 0;
        const faults = [];
        for (const {name, kind, request} of corpus) {
            const working = {notation, formats: ['latex']};
            const answer = await post(url, `/v1/${kind}`, {...request, working});
            if (answer.status !== 200) {
                faults.push(`${name}: ${answer.status} ${answer.text}`);
                continue;
            }
            for (const {name: where, line} of linesOf(name, notation, answer.json)) {
                lines++;
                const wrong = line.latex ? fault(line.latex) : 'there is no LaTeX';
                if (wrong)
                    faults.push(`${where}: ${wrong}: ${line.latex}`);
            }
            const sheet = await post(url, `/v1/${kind}`, {...request, working}, 'text/x-latex');
            if (sheet.type !== 'text/x-latex')
                faults.push(`${name}: the fragment is ${sheet.type}`);
            const stray = strayIn(sheet.text, request);
            if (stray.length > 0)
                faults.push(`${name}: bare in the fragment: ${[...new Set(stray)].join(' ')}`);
            for (const [all, ...parts] of sheet.text.matchAll(formula)) {
                formulas++;
                const wrong = fault(parts.slice(0, 4).find(part => part !== undefined), !all.startsWith('$'));
                if (wrong)
                    faults.push(`${name}, fragment: ${wrong}: ${all}`);
            }
        }
        check(faults.length === 0, `the LaTeX of ${corpus.length} problems in ${notation} notation is typeset`, faults.join('\n'));
        check(lines > 5 * corpus.length, `they have lines (${lines})`);
        check(formulas > 5 * corpus.length, `their fragments have formulas (${formulas})`);
    }
});
