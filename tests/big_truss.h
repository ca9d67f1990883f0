/* big_truss.h: trusses of any size, for tests and the bench: as data, and as a request. */
#ifndef TESTS_BIG_TRUSS_H
#define TESTS_BIG_TRUSS_H

#include <stdio.h>
#include <stdlib.h>

enum shape { SHAPE_PRATT, SHAPE_WARREN, SHAPE_GRID, SHAPE_TOWER, SHAPE_MAX_ };
static const char *const shape_name[SHAPE_MAX_] = {"Pratt", "Warren", "wide grid", "space tower"};

struct big_truss {
    int axes, joints, members;
    double (*x)[3]; /* multiples of 1/4 */
    int (*member)[2];
    int held[3], held_count; /* plane: a pin and a roller; space: three balls and sockets */
};

static inline void big_member(struct big_truss *t, int a, int b)
{
    t->member[t->members][0] = a;
    t->member[t->members++][1] = b;
}

static inline void big_joint(struct big_truss *t, double x, double y, double z)
{
    t->x[t->joints][0] = x;
    t->x[t->joints][1] = y;
    t->x[t->joints++][2] = z;
}

/* Two chords, posts, a diagonal in each panel. */
static inline void big_pratt(struct big_truss *t, int panels)
{
    for (int i = 0; i <= panels; i++) {
        big_joint(t, 3.0 * i, 0, 0);
        big_joint(t, 3.0 * i, 4, 0);
        big_member(t, 2 * i, 2 * i + 1);
        if (i == 0)
            continue;
        big_member(t, 2 * i - 2, 2 * i);
        big_member(t, 2 * i - 1, 2 * i + 1);
        if (2 * i <= panels)
            big_member(t, 2 * i - 1, 2 * i);
        else
            big_member(t, 2 * i - 2, 2 * i + 1);
    }
    t->held[1] = 2 * panels;
}

static inline void big_warren(struct big_truss *t, int joints)
{
    for (int i = 0; i < joints; i++) {
        big_joint(t, 1.5 * i, i % 2 ? 2.5 : 0, 0);
        for (int k = 1; k <= 2 && i >= k; k++)
            big_member(t, i - k, i);
    }
    t->held[1] = (joints - 1) / 2 * 2;
}

/* Squares, held square by the diagonals of the first row and the first column. */
static inline void big_grid(struct big_truss *t, int side)
{
    for (int r = 0; r < side; r++)
        for (int c = 0; c < side; c++) {
            int j = r * side + c;
            big_joint(t, 2.0 * c, 1.5 * r, 0);
            if (c > 0)
                big_member(t, j - 1, j);
            if (r > 0)
                big_member(t, j - side, j);
            if (r > 0 && c > 0 && (r == 1 || c == 1))
                big_member(t, j - side - 1, j);
        }
    t->held[1] = side - 1;
}

/* Triangles above each other. */
static inline void big_tower(struct big_truss *t, int levels)
{
    static const double corner[3][2] = {{0, 0}, {3, 0.5}, {1.25, 2.75}};
    for (int i = 0; i <= levels; i++)
        for (int k = 0; k < 3; k++) {
            int j = 3 * i + k;
            big_joint(t, corner[k][0], corner[k][1], 2.0 * i);
            if (i == 0)
                continue;
            big_member(t, j - 3, j);
            big_member(t, 3 * (i - 1) + (k + 1) % 3, j);
            big_member(t, 3 * i + k, 3 * i + (k + 1) % 3);
        }
    t->axes = 3;
    t->held[0] = 0;
    t->held[1] = 1;
    t->held[2] = 2;
    t->held_count = 3;
}

/* About so many joints. Freed by big_free. */
static inline struct big_truss big_new(enum shape shape, int joints)
{
    struct big_truss t = {.axes = 2, .held_count = 2};
    int side = 2, room = 2 * joints + 100;
    t.x = calloc((size_t)room, sizeof *t.x);
    t.member = calloc((size_t)(4 * room), sizeof *t.member);
    while (side * side < joints)
        side++;
    switch (shape) {
    case SHAPE_PRATT:
        big_pratt(&t, joints / 2 - 1);
        break;
    case SHAPE_WARREN:
        big_warren(&t, joints | 1);
        break;
    case SHAPE_GRID:
        big_grid(&t, side);
        break;
    case SHAPE_TOWER:
        big_tower(&t, joints / 3);
        break;
    case SHAPE_MAX_:
        break;
    }
    return t;
}

static inline void big_free(struct big_truss *t)
{
    free(t->x);
    free(t->member);
}

/* As a request, with a load at every `loaded`-th joint; freed by the caller. */
static inline char *big_request(const struct big_truss *t, int loaded, size_t *ret_length)
{
    size_t room = 1000 + 140 * (size_t)t->joints + 40 * (size_t)t->members;
    char *text = malloc(room), *out = text;
    out += sprintf(out, "{\"working\":false,\"joints\":{");
    for (int j = 0; j < t->joints; j++) {
        out += sprintf(out, "%s\"%d\":[%.10g,%.10g", j ? "," : "", j, t->x[j][0], t->x[j][1]);
        out += t->axes == 3 ? sprintf(out, ",%.10g]", t->x[j][2]) : sprintf(out, "]");
    }
    out += sprintf(out, "},\"members\":[");
    for (int i = 0; i < t->members; i++)
        out += sprintf(out, "%s[\"%d\",\"%d\"]", i ? "," : "", t->member[i][0], t->member[i][1]);
    out += sprintf(out, "],\"supports\":[");
    for (int k = 0; k < t->held_count; k++)
        out += sprintf(out, "%s{\"at\":\"%d\",\"kind\":\"%s\"}", k ? "," : "", t->held[k],
                       t->axes == 3 ? "ball_and_socket"
                       : k == 0     ? "pin"
                                    : "roller");
    out += sprintf(out, "],\"loads\":[");
    for (int j = 0, count = 0; j < t->joints; j += loaded)
        out += t->axes == 3 ? sprintf(out, "%s{\"at\":\"%d\",\"components\":[1.5,0.25,-7.5]}",
                                      count++ ? "," : "", j)
                            : sprintf(out, "%s{\"at\":\"%d\",\"components\":[1.5,-7.5]}",
                                      count++ ? "," : "", j);
    out += sprintf(out, "]}");
    *ret_length = (size_t)(out - text);
    return text;
}

#endif
