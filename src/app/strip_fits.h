/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file strip_fits.h
 * @brief How high the charts along the path are and which are folded, kept in the settings.
 *
 * Key "strip-heights": px at the usual font by a chart's name, 0 for a folded one; charts that are
 * not in it share the room that is left.
 */
#pragma once

#include "draw/charts_screen.h"

#include <gio/gio.h>

typedef struct TbStripFits {
    TbStripFit fit[TB_STRIP_MOST];
    char *name[TB_STRIP_MOST]; /**< what the fits lend */
    size_t count;
} TbStripFits;

/** @param settings NULL: every chart shares the room */
void tb_strip_fits_load(TbStripFits *fits, GSettings *settings);
void tb_strip_fits_clear(TbStripFits *fits);

/** @param settings NULL: nothing is kept */
void tb_strip_fits_save(const TbStripFits *fits, GSettings *settings);

bool tb_strip_fits_is_folded(const TbStripFits *fits, const char *chart);
void tb_strip_fits_set_folded(TbStripFits *fits, const char *chart, bool folded);

/** Height of a chart's box, mm of the picture; not below TB_STRIP_LEAST. */
void tb_strip_fits_set_height(TbStripFits *fits, const char *chart, double height);
