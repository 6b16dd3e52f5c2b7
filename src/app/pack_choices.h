/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file pack_choices.h
 * @brief What people chose for the review pack, kept in the program's settings for the next time.
 */
#pragma once

#include "app/session.h"
#include "draw/pack.h"

/** Keys of the settings: the first three have the order of TbPaper, TbProjection, and colours or
 * grey. */
#define TB_PACK_PAPER "pack-paper"
#define TB_PACK_PROJECTION "pack-projection"
#define TB_PACK_INKS "pack-inks"
#define TB_PACK_LEFT_OUT "pack-left-out"

/** So many bays are remembered with what they were compared with, the newest first. */
enum { TB_PACK_EARLIER_MOST = 40 };

/** In colours or grey. */
TbTheme tb_pack_choices_theme(GSettings *settings);

/** Leave a chapter out, or take it in again. */
void tb_pack_choices_leave_out(GSettings *settings, const char *chapter, bool left_out);

/** The path of the bay that this one was compared with last; freed with g_free(). NULL: with none,
 * or it has no file. */
char *tb_pack_choices_earlier(GSettings *settings, TbSession *session);

/** Remember it; NULL: with none. Nothing for a bay without a file. */
void tb_pack_choices_keep_earlier(GSettings *settings, TbSession *session, const char *path);
