/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/mem.h"

#include <stdatomic.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#ifdef __GLIBC__
#include <malloc.h>
#endif

static atomic_long requests;
static atomic_long fail_at;

static int
must_fail(void)
{
    long n = atomic_fetch_add_explicit(&requests, 1, memory_order_relaxed) + 1;

    return n == atomic_load_explicit(&fail_at, memory_order_relaxed);
}

void *
tb_alloc(size_t size)
{
    if (must_fail())
        return NULL;
    return calloc(1, size > 0 ? size : 1);
}

void *
tb_alloc_array(size_t count, size_t size)
{
    if (size != 0 && count > SIZE_MAX / size)
        return NULL;
    return tb_alloc(count * size);
}

void *
tb_resize_array(void *room, size_t count, size_t size)
{
    size_t bytes;

    if (size != 0 && count > SIZE_MAX / size)
        return NULL;
    if (must_fail())
        return NULL;
    bytes = count * size;
    return realloc(room, bytes > 0 ? bytes : 1);
}

int
tb_grow_array(void **room, size_t *capacity, size_t count, size_t size)
{
    size_t wanted;
    void *grown;

    if (count < *capacity)
        return 0;
    wanted = *capacity > 8 ? 2 * *capacity : 16;
    if (wanted <= count)
        wanted = count + 1;
    grown = tb_resize_array(*room, wanted, size);
    if (grown == NULL)
        return -1;
    *room = grown;
    *capacity = wanted;
    return 0;
}

char *
tb_copy_text(const char *text)
{
    size_t bytes;
    char *copy;

    if (text == NULL)
        return NULL;
    bytes = strlen(text) + 1;
    copy = tb_alloc(bytes);
    if (copy != NULL)
        memcpy(copy, text, bytes);
    return copy;
}

void
tb_free(void *room)
{
    free(room);
}

void
tb_mem_keep(void)
{
#ifdef __GLIBC__
    mallopt(M_TRIM_THRESHOLD, 64 << 20);
    mallopt(M_MMAP_THRESHOLD, 32 << 20);
    mallopt(M_TOP_PAD, 1 << 20);
#endif
}

void
tb_mem_fail_at(long n)
{
    atomic_store(&requests, 0);
    atomic_store(&fail_at, n);
}

long
tb_mem_requests(void)
{
    return atomic_load(&requests);
}
