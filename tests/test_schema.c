/* test_schema.c: the validator against the official JSON Schema test suite (see
 * tests/data/json-schema/README.md), and its words against the requests of api/. */
#include <dirent.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/limits.h"
#include "json_text.h"
#include "schema/node.h"
#include "schema/schema.h"

static const struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};

static char file_bytes[1 << 20];

static size_t read_file(const char *path)
{
    FILE *file = fopen(path, "rb");
    if (file == NULL)
        fail_msg("%s cannot be opened", path);
    size_t length = fread(file_bytes, 1, sizeof file_bytes, file);
    fclose(file);
    assert_true(length < sizeof file_bytes);
    return length;
}

static const struct json *read_json(struct arena *arena, const char *bytes, size_t length)
{
    struct problem problem;
    problem_init(&problem, arena);
    const struct json *root;
    return json_read(arena, bytes, length, &limits, &root, &problem) == PROBLEM_NONE ? root : NULL;
}

/* ---- the official suite ---- */

/* Tests left out, by the first thing in their schema that is not supported; counted, so that none
 * goes missing. */
static struct {
    const char *reason;
    unsigned expected, met;
} left_out[] = {
    {"the keyword $anchor", 11, 0},
    {"the keyword $dynamicAnchor", 28, 0},
    {"the keyword $dynamicRef", 6, 0},
    {"the keyword contains", 72, 0},
    {"the keyword contentEncoding", 3, 0},
    {"the keyword contentMediaType", 15, 0},
    {"the keyword dependencies", 36, 0},
    {"the keyword dependentSchemas", 28, 0},
    {"the keyword format", 133, 0},
    {"the keyword maxContains", 2, 0},
    {"the keyword minContains", 2, 0},
    {"the keyword multipleOf", 33, 0},
    {"the keyword unevaluatedItems", 52, 0},
    {"the keyword unevaluatedProperties", 125, 0},
    {"a keyword that no standard knows", 11, 0},
    {"$id within a document", 52, 0},
    {"another dialect", 9, 0},
    {"a reference to another document", 33, 0},
    {"U+0000, or a number of more than 30 digits", 11, 0},
};

static unsigned suite_run, suite_failed;

static void leave_out(const char *detail, unsigned tests, const char *file, const char *what)
{
    char reason[200] = "";
    const char *keyword = strstr(detail, "the keyword ");
    if (keyword != NULL)
        snprintf(reason, sizeof reason, "%.*s", (int)strcspn(keyword + 12, " ") + 12, keyword);
    else if (strstr(detail, "$id is supported") != NULL)
        snprintf(reason, sizeof reason, "$id within a document");
    else if (strstr(detail, "only the dialect") != NULL)
        snprintf(reason, sizeof reason, "another dialect");
    else if (strstr(detail, "leads to no schema") != NULL)
        snprintf(reason, sizeof reason, "a reference to another document");
    else
        snprintf(reason, sizeof reason, "%s", detail);
    if (strstr(reason, "nknown") != NULL || strstr(reason, "_of_schemas") != NULL)
        snprintf(reason, sizeof reason, "a keyword that no standard knows");
    for (size_t i = 0; i < sizeof left_out / sizeof *left_out; i++)
        if (strcmp(left_out[i].reason, reason) == 0) {
            left_out[i].met += tests;
            return;
        }
    suite_failed++;
    print_message("%s: %s: %s\n", file, what, detail);
}

static void run_group(const char *file, const char *text, size_t length)
{
    struct arena *arena = arena_new(LIMIT_ARENA_BYTES);
    const struct json *group = read_json(arena, text, length);
    if (group == NULL) {
        unsigned tests = 0; /* each has one "valid" */
        for (const char *c = text; (c = strstr(c, "\"valid\":")) != NULL && c < text + length; c++)
            tests++;
        leave_out("U+0000, or a number of more than 30 digits", tests, file, "");
        arena_free(arena);
        return;
    }
    const struct json *what = json_member(group, "description"),
                      *tests = json_member(group, "tests");
    struct buf schema;
    buf_init(&schema, arena, 1 << 20);
    put_json_text(&schema, json_member(group, "schema"));
    const struct schema_document documents[] = {{"test", buf_text(&schema), schema.length}, {0}};
    struct problem problem;
    problem_init(&problem, arena);
    struct schema_set *set = schema_compile(documents, &problem);
    if (set == NULL)
        leave_out(problem.detail, tests->count, file, what->text);
    for (const struct json *t = tests->child; set != NULL && t != NULL; t = t->next) {
        problem_init(&problem, arena);
        bool is_valid = json_member(t, "valid")->type == JSON_TRUE;
        enum problem_code code = schema_validate(set, "test", json_member(t, "data"), &problem);
        suite_run++;
        if ((code == PROBLEM_NONE) != is_valid || (problem.fault_count == 0) != is_valid) {
            suite_failed++;
            print_message("%s: %s: %s: should be %s\n", file, what->text,
                          json_member(t, "description")->text, is_valid ? "valid" : "invalid");
        }
    }
    schema_free(set);
    arena_free(arena);
}

/* A file is a list of groups, each read alone, so that one which our reader refuses costs only
 * itself. */
static void run_file(const char *folder, const char *name)
{
    char path[512];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    size_t length = read_file(path);
    file_bytes[length] = '\0';
    int depth = 0;
    const char *start = NULL;
    for (const char *c = file_bytes; *c != '\0'; c++) {
        if (*c == '"') {
            for (c++; *c != '"'; c++)
                c += *c == '\\';
        } else if (*c == '{' || *c == '[') {
            if (depth++ == 1)
                start = c;
        } else if (*c == '}' || *c == ']') {
            if (--depth == 1)
                run_group(name, start, (size_t)(c + 1 - start));
        }
    }
}

static void run_folder(const char *folder)
{
    DIR *dir = opendir(folder);
    assert_non_null(dir);
    for (struct dirent *entry; (entry = readdir(dir)) != NULL;) {
        size_t n = strlen(entry->d_name);
        if (n > 5 && strcmp(entry->d_name + n - 5, ".json") == 0)
            run_file(folder, entry->d_name);
    }
    closedir(dir);
}

static void official_suite(void **state)
{
    (void)state;
    run_folder("tests/data/json-schema");
    run_folder("tests/data/json-schema/optional");
    unsigned without = 0;
    for (size_t i = 0; i < sizeof left_out / sizeof *left_out; i++) {
        without += left_out[i].met;
        if (left_out[i].met != left_out[i].expected)
            fail_msg("%s: %u tests left out, not %u", left_out[i].reason, left_out[i].met,
                     left_out[i].expected);
    }
    assert_int_equal(suite_failed, 0);
    assert_int_equal(suite_run, 798);
    assert_int_equal(without, 662);
}

/* ---- what stops the program at its start ---- */

static void documents_that_cannot_be_used(void **state)
{
    (void)state;
    static const struct {
        const char *text, *detail;
    } rows[] = {
        {"{\"type\": \"object\", \"propertis\": {}}",
         "a.json#/propertis: the keyword propertis is not supported"},
        {"{\"properties\": {\"a/b\": {\"items\": {\"format\": \"date\"}}}}",
         "a.json#/properties/a~1b/items/format: the keyword format is not supported"},
        {"{\"$ref\": \"#/$defs/nowhere\"}",
         "a.json#/$ref: the reference #/$defs/nowhere leads to no schema"},
        {"{\"$ref\": \"c.json\"}", "a.json#/$ref: the reference c.json leads to no schema"},
        {"{\"enum\": [{\"type\": \"null\"}], \"$ref\": \"#/enum/0\"}",
         "a.json#/$ref: the reference #/enum/0 leads to no schema"},
        {"{\"$defs\": {\"x\": {\"allOf\": [{\"$ref\": \"#/$defs/x\"}]}}}",
         "a.json#/$defs/x: the schema refers to itself for the same value"},
        {"{\"$ref\": \"b.json\"}", NULL}, /* b.json exists */
        {"{\"pattern\": \"[a\"}", "a.json#/pattern: the pattern cannot be read: missing "
                                  "terminating ] for character class"},
        {"{\"type\": \"objekt\"}", "a.json#/type: the name of a type is expected"},
        {"{\"minimum\": \"3\"}", "a.json#/minimum: a number is expected"},
        {"{\"maxItems\": 2.5}", "a.json#/maxItems: a whole number from 0 to 1e9 is expected"},
        {"{\"oneOf\": []}", "a.json#/oneOf: at least one schema is expected"},
        {"{\"items\": 5}", "a.json#/items: a schema (an object, true or false) is expected"},
        {"{\"required\": [5]}", "a.json#/required/0: a text is expected"},
        {"{\"properties\": {\"a\": {\"$id\": \"x\"}}}",
         "a.json#/properties/a/$id: $id is supported for a whole document only"},
        {"{\"$schema\": \"http://json-schema.org/draft-07/schema#\"}",
         "a.json#/$schema: only the dialect 2020-12 is supported"},
        {"{\"type\": \"object\",}",
         "a.json#: line 1, column 18: no comma after the last member of an object"},
    };
    struct arena *arena = arena_new(1 << 20);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct schema_document documents[] = {
            {"a.json", rows[i].text, strlen(rows[i].text)}, {"b.json", "true", 4}, {0}};
        struct problem problem;
        problem_init(&problem, arena);
        struct schema_set *set = schema_compile(documents, &problem);
        assert_int_equal(set == NULL, rows[i].detail != NULL);
        if (set == NULL) {
            assert_int_equal(problem.code, PROBLEM_INTERNAL);
            assert_string_equal(problem.detail, rows[i].detail);
        }
        schema_free(set);
    }
    arena_free(arena);
}

/* ---- api/ ---- */

static struct arena *arena;
static struct schema_set *api;
static struct problem problem;

static enum problem_code validate(const char *document, const char *text)
{
    arena_reset(arena);
    problem_init(&problem, arena);
    const struct json *root;
    if (json_read(arena, text, strlen(text), &limits, &root, &problem) != PROBLEM_NONE)
        fail_msg("%s: %s", problem.detail, text);
    return schema_validate(api, document, root, &problem);
}

static void requests_that_are_right(void **state)
{
    (void)state;
    static const struct {
        const char *document, *text;
    } rows[] = {
        {"resolve.request.json",
         "{\"force\": {\"name\": \"P\", \"magnitude\": 26, \"direction\": {\"slope\": {\"run\": "
         "-12, \"rise\": 5}}}, \"along\": {\"u\": {\"angle\": 30.5}, \"v\": {\"axis\": \"-y\"}}}"},
        {"resultant.request.json",
         "{\"points\": {\"1\": [0, 2.5], \"B'\": {\"between\": [\"1\", [4, 3]], \"fraction\": "
         "-0.5}}, \"forces\": [{\"components\": [0, 0], \"direction\": null, \"magnitude\": 0}, "
         "{\"name\": \"G_\u00e4\", \"mass\": 15, \"at\": \"1\"}], \"about\": {\"line\": "
         "[\"1\", [0, 1]]}, \"working\": {\"significant_figures\": \"3-4\"}}"},
        {"equilibrium.request.json",
         "{\"supports\": [{\"kind\": \"cable\", \"direction\": {\"bearing\": \"N30.5E\"}}], "
         "\"forces\": [{\"magnitude\": {\"same_as\": \"T\", \"times\": -2}, \"direction\": "
         "\"unknown\", \"sense\": \"pulls\"}]}"},
        {"truss.request.json", "{\"joints\": {\"A\": [0, 0], \"B\": [4, 0]}, \"members\": "
                               "[[\"A\", \"B\"]]}"},
        {"check.request.json",
         "{\"problem\": {\"kind\": \"resultant\", \"forces\": []}, \"answers\": "
         "[{\"resultant\": {\"magnitude\": \"3/5*26\"}}, {}]}"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (validate(rows[i].document, rows[i].text) != PROBLEM_NONE)
            fail_msg("%s: %s: %s", rows[i].document, problem.faults[0].pointer, problem.detail);
}

struct said {
    const char *pointer;
    enum fault_code code;
    const char *detail;
};

static void assert_said(const char *text, const struct said *said, size_t count)
{
    for (size_t i = 0; i < problem.fault_count || i < count; i++)
        if (i >= problem.fault_count || i >= count ||
            strcmp(problem.faults[i].pointer, said[i].pointer) != 0 ||
            problem.faults[i].code != said[i].code ||
            strcmp(problem.faults[i].detail, said[i].detail) != 0) {
            for (size_t k = 0; k < problem.fault_count; k++)
                print_message("%s [%s] %s\n", problem.faults[k].pointer,
                              fault_row(problem.faults[k].code)->name, problem.faults[k].detail);
            fail_msg("%s", text);
        }
}

#define DIRECTIONS                                                                                 \
    "give one of angle, slope, axis, vector, line, direction_angles, azimuth with elevation, "     \
    "bearing."

static void what_is_said_to_a_teacher(void **state)
{
    (void)state;
    static const struct {
        const char *document, *text;
        struct said said[4];
    } rows[] = {
        {"resultant.request.json",
         "{\"forces\": [{\"name\": \"P\", \"magnitude\": 26}]}",
         {{"/forces/0/direction", FAULT_NO_DIRECTION, "force P has no direction: " DIRECTIONS}}},
        {"resultant.request.json",
         "{\"forces\": [{\"name\": \"P\", \"magnitude\": 26, \"direction\": {}}]}",
         {{"/forces/0/direction", FAULT_NO_DIRECTION, "force P has no direction: " DIRECTIONS}}},
        {"resultant.request.json",
         "{\"forces\": [{\"name\": \"P\", \"magnitude\": 26, \"direction\": {\"from\": \"+x\"}}]}",
         {{"/forces/0/direction", FAULT_NO_DIRECTION, "force P has no direction: " DIRECTIONS}}},
        {"resultant.request.json",
         "{\"forces\": [{\"name\": \"P\", \"magnitude\": 26, \"direction\": {\"angle\": 30, "
         "\"axis\": \"+x\"}}]}",
         {{"/forces/0/direction", FAULT_TWO_DIRECTIONS,
           "direction of force P is given in two ways, angle and axis: keep one."}}},
        {"resultant.request.json",
         "{\"forces\": [{\"name\": \"P\", \"magnitude\": 26, \"direction\": {\"angel\": 30}}]}",
         {{"/forces/0/direction/angel", FAULT_UNKNOWN_MEMBER,
           "angel is not known in direction of force P; did you mean angle? (known: angle, from, "
           "toward, turn, slope, axis, vector, line, direction_angles, azimuth, elevation, up, "
           "bearing)"}}},
        {"resultant.request.json",
         "{\"forces\": [{\"name\": \"P\", \"magnitude\": 26, \"direction\": {\"azimuth\": 40}}]}",
         {{"/forces/0/direction/elevation", FAULT_MISSING,
           "direction of force P has no elevation."}}},
        {"resultant.request.json",
         "{\"forces\": [{\"name\": \"P\", \"magnitude\": 26, \"direction\": {\"angle\": 30, "
         "\"from\": \"-x\", \"toward\": \"+y\", \"turn\": \"clockwise\"}}]}",
         {{"/forces/0/direction/turn", FAULT_FORBIDDEN,
           "turn of direction of force P does not stand beside toward."}}},
        {"resultant.request.json",
         "{\"forces\": [{\"name\": \"P\", \"magnitude\": 26, \"direction\": {\"angle\": 30, "
         "\"toward\": \"+y\"}}]}",
         {{"/forces/0/direction/from", FAULT_MISSING,
           "direction of force P has no from, which goes with toward: one of \"+x\", \"-x\", "
           "\"+y\", \"-y\", \"+z\", \"-z\"."}}},
        {"resultant.request.json",
         "{\"forces\": [{\"name\": \"P\", \"magnitude\": null, \"direction\": 30}]}",
         {{"/forces/0/magnitude", FAULT_TYPE,
           "magnitude of force P: a number or {\"value\": …, \"unit\": …} is expected, null was "
           "given."},
          {"/forces/0/direction", FAULT_TYPE,
           "direction of force P: {\"angle\": …}, {\"slope\": …}, {\"axis\": …}, {\"vector\": …}, "
           "{\"line\": …}, {\"direction_angles\": …}, {\"azimuth\": …, \"elevation\": …}, "
           "{\"bearing\": …} or null is expected, 30 was given."}}},
        {"resultant.request.json",
         "{\"forces\": [{\"name\": \"P\", \"magnitude\": \"26\", \"direction\": {\"axis\": "
         "\"x\"}}]}",
         {{"/forces/0/magnitude", FAULT_TYPE,
           "magnitude of force P: a number or {\"value\": …, \"unit\": …} is expected, the text "
           "\"26\" was given; write 26 without quotes."},
          {"/forces/0/direction/axis", FAULT_NOT_ALLOWED,
           "axis of direction of force P: \"x\" is not allowed; did you mean \"+x\"? (allowed: "
           "\"+x\", \"-x\", \"+y\", \"-y\", \"+z\", \"-z\")"}}},
        {"resultant.request.json",
         "{\"forces\": [{\"name\": \"P\"}, {}]}",
         {{"/forces/0", FAULT_CHOICE,
           "force P: give one of magnitude with direction, components, mass."},
          {"/forces/1", FAULT_CHOICE,
           "entry 2 of forces: give one of magnitude with direction, components, mass."}}},
        {"resultant.request.json",
         "{\"forces\": [{\"name\": \"W\", \"mass\": 15, \"magnitude\": 12}]}",
         {{"/forces/0", FAULT_CHOICE,
           "force W: mass and magnitude do not go together; give magnitude and direction, "
           "components, or mass, not both."}}},
        {"resultant.request.json",
         "{\"forces\": [{\"direction\": {\"axis\": \"-y\"}}]}",
         {{"/forces/0/magnitude", FAULT_MISSING,
           "entry 1 of forces has no magnitude, which goes with direction."}}},
        {"resultant.request.json",
         "{\"forces\": [{\"name\": \"P\", \"magnitud\": 4.2, \"direction\": {\"angle\": 30}}]}",
         {{"/forces/0/magnitud", FAULT_UNKNOWN_MEMBER,
           "magnitud is not known in force P; did you mean magnitude? (known: name, magnitude, "
           "direction, components, at, times)"}}},
        {"resultant.request.json",
         "{\"forces\": [{\"name\": \"9 P\", \"components\": [1]}]}",
         {{"/forces/0/name", FAULT_PATTERN,
           "name of force 9 P: \"9 P\" does not have the form that is read here: A letter, then "
           "letters, digits, _ or '; 16 characters at most."},
          {"/forces/0/components", FAULT_LENGTH,
           "components of force 9 P: 1 entry is given, 2 or 3 are expected."}}},
        {"resultant.request.json",
         "{\"units\": {\"force\": \"KN\", \"length\": \"yard\"}}",
         {{"/units/force", FAULT_UNIT,
           "force of units: \"KN\" is not allowed; did you mean \"kN\"? (allowed: \"N\", \"kN\", "
           "\"MN\", \"lb\", \"kip\", \"kgf\")"},
          {"/units/length", FAULT_UNIT,
           "length of units: \"yard\" is not allowed; \"mm\", \"cm\", \"m\", \"km\", \"in\" or "
           "\"ft\" is expected."}}},
        {"resultant.request.json",
         "{\"couples\": [{\"name\": \"C\", \"moment\": {\"value\": 3, \"unit\": \"kNm\"}}]}",
         {{"/couples/0/moment/unit", FAULT_UNIT,
           "unit of moment of couple C: \"kNm\" does not have the form that is read here: A unit "
           "of force times a unit of length: \"kN·m\" or \"kN*m\"."}}},
        {"resultant.request.json",
         "{\"force\": []}",
         {{"/force", FAULT_UNKNOWN_MEMBER,
           "force is not known in the request; did you mean forces? (known: kind, units, up, "
           "points, forces, couples, distributed_loads, about, working, key)"}}},
        {"resultant.request.json",
         "{\"points\": {\"A B\": [0, 0], \"C\": [1, \"x\"], \"D\": {\"from\": \"C\", \"distance\": "
         "-3, \"direction\": {\"angle\": 5}}}}",
         {{"/points/A B", FAULT_PATTERN,
           "\"A B\" does not do as a name in points: Letters, digits, _ or ', beginning with a "
           "letter or a digit; 16 characters at most."},
          {"/points/C/1", FAULT_TYPE,
           "entry 2 of point C: a number or {\"value\": …, \"unit\": …} is expected, the text "
           "\"x\" was given."},
          {"/points/D/distance", FAULT_RANGE,
           "distance of point D is -3; at least 0 is expected."}}},
        {"resultant.request.json",
         "{\"working\": {\"formats\": [\"text\", \"text\"], \"significant_figures\": 15}}",
         {{"/working/formats/1", FAULT_NOT_ALLOWED,
           "\"text\" stands twice in formats of working: entries 1 and 2."},
          {"/working/significant_figures", FAULT_RANGE,
           "significant_figures of working is 15; at most 12 is expected."}}},
        {"resultant.request.json",
         "{\"about\": 5, \"kind\": \"resolve\"}",
         {{"/about", FAULT_TYPE,
           "about: name of a point, coordinates or {\"line\": …} is expected, 5 was given."},
          {"/kind", FAULT_NOT_ALLOWED,
           "kind: \"resolve\" is not allowed; \"resultant\" is expected."}}},
        {"resultant.request.json",
         "[1]",
         {{"", FAULT_TYPE, "the request: an object is expected, a list was given."}}},
        {"resolve.request.json",
         "{\"force\": [{\"mass\": 3}]}",
         {{"/force", FAULT_TYPE,
           "force: an object such as {\"magnitude\": …, \"direction\": …}, {\"components\": …} or "
           "{\"mass\": …} is expected, a list was given."}}},
        {"resolve.request.json",
         "{\"force\": {\"mass\": 3}, \"along\": {\"u\": {}}}",
         {{"/along/u", FAULT_CHOICE, "along has no u: " DIRECTIONS},
          {"/along/v", FAULT_MISSING, "along has no v: " DIRECTIONS}}},
        {"equilibrium.request.json",
         "{\"supports\": [{\"name\": \"A\", \"kind\": \"roler\"}, {\"name\": \"B\", \"kind\": "
         "\"pin\", \"normal\": {\"axis\": \"+y\"}}, {\"kind\": \"link\"}]}",
         {{"/supports/0/kind", FAULT_NOT_ALLOWED,
           "kind of support A: \"roler\" is not allowed; did you mean \"roller\"? (allowed: "
           "\"pin\", \"fixed\", \"ball_and_socket\", \"roller\", \"rocker\", \"smooth_surface\", "
           "\"rough_surface\", \"link\", \"cable\", \"collar\", \"journal_bearing\", "
           "\"thrust_bearing\", \"hinge\")"},
          {"/supports/1/normal", FAULT_UNKNOWN_MEMBER,
           "normal is not known in support B where kind is \"pin\" (known: name, kind, at)"},
          {"/supports/2/direction", FAULT_NO_DIRECTION,
           "entry 3 of supports has no direction: " DIRECTIONS}}},
        {"equilibrium.request.json",
         "{\"supports\": [{\"name\": \"A\"}]}",
         {{"/supports/0/kind", FAULT_MISSING,
           "support A has no kind: one of \"pin\", \"fixed\", \"ball_and_socket\", \"roller\", "
           "\"rocker\", \"smooth_surface\", \"rough_surface\", \"link\", \"cable\", \"collar\", "
           "\"journal_bearing\", \"thrust_bearing\", \"hinge\"."}}},
        {"equilibrium.request.json",
         "{\"forces\": [{\"name\": \"T\", \"magnitude\": \"unkown\", \"direction\": {\"axis\": "
         "\"+x\"}}], \"smallest\": \"T\"}",
         {{"/forces/0/magnitude", FAULT_NOT_ALLOWED,
           "magnitude of force T: \"unkown\" is not allowed; did you mean \"unknown\"? (allowed: a "
           "number, {\"value\": …, \"unit\": …}, \"unknown\", {\"same_as\": …})"},
          {"/required_resultant", FAULT_MISSING,
           "the request has no required_resultant, which goes with smallest: give one of magnitude "
           "with direction, components."}}},
        {"truss.request.json",
         "{\"joints\": {\"A\": [0, 0]}, \"members\": [[\"A\"], \"AB\"], \"loads\": [{\"att\": "
         "\"A\", \"components\": [0, -18]}]}",
         {{"/joints", FAULT_LENGTH, "joints: 1 entry is given, 2 to 12000 are expected."},
          {"/members/0", FAULT_LENGTH,
           "entry 1 of members: 1 entry is given, exactly 2 are expected."},
          {"/members/1", FAULT_TYPE,
           "entry 2 of members: a list is expected, the text \"AB\" was given."},
          {"/loads/0/att", FAULT_UNKNOWN_MEMBER,
           "att is not known in entry 1 of loads; did you mean at? (known: name, magnitude, "
           "direction, components, at, times)"}}},
        {"check.request.json",
         "{\"problem\": {\"forces\": []}, \"answer\": {}, \"answers\": []}",
         {{"/problem/kind", FAULT_MISSING,
           "problem has no kind: one of \"resolve\", \"resultant\", \"equilibrium\", "
           "\"truss-joint\", \"truss\"."},
          {"/answers", FAULT_LENGTH, "answers: 0 entries are given, 1 to 1000 are expected."},
          {"", FAULT_CHOICE, "the request: give answer or answers, not both."}}},
        {"check.request.json",
         "{\"problem\": {\"kind\": \"resultant\", \"forces\": [{\"name\": \"P\", \"magnitude\": "
         "26}]}, \"answer\": {\"resultant\": {\"magnitude\": [1]}}}",
         {{"/problem/forces/0/direction", FAULT_NO_DIRECTION,
           "force P has no direction: " DIRECTIONS},
          {"/answer/resultant/magnitude", FAULT_TYPE,
           "magnitude of resultant of answer: a number, number as a student types it or "
           "{\"value\": …, \"unit\": …} is expected, a list was given."}}},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        size_t count = 0;
        while (count < 4 && rows[i].said[count].pointer != NULL)
            count++;
        assert_int_equal(validate(rows[i].document, rows[i].text), PROBLEM_INVALID_REQUEST);
        assert_said(rows[i].text, rows[i].said, count);
    }
    assert_int_equal(schema_validate(api, "none.json", NULL, &problem), PROBLEM_INTERNAL);
}

/* A pointer of a small schema, for words that api/ has no use for today. */
static void what_else_is_said(void **state)
{
    (void)state;
    static const char schema[] =
        "{\"type\": \"object\", \"properties\": {"
        "\"magnitude\": {\"$ref\": \"#/$defs/magnitude\"},"
        "\"share\": {\"exclusiveMinimum\": 0, \"exclusiveMaximum\": 1},"
        "\"turns\": {\"type\": \"integer\", \"minimum\": 1},"
        "\"code\": {\"type\": \"string\", \"minLength\": 2, \"maxLength\": 3},"
        "\"not\": {\"not\": {\"const\": 5}},"
        "\"pair\": {\"prefixItems\": [{\"type\": \"null\"}, {\"type\": \"boolean\"}], "
        "\"items\": false},"
        "\"both\": {\"oneOf\": [{\"required\": [\"a\"]}, {\"required\": [\"b\", \"c\"]}]}},"
        "\"patternProperties\": {\"^x_\": {\"type\": \"number\"}},"
        "\"additionalProperties\": {\"enum\": [\"yes\", null]},"
        "\"$defs\": {\"magnitude\": {\"type\": \"number\", \"minimum\": 0}}}";
    static const struct {
        const char *text;
        struct said said;
    } rows[] = {
        {"{\"magnitude\": -26}",
         {"/magnitude", FAULT_NEGATIVE_MAGNITUDE,
          "magnitude is -26: leave out the minus sign and reverse the direction."}},
        {"{\"magnitude\": \"-26\"}", /* the type hides the range */
         {"/magnitude", FAULT_TYPE,
          "magnitude: a number is expected, the text \"-26\" was given; write -26 without "
          "quotes."}},
        {"{\"magnitude\": \"26,5\"}",
         {"/magnitude", FAULT_TYPE,
          "magnitude: a number is expected, the text \"26,5\" was given; write 26.5 without "
          "quotes."}},
        {"{\"share\": 0}", {"/share", FAULT_RANGE, "share is 0; more than 0 is expected."}},
        {"{\"share\": 1.25}", {"/share", FAULT_RANGE, "share is 1.25; less than 1 is expected."}},
        {"{\"turns\": 2.5}",
         {"/turns", FAULT_TYPE, "turns: a whole number is expected, 2.5 was given."}},
        {"{\"turns\": 0}", {"/turns", FAULT_RANGE, "turns is 0; at least 1 is expected."}},
        {"{\"code\": \"\u00e4\"}",
         {"/code", FAULT_LENGTH, "code: 1 character is given, 2 or 3 are expected."}},
        {"{\"not\": 5.0}", {"/not", FAULT_FORBIDDEN, "not does not fit here."}},
        {"{\"pair\": [null, 0]}",
         {"/pair/1", FAULT_TYPE, "entry 2 of pair: true or false is expected, 0 was given."}},
        {"{\"pair\": [null, true, 7]}",
         {"/pair/2", FAULT_FORBIDDEN, "entry 3 of pair does not stand here."}},
        {"{\"both\": {\"a\": 1, \"b\": 2, \"c\": 3}}",
         {"/both", FAULT_CHOICE, "both: give a, or b and c, not both."}},
        {"{\"both\": {\"b\": 2}}", {"/both/c", FAULT_MISSING, "both has no c."}},
        {"{\"x_1\": true}", {"/x_1", FAULT_TYPE, "x_1: a number is expected, true was given."}},
        {"{\"other\": \"Yes\"}",
         {"/other", FAULT_NOT_ALLOWED,
          "other: \"Yes\" is not allowed; did you mean \"yes\"? (allowed: \"yes\", null)"}},
    };
    const struct schema_document documents[] = {{"s", schema, sizeof schema - 1}, {0}};
    struct arena *own = arena_new(1 << 20);
    problem_init(&problem, own);
    struct schema_set *set = schema_compile(documents, &problem), *kept = api;
    if (set == NULL)
        fail_msg("%s", problem.detail);
    api = set;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_int_equal(validate("s", rows[i].text), PROBLEM_INVALID_REQUEST);
        assert_said(rows[i].text, &rows[i].said, 1);
    }
    api = kept;
    schema_free(set);
    arena_free(own);
}

/* A thousand bad entries: twenty are kept, all are counted. */
static void many_faults(void **state)
{
    (void)state;
    static char text[60000];
    size_t n = (size_t)snprintf(text, sizeof text, "{\"forces\": [");
    for (int i = 0; i < 1000; i++)
        n += (size_t)snprintf(text + n, sizeof text - n, "%s{\"magnitude\": null}",
                              i > 0 ? ", " : "");
    snprintf(text + n, sizeof text - n, "]}");
    assert_int_equal(validate("resultant.request.json", text), PROBLEM_INVALID_REQUEST);
    assert_int_equal(problem.fault_count, PROBLEM_FAULTS_KEPT);
    assert_true(problem.faults_found >= 2000);
    assert_string_equal(problem.faults[19].pointer, "/forces/9/direction");
}

/* What a choice knows beforehand of its branches only ever leaves out branches that do not fit:
 * every value within the cases and within broken copies of them, against every choice of api/. */
static unsigned compared, fitted;

static void compare_choice(struct verdict *c, const struct choice *choice, const struct json *value)
{
    uint64_t candidates = verdict_candidates(choice, value);
    for (unsigned i = 0; i < choice->count; i++) {
        bool fits = verdict_fits(c, choice->branches[i], value);
        compared++;
        fitted += fits;
        if (fits && (candidates >> i & 1) == 0)
            fail_msg("branch %u of a choice fits and is left out", i);
    }
}

static void compare_value(struct verdict *c, const struct json *value)
{
    for (const struct node *n = api->first; n != NULL; n = n->next) {
        if (n->one_of != NULL)
            compare_choice(c, n->one_of, value);
        if (n->any_of != NULL)
            compare_choice(c, n->any_of, value);
    }
    for (const struct json *v = value->child; v != NULL; v = v->next)
        compare_value(c, v);
}

static void choices_leave_out_nothing_that_fits(void **state)
{
    (void)state;
    static const char *const texts[] = {
        "{\"forces\": [{\"name\": \"P\", \"magnitude\": 26, \"direction\": {\"angle\": 30, "
        "\"from\": \"-x\", \"toward\": \"+y\"}}, {\"mass\": 3, \"direction\": {\"azimuth\": 40, "
        "\"elevation\": 25, \"up\": \"+y\"}}, {\"magnitude\": {\"value\": 2, \"unit\": \"kN\"}, "
        "\"direction\": {\"direction_angles\": {\"alpha\": 60, \"beta\": 45, \"gamma\": "
        "\"obtuse\"}}}, {\"components\": [1, 2, 3], \"at\": \"A\"}], \"supports\": [{\"kind\": "
        "\"pin\", \"at\": [0, 0]}, {\"kind\": \"link\", \"at\": \"A\", \"direction\": "
        "{\"line\": [\"A\", [1, 2]]}}, {\"kind\": \"hinge\", \"axis\": {\"vector\": [1, 2]}, "
        "\"couples\": true}, {\"kind\": \"roller\", \"at\": \"B\", \"normal\": {\"slope\": "
        "{\"run\": 1, \"rise\": 2}}}], \"points\": {\"A\": {\"from\": \"B\", \"distance\": 3, "
        "\"direction\": {\"axis\": \"+x\"}}, \"B\": {\"between\": [\"A\", \"C\"], "
        "\"fraction\": 0.5}}, \"kind\": \"equilibrium\", \"working\": {\"significant_figures\": "
        "\"3-4\"}, \"key\": [null, true, {}, [], \"unknown\", {\"same_as\": \"T\"}, "
        "{\"moment\": 3, \"turn\": \"clockwise\"}, {\"kind\": 3}, {\"kind\": \"none\"}, "
        "{\"angle\": 3, \"axis\": \"+x\"}, {\"bearing\": \"N\"}, {\"value\": 3}]}",
        "{\"kind\": \"truss\", \"joints\": {\"A\": [0, 0], \"B\": [4, 0]}, \"members\": "
        "[[\"A\", \"B\"]]}",
        "{\"kind\": \"resolve\", \"force\": {\"components\": [1, 2]}}",
        "{\"kind\": \"truss-joint\", \"joint\": \"B\", \"members\": [{\"name\": \"BA\", "
        "\"direction\": {\"angle\": 3}}]}",
        "{\"kind\": \"resultant\"}",
        "{\"forces\": []}",
    };
    struct verdict c;
    verdict_begin(&c, api);
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        arena_reset(arena);
        const struct json *root = read_json(arena, texts[i], strlen(texts[i]));
        assert_non_null(root);
        compare_value(&c, root);
    }
    verdict_end(&c);
    assert_true(compared > 10000 && fitted > 500);
}

/* uniqueItems compares every pair, so its lists are short. */
static void lists_without_repetition_are_short(void **state)
{
    (void)state;
    for (const struct node *n = api->first; n != NULL; n = n->next)
        if (n->unique_items)
            assert_in_range(n->max_items, 1, 1000);
}

/* ---- memory runs out ---- */

static const char small_schema[] =
    "{\"properties\": {\"a\": {\"pattern\": \"^\\\\p{L}+$\"}, \"b\": {\"$ref\": "
    "\"#/$defs/n\"}}, \"required\": [\"a\"], \"dependentRequired\": {\"a\": [\"b\"]}, "
    "\"patternProperties\": {\"^x\": true}, \"oneOf\": [{\"required\": [\"a\"]}, {\"type\": "
    "\"object\", \"properties\": {\"kind\": {\"const\": \"k\"}}, \"additionalProperties\": "
    "false}, {\"properties\": {\"kind\": {\"enum\": [\"l\", \"m\"]}}}], \"$defs\": {\"n\": "
    "{\"prefixItems\": [{\"minimum\": 2.5}]}}}";

static void compiling_without_memory(void **state)
{
    (void)state;
    const struct schema_document small[] = {{"s", small_schema, sizeof small_schema - 1}, {0}};
    struct arena *own = arena_new(1 << 20);
    bool succeeds = false;
    size_t failed = 0;
    for (size_t cap = 1; !succeeds && cap < 1 << 20; cap += 40) {
        problem_init(&problem, own);
        struct schema_set *set = schema_compile_within(small, cap, &problem);
        succeeds = set != NULL;
        if (set == NULL) {
            assert_int_equal(problem.code, PROBLEM_OVERLOADED);
            failed++;
        }
        schema_free(set);
    }
    assert_true(succeeds && failed > 100);
    for (size_t cap = 1000; cap < 4 << 20; cap = cap * 5 / 4) { /* api/, coarsely */
        problem_init(&problem, own);
        struct schema_set *set = schema_compile_within(schema_documents, cap, &problem);
        assert_int_equal(problem.code, set != NULL ? PROBLEM_NONE : PROBLEM_OVERLOADED);
        schema_free(set);
    }
    arena_free(own);
}

/* Faults while memory runs out: fewer words, never a crash, never a pass. */
static void explaining_without_memory(void **state)
{
    (void)state;
    static const char text[] =
        "{\"forces\": [{\"name\": \"P\", \"magnitude\": 26}, {\"name\": \"my force\", "
        "\"magnitude\": null, \"direction\": {\"angel\": 30}}], \"units\": {\"force\": \"KN\"}, "
        "\"points\": {\"A B\": [1]}, \"couples\": [{\"mass\": 3, \"moment\": \"12\"}]}";
    arena_reset(arena);
    const struct json *root = read_json(arena, text, sizeof text - 1);
    for (size_t cap = 100; cap < 20000; cap += 60) {
        struct arena *small = arena_new(cap);
        problem_init(&problem, small);
        assert_int_equal(schema_validate(api, "resultant.request.json", root, &problem),
                         PROBLEM_INVALID_REQUEST);
        assert_true(problem.fault_count >= 1);
        assert_true(arena_exhausted(small) || problem.fault_count >= 7);
        arena_free(small);
    }
}

static int set_up(void **state)
{
    (void)state;
    arena = arena_new(LIMIT_ARENA_BYTES);
    problem_init(&problem, arena);
    api = schema_compile(schema_documents, &problem);
    if (api == NULL)
        print_error("%s\n", problem.detail);
    return api == NULL;
}

static int tear_down(void **state)
{
    (void)state;
    schema_free(api);
    schema_free(NULL);
    arena_free(arena);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(official_suite),
        cmocka_unit_test(documents_that_cannot_be_used),
        cmocka_unit_test(requests_that_are_right),
        cmocka_unit_test(what_is_said_to_a_teacher),
        cmocka_unit_test(what_else_is_said),
        cmocka_unit_test(many_faults),
        cmocka_unit_test(choices_leave_out_nothing_that_fits),
        cmocka_unit_test(lists_without_repetition_are_short),
        cmocka_unit_test(compiling_without_memory),
        cmocka_unit_test(explaining_without_memory),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
