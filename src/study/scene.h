/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scene.h
 * @brief What a drawing shows, as plain data in millimetres of the bay: no paper, no colours.
 *
 * `study` makes scenes, `draw` turns them into pictures. Every shape carries the opaque tag of what
 * it shows (an item id), which hit tests give back. Texts are already translated.
 */
#pragma once

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
} TbSceneShape;

/** A centre line on paper, with station ticks. */
typedef struct TbSceneLine {
    char *tag;
    TbVec2 *points;
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
} TbSceneGap;

typedef enum TbSceneView {
    TB_SCENE_SIDE,
    TB_SCENE_PLAN,
    TB_SCENE_FRONT,
    TB_SCENE_ACROSS
} TbSceneView;

/** One section plot. Paper u to the right, v up. */
typedef struct TbScene {
    int references;
    TbSceneView view;
    TbPlane plane;
    char *title;                  /**< "Side cut, Y = 212 mm" */
    char *subtitle;               /**< bay, revision, state, variant */
    char *caution;                /**< the estimate sentence */
    char *axis_u, *axis_v;        /**< "X", "Z"; "W", "H" across a path */
    int axis_u_sign, axis_v_sign; /**< -1 where the axis points left or down on paper */
    int front_u, front_v;         /**< where the front of the vehicle is on paper: -1, 0, 1 */
    TbVec2 low, high;             /**< window of interest on paper, mm of the bay */
    TbSceneShape *shapes;
    size_t shape_count;
    TbSceneLine *lines;
    size_t line_count;
    TbSceneGap *gaps;
    size_t gap_count;
    char **notes; /**< lines under the drawing: area, hydraulic diameter, what was left out */
    size_t note_count;
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
} TbSceneCurve;

typedef struct TbSceneLimit {
    double value;
    char *label;
    char *tag; /**< of the curve it belongs to, or "" */
} TbSceneLimit;

typedef struct TbSceneBand {
    double from, to; /**< stations */
    TbLevel level;
    char *text;
} TbSceneBand;

typedef struct TbSceneChart {
    char *title, *unit; /**< "Area", "mm²" */
    bool zero_matters;
    double ceiling; /**< values above this are not worth room; NAN: all are */
    TbSceneCurve *curves;
    size_t curve_count;
    TbSceneLimit *limits;
    size_t limit_count;
    TbSceneBand *bands;
    size_t band_count;
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
} TbSceneStrip;

TbSceneStrip *tb_scene_strip_ref(TbSceneStrip *strip);
void tb_scene_strip_unref(TbSceneStrip *strip); /**< NULL is fine */
