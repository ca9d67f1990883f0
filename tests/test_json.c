/* test_json.c: the reader against the public JSON parsing suite (JSONTestSuite, see
 * tests/data/json-parsing/README.md) and against RFC 8259 and RFC 6901 case by case. */
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
#include "json/json.h"

static const struct json_limits limits = {LIMIT_JSON_DEPTH, LIMIT_JSON_VALUES};

static struct arena *arena;
static struct problem problem;
static const struct json *root;

/* From memory of exactly this size, without a NUL, so that the sanitizer sees a step beyond. */
static enum problem_code read_bytes(const char *bytes, size_t length)
{
    char *exact = malloc(length > 0 ? length : 1);
    memcpy(exact, bytes, length);
    arena_reset(arena);
    problem_init(&problem, arena);
    root = NULL;
    enum problem_code code = json_read(arena, exact, length, &limits, &root, &problem);
    free(exact);
    assert_int_equal(code, problem.code);
    assert_true((code == PROBLEM_NONE) == (root != NULL));
    return code;
}

static enum problem_code read_text(const char *text) { return read_bytes(text, strlen(text)); }

/* ---- the public suite ---- */

/* Accepted by RFC 8259, refused here on purpose. */
static const struct {
    const char *file, *why;
} refused[] = {
    {"y_object_duplicated_key.json", "which of two members of one name counts would be a guess"},
    {"y_object_duplicated_key_and_value.json", "likewise, whatever the values"},
    {"y_object_escaped_null_in_key.json", "U+0000 cuts a text in C"},
    {"y_string_null_escape.json", "likewise"},
};

/* Left free by RFC 8259, accepted here: whole numbers beyond 64 bits. All other i_ files are
 * refused: numbers beyond a double, half surrogates, bytes that are not UTF-8, a byte order mark,
 * 500 levels. */
static const char *const accepted[] = {
    "i_number_too_big_neg_int.json",
    "i_number_too_big_pos_int.json",
};

static void public_suite(void **state)
{
    (void)state;
    const char *folder = "tests/data/json-parsing";
    DIR *dir = opendir(folder);
    assert_non_null(dir);
    int must = 0, must_not = 0, is_free = 0, on_purpose = 0, accepted_free = 0, wrong = 0;
    for (struct dirent *entry; (entry = readdir(dir)) != NULL;) {
        const char *name = entry->d_name;
        size_t n = strlen(name);
        if (n < 5 || strcmp(name + n - 5, ".json") != 0)
            continue;
        char path[512];
        snprintf(path, sizeof path, "%s/%s", folder, name);
        FILE *file = fopen(path, "rb");
        assert_non_null(file);
        static char bytes[1 << 20];
        size_t length = fread(bytes, 1, sizeof bytes, file);
        fclose(file);
        bool is_accepted = read_bytes(bytes, length) == PROBLEM_NONE;
        assert_int_not_equal(problem.code, PROBLEM_OVERLOADED);
        if (!is_accepted)
            assert_true(strlen(problem.detail) > 10);
        bool is_wanted = false;
        if (name[0] == 'y') {
            must++;
            is_wanted = true;
            for (size_t i = 0; i < sizeof refused / sizeof *refused; i++)
                if (strcmp(refused[i].file, name) == 0) {
                    is_wanted = false;
                    on_purpose++;
                }
        } else if (name[0] == 'n') {
            must_not++;
        } else {
            is_free++;
            for (size_t i = 0; i < sizeof accepted / sizeof *accepted; i++)
                if (strcmp(accepted[i], name) == 0) {
                    is_wanted = true;
                    accepted_free++;
                }
        }
        if (is_accepted != is_wanted) {
            wrong++;
            print_message("%s is %s: %s\n", name, is_accepted ? "accepted" : "refused",
                          problem.detail);
        }
    }
    closedir(dir);
    assert_int_equal(wrong, 0);
    /* All of the suite was there. */
    assert_int_equal(must, 95);
    assert_int_equal(must_not, 188);
    assert_int_equal(is_free, 35);
    assert_int_equal(on_purpose, sizeof refused / sizeof *refused);
    assert_int_equal(accepted_free, sizeof accepted / sizeof *accepted);
}

/* ---- what is read ---- */

static void the_tree(void **state)
{
    (void)state;
    assert_int_equal(read_text(" {\"forces\": [{\"name\": \"P\", \"magnitude\": 26.50},\r\n"
                               "\t{\"name\": \"\\u0051\\ud834\\udd1e\\n\", \"at\": null}],"
                               "\"key\": true, \"working\": false, \"a/b~c\": {}, \"\": [] } "),
                     PROBLEM_NONE);
    assert_int_equal(root->type, JSON_OBJECT);
    assert_int_equal(root->count, 5);
    assert_null(root->parent);
    assert_null(root->key);
    const struct json *forces = json_member(root, "forces");
    assert_int_equal(forces->type, JSON_ARRAY);
    assert_int_equal(forces->count, 2);
    assert_string_equal(forces->key, "forces");
    assert_ptr_equal(forces->parent, root);
    const struct json *magnitude = json_member(forces->child, "magnitude");
    assert_int_equal(magnitude->type, JSON_NUMBER);
    assert_true(magnitude->number == 26.5);
    assert_string_equal(magnitude->text, "26.50"); /* as typed */
    assert_int_equal(magnitude->length, 5);
    assert_int_equal(magnitude->index, 1);
    const struct json *name = json_member(forces->child->next, "name");
    assert_string_equal(name->text, "Q\U0001d11e\n");
    assert_int_equal(name->length, 6);
    assert_int_equal(json_member(forces->child->next, "at")->type, JSON_NULL);
    assert_int_equal(json_member(root, "key")->type, JSON_TRUE);
    assert_int_equal(json_member(root, "working")->type, JSON_FALSE);
    assert_int_equal(json_member(root, "a/b~c")->type, JSON_OBJECT);
    assert_int_equal(json_member(root, "")->type, JSON_ARRAY);
    assert_null(json_member(root, "Key")); /* case counts */
    assert_null(json_member(root, "forces "));
    assert_null(json_member(NULL, "forces"));
    assert_null(json_member(forces, "0"));
}

static void numbers_as_typed_and_rounded_rightly(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        double number;
    } rows[] = {
        {"217.5", 217.5},
        {"-0", -0.0},
        {"-0.0e+5", 0},
        {"248.2E-1", 24.82},
        {"0.1", 0.1},
        {"1e-308", 1e-308},
        {"4.9e-324", 5e-324}, /* the least subnormal */
        {"1.7976931348623157e308", 1.7976931348623157e308},
        {"123456789012345678901234567890", 1.2345678901234568e29}, /* 30 digits */
        {"0.0000000000000000000000000000000000000000000000000000000000000000000000002175",
         2.175e-73}, /* more than 63 bytes */
        {"9007199254740993", 9007199254740992.0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[400];
        snprintf(text, sizeof text, "[7,%s,{\"a\":%s},\"%s\",8.5]", rows[i].text, rows[i].text,
                 rows[i].text);
        assert_int_equal(read_text(text), PROBLEM_NONE);
        const struct json *v = root->child->next;
        assert_true(v->number == rows[i].number);
        assert_string_equal(v->text, rows[i].text);
        assert_string_equal(v->next->child->text, rows[i].text);
        assert_true(v->next->child->number == rows[i].number);
        assert_string_equal(v->next->next->text, rows[i].text);
        assert_string_equal(v->next->next->next->text, "8.5");
        assert_true(v->next->next->next->number == 8.5);
    }
}

static void numbers_beyond_calculation_are_faults_at_their_places(void **state)
{
    (void)state;
    assert_int_equal(
        read_text(
            "{\"points\": {\"A\": [1e999, 2]}, \"forces\": [{\"magnitude\": -1e-999},"
            "{\"magnitude\": 1234567890123456789012345678901}, 0e401, 5, "
            "0.00000000000000000000000000000000000000000000000000000000000000000000001e999]}"),
        PROBLEM_INVALID_REQUEST);
    assert_int_equal(problem.fault_count, 5);
    static const char *const pointers[] = {"/points/A/0", "/forces/0/magnitude",
                                           "/forces/1/magnitude", "/forces/2", "/forces/4"};
    for (size_t i = 0; i < 5; i++) {
        assert_int_equal(problem.faults[i].code, FAULT_NUMBER_SIZE);
        assert_string_equal(problem.faults[i].pointer, pointers[i]);
    }
    assert_string_equal(problem.faults[2].detail,
                        "The number has 31 digits; at most 30 are calculated with.");
}

static void names_twice(void **state)
{
    (void)state;
    assert_int_equal(read_text("{\"a\": 1, \"b\": {\"P\": 1, \"Q\": 2, \"\\u0050\": 3}, \"a\": 2}"),
                     PROBLEM_INVALID_REQUEST);
    assert_int_equal(problem.fault_count, 2);
    assert_int_equal(problem.faults[0].code, FAULT_DUPLICATE_MEMBER);
    assert_string_equal(problem.faults[0].pointer, "/b/P");
    assert_string_equal(problem.faults[1].pointer, "/a");

    /* Many members are sorted: found there too, and every member is found by name. */
    static char text[1 << 20];
    size_t n = 0;
    for (int i = 0; i < 40000; i++)
        n += (size_t)snprintf(text + n, sizeof text - n, "%c\"J%d\":%d", i == 0 ? '{' : ',',
                              i * 7919 % 40000, i);
    snprintf(text + n, sizeof text - n, "}");
    assert_int_equal(read_text(text), PROBLEM_NONE);
    for (int i = 0; i < 40000; i++) {
        char name[16];
        snprintf(name, sizeof name, "J%d", i * 7919 % 40000);
        assert_true(json_member(root, name)->number == i);
    }
    assert_null(json_member(root, "J40000"));
    assert_null(json_member(root, "J"));
    snprintf(text + n, sizeof text - n, ",\"J217\":0}");
    assert_int_equal(read_text(text), PROBLEM_INVALID_REQUEST);
    assert_string_equal(problem.faults[0].pointer, "/J217");
    assert_int_equal(problem.faults_found, 1);
}

static void what_is_said_to_whoever_typed_it(void **state)
{
    (void)state;
    static const struct {
        const char *text, *detail;
    } rows[] = {
        {"", "the body is empty: one JSON object is expected"},
        {" \n ", "the body is empty: one JSON object is expected"},
        {"{\"forces\": [\n  {\"magnitude\": 26,\r\n   \"angle\": 3x}]}",
         "line 3, column 14: a comma or } expected after the value, found 'x'"},
        {"[1 2]", "line 1, column 4: a comma or ] expected after the value, found '2'"},
        {"[217.5, 248,2.]", "line 1, column 15: a digit expected after the decimal point, found "
                            "']'"},
        {"{\"a\": 1,}", "line 1, column 8: no comma after the last member of an object"},
        {"[1,\n]", "line 1, column 3: no comma after the last entry of a list"},
        {"{a: 1}", "line 1, column 2: a name in double quotes or } expected after {, found 'a'"},
        {"{'a': 1}", "line 1, column 2: a name in double quotes or } expected after {, found ''': "
                     "JSON writes texts and names in double quotes"},
        {"{\u201ca\u201d: 1}",
         "line 1, column 2: a name in double quotes or } expected after {, found '\u201c': JSON "
         "writes texts in straight double quotes, not typographic ones"},
        {"{\"\u03b1\": \u2212"
         "5}",
         "line 1, column 7: a value expected, found '\u2212': the minus "
         "of JSON is the hyphen -"},
        {"{\"a\" 1}", "line 1, column 6: a colon expected after the name, found '1'"},
        {"{\"a\": 1} x",
         "line 1, column 10: nothing more expected after the end of the JSON value, found 'x'"},
        {"[012]", "line 1, column 2: a number does not begin with a 0 before other digits"},
        {"[.5]", "line 1, column 2: a value expected, found '.': write a digit before the decimal "
                 "point, as in 0.5"},
        {"[+5]", "line 1, column 2: a value expected, found '+': a positive number has no sign in "
                 "JSON"},
        {"[-]", "line 1, column 3: a digit expected after the minus, found ']'"},
        {"[1e]", "line 1, column 4: a digit expected in the exponent, found ']'"},
        {"[NaN]", "line 1, column 2: a value expected, found 'N': JSON has no NaN"},
        {"[True]", "line 1, column 2: a value expected, found 'T': write true"},
        {"[nul]", "line 1, column 2: a value expected (true, false, null, a number, a text, [ or "
                  "{), found 'n'"},
        {"{\"a\": 1 // kN\n}", "line 1, column 9: a comma or } expected after the value, found "
                               "'/': JSON has no comments"},
        {"{\"a\": [1, 2\n", "line 2, column 1: the text ends here, but the list of line 1, column "
                            "7 is not closed: ] is missing"},
        {"{\"a\": ", "line 1, column 7: the text ends here, but the object of line 1, column 1 is "
                     "not closed: } is missing"},
        {"[\"mast]", "line 1, column 2: the text in quotes that begins here has no closing quote"},
        {"[\"mast\n\"]", "line 1, column 7: the line ends inside a text in quotes: close it with "
                         "\" or write \\n"},
        {"[\"a\tb\"]", "line 1, column 4: a control character in a text is written as an escape, "
                       "such as \\t, found a tab"},
        {"[\"\\x41\"]", "line 1, column 4: after \\ one of \" \\ / b f n r t u expected, found "
                        "'x'"},
        {"[\"\\u12g4\"]", "line 1, column 3: \\u is followed by exactly four hexadecimal digits"},
        {"[\"\\u0000\"]", "line 1, column 3: the character U+0000 is not taken in a text"},
        {"[\"\\ud800\\u0041\"]", "line 1, column 3: half of a surrogate pair: \\ud800 to \\udbff "
                                 "and \\udc00 to \\udfff stand together, in this order"},
        {"[\"\xc3\x28\"]", "line 1, column 3: UTF-8 expected, found the byte 0xC3"},
        {"\xef\xbb\xbf{}", "line 1, column 1: a value expected, found '\ufeff': a byte order mark; "
                           "send UTF-8 without one"},
        {"\xff\xfe{", "line 1, column 1: a value expected, found the byte 0xFF: this looks like "
                      "UTF-16; send UTF-8"},
        {"[1]\r[2]", "line 2, column 1: nothing more expected after the end of the JSON value, "
                     "found '['"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_int_equal(read_text(rows[i].text), PROBLEM_NOT_JSON);
        assert_string_equal(problem.detail, rows[i].detail);
    }
    assert_int_equal(read_bytes("[1]\0[2]", 7), PROBLEM_NOT_JSON);
    assert_string_equal(problem.detail, "line 1, column 4: nothing more expected after the end of "
                                        "the JSON value, found the control character U+0000");
}

/* RFC 3629, section 4: every sequence of up to four bytes with its edges. */
static void utf8_by_the_table(void **state)
{
    (void)state;
    static const struct {
        const char *bytes;
        bool is_good;
    } rows[] = {
        {"\x7f", true},
        {"\xc2\x80", true},
        {"\xdf\xbf", true},
        {"\xe0\xa0\x80", true},
        {"\xed\x9f\xbf", true},
        {"\xee\x80\x80", true},
        {"\xef\xbf\xbf", true},
        {"\xf0\x90\x80\x80", true},
        {"\xf4\x8f\xbf\xbf", true},
        {"\x80", false},
        {"\xc0\x80", false},
        {"\xc1\xbf", false},
        {"\xc2", false},
        {"\xc2\x7f", false},
        {"\xe0\x9f\xbf", false},
        {"\xe1\x80", false},
        {"\xed\xa0\x80", false},
        {"\xed\xbf\xbf", false},
        {"\xe2\x28\xa1", false},
        {"\xf0\x8f\xbf\xbf", false},
        {"\xf4\x90\x80\x80", false},
        {"\xf5\x80\x80\x80", false},
        {"\xf1\x80\x80", false},
        {"\xfe", false},
        {"\xf0\x90\x80\xc0", false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[16];
        snprintf(text, sizeof text, "\"%s\"", rows[i].bytes);
        assert_int_equal(read_text(text) == PROBLEM_NONE, rows[i].is_good);
        snprintf(text, sizeof text, "{\"%s\":0}", rows[i].bytes);
        assert_int_equal(read_text(text) == PROBLEM_NONE, rows[i].is_good);
        snprintf(text, sizeof text, "\"%s", rows[i].bytes); /* the text may end within */
        assert_int_equal(read_text(text), PROBLEM_NOT_JSON);
    }
}

static void limits_are_kept(void **state)
{
    (void)state;
    char deep[200];
    for (int depth = 63; depth <= 65; depth++) {
        memset(deep, '[', (size_t)depth);
        memset(deep + depth, ']', (size_t)depth);
        assert_int_equal(read_bytes(deep, 2 * (size_t)depth),
                         depth <= 64 ? PROBLEM_NONE : PROBLEM_NOT_JSON);
    }
    assert_string_equal(problem.detail,
                        "line 1, column 65: lists and objects are nested more than 64 deep");

    static char wide[500000];
    size_t n = 0;
    wide[n++] = '[';
    for (int i = 0; i < 199999; i++) {
        wide[n++] = '7';
        wide[n++] = ',';
    }
    wide[n - 1] = ']';
    assert_int_equal(read_bytes(wide, n), PROBLEM_NONE); /* the list itself is one value */
    assert_int_equal(root->count, 199999);
    memcpy(wide + n - 1, ",7]", 3);
    assert_int_equal(read_bytes(wide, n + 2), PROBLEM_TOO_LARGE);
    assert_string_equal(
        problem.detail,
        "The body has more than 200000 JSON values (the service's setting values-limit).");

    struct arena *small = arena_new(3000);
    problem_init(&problem, small);
    assert_int_equal(json_read(small, wide, 20000, &limits, &root, &problem), PROBLEM_OVERLOADED);
    arena_free(small);
}

/* RFC 6901, section 5: its own document and pointers. */
static void pointers(void **state)
{
    (void)state;
    assert_int_equal(read_text("{\"foo\": [\"bar\", \"baz\"], \"\": 0, \"a/b\": 1, \"c%d\": 2,"
                               "\"e^f\": 3, \"g|h\": 4, \"i\\\\j\": 5, \"k\\\"l\": 6, \" \": 7,"
                               "\"m~n\": 8}"),
                     PROBLEM_NONE);
    static const char *const rows[] = {"/foo", "/",     "/a~1b", "/c%d", "/e^f",
                                       "/g|h", "/i\\j", "/k\"l", "/ ",   "/m~0n"};
    assert_ptr_equal(json_at(root, ""), root);
    for (size_t i = 0; i < 10; i++) {
        const struct json *v = json_at(root, rows[i]);
        assert_non_null(v);
        assert_int_equal(v->index, i);
        assert_string_equal(json_pointer(arena, v), rows[i]);
    }
    assert_string_equal(json_pointer(arena, root), "");
    assert_string_equal(json_pointer(arena, json_at(root, "/foo/1")), "/foo/1");
    static const char *const nowhere[] = {
        "foo", "/foo/2", "/foo/-",   "/foo/01",          "/foo/", "/m~n", "/m~2n",
        "/m~", "/a/b",   "/foo/0/x", "/foo/99999999999", "/fo",   "/fooo"};
    for (size_t i = 0; i < sizeof nowhere / sizeof *nowhere; i++)
        assert_null(json_at(root, nowhere[i]));

    assert_int_equal(read_text("[[],[0,1,2,3,4,5,6,7,8,9,10,11,[{\"~/\":1}]]]"), PROBLEM_NONE);
    assert_string_equal(json_pointer(arena, root->child->next->child), "/1/0");
    const struct json *deep = json_at(root, "/1/12/0/~0~1");
    assert_string_equal(json_pointer(arena, deep), "/1/12/0/~0~1");

    /* Names of every length, all of it escaped. */
    for (size_t length = 1; length < 300; length++) {
        char text[320] = "{\"", expected[620] = "/";
        memset(text + 2, '/', length);
        memcpy(text + 2 + length, "\":[7]}", sizeof "\":[7]}");
        for (size_t i = 0; i < length; i++)
            memcpy(expected + 1 + 2 * i, "~1", 2);
        memcpy(expected + 1 + 2 * length, "/0", sizeof "/0");
        assert_int_equal(read_text(text), PROBLEM_NONE);
        assert_string_equal(json_pointer(arena, root->child->child), expected);
    }
}

static void equality(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        bool is_equal;
    } rows[] = {
        {"[1, 1.0]", true},
        {"[0, -0.0]", true},
        {"[100, 1e2]", true},
        {"[1, true]", false},
        {"[0, false]", false},
        {"[\"1\", 1]", false},
        {"[\"a\", \"\\u0061\"]", true},
        {"[\"a\", \"ab\"]", false},
        {"[null, null]", true},
        {"[{\"a\":1,\"b\":[2]}, {\"b\":[2.0],\"a\":1}]", true},
        {"[{\"a\":1}, {\"b\":1}]", false},
        {"[{\"a\":1}, {\"a\":1,\"b\":1}]", false},
        {"[[1,2], [2,1]]", false},
        {"[[1,2], [1,2,3]]", false},
        {"[[], {}]", false},
        {"[[], []]", true},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_int_equal(read_text(rows[i].text), PROBLEM_NONE);
        assert_int_equal(json_equal(root->child, root->child->next), rows[i].is_equal);
        assert_int_equal(json_equal(root->child->next, root->child), rows[i].is_equal);
    }
}

static void strings_are_written_so_that_they_read_back(void **state)
{
    (void)state;
    static const char text[] = "F\u2081 \"P\" \\ / \b\f\n\r\t \x01\x1f\x7f \U0001d11e";
    struct arena *own = arena_new(1 << 16);
    struct buf b;
    buf_init(&b, own, 1000);
    json_put_string(&b, text, sizeof text - 1);
    assert_string_equal(buf_text(&b),
                        "\"F\u2081 \\\"P\\\" \\\\ / \\u0008\\u000c\\n\\r\\t \\u0001\\u001f\x7f "
                        "\U0001d11e\"");
    assert_int_equal(read_bytes(b.data, b.length), PROBLEM_NONE);
    assert_string_equal(root->text, text);
    b.length = 0;
    json_put_string(&b, "", 0);
    assert_string_equal(buf_text(&b), "\"\"");
    arena_free(own);
}

/* ---- memory runs out: at every place in turn, without a leak ---- */

static const char request[] =
    "{\"forces\": [{\"name\": \"P\", \"magnitude\": 217.5}, {\"name\": \"Q\", \"a\": [1, 2, "
    "0.0000000000000000000000000000000000000000000000000000000000000000000000000001]}],"
    "\"points\": {\"A\": 1, \"B\": 1, \"C\": 1, \"D\": 1, \"E\": 1, \"F\": 1, \"G\": 1, "
    "\"H\": 1, \"I\": 1, \"J\": 1, \"K\": 1, \"L\": 1, \"M\": 1, \"N\": 1}}";

static void the_arena_without_memory(void **state)
{
    (void)state;
    static const char *const texts[] = {request, "{\"a\": {\"P\": 1, \"P\": 1e999}, \"a\": 1e-999}",
                                        "[1, 2"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        enum problem_code expected = read_text(texts[i]);
        int failures = 0;
        for (size_t cap = 1; cap < 20000; cap += 8) {
            struct arena *small = arena_new(cap);
            problem_init(&problem, small);
            const struct json *none = NULL;
            enum problem_code code =
                json_read(small, texts[i], strlen(texts[i]), &limits, &none, &problem);
            if (arena_exhausted(small)) {
                assert_true(code == PROBLEM_OVERLOADED || code == PROBLEM_NOT_JSON);
                failures++;
            } else {
                assert_int_equal(code, expected);
            }
            assert_true((code == PROBLEM_NONE) == (none != NULL));
            arena_free(small);
        }
        assert_true(failures > 20);
    }
}

static int make_arena(void **state)
{
    (void)state;
    arena = arena_new(LIMIT_ARENA_BYTES);
    return arena == NULL;
}

static int free_arena(void **state)
{
    (void)state;
    arena_free(arena);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(public_suite),
        cmocka_unit_test(the_tree),
        cmocka_unit_test(numbers_as_typed_and_rounded_rightly),
        cmocka_unit_test(numbers_beyond_calculation_are_faults_at_their_places),
        cmocka_unit_test(names_twice),
        cmocka_unit_test(what_is_said_to_whoever_typed_it),
        cmocka_unit_test(utf8_by_the_table),
        cmocka_unit_test(limits_are_kept),
        cmocka_unit_test(pointers),
        cmocka_unit_test(equality),
        cmocka_unit_test(strings_are_written_so_that_they_read_back),
        cmocka_unit_test(the_arena_without_memory),
    };
    return cmocka_run_group_tests(tests, make_arena, free_arena);
}
