#include "solving.h"

static void published(void **state)
{
    (void)state;
    assert_int_equal(check_published("tests/cases/truss/trusses.json", "truss"), 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(published)};
    return cmocka_run_group_tests(tests, make_fields, free_fields);
}
