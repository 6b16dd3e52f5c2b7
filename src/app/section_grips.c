/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/section_grips.h"

#include <glib/gi18n.h>
#include <math.h>

/** mm outside the wall where the handle of a turn stands. */
#define TURN_OUT 9.0

static const TbDuct *
duct_of(TbSession *session, const char *duct)
{
    const TbItem *item = tb_bay_item_in(tb_session_bay(session), tb_session_variant(session), duct);

    return item != NULL && item->kind == TB_ITEM_DUCT ? tb_item_duct(item) : NULL;
}

/* Calls for each given section; @p best of the last answer is kept. */
typedef struct Search {
    double station; /**< looked about */
    int step;       /**< 0: the nearest */
    double found;   /**< NAN: none yet */
    size_t row;
} Search;

static void
look_at(Search *search, size_t row, double station)
{
    double way = station - search->station;
    double best = search->found - search->station;

    if (search->step != 0 && way * search->step <= TB_SECTION_NEAR)
        return;
    if (isnan(search->found) || fabs(way) < fabs(best)) {
        search->found = station;
        search->row = row;
    }
}

static void
search(TbSession *session, const char *duct, Search *search)
{
    size_t count;
    const TbHandle *handles = tb_session_handles(session, duct, &count);

    for (size_t i = 0; i < count; i++)
        if (handles[i].kind == TB_HANDLE_SECTION)
            look_at(search, handles[i].index, handles[i].size);
}

double
tb_section_station(TbSession *session, const char *duct, size_t row)
{
    size_t count;
    const TbHandle *handles = tb_session_handles(session, duct, &count);
    double station = NAN;

    for (size_t i = 0; i < count; i++)
        if (handles[i].kind == TB_HANDLE_SECTION && handles[i].index == row)
            station = handles[i].size;
    return station;
}

bool
tb_section_at(TbSession *session, const char *duct, double station, size_t *row)
{
    Search nearest = {.station = station, .found = NAN};

    search(session, duct, &nearest);
    *row = nearest.row;
    return fabs(nearest.found - station) <= TB_SECTION_NEAR;
}

double
tb_section_next(TbSession *session, const char *duct, double station, int step)
{
    Search next = {.station = station, .step = step, .found = NAN};

    search(session, duct, &next);
    return next.found;
}

/* ---- handles ---- */

/** How a row lies in the cut: its axes, centre and half sizes to right, left, up and down. */
typedef struct Lie {
    TbVec2 w, h, centre;
    double half[4];
    double wall;
    double grown; /**< the drawing to the document */
} Lie;

static Lie
lie_of(const TbDuct *duct, const TbRow *row, double grown)
{
    double turn = row->turn * M_PI / 180;
    Lie lie = {.w = {cos(turn), -sin(turn)}, .h = {sin(turn), cos(turn)}};

    for (int i = 0; i < 4; i++)
        lie.half[i] = grown * (row->half.count == 4 ? row->half.v[i]
                               : i < 2              ? row->width / 2
                                                    : row->height / 2);
    lie.centre = tb_vec2_add(tb_vec2_scale(lie.w, grown * row->offset.x),
                             tb_vec2_scale(lie.h, grown * row->offset.y));
    lie.wall = grown * (tb_is_given(row->wall) ? row->wall : duct->wall);
    lie.grown = grown;
    return lie;
}

static size_t
add_sides(const TbRow *row, size_t index, const Lie *lie, TbPartGrip grips[])
{
    bool own = row->half.count == 4;
    TbVec2 out[4] = {lie->w, tb_vec2_scale(lie->w, -1), lie->h, tb_vec2_scale(lie->h, -1)};

    for (int i = 0; i < 4; i++) {
        TbSectionPart part = own     ? (TbSectionPart)(TB_SECTION_PART_RIGHT + i)
                             : i < 2 ? TB_SECTION_PART_WIDTH
                                     : TB_SECTION_PART_HEIGHT;

        grips[i] = (TbPartGrip){.part = part,
                                .row = index,
                                .at = tb_vec2_add(lie->centre, tb_vec2_scale(out[i], lie->half[i])),
                                .along = out[i],
                                .value = own     ? row->half.v[i]
                                         : i < 2 ? row->width
                                                 : row->height,
                                /* a width grows on both sides */
                                .per_mm = (own ? 1 : 2) / lie->grown};
    }
    return 4;
}

/* The middle of the upper right corner's arc moves inwards as the radius grows. */
static TbPartGrip
corner_grip(const TbRow *row, size_t index, const Lie *lie)
{
    double radius = row->corner.v[row->corner.count == 4 ? TB_CORNER_RU : 0];
    double back = lie->grown * radius * (1 - M_SQRT1_2);
    TbVec2 in = tb_vec2_scale(tb_vec2_add(lie->w, lie->h), -M_SQRT1_2);
    TbVec2 corner = tb_vec2_add(lie->centre, tb_vec2_add(tb_vec2_scale(lie->w, lie->half[0]),
                                                         tb_vec2_scale(lie->h, lie->half[2])));

    return (TbPartGrip){.part = TB_SECTION_PART_CORNER,
                        .row = index,
                        .at = tb_vec2_add(corner, tb_vec2_scale(in, back * M_SQRT2)),
                        .along = in,
                        .value = radius,
                        .per_mm = 1 / (M_SQRT2 - 1) / lie->grown};
}

size_t
tb_section_grips(TbSession *session,
                 const char *duct_id,
                 size_t index,
                 TbPartGrip grips[TB_SECTION_GRIPS])
{
    const TbDuct *duct = duct_of(session, duct_id);
    const TbRow *row;
    size_t count;
    Lie lie;

    if (duct == NULL || index >= duct->row_count)
        return 0;
    row = &duct->rows[index];
    lie = lie_of(duct, row, tb_session_pose(session, duct_id).scale);
    count = add_sides(row, index, &lie, grips);
    grips[count++] = (TbPartGrip){
        .part = TB_SECTION_PART_TURN,
        .row = index,
        .at = tb_vec2_add(lie.centre, tb_vec2_scale(lie.h, lie.half[2] + lie.wall + TURN_OUT)),
        .along = lie.w,
        .value = row->turn};
    if (row->kind == TB_ROW_ROUNDED && row->corner.count > 0)
        grips[count++] = corner_grip(row, index, &lie);
    return count;
}

static TbQuantity
quantity_of(TbSectionPart part)
{
    if (part == TB_SECTION_PART_EXPONENT)
        return TB_QUANTITY_NUMBER;
    return part == TB_SECTION_PART_TURN ? TB_QUANTITY_ANGLE : TB_QUANTITY_LENGTH;
}

char *
tb_section_grip_name(const TbPartGrip *grip, TbLengthUnit unit)
{
    char number[TB_QUANTITY_TEXT];

    tb_quantity_say_fixed(grip->value, quantity_of(grip->part), unit, 1, number);
    switch (grip->part) {
    case TB_SECTION_PART_WIDTH:
        return g_strdup_printf(_("Width %s"), number);
    case TB_SECTION_PART_HEIGHT:
        return g_strdup_printf(_("Height %s"), number);
    case TB_SECTION_PART_RIGHT:
        return g_strdup_printf(_("Right side %s"), number);
    case TB_SECTION_PART_LEFT:
        return g_strdup_printf(_("Left side %s"), number);
    case TB_SECTION_PART_UP:
        return g_strdup_printf(_("Upper side %s"), number);
    case TB_SECTION_PART_DOWN:
        return g_strdup_printf(_("Lower side %s"), number);
    case TB_SECTION_PART_TURN:
        return g_strdup_printf(_("Turn %s"), number);
    case TB_SECTION_PART_CORNER:
        return g_strdup_printf(_("Corner radius %s"), number);
    case TB_SECTION_PART_EXPONENT:
        return g_strdup_printf(_("Exponent %s"), number);
    case TB_SECTION_PART_STATION:
        return g_strdup_printf(_("Station %s"), number);
    }
    return g_strdup("");
}
