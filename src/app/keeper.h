/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file keeper.h
 * @brief Looks after one window's bay on the disk: saving, copies for recovery, news from others.
 *
 * Everything it has to say goes to the window's notice bars and status line.
 */
#pragma once

#include "app/autosave.h"
#include "app/files.h"
#include "app/session.h"

#include <gtk/gtk.h>

#define TB_TYPE_KEEPER (tb_keeper_get_type())
G_DECLARE_FINAL_TYPE(TbKeeper, tb_keeper, TB, KEEPER, GObject)

/**
 * @param window  that dialogs belong to; not referenced
 * @param notices its bars
 * @param file    the bay's file; NULL: untitled
 */
TbKeeper *tb_keeper_new(GtkWindow *window, GtkBox *notices, TbSession *session, TbFile *file);

/** Whether closing the window would lose something. */
bool tb_keeper_would_lose(TbKeeper *keeper);

/** What was told when saving ended; @p saved false: it failed or was cancelled. */
typedef void (*TbKeeperDone)(void *user, bool saved);

/** Save, asking for a place where there is none. @p done may be NULL. */
void tb_keeper_save(TbKeeper *keeper, TbKeeperDone done, void *user);

/** Ask for a place and save there. */
void tb_keeper_save_as(TbKeeper *keeper, TbKeeperDone done, void *user);

/** Call @p done once what is being saved is on the disk or has failed; at once where nothing is. */
void tb_keeper_after_saving(TbKeeper *keeper, TbKeeperDone done, void *user);

/** Go on with a recovered copy, which is taken over. */
void tb_keeper_adopt(TbKeeper *keeper, TbRecovered *recovered);

/** The window goes and what is not saved is given up: no copy stays. */
void tb_keeper_close(TbKeeper *keeper);
