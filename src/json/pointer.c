/* pointer.c: members, JSON Pointers (RFC 6901) and equality. */
#include <string.h>

#include "json/json.h"

static int compare_names(const char *a, size_t a_length, const char *b, size_t b_length)
{
    int order = memcmp(a, b, a_length < b_length ? a_length : b_length);
    return order != 0 ? order : (a_length > b_length) - (a_length < b_length);
}

const struct json *json_member_of(const struct json *object, const char *name, size_t length)
{
    if (object == NULL || object->type != JSON_OBJECT)
        return NULL;
    if (object->sorted == NULL) {
        for (const struct json *m = object->child; m != NULL; m = m->next)
            if (m->key_length == length && memcmp(m->key, name, length) == 0)
                return m;
        return NULL;
    }
    size_t low = 0, high = object->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        const struct json *m = object->sorted[middle];
        int order = compare_names(name, length, m->key, m->key_length);
        if (order == 0)
            return m;
        if (order < 0)
            high = middle;
        else
            low = middle + 1;
    }
    return NULL;
}

const struct json *json_member(const struct json *object, const char *name)
{
    return json_member_of(object, name, strlen(name));
}

#define SHORT_POINTER 256 /* bytes: nearly all */

/* Bytes of the step to a value at most: every character of its name may need two. */
static size_t step_length_max(const struct json *v)
{
    return v->key == NULL ? sizeof "/4294967295" : 1 + 2 * v->key_length;
}

/* The step to a value, written so that it ends before `end`; returns where it begins. */
static char *write_step(char *end, const struct json *v)
{
    if (v->key == NULL) {
        unsigned i = v->index;
        do
            *--end = (char)('0' + i % 10);
        while ((i /= 10) > 0);
    } else {
        for (size_t i = v->key_length; i-- > 0;) {
            char c = v->key[i];
            *--end = c == '~' ? '0' : c == '/' ? '1' : c;
            if (c == '~' || c == '/')
                *--end = '~';
        }
    }
    *--end = '/';
    return end;
}

const char *json_pointer(struct arena *arena, const struct json *value)
{
    size_t length_max = 0;
    for (const struct json *v = value; v->parent != NULL; v = v->parent)
        length_max += step_length_max(v);
    char room[SHORT_POINTER], *end = room + sizeof room;
    if (length_max > sizeof room) {
        char *wide = arena_room(arena, length_max);
        if (wide == NULL)
            return NULL;
        end = wide + length_max;
    }
    char *begin = end;
    for (const struct json *v = value; v->parent != NULL; v = v->parent)
        begin = write_step(begin, v);
    return arena_text(arena, begin, (size_t)(end - begin));
}

/* Does the step (still escaped) name this member? */
static bool step_is_key(const char *step, size_t length, const struct json *m)
{
    size_t k = 0;
    for (size_t i = 0; i < length; i++, k++) {
        char c = step[i];
        if (c == '~') {
            if (++i == length || (step[i] != '0' && step[i] != '1'))
                return false;
            c = step[i] == '0' ? '~' : '/';
        }
        if (k == m->key_length || m->key[k] != c)
            return false;
    }
    return k == m->key_length;
}

static bool step_is_index(const char *step, size_t length, unsigned *ret_index)
{
    if (length == 0 || length > 9 || (length > 1 && step[0] == '0'))
        return false;
    unsigned n = 0;
    for (size_t i = 0; i < length; i++) {
        if (step[i] < '0' || step[i] > '9')
            return false;
        n = n * 10 + (unsigned)(step[i] - '0');
    }
    *ret_index = n;
    return true;
}

const struct json *json_at(const struct json *root, const char *pointer)
{
    const struct json *v = root;
    while (v != NULL && *pointer != '\0') {
        if (*pointer++ != '/')
            return NULL;
        size_t length = strcspn(pointer, "/");
        const struct json *found = NULL;
        unsigned index;
        if (v->type == JSON_OBJECT) {
            found = v->child;
            while (found != NULL && !step_is_key(pointer, length, found))
                found = found->next;
        } else if (v->type == JSON_ARRAY && step_is_index(pointer, length, &index)) {
            found = v->child;
            while (found != NULL && found->index != index)
                found = found->next;
        }
        v = found;
        pointer += length;
    }
    return v;
}

bool json_equal(const struct json *a, const struct json *b)
{
    if (a->type != b->type || a->count != b->count)
        return false;
    switch (a->type) {
    case JSON_NULL:
    case JSON_FALSE:
    case JSON_TRUE:
        return true;
    case JSON_NUMBER:
        return a->number == b->number;
    case JSON_STRING:
        return a->length == b->length && memcmp(a->text, b->text, a->length) == 0;
    case JSON_ARRAY:
        for (const struct json *x = a->child, *y = b->child; x != NULL; x = x->next, y = y->next)
            if (!json_equal(x, y))
                return false;
        return true;
    case JSON_OBJECT:
        for (const struct json *x = a->child; x != NULL; x = x->next) {
            const struct json *y = json_member_of(b, x->key, x->key_length);
            if (y == NULL || !json_equal(x, y))
                return false;
        }
        return true;
    case JSON_TYPE_MAX_:
        break;
    }
    return false;
}
