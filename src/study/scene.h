/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scene.h
 * @brief What a drawing shows, as plain data in millimetres of the bay: no paper, no colours.
 *
 * `study` makes scenes, `draw` turns them into pictures. Every shape carries the opaque tag of what
 * it shows (an item id), which hit tests give back. Texts are already translated.
 */
#pragma once

#include "base/quantity.h"
#include "geom/contour.h"
#include "geom/cut.h"
#include "study/results.h"

/** How a shape is filled and hatched; classes of look.md. */
typedef enum TbLook {
    TB_LOOK_HOT,       /**< warm parts: ducts, housings, catalyst */
    TB_LOOK_STRUCTURE, /**< rails, head, gearbox */
    TB_LOOK_COVER,     /**< plastic and covers, panels */
    TB_LOOK_BRAKE,     /**< brake and fuel: no fill, double outline */
    TB_LOOK_HARNESS,   /**< harness and hoses: dotted fill */
    TB_LOOK_MOVING,    /**< steering and the like */
    TB_LOOK_LINE,      /**< oil and coolant lines of the kit */
    TB_LOOK_SCAN
} TbLook;

typedef struct TbSceneShape {
    char *tag;   /**< item id */
    char *label; /**< item name */
    TbLook look;
    bool subject;     /**< the duct that the drawing is about */
    double height;    /**< mm above the plane of the middle of what is not above it: 0 or less; the
                           lowest lies furthest from the reader */
    TbCut cut;        /**< where the plane meets it; may be empty */
    TbCut silhouette; /**< what is seen beyond the plane; may be empty */
    TbCut envelope;   /**< what it passes in the state shown, where it moves; may be empty */
} TbSceneShape;

/** A centre line on paper, with station ticks. */
typedef struct TbSceneLine {
    char *tag;
    TbVec2 *points;
    double *station; /**< of the points, as drawn, rising; NULL: not known */
    size_t count;
    TbVec2 *tick, *tick_direction; /**< unit, square to the path */
    double *tick_station;
    size_t tick_count;
} TbSceneLine;

/** A gap with both witness points, projected. */
typedef struct TbSceneGap {
    char *tag_a, *tag_b;
    TbVec2 a, b;
    double height_a, height_b; /**< mm above the plane: far ones are drawn as seen beyond */
    double gap, keep;          /**< mm; keep NAN */
    TbLevel level;
    bool flat; /**< measured within the plane only: the parts may be nearer before or behind it */
} TbSceneGap;

typedef enum TbSceneView {
    TB_SCENE_SIDE,
    TB_SCENE_PLAN,
    TB_SCENE_FRONT,
    TB_SCENE_ACROSS,
    TB_SCENE_FREE /**< any plane */
} TbSceneView;

/** One section plot. Paper u to the right, v up. */
typedef struct TbScene {
    int references;
    bool coarse; /**< cuts are within TB_SEEN_MOVING only and envelopes are left out, as while
                      something moves */
    TbSceneView view;
    TbLengthUnit unit; /**< that texts tell lengths in; every number here is in mm */
    TbPlane plane;
    char *title;                  /**< "Side cut, Y = 212 mm" */
    char *subtitle;               /**< bay, revision, state, variant */
    char *caution;                /**< the estimate sentence */
    char *axis_u, *axis_v;        /**< "X", "Z"; "W", "H" across a path; "" in a free cut */
    int axis_u_sign, axis_v_sign; /**< -1 where the axis points left or down on paper */
    int front_u, front_v;         /**< where the front of the vehicle is on paper: -1, 0, 1 */
    char *front;                  /**< the word beside the arrow to the front */
    TbVec2 axes[3];               /**< unit vectors along X, Y and Z, as short as they look here */
    TbVec2 low, high;             /**< window of interest on paper, mm of the bay */
    TbSceneShape *shapes;
    size_t shape_count;
    TbSceneLine *lines;
    size_t line_count;
    TbSceneGap *gaps;
    size_t gap_count;
    char **notes; /**< lines under the drawing: area, hydraulic diameter, what was left out */
    size_t note_count;
    char **inside; /**< lines within the section across a path: area, hydraulic diameter, ... */
    size_t inside_count;
} TbScene;

/** Scenes are immutable once made; any thread may hold one. */
TbScene *tb_scene_ref(TbScene *scene);
void tb_scene_unref(TbScene *scene); /**< NULL is fine */

/** A value against station. */
typedef struct TbSceneCurve {
    char *tag, *label;
    double *station, *value; /**< NAN breaks the curve */
    double *low;             /**< lower ends of intervals, or NULL */
    size_t count;
    char *name;  /**< for people, without the keep that `label` tells */
    double keep; /**< of a gap curve, mm; NAN */
} TbSceneCurve;

/** Its value at a station, linear between the given ones; NAN outside and in breaks. */
double tb_scene_curve_at(const TbSceneCurve *curve, double station);

/** What a gap curve tells at a station: the lower end of its interval. The value of others. */
double tb_scene_curve_told(const TbSceneCurve *curve, double station);

typedef struct TbSceneLimit {
    double value;
    char *label;
    char *tag;       /**< of the curve it belongs to, or "" */
    double from, to; /**< stations between which it matters; both 0: everywhere */
} TbSceneLimit;

typedef struct TbSceneBand {
    double from, to; /**< stations */
    TbLevel level;
    char *text;
    char *finding; /**< its id; "" where it is of no finding */
    char *brief;   /**< the text in a few words, where there is no room for it; or NULL */
    char *name;    /**< in the text: what is cut of it where there is no room; or NULL */
} TbSceneBand;

/** Between what a curve may run: a pale fill. */
typedef struct TbSceneAllowed {
    double *station, *low, *high; /**< NAN where nothing is allowed, or all */
    size_t count;
    char *label; /**< why */
} TbSceneAllowed;

/** A neighbour in a gap map. */
typedef struct TbSceneNeighbour {
    char *tag, *name;
    double keep;   /**< mm */
    bool at_rest;  /**< shown as nominal and at rest, though the map is of the worst */
    bool unproved; /**< of the worst, but not certified */
} TbSceneNeighbour;

/** The place of a gap map where one neighbour comes nearest to its keep, or a second one. */
typedef struct TbSceneBasin {
    size_t neighbour;
    double station, angle; /**< mm; deg */
    double gap;            /**< mm, of the points looked at */
    TbLevel level;
    char *finding; /**< id of the one about the two; "" where there is none */
} TbSceneBasin;

/** Nobody is within reach: in TbSceneMap.who. */
#define TB_SCENE_NOBODY 255

/**
 * Gap unrolled over station and angle. Column k stands at station k * length / (columns - 1), row
 * m at angle -180 + (m + 1/2) 360 / rows deg: 0 at `height`, 90 at `width`, looking downstream.
 * Numbers are by column, then row. Of several neighbours each place shows the one with the least
 * room above its keep, so that what is short shows whatever stands nearer.
 */
typedef struct TbSceneMap {
    size_t columns, rows;
    double *room;       /**< mm above the keep, below 0 where it is short */
    unsigned char *who; /**< index of the neighbour, or TB_SCENE_NOBODY */
    TbSceneNeighbour *neighbours;
    size_t neighbour_count;
    double least, reach; /**< mm above the keep: ends of the scale; `reach` is or more */
    double proved; /**< mm: over a motion or at tolerance `room` is a lower end, of an interval as
                        wide as this at the keep; 0: of the parts as drawn */
    TbContour keep, want; /**< loops in station mm and angle deg: short; short or watch */
    TbSceneBasin *basins; /**< worst first */
    size_t basin_count;
    char *keep_word; /**< "keep", translated: the scale's 0; NULL: English */
} TbSceneMap;

/** What is worst around the path at a station. */
typedef struct TbSceneMapSpot {
    double station, angle;             /**< deg */
    double room, gap;                  /**< mm; NAN where nobody is within reach */
    const TbSceneNeighbour *neighbour; /**< lent, or NULL */
} TbSceneMapSpot;

/** Of the column nearest to a station. */
TbSceneMapSpot tb_scene_map_worst(const TbSceneMap *map, double length, double station);

/** At a station and an angle, deg: the nearest place looked at. */
TbSceneMapSpot tb_scene_map_at(const TbSceneMap *map, double length, double station, double angle);

typedef struct TbSceneChart {
    char *title, *unit; /**< "Area", "mm²"; as it is shown */
    char *head, *of; /**< the title in two: "Gap", "least over the motion"; `of` NULL: all of it is
                          the head; both NULL: the title is */
    TbQuantity quantity; /**< of the values, which are in mm, mm², 1/m, degrees in any case */
    bool zero_matters;
    double ceiling; /**< values above this are not worth room; NAN: all are */
    TbSceneCurve *curves;
    size_t curve_count;
    TbSceneLimit *limits;
    size_t limit_count;
    TbSceneBand *bands;
    size_t band_count;
    const char *name;       /**< "area", the same in every language; settings go by it */
    int decimals;           /**< that its values are read with, in mm, mm², 1/m */
    TbSceneAllowed allowed; /**< count 0: none */
    TbSceneMap *map;        /**< then there are no curves; or NULL */
    char *summary;          /**< what it shows, in sentences */
} TbSceneChart;

/** Everything along one path, on a shared station axis. */
typedef struct TbSceneStrip {
    int references;
    char *title, *subtitle, *caution;
    double length; /**< mm */
    TbSceneChart *charts;
    size_t chart_count;
    char **named;
    double *named_at;
    size_t named_count;
    char **notes; /**< lines under the charts: what no curve shows */
    size_t note_count;
    char *item;        /**< id of the duct or line */
    char *name;        /**< its name */
    char *axis_title;  /**< "station mm", translated, in the unit; NULL: English */
    TbLengthUnit unit; /**< that texts and axes tell lengths in; every number here is in mm */
    bool coarse;       /**< the gap map looks at fewer places than a settled one */
} TbSceneStrip;

TbSceneStrip *tb_scene_strip_ref(TbSceneStrip *strip);
void tb_scene_strip_unref(TbSceneStrip *strip); /**< NULL is fine */

/** A chart by its name, or NULL. Lent. */
const TbSceneChart *tb_scene_strip_chart(const TbSceneStrip *strip, const char *name);

/** What all charts show at a station, in one sentence; freed with g_free(). */
char *tb_scene_strip_say_at(const TbSceneStrip *strip, double station);

/** All charts as text: what a reader who does not see them wants, and what is copied to a sheet. */
typedef struct TbSceneTable {
    size_t columns, rows;
    char **heads; /**< of columns, with units */
    char **cells; /**< by row, then column; "" where there is nothing */
    bool named;   /**< the first column is names, not numbers */
} TbSceneTable;

/** Lengths in the strip's unit. @param step mm between the rows, above 0 */
TbSceneTable *tb_scene_strip_table(const TbSceneStrip *strip, double step);
void tb_scene_table_free(TbSceneTable *table); /**< NULL is fine */
