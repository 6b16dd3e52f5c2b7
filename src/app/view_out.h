/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file view_out.h
 * @brief Exporting and printing what a pane shows.
 */
#pragma once

#include "app/view_sheet.h"

#include <gtk/gtk.h>

/** Asks for a name and writes SVG, PDF or PNG; the session says how it went. */
void tb_view_out_export(GtkWindow *parent, TbSession *session, int pane);

/** The same of a drawing that is there. @param picture taken */
void tb_view_out_save(GtkWindow *parent, TbSession *session, const char *name, TbPicture *picture);

/** Asks for a printer; mm of the drawing are mm of the paper. */
void tb_view_out_print(GtkWindow *parent, TbSession *session, int pane);

/** A print operation that draws the pane, for the dialog and for tests. */
GtkPrintOperation *tb_view_out_print_operation(TbSession *session, int pane);
