/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/shown_unit.h"

#include <glib.h>

static TbPreferredUnit wanted = TB_PREFER_BAY;

void
tb_shown_unit_prefer(TbPreferredUnit preferred)
{
    wanted = preferred;
}

TbLengthUnit
tb_shown_unit(const TbBay *bay)
{
    if (wanted != TB_PREFER_BAY)
        return wanted == TB_PREFER_INCH ? TB_UNIT_INCH : TB_UNIT_MM;
    return tb_bay_unit(bay);
}

char *
tb_shown_place(TbVec3 p, TbLengthUnit unit)
{
    char x[TB_TEXT_NUMBER], y[TB_TEXT_NUMBER], z[TB_TEXT_NUMBER];

    tb_length_write(p.x, unit, 1, x);
    tb_length_write(p.y, unit, 1, y);
    tb_length_write(p.z, unit, 1, z);
    return g_strdup_printf("X %s  Y %s  Z %s %s", x, y, z, tb_length_unit_name(unit));
}
