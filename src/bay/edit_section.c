/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/edit.h"
#include "bay/edit_private.h"
#include "bay/handles.h"

#include <string.h>

/* Sides of `half` in the file's order: right, left, up, down. */
enum { RIGHT, LEFT, UP, DOWN };

static double
width_of(const TbRow *row)
{
    return row->half.count > 0 ? row->half.v[RIGHT] + row->half.v[LEFT] : row->width;
}

static double
height_of(const TbRow *row)
{
    return row->half.count > 0 ? row->half.v[UP] + row->half.v[DOWN] : row->height;
}

/** The largest one radius that all four corners may have. */
static double
corner_most(const TbRow *row)
{
    return fmin(width_of(row), height_of(row)) / 2;
}

/** One radius for all corners: may it be as large as the section lets it? */
static bool
is_full(const TbRow *row)
{
    /* 1e-6 mm: what a file written to three decimals of an odd half is off, and more */
    return row->corner.count == 1 && fabs(row->corner.v[0] - corner_most(row)) < 1e-6;
}

/** Two corners of a side fit into it: all four shrink in step where they do not. */
static void
fit_corners(TbRow *row, bool full)
{
    double most = 1;

    if (row->corner.count == 1) {
        row->corner.v[0] = full ? corner_most(row) : fmin(row->corner.v[0], corner_most(row));
        return;
    }
    for (size_t i = 0; i < row->corner.count; i++) {
        double both = row->corner.v[i] + row->corner.v[(i + 1) % row->corner.count];
        double side = i % 2 == 0 ? width_of(row) : height_of(row);

        if (both > side)
            most = fmin(most, side / both);
    }
    for (size_t i = 0; i < row->corner.count; i++)
        row->corner.v[i] *= most;
}

/** Both halves of a size in step. */
static void
set_halves(TbRow *row, int one, int other, double size)
{
    double share = row->half.v[one] / (row->half.v[one] + row->half.v[other]);

    row->half.v[one] = share * size;
    row->half.v[other] = size - row->half.v[one];
}

static void
set_width(TbRow *row, double size)
{
    if (row->half.count > 0)
        set_halves(row, RIGHT, LEFT, size);
    else
        row->width = size;
}

static void
set_height(TbRow *row, double size)
{
    if (row->half.count > 0)
        set_halves(row, UP, DOWN, size);
    else
        row->height = size;
}

static void
set_side(TbRow *row, int side, double reach)
{
    if (row->half.count > 0)
        row->half.v[side] = reach;
    else if (side == RIGHT || side == LEFT)
        row->width = 2 * reach;
    else
        row->height = 2 * reach;
}

static TbStatus
set_corner(TbRow *row, const char *duct, size_t index, double value, TbFault *fault)
{
    if (row->kind != TB_ROW_ROUNDED)
        return tb_fail(fault, TB_E_REFERENCE,
                       "section %zu of \"%s\" is a superellipse and has no corners", index + 1,
                       duct);
    if (row->corner.count > 1) {
        double largest = 0;

        for (size_t i = 0; i < row->corner.count; i++)
            largest = fmax(largest, row->corner.v[i]);
        for (size_t i = 0; i < row->corner.count; i++)
            row->corner.v[i] *= value / largest;
    } else {
        row->corner.v[0] = value;
    }
    return TB_OK;
}

static TbStatus
set_exponent(TbRow *row, const char *duct, size_t index, double value, TbFault *fault)
{
    if (row->kind != TB_ROW_SUPERELLIPSE)
        return tb_fail(fault, TB_E_REFERENCE,
                       "section %zu of \"%s\" is rounded and has no exponent", index + 1, duct);
    row->exponent = value;
    return TB_OK;
}

/** A number of a drag: few digits, and sizes that do not vanish. */
static double
tidy(TbSectionPart part, double value)
{
    double steps = part == TB_SECTION_PART_TURN ? 1 / TB_DRAG_STEP_ANGLE : 1 / TB_DRAG_STEP;

    value = round(value * steps) / steps + 0.0;
    return part == TB_SECTION_PART_TURN || part == TB_SECTION_PART_STATION
               ? value
               : fmax(value, TB_DRAG_LEAST);
}

static TbStatus
change_row(TbDuct *duct, size_t index, TbSectionPart part, double value, TbFault *fault)
{
    TbRow *row = &duct->rows[index];
    const char *id = duct->item.record.id;
    bool full = is_full(row);
    TbStatus status = TB_OK;

    switch (part) {
    case TB_SECTION_PART_WIDTH:
        set_width(row, value);
        break;
    case TB_SECTION_PART_HEIGHT:
        set_height(row, value);
        break;
    case TB_SECTION_PART_RIGHT:
    case TB_SECTION_PART_LEFT:
    case TB_SECTION_PART_UP:
    case TB_SECTION_PART_DOWN:
        set_side(row, (int)(part - TB_SECTION_PART_RIGHT) + RIGHT, value);
        break;
    case TB_SECTION_PART_TURN:
        row->turn = value;
        break;
    case TB_SECTION_PART_CORNER:
        status = set_corner(row, id, index, value, fault);
        full = false;
        break;
    case TB_SECTION_PART_EXPONENT:
        status = set_exponent(row, id, index, value, fault);
        break;
    case TB_SECTION_PART_STATION:
        tb_edit__place_row(duct, index, value);
        break;
    }
    fit_corners(row, full);
    return status;
}

TbStatus
tb_edit_drag_section(const TbBay *bay,
                     const char *variant,
                     const char *id,
                     size_t row,
                     TbSectionPart part,
                     double value,
                     TbBay **out,
                     TbFault *fault)
{
    const TbItem *item = tb_bay_item_in(bay, variant, id);
    const TbItem *record = item != NULL ? tb_bay_item(bay, item->record.id) : NULL;
    Edit edit = {.bay = NULL};
    TbStatus status;

    if (record == NULL)
        return tb_edit__not_there("duct", id, fault);
    if (record->kind != TB_ITEM_DUCT || row >= tb_item_duct(record)->row_count)
        return tb_fail(fault, TB_E_RANGE, "\"%s\" has no section %zu", id, row + 1);
    status = tb_edit__begin(&edit, bay, &record->record, fault);
    if (status == TB_OK) {
        if (record != item)
            tb_element_mirror(edit.record->element, edit.record);
        status = change_row((TbDuct *)edit.record, row, part, tidy(part, value), fault);
        if (record != item)
            tb_element_mirror(edit.record->element, edit.record);
    }
    return tb_edit__finish(&edit, status, out, fault);
}
