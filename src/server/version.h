/* version.h: the version of the service (semantic versioning); api/openapi.json says the same, and
 * a test compares the two. */
#ifndef SERVER_VERSION_H
#define SERVER_VERSION_H

#define TIPTAIL_VERSION "1.0.0"

#endif
