/* exchange.h: what the library calls as a request arrives, is answered and ends. */
#ifndef SERVER_EXCHANGE_H
#define SERVER_EXCHANGE_H

#include <microhttpd.h>
#include <stddef.h>

void *exchange_uri(void *cls, const char *uri, struct MHD_Connection *mhd);
enum MHD_Result exchange_serve(void *cls, struct MHD_Connection *mhd, const char *url,
                               const char *method, const char *version, const char *upload,
                               size_t *upload_size, void **context);
void exchange_completed(void *cls, struct MHD_Connection *mhd, void **context,
                        enum MHD_RequestTerminationCode code);
void exchange_notify(void *cls, struct MHD_Connection *mhd, void **context,
                     enum MHD_ConnectionNotificationCode code);

#endif
