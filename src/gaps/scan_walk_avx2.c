/* SPDX-License-Identifier: GPL-3.0-or-later */

#if defined(__x86_64__) || defined(__i386__)
#pragma GCC target("avx2")
#endif
#pragma GCC optimize("O3")
#include "gaps/scan_walk.h"

void
tb_scan__walk_avx2(TbScan *scan)
{
    walk(scan);
}

void
tb_scan__near_avx2(TbScan *scan, int lane, uint32_t column, uint32_t leaf)
{
    look_near(scan, lane, column, leaf);
}
