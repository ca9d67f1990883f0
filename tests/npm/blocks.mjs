// The fenced blocks of a page: {info, text, line, last}; lines are counted from 1, `line` is that of the
// opening fence, `last` that of the closing one.
export function readBlocks(page)
{
    const blocks = [];
    let open = null;
    for (const [i, line] of page.split('\n').entries()) {
        const fence = /^(`{3,})(.*)$/.exec(line);
        if (open && fence && fence[1].length >= open.fence.length && !fence[2].trim()) {
            blocks.push({info: open.info, text: open.lines.join('\n'), line: open.line, last: i + 1});
            open = null;
        } else if (open) {
            open.lines.push(line);
        } else if (fence) {
            open = {fence: fence[1], info: fence[2].trim().split(/\s+/), lines: [], line: i + 1};
        }
    }
    return blocks;
}

