// The same call on a schema-first Node framework: fastify, the service's own request schema checked by
// its usual validator (ajv), the answer written by the serialiser it compiles from a schema. Computes
// the resultant of plane forces given by an angle, an angle between half-axes or a slope, with the same
// text working, and nothing else. For the comparison in bench.mjs only.
import {readFileSync} from 'node:fs';
import {createRequire} from 'node:module';

const require = createRequire(new URL('../../build/npm/package.json', import.meta.url));
const fastify = require('fastify');
const Ajv = require('ajv/dist/2020').default;

// ---- numbers as they are shown ----
const signed = (text) => text.startsWith('-') ? '−' + text.slice(1) : text;
const shown = (x) => x === 0 ? '0' : signed(Number(x.toPrecision(3)).toPrecision(3));
const degrees = (x) => `${x.toFixed(1)}°`;
const operand = (x) => x < 0 ? `(${shown(x)})` : shown(x);
const joined = (texts) => texts.reduce((sum, t) => t.startsWith('−') ? `${sum} − ${t.slice(1)}` : `${sum} + ${t}`);
const exact = (x) => Number(x.toPrecision(12));
const AXES = {'+x': [1, 0], '-x': [-1, 0], '+y': [0, 1], '-y': [0, -1]};

function resolve(force, unit, lines) {
    const {name, magnitude: F, direction: {angle, from, toward, slope}} = force;
    const line = (text) => lines.push({text});
    line(`${name} = ${F} ${unit}`);
    let component;
    if (slope) {
        const {run, rise} = slope, h = Math.hypot(run, rise);
        line(`h_${name} = √(${signed(`${run}`)}² + ${signed(`${rise}`)}²) = ${shown(h)}`);
        line(`The slope makes an angle of ${degrees(Math.atan(Math.abs(rise / run)) * 180 / Math.PI)} with the x axis.`);
        component = [F * run / h, F * rise / h];
        [run, rise].forEach((side, i) => line(`${name}_${'xy'[i]} = ${name} (${side}/h_${name}) = ${F}(${side}/${shown(h)}) = ${shown(component[i])} ${unit}`));
        return component;
    }
    const a = AXES[from ?? '+x'], b = AXES[toward ?? '+y'];
    const cosine = Math.cos(angle * Math.PI / 180), sine = Math.sin(angle * Math.PI / 180);
    component = [F * (a[0] * cosine + b[0] * sine), F * (a[1] * cosine + b[1] * sine)];
    component.forEach((value, i) => {
        const sign = (a[i] || b[i]) < 0 ? '−' : '', word = a[i] ? 'cos' : 'sin';
        line(`${name}_${'xy'[i]} = ${sign}${name} ${word} ${angle}° = ${sign}${F} ${word} ${angle}° = ${shown(value)} ${unit}`);
    });
    return component;
}

function resultant({units = {}, forces}) {
    const unit = units.force ?? 'N', parts = [], sums = [];
    const line = (text) => sums.push({text});
    const components = forces.map((force) => resolve(force, unit, parts));
    const R = [0, 1].map((i) => components.reduce((sum, c) => sum + c[i], 0));
    R.forEach((value, i) => line(`${'→↑'[i]}⁺ R_${'xy'[i]} = ΣF_${'xy'[i]} = ` +
        `${forces.map((f) => `${f.name}_${'xy'[i]}`).join(' + ')} = ` +
        `${joined(components.map((c) => shown(c[i])))} = ${shown(value)} ${unit}`));
    const [x, y] = R, size = Math.hypot(x, y);
    line(`R = √(R_x² + R_y²) = √(${operand(x)}² + ${operand(y)}²) = ${shown(size)} ${unit}`);
    const quadrant = y > 0 ? (x > 0 ? 1 : 2) : x < 0 ? 3 : 4;
    const word = (v) => v < 0 ? 'negative' : 'positive';
    const seen = `R_x is ${word(x)} and R_y is ${word(y)}`;
    line(`${seen}: R lies in quadrant ${quadrant}.`);
    const acute = Math.atan(Math.abs(y / x)) * 180 / Math.PI;
    line(`φ = tan⁻¹(|R_y|/|R_x|) = tan⁻¹(|${shown(y)}|/|${shown(x)}|) = ${degrees(acute)}`);
    const theta = [acute, 180 - acute, 180 + acute, 360 - acute][quadrant - 1];
    const by = ['', '180° − ', '180° + ', '360° − '][quadrant - 1];
    line(`θ = ${by}φ = ${by}${degrees(acute)} = ${degrees(theta)}`);
    const u = [x / size, y / size];
    u.forEach((value, i) => line(`u_${'xy'[i]} = R_${'xy'[i]}/R = ${shown(R[i])}/${shown(size)} = ${shown(value)}`));
    return {
        kind: 'resultant',
        units: {force: unit, length: units.length ?? 'm', angle: units.angle ?? 'deg'},
        answer: {
            resultant: {name: 'R', components: R.map(exact), magnitude: exact(size), direction: {angle: exact(theta)}},
            unit_vector: u.map(exact),
            quadrant,
            in_words: `${shown(size)} ${unit} at ${degrees(acute)} ${y > 0 ? 'above' : 'below'} ${x > 0 ? '+' : '−'}x`,
        },
        notes: [{code: 'quadrant', text: `${seen}, so R lies in quadrant ${quadrant}: an arctangent alone gives the acute angle, and the signs decide.`}],
        working: [
            {title: 'Components of the forces', why: 'Forces add by their components.', lines: parts},
            {title: 'Resultant', why: 'The sums of the components are the components of the resultant.', lines: sums},
        ],
    };
}

// ---- the service ----
const string = {type: 'string'}, number = {type: 'number'}, numbers = {type: 'array', items: number};
const object = (properties) => ({type: 'object', properties});
const list = (items) => ({type: 'array', items});
const answer = object({
    kind: string,
    units: object({force: string, length: string, angle: string}),
    answer: object({
        resultant: object({name: string, components: numbers, magnitude: number, direction: object({angle: number})}),
        unit_vector: numbers, quadrant: {type: 'integer'}, in_words: string,
    }),
    notes: list(object({code: string, text: string})),
    working: list(object({title: string, why: string, lines: list(object({text: string}))})),
});
const read = (name) => JSON.parse(readFileSync(new URL(`../../api/${name}`, import.meta.url)));
const ajv = new Ajv({allErrors: true, strict: false});
ajv.addSchema(read('common.json'), 'common.json');
const app = fastify({logger: false, keepAliveTimeout: 600000});
app.setValidatorCompiler(({schema}) => ajv.compile(schema));
const {$schema, ...request} = read('resultant.request.json');
app.post('/v1/resultant', {schema: {body: request, response: {200: answer}}}, async (call) => resultant(call.body));
await app.listen({port: 0, host: '127.0.0.1'});
console.log(`listening on http://127.0.0.1:${app.server.address().port}`);
