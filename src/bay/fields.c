/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/fields.h"

#include "base/mem.h"

#include <stdatomic.h>
#include <string.h>

/* ---- looking up ---- */

const TbElement *
tb_element_find(const char *tag, TbListKind list)
{
    for (size_t i = 0; tb_elements[i] != NULL; i++)
        if ((list == TB_LIST_COUNT || tb_elements[i]->list == list) &&
            strcmp(tb_elements[i]->name, tag) == 0)
            return tb_elements[i];
    return NULL;
}

const TbField *
tb_element_field(const TbElement *element, size_t index)
{
    for (size_t g = 0; g < TB_FIELD_GROUPS; g++) {
        if (index < element->groups[g].count)
            return &element->groups[g].fields[index];
        index -= element->groups[g].count;
    }
    return NULL;
}

const TbField *
tb_element_field_named(const TbElement *element, const char *name)
{
    const TbField *field;

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++)
        if (field->kind != TB_FIELD_BODY && strcmp(field->name, name) == 0)
            return field;
    return NULL;
}

const TbField *
tb_element_body(const TbElement *element)
{
    const TbField *field;

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++)
        if (field->kind == TB_FIELD_BODY)
            return field;
    return NULL;
}

size_t
tb_element_child(const TbElement *element, const char *tag)
{
    size_t i = 0;

    while (i < element->child_count && strcmp(element->children[i].element->name, tag) != 0)
        i++;
    return i;
}

/* Pointers to different structs are read and written by their bytes: they all look alike, and the
 * compiler may not think otherwise. */
void *
tb_nest_array(const TbNest *nest, const void *owner, size_t *count)
{
    void *array;

    memcpy(&array, (const char *)owner + nest->offset, sizeof array);
    if (nest->count_offset == TB_ONE)
        *count = array != NULL ? 1 : 0;
    else
        memcpy(count, (const char *)owner + nest->count_offset, sizeof *count);
    return array;
}

void
tb_nest_set(const TbNest *nest, void *owner, void *array, size_t count)
{
    memcpy((char *)owner + nest->offset, &array, sizeof array);
    if (nest->count_offset != TB_ONE)
        memcpy((char *)owner + nest->count_offset, &count, sizeof count);
}

/* ---- what a struct holds ---- */

_Static_assert(sizeof(TbVec2) == 2 * sizeof(double) && sizeof(TbVec3) == 3 * sizeof(double) &&
                   sizeof(TbSpread) == 2 * sizeof(double),
               "points, directions and spreads are doubles in a row");

TbFieldStore
tb_field_store(const TbField *field, size_t *reals)
{
    static const struct {
        TbFieldStore store;
        size_t reals;
    } stores[] = {
        [TB_FIELD_NUMBER] = {TB_STORE_REALS, 1},    [TB_FIELD_INTEGER] = {TB_STORE_INTEGER, 0},
        [TB_FIELD_FLAG] = {TB_STORE_FLAG, 0},       [TB_FIELD_CHOICE] = {TB_STORE_INTEGER, 0},
        [TB_FIELD_ID] = {TB_STORE_TEXT, 0},         [TB_FIELD_REFERENCE] = {TB_STORE_TEXT, 0},
        [TB_FIELD_MATERIAL] = {TB_STORE_TEXT, 0},   [TB_FIELD_STATES] = {TB_STORE_TEXT, 0},
        [TB_FIELD_WORD] = {TB_STORE_TEXT, 0},       [TB_FIELD_TEXT] = {TB_STORE_TEXT, 0},
        [TB_FIELD_DATE] = {TB_STORE_TEXT, 0},       [TB_FIELD_DIGEST] = {TB_STORE_TEXT, 0},
        [TB_FIELD_VEC2] = {TB_STORE_REALS, 2},      [TB_FIELD_VEC3] = {TB_STORE_REALS, 3},
        [TB_FIELD_DIRECTION] = {TB_STORE_REALS, 3}, [TB_FIELD_SPREAD] = {TB_STORE_REALS, 2},
        [TB_FIELD_NUMBERS] = {TB_STORE_NUMBERS, 0}, [TB_FIELD_BODY] = {TB_STORE_TEXT, 0},
    };

    if (reals != NULL)
        *reals = stores[field->kind].reals;
    return stores[field->kind].store;
}

static void
preset_field(const TbField *field, void *at)
{
    size_t reals;

    switch (tb_field_store(field, &reals)) {
    case TB_STORE_REALS:
        memcpy(at, field->preset, reals * sizeof(double));
        break;
    case TB_STORE_INTEGER:
        *(int *)at = isnan(field->preset[0]) ? 0 : (int)field->preset[0];
        break;
    case TB_STORE_TEXT: /* NULL, no numbers, false: zeroed room */
    case TB_STORE_NUMBERS:
    case TB_STORE_FLAG:
        break;
    }
}

void
tb_field_preset(const TbField *field, void *owner)
{
    void *at = tb_field_at(field, owner);

    switch (tb_field_store(field, NULL)) {
    case TB_STORE_TEXT:
        TB_CLEAR(*(char **)at);
        break;
    case TB_STORE_NUMBERS:
        ((TbNumbers *)at)->count = 0;
        break;
    case TB_STORE_FLAG:
        *(bool *)at = false;
        break;
    case TB_STORE_REALS:
    case TB_STORE_INTEGER:
        preset_field(field, at);
        break;
    }
}

void
tb_element_preset(const TbElement *element, void *owner)
{
    const TbField *field;

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++)
        preset_field(field, tb_field_at(field, owner));
}

static void
clear_part(TbChild *part)
{
    TB_CLEAR(part->comment);
    TB_CLEAR(part->tail);
}

void
tb_element_clear(const TbElement *element, void *owner)
{
    const TbField *field;

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++)
        if (tb_field_store(field, NULL) == TB_STORE_TEXT)
            TB_CLEAR(*(char **)tb_field_at(field, owner));
    for (size_t c = 0; c < element->child_count; c++) {
        const TbNest *nest = &element->children[c];
        size_t count;
        char *array = tb_nest_array(nest, owner, &count);

        for (size_t k = 0; k < count; k++)
            tb_element_clear(nest->element, array + k * nest->element->size);
        tb_free(array);
        tb_nest_set(nest, owner, NULL, 0);
    }
    if (element->is_record) {
        TbRecord *record = owner;

        TB_CLEAR(record->extra);
        TB_CLEAR(record->extra_attributes);
        if (element == &tb_element_bay)
            TB_CLEAR(record->id);
    }
    clear_part(owner);
}

/* ---- copying ---- */

/** A copy of a text that may be NULL; false when there is no room. */
static bool
copy_text(char **to, const char *from)
{
    *to = tb_copy_text(from);
    return from == NULL || *to != NULL;
}

static bool
copy_field(const TbField *field, void *to, const void *from)
{
    size_t reals;

    switch (tb_field_store(field, &reals)) {
    case TB_STORE_TEXT:
        return copy_text(to, *(char *const *)from);
    case TB_STORE_REALS:
        memcpy(to, from, reals * sizeof(double));
        break;
    case TB_STORE_NUMBERS:
        *(TbNumbers *)to = *(const TbNumbers *)from;
        break;
    case TB_STORE_INTEGER:
        *(int *)to = *(const int *)from;
        break;
    case TB_STORE_FLAG:
        *(bool *)to = *(const bool *)from;
        break;
    }
    return true;
}

static bool
copy_fields(const TbElement *element, void *to, const void *from)
{
    const TbField *field;

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++)
        if (!copy_field(field, tb_field_at(field, to), tb_field_at(field, from)))
            return false;
    return true;
}

static bool
copy_children(const TbElement *element, void *to, const void *from)
{
    for (size_t c = 0; c < element->child_count; c++) {
        const TbNest *nest = &element->children[c];
        size_t size = nest->element->size;
        size_t count;
        const char *source = tb_nest_array(nest, from, &count);
        char *target;

        if (count == 0)
            continue;
        target = tb_alloc_array(count, size);
        if (target == NULL)
            return false;
        /* hung in at once, zeroed: a half-made copy is then freed like a whole one */
        tb_nest_set(nest, to, target, count);
        for (size_t k = 0; k < count; k++)
            if (!tb_element_copy(nest->element, target + k * size, source + k * size))
                return false;
    }
    return true;
}

bool
tb_element_copy(const TbElement *element, void *to, const void *from)
{
    const TbChild *part = from;
    TbChild *copy = to;

    copy->line = part->line;
    if (!copy_text(&copy->comment, part->comment) || !copy_text(&copy->tail, part->tail))
        return false;
    if (element->is_record) {
        const TbRecord *record = from;
        TbRecord *twin = to;

        if (!copy_text(&twin->extra, record->extra) ||
            !copy_text(&twin->extra_attributes, record->extra_attributes))
            return false;
        if (element == &tb_element_bay && !copy_text(&twin->id, record->id))
            return false;
    }
    return copy_fields(element, to, from) && copy_children(element, to, from);
}

/* ---- comparing ---- */

static bool
same_text(const char *a, const char *b)
{
    return a == b || (a != NULL && b != NULL && strcmp(a, b) == 0);
}

/** Equal, or both not given. */
static bool
same_number(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static bool
same_numbers(const double *a, const double *b, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!same_number(a[i], b[i]))
            return false;
    return true;
}

static bool
same_field(const TbField *field, const void *a, const void *b)
{
    const void *x = tb_field_at(field, a);
    const void *y = tb_field_at(field, b);
    size_t reals;

    switch (tb_field_store(field, &reals)) {
    case TB_STORE_TEXT:
        return same_text(*(char *const *)x, *(char *const *)y);
    case TB_STORE_REALS:
        return same_numbers(x, y, reals);
    case TB_STORE_NUMBERS:
        reals = ((const TbNumbers *)x)->count;
        return reals == ((const TbNumbers *)y)->count &&
               same_numbers(((const TbNumbers *)x)->v, ((const TbNumbers *)y)->v, reals);
    case TB_STORE_INTEGER:
        return *(const int *)x == *(const int *)y;
    case TB_STORE_FLAG:
        break;
    }
    return *(const bool *)x == *(const bool *)y;
}

bool
tb_element_equal(const TbElement *element, const void *a, const void *b)
{
    const TbField *field;

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++)
        if (!same_field(field, a, b))
            return false;
    for (size_t c = 0; c < element->child_count; c++) {
        const TbNest *nest = &element->children[c];
        size_t size = nest->element->size;
        size_t count_a;
        size_t count_b;
        const char *of_a = tb_nest_array(nest, a, &count_a);
        const char *of_b = tb_nest_array(nest, b, &count_b);

        if (count_a != count_b)
            return false;
        for (size_t k = 0; k < count_a; k++)
            if (!tb_element_equal(nest->element, of_a + k * size, of_b + k * size))
                return false;
    }
    if (element->is_record)
        return same_text(((const TbRecord *)a)->extra, ((const TbRecord *)b)->extra) &&
               same_text(((const TbRecord *)a)->extra_attributes,
                         ((const TbRecord *)b)->extra_attributes);
    return true;
}

/* ---- records ---- */

uint64_t
tb_node_next(void)
{
    /* the one counter of the program: a cache may meet documents of different files */
    static atomic_uint_fast64_t last;

    return atomic_fetch_add_explicit(&last, 1, memory_order_relaxed) + 1;
}

static TbRecord *
record_room(const TbElement *element)
{
    TbRecord *record = tb_alloc(element->size);

    if (record == NULL)
        return NULL;
    record->element = element;
    record->references = 1;
    record->node = tb_node_next();
    if (element->is_record && element->list == TB_LIST_ITEMS)
        ((TbItem *)record)->kind = (TbItemKind)element->item_kind;
    return record;
}

TbRecord *
tb_record_new(const TbElement *element)
{
    TbRecord *record = record_room(element);

    if (record != NULL)
        tb_element_preset(element, record);
    return record;
}

TbRecord *
tb_record_copy(const TbRecord *record)
{
    TbRecord *copy = record_room(record->element);

    if (copy != NULL && !tb_element_copy(record->element, copy, record)) {
        tb_record_unref(copy);
        return NULL;
    }
    return copy;
}

const TbRecord *
tb_record_ref(const TbRecord *record)
{
    TbRecord *owned = (TbRecord *)(uintptr_t)record;

    __atomic_fetch_add(&owned->references, 1, __ATOMIC_RELAXED);
    return record;
}

void
tb_record_unref(const TbRecord *record)
{
    TbRecord *owned = (TbRecord *)(uintptr_t)record;

    if (owned == NULL || __atomic_fetch_sub(&owned->references, 1, __ATOMIC_ACQ_REL) != 1)
        return;
    tb_record_unref(owned->twin);
    tb_element_clear(owned->element, owned);
    tb_free(owned);
}

const TbRecord *
tb_record_mirrored(const TbRecord *record)
{
    TbRecord *owned = (TbRecord *)(uintptr_t)record;
    TbRecord *twin = __atomic_load_n(&owned->twin, __ATOMIC_ACQUIRE);
    TbRecord *none = NULL;

    if (twin != NULL)
        return twin;
    twin = tb_record_copy(record);
    if (twin == NULL)
        return NULL;
    tb_element_mirror(record->element, twin);
    /* two threads may make one each: the first to hang it in wins */
    if (!__atomic_compare_exchange_n(&owned->twin, &none, twin, false, __ATOMIC_ACQ_REL,
                                     __ATOMIC_ACQUIRE)) {
        tb_record_unref(twin);
        twin = none;
    }
    return twin;
}

bool
tb_record_equal(const TbRecord *a, const TbRecord *b)
{
    return a == b || (a->element == b->element && tb_element_equal(a->element, a, b));
}

/* ---- words ---- */

const char *
tb_name_of(const char *const names[], int value)
{
    for (int i = 0; names[i] != NULL; i++)
        if (i == value)
            return names[i];
    return "?";
}

int
tb_name_value(const char *const names[], const char *word, size_t length)
{
    for (int i = 0; names[i] != NULL; i++)
        if (strlen(names[i]) == length && memcmp(names[i], word, length) == 0)
            return i;
    return -1;
}
