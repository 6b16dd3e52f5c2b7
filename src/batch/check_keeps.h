/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file check_keeps.h
 * @brief How many pairs of items no keep speaks of, and how those get one that usually have one.
 */
#pragma once

#include "bay/document.h"
#include "study/results.h"

#include <glib.h>

/** Appends a note where there are any. @param results of all states and variants */
void tb_check_keeps(GString *text, const TbBay *bay, const TbResults *results);
