/* render.h: one result, many notations; the only readers of steps. */
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
    int figures;               /* significant figures of what is shown */
    bool one_more_after_one;   /* "3-4": one more where the leading digit is 1 */
    bool key;
};

/* The defaults: scalar, text, 3 figures. The pipeline reads a request's `working` and `key` over
 * them. */
struct render_options render_defaults(void);

/* The answer as JSON (application/json): {"kind", "units", "answer", "notes", "working", "key"}. */
void render_json(struct work *w, const struct render_options *options, struct buf *out);
/* The worked solution as a sheet to read (text/plain), and as a LaTeX fragment (text/x-latex). */
void render_sheet_text(struct work *w, const struct render_options *options, struct buf *out);
void render_sheet_latex(struct work *w, const struct render_options *options, struct buf *out);
/* One step in one format and notation (a vector definition in scalar notation gives several lines:
 * '\n' between). */
void render_step(struct work *w, const struct step *step, const struct render_options *options,
                 enum format format, struct buf *out);
void render_phrase(struct work *w, const struct phrase *phrase,
                   const struct render_options *options, enum format format, struct buf *out);

#endif
