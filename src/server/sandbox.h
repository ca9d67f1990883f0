/* sandbox.h: what the process gives up once it listens, so that a fault in it is worth little: new
 * privileges, files, new sockets, other programs. */
#ifndef SERVER_SANDBOX_H
#define SERVER_SANDBOX_H

#include <stddef.h>

enum sandbox_layer {
    SANDBOX_PRIVILEGES,   /* no_new_privs: no set-user-id program helps */
    SANDBOX_FILES,        /* Landlock with no rule: no file is opened, no address bound or called */
    SANDBOX_SYSTEM_CALLS, /* a seccomp filter: only what serving takes, the rest is EPERM */
    SANDBOX_LAYER_MAX_
};

/* "no-new-privileges", "landlock", "seccomp" */
const char *sandbox_layer_name(enum sandbox_layer layer);

/* Enter every layer that this kernel and this build have, for the calling thread and all it starts
 * from now on. For good. Returns the set of those that hold, as bits 1 << layer. Call it with
 * everything open that will be needed: afterwards descriptors are only accepted, used and closed.
 */
unsigned sandbox_enter(void);

#endif
