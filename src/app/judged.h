/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file judged.h
 * @brief What a session knows of how things stand: its results of everything, and newer ones of
 *        what is shown.
 */
#pragma once

#include "app/session.h"
#include "study/matters.h"

/** For matters and standings; everything lent by the session, ask.item NULL. */
TbMatterAsk tb_session_judged(TbSession *session);
