/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file fold.h
 * @brief A box around one child that tells when there is too little width for it.
 *
 * It may be made narrower than its child is; whoever listens to `notify::narrow` then puts the
 * child's parts elsewhere, so that it fits. Properties: `child`, `narrow` (read only), `below`
 * (px: narrower than this is narrow, even where the child would fit).
 */
#pragma once

#include <gtk/gtk.h>

#include <stdbool.h>

#define TB_TYPE_FOLD (tb_fold_get_type())
G_DECLARE_FINAL_TYPE(TbFold, tb_fold, TB, FOLD, GtkWidget)

bool tb_fold_is_narrow(TbFold *fold);
