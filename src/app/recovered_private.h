/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file recovered_private.h
 * @brief The form of a copy for recovery, shared by who writes and who finds them.
 */
#pragma once

#include "app/autosave.h"

/** The line that a copy has more than its bay: a processing instruction, which readers skip. */
#define TB_RECOVERED_MARK "tightbay-recovered"

/** What a copy says of itself. */
typedef struct TbRecoveredHead {
    const char *uri, *stamp, *title; /**< or NULL */
    gint64 time;                     /**< s since 1970 UTC */
} TbRecoveredHead;

/** The text of a copy: the bay with the head's line after its first one. */
GString *tb_recovered__text(const TbBay *bay, const TbRecoveredHead *head);

/** The path of a copy's lock; to be freed. */
char *tb_recovered__lock_path(const char *path);

/** Make a lock and hold it; -1 when it cannot be made, or another holds it. */
int tb_recovered__lock(const char *path, bool make);

/** Remove a copy and its lock, in this order; the lock stays held. */
void tb_recovered__remove(const char *path);
