/* SPDX-License-Identifier: GPL-3.0-or-later */

#pragma GCC optimize("O3")
#include "gaps/scan_walk.h"

void
tb_scan__walk_plain(TbScan *scan)
{
    walk(scan);
}

void
tb_scan__near_plain(TbScan *scan, int lane, uint32_t column, uint32_t leaf)
{
    look_near(scan, lane, column, leaf);
}
