/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file strip_charts_private.h
 * @brief The struct of the charts along the path and what its files share.
 */
#pragma once

#include "app/canvas.h"
#include "app/strip_charts.h"
#include "app/strip_fits.h"

/** What a press has taken hold of. */
typedef enum Hold { HOLD_NOTHING, HOLD_CURSOR, HOLD_EDGE, HOLD_HEAD } Hold;

struct TbStripCharts {
    TbSession *session;
    GSettings *settings;
    GtkWidget *canvas;

    TbStripFits fits;
    TbSceneStrip *strip; /* shown; reference; NULL: none */
    TbStripRange range;  /* stations in view; to 0: all */
    double scroll;       /* mm */
    TbStripPlaces places;
    TbStripView view; /* of the last picture */

    Hold hold;
    TbVec2 pressed;
    TbStripHit at;         /* what was pressed */
    double height;         /* of the chart whose edge is held, when it was pressed */
    gint64 last_press;     /* us, on the axis */
    const char *cursor_as; /* name of the pointer's shape */

    void (*folded)(void *user);
    void *user;
};

bool tb_strip__has_strip(const TbStripCharts *charts);

/** The cursor's station, on the path that is shown. */
double tb_strip__cursor_of(const TbStripCharts *charts);

/** Where a chart stands; NULL: it is folded out of sight. */
const TbStripPlace *tb_strip__place_of(const TbStripCharts *charts, size_t chart);

/** Puts a station in view, in the middle where it was not. */
void tb_strip__show_station(TbStripCharts *charts, double station);

void tb_strip__redraw(TbStripCharts *charts);

/** Canvas callbacks: pointer and keys. */
void tb_strip__press(void *charts, TbCanvasPointer pointer);
void tb_strip__drag(void *charts, TbCanvasPointer pointer);
void tb_strip__release(void *charts, TbCanvasPointer pointer);
void tb_strip__give_up(void *charts);
void tb_strip__hover(void *charts, TbCanvasPointer pointer);
void tb_strip__leave(void *charts);
bool tb_strip__key(void *charts, guint value, GdkModifierType state);
