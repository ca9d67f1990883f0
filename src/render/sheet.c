/* sheet.c: the whole solution on one sheet, as it would stand on the board. */
#include <string.h>

#include "render/walk.h"

/* How a sheet is laid out in one format. */
struct layout {
    const struct writer *writer;
    const char *begin;
    const char *title[2], *heading[3], *number[2]; /* of a section, within its heading */
    const char *paragraph_end;
    const char *block[2];       /* around lines of mathematics */
    const char *line, *between; /* before each, and between two */
    const char *remark[2];      /* after a line: (tension) */
    const char *list[2], *item, *answer, *notes;
    bool wraps;
};

static const struct layout text_layout = {
    .writer = &text_writer,
    .begin = "",
    .title = {"", "\n"},
    .heading = {"\n", "", "\n"},
    .number = {"", ". "},
    .paragraph_end = "\n",
    .block = {"\n", "\n\n"},
    .line = "    ",
    .between = "\n",
    .remark = {" (", ")"},
    .list = {"", ""},
    .item = "- ",
    .answer = "Answer",
    .notes = "Notes",
    .wraps = true,
};

static const struct layout latex_layout = {
    .writer = &latex_paragraph_writer,
    .begin = "% needs the packages amsmath and amssymb\n",
    .title = {"\\section*{", "}\n"},
    .heading = {"\n", "\\subsection*{", "}\n"},
    .number = {"", ". "},
    .paragraph_end = "\n\n",
    .block = {"\\begin{align*}\n", "\n\\end{align*}\n"},
    .line = "& ",
    .between = " \\\\\n",
    .remark = {" \\quad\\text{(", ")}"},
    .list = {"\\begin{itemize}\n", "\\end{itemize}\n"},
    .item = "\\item ",
    .answer = "Answer",
    .notes = "Notes",
};

struct sheet {
    struct walk k;
    const struct layout *layout;
    bool in_block;
    bool *is_listed; /* numbers of the answer that are on the sheet already */
};

#define COLUMNS 78

/* Break prose at blanks; a number stays with its unit. */
static void wrap(struct buf *out, size_t start)
{
    size_t column = 0, blank = 0;
    for (size_t i = start; i < out->length; i++) {
        char c = out->data[i];
        if (((unsigned char)c & 0xc0) != 0x80)
            column++;
        if (c == ' ' && i > start && !(out->data[i - 1] >= '0' && out->data[i - 1] <= '9'))
            blank = i;
        if (column > COLUMNS && blank > 0) {
            out->data[blank] = '\n';
            column = 0;
            i = blank;
            blank = 0;
        }
    }
}

static void leave_block(struct sheet *s)
{
    if (s->in_block)
        put(&s->k, s->layout->block[1]);
    s->in_block = false;
}

static void enter_line(struct sheet *s)
{
    put(&s->k, s->in_block ? s->layout->between : s->layout->block[0]);
    put(&s->k, s->layout->line);
    s->in_block = true;
}

/* A paragraph of prose; `lead` stands before it. */
static void put_paragraph(struct sheet *s, const char *lead, const struct phrase *phrase,
                          const char *end)
{
    leave_block(s);
    size_t start = s->k.out->length;
    put(&s->k, lead);
    put_phrase(&s->k, phrase);
    if (s->layout->wraps && !s->k.out->overflow)
        wrap(s->k.out, start);
    put(&s->k, end);
}

static bool ends_in_blank_line(const struct buf *out)
{
    return out->length >= 2 && memcmp(out->data + out->length - 2, "\n\n", 2) == 0;
}

static void put_heading(struct sheet *s, uint32_t number, const struct phrase *title)
{
    leave_block(s);
    if (!ends_in_blank_line(s->k.out))
        put(&s->k, s->layout->heading[0]);
    put(&s->k, s->layout->heading[1]);
    if (number > 0) {
        char digits[12];
        put(&s->k, s->layout->number[0]);
        buf_put(s->k.out, digits, integer_text((int)number, digits));
        put(&s->k, s->layout->number[1]);
    }
    put_phrase(&s->k, title);
    put(&s->k, s->layout->heading[2]);
}

static void put_section(struct sheet *s, uint32_t number, const struct section *section)
{
    put_heading(s, number, &section->title);
    if (section->why.template != NULL)
        put_paragraph(s, "", &section->why, s->layout->paragraph_end);
    for (uint32_t i = section->first; i < section->first + section->count; i++) {
        const struct step *step = &s->k.w->step[i];
        uint32_t count = line_count(&s->k, step);
        for (uint32_t j = 0; j < count; j++) {
            if (line_is_prose(step, j)) {
                put_paragraph(s, "", &step->phrase, s->layout->paragraph_end);
            } else {
                enter_line(s);
                put_line(&s->k, step, j);
            }
        }
    }
}

/* ---- looking into the answer ---- */

static const struct value nothing = {.kind = VALUE_NULL, .text = ""};

/* The member of that key; an empty value where there is none. */
static const struct value *member(const struct value *object, const char *key)
{
    for (const struct value *c = object->child; c != NULL; c = c->next)
        if (c->key != NULL && strcmp(c->key, key) == 0)
            return c;
    return &nothing;
}

static const char *text_of(const struct value *object, const char *key)
{
    const struct value *text = member(object, key);
    return text->kind == VALUE_TEXT ? text->text : NULL;
}

/* Where loads can't be held the values are null, though statics leaves none of them open. */
static bool are_loads_held(const struct value *answer)
{
    const char *state = text_of(answer, "state");
    const struct value *balanced = member(answer, "balanced");
    if (state == NULL)
        return true;
    return strcmp(state, "no_equilibrium") != 0 && (balanced == &nothing || balanced->truth);
}

/* ---- the answer: every number that can be asked for, once ---- */

static void put_answer_number(struct sheet *s, q x, const char *state)
{
    if (s->is_listed == NULL || s->is_listed[x.i])
        return;
    s->is_listed[x.i] = true;
    enter_line(s);
    put_result(&s->k, x);
    if (state != NULL) {
        put(&s->k, s->layout->remark[0]);
        put(&s->k, state);
        put(&s->k, s->layout->remark[1]);
    }
}

static void put_answer_vector(struct sheet *s, qv v)
{
    bool is_new = false;
    for (int axis = 0; axis < 3 && s->is_listed != NULL; axis++) {
        q x = qv_component(s->k.w, v, axis);
        is_new = is_new || (!q_is_none(x) && !s->is_listed[x.i]);
    }
    bool is_vector =
        s->k.options->notation == NOTATION_VECTOR && qv_node(s->k.w, v)->symbol.base != NULL;
    if (is_new && is_vector) {
        enter_line(s);
        put_vector_result(&s->k, v);
    }
    for (int axis = 0; is_new && axis < 3; axis++) {
        q x = qv_component(s->k.w, v, axis);
        if (q_is_none(x))
            continue;
        if (is_vector)
            s->is_listed[x.i] = true;
        else
            put_answer_number(s, x, NULL);
    }
}

/* A number that statics does not fix. Of a force with parts these say it. */
static void put_unfixed(struct sheet *s, const struct value *object, const char *key)
{
    bool is_whole = strcmp(key, "force") == 0 && member(object, "parts") == &nothing;
    if (!is_whole && strcmp(key, "value") != 0)
        return;
    const char *name = text_of(object, "symbol");
    if (name == NULL)
        name = text_of(object, "name");
    if (name == NULL)
        return;
    struct phrase p = {.template = "{} is not fixed by statics.",
                       .count = 1,
                       .arg = {{.kind = ARG_NAME, .name = name}}};
    put_paragraph(s, "", &p, s->layout->paragraph_end);
}

static void put_answer(struct sheet *s, const struct value *v, const struct value *object)
{
    switch (v->kind) {
    case VALUE_NUMBER:
        if (v->asked)
            put_answer_number(s, v->scalar,
                              object == s->k.w->answer ? NULL : text_of(object, "state"));
        return;
    case VALUE_VECTOR:
        if (v->asked)
            put_answer_vector(s, v->vector);
        return;
    case VALUE_PHRASE:
        put_paragraph(s, "", v->phrase, s->layout->paragraph_end);
        return;
    case VALUE_OBJECT:
    case VALUE_LIST:
        for (const struct value *c = v->child; c != NULL; c = c->next)
            put_answer(s, c, v);
        return;
    case VALUE_NULL:
        if (v->key != NULL && are_loads_held(s->k.w->answer))
            put_unfixed(s, object, v->key);
        return;
    case VALUE_TEXT:
    case VALUE_COUNT:
    case VALUE_BOOL:
    case VALUE_KIND_MAX_:
        return;
    }
}

/* "no_equilibrium" is "no equilibrium". */
static void put_state(struct sheet *s, const char *state)
{
    size_t length = strlen(state);
    char *words = arena_alloc(s->k.w->arena, length + 1);
    for (size_t i = 0; words != NULL && i < length; i++)
        words[i] = state[i] == '_' ? ' ' : state[i];
    struct phrase p = {.template = "State: {}.",
                       .count = 1,
                       .arg = {{.kind = ARG_NAME, .name = words != NULL ? words : state}}};
    put_paragraph(s, "", &p, s->layout->paragraph_end);
    if (!are_loads_held(s->k.w->answer)) {
        p = (struct phrase){.template =
                                "These loads cannot be held, so that no force has a value."};
        put_paragraph(s, "", &p, s->layout->paragraph_end);
    }
}

static void put_answers(struct sheet *s)
{
    struct work *w = s->k.w;
    put_heading(s, 0, &(struct phrase){.template = s->layout->answer});
    const char *state = text_of(w->answer, "state");
    if (state != NULL)
        put_state(s, state);
    s->is_listed = arena_alloc(w->arena, w->node_count * sizeof *s->is_listed);
    put_answer(s, w->answer, w->answer);
    leave_block(s);
}

/* ---- answers that were marked ---- */

static void put_said(struct sheet *s, const char *lead, const char *template, uint32_t count,
                     const struct arg *args)
{
    struct phrase p = phrase(template, count, args);
    put_paragraph(s, lead, &p, "\n");
}

static void put_marked(struct sheet *s, const struct value *marked)
{
    const struct value *score = member(marked, "score");
    put_said(s, "", "Score: {} of {}.", 2,
             (struct arg[]){arg_count(member(score, "given")->count),
                            arg_count(member(score, "maximum")->count)});
    put(&s->k, s->layout->list[0]);
    for (const struct value *i = member(marked, "items")->child; i != NULL; i = i->next)
        put_said(
            s, s->layout->item, "{}: {}", 2,
            (struct arg[]){arg_name(member(i, "of")->text), arg_name(member(i, "verdict")->text)});
    put(&s->k, s->layout->list[1]);
    for (const struct value *m = member(marked, "mistakes")->child; m != NULL; m = m->next)
        put_said(s, "", "{}", 1, (struct arg[]){arg_name(member(m, "feedback")->text)});
}

/* One answer, or those of a class. */
static void put_check(struct sheet *s)
{
    const struct value *answers = member(s->k.w->answer, "answers");
    int number = 0;
    if (!s->k.w->is_class) {
        put_heading(s, 0, &(struct phrase){.template = s->layout->answer});
        put_marked(s, s->k.w->answer);
    }
    for (const struct value *a = answers->child; a != NULL; a = a->next) {
        struct phrase title = PHRASE("Answer {}", arg_count(++number));
        put_heading(s, 0, &title);
        put_marked(s, a);
    }
}

static void put_notes(struct sheet *s)
{
    const struct work *w = s->k.w;
    if (w->note_count == 0)
        return;
    put_heading(s, 0, &(struct phrase){.template = s->layout->notes});
    put(&s->k, s->layout->list[0]);
    for (uint32_t i = 0; i < w->note_count; i++)
        put_paragraph(s, s->layout->item, &w->note[i].text, "\n");
    put(&s->k, s->layout->list[1]);
}

/* "truss-joint" is "Truss joint". */
static void put_title(struct sheet *s, const char *kind)
{
    put(&s->k, s->layout->title[0]);
    for (const char *c = kind; *c != '\0'; c++) {
        bool is_small = *c >= 'a' && *c <= 'z';
        buf_putc(s->k.out, c == kind && is_small ? (char)(*c - 'a' + 'A') : *c == '-' ? ' ' : *c);
    }
    put(&s->k, s->layout->title[1]);
}

static void put_sheet(struct work *w, const struct render_options *options,
                      const struct layout *layout, struct buf *out)
{
    struct sheet s = {.layout = layout};
    walk_begin(&s.k, w, layout->writer, options, out);
    put(&s.k, layout->begin);
    if (w->kind != NULL)
        put_title(&s, w->kind);
    uint32_t number = 0;
    for (uint32_t i = 0; options->working && i < w->section_count; i++)
        if (w->section[i].count > 0)
            put_section(&s, ++number, &w->section[i]);
    if (w->answer != NULL && member(w->answer, "verdict") == &nothing && !w->is_class)
        put_answers(&s);
    else if (w->answer != NULL)
        put_check(&s);
    put_notes(&s);
}

void render_sheet_text(struct work *w, const struct render_options *options, struct buf *out)
{
    put_sheet(w, options, &text_layout, out);
}

void render_sheet_latex(struct work *w, const struct render_options *options, struct buf *out)
{
    put_sheet(w, options, &latex_layout, out);
}
