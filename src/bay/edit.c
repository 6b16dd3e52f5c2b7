/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/edit.h"

#include "base/mem.h"
#include "bay/edit_private.h"

#include <string.h>

/* ---- an edit is: copy the list of records, copy the touched one, change it, check, hand over ----
 */

TbStatus
tb_edit__no_room(TbFault *fault)
{
    return tb_fail(fault, TB_E_MEMORY, "no room for the change");
}

/** Touch a further record of the new document. */
static TbStatus
touch(Edit *edit, const TbRecord *record, TbFault *fault)
{
    TbRecord *copy = tb_record_copy(record);

    if (copy == NULL)
        return tb_edit__no_room(fault);
    if (record->element == &tb_element_bay)
        tb_build_head(edit->bay, copy);
    else
        tb_build_replace(edit->bay, record->element->list, tb_build_place(edit->bay, record), copy);
    edit->record = copy;
    return TB_OK;
}

TbStatus
tb_edit__begin(Edit *edit, const TbBay *bay, const TbRecord *record, TbFault *fault)
{
    edit->record = NULL;
    edit->from = bay;
    edit->bay = tb_build_from(bay);
    if (edit->bay == NULL)
        return tb_edit__no_room(fault);
    return record != NULL ? touch(edit, record, fault) : TB_OK;
}

TbStatus
tb_edit__finish(Edit *edit, TbStatus status, TbBay **out, TbFault *fault)
{
    if (status == TB_OK)
        status = tb_build_index(edit->bay, fault);
    if (status == TB_OK)
        status = tb_check_change(edit->bay, edit->from, fault);
    if (status == TB_OK)
        *out = edit->bay;
    else
        tb_bay_unref(edit->bay);
    edit->bay = NULL;
    return status;
}

TbStatus
tb_edit__not_there(const char *sort, const char *id, TbFault *fault)
{
    return tb_fail(fault, TB_E_REFERENCE, "%s \"%s\" is not in the bay", sort, id);
}

TbStatus
tb_edit__find_item(
    const TbBay *bay, const char *id, TbItemKind kind, const TbItem **item, TbFault *fault)
{
    *item = tb_bay_item(bay, id);
    if (*item == NULL)
        return tb_edit__not_there("item", id, fault);
    if ((*item)->kind != kind)
        return tb_fail(fault, TB_E_REFERENCE, "\"%s\" is a %s, not a %s", id,
                       tb_item_kind_name((*item)->kind), tb_item_kind_name(kind));
    return TB_OK;
}

/* ---- moving items ---- */

void
tb_edit__shift_item(TbItem *item, TbVec3 by)
{
    TbPath *path;

    switch (item->kind) {
    case TB_ITEM_DUCT:
    case TB_ITEM_LINE:
        path = (TbPath *)(uintptr_t)tb_item_path(item);
        for (size_t i = 0; i < path->knot_count; i++)
            path->knots[i].at = tb_vec3_add(path->knots[i].at, by);
        break;
    case TB_ITEM_TURBO:
        ((TbTurbo *)item)->at = tb_vec3_add(((TbTurbo *)item)->at, by);
        break;
    case TB_ITEM_BLOCK:
        ((TbBlockItem *)item)->low = tb_vec3_add(((TbBlockItem *)item)->low, by);
        ((TbBlockItem *)item)->high = tb_vec3_add(((TbBlockItem *)item)->high, by);
        break;
    case TB_ITEM_ROD:
        ((TbRodItem *)item)->a = tb_vec3_add(((TbRodItem *)item)->a, by);
        ((TbRodItem *)item)->b = tb_vec3_add(((TbRodItem *)item)->b, by);
        break;
    case TB_ITEM_BALL:
        ((TbBallItem *)item)->at = tb_vec3_add(((TbBallItem *)item)->at, by);
        break;
    case TB_ITEM_OUTLINE:
        ((TbOutlineItem *)item)->origin = tb_vec3_add(((TbOutlineItem *)item)->origin, by);
        break;
    case TB_ITEM_SCAN:
        ((TbScanItem *)item)->at = tb_vec3_add(((TbScanItem *)item)->at, by);
        break;
    }
    if (tb_vec3_is_given(item->centre))
        item->centre = tb_vec3_add(item->centre, by);
}

TbStatus
tb_edit_move_item(const TbBay *bay, const char *id, TbVec3 by, TbBay **out, TbFault *fault)
{
    const TbItem *item = tb_bay_item(bay, id);
    Edit edit = {.bay = NULL};
    TbStatus status;

    if (item == NULL)
        return tb_edit__not_there("item", id, fault);
    status = tb_edit__begin(&edit, bay, &item->record, fault);
    if (status == TB_OK)
        tb_edit__shift_item((TbItem *)edit.record, by);
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_PORTS) && status == TB_OK; i++) {
        const TbPort *port = tb_bay_port_at(bay, i);

        if (item->kind == TB_ITEM_TURBO || port->owner == NULL || strcmp(port->owner, id) != 0)
            continue;
        status = touch(&edit, &port->record, fault);
        if (status == TB_OK)
            ((TbPort *)edit.record)->at = tb_vec3_add(port->at, by);
    }
    return tb_edit__finish(&edit, status, out, fault);
}

TbStatus
tb_edit_place_turbo(
    const TbBay *bay, const char *id, TbVec3 at, TbVec3 shaft, TbBay **out, TbFault *fault)
{
    const TbItem *item;
    Edit edit = {.bay = NULL};
    TbStatus status = tb_edit__find_item(bay, id, TB_ITEM_TURBO, &item, fault);

    if (status == TB_OK)
        status = tb_edit__begin(&edit, bay, &item->record, fault);
    if (status == TB_OK) {
        ((TbTurbo *)edit.record)->at = at;
        ((TbTurbo *)edit.record)->shaft = shaft;
    }
    return tb_edit__finish(&edit, status, out, fault);
}

TbHousing *
tb_edit__need_housing(TbTurbo *turbo, int of)
{
    TbHousing *grown;

    for (size_t i = 0; i < turbo->housing_count; i++)
        if (turbo->housings[i].of == of)
            return &turbo->housings[i];
    grown = tb_resize_array(turbo->housings, turbo->housing_count + 1, sizeof *grown);
    if (grown == NULL)
        return NULL;
    turbo->housings = grown;
    grown[turbo->housing_count] = (TbHousing){{0, NULL, NULL}, of, 0, {NAN, NAN}, NAN, NAN, NAN};
    return &grown[turbo->housing_count++];
}

TbStatus
tb_edit_turn_housing(
    const TbBay *bay, const char *id, int housing, double turn, TbBay **out, TbFault *fault)
{
    const TbItem *item;
    Edit edit = {.bay = NULL};
    TbStatus status = tb_edit__find_item(bay, id, TB_ITEM_TURBO, &item, fault);

    TB_ASSERT(housing >= 0 && housing < TB_HOUSING_COUNT);
    if (status == TB_OK)
        status = tb_edit__begin(&edit, bay, &item->record, fault);
    if (status == TB_OK) {
        TbHousing *turned = tb_edit__need_housing((TbTurbo *)edit.record, housing);

        if (turned == NULL)
            status = tb_edit__no_room(fault);
        else
            turned->turn = turn;
    }
    return tb_edit__finish(&edit, status, out, fault);
}

TbStatus
tb_edit_place_port(
    const TbBay *bay, const char *id, TbVec3 at, TbVec3 flow, TbBay **out, TbFault *fault)
{
    const TbPort *port = tb_bay_port(bay, id);
    Edit edit = {.bay = NULL};
    TbStatus status;

    if (port == NULL)
        return tb_edit__not_there("port", id, fault);
    status = tb_edit__begin(&edit, bay, &port->record, fault);
    if (status == TB_OK) {
        ((TbPort *)edit.record)->at = at;
        ((TbPort *)edit.record)->flow = flow;
    }
    return tb_edit__finish(&edit, status, out, fault);
}

/* ---- keeps and variants ---- */

static TbStatus
set_gap(TbKeep *keep, const char *state, double gap, TbFault *fault)
{
    TbKeepGap *grown;
    char *copy;

    for (size_t i = 0; i < keep->gap_count; i++)
        if (strcmp(keep->gaps[i].state, state) == 0) {
            keep->gaps[i].gap = gap;
            return TB_OK;
        }
    copy = tb_copy_text(state);
    grown = copy != NULL ? tb_resize_array(keep->gaps, keep->gap_count + 1, sizeof *grown) : NULL;
    if (grown == NULL) {
        tb_free(copy);
        return tb_edit__no_room(fault);
    }
    keep->gaps = grown;
    grown[keep->gap_count++] = (TbKeepGap){{0, NULL, NULL}, copy, gap};
    return TB_OK;
}

TbStatus
tb_edit_set_keep(
    const TbBay *bay, const char *id, const char *state, double gap, TbBay **out, TbFault *fault)
{
    const TbKeep *keep = tb_bay_keep(bay, id);
    Edit edit = {.bay = NULL};
    TbStatus status;

    if (keep == NULL)
        return tb_edit__not_there("keep", id, fault);
    status = tb_edit__begin(&edit, bay, &keep->record, fault);
    if (status == TB_OK)
        status = set_gap((TbKeep *)edit.record, state, gap, fault);
    return tb_edit__finish(&edit, status, out, fault);
}

static TbStatus
set_shift(TbVariant *variant, const char *mount, TbVec3 by, TbFault *fault)
{
    TbShift *grown;
    char *copy;

    for (size_t i = 0; i < variant->shift_count; i++)
        if (strcmp(variant->shifts[i].mount, mount) == 0) {
            variant->shifts[i].by = by;
            return TB_OK;
        }
    copy = tb_copy_text(mount);
    grown = copy != NULL ? tb_resize_array(variant->shifts, variant->shift_count + 1, sizeof *grown)
                         : NULL;
    if (grown == NULL) {
        tb_free(copy);
        return tb_edit__no_room(fault);
    }
    variant->shifts = grown;
    grown[variant->shift_count++] = (TbShift){{0, NULL, NULL}, copy, by};
    return TB_OK;
}

TbStatus
tb_edit_set_mount_shift(
    const TbBay *bay, const char *id, const char *mount, TbVec3 by, TbBay **out, TbFault *fault)
{
    const TbVariant *variant = tb_bay_variant(bay, id);
    Edit edit = {.bay = NULL};
    TbStatus status;

    if (variant == NULL)
        return tb_edit__not_there("variant", id, fault);
    status = tb_edit__begin(&edit, bay, &variant->record, fault);
    if (status == TB_OK)
        status = set_shift((TbVariant *)edit.record, mount, by, fault);
    return tb_edit__finish(&edit, status, out, fault);
}
