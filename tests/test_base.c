/* test_base.c: the arena's cap and releases, buf's maximum, a problem's faults. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "base/arena.h"
#include "base/buf.h"
#include "base/limits.h"
#include "base/problem.h"
#include "base/spelling.h"

static void memory_is_zeroed_aligned_and_apart(void **state)
{
    (void)state;
    struct arena *a = arena_new(1 << 20);
    unsigned char *previous = NULL;
    for (int round = 0; round < 2; round++) { /* after a reset too, where old bytes lie about */
        for (size_t size = 1; size < 700; size++) {
            unsigned char *p = arena_alloc(a, size);
            assert_non_null(p);
            assert_int_equal((uintptr_t)p % _Alignof(max_align_t), 0);
            for (size_t i = 0; i < size; i++)
                assert_int_equal(p[i], 0);
            memset(p, 0xa5, size);
            if (previous != NULL)
                assert_int_equal(previous[0], 0xa5);
            previous = p;
        }
        assert_false(arena_exhausted(a));
        assert_in_range(arena_used(a), 699 * 700 / 2, 699 * 700 / 2 + 699 * 64);
        arena_reset(a);
        previous = NULL;
        assert_int_equal(arena_used(a), 0);
    }
    arena_free(a);
    arena_free(NULL);
}

static void parts_count_and_are_given_back(void **state)
{
    (void)state;
    for (int round = 0; round < 3; round++) { /* freed by itself, with the whole, by its reset */
        struct arena *whole = arena_new(1 << 20);
        assert_non_null(arena_alloc(whole, 1000));
        size_t before = arena_used(whole);
        struct arena *part = arena_part(whole), *inner = arena_part(part);
        assert_non_null(part);
        assert_non_null(inner);
        unsigned char *kept = arena_alloc(part, 300000);
        assert_non_null(kept);
        assert_non_null(arena_alloc(inner, 300000));
        assert_in_range(arena_used(whole), before + 600000, before + 600100);
        assert_in_range(arena_used(part), 600000, 600100);
        if (round > 0) {
            if (round == 2)
                arena_reset(whole);
            arena_free(whole);
            continue;
        }
        arena_free(inner);
        kept[299999] = 1;
        assert_in_range(arena_used(whole), before + 300000, before + 300100);
        assert_null(arena_alloc(part, 800000)); /* the cap is the whole's */
        assert_true(arena_exhausted(part) && arena_exhausted(whole));
        arena_free(part);
        assert_int_equal(arena_used(whole), before);
        assert_in_range(arena_most(whole), before + 600000, before + 600100);
        arena_reset(whole);
        assert_non_null(arena_alloc(whole, 800000)); /* what a part held is to be had again */
        arena_free(whole);
    }
}

static void cap_is_kept_and_asked_once(void **state)
{
    (void)state;
    struct arena *a = arena_new(10000);
    size_t got = 0;
    while (arena_alloc(a, 96) != NULL)
        got += 96;
    assert_in_range(got, 6000, 10000);
    assert_true(arena_exhausted(a));
    assert_null(arena_alloc(a, SIZE_MAX));
    assert_null(arena_alloc(a, SIZE_MAX - 20));
    assert_null(arena_text(a, "", SIZE_MAX));
    arena_reset(a);
    assert_false(arena_exhausted(a));
    assert_non_null(arena_alloc(a, 96));
    arena_free(a);

    a = arena_new(1); /* not even its own bookkeeping */
    assert_null(arena_alloc(a, 1));
    assert_true(arena_exhausted(a));
    arena_free(a);
}

static void a_large_object_gets_its_own_block(void **state)
{
    (void)state;
    struct arena *a = arena_new((size_t)40 << 20);
    char *big = arena_alloc(a, (size_t)20 << 20);
    assert_non_null(big);
    big[((size_t)20 << 20) - 1] = 'x';
    assert_non_null(arena_alloc(a, 100));
    assert_null(arena_alloc(a, (size_t)20 << 20));
    arena_free(a);
}

/* The sanitizer would end the program where malloc may say no. */
const char *__asan_default_options(void);
const char *__asan_default_options(void) { return "allocator_may_return_null=1"; }

static void the_machine_has_no_memory(void **state)
{
    (void)state;
    struct arena *a = arena_new(SIZE_MAX);
    assert_non_null(arena_alloc(a, 100));
    assert_null(arena_alloc(a, SIZE_MAX / 4)); /* within the cap, beyond any machine */
    assert_true(arena_exhausted(a));
    assert_non_null(arena_alloc(a, 100)); /* what is left still serves */
    arena_free(a);
}

static char released[8];
static void note_release(void *object)
{
    strncat(released, object, sizeof released - strlen(released) - 1);
}

static void deferred_last_first(void **state)
{
    (void)state;
    char one[] = "1", two[] = "2", three[] = "3";
    released[0] = '\0';
    struct arena *a = arena_new(4096);
    assert_true(arena_defer(a, note_release, one));
    assert_true(arena_defer(a, note_release, two));
    arena_reset(a);
    assert_string_equal(released, "21");
    assert_true(arena_defer(a, note_release, three));
    arena_free(a);
    assert_string_equal(released, "213");

    a = arena_new(1);
    assert_false(arena_defer(a, note_release, one)); /* no memory: released at once */
    assert_string_equal(released, "2131");
    arena_free(a);
    assert_string_equal(released, "2131");
}

static void texts(void **state)
{
    (void)state;
    struct arena *a = arena_new(1 << 16);
    assert_string_equal(arena_text(a, "mast and guys", 4), "mast");
    assert_string_equal(arena_text(a, NULL, 0), "");
    assert_string_equal(arena_printf(a, "/forces/%d/%s", 3, "direction"), "/forces/3/direction");
    char *padded = arena_printf(a, "%0*d", 3000, 7); /* longer than the first try's buffer */
    assert_int_equal(strlen(padded), 3000);
    assert_int_equal(padded[2999], '7');
    arena_free(a);
}

static void buf_grows_and_stops_at_its_maximum(void **state)
{
    (void)state;
    struct arena *a = arena_new(1 << 16);
    struct buf b;
    buf_init(&b, a, 1000);
    assert_string_equal(buf_text(&b), "");
    for (int i = 0; i < 250; i++) {
        buf_puts(&b, "ab");
        buf_putc(&b, 'c');
        buf_put(&b, "defg", 1);
    }
    assert_int_equal(b.length, 1000);
    assert_false(b.overflow);
    assert_int_equal(strlen(buf_text(&b)), 1000);
    assert_memory_equal(b.data + 996, "abcd", 4);
    buf_puts(&b, "");
    assert_false(b.overflow);
    buf_putc(&b, 'x');
    assert_true(b.overflow);
    assert_null(buf_text(&b));
    buf_put(&b, "", 0);
    assert_int_equal(b.length, 1000);
    arena_free(a);

    a = arena_new(3000); /* the arena's end is an overflow too */
    buf_init(&b, a, SIZE_MAX / 2);
    for (int i = 0; i < 3000; i++)
        buf_putc(&b, 'x');
    assert_true(b.overflow);
    assert_null(buf_text(&b));
    arena_free(a);
}

static void lists_are_whole(void **state)
{
    (void)state;
    for (int i = 1; i < PROBLEM_MAX_; i++) {
        const struct problem_row *row = problem_row((enum problem_code)i);
        assert_in_range(row->status, 400, 599);
        assert_true(strlen(row->name) > 0 && strlen(row->title) > 0 && strlen(row->mend) > 0);
        assert_int_equal(strspn(row->name, "abcdefghijklmnopqrstuvwxyz-"), strlen(row->name));
        for (int j = 1; j < i; j++)
            assert_string_not_equal(row->name, problem_row((enum problem_code)j)->name);
    }
    for (int i = 0; i < FAULT_MAX_; i++) {
        const struct fault_row *row = fault_row((enum fault_code)i);
        assert_true(strlen(row->name) > 0 && strlen(row->mend) > 0);
        for (int j = 0; j < i; j++)
            assert_string_not_equal(row->name, fault_row((enum fault_code)j)->name);
    }
    assert_int_equal(problem_row(PROBLEM_INVALID_REQUEST)->status, 422);
}

static void faults_are_collected(void **state)
{
    (void)state;
    struct arena *a = arena_new(1 << 16);
    struct problem p;
    problem_init(&p, a);
    assert_int_equal(p.code, PROBLEM_NONE);
    assert_int_equal(problem_set(&p, PROBLEM_TOO_LARGE, "more than %d bytes", 217),
                     PROBLEM_TOO_LARGE);
    assert_string_equal(p.detail, "more than 217 bytes");

    problem_init(&p, a);
    char pointer[32];
    for (int i = 0; i < 25; i++) {
        snprintf(pointer, sizeof pointer, "/forces/%d", i);
        assert_int_equal(problem_fault(&p, pointer, FAULT_RANGE, "%g kN is too much", 217.5 + i),
                         PROBLEM_INVALID_REQUEST);
    }
    assert_int_equal(p.fault_count, PROBLEM_FAULTS_KEPT);
    assert_int_equal(p.faults_found, 25);
    assert_string_equal(p.detail, "217.5 kN is too much");
    assert_string_equal(p.faults[19].pointer, "/forces/19");
    assert_string_equal(p.faults[19].detail, "236.5 kN is too much");

    problem_fault(&p, "/forces/3", FAULT_RANGE, "said before");
    assert_int_equal(p.faults_found, 25);
    problem_fault(&p, "/forces/3", FAULT_TYPE, "another thing there");
    assert_int_equal(p.faults_found, 26);
    arena_free(a);

    a = arena_new(1); /* without memory the list's own words stand in */
    problem_init(&p, a);
    problem_fault(&p, "/x", FAULT_UNIT, "furlong");
    assert_string_equal(p.faults[0].detail, fault_row(FAULT_UNIT)->mend);
    assert_string_equal(p.faults[0].pointer, "");
    arena_free(a);
}

static void slips_of_spelling(void **state)
{
    static const struct {
        const char *typed, *word;
        size_t distance;
    } rows[] = {
        {"forces", "forces", 0},
        {"Forces", "forces", 0},
        {"force", "forces", 2},
        {"forxces", "forces", 2},
        {"fxrces", "forces", 2},
        {"froces", "forces", 1},
        {"BC", "CB", 1},
        {"frce", "forces", 4},
        {"points", "joints", 2},
        {"Q", "A", SPELLING_OTHER},
        {"AB", "CD", SPELLING_OTHER},
        {"couple", "forces", SPELLING_OTHER},
        {"", "ab", SPELLING_OTHER},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *a = rows[i].typed, *b = rows[i].word;
        assert_int_equal(spelling_distance(a, strlen(a), b, strlen(b)), rows[i].distance);
        assert_int_equal(spelling_distance(b, strlen(b), a, strlen(a)), rows[i].distance);
    }
    char same[65];
    memset(same, 'a', sizeof same);
    assert_int_equal(spelling_distance(same, 64, same, 64), 0);
    assert_true(spelling_distance(same, 65, same, 65) == SPELLING_OTHER);
}

static void limits_hold_together(void **state)
{
    (void)state;
    assert_true(LIMIT_ARENA_BYTES > (size_t)LIMIT_JSON_VALUES * 200);
    assert_true(LIMIT_ANSWER_BYTES < LIMIT_ARENA_BYTES);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(memory_is_zeroed_aligned_and_apart),
        cmocka_unit_test(parts_count_and_are_given_back),
        cmocka_unit_test(cap_is_kept_and_asked_once),
        cmocka_unit_test(a_large_object_gets_its_own_block),
        cmocka_unit_test(the_machine_has_no_memory),
        cmocka_unit_test(deferred_last_first),
        cmocka_unit_test(texts),
        cmocka_unit_test(buf_grows_and_stops_at_its_maximum),
        cmocka_unit_test(lists_are_whole),
        cmocka_unit_test(faults_are_collected),
        cmocka_unit_test(slips_of_spelling),
        cmocka_unit_test(limits_hold_together),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
