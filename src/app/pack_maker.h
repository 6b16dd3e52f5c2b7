/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file pack_maker.h
 * @brief From a bay to its review pack, step by step: for the thread of a TbPackJob.
 *
 * A maker belongs to one thread. It keeps the pack that was planned last; a plan that fails leaves
 * that in place, to be looked at but not to be written.
 */
#pragma once

#include "draw/pack.h"
#include "study/study.h"

#include <glib.h>

/** What a pack is to be made of. Copied by who is asked. */
typedef struct TbPackWish {
    TbBay *bay;
    const char *folder;  /**< where its scans are looked for; or NULL */
    const char *name;    /**< its file's name; NULL: it has none */
    TbBay *against;      /**< an earlier bay, or NULL */
    const char *earlier; /**< the path of its file */
    TbPaper paper;
    TbProjection projection;
    const char *const *left_out; /**< names of chapters, ending in NULL; NULL: none */
} TbPackWish;

/** A chapter that has something to show. */
typedef struct TbPackPlanChapter {
    size_t chapter; /**< as of tb_pack_chapter_name() */
    size_t pages;   /**< also of one that is left out */
    bool chosen;
} TbPackPlanChapter;

/** A sheet of a chosen chapter. */
typedef struct TbPackPlanSheet {
    size_t chapter; /**< among the plan's */
    char *number;   /**< "3.2", as printed */
    char *label;    /**< its bookmark; NULL: it has none */
} TbPackPlanSheet;

typedef struct TbPackPlan {
    TbPackPlanChapter *chapters;
    size_t chapter_count;
    TbPackPlanSheet *sheets;
    size_t sheet_count; /**< 0: everything is left out */
    TbVec2 size;        /**< mm of a sheet */
} TbPackPlan;

void tb_pack_plan_free(TbPackPlan *plan); /**< NULL is fine */

/** A wish that owns what it names. */
TbPackWish *tb_pack_wish_copy(const TbPackWish *wish);
void tb_pack_wish_free(TbPackWish *wish); /**< NULL is fine */

typedef struct TbPackMaker TbPackMaker;

TbPackMaker *tb_pack_maker_new(TbStore *store, TbWork *work); /**< store shared, work or NULL */
void tb_pack_maker_free(TbPackMaker *maker);

/**
 * Judge the bay where it is another one, and plan its pack.
 *
 * @param wish ownership is taken
 * @param[out] plan the caller's; untouched on failure
 */
TbStatus tb_pack_maker_plan(
    TbPackMaker *maker, TbPackWish *wish, TbTask *task, TbPackPlan **plan, TbFault *fault);

/** @param[out] picture the caller's to clear; untouched on failure */
TbStatus tb_pack_maker_draw(
    TbPackMaker *maker, size_t sheet, TbTask *task, TbPicture *picture, TbFault *fault);

/** All sheets into a file, whole or not at all. */
TbStatus tb_pack_maker_write(
    TbPackMaker *maker, const char *path, TbTheme theme, TbTask *task, TbFault *fault);
