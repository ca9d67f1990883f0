/* Settings: defaults, variables, options, and each kind of refusal. The environment is this
 * process's own. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/limits.h"
#include "server/settings.h"

static char message[600];

/* Reads with these options, NULL ended. */
static enum settings_action read_with(struct settings *s, ...)
{
    char program[] = "tiptail";
    char *argv[16] = {program};
    int argc = 1;
    va_list args;
    va_start(args, s);
    for (char *one; (one = va_arg(args, char *)) != NULL;)
        argv[argc++] = one;
    va_end(args);
    memset(message, 0, sizeof message);
    return settings_read(argc, argv, s, message, sizeof message);
}

static int clear(void **state)
{
    (void)state;
    unsetenv("TIPTAIL_PORT");
    unsetenv("TIPTAIL_CORS");
    unsetenv("TIPTAIL_IDLE_TIMEOUT");
    return 0;
}

static void test_defaults(void **state)
{
    (void)state;
    struct settings s;
    assert_int_equal(read_with(&s, NULL), SETTINGS_SERVE);
    assert_string_equal(s.address, "127.0.0.1");
    assert_int_equal(s.port, 8080);
    assert_int_equal(s.body_bytes, LIMIT_BODY_BYTES);
    assert_int_equal(s.json_values, LIMIT_JSON_VALUES);
    assert_int_equal((size_t)s.memory_mib << 20, LIMIT_ARENA_BYTES);
    assert_int_equal(s.request_seconds, 20);
    assert_true(s.threads >= 1);
    assert_string_equal(s.cors, "");
    assert_string_equal(s.log_level, "info");
    assert_string_equal(s.sandbox, "auto");
}

static void test_options_win_over_variables(void **state)
{
    (void)state;
    struct settings s;
    setenv("TIPTAIL_PORT", "1234", 1);
    setenv("TIPTAIL_IDLE_TIMEOUT", "7", 1);
    assert_int_equal(read_with(&s, NULL), SETTINGS_SERVE);
    assert_int_equal(s.port, 1234);
    assert_int_equal(s.idle_seconds, 7);
    assert_int_equal(read_with(&s, "--port=0", "--address", "::1", "--threads", "3", NULL),
                     SETTINGS_SERVE);
    assert_int_equal(s.port, 0);
    assert_string_equal(s.address, "::1");
    assert_int_equal(s.threads, 3);
    assert_int_equal(read_with(&s, "--port", "1", "--port", "2", NULL), SETTINGS_SERVE);
    assert_int_equal(s.port, 2);
}

static void refused(const char *says, enum settings_action action)
{
    assert_int_equal(action, SETTINGS_BAD);
    if (!strstr(message, says))
        fail_msg("\"%s\" does not say \"%s\"", message, says);
}

static void test_refusals(void **state)
{
    (void)state;
    struct settings s = {.port = 17};
    refused("--port is \"65536\"; it takes a whole number from 0 to 65535",
            read_with(&s, "--port", "65536", NULL));
    refused("--port is \"-1\"", read_with(&s, "--port=-1", NULL));
    refused("--port is \" 1\"", read_with(&s, "--port= 1", NULL));
    refused("--port is \"1 \"", read_with(&s, "--port", "1 ", NULL));
    refused("--port is \"0x1\"", read_with(&s, "--port", "0x1", NULL));
    refused("--port is \"\"", read_with(&s, "--port=", NULL));
    refused("--port is \"4294967297\"", read_with(&s, "--port", "4294967297", NULL));
    refused("--port needs a value", read_with(&s, "--port", NULL));
    refused("no option \"--por\"", read_with(&s, "--por", "1", NULL));
    refused("no option \"-p\"", read_with(&s, "-p", NULL));
    refused("no option \"port\"", read_with(&s, "port", NULL));
    refused("no option \"\"", read_with(&s, "", NULL));
    refused("a numeric address", read_with(&s, "--address", "localhost", NULL));
    refused("one of info, warning, error, none", read_with(&s, "--log-level", "some", NULL));
    refused("one of auto, require, off", read_with(&s, "--sandbox", "on", NULL));
    setenv("TIPTAIL_PORT", "eighty", 1);
    refused("TIPTAIL_PORT is \"eighty\"", read_with(&s, NULL));
    assert_int_equal(s.port, 17); /* nothing is written where it is refused */
}

static void test_origins(void **state)
{
    (void)state;
    struct settings s;
    static const char *const good[] = {"",
                                       "*",
                                       "https://a.example",
                                       "http://localhost:3000",
                                       "https://a.example,https://b.example:8443",
                                       "http://[::1]:80"};
    static const char *const bad[] = {"a.example",
                                      "https://",
                                      "https://a.example/",
                                      "https://a.example,",
                                      ",https://a.example",
                                      "*,https://a.example",
                                      "https://a b",
                                      "https://a.example, https://b.example",
                                      "://a",
                                      "null"};
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        setenv("TIPTAIL_CORS", good[i], 1);
        assert_int_equal(read_with(&s, NULL), SETTINGS_SERVE);
        assert_string_equal(s.cors, good[i]);
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        setenv("TIPTAIL_CORS", bad[i], 1);
        refused("TIPTAIL_CORS", read_with(&s, NULL));
    }
    char long_one[SETTINGS_TEXT_MAX + 20];
    memset(long_one, 'a', sizeof long_one);
    memcpy(long_one, "https://", 8);
    long_one[sizeof long_one - 1] = 0;
    setenv("TIPTAIL_CORS", long_one, 1);
    refused("512", read_with(&s, NULL));
}

static void test_other_actions(void **state)
{
    (void)state;
    struct settings s;
    assert_int_equal(read_with(&s, "--health", "--port", "9", NULL), SETTINGS_HEALTH);
    assert_int_equal(s.port, 9);
    setenv("TIPTAIL_PORT", "bad", 1);
    assert_int_equal(read_with(&s, "--help", NULL), SETTINGS_HELP);
    assert_int_equal(read_with(&s, "--version", NULL), SETTINGS_VERSION);
}

static void test_help(void **state)
{
    (void)state;
    char text[8192], cut[40];
    size_t length = settings_help(text, sizeof text);
    assert_true(length < sizeof text);
    assert_int_equal(strlen(text), length);
    assert_int_equal(settings_help(NULL, 0), length);
    assert_int_equal(settings_help(cut, sizeof cut), length);
    assert_int_equal(strlen(cut), sizeof cut - 1);
    assert_memory_equal(cut, text, sizeof cut - 1);
    assert_non_null(strstr(text, "--drain-delay (default 1, from 0 to 3600)\n"
                                 "      TIPTAIL_DRAIN_DELAY\n"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(test_defaults, clear),
        cmocka_unit_test_setup(test_options_win_over_variables, clear),
        cmocka_unit_test_setup(test_refusals, clear),
        cmocka_unit_test_setup(test_origins, clear),
        cmocka_unit_test_setup(test_other_actions, clear),
        cmocka_unit_test_setup(test_help, clear),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
