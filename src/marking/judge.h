/* judge.h: which items of an answer are right. */
#ifndef MARKING_JUDGE_H
#define MARKING_JUDGE_H

#include "marking/rule.h"

/* The items of `asked` (in order, each once) judged into `ret_judged`, follow-through included. */
void judge(struct items *items, const struct answer *a, const struct marking *rules,
           const int *asked, int asked_count, struct judged *ret_judged);

#endif
