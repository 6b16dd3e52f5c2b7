/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file save.h
 * @brief Write a file whole or not at all.
 *
 * The bytes go to a temporary file in the same folder, which takes the place of the old one only
 * when everything is on the disk; until then the old file stays as it was, and a failure leaves
 * nothing behind. A symbolic link stays a link: its target is replaced. The old file's mode is
 * kept. A device or a pipe (/dev/stdout) is written straight through, for there is nothing to keep.
 */
#pragma once

#include "base/fault.h"

typedef struct TbSave TbSave;

/** @return TB_OK, TB_E_IO with the path and the system's reason, TB_E_MEMORY. */
TbStatus tb_save_open(const char *path, TbSave **save, TbFault *fault);

/** Append bytes. After a failure only tb_save_drop() makes sense. */
TbStatus tb_save_write(TbSave *save, const void *bytes, size_t size, TbFault *fault);

/** The file need not outlive a power cut, as a cache that is checked when it is read: do not wait
 * for the disk. Still whole or not at all for everybody else. */
void tb_save_in_a_hurry(TbSave *save);

/** Put the file in place. Frees @p save, also on failure: then the old file is still there. */
TbStatus tb_save_close(TbSave *save, TbFault *fault);

/** Give up: nothing is left behind. Frees @p save; NULL is fine. */
void tb_save_drop(TbSave *save);

/** All of it in one call. */
TbStatus tb_save_bytes(const char *path, const void *bytes, size_t size, TbFault *fault);
