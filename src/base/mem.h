/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file mem.h
 * @brief Memory for the core: checked sizes, and a hook that fails the n-th request.
 *
 * Everything in base, geom, motion, gaps, physics and the document's own records comes from here,
 * so that a test can prove every cleanup path. A NULL is for the caller to turn into TB_E_MEMORY.
 */
#pragma once

#include <stddef.h>

/** @p size bytes, all zero; NULL when there is no room. Size 0 gives a unique pointer. */
void *tb_alloc(size_t size);

/** @p count things of @p size bytes, all zero; NULL when there is no room or the product wraps. */
void *tb_alloc_array(size_t count, size_t size);

/**
 * Resize an array; new room is not cleared.
 *
 * @param room array from this file, or NULL
 * @return the array, maybe moved; NULL when there is no room, and @p room is then still valid
 */
void *tb_resize_array(void *room, size_t count, size_t size);

/**
 * Make room for one more element than @p count: at least doubles a capacity that does not do.
 *
 * @param room     array or NULL, replaced on success
 * @param capacity its capacity, replaced on success
 * @return 0, or -1 when there is no room; both are then untouched
 */
int tb_grow_array(void **room, size_t *capacity, size_t count, size_t size);

/** A copy of a text, or NULL when there is no room or @p text is NULL. */
char *tb_copy_text(const char *text);

/** Give back; NULL is fine. */
void tb_free(void *room);

/** Free and forget: `TB_CLEAR(p)` leaves p NULL. */
#define TB_CLEAR(pointer) (tb_free(pointer), (pointer) = NULL)

/**
 * For a program's start: what is given back stays the program's, up to 64 MiB and but for things of
 * 32 MiB and more. Answers ask for and give back the same room many times a second, and the C
 * library would hand it to the system and have it back each time, a page at a time.
 */
void tb_mem_keep(void);

/** Tests only: let the n-th request from now fail (1 is the next); 0 switches it off. */
void tb_mem_fail_at(long n);

/** Tests only: requests since the last tb_mem_fail_at(). */
long tb_mem_requests(void);
