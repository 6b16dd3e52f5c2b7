/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file charts_screen.h
 * @brief The same charts filling a window's pane: heights, folds, a range of stations, a cursor.
 *
 * Two pictures of one size: the charts, which stand still, and the cursor with its values over
 * them, which moves. Places say where everything lies, for the pointer. Lengths in mm of the
 * picture, y down; the axis stands at the bottom and does not scroll.
 */
#pragma once

#include "draw/charts.h"

enum { TB_STRIP_MOST = 16 }; /**< charts of one strip */

/** How one chart is to be shown. */
typedef struct TbStripFit {
    const char *chart; /**< its name */
    double height;     /**< mm of its box; 0: a share of what is left */
    bool folded;       /**< only its head line */
} TbStripFit;

typedef struct TbStripView {
    double width, height;   /**< mm */
    double from, to;        /**< stations in view; to <= from: all */
    double scroll;          /**< mm of charts above the picture's top */
    const TbStripFit *fits; /**< those that are not given share the room */
    size_t fit_count;
    const char *selected; /**< id of the finding whose ranges are outlined, or NULL */
} TbStripView;

typedef struct TbStripPlace {
    size_t chart; /**< index in the strip */
    bool folded;
    double top;      /**< of its row */
    TbRectangle box; /**< where values are drawn; of a folded chart its line */
} TbStripPlace;

typedef struct TbStripPlaces {
    TbStripPlace place[TB_STRIP_MOST];
    size_t count;
    double width, height;
    double from, to;    /**< stations in view */
    double left, right; /**< x of them */
    double axis;        /**< y of the station axis */
    double tall;        /**< mm of all charts; what is above `axis` can be scrolled to */
} TbStripPlaces;

/** Least height of a chart's box, mm. */
#define TB_STRIP_LEAST 9.0

/**
 * The charts of a strip.
 *
 * @param[out] picture started by this function; the caller clears it
 * @param[out] places  where they lie
 * @return TB_OK or TB_E_MEMORY
 */
TbStatus tb_strip_screen(TbPicture *picture,
                         const TbSceneStrip *strip,
                         const TbStripView *view,
                         TbMeasurer measurer,
                         TbStripPlaces *places,
                         TbFault *fault);

/** The cursor at a station, and the values there in the right margin: to be painted over. */
TbStatus tb_strip_cursor(TbPicture *picture,
                         const TbSceneStrip *strip,
                         const TbStripPlaces *places,
                         double station,
                         TbMeasurer measurer,
                         TbFault *fault);

/* ---- for the pointer and the keys ---- */

double tb_strip_x(const TbStripPlaces *places, double station);

/** The station under an x, kept in view. */
double tb_strip_station(const TbStripPlaces *places, double x);

typedef enum TbStripPart {
    TB_STRIP_NOTHING,
    TB_STRIP_HEAD,  /**< title: folds */
    TB_STRIP_EDGE,  /**< lower edge of an open chart: changes its height */
    TB_STRIP_CHART, /**< inside a chart */
    TB_STRIP_AXIS
} TbStripPart;

typedef struct TbStripHit {
    TbStripPart part;
    size_t chart;        /**< index in the strip, of the first three */
    double station;      /**< of TB_STRIP_CHART and _AXIS */
    double angle;        /**< deg, in a gap map; else NAN */
    const char *finding; /**< id of the range or basin there, lent by the strip; or NULL */
} TbStripHit;

/** What lies at a point; an edge is @p near mm wide on both sides. */
TbStripHit
tb_strip_hit(const TbSceneStrip *strip, const TbStripPlaces *places, TbVec2 at, double near_by);

/** A range of stations. */
typedef struct TbStripRange {
    double from, to;
} TbStripRange;

/** Zoom by a factor, above 1 nearer, the station @p at staying where it is; kept in 0..length and
 * at 10 mm or more. */
TbStripRange tb_strip_zoom(TbStripRange range, double length, double at, double factor);

/** Move a range by mm, kept in 0..length. */
TbStripRange tb_strip_pan(TbStripRange range, double length, double by);

/** The next named station on, or back; the path's ends count as named. */
double tb_strip_next_named(const TbSceneStrip *strip, double station, bool back);
