/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file disk_mark.h
 * @brief How a file stands on the disk, so that a later look tells whether it is still the same.
 */
#pragma once

#include "base/sum.h"

#include <gio/gio.h>
#include <stdbool.h>

/** How a file stands; clear with tb_disk_mark_clear(). */
typedef struct TbDiskMark {
    char *stamp;              /**< see tb_disk_stamp(); NULL: it is not there */
    char sum[TB_SHA256_TEXT]; /**< of its bytes; "" when not known */
} TbDiskMark;

void tb_disk_mark_clear(TbDiskMark *mark);
void tb_disk_mark_copy(TbDiskMark *to, const TbDiskMark *from);

/** The sum of bytes. */
void tb_disk_mark_sum(TbDiskMark *mark, const void *bytes, gsize size);

/** How a file stands now; what cannot be read counts as not there. Reads all of it. */
void tb_disk_mark_look(TbDiskMark *mark, GFile *place);

/** True when the same bytes are there: by the sums, or the stamps where a sum is not known. */
bool tb_disk_mark_is_alike(const TbDiskMark *a, const TbDiskMark *b);

/** What changes when a file does: its etag, which is its time, its number on the disk, its size.
 * Times come in steps of milliseconds, so two saves may share one. To be freed; NULL when nothing
 * is there. */
char *tb_disk_stamp(GFile *place);

/** All bytes of a file, at most one above the limit of a bay; NULL with @p error. */
GByteArray *tb_disk_bytes(GFile *place, GCancellable *cancel, GError **error);

/** True when both lead to the same file, over links and other spellings too. */
bool tb_disk_is_same(GFile *a, GFile *b);
