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

#include "study/ask.h"
#include "study/cache.h"
#include "study/store.h"

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
