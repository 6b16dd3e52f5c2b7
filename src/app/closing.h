/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file closing.h
 * @brief Windows close; whoever would lose changes is asked once, for all of them together.
 */
#pragma once

#include "app/window.h"

/** Close a window, after asking where its changes would be lost. */
void tb_close_window(TbWindow *window);

/** Close all windows, so that the program ends; asks once. */
void tb_close_all(TbApplication *application);
