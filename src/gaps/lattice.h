/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file lattice.h
 * @brief A duct's surface as rows of patches with boxes: what a search against a scan walks over.
 *
 * A ring is `columns` points around the duct; a row is what lies between two rings, `columns`
 * patches side by side. Patch k of a row stands on columns k and k + 1 (the last one closes the
 * ring) of its two rings. Two kinds:
 *
 * - flat: the patch is two triangles, low[k] low[k+1] high[k+1] and low[k] high[k+1] high[k]. The
 *   surface is the triangles.
 * - swept: the surface is the true one of a sweep. The patch lies within its `stray` of the same
 *   two triangles and in its box. A row is a strip of the sweep, or a filled section: then every
 *   point of its second ring is the section's middle, and the patches cover it.
 *
 * Boxes are floats, rounded outward; eight rows are a group, eight columns a block.
 */
#pragma once

#include "geom/bound.h"
#include "geom/carried.h"

typedef struct TbLattice TbLattice;

/** Columns of a ring: a multiple of 8, at most this. */
#define TB_LATTICE_MOST_COLUMNS 64

/**
 * Room for a flat lattice; its points are set by tb_lattice_set_points().
 *
 * @param rings   2 or more (asserted)
 * @param columns 8 to TB_LATTICE_MOST_COLUMNS, a multiple of 8 (asserted)
 * @return TB_OK or TB_E_MEMORY
 */
TbStatus tb_lattice_new_flat(size_t rings, size_t columns, TbLattice **lattice, TbFault *fault);

/** The points of a flat lattice, ring by ring, mm, copied: also while something is dragged. */
void tb_lattice_set_points(TbLattice *lattice, const TbVec3 points[]);

/**
 * The strips of a sweep between stations, end sections included: all that is between the first and
 * the last. The first and the last row are the end sections.
 *
 * @param stations ascending, 2 or more (asserted); a row ends at each, at ends of pieces, and in
 *                 between where a strip would stray too far from its chords: count the rows
 * @return TB_OK or TB_E_MEMORY
 */
TbStatus tb_lattice_new_swept(const TbSweep *sweep,
                              const double stations[],
                              size_t count,
                              size_t columns,
                              TbLattice **lattice,
                              TbFault *fault);

/** What warmth may do to a sweep, row by row: numbers from rest, each of which moves every point on
 * a straight line. */
typedef struct TbLatticeWarmth {
    /** Of a strip; or, where that is NULL, of the section at a station. NULL: there is none. */
    void (*of)(const void *user, const TbStrip *strip, double station, TbWarm *warm);
    const void *user;
    TbPose place; /**< rigid: where the sweep has been moved since */
} TbLatticeWarmth;

/**
 * The same of a sweep that turns about an axis, to and fro from where it is, and is warm within
 * that: for tb_scan_least(), which then gives the least over all of these turns and warmths.
 *
 * @param direction of the axis, need not be unit
 * @param half rad each way, 0 or more
 * @param warmth copied, its user lent; or NULL
 */
TbStatus tb_lattice_new_rocking(const TbSweep *sweep,
                                const double stations[],
                                size_t count,
                                size_t columns,
                                TbVec3 point,
                                TbVec3 direction,
                                double half,
                                const TbLatticeWarmth *warmth,
                                TbLattice **lattice,
                                TbFault *fault);

/**
 * Filled sections of a sweep, a row each.
 *
 * @param discs sections of this sweep, as tb_sweep_at() gives them, in any order; copied
 * @return TB_OK or TB_E_MEMORY
 */
TbStatus tb_lattice_new_sections(const TbSweep *sweep,
                                 const TbDisc *const discs[],
                                 size_t count,
                                 size_t columns,
                                 TbLattice **lattice,
                                 TbFault *fault);

void tb_lattice_free(TbLattice *lattice); /**< NULL is fine */

size_t tb_lattice_rows(const TbLattice *lattice);
