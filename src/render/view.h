/* view.h: what a node prints as, and how tightly that holds together (inside render/ only). */
#ifndef RENDER_VIEW_H
#define RENDER_VIEW_H

#include "render/walk.h"

enum shape { SHAPE_SYMBOL, SHAPE_NUMBER, SHAPE_BODY };

/* A node as it is seen: past those that print as their operand. */
struct view {
    q x;
    const struct node *node;
    enum shape shape;
};

static inline const struct node *node_of(const struct walk *k, q x) { return &k->w->node[x.i]; }

static inline bool is_body(struct view v, enum op op)
{
    return v.shape == SHAPE_BODY && v.node->op == op;
}

struct view look(const struct walk *k, q x);
struct view operand(const struct walk *k, struct view v, int i);

/* The row by which an operation on one operand is written, and that operand: cos² θ is one. */
const struct row *row_of(const struct walk *k, struct view v, struct view *ret_argument);

/* Does it begin with a minus sign? */
bool is_negative(struct walk *k, struct view v);
/* Is the factor of a conversion 1/1000, so that it reads as a division? */
bool divides(struct walk *k, struct view conversion);

enum binding binding_of(struct walk *k, struct view v);
enum binding binding_of_shown(const struct walk *k, const struct shown *s);
/* The same without its sign. */
enum binding binding_of_magnitude(const struct walk *k, const struct shown *s);

/* Would a factor that follows be read as part of it? */
bool trails(struct walk *k, struct view v);
/* What a factor needs to hold together on its left side. */
enum binding needs_of_left(struct walk *k, struct view left);
/* What it begins with as a factor whose place needs so much. */
enum start start_of(struct walk *k, struct view v, enum binding needs);

/* ---- walk.c ---- */
void put_view(struct walk *k, struct view v, enum binding needs);
/* A negative v without its minus. */
void put_magnitude(struct walk *k, struct view v, enum binding needs);
/* The first bracket where there is to be one; and the last. */
bool put_open(struct walk *k, bool in_brackets);
void put_close(struct walk *k, bool in_brackets);

#endif
