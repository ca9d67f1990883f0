/* show.c: numbers as a student is shown them, and units. */
#include <math.h>
#include <string.h>

#include "render/walk.h"

struct number_text round_for_display(const struct render_options *options,
                                     const struct units *units, struct dimension d, double value)
{
    if (!isfinite(value)) /* of a step that nothing rests on: an answer is finite, see work_close */
        return (struct number_text){.digits = "undefined"};
    if (value != 0.0 && d.angle && units->angle == UNIT_DEG && fabs(value) < 1e15)
        return number_to_places(value, options->figures > 3 ? options->figures - 2 : 1);
    return number_to_figures(value, options->figures, options->one_more_after_one);
}

/* One part of a number's text: digits, an exponent, π. Returns where it ends. */
static const char *read_part(const char *text, struct digits *ret)
{
    static const char pi[] = "π";
    const char *c = text;
    while ((*c >= '0' && *c <= '9') || *c == '.')
        c++;
    *ret = (struct digits){.text = text, .length = (size_t)(c - text)};
    if (*c == 'e' || *c == 'E') {
        bool negative = c[1] == '-';
        c += c[1] == '-' || c[1] == '+' ? 2 : 1;
        for (; *c >= '0' && *c <= '9'; c++)
            ret->exponent10 = ret->exponent10 * 10 + (*c - '0');
        if (negative)
            ret->exponent10 = -ret->exponent10;
    }
    if (strncmp(c, pi, sizeof pi - 1) == 0) {
        ret->pi = true;
        c += sizeof pi - 1;
    }
    return c;
}

static void show_text(const char *text, bool is_zero, struct shown *s)
{
    if (*text == '-') {
        s->negative = !is_zero;
        text++;
    }
    text = read_part(text, &s->part[0]);
    s->count = 1;
    if (*text == '/') {
        read_part(text + 1, &s->part[1]);
        s->count = 2;
    }
}

/* A length of the figure that comes out even: the third side of 5 and 12 is 13, and from 3 m to 6.5
 * m it is 3.5 m; nobody writes 13.0 or 3.50 for them. */
static bool is_even_length(const struct walk *k, const struct node *n)
{
    int64_t numerator, denominator;
    bool is_of_figure = n->op == OP_SQRT || n->op == OP_NORM ||
                        (n->dimension.length == 1 && (n->op == OP_SUB || n->op == OP_SUM));
    if (!is_of_figure || n->dimension.force != 0 || n->dimension.angle ||
        !num_is_rational(n->num, &numerator, &denominator) || 1000 % denominator != 0)
        return false;
    double thousandths = fabs((double)numerator) * (double)(1000 / denominator);
    while (thousandths >= 1.0 && fmod(thousandths, 10.0) == 0.0)
        thousandths /= 10.0;
    return thousandths < pow(10.0, k->options->figures); /* so many figures hold all of it */
}

static void drop_last_zeros(char *digits)
{
    if (strchr(digits, '.') == NULL)
        return;
    char *end = digits + strlen(digits);
    while (end[-1] == '0')
        *--end = '\0';
    if (end[-1] == '.')
        end[-1] = '\0';
}

static void show_rounded(const struct walk *k, const struct node *n, struct shown *s)
{
    s->own = round_for_display(k->options, &k->w->units, n->dimension, n->num.value);
    if (is_even_length(k, n))
        drop_last_zeros(s->own.digits);
    s->negative = s->own.negative;
    s->count = 1;
    s->part[0] = (struct digits){
        .text = s->own.digits, .length = strlen(s->own.digits), .exponent10 = s->own.exponent10};
}

static void mark_angle(const struct walk *k, const struct node *n, struct shown *s)
{
    if (!n->dimension.angle)
        return;
    enum unit_angle unit = n->unit != NULL ? n->unit->base.angle : k->w->units.angle;
    s->degrees = unit == UNIT_DEG;
    s->radians = unit == UNIT_RAD && !s->part[0].pi;
}

/* Another name (or a sum of one) shows what it names: a given number as typed. */
static const struct node *named_node(const struct walk *k, q x)
{
    while (q_is_name(k->w, x, &x))
        ;
    return q_node(k->w, x);
}

const struct shown *show(struct walk *k, q x)
{
    struct shown *s = &k->shown[x.i % SHOWN_KEPT];
    if (s->of == x.i && x.i > 0)
        return s;
    const struct node *n = named_node(k, x);
    *s = (struct shown){.of = x.i};
    const struct node *reversed = n->op == OP_NEG ? q_node(k->w, (q){n->operand[0]}) : NULL;
    bool is_reversed = reversed && reversed->op == OP_GIVEN && !strpbrk(reversed->text, "eE");
    if (is_reversed) /* as typed, the other way */
        n = reversed;
    if ((n->op == OP_GIVEN || n->op == OP_CONSTANT) && n->text != NULL)
        show_text(n->text, n->num.value == 0.0, s);
    else
        show_rounded(k, n, s);
    if (is_reversed)
        s->negative = !s->negative && n->num.value != 0.0;
    mark_angle(k, n, s);
    return s;
}

const struct shown *show_result(struct walk *k, q x)
{
    const struct node *n = q_node(k->w, x);
    while (n->op == OP_SAME)
        n = q_node(k->w, (q){n->operand[0]});
    bool is_taken_over = n->op == OP_CONSTANT || n->op == OP_SUM; /* into the method's own */
    if (!is_taken_over)
        return show(k, x);
    k->result = (struct shown){.of = x.i};
    show_rounded(k, n, &k->result);
    mark_angle(k, n, &k->result);
    return &k->result;
}

uint32_t unit_parts(struct dimension d, const struct units *units, struct unit_part ret_part[4])
{
    uint32_t count = 0;
    if (d.force != 0)
        ret_part[count++] = (struct unit_part){unit_force_name(units->force),
                                               unit_force_spoken(units->force, false),
                                               unit_force_spoken(units->force, true), d.force};
    if (d.mass != 0)
        ret_part[count++] =
            (struct unit_part){unit_mass_name(units->mass), unit_mass_spoken(units->mass, false),
                               unit_mass_spoken(units->mass, true), d.mass};
    if (d.length != 0)
        ret_part[count++] = (struct unit_part){unit_length_name(units->length),
                                               unit_length_spoken(units->length, false),
                                               unit_length_spoken(units->length, true), d.length};
    if (d.acceleration != 0)
        ret_part[count++] =
            (struct unit_part){unit_acceleration_name(units->acceleration),
                               unit_acceleration_spoken(units->acceleration),
                               unit_acceleration_spoken(units->acceleration), d.acceleration};
    return count;
}

void put_unit_name(struct walk *k, struct dimension d, const struct units *units)
{
    struct unit_part part[4];
    uint32_t count = unit_parts(d, units, part);
    if (count == 0 && d.angle)
        put(k, unit_angle_name(units->angle));
    for (int sign = 1; sign >= -1; sign -= 2)
        for (uint32_t i = 0, written = 0; i < count; i++) {
            int exponent = part[i].exponent * sign;
            if (exponent <= 0)
                continue;
            if (sign < 0)
                put(k, "/");
            else if (written++ > 0)
                put(k, "·");
            put(k, part[i].name);
            if (exponent > 1)
                put(k, exponent == 2 ? "²" : "³");
        }
}

size_t integer_text(int n, char ret_text[12])
{
    char digits[12];
    size_t count = 0, length = 0;
    unsigned rest = n < 0 ? 0u - (unsigned)n : (unsigned)n;
    do
        digits[count++] = (char)('0' + rest % 10);
    while ((rest /= 10) > 0);
    if (n < 0)
        ret_text[length++] = '-';
    while (count > 0)
        ret_text[length++] = digits[--count];
    return length;
}
