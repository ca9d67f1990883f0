// Requests that can't be worked: each fault at its place, with its code, in words a teacher can act on.
// Column 4: pointer, code, and what the detail must say (every word of the list).
import {check, post, schemaValidator, send, withService} from './lib.mjs';

const force = {name: 'W', magnitude: 6.5, direction: {axis: '-y'}};
const along = direction => ({force: {name: 'P', magnitude: 26, direction}});
const rows = [
    // From the schema.
    ['a force without direction', 'resultant', {forces: [force, {name: 'P', magnitude: 4.2}]},
        ['/forces/1/direction', 'no-direction', 'P', 'direction', 'angle', 'slope', 'line']],
    ['two directions at once', 'resolve', along({angle: 30, axis: '-y'}), ['/force/direction', 'two-directions', 'angle', 'axis']],
    ['an empty direction', 'resolve', along({}), ['/force/direction', 'no-direction', 'angle', 'bearing']],
    ['a misspelt member', 'resultant', {forces: [{name: 'P', magnitud: 4.2, direction: {angle: 30}}]},
        ['/forces/0/magnitud', 'unknown-member', 'magnitude']],
    ['a misspelt direction', 'resolve', along({angel: 30}), ['/force/direction/angel', 'unknown-member', 'angle']],
    ['a misspelt member of the request', 'resultant', {force: [force]}, ['/force', 'unknown-member', 'forces']],
    ['a number as text', 'resolve', along({angle: '30'}), ['/force/direction/angle', 'wrong-type', 'number']],
    ['a list for an object', 'resolve', {force: [force]}, ['/force', 'wrong-type', 'force', 'list']],
    ['no force to resolve', 'resolve', {}, ['/force', 'missing-member', 'force']],
    ['a unit that is none', 'resultant', {units: {force: 'pounds'}, forces: [force]},
        ['/units/force', 'unknown-unit', 'lb', 'kN']],
    ['a unit of another dimension', 'resolve', along({angle: {value: 0.5, unit: 'm'}}),
        ['/force/direction/angle/unit', 'unknown-unit', 'deg', 'rad']],
    ['a value without unit', 'resolve', {force: {magnitude: {value: 3}, direction: {angle: 30}}},
        ['/force/magnitude/unit', 'missing-member', 'unit']],
    ['an axis without sign', 'resolve', along({axis: 'x'}), ['/force/direction/axis', 'not-allowed', '+x']],
    ['a slope without rise', 'resolve', along({slope: {run: 3}}), ['/force/direction/slope/rise', 'missing-member', 'rise']],
    ['a point of one number', 'resultant', {forces: [{...force, at: [3]}]}, ['/forces/0/at', 'wrong-length']],
    ['a point of four numbers', 'resultant', {forces: [{...force, at: [3, 1, 2, 4]}]}, ['/forces/0/at', 'wrong-length']],
    ['a name with a space', 'resultant', {forces: [{...force, name: 'my force'}]}, ['/forces/0/name', 'wrong-form', 'letter']],
    ['a name that is too long', 'resultant', {forces: [{...force, name: 'abcdefghijklmnopq'}]},
        ['/forces/0/name', 'wrong-length', '16']],
    ['a bearing that is none', 'resolve', along({bearing: 'N95E'}), ['/force/direction/bearing', 'wrong-form', 'N30.5E']],
    ['toward without from', 'resolve', along({angle: 30, toward: '+y'}), ['/force/direction/from', 'missing-member', 'from']],
    ['toward and turn', 'resolve', along({angle: 30, from: '-x', toward: '+y', turn: 'clockwise'}),
        ['/force/direction/turn', 'forbidden']],
    ['one oblique axis', 'resolve', {force, along: {u: {angle: 30}}}, ['/along/v', 'missing-member', 'v']],
    ['a negative mass', 'resolve', {force: {mass: -15}}, ['/force/mass', 'out-of-range', '0']],
    ['a negative distance', 'resultant', {points: {B: [1, 2], C: {from: 'B', distance: -3, direction: {angle: 5}}}, forces: [force]},
        ['/points/C/distance', 'out-of-range', '0']],
    ['unknown formats', 'resultant', {forces: [force], working: {formats: ['text', 'pdf']}},
        ['/working/formats/1', 'not-allowed', 'mathml']],
    ['too many figures', 'resultant', {forces: [force], working: {significant_figures: 40}},
        ['/working/significant_figures', 'out-of-range', '12']],
    ['the kind of another call', 'resultant', {kind: 'resolve', forces: [force]}, ['/kind', 'not-allowed', 'resultant']],
    ['a load with one end', 'resultant', {distributed_loads: [{from: [0, 0], intensity: 3}]},
        ['/distributed_loads/0/to', 'missing-member', 'to']],
    ['two faults, both found', 'resultant', {forces: [{name: 'P', magnitude: 4.2}, {...force, direction: {axis: 'down'}}]},
        ['/forces/0/direction', 'no-direction'], ['/forces/1/direction/axis', 'not-allowed']],
    ['a name twice in the text', 'resultant', '{"forces": [{"name": "P", "name": "Q", "components": [1, 2]}]}',
        ['/forces/0/name', 'duplicate-member']],
    ['a number that overflows', 'resultant', '{"forces": [{"components": [1e999, 2]}]}', ['/forces/0/components/0', 'number-size']],
    // From the meaning.
    ['nothing given', 'resultant', {}, ['', 'nothing-given']],
    ['empty lists', 'resultant', {forces: [], couples: []}, ['', 'nothing-given']],
    ['a slope of 0/0', 'resolve', along({slope: {run: 0, rise: 0}}), ['/force/direction/slope', 'zero-direction']],
    ['a zero vector', 'resolve', along({vector: [0, 0]}), ['/force/direction/vector', 'zero-direction']],
    ['a line from a point to itself', 'resolve', {points: {A: [1, 2], B: [1, 2]}, ...along({line: ['A', 'B']})},
        ['/force/direction/line', 'zero-direction']],
    ['a negative magnitude', 'resolve', {force: {name: 'P', magnitude: -26, direction: {angle: 30}}},
        ['/force/magnitude', 'negative-magnitude', 'direction']],
    ['direction angles that are none', 'resolve', along({direction_angles: {alpha: 60, beta: 60, gamma: 60}}),
        ['/force/direction/direction_angles', 'direction-angles', '0.75']],
    ['a third direction angle left out', 'resolve', along({direction_angles: {alpha: 60, beta: 45}}),
        ['/force/direction/direction_angles', 'direction-angles', '60', '120']],
    ['from and toward on one axis', 'resolve', along({angle: 30, from: '-x', toward: '+x'}), ['/force/direction/toward', 'angle-axes']],
    ['plane and space mixed', 'resultant', {forces: [{components: [1, 2]}, {components: [3, 4]}, {components: [1, 2, 3]}]},
        ['/forces/2/components', 'mixed-dimensions']],
    ['a plane form in space', 'resultant', {forces: [{components: [1, 2, 3]}, {magnitude: 5, direction: {slope: {run: 3, rise: 4}}}]},
        ['/forces/1/direction/slope', 'plane-only']],
    ['a bearing in space', 'resultant', {forces: [{components: [1, 2, 3]}, {magnitude: 5, direction: {bearing: 'N30E'}}]},
        ['/forces/1/direction/bearing', 'plane-only']],
    ['an unknown place', 'resultant', {points: {A: [0, 0]}, forces: [{...force, at: 'B'}]}, ['/forces/0/at', 'unknown-place', 'B']],
    ['points in a circle', 'resultant', {points: {A: {between: ['B', [1, 2]], fraction: 0.5}, B: {between: ['A', [3, 1]], fraction: 0.5}},
        forces: [{...force, at: 'A'}]}, ['/points/A', 'circular-place']],
    ['a name for two loads', 'resultant', {forces: [force, {...force, magnitude: 3}]}, ['/forces/1/name', 'name-twice', 'W']],
    ['one force without place', 'resultant', {forces: [{...force, at: [0, 1]}, {components: [1, 2]}]}, ['/forces/1', 'places']],
    ['moments of forces without place', 'resultant', {forces: [force], about: [1, 2]}, ['/about', 'places']],
    ['parallel oblique axes', 'resolve', {force, along: {u: {angle: 30}, v: {angle: 210}}}, ['/along', 'parallel-axes']],
    ['a load of no length', 'resultant', {distributed_loads: [{from: [1, 2], to: [1, 2], intensity: 3}]},
        ['/distributed_loads/0', 'zero-length']],
    ['two ways that disagree', 'resolve', {force: {magnitude: 26, direction: {angle: 30}, components: [24, -10]}}, ['/force', 'disagree']],
    ['a negative couple with its turn', 'resultant', {couples: [{moment: -12, turn: 'clockwise'}]},
        ['/couples/0/moment', 'negative-magnitude']],
    ['a couple of space in a plane problem', 'resultant', {forces: [{components: [1, 2]}, {components: [3, 2]}], couples: [{moment: [0, 3, -4]}]},
        ['/couples/0/moment', 'mixed-dimensions']],
    ['an elevation past the vertical', 'resolve', along({azimuth: 40, elevation: 95}), ['/force/direction/elevation', 'out-of-range', '90']],
];
const refused = [
    ['no JSON', '{"forces": [', 400, 'not-json', /line 1/],
    ['a trailing comma', '{"forces": [],}', 400, 'not-json', /line 1/],
    ['text after the end', '{} {}', 400, 'not-json', /line 1/],
    ['NaN', '{"force": NaN}', 400, 'not-json', /line 1/],
];

// The words of a detail are for people: no JSON Pointer syntax of ours, no words of the schema language.
const jargon = /\$ref|oneOf|anyOf|additionalProperties|schema|#\/|undefined|\(null\)|nan\b/i;

await withService(async ({url}) => {
    const validate = schemaValidator();
    for (const [name, kind, body, ...wanted] of rows) {
        const answer = await post(url, `/v1/${kind}`, body);
        const faults = [];
        if (answer.status !== 422 || answer.json?.type !== '/problems/invalid-request') {
            faults.push(`status ${answer.status}: ${answer.text.slice(0, 400)}`);
        } else {
            const errors = answer.json.errors ?? [];
            for (const [pointer, code, ...words] of wanted) {
                const found = errors.find(e => e.pointer === pointer && e.code === code);
                if (!found)
                    faults.push(`no ${code} at "${pointer}": ${JSON.stringify(errors)}`);
                else if (!words.every(word => found.detail.includes(word)))
                    faults.push(`the detail lacks one of ${words}: ${found.detail}`);
            }
            if (errors.length !== wanted.length)
                faults.push(`${errors.length} faults: ${JSON.stringify(errors)}`);
            for (const {detail} of errors)
                if (jargon.test(detail) || !/[.?)]$/.test(detail))
                    faults.push(`not for a teacher: ${detail}`);
            faults.push(validate('problem.json', answer.json));
        }
        check(faults.join('') === '', name, faults.filter(f => f).join('\n'));
    }
    for (const [name, body, status, type, detail] of refused) {
        const answer = await post(url, '/v1/resolve', body);
        check(answer.status === status && answer.json?.type === `/problems/${type}` && detail.test(answer.json.detail) &&
              !validate('problem.json', answer.json), name, answer.text);
    }
    const missing = await send(url, 'GET', '/v1/nothing');
    check(missing.status === 404 && !validate('problem.json', missing.json), 'an address that is none', missing.text);
});
