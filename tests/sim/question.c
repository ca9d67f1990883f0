#include "sim/question.h"

#include <stdio.h>
#include <string.h>

#include "sim/cables.h"
#include "sim/mistaken_held.h"

static const char *const names[QUESTION_MAX_] = {
    [QUESTION_FORCE] = "one force, components",
    [QUESTION_FORCE_SPACE] = "one force in space, components",
    [QUESTION_RESULTANT] = "resultant, components",
    [QUESTION_POLAR] = "resultant, R and angle",
    [QUESTION_SPACE] = "resultant in space, components",
    [QUESTION_MOMENT] = "components and moment",
    [QUESTION_CABLES] = "two or three cables",
    [QUESTION_BEAM] = "beam, reactions",
    [QUESTION_FRAME] = "frame of two bodies, reactions",
    [QUESTION_JOINT] = "truss joint, two members",
    [QUESTION_TRUSS] = "truss, reactions and members",
};

static void of_kind(struct question *to, const char *kind, const char *request)
{
    snprintf(to->problem, sizeof to->problem, "{\"kind\": \"%s\", %s", kind, request + 1);
}

static void draw_forces(struct draw *d, struct question *to)
{
    static char text[8000];
    struct exercise e;
    bool resolve = to->kind == QUESTION_FORCE || to->kind == QUESTION_FORCE_SPACE;
    bool space = to->kind == QUESTION_FORCE_SPACE || to->kind == QUESTION_SPACE;
    do
        exercise_draw(d, space, to->kind == QUESTION_MOMENT, &e);
    while (e.count > 4 ||
           (resolve && (e.pull[0].aim.way == WAY_COMPONENTS || e.pull[0].aim.way == WAY_AXIS)));
    e.resolve = resolve;
    if (resolve) {
        e.placed = e.has_about = e.has_couple = false;
        e.count = 1;
    }
    to->exercise = e;
    exercise_write(&e, "", text, sizeof text);
    of_kind(to, resolve ? "resolve" : "resultant", text);
}

static void draw_cables(struct draw *d, struct question *to)
{
    static char text[4000];
    static const char key[] = "\"key\": true, ";
    struct hanging h;
    hanging_draw(d, &h);
    hanging_write(&h, text, sizeof text);
    snprintf(to->problem, sizeof to->problem, "{\"kind\": \"equilibrium\", %s",
             text + 1 + sizeof key - 1);
}

/* A beam AC with a hinge at C on a strut or another beam: pins at A and B, a load on each. */
static void draw_frame(struct draw *d, struct question *to)
{
    double span = draw_decimal(d, 3, 6, 1), height = draw_decimal(d, 2, 5, 1);
    double foot = draw_decimal(d, 3, 7, 1);
    snprintf(
        to->problem, sizeof to->problem,
        "{\"kind\": \"equilibrium\", \"points\": {\"A\": [0, 0], \"C\": [%g, %g], \"B\": [%g, "
        "0], \"D\": {\"between\": [\"A\", \"C\"], \"fraction\": %g}, \"E\": {\"between\": [\"C\", "
        "\"B\"], \"fraction\": %g}}, \"bodies\": {\"AC\": {\"forces\": [{\"name\": \"P\", "
        "\"magnitude\": %g, \"direction\": {\"axis\": \"-y\"}, \"at\": \"D\"}], \"supports\": "
        "[{\"name\": \"A\", \"kind\": \"pin\", \"at\": \"A\"}]}, \"CB\": {\"forces\": [{\"name\": "
        "\"Q\", \"magnitude\": %g, \"direction\": {\"axis\": \"-x\"}, \"at\": \"E\"}], "
        "\"supports\": [{\"name\": \"B\", \"kind\": \"pin\", \"at\": \"B\"}]}}, \"pins\": "
        "[{\"name\": \"C\", \"at\": \"C\", \"joins\": [\"AC\", \"CB\"]}]}",
        span, height, span + foot, draw_decimal(d, 0.3, 0.8, 2), draw_decimal(d, 0.2, 0.8, 2),
        draw_decimal(d, 4, 30, 1), draw_decimal(d, 2, 20, 1));
}

static const char *plain(int i)
{
    static char name[4][3];
    static int next;
    char *to = name[next++ % 4];
    to[0] = (char)('A' + i);
    to[1] = '\0';
    return to;
}

/* Parallel chords: bottom joints A, C, E, … and top joints B, D, … above the panels' middles (a
 * Warren truss) or the bottom joints (verticals, and diagonals one way). */
static void draw_truss(struct draw *d, struct question *to)
{
    int panels = draw_int(d, 2, 4), bottoms = panels + 1, tops = panels, member = 0;
    double panel = draw_decimal(d, 2, 5, 1), height = draw_decimal(d, 1.5, 4, 1);
    double shift = draw_one_in(d, 2) ? panel / 2 : draw_decimal(d, 0.5, panel - 0.5, 1);
    char *at = to->problem, *end = at + sizeof to->problem;
#define PUT(...) at += snprintf(at, (size_t)(end - at), __VA_ARGS__)
    PUT("{\"kind\": \"truss\", \"joints\": {");
    for (int i = 0; i < bottoms; i++)
        PUT("%s\"%s\": [%g, 0]", i ? ", " : "", plain(i), panel * i);
    for (int i = 0; i < tops; i++)
        PUT(", \"%s\": [%g, %g]", plain(bottoms + i), panel * i + shift, height);
    PUT("}, \"members\": [");
#define JOIN(a, b) PUT("%s[\"%s\", \"%s\"]", member++ ? ", " : "", plain(a), plain(b))
    for (int i = 0; i < panels; i++) {
        JOIN(i, i + 1);
        JOIN(i, bottoms + i);
        JOIN(i + 1, bottoms + i);
        if (i > 0)
            JOIN(bottoms + i - 1, bottoms + i);
    }
    PUT("], \"supports\": [{\"at\": \"A\", \"kind\": \"pin\"}, {\"at\": \"%s\", \"kind\": "
        "\"roller\"}], \"loads\": [",
        plain(bottoms - 1));
    for (int i = 0, count = draw_int(d, 1, 2); i < count; i++)
        PUT("%s{\"name\": \"%c\", \"magnitude\": %g, \"direction\": {\"axis\": \"-y\"}, \"at\": "
            "\"%s\"}",
            i ? ", " : "", "PQ"[i], draw_decimal(d, 5, 60, 1), plain(draw_int(d, 1, bottoms - 2)));
    PUT(", {\"name\": \"H\", \"magnitude\": %g, \"direction\": {\"axis\": \"+x\"}, \"at\": "
        "\"%s\"}]}",
        draw_decimal(d, 3, 20, 1), plain(bottoms + draw_int(d, 0, tops - 1)));
#undef JOIN
#undef PUT
}

void question_draw(struct draw *d, enum question_kind kind, struct question *to)
{
    static struct held_problem held;
    *to = (struct question){.kind = kind, .name = names[kind], .by_polar = kind == QUESTION_POLAR};
    switch (kind) {
    case QUESTION_FORCE:
    case QUESTION_FORCE_SPACE:
    case QUESTION_RESULTANT:
    case QUESTION_POLAR:
    case QUESTION_SPACE:
    case QUESTION_MOMENT:
        draw_forces(d, to);
        return;
    case QUESTION_CABLES:
        draw_cables(d, to);
        return;
    case QUESTION_BEAM:
    case QUESTION_JOINT:
        held_draw(d, kind == QUESTION_BEAM ? HELD_BEAM : HELD_JOINT, &held);
        snprintf(to->problem, sizeof to->problem, "%s", held.text);
        return;
    case QUESTION_FRAME:
        draw_frame(d, to);
        return;
    case QUESTION_TRUSS:
        draw_truss(d, to);
        return;
    case QUESTION_MAX_:
        return;
    }
}
