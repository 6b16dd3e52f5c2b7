/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file strip_build.h
 * @brief What a chart along a path is made of, and what all charts share.
 *
 * A chart is one TbChartKind: a line in the list of scene_strip.c, and two functions in a file of
 * its topic, strip_*.c. What it draws is computed by measure*.c, promised first and settled for all
 * charts together.
 */
#pragma once

#include "study/case.h"
#include "study/measure_moving.h"
#include "study/scene_build.h"

/** A neighbour of the path whose gap is worth a curve. */
typedef struct TbAlongNear {
    const TbPair *pair;
    bool turned;           /**< the path is side b of the pair */
    const TbPlaced *other; /**< lent */
    TbGap gap;             /**< of the pair, as it is judged */
    bool at_rest;  /**< it is shown as nominal and at rest, though the chart is of the worst */
    bool unproved; /**< what is shown over a motion or at tolerance is not certified */
    double margin; /**< mm, of that gap */
    TbEntry *profile, *map;
} TbAlongNear;

/** One strip in the making. */
typedef struct TbAlong {
    TbStudy *study;
    const TbAsk *ask;
    const TbCase *theirs;
    const TbCaseStand *in;
    const TbCaseStand *told; /**< whose pairs and gaps the gap chart tells: a motion's, else `in` */
    const TbStand *stand;
    const TbPlaced *placed;   /**< the duct or line */
    size_t item;              /**< its index */
    const TbResults *results; /**< findings about it */
    GArray *near;             /**< of TbAlongNear, worst first */
    TbEntry *table, *discs, *points;
    TbEntry *points_drawn; /**< of the path as drawn: what a motion or a tolerance moves */
    TbSceneStrip *strip;
    TbLengthUnit unit; /**< that texts tell lengths in */
} TbAlong;

typedef struct TbChartKind {
    const char *name;  /**< never translated */
    const char *title; /**< N_() */
    TbQuantity quantity;
    const char *rules[4]; /**< findings of these are shaded on it; "gap" is the chart's own */
    int decimals;
    bool zero_matters;
    bool (*suits)(const TbAlong *strip); /**< NULL: every path */
    /** Promise what it draws; called until all is settled in round 0, then in round 1. Or NULL. */
    void (*promise)(TbAlong *strip, int round);
    TbStatus (*fill)(const TbAlong *strip, TbSceneChart *chart, TbFault *fault);
} TbChartKind;

/* The charts, by topic. */
TbStatus tb_strip_fill_area(const TbAlong *strip, TbSceneChart *chart, TbFault *fault);
TbStatus tb_strip_fill_cone(const TbAlong *strip, TbSceneChart *chart, TbFault *fault);
TbStatus tb_strip_fill_bend(const TbAlong *strip, TbSceneChart *chart, TbFault *fault);
bool tb_strip_has_sections(const TbAlong *strip); /**< a duct: its sections change */
void tb_strip_promise_path(TbAlong *strip, int round);

TbStatus tb_strip_fill_gaps(const TbAlong *strip, TbSceneChart *chart, TbFault *fault);
void tb_strip_promise_gaps(TbAlong *strip, int round);
bool tb_strip_has_neighbours(const TbAlong *strip);
/** Neighbours of a settled case, the worst first; array of TbAlongNear. */
GArray *tb_strip_find_neighbours(const TbAlong *strip);
/** Notes what comes nearer to rings and clamps, which no curve shows. */
void tb_strip_note_rings(const TbAlong *strip);

TbStatus tb_strip_fill_map(const TbAlong *strip, TbSceneChart *chart, TbFault *fault);
void tb_strip_promise_map(TbAlong *strip, int round);

/* Parts. */
TbSceneCurve *
tb_strip_add_curve(TbSceneChart *chart, const char *tag, const char *label, size_t count);
void tb_strip_add_limit(TbSceneChart *chart, double value, char *label, const char *tag);
void tb_strip_add_band(
    TbSceneChart *chart, double from, double to, TbLevel level, char *text, const char *finding);
/** Gaps are of the worst that a motion or tolerances make of the parts, not of what is drawn. */
bool tb_strip_is_worst(const TbAlong *strip);

/** What is asked along the path about a neighbour then; false where that cannot be. */
bool tb_strip_along(const TbAlong *strip, const TbAlongNear *near, TbMovingAlong *along);

/** The finding about a pair, or NULL. */
const TbFinding *tb_strip_pair_finding(const TbAlong *strip, const TbPair *pair);

/** What a chart shows, in sentences; freed by the caller. */
char *tb_strip_say(const TbSceneStrip *strip, const TbSceneChart *chart);
