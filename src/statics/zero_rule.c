#include "statics/zero_rule.h"

static int rank_without(const struct field *f, const struct zero_rule_force *force, int count,
                        int left_out)
{
    struct exact_span s = {.rank = 0};
    for (int i = 0; i < count && s.rank < 3; i++)
        if (i != left_out)
            exact_span_add(f, &s, force[i].line);
    return s.rank;
}

int zero_rule_find(const struct field *f, struct zero_rule_force *force, int count)
{
    int rank = rank_without(f, force, count, -1), found = 0;
    for (int i = 0; i < count; i++) {
        force[i].rank_of_others = rank_without(f, force, count, i);
        force[i].is_alone = force[i].is_member && force[i].rank_of_others < rank;
        found += force[i].is_alone;
    }
    return found;
}

static const char *names_of(struct work *w, const struct zero_rule_force *force, int count)
{
    const char *names = NULL;
    for (int i = 0; i < count; i++)
        names = name_list(w, names, force[i].name, count - 1 - i);
    return names ? names : "";
}

/* Nothing else acts, and all are zero. */
static void say_all(struct work *w, const char *joint, const struct zero_rule_force *force,
                    int count)
{
    struct arg at = arg_name(joint), names = arg_name(names_of(w, force, count));
    if (count == 1)
        work_decide(w, PHRASE("At {} only {} can act, and nothing balances it: it is a zero-force "
                              "member.",
                              at, names));
    else if (count == 2)
        work_decide(w, PHRASE("At {} only {} can act, and they are not in line: neither can "
                              "balance the other, so both are zero-force members.",
                              at, names));
    else
        work_decide(w, PHRASE("At {} only {} can act, and they do not lie in one plane: none can "
                              "be balanced by the others, so all are zero-force members.",
                              at, names));
}

void zero_rule_say(struct work *w, const char *joint, const struct zero_rule_force *force,
                   int count)
{
    int alone = 0;
    for (int i = 0; i < count; i++)
        alone += force[i].is_alone;
    if (alone == count) {
        say_all(w, joint, force, count);
        return;
    }
    for (int i = 0; i < count; i++)
        if (force[i].is_alone)
            work_decide(w, PHRASE("At {} all forces but that of {} lie {}: nothing balances {}, so "
                                  "it is a zero-force member.",
                                  arg_name(joint), arg_name(force[i].name),
                                  arg_name(force[i].rank_of_others == 1 ? "along one line"
                                                                        : "in one plane"),
                                  arg_name(force[i].name)));
}
