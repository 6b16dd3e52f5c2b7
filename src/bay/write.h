/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file write.h
 * @brief A document becomes a `.bay` file, whole or not at all.
 *
 * The form is fixed (canonical): two spaces a level, one element a line, attributes in the tables'
 * order, defaults left out, the shortest decimals that read back to the same bits, so that two
 * revisions differ in the lines that changed. Writing what was read gives the same bytes where the
 * file had this form. The user's comments are kept: before an element, or after the last one of
 * its parent. Blank lines are not.
 */
#pragma once

#include "bay/document.h"

#include <glib.h>

/** The whole file, to be freed by g_string_free(). Needs no room from base/mem.h. */
GString *tb_bay_to_text(const TbBay *bay);

/**
 * Save, as base/save.h does it. "-" is standard output.
 *
 * @return TB_OK, or TB_E_IO with the system's words: the old file is then as it was, and nothing
 *         is left behind
 */
TbStatus tb_bay_write_file(const TbBay *bay, const char *path, TbFault *fault);
