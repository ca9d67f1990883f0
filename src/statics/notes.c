#include "statics/notes.h"

static const struct note_row rows[] = {
#define NOTE(code, name, when) {name, when},
#include "statics/notes.def"
#undef NOTE
};

const struct note_row *note_row(enum note_code code) { return &rows[code]; }

void note_add(struct work *w, enum note_code code, struct phrase text)
{
    work_note(w, rows[code].name, text);
}
