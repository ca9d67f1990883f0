/* cors.h: which pages of other origins may call (WHATWG Fetch, "CORS protocol"). Off unless set. */
#ifndef SERVER_CORS_H
#define SERVER_CORS_H

#include "server/guard.h"
#include "server/pipeline.h"

/* Add to the response what the setting ("" none, "*", or a list) grants to the request's Origin;
 * for a preflight (OPTIONS with Access-Control-Request-Method) the methods and fields as well. */
void cors_grant(const char *setting, const struct guard *head, const struct admission *admission,
                struct response *response);

#endif
