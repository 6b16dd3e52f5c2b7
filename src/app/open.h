/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file open.h
 * @brief Bays come into windows: files, examples, new ones, recovered copies.
 *
 * A window that shows the welcome page takes the bay, otherwise a new one is made. A file that some
 * window has already brings that window to the front.
 */
#pragma once

#include "app/application.h"
#include "app/autosave.h"
#include "app/window.h"

/** Open a file; trouble is told in a notice bar of the window in front. */
void tb_open_file(TbApplication *application, GFile *file);

/** Open an example as an untitled copy. @param name "van-c.bay" */
void tb_open_example(TbApplication *application, const char *name);

/** A new bay with the usual mounts, keeps and states. */
void tb_open_new(TbApplication *application);

/** Ask for files and open them. */
void tb_open_chooser(TbApplication *application, GtkWindow *parent);

/** Go on with a recovered copy, which is taken over. @p place the user's file, or NULL */
void
tb_open_recovered(TbApplication *application, TbBay *bay, GFile *place, TbRecovered *recovered);

/** Offer the copies that a killed program left, in a window's notice bars. */
void tb_open_offer_recovered(TbApplication *application, TbWindow *window);
