/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file strip_charts.h
 * @brief The charts along the path as a canvas: cursor, findings, zoom, heights.
 *
 * Pointer: drag in the charts or on the axis moves the cursor; a click on a finding's range goes to
 * it; a chart's lower edge is dragged, its title folds it; a double click on the axis shows the
 * whole path. Keys: Left and Right 1 mm, with Shift 10, Home and End, Page Up and Page Down to the
 * named stations, Enter goes to the finding at the cursor. Zooming and panning as on any canvas.
 */
#pragma once

#include "app/session.h"

#include <gtk/gtk.h>

typedef struct TbStripCharts TbStripCharts;

/**
 * @param settings where heights are kept, or NULL; both referenced
 * @param folded   called when a chart was folded or opened; may be NULL
 */
TbStripCharts *
tb_strip_charts_new(TbSession *session, GSettings *settings, void (*folded)(void *), void *user);
void tb_strip_charts_free(TbStripCharts *charts);

/** The widget; lent. */
GtkWidget *tb_strip_charts_canvas(TbStripCharts *charts);

/** Brings what is shown up to date with the session. @param parts what of it changed */
void tb_strip_charts_follow(TbStripCharts *charts, guint parts);

/** The strip that is shown; NULL where there is none. Lent. */
const TbSceneStrip *tb_strip_charts_strip(TbStripCharts *charts);

bool tb_strip_charts_is_folded(TbStripCharts *charts, const char *chart);
void tb_strip_charts_fold(TbStripCharts *charts, const char *chart, bool folded);

/** All charts open, of the heights that fill the pane. */
void tb_strip_charts_even_out(TbStripCharts *charts);

/** Zoom about the cursor, or the middle. */
void tb_strip_charts_zoom(TbStripCharts *charts, double factor);
void tb_strip_charts_show_all(TbStripCharts *charts);
