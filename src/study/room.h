/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file room.h
 * @brief Room that is given back as a whole: for what is made of hundreds of short texts and rows
 *        that all live as long as each other.
 *
 * What is taken is never moved and never given back singly. One thread at a time may take.
 */
#pragma once

#include <stddef.h>

typedef struct TbRoom TbRoom;

TbRoom *tb_room_new(void);
void tb_room_free(TbRoom *room); /**< NULL is fine */

/** @p size bytes, not cleared, for a value of any kind; 0 is fine, and not NULL. */
void *tb_room_take(TbRoom *room, size_t size);

/** A copy of @p size bytes. */
void *tb_room_copy(TbRoom *room, const void *from, size_t size);

/** A copy of a text; NULL is "". */
char *tb_room_text(TbRoom *room, const char *text);

/** The texts one after the other; ends with NULL. */
char *tb_room_join(TbRoom *room, const char *first, ...) __attribute__((sentinel));

/**
 * An array of @p count things with place for one more. It has place for the next power of two, so
 * it moves at powers; what it leaves behind is not used again.
 */
void *tb_room_grow(TbRoom *room, void *array, size_t count, size_t size);
