/* limits.h: every limit of the service, its unit in the name and its reason beside it. The schemas
 * in api/ repeat those that a caller meets; a test compares the two. */
#ifndef BASE_LIMITS_H
#define BASE_LIMITS_H

/* One request as bytes and as JSON. Defaults: the first two are settings. */
#define LIMIT_BODY_BYTES                                                                           \
    (1 << 20) /* a truss of 10,000 joints and 20,000 members is about 0.6 MB                       \
               */
#define LIMIT_JSON_VALUES                                                                          \
    200000                  /* such a truss has about 100,000; a value costs about 100 bytes       \
                             */
#define LIMIT_JSON_DEPTH 64 /* levels; the deepest request has about 10: bounds the stack */
#define LIMIT_ARENA_BYTES                                                                          \
    ((size_t)256 << 20) /* 200,000 values (20 MB), the elimination of 10,000 joints (26 MB), a     \
                           tape and its text; a request beyond that is refused, not the machine */
#define LIMIT_ANSWER_BYTES ((size_t)64 << 20) /* the working of a large truss is a few MB */

/* Texts and numbers. */
#define LIMIT_NAME_LENGTH 16      /* characters; a name is a symbol in the formulas */
#define LIMIT_NUMBER_DIGITS 30    /* significant digits of a number; more than a double can tell */
#define LIMIT_NUMBER_EXPONENT 400 /* power of ten; a double ends at 308 */
#define LIMIT_NUMBER_TEXT_LENGTH                                                                   \
    64                       /* characters of a number as a student types it, unit included */
#define LIMIT_UNIT_LENGTH 16 /* characters; "slug*ft/s^2" is long already */

/* Lists of a request, in entries. A sheet of statics has a dozen; a thousand leaves room for
 * programs that write requests and keeps one request within milliseconds. */
#define LIMIT_POINTS 1000
#define LIMIT_FORCES 1000
#define LIMIT_COUPLES 1000
#define LIMIT_DISTRIBUTED_LOADS 1000
#define LIMIT_SUPPORTS 1000
#define LIMIT_BODIES 100
#define LIMIT_PINS 200
#define LIMIT_PIN_BODIES 10      /* bodies that one pin joins */
#define LIMIT_JOINT_MEMBERS 100  /* members at one joint that is asked alone */
#define LIMIT_SECTION_MEMBERS 20 /* members that a section cuts */
#define LIMIT_JOINTS 12000       /* of a truss: 10,000 is the largest that was measured */
#define LIMIT_MEMBERS 40000      /* a space truss has about three members a joint */
#define LIMIT_LOADS 12000        /* of a truss: one a joint */

/* Answers. */
#define LIMIT_KEY_ENTRIES 1000     /* one backward sweep each */
#define LIMIT_ASKED 1000           /* paths; as the key */
#define LIMIT_CHECKED_ANSWERS 1000 /* a lecture's whole class in one request */

#endif
