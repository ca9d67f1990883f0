/* cut.h: a part of a truss cut free: a joint, or what lies on one side of a section.
 *
 * Forces act on it along lines, known ones (loads, what was found before) and unknown ones. It is
 * one body for the hand order (hand.h), whose equations it uses. */
#ifndef STATICS_CUT_H
#define STATICS_CUT_H

#include "statics/hand.h"

/* A force along a line: of a member that is cut, away from the part; a support's part. */
struct cut_force {
    const char *name;      /* of the member: "AB" */
    const char *text;      /* in prose: "F_AB", "A_y" */
    struct symbol symbol;  /* what it is called once it is found */
    const struct aim *aim; /* its positive sense */
    int site;              /* where it acts */
    bool is_member, is_fixed;
    q value; /* {0}: unknown */
};

/* What the force of a member is called: F_AB; F_A1,B2 of A1-B2, since a hyphen reads as a minus. */
struct symbol member_symbol(struct work *w, const char *letter, const char *name);
/* The same in prose; arena owned. */
const char *member_text(struct work *w, const char *letter, const char *name);

struct cut {
    struct assembly a;
    struct hand h;
};

/* Room for so many forces, sites and loads; false without memory. More forces than hand_is_beyond
 * allows are not worked. */
bool cut_new(struct cut *c, struct board *b, int forces, int sites, int loads);
/* A place where forces act, or that may be a centre of moments; `place` {0}: nowhere in particular.
 */
int cut_add_site(struct cut *c, const char *name, qv place);
/* Its number in the cut. */
int cut_add_force(struct cut *c, const struct cut_force *force);
void cut_add_load(struct cut *c, const struct load *load);
/* All is there: which forces are known, and which are open. The steps go into the section that is
 * open. */
void cut_begin(struct cut *c);

/* A joint: ΣF along the axes where one of them holds one unknown; as many equations together as
 * there are unknowns; where there are more, square to all unknowns but one. What statics does not
 * fix stays open. */
void cut_work_joint(struct cut *c);
/* Sums at a joint that were not used must come out as zero: shown under `title`. */
void cut_check_joint(struct cut *c, struct phrase title);
/* Where answers are to be checked: the sums at a joint, with what was found in them. */
void cut_balances(struct cut *c);
/* Where the key is asked for: other usual orders of solving the equations of a joint together;
 * answer[k] is force k as answered. */
void cut_alternatives(struct cut *c, const q *answer);
/* What was found; {0}: not. */
q cut_value(const struct cut *c, int force);

#endif
