/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file chart_private.h
 * @brief One chart of a strip on paper: the same marks on a sheet and on the screen.
 *
 * Left of a chart's box stand its title, its unit and the numbers of its ticks; right of it the
 * names of its curves, at the heights where they leave the view.
 */
#pragma once

#include "draw/axis.h"
#include "draw/labels.h"
#include "draw/picture.h"
#include "study/scene.h"

/* mm of paper */
#define TB_PLOT_TITLE 23.0     /* a chart's title, wrapped */
#define TB_PLOT_SAMPLE 7.0     /* piece of a curve repeated beside its label */
#define TB_PLOT_LABEL_STEP 4.0 /* between labels at curve ends */
#define TB_PLOT_VALUE 20.0     /* column of values at the cursor, at least */
#define TB_PLOT_MIDDLE 28.0    /* of many curves, lower than this too */
#define TB_PLOT_LOW 17.0       /* charts lower than this say less */

/** One chart's rectangle and its axes. */
typedef struct TbPlot {
    TbPicture *picture;
    const TbSceneStrip *strip;
    const TbSceneChart *chart;
    TbMeasurer measurer;
    TbRectangle box;
    TbAxis value, station;
    double from, to;      /**< stations in view, mm */
    double left, right;   /**< where titles begin and labels end */
    double values;        /**< mm that the margin keeps for values at the cursor; 0: none */
    const char *selected; /**< id of a finding, or NULL */
} TbPlot;

/** The value axis of a chart of a height. */
TbAxis tb_plot__value_axis(const TbSceneChart *chart, TbLengthUnit unit, double height);

double tb_plot__x(const TbPlot *plot, double station);
double tb_plot__y(const TbPlot *plot, double value);

/** Everything but the shared station axis. */
void tb_plot__draw(const TbPlot *plot);

/** What a chart is called where little room is. */
const char *tb_plot__name(const TbSceneChart *chart);

/** Title and unit left of the box, no lower than its foot. */
void tb_plot__head(const TbPlot *plot);

/** Fine lines at the named stations. */
void tb_plot__named(const TbPlot *plot);

/** Ranges of findings, pale; and their sentences. */
void tb_plot__bands(const TbPlot *plot);
void tb_plot__label_bands(const TbPlot *plot, TbPlacer *placer);

void tb_plot__label_limits(const TbPlot *plot, TbPlacer *placer);
void tb_plot__label_allowed(const TbPlot *plot, TbPlacer *placer);

/** Heights of the curves' labels, pushed apart; NAN where there is no room for a label. @p at has
 * room for every curve. */
void tb_plot__label_heights(const TbPlot *plot, double at[]);
void tb_plot__label_curves(const TbPlot *plot);

/** A chart that is a gap map: map_view.c. */
void tb_plot__map(const TbPlot *plot, TbPlacer *placer);

/** Where an angle of a map lies, deg. */
double tb_plot__angle_y(const TbPlot *plot, double angle);
