/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file latest.h
 * @brief One thread that answers questions of a few kinds: of each kind only the latest waits.
 *
 * There is a slot of one question for each kind. A newer question takes the place of one that
 * waits, which is then never answered; one that is being answered is let finish, or makes way,
 * as it was asked. The thread takes the most urgent kind that waits (0 first). Answers come on the
 * thread that made the TbLatest (the owner's), one after the other, in the order they were made.
 *
 * Question and answer travel in one letter: a struct of the user of this file that is filled by
 * the owner, completed by the thread, read by the owner again, and freed here. It belongs to one
 * thread at a time and needs no lock.
 *
 * All functions are the owner's but tb_latest_is_given_up().
 */
#pragma once

#include "base/work.h"

#include <glib.h>

/** Kinds of questions one thread can have, at most. */
#define TB_LATEST_KINDS 4

typedef struct TbLatest TbLatest;

typedef struct TbLatestDef {
    const char *name; /**< the thread's, for a debugger */
    unsigned kinds;   /**< 1 to TB_LATEST_KINDS (asserted) */
    bool only_newest; /**< an answer is dropped when its kind was asked again meanwhile */
    void (*free_letter)(void *letter);
    /** On the thread, before the first question and after the last one; either may be NULL. */
    void (*begin)(void *user), (*end)(void *user);
    /** On the thread: complete @p letter, or say in @p fault why not. Poll @p task. */
    void (*answer)(void *user, unsigned kind, void *letter, TbTask *task, TbFault *fault);
    /** Back with the owner, who may take things out of @p letter. */
    void (*deliver)(void *user, unsigned kind, guint64 ticket, void *letter, const TbFault *fault);
    /** With the owner: how far long work is; may be NULL. @p share 0 to 1; below 0, before each
     * answer: the work has ended. */
    void (*progress)(void *user, const char *what, double share);
    void *user;
} TbLatestDef;

/** @param def copied */
TbLatest *tb_latest_new(const TbLatestDef *def);

/** Cancels what runs, waits for the thread, drops what is undelivered. NULL is fine. */
void tb_latest_free(TbLatest *latest);

/**
 * Ask, in place of what waits.
 *
 * @param letter    ownership is taken
 * @param makes_way a newer question of its kind cancels this one while it is being answered
 * @return the question's ticket, rising from 1 over all kinds
 */
guint64 tb_latest_ask(TbLatest *latest, unsigned kind, void *letter, bool makes_way);

/** What was asked of a kind is not wanted any more: nothing of it will be delivered. For kinds of
 * which only the newest answer counts (asserted). */
void tb_latest_drop(TbLatest *latest, unsigned kind);

/** Between these two no question of a kind is begun. They nest. */
void tb_latest_hold(TbLatest *latest, unsigned kind);
void tb_latest_release(TbLatest *latest, unsigned kind);

/** Give up what runs and all that waits; each is delivered as TB_E_CANCELLED. */
void tb_latest_cancel(TbLatest *latest);

/** True when a question of a kind was given up before it was begun, and none was begun since. Of
 * any thread. */
bool tb_latest_is_given_up(TbLatest *latest, unsigned kind);
