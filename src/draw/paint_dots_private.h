/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file paint_dots_private.h
 * @brief What filling and stroking share: the image, its clip and room to work in.
 */
#pragma once

#include "draw/paint_dots.h"

/** Dots of a row, from its first one. */
typedef struct TbDotsRow {
    int from, to;
} TbDotsRow;

struct TbDots {
    cairo_surface_t *image;
    uint32_t *first; /**< of the image; NULL: none */
    size_t stride;   /**< dots from row to row */
    TbDotsBox clip;
    TbDotsRow *rows;
    size_t rows_room;
    /* room that is all zero between calls */
    float *turns; /**< of an area: by how much the winding number changes at a dot */
    size_t turns_room;
    unsigned char *shares; /**< of a line: 0 to 255 of each dot */
    size_t shares_room;
};

/** Whole dots that hold these points and what is within @p air of them, inside the clip. */
TbDotsBox tb_dots__box(const TbDots *dots, const TbVec2 points[], size_t count, double air);

/** Of dots in a row, those that a way from low to high touches; what is no number does not bound.
 */
static inline void
tb_dots__cut(double low, double high, int *from, int *to)
{
    int first = *from, last = *to;

    *from = low > first ? (low < last ? (int)low : last) : first;
    *to = high < last ? (high > first ? (int)high + 1 : first) : last;
}

bool tb_dots__is_empty(TbDotsBox box);

/** 0 to 255 as 0 to 256, so that a share of all of it leaves nothing. */
static inline uint32_t
tb_dots__widened(uint32_t share)
{
    return share + (share >> 7);
}

/** Alpha of the ink and its share together leave so much of 256, rounded so that a colour never
 * runs over. @p share of 256 */
static inline uint32_t
tb_dots__left_by(uint32_t alpha, uint32_t share)
{
    return 256 - ((tb_dots__widened(alpha) * share + 255) >> 8);
}

/** Two colours at a time, eight bits apart, of both dots. Shares of 256. */
static inline uint32_t
tb_dots__mixed(uint32_t over, uint32_t share, uint32_t under, uint32_t left)
{
    const uint32_t pair = 0x00ff00ff, half = 0x00800080;
    uint32_t even = ((over & pair) * share + (under & pair) * left + half) >> 8 & pair;
    uint32_t odd = ((over >> 8 & pair) * share + (under >> 8 & pair) * left + half) & ~pair;

    return even | odd;
}

/** Around painting: others may have painted before, and may after. */
void tb_dots__enter(TbDots *dots);
void tb_dots__leave(TbDots *dots);
