/* limits.h: every limit of the service, its unit and its reason beside it. The schemas in api/
 * repeat those that a caller meets; tests/npm/test_schemas.mjs compares the two. */
#ifndef BASE_LIMITS_H
#define BASE_LIMITS_H

/* ---- one request; the first two are the defaults of settings ---- */

/* Bytes. A truss of 10,000 joints and 20,000 members is about 0.6 MB. */
#define LIMIT_BODY_BYTES (1 << 20)
/* Values. Such a truss has about 100,000; each costs about 100 bytes. */
#define LIMIT_JSON_VALUES 200000
/* Levels. The deepest request has about 10; it bounds the stack. */
#define LIMIT_JSON_DEPTH 64
/* Bytes: 200,000 values (20 MB), the equations of 10,000 joints (20 MB), a tape and its text.
 * What needs more is refused, so that the machine isn't. */
#define LIMIT_ARENA_BYTES ((size_t)256 << 20)
/* Bytes. The working of a large truss is a few MB. */
#define LIMIT_ANSWER_BYTES ((size_t)64 << 20)

/* ---- texts and numbers ---- */

/* Characters. A name becomes a symbol in the formulas. */
#define LIMIT_NAME_LENGTH 16
/* Characters: two joints' names and a hyphen. */
#define LIMIT_MEMBER_NAME_LENGTH 33
/* Significant digits of a number; more than a double can tell. */
#define LIMIT_NUMBER_DIGITS 30
/* Power of ten; a double ends at 308. */
#define LIMIT_NUMBER_EXPONENT 400
/* Characters of a number's factor as a student types it. */
#define LIMIT_NUMBER_TEXT_LENGTH 64
/* Characters that a student types where a number belongs; what is no number is marked wrong. */
#define LIMIT_TYPED_LENGTH 1000
/* Characters; "slug*ft/s^2" is long already. */
#define LIMIT_UNIT_LENGTH 16

/* ---- lists of a request, in entries: a sheet of statics has a dozen; a thousand leaves room for
 * programs that write requests, and keeps one request within milliseconds ---- */

#define LIMIT_POINTS 1000
#define LIMIT_FORCES 1000
#define LIMIT_COUPLES 1000
#define LIMIT_DISTRIBUTED_LOADS 1000
#define LIMIT_SUPPORTS 1000
#define LIMIT_BODIES 100
#define LIMIT_PINS 200
/* Bodies that one pin joins. */
#define LIMIT_PIN_BODIES 10
/* Members at one joint that is asked alone. */
#define LIMIT_JOINT_MEMBERS 100
/* Members that a section cuts; three are usual. */
#define LIMIT_SECTION_MEMBERS 20
/* Joints of a truss; 10,000 is the largest that was measured. */
#define LIMIT_JOINTS 12000
/* Members of a truss; a space truss has about three a joint. */
#define LIMIT_MEMBERS 40000
/* Loads of a truss: one a joint. */
#define LIMIT_LOADS 12000

/* Coefficients worked on in the equations of a truss, at about 5 ns each: two seconds. An
 * ordinary truss of 10,000 joints takes a hundredth. */
#define LIMIT_TRUSS_OPERATIONS 400000000u

/* Work on the order by hand of a truss, at about 5 ns each: half a second. Trusses of 200 joints
 * that are worked joint by joint take a hundredth. */
#define LIMIT_TRUSS_ORDER_WORK 100000000u

/* ---- answers ---- */

/* Entries of the key: one backward sweep each. */
#define LIMIT_KEY_ENTRIES 1000
/* Paths that a check asks for; as the key. */
#define LIMIT_ASKED 1000
/* Items marked in one check: a class of 1,000 with 200 numbers each. */
#define LIMIT_JUDGED_ITEMS 200000
/* Numbers of the tape worked again to find out what went wrong in a class, at about 25 ns each with
 * what is compared: a second. A class of 1,000 on ten loads takes a fifth of it. */
#define LIMIT_REPLAYED_NUMBERS 40000000u
/* Answers in one check: a lecture's whole class. */
#define LIMIT_CHECKED_ANSWERS 1000

#endif
