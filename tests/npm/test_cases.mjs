// The published cases, over HTTP: every case whose call the service has is sent, and `expect` compared.
import {check, post, readCases, readKinds, schemaValidator, withService} from './lib.mjs';
import {unmet} from './match.mjs';

await withService(async ({url}) => {
    const validate = schemaValidator();
    const kinds = await readKinds(url);
    const tally = new Map();
    for (const one of readCases()) {
        const count = tally.get(one.kind) ?? {sent: 0, kept: 0};
        tally.set(one.kind, count);
        if (!kinds.has(one.kind)) {
            count.kept++;
            continue;
        }
        count.sent++;
        const answer = await post(url, `/v1/${one.kind}`, {...one.request, working: false});
        if (answer.status !== 200) {
            check(false, `${one.kind} ${one.id}`, `${answer.status} ${answer.text}`);
            continue;
        }
        const turn = answer.json.units.angle === 'rad' ? 2 * Math.PI : 360;
        // Where there are two solutions, one of them fits wholly.
        const {solutions, ...rest} = answer.json.answer;
        const candidates = solutions ? solutions.map(solution => ({...rest, ...solution})) : [rest];
        const faults = candidates.map(candidate => unmet(one.expect, candidate, turn)).sort((a, b) => a.length - b.length)[0];
        const wrong = validate(`result.json#/$defs/${one.kind.replace('-', '_')}`, answer.json);
        check(faults.length === 0 && !wrong, `${one.kind} ${one.id}: ${one.expect.length} values`,
              [...faults, wrong].join('\n'));
    }
    for (const [kind, {sent, kept}] of tally)
        console.log(`# ${kind}: ${sent} cases${kept ? `, ${kept} wait for their call` : ''}`);
});
