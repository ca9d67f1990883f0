/* documents.h: what does not change while the service runs: the index, the contract, the schemas
 * and the pages that explain errors. Made once at start. */
#ifndef SERVER_DOCUMENTS_H
#define SERVER_DOCUMENTS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "server/negotiate.h"
#include "server/route.h"

struct document {
    enum route_kind kind;
    const char *name; /* what stands for {name}; "" elsewhere */
    enum media media;
    const char *bytes;
    size_t length;
    char etag[20]; /* strong, with its quotes */
};

struct documents {
    struct document *document;
    size_t count;
};

/* All documents, in `arena`. False: no memory. */
bool documents_init(struct documents *d, const struct route_table *table, struct arena *arena);

/* NULL: there is none. A document that exists in one representation only is found under any of the
 * media types that its route offers. */
const struct document *documents_find(const struct documents *d, enum route_kind kind,
                                      const char *name, enum media media);

#endif
