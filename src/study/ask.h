/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file ask.h
 * @brief What can be asked of a study: the document, which states and variants, how closely.
 */
#pragma once

#include "base/quantity.h"
#include "bay/document.h"
#include "study/results.h"
#include "study/scene.h"

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

/** Which plane a cut is asked for. */
typedef struct TbCutAsk {
    TbSceneView view;
    double at;              /**< Y, Z or X of the plane, mm; station for TB_SCENE_ACROSS */
    const char *item;       /**< TB_SCENE_ACROSS: the duct or line */
    const char *named;      /**< TB_SCENE_ACROSS: at this named station of it instead; or NULL */
    TbVec3 point, look, up; /**< TB_SCENE_FREE: see TbSight in geom/plane.h */
} TbCutAsk;

/** mm between rows, and width of intervals, mm: what is asked, or what is usual. */
double tb_ask_step(const TbAsk *ask);
double tb_ask_width(const TbAsk *ask);

/**
 * What is drawn of a question: without a pose a motion is drawn at rest, of the state that stands
 * for it, and `moving` names the one that was asked.
 *
 * @param[out] state freed with g_free() after the answer; or NULL
 */
TbAsk tb_ask_at_rest(const TbAsk *ask, char **state);

/** The id of the first cold state: what one answer is about where none is named. Lent. */
const char *tb_ask_cold_state(const TbBay *bay);

/**
 * The state whose drawings stand for one: drawings show a pose, not a motion, so of a state that
 * rocks its first part that stands still, else cold; any other state itself.
 *
 * @return freed with g_free(); NULL for NULL
 */
char *tb_ask_state_at_rest(const TbBay *bay, const char *id);
