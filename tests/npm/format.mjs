// JSON as the files of api/ and tests/examples have it: on one line what fits in 100 columns.
// Usage: node tests/npm/format.mjs FILE...
import fs from 'node:fs';
import {fileURLToPath} from 'node:url';

const columns = 100;

function onOneLine(value)
{
    if (Array.isArray(value))
        return `[${value.map(onOneLine).join(', ')}]`;
    if (value === null || typeof value !== 'object')
        return JSON.stringify(value);
    return `{${Object.entries(value).map(([key, one]) => `${JSON.stringify(key)}: ${onOneLine(one)}`).join(', ')}}`;
}

// Words one after another, as many to a line as fit.
function filled(words, indent)
{
    const lines = [''];
    for (const [i, word] of words.entries()) {
        const text = word + (i < words.length - 1 ? ',' : '');
        const line = lines.at(-1);
        if (line && indent.length + line.length + 1 + text.length > columns)
            lines.push(text);
        else
            lines[lines.length - 1] = line ? `${line} ${text}` : text;
    }
    return lines.map(line => indent + line).join('\n');
}

// `used` columns stand before the value, `after` follow it.
function formatted(value, indent, used, after)
{
    const line = onOneLine(value);
    if (value === null || typeof value !== 'object' || indent && used + line.length + after <= columns)
        return line;
    const inner = `${indent}  `;
    const entries = Object.entries(value);
    if (entries.length === 0)
        return line;
    const isList = Array.isArray(value);
    const [open, close] = isList ? '[]' : '{}';
    if (isList && value.every(one => one === null || typeof one !== 'object'))
        return `${open}\n${filled(value.map(onOneLine), inner)}\n${indent}${close}`;
    const rows = entries.map(([key, one], i) => {
        const head = inner + (isList ? '' : `${JSON.stringify(key)}: `);
        return head + formatted(one, inner, head.length, i < entries.length - 1 ? 1 : 0);
    });
    return `${open}\n${rows.join(',\n')}\n${indent}${close}`;
}

export const format = value => `${formatted(value, '', 0, 0)}\n`;

if (process.argv[1] === fileURLToPath(import.meta.url))
    for (const file of process.argv.slice(2))
        fs.writeFileSync(file, format(JSON.parse(fs.readFileSync(file, 'utf8'))));
