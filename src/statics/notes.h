/* notes.h: what a careful instructor adds beside the answer; the codes are listed once, in
 * notes.def. */
#ifndef STATICS_NOTES_H
#define STATICS_NOTES_H

#include "work/work.h"

enum note_code {
#define NOTE(code, name, when) NOTE_##code,
#include "statics/notes.def"
#undef NOTE
    NOTE_MAX_
};

struct note_row {
    const char *name; /* "zero-resultant" */
    const char *when; /* in which case it is said */
};

const struct note_row *note_row(enum note_code code);

/* Add a note to the answer. */
void note_add(struct work *w, enum note_code code, struct phrase text);

#endif
