/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/room.h"

#include <glib.h>
#include <stdalign.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

/* Bytes of the first block and of the largest: still small enough that the C library keeps it when
 * it is given back, and the next one who asks finds it warm. */
enum { FIRST = 2048, LARGEST = 65536 };

typedef struct Block {
    struct Block *before;
    alignas(max_align_t) char room[];
} Block;

struct TbRoom {
    Block *blocks;
    char *here, *end; /* what is left of the block that is being filled */
    size_t next;      /* bytes of the next one */
};

TbRoom *
tb_room_new(void)
{
    TbRoom *room = g_new0(TbRoom, 1);

    room->next = FIRST;
    return room;
}

void
tb_room_free(TbRoom *room)
{
    if (room == NULL)
        return;
    while (room->blocks != NULL) {
        Block *block = room->blocks;

        room->blocks = block->before;
        g_free(block);
    }
    g_free(room);
}

static char *
add_block(TbRoom *room, size_t size)
{
    Block *block = g_malloc(sizeof *block + size);

    block->before = room->blocks;
    room->blocks = block;
    return block->room;
}

/* A new block, or one for this thing alone: then what is left of the last is still used. */
static char *
more(TbRoom *room, size_t size)
{
    char *at;

    if (size > room->next / 4)
        return add_block(room, size);
    at = add_block(room, room->next);
    room->here = at + size;
    room->end = at + room->next;
    room->next = MIN(2 * room->next, LARGEST);
    return at;
}

static char *
take(TbRoom *room, size_t size, size_t alignment)
{
    size_t skip = -(uintptr_t)room->here & (alignment - 1);
    char *at;

    /* a new block too where nothing is left: a thing of 0 bytes has a place of its own */
    if (G_UNLIKELY(skip + size >= (size_t)(room->end - room->here)))
        return more(room, size);
    at = room->here + skip;
    room->here = at + size;
    return at;
}

void *
tb_room_take(TbRoom *room, size_t size)
{
    return take(room, size, alignof(max_align_t));
}

void *
tb_room_copy(TbRoom *room, const void *from, size_t size)
{
    void *copy = tb_room_take(room, size);

    if (size > 0)
        memcpy(copy, from, size);
    return copy;
}

char *
tb_room_text(TbRoom *room, const char *text)
{
    size_t size = text == NULL ? 1 : strlen(text) + 1;

    return memcpy(take(room, size, 1), text == NULL ? "" : text, size);
}

char *
tb_room_join(TbRoom *room, const char *first, ...)
{
    size_t size = 1;
    char *joined, *to;
    va_list texts;

    va_start(texts, first);
    for (const char *text = first; text != NULL; text = va_arg(texts, const char *))
        size += strlen(text);
    va_end(texts);
    joined = to = take(room, size, 1);
    va_start(texts, first);
    for (const char *text = first; text != NULL; text = va_arg(texts, const char *))
        to = stpcpy(to, text);
    va_end(texts);
    *to = '\0';
    return joined;
}

void *
tb_room_grow(TbRoom *room, void *array, size_t count, size_t size)
{
    void *grown;

    if (count != 0 && (count & (count - 1)) != 0)
        return array;
    grown = tb_room_take(room, MAX(2 * count, 1) * size);
    if (count > 0)
        memcpy(grown, array, count * size);
    return grown;
}
