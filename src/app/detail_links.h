/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file detail_links.h
 * @brief What hangs on a record and has details of its own: an item's ports, their joints, and
 * back. No widget here.
 */
#pragma once

#include "bay/fields.h"

#include <glib.h>

/**
 * Of an item the ports that it owns or ends on and their joints; of a port the items and joints
 * there; of a joint its ports and their items. Each once, items first.
 *
 * @return of const TbRecord *, lent by the document; empty for any other record
 */
GPtrArray *tb_detail_links(const TbBay *bay, const TbRecord *record);
