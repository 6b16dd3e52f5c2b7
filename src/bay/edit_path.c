/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Edits of a path: its knots, and the rows of its sections. */

#include "base/mem.h"
#include "bay/edit_private.h"

#include <string.h>

/* ---- knots ---- */

static TbStatus
find_path_item(const TbBay *bay, const char *id, const TbItem **item, TbFault *fault)
{
    *item = tb_bay_item(bay, id);
    if (*item == NULL)
        return tb_edit__not_there("item", id, fault);
    if (!tb_item_has_path(*item))
        return tb_fail(fault, TB_E_REFERENCE, "\"%s\" is a %s and has no knots", id,
                       tb_item_kind_name((*item)->kind));
    return TB_OK;
}

static TbStatus
begin_path(Edit *edit,
           const TbBay *bay,
           const char *id,
           size_t index,
           size_t beyond,
           TbPath **path,
           TbFault *fault)
{
    const TbItem *item;
    TbStatus status = find_path_item(bay, id, &item, fault);

    edit->bay = NULL;
    if (status == TB_OK && index >= tb_item_path(item)->knot_count + beyond)
        status = tb_fail(fault, TB_E_RANGE, "\"%s\" has %zu knots of its own, none at %zu", id,
                         tb_item_path(item)->knot_count, index);
    if (status == TB_OK)
        status = tb_edit__begin(edit, bay, &item->record, fault);
    if (status == TB_OK)
        *path = (TbPath *)(uintptr_t)tb_item_path((const TbItem *)edit->record);
    return status;
}

TbStatus
tb_edit_move_knot(
    const TbBay *bay, const char *item, size_t index, TbVec3 to, TbBay **out, TbFault *fault)
{
    Edit edit;
    TbPath *path;
    TbStatus status = begin_path(&edit, bay, item, index, 0, &path, fault);

    if (status == TB_OK)
        path->knots[index].at = to;
    return tb_edit__finish(&edit, status, out, fault);
}

TbStatus
tb_edit_set_knot_radius(
    const TbBay *bay, const char *item, size_t index, double radius, TbBay **out, TbFault *fault)
{
    Edit edit;
    TbPath *path;
    TbStatus status = begin_path(&edit, bay, item, index, 0, &path, fault);

    if (status == TB_OK)
        path->knots[index].radius = radius;
    return tb_edit__finish(&edit, status, out, fault);
}

TbStatus
tb_edit_add_knot(const TbBay *bay,
                 const char *item,
                 size_t index,
                 TbVec3 at,
                 double radius,
                 TbBay **out,
                 TbFault *fault)
{
    Edit edit;
    TbPath *path;
    TbKnot *grown = NULL;
    TbStatus status = begin_path(&edit, bay, item, index, 1, &path, fault);

    if (status == TB_OK) {
        grown = tb_resize_array(path->knots, path->knot_count + 1, sizeof *grown);
        if (grown == NULL)
            status = tb_edit__no_room(fault);
    }
    if (status == TB_OK) {
        memmove(grown + index + 1, grown + index, (path->knot_count - index) * sizeof *grown);
        grown[index] = (TbKnot){{0, NULL, NULL}, at, radius};
        path->knots = grown;
        path->knot_count++;
    }
    return tb_edit__finish(&edit, status, out, fault);
}

static void
free_comments(TbChild *part)
{
    tb_free(part->comment);
    tb_free(part->tail);
}

TbStatus
tb_edit_remove_knot(const TbBay *bay, const char *item, size_t index, TbBay **out, TbFault *fault)
{
    Edit edit;
    TbPath *path;
    TbStatus status = begin_path(&edit, bay, item, index, 0, &path, fault);

    if (status == TB_OK) {
        TbKnot *knot = path->knots + index;

        free_comments(&knot->part);
        memmove(knot, knot + 1, (path->knot_count - index - 1) * sizeof *knot);
        path->knot_count--;
    }
    return tb_edit__finish(&edit, status, out, fault);
}

/* ---- sections ---- */

static TbStatus
begin_duct(Edit *edit,
           const TbBay *bay,
           const char *id,
           size_t index,
           size_t beyond,
           TbDuct **duct,
           TbFault *fault)
{
    const TbItem *item;
    TbStatus status = tb_edit__find_item(bay, id, TB_ITEM_DUCT, &item, fault);

    edit->bay = NULL;
    if (status == TB_OK && index >= tb_item_duct(item)->row_count + beyond)
        status = tb_fail(fault, TB_E_RANGE, "\"%s\" has %zu sections, none at %zu", id,
                         tb_item_duct(item)->row_count, index);
    if (status == TB_OK)
        status = tb_edit__begin(edit, bay, &item->record, fault);
    if (status == TB_OK)
        *duct = (TbDuct *)edit->record;
    return status;
}

TbStatus
tb_edit_set_section(
    const TbBay *bay, const char *id, size_t index, const TbRow *row, TbBay **out, TbFault *fault)
{
    Edit edit;
    TbDuct *duct;
    TbStatus status = begin_duct(&edit, bay, id, index, 0, &duct, fault);

    if (status == TB_OK) {
        TbChild part = duct->rows[index].part;

        duct->rows[index] = *row;
        duct->rows[index].part = part;
    }
    return tb_edit__finish(&edit, status, out, fault);
}

TbStatus
tb_edit_add_section(
    const TbBay *bay, const char *id, size_t index, const TbRow *row, TbBay **out, TbFault *fault)
{
    Edit edit;
    TbDuct *duct;
    TbRow *grown = NULL;
    TbStatus status = begin_duct(&edit, bay, id, index, 1, &duct, fault);

    if (status == TB_OK) {
        grown = tb_resize_array(duct->rows, duct->row_count + 1, sizeof *grown);
        if (grown == NULL)
            status = tb_edit__no_room(fault);
    }
    if (status == TB_OK) {
        memmove(grown + index + 1, grown + index, (duct->row_count - index) * sizeof *grown);
        grown[index] = *row;
        grown[index].part = (TbChild){0, NULL, NULL};
        duct->rows = grown;
        duct->row_count++;
    }
    return tb_edit__finish(&edit, status, out, fault);
}

TbStatus
tb_edit_remove_section(const TbBay *bay, const char *id, size_t index, TbBay **out, TbFault *fault)
{
    Edit edit;
    TbDuct *duct;
    TbStatus status = begin_duct(&edit, bay, id, index, 0, &duct, fault);

    if (status == TB_OK) {
        TbRow *row = duct->rows + index;

        free_comments(&row->part);
        memmove(row, row + 1, (duct->row_count - index - 1) * sizeof *row);
        duct->row_count--;
    }
    return tb_edit__finish(&edit, status, out, fault);
}

TbRow
tb_row_round(double at, double bore)
{
    return (TbRow){
        .at = at,
        .kind = TB_ROW_SUPERELLIPSE,
        .width = bore,
        .height = bore,
        .exponent = 2,
        .wall = NAN,
    };
}
