/* negotiate.h: which representation a client gets (RFC 9110, section 12.5.1). */
#ifndef SERVER_NEGOTIATE_H
#define SERVER_NEGOTIATE_H

#include <stdbool.h>

enum media { /* in the order in which ties are settled */
             MEDIA_JSON,
             MEDIA_TEXT,
             MEDIA_LATEX,
             MEDIA_SCHEMA,
             MEDIA_PROBLEM,
             MEDIA_METRICS,
             MEDIA_MAX_
};

/* The value of Content-Type: "text/plain; charset=utf-8". */
const char *media_content_type(enum media media);

/* The media type of `accept` (all Accept fields joined by commas; NULL or empty accepts everything)
 * that is weighed highest among `offered` (bits 1 << MEDIA_…); ties go to the first. False where it
 * excludes them all; *ret_media is the first offered then. */
bool negotiate(const char *accept, unsigned offered, enum media *ret_media);

#endif
