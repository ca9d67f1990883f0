// The schemas of api/: valid by the 2020-12 metaschema, in our keywords only, with the limits of
// src/base/limits.h, and judged alike by two independent validators.
import {check, finish, list, readCases, readJson, readSchemas, readText, require, schemaValidator}
    from './lib.mjs';
import {format} from './format.mjs';

const schemas = readSchemas();

// ---- the metaschema, and the keywords that the service's own validator knows ----
const assertions = {
    type: null, enum: null, const: null, required: null, minItems: null, maxItems: null, uniqueItems: null,
    minimum: null, maximum: null, exclusiveMinimum: null, exclusiveMaximum: null, minLength: null,
    maxLength: null, pattern: null, dependentRequired: null, minProperties: null, maxProperties: null,
    $ref: null, $schema: null, $comment: null, title: null, description: null, examples: null, default: null,
    additionalProperties: 'schema', items: 'schema', propertyNames: 'schema', not: 'schema', if: 'schema',
    then: 'schema', else: 'schema', properties: 'map', patternProperties: 'map', $defs: 'map',
    prefixItems: 'list', oneOf: 'list', anyOf: 'list', allOf: 'list',
};

// Visits each subschema with its pointer.
function walk(schema, pointer, visit)
{
    if (typeof schema === 'boolean')
        return;
    visit(schema, pointer);
    for (const [keyword, value] of Object.entries(schema)) {
        const kind = assertions[keyword];
        if (kind === 'schema')
            walk(value, `${pointer}/${keyword}`, visit);
        else if (kind)
            for (const [key, one] of Object.entries(value))
                walk(one, `${pointer}/${keyword}/${key}`, visit);
    }
}

function resolve(reference, name)
{
    const [document, fragment] = reference.split('#');
    let node = schemas.get(document || name);
    for (const part of (fragment ?? '').split('/').slice(1))
        node = node?.[part];
    return node;
}

const Ajv = require('ajv/dist/2020').default;
const metaschema = new Ajv();
for (const [name, schema] of schemas) {
    check(metaschema.validateSchema(schema), `${name} is valid by the 2020-12 metaschema`,
          metaschema.errorsText(metaschema.errors));
    const unknown = [], lost = [], open = [], bare = [];
    walk(schema, '', (sub, pointer) => {
        for (const keyword of Object.keys(sub))
            if (!(keyword in assertions))
                unknown.push(`${pointer}/${keyword}`);
        if ('$ref' in sub && resolve(sub.$ref, name) === undefined)
            lost.push(`${pointer}: ${sub.$ref}`);
        if ([sub.type].flat().includes('object') && sub.properties && sub.additionalProperties === undefined)
            open.push(pointer);
        if (name.endsWith('.request.json') || name === 'common.json')
            for (const [member, one] of Object.entries(sub.type === 'object' ? sub.properties ?? {} : {}))
                if (!one.title && !(one.$ref && resolve(one.$ref, name)?.title) && !['value', 'unit'].includes(member))
                    bare.push(`${pointer}/properties/${member}`);
    });
    check(readText('api', name) === format(schema), `${name} is laid out by format.mjs`);
    check(unknown.length === 0, `${name} uses our keywords only`, unknown.join('\n'));
    check(lost.length === 0, `the references of ${name} lead somewhere`, lost.join('\n'));
    check(open.length === 0, `the objects of ${name} are closed, so that a misspelt member is found`, open.join('\n'));
    check(bare.length === 0, `the members of ${name} have a title for messages`, bare.join('\n'));
}
check(metaschema.validateSchema({type: 'objekt'}) === false, 'the metaschema refuses what is no schema');

// ---- the limits ----
const limits = new Map();
for (const [, name, value] of readText('src/base/limits.h').matchAll(/#define LIMIT_(\w+)[\s\\]+(\d+)\b/g))
    limits.set(name, Number(value));
const limited = [
    ['NAME_LENGTH', 'common.json#/$defs/name', 'maxLength'],
    ['NAME_LENGTH', 'common.json#/$defs/point_name', 'maxLength'],
    ['TYPED_LENGTH', 'check.request.json#/$defs/typed_number', 'maxLength'],
    ['POINTS', 'common.json#/$defs/points', 'maxProperties'],
    ['FORCES', 'common.json#/$defs/forces', 'maxItems'],
    ['FORCES', 'equilibrium.request.json#/$defs/forces', 'maxItems'],
    ['COUPLES', 'common.json#/$defs/couples', 'maxItems'],
    ['DISTRIBUTED_LOADS', 'common.json#/$defs/distributed_loads', 'maxItems'],
    ['SUPPORTS', 'equilibrium.request.json#/$defs/supports', 'maxItems'],
    ['SUPPORTS', 'truss.request.json#/properties/supports', 'maxItems'],
    ['BODIES', 'equilibrium.request.json#/properties/bodies', 'maxProperties'],
    ['PINS', 'equilibrium.request.json#/properties/pins', 'maxItems'],
    ['PIN_BODIES', 'equilibrium.request.json#/properties/pins/items/properties/joins', 'maxItems'],
    ['JOINT_MEMBERS', 'truss-joint.request.json#/properties/members', 'maxItems'],
    ['SECTION_MEMBERS', 'truss.request.json#/properties/section/properties/cut', 'maxItems'],
    ['JOINTS', 'truss.request.json#/properties/joints', 'maxProperties'],
    ['MEMBERS', 'truss.request.json#/properties/members', 'maxItems'],
    ['LOADS', 'truss.request.json#/properties/loads', 'maxItems'],
    ['KEY_ENTRIES', 'result.json#/$defs/key', 'maxItems'],
    ['ASKED', 'check.request.json#/properties/asked', 'maxItems'],
    ['CHECKED_ANSWERS', 'check.request.json#/properties/answers', 'maxItems'],
];
for (const [limit, reference, keyword] of limited) {
    const node = resolve(reference, '');
    check(node !== undefined && node[keyword] === limits.get(limit),
          `LIMIT_${limit} is ${keyword} of ${reference}`, `${node?.[keyword]} and ${limits.get(limit)}`);
}

// ---- the units: those of the one table ----
const tables = readText('src/vector/unit.c');
const names = table => [...tables.match(new RegExp(`struct row ${table}\\[[^]*?\\n\\};`))[0]
    .matchAll(/\[UNIT_\w+\] = \{"([^"]+)"/g)].map(([, name]) => name);
const forces = names('forces'), lengths = names('lengths');
const listed = key => schemas.get('common.json').$defs[key].enum;
const sets = [['force_unit', forces], ['length_unit', lengths], ['angle_unit', names('angles')], ['mass_unit', names('masses')],
    ['acceleration_unit', names('accelerations').flatMap(name => [name, name.replace('²', '^2')])]];
for (const [key, wanted] of sets)
    check(wanted.length > 1 && [...listed(key)].sort().join() === [...wanted].sort().join(),
          `${key} has the units of src/vector/unit.c`, `${listed(key)} and ${wanted}`);
check(tables.match(/\[UNIT_\w+\] = \{"/g).length === sets.slice(0, 4).flatMap(([, wanted]) => wanted).length +
      names('accelerations').length, 'every unit of src/vector/unit.c is in a schema');
for (const [key, sign, reversible] of [['moment_unit', '·', true], ['moment_unit', '*', true], ['intensity_unit', '/', false]]) {
    const pattern = new RegExp(schemas.get('common.json').$defs[key].pattern, 'u');
    const all = forces.flatMap(f => lengths.map(l => [f + sign + l, l + sign + f]));
    check(all.every(([a, b]) => pattern.test(a) && pattern.test(b) === reversible) && !pattern.test('Nm'),
          `${key} takes every force and length with ${sign}`);
}

// ---- two validators, on the published cases and on what is wrong with them ----
const {validator} = require('@exodus/schemasafe');
// The second takes one document: the others become its $defs.
function bundle(name)
{
    const point = reference => {
        const [document, fragment = ''] = reference.split('#');
        return `#/$defs/${(document || null) ?? '@'}${fragment}`;
    };
    const rewrite = (node, home) => {
        if (Array.isArray(node))
            return node.map(one => rewrite(one, home));
        if (node === null || typeof node !== 'object')
            return node;
        const copy = {};
        for (const [key, value] of Object.entries(node)) {
            if (key === '$ref')
                copy.$ref = point(value).replace('/@', `/${home}`);
            else if (key !== '$schema')
                copy[key] = rewrite(value, home);
        }
        return copy;
    };
    const $defs = {};
    for (const [home, schema] of schemas)
        $defs[home] = rewrite(schema, home);
    return {$schema: 'https://json-schema.org/draft/2020-12/schema', $ref: `#/$defs/${name}`, $defs};
}
const first = schemaValidator();
const second = new Map();
for (const name of schemas.keys())
    if (name.endsWith('.request.json'))
        second.set(name, validator(bundle(name), {mode: 'spec', requireSchema: false, isJSON: true}));

// Each object of a request in turn: a member misspelt, a member left out, a value of a wrong type.
function* wrong(value, rebuild = changed => changed)
{
    if (value === null || typeof value !== 'object')
        return;
    const entries = Object.entries(value);
    for (const [key, inner] of entries) {
        const set = changed => rebuild(Array.isArray(value) ? Object.assign([...value], {[key]: changed})
                                                            : {...value, [key]: changed});
        yield ['wrong type', set(typeof inner === 'boolean' ? 7 : true)];
        if (!Array.isArray(value)) {
            yield ['left out', rebuild(Object.fromEntries(entries.filter(([k]) => k !== key)))];
            yield ['misspelt', rebuild(Object.fromEntries(entries.map(([k, v]) => [k === key ? `${k}s-` : k, v])))];
        }
        yield* wrong(inner, set);
    }
}

const cases = readCases();
const kinds = new Map();
for (const one of cases) {
    const name = `${one.kind}.request.json`;
    const problems = [[name, one.request]];
    if (one.student)
        problems.push(['check.request.json',
                       {problem: {kind: one.kind, ...one.request}, answer: one.student, marking: one.marking ?? {}}]);
    for (const [document, request] of problems) {
        const fault = first(document, request);
        if (fault || !second.get(document)(request))
            check(false, `${one.id} fits ${document}`, fault || 'by the second validator only');
        const seen = kinds.get(document) ?? {valid: 0, wrong: 0, refused: 0, misspelt: [], differ: []};
        kinds.set(document, seen);
        seen.valid++;
        for (const [how, changed] of wrong(request)) {
            const refused = first(document, changed) !== '';
            seen.wrong++;
            seen.refused += refused;
            if (how === 'misspelt' && !refused)
                seen.misspelt.push(JSON.stringify(changed).slice(0, 300));
            if (refused === second.get(document)(changed))
                seen.differ.push(JSON.stringify(changed).slice(0, 300));
        }
    }
}
check(cases.length > 100, 'there are published cases', `${cases.length}`);
for (const [name, seen] of kinds) {
    check(seen.differ.length === 0, `both validators agree on ${seen.valid} requests and ${seen.wrong} spoilt ones of ${name}`,
          seen.differ.join('\n'));
    check(seen.refused > seen.wrong / 2, `most spoilt requests of ${name} are refused`, `${seen.refused} of ${seen.wrong}`);
    check(seen.misspelt.length === 0, `every misspelt member in ${name} is refused`, seen.misspelt.join('\n'));
}
finish();
