/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/shown_unit.h"

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
    return bay->head->unit == TB_DISPLAY_INCH ? TB_UNIT_INCH : TB_UNIT_MM;
}
