/* supports.h: how supports are decoded, for equilibrium and trusses. */
#ifndef ENDPOINTS_SUPPORTS_H
#define ENDPOINTS_SUPPORTS_H

#include "endpoints/loads.h"

extern const struct record support_record; /* struct support_input */

#endif
