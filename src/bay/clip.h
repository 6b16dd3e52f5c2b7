/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file clip.h
 * @brief Items as text, to be pasted into the same bay or another one.
 *
 * The text is a `.bay` file with the items, the ports they own, and what they may bring along where
 * the other bay has none of that id: their mounts, own materials, and the ports without an owner
 * that they end on. It need not be a whole bay, so only tb_edit_paste() reads it.
 */
#pragma once

#include "bay/edit.h"

#include <glib.h>

/** How the text is offered to other windows and programs. */
#define TB_CLIP_TYPE "application/x-tightbay-items+xml"

/**
 * @param ids of items; others are left out
 * @param[out] text to be freed by g_free()
 * @return TB_OK, TB_E_REFERENCE (not one item among them), TB_E_MEMORY
 */
TbStatus tb_bay_copy_items(
    const TbBay *bay, const char *const ids[], size_t count, char **text, TbFault *fault);

/**
 * Add what a text holds. Ids that are taken become fresh ones ("outlet-2"), and what was copied
 * together stays together. A mount, material or port without owner of the same id is used as the
 * bay has it, else it comes along. Anything else that an item names must be in the bay: the
 * sentence of the refusal says what is missing.
 *
 * @param[out] ids of the new items, ending in NULL; to be freed by g_strfreev(); may be NULL
 */
TbStatus
tb_edit_paste(const TbBay *bay, const char *text, char ***ids, TbBay **out, TbFault *fault);
