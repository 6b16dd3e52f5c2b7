/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan_paths.h
 * @brief A bay names its scans from its own folder: what that means when it goes to another one.
 */
#pragma once

#include "bay/document.h"

/**
 * The bay as it must be in another folder: its scans are named from there.
 *
 * @param from,to absolute paths of folders; NULL: not known, nothing changes
 * @return a reference for the caller; @p bay itself when nothing changes, or nothing can
 */
TbBay *tb_scan_paths_moved(TbBay *bay, const char *from, const char *to);
