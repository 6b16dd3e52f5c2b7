/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file choice.h
 * @brief Which state and which variant the window shows: two drop-downs in the header.
 */
#pragma once

#include "app/session.h"

#include <gtk/gtk.h>

/** A box with both; a bay without variants has one. */
GtkWidget *tb_choice_new(TbSession *session);
