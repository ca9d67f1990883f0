/* evidence.c: plane or space: the data decide, and what does not fit is named. */
#include "endpoints/decode.h"

#include <string.h>

void decode_evidence(struct decoder *d, enum evidence kind, const struct json *value)
{
    unsigned i = d->evidence[kind].count++;
    if (i < PROBLEM_FAULTS_KEPT)
        d->evidence[kind].value[i] = value;
    if (d->first_evidence == EVIDENCE_MAX_)
        d->first_evidence = kind;
}

static bool is_space_evidence(enum evidence kind) { return kind >= EVIDENCE_THREE_NUMBERS; }

/* The data decide: the more frequent kind is meant, the rarer is the odd one out. Forms that could
 * stand in the plane only (an angle, a slope) are no such datum; they count where numbers are even,
 * or where there are none. */
static bool is_space(const struct decoder *d)
{
    unsigned count[EVIDENCE_MAX_];
    for (unsigned k = 0; k < EVIDENCE_MAX_; k++)
        count[k] = d->evidence[k].count;
    unsigned two = count[EVIDENCE_TWO_NUMBERS], three = count[EVIDENCE_THREE_NUMBERS];
    unsigned plane = two + count[EVIDENCE_PLANE_MOMENT];
    unsigned space = three + count[EVIDENCE_SPACE_AXIS] + count[EVIDENCE_SPACE_FORM];
    if (two + three == 0)
        plane += count[EVIDENCE_PLANE_FORM];
    if (plane != space)
        return space > plane;
    if (two != three)
        return three > two;
    if (two + three > 0 && count[EVIDENCE_PLANE_FORM] > 0)
        return false;
    return d->first_evidence != EVIDENCE_MAX_ && is_space_evidence(d->first_evidence);
}

/* Of a form that does not fit the problem: why, and what would. */
static const char *instead(const char *form)
{
    static const struct {
        const char *form, *instead;
    } rows[] = {
        /* of the plane, in space */
        {"angle", "An angle from one half-axis alone is measured in the plane, but this is a "
                  "problem in space: say from which half-axis toward which, or give "
                  "direction_angles, azimuth with elevation, a vector or a line."},
        {"slope", "A slope triangle lies in the plane, but this is a problem in space: give a "
                  "vector, a line, direction_angles, or azimuth with elevation."},
        {"bearing", "A bearing lies in the plane, but this is a problem in space: give azimuth "
                    "with elevation, direction_angles, a vector or a line."},
        {"turn", "Clockwise and counter-clockwise belong to the plane, but this is a problem in "
                 "space: leave out turn and let the axes and signs say it."},
        {"pin", "A pin is a support in the plane, but this is a problem in space: give "
                "ball_and_socket, or hinge with its axis."},
        {"rocker",
         "A rocker is a support in the plane, but this is a problem in space: give roller."},
        {"rough_surface", "A rough surface is a support in the plane, but this is a problem in "
                          "space: give smooth_surface, or ball_and_socket where nothing slides."},
        {"collar", "A collar is a support in the plane, but this is a problem in space: give "
                   "journal_bearing with the axis of the rod."},
        /* of space, in the plane */
        {"direction_angles", "Direction angles belong to space, but this is a problem in the "
                             "plane: give an angle, a slope, a vector or a line."},
        {"azimuth", "Azimuth and elevation belong to space, but this is a problem in the plane: "
                    "give an angle, a slope, a vector or a line."},
        {"line", "Moments about a line belong to space, but this is a problem in the plane: give "
                 "one place."},
        {"ball_and_socket",
         "A ball and socket is a support in space, but this is a problem in the plane: give pin."},
        {"journal_bearing", "A journal bearing is a support in space, but this is a problem in the "
                            "plane: give pin, roller or collar."},
        {"thrust_bearing", "A thrust bearing is a support in space, but this is a problem in the "
                           "plane: give pin or fixed."},
        {"hinge", "A hinge is a support in space, but this is a problem in the plane: give pin."},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (strcmp(rows[i].form, form) == 0)
            return rows[i].instead;
    return "Forms of the plane and of space are mixed here: keep to one of them.";
}

/* What stands at `value` does not fit the problem; say what would. */
static void fault_dimension(struct decoder *d, enum evidence kind, const struct json *value)
{
    const char *form = value->key != NULL ? value->key : "";
    if (strcmp(form, "kind") == 0)
        form = value->text;
    switch (kind) {
    case EVIDENCE_TWO_NUMBERS:
        decode_fault(d, value, FAULT_MIXED_DIMENSIONS,
                     "Two numbers stand here, but this is a problem in space: give three, x, y and "
                     "z.");
        break;
    case EVIDENCE_THREE_NUMBERS:
        decode_fault(d, value, FAULT_MIXED_DIMENSIONS,
                     "Three numbers stand here, but this is a problem in the plane: give two, x "
                     "and y.");
        break;
    case EVIDENCE_PLANE_MOMENT:
        decode_fault(d, value, FAULT_PLANE_ONLY,
                     "One number is a moment in the plane, but this is a problem in space: give "
                     "its three components, such as [0, 0, %s] about z.",
                     value->type == JSON_NUMBER && value->length <= 24 ? value->text : "12");
        break;
    case EVIDENCE_PLANE_FORM:
        decode_fault(d, value, FAULT_PLANE_ONLY, "%s", instead(form));
        break;
    case EVIDENCE_SPACE_AXIS:
        decode_fault(d, value, FAULT_SPACE_ONLY,
                     "%s is an axis of space, but this is a problem in the plane: only +x, -x, +y "
                     "and -y are here.",
                     value->text);
        break;
    case EVIDENCE_SPACE_FORM:
        decode_fault(d, value, FAULT_SPACE_ONLY, "%s", instead(form));
        break;
    case EVIDENCE_MAX_:
        break;
    }
}

void evidence_settle(struct decoder *d)
{
    struct loads_input *loads = d->loads;
    loads->space = is_space(d);
    for (unsigned k = 0; k < EVIDENCE_MAX_; k++) {
        if (is_space_evidence((enum evidence)k) == loads->space)
            continue;
        unsigned kept = d->evidence[k].count;
        if (kept > PROBLEM_FAULTS_KEPT)
            kept = PROBLEM_FAULTS_KEPT;
        for (unsigned i = 0; i < kept; i++)
            fault_dimension(d, (enum evidence)k, d->evidence[k].value[i]);
    }
    if (!loads->has_up)
        loads->up = (struct half_axis){loads->space ? 2 : 1, 1};
}
