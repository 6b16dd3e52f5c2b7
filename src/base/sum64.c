/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/sum.h"

#include <string.h>

/* The specification's five primes. */
#define P1 UINT64_C(0x9e3779b185ebca87)
#define P2 UINT64_C(0xc2b2ae3d27d4eb4f)
#define P3 UINT64_C(0x165667b19e3779f9)
#define P4 UINT64_C(0x85ebca77c2b2ae63)
#define P5 UINT64_C(0x27d4eb2f165667c5)

static uint64_t
turned(uint64_t x, int by)
{
    return x << by | x >> (64 - by);
}

/** Lowest byte first, on every machine. */
static uint64_t
word8_at(const unsigned char *b)
{
    uint64_t x;

    memcpy(&x, b, sizeof x);
#if __BYTE_ORDER__ == __ORDER_BIG_ENDIAN__
    x = __builtin_bswap64(x);
#endif
    return x;
}

static uint64_t
word4_at(const unsigned char *b)
{
    uint32_t x;

    memcpy(&x, b, sizeof x);
#if __BYTE_ORDER__ == __ORDER_BIG_ENDIAN__
    x = __builtin_bswap32(x);
#endif
    return x;
}

static uint64_t
mixed(uint64_t lane, uint64_t word)
{
    return turned(lane + word * P2, 31) * P1;
}

static void
add_block(uint64_t lane[4], const unsigned char *bytes)
{
    for (int k = 0; k < 4; k++)
        lane[k] = mixed(lane[k], word8_at(bytes + 8 * k));
}

void
tb_sum64_init(TbSum64 *sum)
{
    *sum = (TbSum64){.lane = {P1 + P2, P2, 0, 0 - P1}};
}

void
tb_sum64_add(TbSum64 *sum, const void *bytes, size_t size)
{
    const unsigned char *p = bytes;

    sum->length += size;
    if (sum->held > 0) {
        size_t taken = sizeof sum->block - sum->held;

        taken = taken < size ? taken : size;
        memcpy(sum->block + sum->held, p, taken);
        sum->held += taken;
        p += taken;
        size -= taken;
        if (sum->held < sizeof sum->block)
            return;
        add_block(sum->lane, sum->block);
        sum->held = 0;
    }
    for (; size >= sizeof sum->block; p += sizeof sum->block, size -= sizeof sum->block)
        add_block(sum->lane, p);
    if (size > 0)
        memcpy(sum->block, p, size);
    sum->held = size;
}

static uint64_t
lanes_joined(const uint64_t lane[4])
{
    static const int by[] = {1, 7, 12, 18};
    uint64_t h = 0;

    for (int k = 0; k < 4; k++)
        h += turned(lane[k], by[k]);
    for (int k = 0; k < 4; k++)
        h = (h ^ mixed(0, lane[k])) * P1 + P4;
    return h;
}

uint64_t
tb_sum64(const TbSum64 *sum)
{
    uint64_t h = sum->length >= sizeof sum->block ? lanes_joined(sum->lane) : P5;
    const unsigned char *p = sum->block;
    size_t left = sum->held;

    h += sum->length;
    for (; left >= 8; p += 8, left -= 8)
        h = turned(h ^ mixed(0, word8_at(p)), 27) * P1 + P4;
    for (; left >= 4; p += 4, left -= 4)
        h = turned(h ^ word4_at(p) * P1, 23) * P2 + P3;
    for (; left > 0; p++, left--)
        h = turned(h ^ *p * P5, 11) * P1;
    h = (h ^ h >> 33) * P2;
    h = (h ^ h >> 29) * P3;
    return h ^ h >> 32;
}

uint64_t
tb_sum64_of(const void *bytes, size_t size)
{
    TbSum64 sum;

    tb_sum64_init(&sum);
    tb_sum64_add(&sum, bytes, size);
    return tb_sum64(&sum);
}
