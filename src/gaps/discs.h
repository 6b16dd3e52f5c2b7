/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file discs.h
 * @brief The filled sections of a sweep at a row of stations: made once, for all profiles along it.
 */
#pragma once

#include "geom/box3.h"
#include "geom/sweep.h"

/** One station. */
typedef struct TbDiscAt {
    TbDisc disc;
    TbBox3 box;   /**< holds the filled section, wall included */
    double reach; /**< mm: so does this ball about the disc's centre */
    double gone;  /**< mm: no point of a section is further from another section than their two
                       values of this are apart */
} TbDiscAt;

typedef struct TbDiscs TbDiscs;

/** @param stations ascending, copied into the discs. @return TB_OK or TB_E_MEMORY. */
TbStatus tb_discs_new(
    TbSweep *sweep, const double stations[], size_t count, TbDiscs **discs, TbFault *fault);

TbDiscs *tb_discs_ref(TbDiscs *discs);
void tb_discs_unref(TbDiscs *discs); /**< NULL is fine */

size_t tb_discs_count(const TbDiscs *discs);
const TbDiscAt *tb_discs_at(const TbDiscs *discs, size_t index); /**< lends */
