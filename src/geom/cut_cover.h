/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cut_cover.h
 * @brief The outline of the union of convex bodies on paper, for silhouettes and envelopes.
 */
#pragma once

#include "geom/cut_private.h"

typedef struct TbCutSpan {
    double low, high;
} TbCutSpan;

/** Spans that a line has room for before it needs some of its own. */
#define TB_CUT_LINE_ROOM 3

/** A row or column: spans that do not touch, in no order. */
typedef struct TbCutLine {
    TbCutSpan few[TB_CUT_LINE_ROOM];
    TbCutSpan *more; /**< all of them, where few are not enough */
    size_t count, room;
} TbCutLine;

typedef struct TbCutCover {
    TbVec2 low;         /**< mm on paper where the grid begins */
    double step, scale; /**< mm; steps of the grid for one mm */
    double near;        /**< mm that the outline may be off for the sake of fewer points */
    bool sharpen;       /**< the grid is so wide that corners must be looked for */
    size_t lines[2];    /**< rows, columns */
    TbCutLine *line[2];
    TbCutSpan *open[2];        /**< by line: of the body that is being added */
    size_t from[2], to[2];     /**< lines that it touches, so far */
    unsigned char *covered[2]; /**< grid points of two rows */
    TbCutSegments segments;
} TbCutCover;

/**
 * An empty cover; cleared by the caller in either case.
 *
 * @param low,high mm on paper: holds all that will be added
 * @param chord    mm that the outline may be off, about
 * @param step     mm of the grid, where that is not too many of them; chord or more
 * @return TB_OK or TB_E_MEMORY
 */
TbStatus tb_cut__cover_begin(
    TbCutCover *cover, TbVec2 low, TbVec2 high, double chord, double step, TbFault *fault);
void tb_cut__cover_clear(TbCutCover *cover);

/** A point of the paper in grid steps, which bodies are added in. */
TbVec2 tb_cut__cover_place(const TbCutCover *cover, TbVec2 paper);

/** An edge of the body that is being added, in grid steps. */
void tb_cut__cover_edge(TbCutCover *cover, TbVec2 a, TbVec2 b);

/** The body's edges are all there; false when there is no room. */
bool tb_cut__cover_close(TbCutCover *cover);

/** Adds the outline of all bodies to a cut, not yet nested. */
TbStatus tb_cut__cover_trace(TbCutCover *cover, TbCut *cut, int role, TbFault *fault);
