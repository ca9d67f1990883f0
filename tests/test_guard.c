/* The guard, field by field; the same on the wire is tests/wire/test_raw.mjs. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "server/guard.h"

static void field(struct guard *g, const char *name, const char *value)
{
    guard_field(g, name, strlen(name), value, strlen(value));
}

/* A request with these fields: name, value, …, NULL. */
static struct guard request(const char *method, const char *target, const char *version, ...)
{
    struct guard g;
    va_list args;
    guard_target(&g, target);
    va_start(args, version);
    for (const char *name; (name = va_arg(args, const char *)) != NULL;)
        field(&g, name, va_arg(args, const char *));
    va_end(args);
    guard_finish(&g, method, version);
    return g;
}

#define IS(made, expected, is_closed)                                                              \
    do {                                                                                           \
        struct guard got = made;                                                                   \
        assert_int_equal(got.code, expected);                                                      \
        assert_int_equal(got.closes, is_closed);                                                   \
        assert_true((got.detail != NULL) == (expected != PROBLEM_NONE));                           \
    } while (0)

static void test_sound_requests(void **state)
{
    (void)state;
    IS(request("GET", "/v1", "HTTP/1.1", "Host", "t", NULL), PROBLEM_NONE, false);
    IS(request("GET", "/v1?a=%20b", "HTTP/1.1", "host", "t:8080", NULL), PROBLEM_NONE, false);
    IS(request("GET", "/v1", "HTTP/1.0", NULL), PROBLEM_NONE, false);
    IS(request("OPTIONS", "*", "HTTP/1.1", "Host", "[::1]:80", NULL), PROBLEM_NONE, false);
    IS(request("GET", "HTTPS://t/v1", "HTTP/1.1", "Host", "", NULL), PROBLEM_NONE, false);
    IS(request("POST", "/v1", "HTTP/1.1", "Host", "t", "Content-Length", "217", "Content-Length",
               "217", NULL),
       PROBLEM_NONE, false);
    IS(request("POST", "/v1", "HTTP/1.1", "Host", "t", "Transfer-Encoding", "Chunked", NULL),
       PROBLEM_NONE, false);
}

static void test_framing(void **state)
{
    (void)state;
    IS(request("POST", "/", "HTTP/1.1", "Host", "t", "Content-Length", "5", "Transfer-Encoding",
               "chunked", NULL),
       PROBLEM_BAD_REQUEST, true);
    IS(request("POST", "/", "HTTP/1.1", "Host", "t", "Content-Length", "5", "Content-Length", "6",
               NULL),
       PROBLEM_BAD_REQUEST, true);
    IS(request("POST", "/", "HTTP/1.1", "Host", "t", "Content-Length", "5 ", NULL),
       PROBLEM_BAD_REQUEST, true);
    IS(request("POST", "/", "HTTP/1.1", "Host", "t", "Content-Length", "", NULL),
       PROBLEM_BAD_REQUEST, true);
    IS(request("POST", "/", "HTTP/1.1", "Host", "t", "Content-Length", "18446744073709551617",
               NULL),
       PROBLEM_BAD_REQUEST, true);
    IS(request("POST", "/", "HTTP/1.1", "Host", "t", "Transfer-Encoding", "gzip", NULL),
       PROBLEM_NOT_IMPLEMENTED, true);
    IS(request("POST", "/", "HTTP/1.1", "Host", "t", "Transfer-Encoding", "chunked",
               "transfer-encoding", "chunked", NULL),
       PROBLEM_NOT_IMPLEMENTED, true);
    IS(request("POST", "/", "HTTP/1.0", "Transfer-Encoding", "chunked", NULL), PROBLEM_BAD_REQUEST,
       true);
    IS(request("POST", "/", "HTTP/1.1", "Host", "t", "Expect", "tea", NULL),
       PROBLEM_EXPECTATION_FAILED, true);
}

static void test_hosts(void **state)
{
    (void)state;
    static const char *const bad[] = {"a b",    "a/b", "a@b", "a:b", "a:80:80", "[::1",
                                      "[::1]x", "[z]", "a?b", "a#b", "\"a\""};
    static const char *const good[] = {"a",
                                       "a.example",
                                       "a.example:",
                                       "127.0.0.1:1",
                                       "[::ffff:1.2.3.4]",
                                       "a_b",
                                       "xn--bcher-kva.example"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        IS(request("GET", "/", "HTTP/1.1", "Host", bad[i], NULL), PROBLEM_BAD_REQUEST, true);
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        IS(request("GET", "/", "HTTP/1.1", "Host", good[i], NULL), PROBLEM_NONE, false);
    IS(request("GET", "/", "HTTP/1.1", NULL), PROBLEM_BAD_REQUEST, true);
    IS(request("GET", "/", "HTTP/1.0", "Host", "t", "Host", "t", NULL), PROBLEM_BAD_REQUEST, true);
}

static void test_targets(void **state)
{
    (void)state;
    static const char *const bad[] = {"",      "v1",    "*/",         "/a b",  "/a#b",
                                      "/%",    "/%4",   "/%0g",       "/a%00", "/\x7f",
                                      "/\xe9", "/a\tb", "ftp://t/v1", "t:80",  "//%00/v1"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        IS(request("GET", bad[i], "HTTP/1.1", "Host", "t", NULL), PROBLEM_BAD_REQUEST, true);
    IS(request("GET", "*", "HTTP/1.1", "Host", "t", NULL), PROBLEM_BAD_REQUEST, true);
    char longest[GUARD_TARGET_BYTES + 2];
    memset(longest, 'a', sizeof longest - 1);
    longest[0] = '/';
    longest[GUARD_TARGET_BYTES + 1] = 0;
    IS(request("GET", longest, "HTTP/1.1", "Host", "t", NULL), PROBLEM_URI_TOO_LONG, false);
    longest[GUARD_TARGET_BYTES] = 0;
    IS(request("GET", longest, "HTTP/1.1", "Host", "t", NULL), PROBLEM_NONE, false);
}

static void test_fields(void **state)
{
    (void)state;
    static const char *const names[] = {"",    "a ",    " a",    "a\t", "a(b",
                                        "a:b", "a\x01", "a\xe9", "a/b"};
    static const char *const values[] = {"a\rb", "a\nb",         "\x01",
                                         "\x7f", "a\013chunked", "a\x1b[0m"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        IS(request("GET", "/", "HTTP/1.1", "Host", "t", names[i], "x", NULL), PROBLEM_BAD_REQUEST,
           true);
    for (size_t i = 0; i < sizeof values / sizeof *values; i++)
        IS(request("GET", "/", "HTTP/1.1", "Host", "t", "X", values[i], NULL), PROBLEM_BAD_REQUEST,
           true);
    IS(request("GET", "/", "HTTP/1.1", "Host", "t", "X!#$%&'*+-.^_`|~0", "caf\xe9\t!", NULL),
       PROBLEM_NONE, false);
    IS(request("G(T", "/", "HTTP/1.1", "Host", "t", NULL), PROBLEM_BAD_REQUEST, true);
    /* a NUL that the library did not cut off */
    struct guard g;
    guard_target(&g, "/");
    guard_field(&g, "X", 1, "a\0b", 3);
    assert_int_equal(g.code, PROBLEM_BAD_REQUEST);
    guard_target(&g, "/");
    guard_field(&g, "X\0Y", 3, "a", 1);
    assert_int_equal(g.code, PROBLEM_BAD_REQUEST);
}

static void test_limits(void **state)
{
    (void)state;
    struct guard g;
    guard_target(&g, "/");
    for (int i = 0; i < GUARD_FIELDS; i++)
        field(&g, "X", "y");
    assert_int_equal(g.code, PROBLEM_NONE);
    field(&g, "X", "y");
    assert_int_equal(g.code, PROBLEM_HEADERS_TOO_LARGE);
    char value[GUARD_FIELD_BYTES + 1];
    memset(value, 'y', sizeof value - 1);
    value[GUARD_FIELD_BYTES] = 0;
    guard_target(&g, "/");
    field(&g, "X", value + 1);
    assert_int_equal(g.code, PROBLEM_NONE);
    guard_target(&g, "/");
    field(&g, "X", value);
    assert_int_equal(g.code, PROBLEM_HEADERS_TOO_LARGE);
    assert_false(g.closes);
}

static void test_what_is_kept(void **state)
{
    (void)state;
    struct guard g =
        request("POST", "/v1?a&b&c", "HTTP/1.1", "Host", "t", "Accept", "text/plain", "ACCEPT",
                "*/*", "Content-Type", "application/json", "Content-Length", "217",
                "Content-Encoding", "br", "If-None-Match", "\"a\"", "Origin", "https://t",
                "X-Request-ID", "id", "Traceparent", "tp", "Expect", "100-Continue", NULL);
    assert_int_equal(g.code, PROBLEM_NONE);
    assert_int_equal(g.accepts, 2);
    assert_string_equal(g.accept[1], "*/*");
    assert_string_equal(g.content_type, "application/json");
    assert_int_equal(g.content_length, 217);
    assert_string_equal(g.content_encoding, "br");
    assert_string_equal(g.if_none_match, "\"a\"");
    assert_string_equal(g.origin, "https://t");
    assert_string_equal(g.request_id, "id");
    assert_string_equal(g.traceparent, "tp");
    assert_true(g.expects_continue);
    assert_int_equal(g.arguments, 2);
    IS(request("POST", "/", "HTTP/1.1", "Host", "t", "Content-Type", "a/b", "Content-Type", "a/b",
               NULL),
       PROBLEM_BAD_REQUEST, false);
}

/* W3C Trace Context, the examples of section 3.2 */
static void test_trace(void **state)
{
    (void)state;
    char id[33];
    assert_true(guard_trace_id("00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01", id));
    assert_string_equal(id, "4bf92f3577b34da6a3ce929d0e0e4736");
    assert_false(guard_trace_id("", id));
    assert_false(guard_trace_id("ff-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01", id));
    assert_false(guard_trace_id("00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-1", id));
    assert_false(guard_trace_id("00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01-", id));
    assert_false(guard_trace_id("00-4bf92f3577b34da6a3ce929d0e0e473G-00f067aa0ba902b7-01", id));
    assert_false(guard_trace_id("00-00000000000000000000000000000000-00f067aa0ba902b7-01", id));
    assert_false(guard_trace_id("00-4bf92f3577b34da6a3ce929d0e0e4736-0000000000000000-01", id));
    assert_true(guard_is_request_id("bridge-7.a_B"));
    assert_false(guard_is_request_id(""));
    assert_false(guard_is_request_id("a b"));
    assert_false(guard_is_request_id("a\"b"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sound_requests), cmocka_unit_test(test_framing),
        cmocka_unit_test(test_hosts),          cmocka_unit_test(test_targets),
        cmocka_unit_test(test_fields),         cmocka_unit_test(test_limits),
        cmocka_unit_test(test_what_is_kept),   cmocka_unit_test(test_trace),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
