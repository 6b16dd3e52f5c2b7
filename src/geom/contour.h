/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file contour.h
 * @brief Level lines of numbers on a grid: closed loops around what lies below a level.
 *
 * Marching squares (the plane's case of Lorensen and Cline, Computer Graphics 21 (1987) 163, doi
 * 10.1145/37402.37422), crossings found linearly on the grid's edges; where all four edges are
 * crossed the mean of the corners says which two stay joined. Outside of the grid, and where a
 * number is NAN, lies infinity: loops close there, through the last nodes that are below.
 */
#pragma once

#include "base/fault.h"
#include "geom/polygon.h"

/** Numbers at nodes: value[column * rows + row]. */
typedef struct TbGrid {
    const double *value;
    size_t columns, rows;
} TbGrid;

/** Loops in columns and rows of the grid, counter-clockwise about what is below. */
typedef struct TbContour {
    TbVec2 *points;
    size_t point_count;
    TbLoopSpan *loops;
    size_t loop_count;
} TbContour;

/**
 * @param grid  at least 1 x 1
 * @param level nodes with a number less than this are inside
 * @param[out] contour cleared by the caller; empty on failure
 * @return TB_OK, TB_E_MEMORY, TB_E_LIMIT (more than 2^30 nodes)
 */
TbStatus tb_contour_below(const TbGrid *grid, double level, TbContour *contour, TbFault *fault);

void tb_contour_clear(TbContour *contour);
