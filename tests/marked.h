/* marked.h: members of an answer, for the tests of marking. */
#ifndef TESTS_MARKED_H
#define TESTS_MARKED_H

#include <string.h>

#include "check.h"
#include "work/work.h"

static inline const struct value *member(const struct value *v, const char *key)
{
    for (const struct value *c = v ? v->child : NULL; c; c = c->next)
        if (c->key && strcmp(c->key, key) == 0)
            return c;
    return NULL;
}

/* A member that must be there. */
static inline const struct value *present(const struct value *v, const char *key)
{
    static const struct value none;
    const struct value *m = member(v, key);
    assert_non_null(m);
    return m ? m : &none;
}

/* Is a mistake named so, or among its alternatives? */
static inline bool has_code(const struct value *mistake, const char *code)
{
    if (strcmp(present(mistake, "code")->text, code) == 0)
        return true;
    const struct value *others = member(mistake, "alternatives");
    for (const struct value *c = others ? others->child : NULL; c; c = c->next)
        if (strcmp(c->text, code) == 0)
            return true;
    return false;
}

#endif
