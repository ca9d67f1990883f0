#include "marking/judge.h"

#include "marking/follow.h"

/* The form that was given is right: so is the form that was asked. */
static bool is_right_as_given(struct items *s, const struct answer *a, int i,
                              const struct marking *m)
{
    const struct item *item = &s->item[i];
    if (item->force < 0)
        return false;
    const struct force_items *f = &s->force[item->force];
    int all[5] = {f->component[0], f->component[1], f->component[2], f->magnitude, f->direction};
    int given_count = 0;
    for (int k = 0; k < 5; k++) {
        const struct given_item *given = all[k] < 0 ? NULL : answer_find(a, all[k]);
        if (!given || given->is_derived)
            continue;
        given_count++;
        if (!rule_item(s, all[k], given, m))
            return false;
    }
    return given_count > 0;
}

/* A force that vanishes has no direction: nothing need be said of it where its size is right. */
static bool goes_without_saying(struct items *s, const struct answer *a, int i,
                                const struct marking *m)
{
    const struct item *item = &s->item[i];
    if (item->kind != PART_NOTHING || item->force < 0)
        return false;
    const struct force_items *f = &s->force[item->force];
    int others[4] = {f->component[0], f->component[1], f->component[2], f->magnitude};
    int right = 0;
    for (int k = 0; k < 4; k++) {
        const struct given_item *given = others[k] < 0 ? NULL : answer_find(a, others[k]);
        if (given && !rule_item(s, others[k], given, m))
            return false;
        right += given != NULL;
    }
    return right > 0;
}

void judge(struct items *s, const struct answer *a, const struct marking *m, const int *asked,
           int asked_count, struct judged *ret_judged)
{
    bool is_any_wrong = false;
    for (int i = 0; i < asked_count; i++) {
        const struct given_item *given = answer_find(a, asked[i]);
        struct judged *j = &ret_judged[i];
        *j = (struct judged){.item = asked[i], .of = s->item[asked[i]].of};
        if (!given)
            j->verdict = goes_without_saying(s, a, asked[i], m) ? VERDICT_CORRECT : VERDICT_MISSING;
        else if (rule_item(s, asked[i], given, m) ||
                 (given->is_derived && is_right_as_given(s, a, asked[i], m)))
            j->verdict = VERDICT_CORRECT;
        else
            j->verdict = VERDICT_INCORRECT;
        is_any_wrong = is_any_wrong || j->verdict == VERDICT_INCORRECT;
    }
    if (is_any_wrong)
        follow_through(s, a, m, ret_judged, asked_count);
}
