/* reader.h: the text working read back and worked again.
 *
 * The lines are parsed as text, by the grammar that render.h gives for FORMAT_TEXT, with an
 * evaluator of its own. A line is `symbol = formula = substitution = value unit`. Of every part:
 *   - the formula with the exact numbers behind its symbols gives the exact number of the line;
 *   - the formula with the values that earlier lines printed, and the substitution as it stands,
 *     give the printed value within what the rounding of each number shown can do;
 *   - the printed value is the exact number rounded, and its unit that of its dimension.
 * Then every named number of the answer must have been printed, rounded from the same value. */
#ifndef ORACLE_READER_H
#define ORACLE_READER_H

#include "render/render.h"

struct reading {
    long lines, formulas, substitutions, values; /* checked */
    char fault[1200];                            /* what was found, "" for nothing */
};

/* Read the working of `w` back, in the notation and figures of `options`. True where all agrees;
 * counts are added to. */
bool reading_check(struct work *w, const struct render_options *options, struct reading *ret);

/* Does every number of the JSON answer have the 12 digits of its node? `json` is what render_json
 * wrote. */
bool reading_check_json(struct work *w, const char *json, struct reading *ret);

#endif
