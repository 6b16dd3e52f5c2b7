/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file folders.h
 * @brief Where the program's own files are, installed or in the build folder.
 */
#pragma once

#include <gio/gio.h>

/** The folder of the examples; to be freed. NULL: there are none. */
char *tb_folders_examples(void);

/** The program's settings; ends the program with a sentence when they are not installed. */
GSettings *tb_folders_settings(void);
