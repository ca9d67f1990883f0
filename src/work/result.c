/* result.c: the answer as a tree whose numbers are tape nodes. */
#include "work/work.h"

static struct value *add(struct work *w, struct value *parent, const char *key, struct value v)
{
    struct value *fresh = arena_alloc(w->arena, sizeof *fresh);
    if (!fresh) {
        w->failed = true;
        return NULL;
    }
    *fresh = v;
    fresh->key = key;
    if (!parent) {
        if (!w->answer && key == NULL && v.kind == VALUE_OBJECT)
            return w->answer = fresh;
        if (!w->answer)
            w->answer = add(w, NULL, NULL, (struct value){.kind = VALUE_OBJECT});
        parent = w->answer;
    }
    if (!parent)
        return NULL;
    if (parent->last)
        parent->last->next = fresh;
    else
        parent->child = fresh;
    parent->last = fresh;
    return fresh;
}

struct value *result_object(struct work *w, struct value *parent, const char *key)
{
    return add(w, parent, key, (struct value){.kind = VALUE_OBJECT});
}

struct value *result_list(struct work *w, struct value *parent, const char *key)
{
    return add(w, parent, key, (struct value){.kind = VALUE_LIST});
}

void result_number(struct work *w, struct value *parent, const char *key, q x)
{
    add(w, parent, key, (struct value){.kind = VALUE_NUMBER, .scalar = x, .asked = true});
}

void result_number_or_null(struct work *w, struct value *parent, const char *key, q x)
{
    if (q_is_none(x))
        result_null(w, parent, key);
    else
        result_number(w, parent, key, x);
}

void result_vector(struct work *w, struct value *parent, const char *key, qv v)
{
    add(w, parent, key, (struct value){.kind = VALUE_VECTOR, .vector = v, .asked = true});
}

void result_text(struct work *w, struct value *parent, const char *key, const char *text)
{
    add(w, parent, key, (struct value){.kind = VALUE_TEXT, .text = text});
}

void result_phrase(struct work *w, struct value *parent, const char *key, struct phrase p)
{
    struct phrase *own = arena_alloc(w->arena, sizeof *own);
    if (!own) {
        w->failed = true;
        return;
    }
    *own = p;
    add(w, parent, key, (struct value){.kind = VALUE_PHRASE, .phrase = own});
}

void result_count(struct work *w, struct value *parent, const char *key, int n)
{
    add(w, parent, key, (struct value){.kind = VALUE_COUNT, .count = n});
}

void result_bool(struct work *w, struct value *parent, const char *key, bool truth)
{
    add(w, parent, key, (struct value){.kind = VALUE_BOOL, .truth = truth});
}

void result_null(struct work *w, struct value *parent, const char *key)
{
    add(w, parent, key, (struct value){.kind = VALUE_NULL});
}
