/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file pack_job.h
 * @brief One thread that makes the review pack of one window: the latest question wins
 * (app/latest.h).
 *
 * The thread has a study of its own, which shares scans and the pool with everybody, and keeps the
 * pack that was planned last. There are four questions with a slot of one each: a plan, a sheet to
 * look at, a sheet to print, a file to write. A newer plan gives up the one that runs and all
 * sheets that are looked at; a newer sheet gives up the older one. What was asked last is always
 * answered, and nothing that is older. A plan that waits goes first, so that what is written is
 * what was wanted last. Answers come on the thread that made the TbPackJob.
 *
 * A plan that fails leaves the pack before it in place, to be looked at but not to be written.
 */
#pragma once

#include "app/pack_maker.h"

#include <glib.h>

typedef struct TbPackJob TbPackJob;

typedef struct TbPackJobDef {
    TbStore *store; /**< referenced */
    TbWork *work;   /**< or NULL; must live longer */
    /** A plan, the callee's to free, or NULL and why. */
    void (*planned)(void *user, TbPackPlan *plan, const TbFault *fault);
    /** A sheet to look at, the callee's to clear, or NULL and why. */
    void (*drawn)(void *user, size_t sheet, TbPicture *picture, const TbFault *fault);
    /** The same of a sheet to print. */
    void (*paged)(void *user, size_t sheet, TbPicture *picture, const TbFault *fault);
    /** The file is whole; or @p fault says why there is none. */
    void (*written)(void *user, const char *path, const TbFault *fault);
    /** How far long work is; @p share 0 to 1, below 0 when it has ended. */
    void (*progress)(void *user, const char *what, double share);
    void *user;
} TbPackJobDef;

/** @param def copied; any of its functions may be NULL */
TbPackJob *tb_pack_job_new(const TbPackJobDef *def);

/** Gives up everything, waits for the thread, drops what is undelivered. NULL is fine. */
void tb_pack_job_free(TbPackJob *job);

void tb_pack_job_plan(TbPackJob *job, const TbPackWish *wish);
void tb_pack_job_draw(TbPackJob *job, size_t sheet); /**< of the plan that was delivered last */
void tb_pack_job_page(TbPackJob *job, size_t sheet);

/** Write the pack as PDF, whole or not at all. */
void tb_pack_job_write(TbPackJob *job, const char *path, TbTheme theme);

/** Between these two no new plan is begun: sheets are printed. */
void tb_pack_job_hold(TbPackJob *job);
void tb_pack_job_release(TbPackJob *job);

/** Give up all that runs and waits; each is answered with TB_E_CANCELLED. */
void tb_pack_job_cancel(TbPackJob *job);
