/* answer.h: the answer to a request that has arrived: computed on the loop or on a thread of the
 * pool, then handed to the library. */
#ifndef SERVER_ANSWER_H
#define SERVER_ANSWER_H

#include "server/connection.h"

/* Compute it, or its refusal, and queue it. */
enum MHD_Result answer_at_once(struct connection *c, struct MHD_Connection *mhd);

/* The same, but what may take long goes to the pool. The library is to ask again until
 * c->is_answered. */
enum MHD_Result answer_in_turn(struct connection *c, struct MHD_Connection *mhd);

/* The 503 made beforehand; c may be NULL. */
enum MHD_Result answer_without_memory(struct connection *c, struct worker *w,
                                      struct MHD_Connection *mhd);

#endif
