/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file show.h
 * @brief Everything that a window shows of a document, in one answer: results, cuts, curves.
 *
 * While something is dragged, the answer covers the state and variant that are shown (a live
 * answer) and samples no tolerances; what stands after it covers all of them (a whole one) and its
 * gaps and findings are those of tb_study_judge() with the usual samples, bit for bit, and it has
 * the table of all rows with their causes (combine.h). Cuts and curves whose question has not
 * changed since the last answer are taken from there.
 */
#pragma once

#include "geom/pose.h"
#include "study/study.h"

/** So many cuts may be asked for at once. */
enum { TB_SHOW_CUTS = 4 };

typedef struct TbShowAsk {
    TbBay *bay;
    const char *folder;      /**< where relative scan paths start; NULL: the working folder */
    const char *state;       /**< id shown, "hot+rocking", or NULL: cold */
    const char *moving;      /**< a state that rocks, of which `state` is what is drawn at rest (see
                                  tb_ask_state_at_rest()): settled cuts show its envelopes; or NULL */
    TbResults *posed;        /**< referenced; of them is */
    const TbResultGap *pose; /**< at whose worst numbers cuts are drawn, of its own state and
                                  variant; or NULL: at rest */
    const char *variant;     /**< id shown, or NULL: the first */
    bool whole; /**< judge every state and variant, not just what is shown; in an answer:
                     its results cover them all */
    bool wants_cut[TB_SHOW_CUTS];
    TbCutAsk cuts[TB_SHOW_CUTS];
    const char *strip; /**< duct or line whose curves are wanted; NULL: none */
    TbLengthUnit unit; /**< that texts of cuts and curves tell lengths in */
} TbShowAsk;

/** An item that has grown in the state shown. */
typedef struct TbShownGrowth {
    char *item;
    TbPose pose; /**< from as drawn to as shown */
} TbShownGrowth;

/** One answer. Immutable and reference-counted; what could not be drawn is NULL with its fault. */
typedef struct TbShown {
    int references;
    TbShowAsk ask; /**< its own copies; the bay referenced */
    TbResults *results;
    TbScene *cuts[TB_SHOW_CUTS];
    TbFault cut_faults[TB_SHOW_CUTS];
    TbSceneStrip *strip;
    TbFault strip_fault;
    TbShownGrowth *grown; /**< of what is drawn; items that are not here stand as drawn */
    size_t grown_count;
} TbShown;

/** An answer that holds its own copies of the question, and nothing else yet. */
TbShown *tb_shown_new(const TbShowAsk *ask);
TbShown *tb_shown_ref(TbShown *shown);
void tb_shown_unref(TbShown *shown); /**< NULL is fine */

/** From an item as the document has it to where its drawings show it: a growth, or the identity. */
TbPose tb_shown_pose(const TbShown *shown, const char *item);

/**
 * @param before the last answer, or NULL
 * @param[out] shown a reference for the caller; untouched on failure
 * @return TB_OK, or as tb_study_judge()
 */
TbStatus tb_study_show(TbStudy *study,
                       const TbShowAsk *ask,
                       const TbShown *before,
                       TbTask *task,
                       TbShown **shown,
                       TbFault *fault);
