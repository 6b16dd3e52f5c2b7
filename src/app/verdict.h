/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file verdict.h
 * @brief The form in which a decision about a finding is written: what, who, until when, why.
 *
 * A popover. What is refused (a waiver without a reason, a date that is none) is said in it, and
 * nothing that was typed is lost.
 */
#pragma once

#include "app/matter_rows.h"

#include <gtk/gtk.h>

#define TB_TYPE_VERDICT_FORM (tb_verdict_form_get_type())
G_DECLARE_FINAL_TYPE(TbVerdictForm, tb_verdict_form, TB, VERDICT_FORM, GtkPopover)

/** @param session referenced */
GtkWidget *tb_verdict_form_new(TbSession *session);

/** Ask about a row's finding; @p at is in the parent's coordinates. */
void tb_verdict_form_ask(TbVerdictForm *form, const TbMatterRow *row, const GdkRectangle *at);
