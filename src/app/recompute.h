/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file recompute.h
 * @brief One thread that answers for one document: the latest question wins (app/latest.h).
 *
 * A question that comes while another is being answered waits in a slot of one; a newer one takes
 * its place there. What runs is let finish, or the picture would stand still while something is
 * dragged; only a whole answer (every state and variant) makes way for a newer question. Answers
 * come back on the thread that made the TbRecompute, in the order of their questions.
 */
#pragma once

#include "study/show.h"

#include <glib.h>

typedef struct TbRecompute TbRecompute;

typedef struct TbRecomputeDef {
    TbStore *store; /**< referenced */
    TbWork *work;   /**< or NULL; must live longer */
    /** An answer, or why there is none (then NULL). @p ticket is that of its question; the answer
     * is lent. */
    void (*deliver)(void *user, guint64 ticket, TbShown *shown, const TbFault *fault);
    /** How far a long answer is, on the owner's thread; may be NULL. @p share 0 to 1; below 0 when
     * the work has ended. */
    void (*progress)(void *user, const char *what, double share);
    void *user;
} TbRecomputeDef;

TbRecompute *tb_recompute_new(const TbRecomputeDef *def);

/** Cancels what runs, waits for the thread, drops what is undelivered. NULL is fine. */
void tb_recompute_free(TbRecompute *recompute);

/** Ask, in place of what waits. @return the question's ticket, rising from 1 */
guint64 tb_recompute_ask(TbRecompute *recompute, const TbShowAsk *ask);

/** Give up what runs and what waits; they are delivered as TB_E_CANCELLED. */
void tb_recompute_cancel(TbRecompute *recompute);
