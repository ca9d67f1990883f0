/* freebody.h: free-body diagrams in words, and the count of unknowns and equations. */
#ifndef STATICS_FREEBODY_H
#define STATICS_FREEBODY_H

#include "statics/assembly.h"
#include "statics/unknowns.h"

/* A section for each body: every force on it, where it acts, and which motion each support
 * prevents. */
void freebody_say(const struct assembly *a);
/* How many unknowns and equations, and what their rank says. */
void freebody_say_count(const struct assembly *a, enum equilibrium_state state);

#endif
