// One-token changes of a C source: what a slip of the programmer would look like.

// Tokens with their place; comments and preprocessor lines are left out.
export function tokenise(text) {
    const pattern = /\/\*[^]*?\*\/|\/\/[^\n]*|^[ \t]*#[^\n]*(?:\\\n[^\n]*)*|"(?:[^"\\\n]|\\.)*"|'(?:[^'\\\n]|\\.)*'|[A-Za-z_]\w*|\d[\w.]*|->|\+\+|--|<<|>>|[-+*\/%&|^<>=!]=|&&|\|\||\.\.\.|[^\s]/gm;
    const tokens = [];
    for (const match of text.matchAll(pattern)) {
        const word = match[0];
        if (word.startsWith('/*') || word.startsWith('//') || /^[ \t]*#/.test(word)) continue;
        tokens.push({text: word, at: match.index, end: match.index + word.length});
    }
    return tokens;
}

const WORDS = {
    q_add: ['q_sub'], q_sub: ['q_add'], q_mul: ['q_div'], q_div: ['q_mul'],
    q_sin: ['q_cos', 'q_tan'], q_cos: ['q_sin', 'q_tan'], q_tan: ['q_sin', 'q_cos'],
    q_asin: ['q_acos'], q_acos: ['q_asin'], q_atan: ['q_tan'],
    q_square: ['q_abs'], q_sqrt: ['q_abs'],
    true: ['false'], false: ['true'],
    run: ['rise'], rise: ['run'], from: ['to', 'toward'], to: ['from'], toward: ['from'],
    LABEL_SUM_FORCE: ['LABEL_SUM_MOMENT'], LABEL_SUM_MOMENT: ['LABEL_SUM_FORCE'],
    WORD_ACUTE: ['WORD_OBTUSE'], WORD_OBTUSE: ['WORD_ACUTE'],
    sine: ['cosine'], cosine: ['sine'], x: ['y'], y: ['x'], azimuth: ['elevation'], elevation: ['azimuth'],
};
const OPERATORS = {
    '<': ['<=', '>'], '<=': ['<', '>'], '>': ['>=', '<'], '>=': ['>', '<'], '==': ['!='], '!=': ['=='],
    '&&': ['||'], '||': ['&&'], '+': ['-'], '-': ['+'], '+=': ['-='], '-=': ['+='], '*': ['/'],
};
const NUMBERS = {0: ['1', '2'], 1: ['0', '2'], 2: ['1', '0'], 90: ['180'], 180: ['90', '360'],
    270: ['90'], 360: ['180']};
const AXES = {"'x'": ["'y'"], "'y'": ["'z'", "'x'"], "'z'": ["'x'"]};
const DROPPED = new Set(['q_neg', 'q_abs', 'qv_neg', 'q_sqrt', 'q_square']);
const SWAPPED = new Set(['q_sub', 'q_div', 'qv_cross', 'qv_sub', 'q_compare', 'qv_of']);

// The arguments of the call whose name is tokens[i]: [[at, end], …], or null.
function callArguments(tokens, i) {
    if (tokens[i + 1]?.text !== '(') return null;
    const list = [];
    let depth = 0, start = i + 2;
    for (let k = i + 1; k < tokens.length; k++) {
        const word = tokens[k].text;
        if ('([{'.includes(word)) depth++;
        if (')]}'.includes(word)) depth--;
        if ((word === ',' && depth === 1) || depth === 0) {
            if (k > start) list.push([tokens[start].at, tokens[k - 1].end]);
            start = k + 1;
            if (depth === 0) return {list, end: tokens[k].end};
        }
    }
    return null;
}

const isOperand = (token) => token && (/^[\w'"]/.test(token.text) || ')]'.includes(token.text)) &&
    !['return', 'case'].includes(token.text);

// All one-token changes: {at, end, replacement, what}.
export function mutations(text) {
    const tokens = tokenise(text), found = [];
    const add = (at, end, replacement, what) => found.push({at, end, replacement, what});
    tokens.forEach((token, i) => {
        const {text: word, at, end} = token, before = tokens[i - 1], after = tokens[i + 1];
        const change = (to) => add(at, end, to, `${word} -> ${to}`);
        if (Object.hasOwn(WORDS, word)) {
            // from, to, run, x, … count only where they are members
            const member = before && (before.text === '.' || before.text === '->');
            if (/^(q_|true|false|LABEL|WORD)/.test(word) || member) WORDS[word].forEach(change);
        }
        if (Object.hasOwn(AXES, word)) AXES[word].forEach(change);
        if (Object.hasOwn(NUMBERS, word)) NUMBERS[word].forEach(change);
        else if (/^\d+$/.test(word)) change(String(Number(word) + 1));
        if (Object.hasOwn(OPERATORS, word)) {
            const binary = isOperand(before) && after;
            const pointer = word === '*' && (/^(struct|const|char|void|int|double|q|qv)$/.test(before?.text) ||
                /^(struct|enum|const)$/.test(tokens[i - 2]?.text));
            if (binary && !pointer) OPERATORS[word].forEach(change);
            else if (word === '-' && after) add(at, end, '', 'unary - dropped');
        }
        if (word === '!') add(at, end, '', '! dropped');
        const call = /^[A-Za-z_]/.test(word) ? callArguments(tokens, i) : null;
        const declared = before && /^(q|qv|bool|int|void|double|\*)$/.test(before.text);
        if (call && !declared) {
            const {list} = call;
            if (DROPPED.has(word) && list.length === 2)
                add(at, call.end, `(${text.slice(...list[1])})`, `${word} dropped`);
            if (SWAPPED.has(word) && list.length >= 3) {
                const [a, b] = [list[1], list[2]];
                add(a[0], b[1], text.slice(...b) + text.slice(a[1], b[0]) + text.slice(...a),
                    `arguments of ${word} exchanged`);
            }
            if (/^result_/.test(word)) {
                for (const argument of list) {
                    const literal = text.slice(...argument);
                    if (/^"[^"]*"$/.test(literal))
                        add(argument[0], argument[1], literal.replace(/"$/, '_"'), `${literal} renamed`);
                }
            }
        }
    });
    return found.map((m) => ({...m, line: text.slice(0, m.at).split('\n').length}));
}

export const applied = (text, m) => text.slice(0, m.at) + m.replacement + text.slice(m.end);
