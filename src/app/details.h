/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file details.h
 * @brief The Details pane: every attribute of what is selected, and how near it comes to what.
 *
 * It is made from the tables of bay/fields.h: an attribute or a part that is added there appears
 * here, under its name of the file until detail_words.c has a label for it. Where nothing is
 * selected it shows the bay itself.
 */
#pragma once

#include "app/session.h"

#include <gtk/gtk.h>

#define TB_TYPE_DETAILS (tb_details_get_type())
G_DECLARE_FINAL_TYPE(TbDetails, tb_details, TB, DETAILS, GtkBox)

/** @param session referenced */
GtkWidget *tb_details_new(TbSession *session);
