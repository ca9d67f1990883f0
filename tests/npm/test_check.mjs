// POST /v1/check over HTTP: the published answers are right and no mistake is named in them; no response
// without `reveal` has a number of the key; a class is what its answers are one by one.
import {check, post, readCases, readKinds, schemaValidator, withService} from './lib.mjs';

// Numbers of three figures and more in a text, as sizes without their power of ten.
function figures(text)
{
    const found = new Set();
    for (const [token] of text.matchAll(/\d+(?:[.,]\d+)?(?:e[+-]?\d+)?/gi)) {
        const digits = token.replace(/e.*/i, '').replace(/[.,]/, '').replace(/^0+/, '');
        if (digits.length >= 3)
            found.add(Number(`0.${digits}`));
    }
    return found;
}
// In whatever unit: 217.5 N is 0.2175 kN, and 48.9 lb.
const factors = [1, 4.4482216152605, 1 / 4.4482216152605, 9.80665, 1 / 9.80665, 0.3048, 1 / 0.3048, 0.0254, 1 / 0.0254,
                 12, 1 / 12, Math.PI / 180, 180 / Math.PI];
const significand = x => { const power = Math.floor(Math.log10(Math.abs(x))) + 1; return Math.abs(x) / 10 ** power; };
function leaks(response, key)
{
    const said = [...figures(response)];
    return key.filter(x => x !== 0).flatMap(x => factors.map(f => significand(x * f)).filter(
        s => said.some(t => Math.abs(t - s) < 0.0005 || Math.abs(t - 10 * s) < 0.0005 || Math.abs(10 * t - s) < 0.0005))
        .map(s => `${x} as ${s}`));
}

// What may be said of a wrong answer: each number of it changed.
function wrongly(value, turn)
{
    if (typeof value === 'number')
        return Number((value * [1.37, -1, 0.71, 1000][turn % 4] + (turn % 3)).toPrecision(4));
    if (Array.isArray(value))
        return value.map((one, i) => wrongly(one, turn + i));
    if (value !== null && typeof value === 'object')
        return Object.fromEntries(Object.entries(value).map(([k, one]) => [k, wrongly(one, turn)]));
    return value;
}

await withService(async ({url}) => {
    const validate = schemaValidator();
    const kinds = await readKinds(url);
    let published = 0, searched = 0;
    const faults = [], leaked = [], misfits = [], differences = [];
    for (const one of readCases()) {
        if (!one.student || !kinds.has(one.kind))
            continue;
        const request = {problem: {kind: one.kind, ...one.request}, ...(one.marking ? {marking: one.marking} : {})};
        const reply = await post(url, '/v1/check', {...request, answer: one.student});
        const answer = reply.json?.answer;
        published++;
        if (reply.status !== 200 || answer.verdict !== 'correct' || answer.mistakes.length > 0)
            faults.push(`${one.kind} ${one.id}: ${reply.text.slice(0, 400)}`);
        // Wrong answers: what comes back fits its schema, and has no number of the key.
        const key = (await post(url, `/v1/${one.kind}`, {...one.request, key: true, working: false})).json.key ?? [];
        const answers = [0, 1, 2, 3].map(turn => wrongly(one.student, turn));
        const paths = new Set();
        const alone = [];
        for (const [i, wrong] of answers.entries()) {
            const marked = await post(url, '/v1/check', {...request, answer: wrong, marking: {...one.marking, attempt: 1 + i % 2}});
            searched++;
            if (marked.status !== 200) {
                misfits.push(`${one.kind} ${one.id}: ${marked.status} ${marked.text.slice(0, 300)}`);
                continue;
            }
            alone.push(marked.json.answer);
            const misfit = validate('result.json', marked.json);
            if (misfit)
                misfits.push(`${one.kind} ${one.id}: ${misfit}`);
            // Names and paths that hold digits are the asker's own, and so are the counts.
            const said = JSON.stringify(marked.json.answer.mistakes.map(m => m.feedback.replace(m.symbol ?? '', ''))) +
                         JSON.stringify(marked.json.notes) + JSON.stringify(Object.keys(marked.json));
            const leak = leaks(said, key.map(entry => entry.value));
            if (leak.length > 0)
                leaked.push(`${one.kind} ${one.id}: ${leak[0]} in ${said}`);
            for (const member of ['working', 'key'])
                if (member in marked.json)
                    leaked.push(`${one.kind} ${one.id}: ${member}`);
        }
        const together = await post(url, '/v1/check', {...request, answers, marking: {...one.marking, attempt: 1}});
        for (const [i, marked] of (together.json?.answers ?? []).entries()) {
            const plain = a => JSON.stringify({...a, mistakes: a.mistakes.map(({feedback, ...rest}) => rest)});
            if (alone[i] && plain(alone[i]) !== plain(marked))
                differences.push(`${one.kind} ${one.id}: ${plain(alone[i])}\n${plain(marked)}`);
        }
    }
    check(published > 100, 'there are published answers', published);
    check(faults.length === 0, `${published} published answers are right, and no mistake is named`, faults.join('\n'));
    check(misfits.length === 0, 'every response fits its schema', misfits.join('\n'));
    check(leaked.length === 0, `${searched} responses to wrong answers have no number of the key`, leaked.join('\n'));
    check(differences.length === 0, 'a class is marked as its answers one by one', differences.join('\n'));
    // The search itself: a revealed solution is full of numbers of the key.
    const revealed = await post(url, '/v1/check', {
        problem: {kind: 'resultant', forces: [{name: 'P', magnitude: 217.5, direction: {angle: 48.2}}, {name: 'Q', magnitude: 130, direction: {slope: {run: -12, rise: 5}}}]},
        answer: {resultant: {magnitude: 100}}, marking: {reveal: true}});
    check(revealed.json.working.length > 0 && revealed.json.key.length > 0, 'reveal brings working and key');
    check(leaks(JSON.stringify(revealed.json.working), revealed.json.key.map(entry => entry.value)).length > 5,
          'the search finds the numbers of a revealed solution');
    check(!validate('result.json', revealed.json), 'a revealed solution fits its schema', validate('result.json', revealed.json));
});
