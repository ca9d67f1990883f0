// How an answer is compared with what is shown or expected.

const figures = 12; // the significant digits that numbers carry
const isObject = value => value !== null && typeof value === 'object';
const same = (a, b) => a === b || Number(a.toPrecision(figures)) === Number(b.toPrecision(figures));

// Where `actual` differs from what is shown, '' where it doesn't. Numbers are compared to 12 digits,
// texts exactly; the id of the request (`instance`) differs by nature and is left out. With `part`,
// members that are not shown don't count, and a list may end with "…".
export function difference(shown, actual, part = false, where = '')
{
    if (typeof shown === 'number' && typeof actual === 'number')
        return same(shown, actual) ? '' : `${where}: shown ${shown}, is ${actual}`;
    if (Array.isArray(shown) && Array.isArray(actual)) {
        const open = part && shown.at(-1) === '…';
        const entries = open ? shown.slice(0, -1) : shown;
        if (open ? actual.length < entries.length : actual.length !== entries.length)
            return `${where}: ${entries.length} entries shown, there are ${actual.length}`;
        for (const [i, entry] of entries.entries()) {
            const found = difference(entry, actual[i], part, `${where}/${i}`);
            if (found)
                return found;
        }
        return '';
    }
    if (isObject(shown) && isObject(actual) && !Array.isArray(shown) && !Array.isArray(actual)) {
        const keys = new Set([...Object.keys(shown), ...(part ? [] : Object.keys(actual))]);
        if (where === '')
            keys.delete('instance');
        for (const key of keys) {
            if (!(key in actual))
                return `${where}/${key}: shown, but not there`;
            if (!(key in shown))
                return `${where}/${key}: there, but not shown: ${JSON.stringify(actual[key]).slice(0, 200)}`;
            const found = difference(shown[key], actual[key], part, `${where}/${key}`);
            if (found)
                return found;
        }
        return '';
    }
    return shown === actual ? '' : `${where}: shown ${JSON.stringify(shown)}, is ${JSON.stringify(actual)}`;
}

// The value at a pointer in which entries of lists may be named: /members[name=AB]/force
export function find(answer, pointer)
{
    let node = answer;
    for (const step of pointer.split('/').slice(1)) {
        const [, key, member, value] = /^([^[]*)(?:\[(\w+)=(.*)\])?$/.exec(step);
        if (!isObject(node) || !(key in node))
            return undefined;
        node = node[key];
        if (member !== undefined)
            node = Array.isArray(node) ? node.find(entry => entry[member] === value) : undefined;
    }
    return node;
}

const isAngle = pointer => /\/(angle|azimuth|alpha|beta|gamma)$/.test(pointer);

// What of `expect` an answer doesn't meet, as texts.
export function unmet(expect, answer, turn = 360)
{
    const faults = [];
    for (const {at, value, tolerance} of expect) {
        const actual = find(answer, at);
        const say = () => faults.push(`${at}: expected ${JSON.stringify(value)}, is ${JSON.stringify(actual)}`);
        if (typeof value === 'number') {
            let off = typeof actual === 'number' ? Math.abs(actual - value) : Infinity;
            if (isAngle(at))
                off = Math.min(off, Math.abs(off - turn));
            if (!(off <= tolerance))
                say();
        } else if (Array.isArray(value) && value.every(entry => typeof entry === 'string')) {
            const names = Array.isArray(actual) ? actual.map(entry => entry?.name ?? entry) : [];
            if (names.length !== value.length || [...names].sort().join() !== [...value].sort().join())
                say();
        } else if (difference(value, actual)) {
            say();
        }
    }
    return faults;
}
