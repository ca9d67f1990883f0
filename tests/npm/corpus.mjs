// Requests whose working is looked at as mathematics: the examples, the published cases, and here
// what those don't have: odd names, long numbers, every direction form, zero results.
import {list, readCases, readJson} from './lib.mjs';

const own = [
    ['resolve', {force: {name: "F_1'", magnitude: 217.5, direction: {angle: 248.2}}}],
    ['resolve', {force: {name: 'α', magnitude: 26, direction: {angle: 22.62, from: '+x', toward: '-y'}}}],
    ['resolve', {force: {name: 'Σ_x', magnitude: 0.00037, direction: {angle: 31.7, from: '-y', turn: 'clockwise'}}}],
    ['resolve', {force: {name: 'Жд', components: [-1.25e7, 0.004]}, units: {force: 'MN'}}],
    ['resolve', {force: {name: 'R', magnitude: 12.5, direction: {bearing: 'S37.25W'}}}],
    ['resolve', {force: {name: 'R_x', magnitude: 8, direction: {slope: {run: 0, rise: -3}}}}],
    ['resolve', {force: {components: [0, 0]}}],
    ['resolve', {force: {name: 'P', magnitude: 12.5, direction: {angle: 1.5e-7}}}],
    ['resolve', {force: {name: 'P', magnitude: 4.4, direction: {angle: {value: 0.55, unit: 'rad'}, from: '-x', toward: '+y'}}}],
    ['resolve', {force: {name: "a'''", components: [3, -4], magnitude: 5, direction: {slope: {run: 3, rise: -4}}}}],
    ['resolve', {force: {name: 'T', magnitude: {value: 1.7, unit: 'kip'}, direction: {line: [[1, 2], [-3.5, 0.25]]}},
                 units: {force: 'kN', length: 'ft'}, along: {u: {angle: 15}, v: {angle: 100.5}}, onto: {vector: [-2, 7]}}],
    ['resolve', {force: {mass: 640, name: 'W'}, onto: {slope: {run: -24, rise: -7}}}],
    ['resolve', {force: {mass: 3.5, g: 32.2, name: 'W'}, units: {force: 'lb', length: 'ft'}}],
    ['resolve', {force: {magnitude: 9.4, direction: {direction_angles: {alpha: 60, beta: 'obtuse', gamma: 52.5}}}}],
    ['resolve', {force: {magnitude: 9.4, direction: {azimuth: 217.3, elevation: -38.6}}, units: {angle: 'deg'}}],
    ['resolve', {force: {magnitude: 2, direction: {azimuth: 0.7, elevation: 0.3, up: '+y', from: '-z', toward: '+x'}},
                 units: {angle: 'rad'}}],
    ['resolve', {force: {components: [3, -6.5, 2.25]}, up: '-x', onto: {vector: [1, 1, 0]},
                 along: {u: {vector: [1, 0.5, 0]}, v: {vector: [0, 1, 0.25]}, w: {vector: [0.5, 0, 1]}}}],
    ['resultant', {forces: [{name: 'R1', magnitude: 40, direction: {angle: 17.3}}, {name: 'R_1', components: [2, 7]},
                            {name: "R'", magnitude: 3.5, direction: {slope: {run: 2, rise: 7}}}, {name: 'R', components: [1, -4]}]}],
    ['resultant', {forces: [{magnitude: 40, direction: {angle: 17.3}}, {magnitude: 40, direction: {angle: 197.3}}]}],
    ['resultant', {forces: [{name: 'A_1', components: [3, 4], at: [0, 0]}, {name: 'B', components: [-3, -4], at: [2, 0]}]}],
    ['resultant', {couples: [{name: 'M_1', moment: {value: 3, unit: 'kip·ft'}}, {moment: -2.5}]}],
    ['resultant', {forces: [{name: 'P', magnitude: 3, direction: {axis: '-y'}, at: 'D', times: -2.5}],
                   points: {A: [0, 0], B: [6.2, 1.4], D: {between: ['A', 'B'], fraction: 0.35},
                            E: {from: 'D', distance: {value: 40, unit: 'cm'}, direction: {angle: 108.2}}},
                   distributed_loads: [{from: 'A', to: 'B', intensity: [2.1, -0.8], per: 'x'}], about: 'E'}],
    ['resultant', {distributed_loads: [{name: 'w_1', from: [1, 0], to: [5.5, 0], intensity: [-3, 3]}]}],
    ['resultant', {forces: [{magnitude: 5, direction: {vector: [2, -1, 2]}, at: [1, 0, -2]}],
                   couples: [{moment: [0, 3, -4]}], about: {line: [[0, 0, 0], [1, 2, 2]]}}],
    ['resultant', {forces: [{magnitude: 21, direction: {angle: 31}}, {magnitude: 33, direction: {angle: 127.4}, times: 2},
                            {mass: 2, name: 'W'}, {magnitude: {value: 4, unit: 'lb'}, direction: {axis: '+x'}}]}],
];

// Every request of a kind in `kinds`: {name, kind, request}.
export function readCorpus(kinds, contract)
{
    const target = new Map();
    for (const [path, item] of Object.entries(contract.paths))
        for (const name of Object.keys(item.post?.requestBody.content['application/json'].examples ?? {}))
            target.set(name, path.replace('/v1/', ''));
    const corpus = [
        ...list('tests/examples', '.request.json').map(f => f.replace('.request.json', '')).filter(name => target.has(name))
            .map(name => ({name, kind: target.get(name), request: readJson(`tests/examples/${name}.request.json`)})),
        ...readCases().map(({id, kind, request}) => ({name: id, kind, request})),
        ...own.map(([kind, request], i) => ({name: `own ${i + 1}`, kind, request})),
    ];
    return corpus.filter(({kind}) => kinds.has(kind) && kind !== 'check'); // its answers have no working of their own
}

// The lines of the working in both notations: {name, notation, line}.
export function* linesOf(name, notation, answer)
{
    for (const section of answer.working)
        for (const line of section.lines)
            yield {name: `${name}, ${notation}, ${section.title}`, line};
}
