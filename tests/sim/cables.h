/* cables.h: an honest student who hangs a load on two or three cables and works it by hand.
 *
 * Plain arithmetic of its own, nothing of the tape: sines, cosines, lengths, components, ratios,
 * products, sums and collected coefficients to three figures as they are written, angles to 0.1
 * degrees. How a student eliminates (which equation, which unknown, by substitution or by
 * determinants, or by the sine law) is drawn. */
#ifndef SIM_CABLES_H
#define SIM_CABLES_H

#include "sim/student.h"

enum cable_way { CABLE_ANGLE, CABLE_VECTOR, CABLE_LINE, CABLE_WAY_MAX_ };

struct cable {
    enum cable_way way;
    double angle;     /* CABLE_ANGLE: degrees from +x, as typed */
    double vector[3]; /* as typed; of a line the difference of its points */
};

#define CABLES_MAX 3

struct hanging {
    int axes; /* 2 or 3; as many cables */
    struct cable cable[CABLES_MAX];
    int loads; /* 1 or 2 */
    double size[2];
    int axis[2];       /* a load along a half-axis: 0 +x, 1 -x, … */
    double load[2][3]; /* … otherwise by its components */
    bool by_components[2];
};

/* A problem whose directions are not nearly dependent. */
void hanging_draw(struct draw *d, struct hanging *h);
/* As a request, with its key. */
void hanging_write(const struct hanging *h, char *text, unsigned long capacity);

struct cable_habits {
    bool four_after_one, writes_sines, slopes_as_angles, writes_units;
    enum { BY_SUBSTITUTION, BY_DETERMINANTS, BY_SINE_LAW } method;
    int equation[CABLES_MAX], unknown[CABLES_MAX]; /* the order of elimination */
};
void cable_habits_draw(struct draw *d, const struct hanging *h, struct cable_habits *ret);
void cable_habits_say(const struct cable_habits *h, char *text, unsigned long capacity);

/* What the student hands in: T1, T2 (, T3), then their components; paths of the answer in `of`. The
 * count. */
int cables_work(const struct hanging *h, const struct cable_habits *habits,
                struct written *written);

#endif
