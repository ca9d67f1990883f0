/* truss.c: a whole pin-jointed truss, plane or space. */
#include "statics/truss.h"

#include "statics/notes.h"
#include "statics/statics.h"

/* m + r against 2j or 3j, as books print it. */
static void show_count(struct truss *t)
{
    struct work *w = t->w;
    int supports = t->unknown_count - t->member_count;
    work_section(w, PLAIN("Count"),
                 PLAIN("The count is a hint; whether the truss can move is decided by the rank of "
                       "its equations."));
    work_say(w,
             PHRASE("m + r = {} + {} = {} unknowns, {}j = {} equations, of which {} are "
                    "independent.",
                    arg_count(t->member_count), arg_count(supports), arg_count(t->unknown_count),
                    arg_count(t->axes), arg_count(t->axes * t->joint_count), arg_count(t->rank)));
    switch (t->state) {
    case TRUSS_DETERMINATE:
        work_decide(w, PLAIN("As many unknowns as independent equations: the truss is statically "
                             "determinate."));
        return;
    case TRUSS_INDETERMINATE:
        work_decide(w, PHRASE("The truss is statically indeterminate to the degree {}.",
                              arg_count(t->degree)));
        return;
    case TRUSS_MECHANISM:
        work_decide(w, PHRASE("Not all {} equations are independent: the truss can move, it is a "
                              "mechanism.",
                              arg_count(t->axes * t->joint_count)));
        return;
    case TRUSS_STATE_MAX_:
        return;
    }
}

enum problem_code statics_truss(struct work *w, const struct truss_input *input,
                                struct problem *reterr)
{
    struct truss t;
    if (!truss_read(&t, w, input, reterr))
        return board_end(&t.board);
    if (input->has_section && !truss_divide(&t)) {
        problem_fault(reterr, "/section/cut", FAULT_SECTION,
                      "This cut does not divide the truss in two: every member between the two "
                      "parts has to be cut, and no other.");
        return board_end(&t.board);
    }
    enum problem_code code = truss_solve(&t, reterr);
    if (code != PROBLEM_NONE)
        return code;
    truss_inspect(&t);
    show_count(&t);
    truss_work(&t);
    truss_add_notes(&t);
    truss_forget_equations(&t);
    code = board_end(&t.board);
    if (code != PROBLEM_NONE)
        return code;
    return truss_put(&t, reterr);
}
