/* render.h: one result, many notations; the only readers of steps.
 *
 * A line of mathematics in text (FORMAT_TEXT) can be read back. Its grammar (ABNF; "−" is U+2212,
 * and text in quotes stands with the blanks it shows):
 *
 *   line       = [sense] (definition / equation)
 *   sense      = "→⁺ " / "↑⁺ " / "↺⁺ "             right, up, counter-clockwise is positive
 *   definition = [name " = "] [label " = "] part *(" = " part)
 *   label      = "Σ" name                          what the sum is called: ΣF_x, ΣM_O
 *   part       = (expression / "{" expression "}") [" " unit]
 *   equation   = [label " = " expression ": "] sides ["; " sides]
 *   sides      = expression " = " expression
 *
 *   expression = ["−"] term *((" + " / " − ") term)
 *   term       = factor *((times / "/") factor)    one rank, from left to right
 *   times      = " · " / " × " / " " / ""          "" only before a bracket, after a number
 *                                                  or a bracket: 4(−6.00)
 *   factor     = power / function
 *   power      = primary ["²"]
 *   primary    = number / name / "√" primary / bracket / "|" expression "|"
 *   function   = ("sin" / "cos" / "tan") ["²"] (" " primary / bracket)
 *   function   =/ ("sin" / "cos" / "tan") "⁻¹" bracket
 *   bracket    = "(" expression ")"
 *   number     = digits ["·10" superscript] ["π"] ["°" / " rad"] / "π"
 *   name       = ["→"] base ["_" [sub] [axis]] *"'"    F, F_1, F_1x, r_A,B1, θ'; → is a vector
 *
 * A function has one primary as its argument: (F cos θ) d. A quotient that is a factor stands in
 * brackets, so F/(2 L) and 12/13 are read as they look. Negative factors and bases stand in
 * brackets; a minus at the head of a term is the sign of the sum. In an expression of vectors the
 * last factor i, j or k of a term is a unit vector (i', j', k' where the request has such a name),
 * " · " between two vectors is their dot product and " × " their cross product. A part that repeats
 * the one before is left out. A unit ends the last part of a definition; where a number given in
 * another unit is converted every part has one:
 *
 *   F_1 = 12 kN
 *   F_2 = 26000 N = 26000/1000 kN = 26.0 kN
 *   F_1x = F_1 cos 30° = 12 cos 30° = 10.4 kN
 *   →⁺ R_x = ΣF_x = F_1x + F_2x + P_x = 10.4 + 24.0 − 80.8 = −46.4 kN
 *   →F_2 = F_2 →u_2 = 26.0(0.923 i − 0.385 j) = {24.0 i − 10.0 j} kN
 *   ↺⁺ ΣM_A = 0: 6 B_y − 2 P = 0; 6 B_y − 2 · 217.5 = 0
 *
 * A vector is its bare letter with an arrow before it, since its magnitude has the same letter:
 * books print it bold, boards put the arrow above, and plain text can do neither. In the numbers
 * of a line givens stand as typed, all else as it was shown last, so they give the value to within
 * that rounding. In an equation's numbers what no earlier line defines stays a symbol. */
#ifndef RENDER_RENDER_H
#define RENDER_RENDER_H

#include "base/buf.h"
#include "work/work.h"

enum notation { NOTATION_SCALAR, NOTATION_VECTOR, NOTATION_MAX_ };
enum format { FORMAT_TEXT, FORMAT_LATEX, FORMAT_MATHML, FORMAT_SPEECH, FORMAT_MAX_ };

struct render_options {
    bool working; /* include the worked lines */
    enum notation notation;
    bool formats[FORMAT_MAX_]; /* of each line */
    int figures;               /* significant figures of what is shown, 1 to 12 */
    bool one_more_after_one;   /* "3-4": one more where the leading digit is 1 */
    bool key;
};

/* Its name in a request's "formats" and in a line of an answer: "latex". */
const char *format_name(enum format format);

/* The defaults: scalar, text, 3 figures. The pipeline reads a request's `working` and `key` over
 * them. */
struct render_options render_defaults(void);

/* All of these write into `out`, whose overflow is asked for once at the end. */

/* The answer as JSON (application/json): {"kind", "units", "answer", "notes", "working", "key"}.
 * Answer and notes do not depend on the options. */
void render_json(struct work *w, const struct render_options *options, struct buf *out);
/* The worked solution as a sheet to read (text/plain), and as a LaTeX fragment (text/x-latex). */
void render_sheet_text(struct work *w, const struct render_options *options, struct buf *out);
void render_sheet_latex(struct work *w, const struct render_options *options, struct buf *out);
/* One step in one format and notation (a vector definition in scalar notation gives several lines,
 * a check two: '\n' between). */
void render_step(struct work *w, const struct step *step, const struct render_options *options,
                 enum format format, struct buf *out);
/* Prose with its numbers; in LaTeX for use within mathematics. */
void render_phrase(struct work *w, const struct phrase *phrase,
                   const struct render_options *options, enum format format, struct buf *out);

#endif
