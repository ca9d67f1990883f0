/* check_parts.h: what check.c, check_asked.c, check_write.c and check_tally.c share. */
#ifndef ENDPOINTS_CHECK_PARTS_H
#define ENDPOINTS_CHECK_PARTS_H

#include "marking/diagnose.h"
#include "work/work.h"
#include "json/json.h"

#define PROBLEM "/problem" /* where the problem stands in the request */
#define SOLUTIONS_MAX 2

/* Some solution of the key, as what it is marked by. */
struct solution {
    struct items items;
    struct outcomes *outcomes; /* of the items that any answer is asked for */
    bool *is_asked;
    int *scratch; /* as many as there are items */
};

/* One answer, or one of the two solutions that it gives. */
struct sheet {
    struct answer answer;
    const int *asked;
    int asked_count;
    struct judged *judged;
    int count;
    int solution; /* it was marked by */
    int given;    /* earned */
    struct diagnosis diagnosis;
};

struct marked {
    struct sheet sheet[SOLUTIONS_MAX];
    int sheets; /* 2 where both solutions were handed in */
};

struct check {
    struct work *w;
    const struct json *request;
    struct problem *reterr;
    struct marking rules;
    struct solution solution[SOLUTIONS_MAX];
    int solutions; /* at least 1 */
    struct marked *marked;
    int answers;
    int unnamed;
    int asked;     /* how often it was found out what is asked */
    bool left_out; /* something that is asked and that statics does not fix */
    long judged;   /* items */
};

/* A fault for each path that is asked and that the answer to this problem does not have. */
void check_asked(struct check *c, const struct json *asked);

/* What an answer is asked for, in the arena: the list of the request, or what it gives. False
 * without memory. */
bool check_find_asked(struct check *c, struct solution *s, struct sheet *sheet);

/* The marks as the request's result, with the notes; without `reveal` nothing of the solution
 * stays in it. */
void check_write(struct check *c);

const char *check_verdict_word(enum verdict v);

/* The path of an item; of two solutions handed in with the one it stands in. */
const char *check_path(const struct check *c, const struct marked *m, int sheet, const char *of);

/* Of a class: how often each mistake and each verdict came. False without memory. */
bool check_write_tally(const struct check *c);

#endif
