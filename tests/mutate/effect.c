/* effect.c: what a mutant does to the answers. One line a request on standard output:
 * hash of the answer, of the allowances, of the working; or the problem.
 * Usage: effect FILE    (lines: path, space, request; calls that are not there are passed over)
 * The corpus is that file and random exercises and structures from one fixed seed. A line "disagree
 * …" names a request whose working, parsed back, contradicts its numbers (oracle/reader.h), or
 * whose tape does when it is worked again; the program then ends with 1. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "endpoints/endpoint.h"
#include "oracle/exercise.h"
#include "oracle/reader.h"
#include "oracle/recompute.h"
#include "oracle/solve.h"
#include "oracle/structure.h"

#define EXERCISES 160
#define STRUCTURES 120
#define SEED 20

static bool all_agree = true;

static unsigned long long hash(const char *text, size_t length)
{
    unsigned long long h = 1469598103934665603u; /* FNV-1a */
    for (size_t i = 0; i < length; i++)
        h = (h ^ (unsigned char)text[i]) * 1099511628211u;
    return h;
}

/* With a key wherever the problem allows, so that its allowances are looked at as well. */
static void with_key(const char *request, char *text, size_t capacity)
{
    size_t length = strlen(request);
    bool has_key = strstr(request, "\"key\"") != NULL;
    snprintf(text, capacity, "%.*s%s", (int)length - 1, request, has_key ? "}" : ",\"key\":true}");
}

static void run(const char *path, const char *request)
{
    static char text[1 << 16];
    struct solved s;
    with_key(request, text, sizeof text);
    if (solve(&s, path, text) != PROBLEM_NONE) {
        const char *detail = s.problem.faults_found ? s.problem.faults[0].detail : s.problem.detail;
        printf("problem-%d-%llx - -\n", s.code, hash(detail, strlen(detail)));
        solved_free(&s);
        return;
    }
    struct render_options options = render_defaults();
    options.working = options.key = false;
    const char *answer = solved_json(&s, &options);
    const char *notes = answer ? strstr(answer, "\"notes\":") : NULL;
    unsigned long long answer_hash =
        hash(answer ? answer : "", notes ? (size_t)(notes - answer) : 0);
    options.key = true;
    const char *key = solved_json(&s, &options);
    key = key ? strstr(key, "\"key\":") : NULL;
    unsigned long long key_hash = key ? hash(key, strlen(key)) : 0, working_hash = 0;
    options.key = false;
    options.working = true;
    struct reading reading = {0};
    char fault[1400] = "";
    for (int notation = 0; notation < NOTATION_MAX_; notation++) {
        options.notation = (enum notation)notation;
        const char *working = solved_json(&s, &options);
        working = working ? strstr(working, "\"notes\":") : NULL;
        working_hash ^= (working ? hash(working, strlen(working)) : 0) + (unsigned)notation;
        if (!*fault && !reading_check(&s.work, &options, &reading))
            snprintf(fault, sizeof fault, "%s", reading.fault);
    }
    const char *json = solved_json(&s, &options);
    if (!*fault && (!json || !reading_check_json(&s.work, json, &reading)))
        snprintf(fault, sizeof fault, "%s", json ? reading.fault : "no answer");
    if (!*fault)
        recompute_all(&s.work, fault, sizeof fault);
    printf("%llx %llx %llx\n", answer_hash, key_hash, working_hash);
    if (*fault) {
        printf("disagree: %s: %s\n", path, fault);
        all_agree = false;
    }
    solved_free(&s);
}

static bool has_endpoint(const char *path)
{
    const struct endpoint *e = endpoints;
    while (e->path && strcmp(e->path, path) != 0)
        e++;
    return e->path != NULL;
}

int main(int argc, char **argv)
{
    static char line[1 << 16];
    FILE *file = argc == 2 ? fopen(argv[1], "rb") : NULL;
    if (!file) {
        fprintf(stderr, "usage: effect FILE\n");
        return 2;
    }
    while (fgets(line, sizeof line, file)) {
        char *space = strchr(line, ' ');
        line[strcspn(line, "\n")] = '\0';
        if (!space)
            continue;
        *space = '\0';
        if (has_endpoint(line))
            run(line, space + 1);
    }
    fclose(file);
    struct draw d = {SEED};
    for (int i = 0; i < EXERCISES; i++) {
        struct exercise e;
        exercise_draw_any(&d, &e);
        exercise_write(&e, "", line, sizeof line);
        run(exercise_path(&e), line);
    }
    for (int i = 0; i < STRUCTURES; i++) {
        const char *path = structure_draw(&d, line, sizeof line);
        run(path, line);
    }
    return all_agree ? 0 : 1;
}
