/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file study.h
 * @brief One question, one answer: a document and what is asked of it in, results out.
 *
 * A study keeps what it computed, by node ids of the document's immutable parts, so that the next
 * question about an edited document recomputes only what hangs on the edit. Settled answers are
 * cold: they equal a fresh study's bit for bit. One study belongs to one thread at a time; it uses
 * the pool it was given.
 */
#pragma once

#include "base/quantity.h"
#include "bay/document.h"
#include "study/results.h"
#include "study/scene.h"
#include "study/store.h"

typedef struct TbStudy TbStudy;

typedef struct TbAsk {
    TbBay *bay;
    const char *folder;  /**< where relative scan paths start; NULL: the working folder */
    const char *state;   /**< id, "hot+rocking", or NULL: all that are judged */
    const char *variant; /**< id, or NULL: all */
    const char *moving;  /**< a state that rocks, of which `state` is the one drawn at rest: cuts
                              show what moves with its envelope; or NULL */
    double station_step; /**< mm between rows of the tables and profiles; 0 means 5 */
    double width;        /**< mm of gap intervals; 0 means TB_GAP_WIDTH, refined until decided */
    const struct TbCondition *keeps_of; /**< whose keeps say which pairs there are (combine.h);
                                           NULL: each state's own */
    const TbResultGap *pose; /**< a gap of the results at whose worst numbers cuts show the state,
                                  if tb_posed_can(): nothing is at rest then; or NULL */
    bool profiles;           /**< profiles too, of what is drawn: a hot state at full heat */
    bool motion_profiles;    /**< with them those of states that rock, warm or are at tolerance: the
                                  least over all of that */
    bool combine;            /**< the table of all rows with their causes too (combine.h) */
    bool coarse;       /**< gap maps of fewer places, cuts within 0.05 mm: while something moves */
    TbLengthUnit unit; /**< that the texts of scenes and strips tell lengths in */
    uint64_t samples;  /**< of every gap at tolerance; 0: no chance is told, only the worst case */
    uint64_t seed;     /**< of the samples */
} TbAsk;

/** Samples and seed of an answer that tells chances, where nobody asks for others. */
#define TB_STUDY_SAMPLES 10000
#define TB_STUDY_SEED 1

/** What was computed and what came from the cache, for tests and the status line. */
typedef struct TbStudyCounts {
    size_t sweeps, solids, gaps, profiles, tables; /**< computed since the study began */
    size_t reused;
} TbStudyCounts;

TbStudy *tb_study_new(TbStore *store, TbWork *work); /**< store shared, work or NULL */
void tb_study_free(TbStudy *study);

/**
 * @param[out] results a reference for the caller
 * @return TB_OK; TB_E_REFERENCE (no such state or variant, with the ones there are),
 *         TB_E_CANCELLED, TB_E_MEMORY; shapes that cannot be built are findings, not faults
 */
TbStatus
tb_study_judge(TbStudy *study, const TbAsk *ask, TbTask *task, TbResults **results, TbFault *fault);

TbStudyCounts tb_study_counts(const TbStudy *study);

/** Which plane a cut is asked for. */
typedef struct TbCutAsk {
    TbSceneView view;
    double at;              /**< Y, Z or X of the plane, mm; station for TB_SCENE_ACROSS */
    const char *item;       /**< TB_SCENE_ACROSS: the duct or line */
    const char *named;      /**< TB_SCENE_ACROSS: at this named station of it instead; or NULL */
    TbVec3 point, look, up; /**< TB_SCENE_FREE: see TbSight in geom/plane.h */
} TbCutAsk;

/** A section plot in one state and variant (NULL: cold, the first); of a state that rocks at rest,
 * with envelopes. */
TbStatus tb_study_scene(TbStudy *study,
                        const TbAsk *ask,
                        const TbCutAsk *cut,
                        TbTask *task,
                        TbScene **scene,
                        TbFault *fault);

/** Every chart that a duct or line has (scene_strip.c lists them), one state and variant. */
TbStatus tb_study_strip(TbStudy *study,
                        const TbAsk *ask,
                        const char *item,
                        TbTask *task,
                        TbSceneStrip **strip,
                        TbFault *fault);

/**
 * The station table of a duct or line, one state and variant, as CSV (see report.h).
 *
 * @param[out] csv freed with g_free()
 */
TbStatus
tb_study_stations(TbStudy *study, const TbAsk *ask, const char *item, char **csv, TbFault *fault);

/** An item's surface in one state and variant as a mesh. */
TbStatus tb_study_mesh(TbStudy *study,
                       const TbAsk *ask,
                       const char *item,
                       bool inner,
                       double chord,
                       TbTask *task,
                       TbMesh **mesh,
                       TbFault *fault);
