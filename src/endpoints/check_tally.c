/* check_tally.c: the mistakes and the verdicts of a class, counted. */
#include "endpoints/check_parts.h"
#include "endpoints/roster.h"

/* An entry for each path, found by its text. */
struct tally_item {
    const char *of;
    int count[VERDICT_MAX_];
};

static struct tally_item *tally_find(struct roster *roster, struct tally_item *list, int *count,
                                     const char *of)
{
    int at = roster_add(roster, of, *count);
    if (at == *count)
        list[(*count)++] = (struct tally_item){.of = of};
    return &list[at];
}

static void put_tally_mistakes(const struct check *c, struct value *tally)
{
    struct work *w = c->w;
    int count[SLIP_MAX_] = {0};
    struct value *list = result_list(w, tally, "mistakes");
    for (int i = 0; i < c->answers; i++)
        for (int k = 0; k < c->marked[i].sheets; k++)
            for (int n = 0; n < c->marked[i].sheet[k].diagnosis.count; n++)
                count[c->marked[i].sheet[k].diagnosis.mistake[n].code[0]]++;
    for (;;) { /* the most frequent first, then in the order of the catalogue */
        int most = 0;
        for (int s = 1; s < SLIP_MAX_; s++)
            if (count[s] > count[most])
                most = s;
        if (count[most] == 0)
            return;
        struct value *one = result_object(w, list, NULL);
        result_text(w, one, "code", slip_row((enum slip)most)->code);
        result_count(w, one, "count", count[most]);
        count[most] = 0;
    }
}

bool check_write_tally(const struct check *c)
{
    struct work *w = c->w;
    size_t most = 0;
    for (int i = 0; i < c->answers; i++)
        for (int k = 0; k < c->marked[i].sheets; k++)
            most += (size_t)c->marked[i].sheet[k].count;
    struct roster roster;
    struct tally_item *list = arena_alloc(w->arena, (most + 1) * sizeof *list);
    int count = 0;
    if (!list || !roster_init(&roster, w->arena, most))
        return false;
    for (int i = 0; i < c->answers; i++)
        for (int k = 0; k < c->marked[i].sheets; k++)
            for (int n = 0; n < c->marked[i].sheet[k].count; n++) {
                const struct judged *j = &c->marked[i].sheet[k].judged[n];
                const char *of = check_path(c, &c->marked[i], k, j->of);
                tally_find(&roster, list, &count, of)->count[j->verdict]++;
            }
    struct value *tally = result_object(w, NULL, "tally");
    put_tally_mistakes(c, tally);
    struct value *items = result_list(w, tally, "items");
    for (int i = 0; i < count; i++) {
        struct value *one = result_object(w, items, NULL);
        result_text(w, one, "of", list[i].of);
        for (int v = 0; v < VERDICT_MAX_; v++)
            result_count(w, one, check_verdict_word((enum verdict)v), list[i].count[v]);
    }
    return true;
}
