/* question.h: random questions of every call that answers are marked for, as books set them. */
#ifndef SIM_QUESTION_H
#define SIM_QUESTION_H

#include "oracle/exercise.h"

enum question_kind {
    QUESTION_FORCE, /* components of one force, plane */
    QUESTION_FORCE_SPACE,
    QUESTION_RESULTANT, /* components, plane; two to four forces */
    QUESTION_POLAR,     /* magnitude and direction */
    QUESTION_SPACE,
    QUESTION_MOMENT, /* components and moment, plane */
    QUESTION_CABLES, /* two or three, plane or space */
    QUESTION_BEAM,
    QUESTION_FRAME, /* two bodies and a pin */
    QUESTION_JOINT,
    QUESTION_TRUSS,
    QUESTION_MAX_
};

struct question {
    enum question_kind kind;
    const char *name;
    bool by_polar;
    char problem[8192];       /* {"kind": …} */
    struct exercise exercise; /* of one force and of resultants */
};

void question_draw(struct draw *d, enum question_kind kind, struct question *ret);

#endif
