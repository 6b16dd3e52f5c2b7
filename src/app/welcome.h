/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file welcome.h
 * @brief The page of a window without a bay: examples, a new bay, recent ones, and the idea in a
 *        minute.
 */
#pragma once

#include <gtk/gtk.h>

#define TB_TYPE_WELCOME (tb_welcome_get_type())
G_DECLARE_FINAL_TYPE(TbWelcome, tb_welcome, TB, WELCOME, GtkWidget)

GtkWidget *tb_welcome_new(void);
