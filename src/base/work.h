/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file work.h
 * @brief Parallel loops, progress and cancelling.
 *
 * A pool is made once by the program (or not at all: NULL means "here, one after the other") and
 * shared by everybody. Loops may nest: an inner loop runs where it is called, with the worker
 * number of the piece around it. Several threads of the program may run loops on one pool at once.
 * A range is cut the same way for any number of threads; what a loop computes must not depend on
 * which thread takes a piece, and results then are the same bits for any number of threads.
 */
#pragma once

#include "base/fault.h"

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>

typedef struct TbWork TbWork;

/** One long job as its owner sees it: may be cancelled, and tells how far it is. Start from {0}. */
typedef struct TbTask {
    atomic_bool cancelled;
    /** Called now and then from any thread, one call at a time; may be NULL. @p share 0 to 1. */
    void (*report)(void *user, const char *what, double share);
    void *user;
    atomic_bool reporting; /**< a report is under way; this file's own */
} TbTask;

/** Ask a task to stop; it ends with TB_E_CANCELLED soon. Safe from any thread. */
void tb_task_cancel(TbTask *task);

/** True when the task was cancelled. NULL is never cancelled. */
bool tb_task_is_cancelled(const TbTask *task);

/**
 * Pass progress on; NULL and a missing report are fine. A report that comes while another one is
 * under way, in whatever thread, is left out: nobody waits for the eye.
 */
void tb_task_report(TbTask *task, const char *what, double share);

/** A pool of @p threads workers, the caller included (1 to 64); NULL when there is no room. */
TbWork *tb_work_new(int threads);

/** As many threads as the process may use. */
int tb_work_processors(void);

/** Ends the threads; NULL is fine. No loop may be running. */
void tb_work_free(TbWork *work);

/** How many threads a loop uses, the caller included; 1 for NULL. */
int tb_work_threads(const TbWork *work);

/**
 * One piece of a loop.
 *
 * @param data   the caller's
 * @param from,to the half-open range to do
 * @param worker 0 to tb_work_threads() - 1: for scratch memory, never for results
 */
typedef void (*TbWorkBody)(void *data, size_t from, size_t to, int worker);

/**
 * Run @p body over 0 to @p count, in pieces of at most @p grain, on all threads of @p work.
 *
 * Pieces start at multiples of @p grain. All of them have ended when the function returns, and what
 * they wrote is visible to the caller.
 *
 * @param work  pool, or NULL
 * @param task  polled between pieces, or NULL
 * @param grain above 0 (asserted)
 * @return TB_OK, or TB_E_CANCELLED: some pieces were then not run
 */
TbStatus
tb_work_for(TbWork *work, TbTask *task, size_t count, size_t grain, TbWorkBody body, void *data);
