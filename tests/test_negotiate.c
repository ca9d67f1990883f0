/* Which representation an Accept field gets: RFC 9110, section 12.5.1, its examples among them. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "server/negotiate.h"

#define ALL (1u << MEDIA_JSON | 1u << MEDIA_TEXT | 1u << MEDIA_LATEX)

static void chooses(const char *accept, unsigned offered, int expected)
{
    enum media media = MEDIA_MAX_;
    bool found = negotiate(accept, offered, &media);
    if (expected < 0 ? found : !found || (int)media != expected)
        fail_msg("Accept: %s chose %d (%s)", accept ? accept : "(none)", (int)media,
                 found ? "found" : "nothing");
}

static void test_ranges(void **state)
{
    (void)state;
    chooses(NULL, ALL, MEDIA_JSON);
    chooses("", ALL, MEDIA_JSON);
    chooses("*/*", ALL, MEDIA_JSON);
    chooses("text/plain", ALL, MEDIA_TEXT);
    chooses("text/x-latex", ALL, MEDIA_LATEX);
    chooses("TEXT/Plain", ALL, MEDIA_TEXT);
    chooses("text/*", ALL, MEDIA_TEXT);
    chooses("application/*", ALL, MEDIA_JSON);
    chooses("image/png", ALL, -1);
    chooses("text/html, image/*", ALL, -1);
    chooses("text/plain", 1u << MEDIA_JSON, -1);
    chooses("text/plai", ALL, -1);
    chooses("text/plainer", ALL, -1);
    chooses("*", ALL, -1);
}

static void test_weights(void **state)
{
    (void)state;
    chooses("application/json;q=0.2, text/plain;q=0.3", ALL, MEDIA_TEXT);
    chooses("application/json;q=0.3, text/plain;q=0.3", ALL, MEDIA_JSON);
    chooses("text/plain, application/json", ALL, MEDIA_JSON);
    chooses("text/x-latex;q=0.3, text/plain;q=0.3", ALL, MEDIA_TEXT);
    chooses("text/plain;q=0.999, text/x-latex", ALL, MEDIA_LATEX);
    chooses("*/*;q=0", ALL, -1);
    chooses("application/json;q=0, */*;q=0.1", ALL, MEDIA_TEXT);
    chooses("application/json;q=0.0, text/*;q=0.000", ALL, -1);
    chooses("text/plain ; q=0.4 , text/x-latex ;Q=0.5", ALL, MEDIA_LATEX);
}

/* "the most specific reference has precedence" */
static void test_closeness(void **state)
{
    (void)state;
    chooses("text/*;q=0.9, text/plain;q=0.1, application/json;q=0.5", ALL, MEDIA_LATEX);
    chooses("*/*, application/json;q=0.1", ALL, MEDIA_TEXT);
    chooses("*/*;q=0.1, text/*;q=0.2, application/json;q=0.05", ALL, MEDIA_TEXT);
}

/* What is not understood is passed over, not obeyed. */
static void test_odd_fields(void **state)
{
    (void)state;
    chooses("text/plain;q=2, text/x-latex", ALL, MEDIA_LATEX);
    chooses("text/plain;q=x", ALL, MEDIA_JSON);
    chooses("text/plain;q=0.1234, text/x-latex;q=0.01", ALL, MEDIA_LATEX);
    chooses(", ,text/plain,,", ALL, MEDIA_TEXT);
    chooses("text/plain;charset=\"a,b;c\";q=0.9, text/x-latex;q=0.8", ALL, MEDIA_TEXT);
    chooses("text/plain;x=\"\\\",application/json;q=1\";q=0.5", ALL, MEDIA_TEXT);
    chooses("text/plain;x=\"unclosed", ALL, MEDIA_TEXT);
    chooses(";;;", ALL, MEDIA_JSON);
    chooses("text/html,application/xhtml+xml,application/xml;q=0.9,image/webp,*/*;q=0.8", ALL,
            MEDIA_JSON);
}

static void test_names(void **state)
{
    (void)state;
    for (int m = 0; m < MEDIA_MAX_; m++)
        assert_non_null(strchr(media_content_type((enum media)m), '/'));
    assert_string_equal(media_content_type(MEDIA_PROBLEM), "application/problem+json");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_ranges),    cmocka_unit_test(test_weights),
        cmocka_unit_test(test_closeness), cmocka_unit_test(test_odd_fields),
        cmocka_unit_test(test_names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
