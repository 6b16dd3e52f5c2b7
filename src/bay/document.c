/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/document.h"

#include "base/mem.h"
#include "bay/build.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* ---- ids to records: open addressing, at most half full, read-only once built ---- */

struct TbIndex {
    size_t mask; /**< size - 1, size a power of two */
    const TbRecord *slots[];
};

/** FNV-1a, 64 bit (Fowler, Noll, Vo; IETF draft-eastlake-fnv). */
static uint64_t
hash_of(const char *text)
{
    uint64_t hash = 0xcbf29ce484222325u;

    for (; *text != '\0'; text++)
        hash = (hash ^ (unsigned char)*text) * 0x100000001b3u;
    return hash;
}

/** Slot of an id: its record's, or the empty one where it would go. */
static size_t
slot_of(const TbIndex *index, const char *id)
{
    size_t slot = (size_t)hash_of(id) & index->mask;

    while (index->slots[slot] != NULL && strcmp(index->slots[slot]->id, id) != 0)
        slot = (slot + 1) & index->mask;
    return slot;
}

static TbStatus
index_list(TbIndex *index, const TbList *list, TbFault *fault)
{
    for (size_t i = 0; i < list->count; i++) {
        const TbRecord *record = list->records[i];
        size_t slot = slot_of(index, record->id);
        const TbRecord *other = index->slots[slot];

        if (other != NULL)
            return tb_fail_at(fault, TB_E_REFERENCE, record->part.line,
                              "id \"%s\" of a %s is taken: a %s on line %d has it", record->id,
                              record->element->name, other->element->name, other->part.line);
        index->slots[slot] = record;
    }
    return TB_OK;
}

/** Revisions have ids of their own. */
static TbStatus
check_revision_ids(const TbList *list, TbFault *fault)
{
    for (size_t i = 1; i < list->count; i++)
        for (size_t k = 0; k < i; k++)
            if (strcmp(list->records[i]->id, list->records[k]->id) == 0)
                return tb_fail_at(fault, TB_E_REFERENCE, list->records[i]->part.line,
                                  "revision \"%s\" is there twice: line %d has it too",
                                  list->records[i]->id, list->records[k]->part.line);
    return TB_OK;
}

TbStatus
tb_build_index(TbBay *bay, TbFault *fault)
{
    TbStatus status = check_revision_ids(&bay->lists[TB_LIST_REVISIONS], fault);
    size_t count = 0;
    size_t size = 16;
    TbIndex *index;

    for (size_t l = 0; l < TB_LIST_COUNT; l++)
        count += bay->lists[l].count;
    while (size < 2 * count)
        size *= 2;
    index = tb_alloc(sizeof *index + size * sizeof index->slots[0]);
    if (index == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for the index of %zu ids", count);
    index->mask = size - 1;
    for (size_t l = 0; l < TB_LIST_COUNT && status == TB_OK; l++)
        if (l != TB_LIST_REVISIONS)
            status = index_list(index, &bay->lists[l], fault);
    tb_free(bay->index);
    bay->index = index;
    return status;
}

const TbRecord *
tb_bay_find(const TbBay *bay, const char *id)
{
    return id != NULL ? bay->index->slots[slot_of(bay->index, id)] : NULL;
}

/* ---- building ---- */

TbBay *
tb_build_new(void)
{
    TbBay *bay = tb_alloc(sizeof *bay);

    if (bay != NULL) {
        bay->references = 1;
        bay->node = tb_node_next();
    }
    return bay;
}

/** A copy of a text that may be NULL. */
static bool
copy_text(char **to, const char *from)
{
    *to = tb_copy_text(from);
    return from == NULL || *to != NULL;
}

/** Room that a list of @p count records has: the next power of two, so that it need not be kept. */
static size_t
room_for(size_t count)
{
    size_t room = 1;

    while (room < count)
        room *= 2;
    return room;
}

static bool
copy_list(TbList *to, const TbList *from)
{
    if (!copy_text(&to->comment, from->comment) || !copy_text(&to->tail, from->tail))
        return false;
    if (from->count == 0)
        return true;
    to->records = tb_alloc_array(room_for(from->count), sizeof(TbRecord *));
    if (to->records == NULL)
        return false;
    for (size_t i = 0; i < from->count; i++) {
        tb_record_ref(from->records[i]);
        to->records[i] = from->records[i];
    }
    to->count = from->count;
    return true;
}

static bool
copy_warnings(TbBay *bay, const TbBay *from)
{
    for (size_t i = 0; i < from->warning_count; i++)
        if (!tb_build_warn(bay, from->warnings[i].line, "%s", from->warnings[i].text))
            return false;
    return true;
}

TbBay *
tb_build_from(const TbBay *bay)
{
    TbBay *copy = tb_build_new();

    if (copy == NULL)
        return NULL;
    tb_record_ref(&bay->head->record);
    copy->head = bay->head;
    for (size_t l = 0; l < TB_LIST_COUNT; l++)
        if (!copy_list(&copy->lists[l], &bay->lists[l]))
            goto fail;
    if (!copy_warnings(copy, bay))
        goto fail;
    return copy;

fail:
    tb_bay_unref(copy);
    return NULL;
}

bool
tb_build_insert(TbBay *bay, TbRecord *record, size_t index)
{
    TbList *list = &bay->lists[record->element->list];
    TbRecord **grown = list->records;

    TB_ASSERT(index <= list->count);
    if (list->count == 0 || room_for(list->count) == list->count)
        grown = tb_resize_array(list->records, room_for(list->count + 1), sizeof(TbRecord *));
    if (grown == NULL) {
        tb_record_unref(record);
        return false;
    }
    list->records = grown;
    memmove(grown + index + 1, grown + index, (list->count - index) * sizeof *grown);
    grown[index] = record;
    list->count++;
    return true;
}

void
tb_build_replace(TbBay *bay, TbListKind list, size_t index, TbRecord *record)
{
    TB_ASSERT(index < bay->lists[list].count);
    tb_record_unref(bay->lists[list].records[index]);
    bay->lists[list].records[index] = record;
}

void
tb_build_remove(TbBay *bay, TbListKind list, size_t index)
{
    TbList *l = &bay->lists[list];
    TbRecord **from = l->records + index;

    TB_ASSERT(index < l->count);
    tb_record_unref(*from);
    memmove(from, from + 1, (l->count - index - 1) * sizeof *from);
    l->count--;
}

void
tb_build_head(TbBay *bay, TbRecord *head)
{
    if (bay->head != NULL)
        tb_record_unref(&bay->head->record);
    bay->head = (const TbHead *)head;
}

bool
tb_build_warn(TbBay *bay, int line, const char *format, ...)
{
    TbWarning *grown =
        tb_resize_array(bay->warnings, bay->warning_count + 1, sizeof *bay->warnings);
    char text[TB_FAULT_TEXT];
    va_list arguments;

    if (grown == NULL)
        return false;
    bay->warnings = grown;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    grown[bay->warning_count] = (TbWarning){line, tb_copy_text(text)};
    if (grown[bay->warning_count].text == NULL)
        return false;
    bay->warning_count++;
    return true;
}

size_t
tb_build_place(const TbBay *bay, const TbRecord *record)
{
    const TbList *list = &bay->lists[record->element->list];
    size_t i = 0;

    while (i < list->count && list->records[i] != record)
        i++;
    TB_ASSERT(i < list->count);
    return i;
}

/* ---- life ---- */

TbBay *
tb_bay_new(const char *title)
{
    TbBay *bay = tb_build_new();
    TbRecord *head = tb_record_new(&tb_element_bay);
    TbRecord *body = tb_record_new(&tb_element_mount);

    if (bay == NULL || head == NULL || body == NULL)
        goto fail;
    tb_build_head(bay, head);
    ((TbHead *)head)->version = TB_BAY_VERSION;
    ((TbHead *)head)->title = tb_copy_text(title);
    head->id = tb_copy_text("bay");
    head = NULL;
    body->id = tb_copy_text("body");
    if (bay->head->title == NULL || bay->head->record.id == NULL || body->id == NULL)
        goto fail;
    if (!tb_build_insert(bay, body, 0)) {
        body = NULL;
        goto fail;
    }
    body = NULL;
    if (tb_build_index(bay, NULL) != TB_OK)
        goto fail;
    return bay;

fail:
    tb_record_unref(body);
    tb_record_unref(head);
    tb_bay_unref(bay);
    return NULL;
}

TbBay *
tb_bay_ref(TbBay *bay)
{
    __atomic_fetch_add(&bay->references, 1, __ATOMIC_RELAXED);
    return bay;
}

static void
clear_list(TbList *list)
{
    for (size_t i = 0; i < list->count; i++)
        tb_record_unref(list->records[i]);
    tb_free(list->records);
    tb_free(list->comment);
    tb_free(list->tail);
}

void
tb_bay_unref(TbBay *bay)
{
    if (bay == NULL || __atomic_fetch_sub(&bay->references, 1, __ATOMIC_ACQ_REL) != 1)
        return;
    if (bay->head != NULL)
        tb_record_unref(&bay->head->record);
    for (size_t l = 0; l < TB_LIST_COUNT; l++)
        clear_list(&bay->lists[l]);
    for (size_t i = 0; i < bay->warning_count; i++)
        tb_free(bay->warnings[i].text);
    tb_free(bay->warnings);
    tb_free(bay->index);
    tb_free(bay);
}

bool
tb_bay_equal(const TbBay *a, const TbBay *b)
{
    if (a == b)
        return true;
    if (!tb_record_equal(&a->head->record, &b->head->record))
        return false;
    for (size_t l = 0; l < TB_LIST_COUNT; l++) {
        if (a->lists[l].count != b->lists[l].count)
            return false;
        for (size_t i = 0; i < a->lists[l].count; i++)
            if (!tb_record_equal(a->lists[l].records[i], b->lists[l].records[i]))
                return false;
    }
    return true;
}

/* ---- typed looks into the lists ---- */

TbListKind
tb_record_list(const TbRecord *record)
{
    return record->element->list;
}

static const TbRecord *
record_at(const TbBay *bay, TbListKind list, size_t index)
{
    TB_ASSERT(index < bay->lists[list].count);
    return bay->lists[list].records[index];
}

static const TbRecord *
record_of(const TbBay *bay, TbListKind list, const char *id)
{
    const TbRecord *record = tb_bay_find(bay, id);

    return record != NULL && record->element->list == list ? record : NULL;
}

#define LOOK_AT(T, function, list)                                                                 \
    const T *function(const TbBay *bay, size_t index)                                              \
    {                                                                                              \
        return (const T *)record_at(bay, list, index);                                             \
    }

#define LOOK_UP(T, function, list)                                                                 \
    const T *function(const TbBay *bay, const char *id)                                            \
    {                                                                                              \
        return (const T *)record_of(bay, list, id);                                                \
    }

LOOK_AT(TbItem, tb_bay_item_at, TB_LIST_ITEMS)
LOOK_AT(TbPort, tb_bay_port_at, TB_LIST_PORTS)
LOOK_AT(TbMount, tb_bay_mount_at, TB_LIST_MOUNTS)
LOOK_AT(TbMaterial, tb_bay_material_at, TB_LIST_MATERIALS)
LOOK_AT(TbJoint, tb_bay_joint_at, TB_LIST_JOINTS)
LOOK_AT(TbKeep, tb_bay_keep_at, TB_LIST_KEEPS)
LOOK_AT(TbState, tb_bay_state_at, TB_LIST_STATES)
LOOK_AT(TbVariant, tb_bay_variant_at, TB_LIST_VARIANTS)
LOOK_AT(TbGasPoint, tb_bay_gas_at, TB_LIST_GAS)
LOOK_AT(TbView, tb_bay_view_at, TB_LIST_VIEWS)
LOOK_AT(TbDecision, tb_bay_decision_at, TB_LIST_DECISIONS)
LOOK_AT(TbFastener, tb_bay_fastener_at, TB_LIST_FASTENERS)
LOOK_AT(TbStep, tb_bay_step_at, TB_LIST_STEPS)
LOOK_AT(TbAttitude, tb_bay_attitude_at, TB_LIST_ATTITUDES)
LOOK_AT(TbRevision, tb_bay_revision_at, TB_LIST_REVISIONS)

LOOK_UP(TbItem, tb_bay_item, TB_LIST_ITEMS)
LOOK_UP(TbPort, tb_bay_port, TB_LIST_PORTS)
LOOK_UP(TbMount, tb_bay_mount, TB_LIST_MOUNTS)
LOOK_UP(TbMaterial, tb_bay_material, TB_LIST_MATERIALS)
LOOK_UP(TbJoint, tb_bay_joint, TB_LIST_JOINTS)
LOOK_UP(TbKeep, tb_bay_keep, TB_LIST_KEEPS)
LOOK_UP(TbState, tb_bay_state, TB_LIST_STATES)
LOOK_UP(TbVariant, tb_bay_variant, TB_LIST_VARIANTS)
LOOK_UP(TbGasPoint, tb_bay_gas, TB_LIST_GAS)
LOOK_UP(TbView, tb_bay_view, TB_LIST_VIEWS)

/* ---- items ---- */

#define ITEM_AS(T, function, wanted)                                                               \
    const T *function(const TbItem *item)                                                          \
    {                                                                                              \
        TB_ASSERT(item->kind == (wanted));                                                         \
        return (const T *)item;                                                                    \
    }

ITEM_AS(TbDuct, tb_item_duct, TB_ITEM_DUCT)
ITEM_AS(TbLine, tb_item_line, TB_ITEM_LINE)
ITEM_AS(TbTurbo, tb_item_turbo, TB_ITEM_TURBO)
ITEM_AS(TbBlockItem, tb_item_block, TB_ITEM_BLOCK)
ITEM_AS(TbRodItem, tb_item_rod, TB_ITEM_ROD)
ITEM_AS(TbBallItem, tb_item_ball, TB_ITEM_BALL)
ITEM_AS(TbOutlineItem, tb_item_outline, TB_ITEM_OUTLINE)
ITEM_AS(TbScanItem, tb_item_scan, TB_ITEM_SCAN)

bool
tb_item_has_path(const TbItem *item)
{
    return item->kind == TB_ITEM_DUCT || item->kind == TB_ITEM_LINE;
}

const TbPath *
tb_item_path(const TbItem *item)
{
    return item->kind == TB_ITEM_DUCT ? tb_item_duct(item)->path : tb_item_line(item)->path;
}

const TbEnd *
tb_item_start(const TbItem *item)
{
    return item->kind == TB_ITEM_DUCT ? tb_item_duct(item)->start : tb_item_line(item)->start;
}

const TbEnd *
tb_item_end(const TbItem *item)
{
    return item->kind == TB_ITEM_DUCT ? tb_item_duct(item)->end : tb_item_line(item)->end;
}

const TbHousing *
tb_turbo_housing(const TbTurbo *turbo, int of)
{
    for (size_t i = 0; i < turbo->housing_count; i++)
        if (turbo->housings[i].of == of)
            return &turbo->housings[i];
    return NULL;
}

const char *
tb_item_kind_name(TbItemKind kind)
{
    static const char *const names[] = {
        [TB_ITEM_DUCT] = "duct",   [TB_ITEM_LINE] = "line",       [TB_ITEM_TURBO] = "turbo",
        [TB_ITEM_BLOCK] = "block", [TB_ITEM_ROD] = "rod",         [TB_ITEM_BALL] = "ball",
        [TB_ITEM_SCAN] = "scan",   [TB_ITEM_OUTLINE] = "outline",
    };

    return names[kind];
}

TbLengthUnit
tb_bay_unit(const TbBay *bay)
{
    return bay->head->unit == TB_DISPLAY_INCH ? TB_UNIT_INCH : TB_UNIT_MM;
}
