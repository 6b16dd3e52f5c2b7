/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file case.h
 * @brief From a question to a case: stands, pairs and gaps, computed or from the cache.
 */
#pragma once

#include "study/ask.h"
#include "study/check.h"

struct TbStudy {
    TbStore *store;
    TbWork *work;
    TbCache *cache;
    TbCatalogue *catalogue;
    TbStudyCounts counts;
};

/**
 * @param needs TB_NEEDS_...: what is computed besides shapes
 * @param one   one state and variant: where the question names none, the first and cold
 * @return TB_OK, TB_E_REFERENCE, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_case_new(TbStudy *study,
                     const TbAsk *ask,
                     unsigned needs,
                     bool one,
                     TbTask *task,
                     TbCase **theirs,
                     TbFault *fault);
void tb_case_free(TbCase *theirs);

/** A pair's question in a stand; forms must be there. Lends the pair's leave-outs. */
TbPairAsk tb_case_pair_ask(const TbCaseStand *in, const TbPair *pair, double width);

/** The same seen from side b: what is profiled along b. */
TbPairAsk tb_case_pair_ask_turned(const TbCaseStand *in, const TbPair *pair, double width);

/**
 * A pair's settled gap as its finding tells it: at tolerance with all that they take, also where it
 * is not searched with them.
 *
 * @return false: there is none to tell
 */
bool tb_case_gap(const TbCaseStand *in, guint index, TbGap *gap);

/* ---- answers by a case that is there; study.h has what they say ---- */

/** Why its first state cannot be drawn; TB_OK where it is judged. */
TbStatus tb_case_must_be_judged(const TbCase *theirs, TbFault *fault);

TbStatus tb_case_judge(TbStudy *study,
                       const TbAsk *ask,
                       const TbCase *theirs,
                       TbTask *task,
                       TbResults **results,
                       TbFault *fault);

/** Of its first stand; it needs TB_NEEDS_GAPS. */
TbStatus tb_case_scene(TbStudy *study,
                       const TbAsk *ask,
                       const TbCase *theirs,
                       const TbCutAsk *cut,
                       TbTask *task,
                       TbScene **scene,
                       TbFault *fault);

/**
 * Of its first stand; it needs TB_NEEDS_GAPS and TB_NEEDS_FACTS.
 *
 * @param judged tb_case_judge() of that stand alone, or NULL
 */
TbStatus tb_case_strip(TbStudy *study,
                       const TbAsk *ask,
                       const TbCase *theirs,
                       TbResults *judged,
                       const char *item,
                       TbTask *task,
                       TbSceneStrip **strip,
                       TbFault *fault);
