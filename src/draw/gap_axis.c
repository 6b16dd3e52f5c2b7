/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/gap_axis.h"

#include "draw/axis.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#define LINE TB_GAP_AXIS_LINE

static const TbTextStyle quiet = {.size = TB_PT_SMALL, .ink = TB_INK_QUIET};

static TbTextStyle
anchored(TbAnchor anchor)
{
    TbTextStyle style = quiet;

    style.anchor = anchor;
    return style;
}

double
tb_gap_axis_x(const TbGapAxis *axis, double gap)
{
    double share = (gap - axis->low) / (axis->high - axis->low);

    return axis->frame.low.x + share * (axis->frame.high.x - axis->frame.low.x);
}

void
tb_gap_axis_draw(TbPicture *picture, const TbGapAxis *axis, TbLengthUnit unit)
{
    TbAxis ticks = tb_axis_for(axis->low, axis->high, 6, TB_QUANTITY_LENGTH, unit);
    g_autofree char *title = g_strdup_printf(_("gap, %s"), tb_length_unit_name(unit));
    double y = axis->frame.high.y;

    for (double tick = tb_axis_first_tick(&ticks, axis->low); tick <= axis->high;
         tick += ticks.step) {
        double x = tb_gap_axis_x(axis, tick);
        char number[TB_TEXT_NUMBER];

        tb_axis_number(&ticks, tick, number);
        tb_picture_segment(picture, tb_vec2(x, y), tb_vec2(x, y + 1), TB_PEN_FRAME, TB_INK_QUIET);
        tb_picture_text(picture, tb_vec2(x, y + 3), anchored(TB_ANCHOR_MIDDLE), number);
    }
    tb_picture_segment(picture, tb_vec2(axis->frame.low.x, y), tb_vec2(axis->frame.high.x, y),
                       TB_PEN_FRAME, TB_INK_QUIET);
    tb_picture_text(picture, tb_vec2(axis->frame.high.x, y + 3 + LINE), anchored(TB_ANCHOR_RIGHT),
                    title);
}

void
tb_gap_axis_line(
    TbPicture *picture, const TbGapAxis *axis, double gap, TbPen pen, TbInk ink, int row)
{
    double x = tb_gap_axis_x(axis, gap);

    if (isfinite(gap))
        tb_picture_segment(picture, tb_vec2(x, axis->frame.low.y - LINE * (0.1 + row)),
                           tb_vec2(x, axis->frame.high.y), pen, ink);
}

void
tb_gap_axis_name(
    TbPicture *picture, const TbGapAxis *axis, double gap, const char *name, TbInk ink, int row)
{
    double x = tb_gap_axis_x(axis, gap);
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = ink, .backed = true};

    style.anchor =
        x > (axis->frame.low.x + axis->frame.high.x) / 2 ? TB_ANCHOR_RIGHT : TB_ANCHOR_LEFT;
    if (isfinite(gap))
        tb_picture_text(picture, tb_vec2(x, axis->frame.low.y - LINE * (0.6 + row)), style, name);
}
