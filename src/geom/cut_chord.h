/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file cut_chord.h
 * @brief Where the outline of a section passes a plane.
 */
#pragma once

#include "geom/law.h"

/** What is known of a chord's end: the next section's is looked for near it. */
typedef struct TbCutEnd {
    TbVec2 normal; /**< of the outline, in the section's own axes (w, h); zero: nothing is known */
    double slope;  /**< how fast the height rises there, see cut_chord.c; 0: not known */
} TbCutEnd;

/** Between two ends, at a share of the way: nothing where one of them tells nothing. */
TbCutEnd tb_cut__end_between(TbCutEnd a, TbCutEnd b, double share);

/** A section against a plane. */
typedef struct TbCutSection {
    const TbSlice *slice;
    bool outer;
    double height;       /**< mm, of the section's origin over the plane */
    TbVec2 rise;         /**< height that the section's own axes gain over the plane: (w, h) */
    TbVec2 above, below; /**< the outline's highest and lowest point, on either side of the plane */
} TbCutSection;

/**
 * The point at which the outline passes the plane, from its highest point to its lowest.
 *
 * @param way  1 for the way round on which the normal turns from h to w, else -1
 * @param near mm
 * @param[in,out] known where the section before had it
 */
TbVec2 tb_cut__chord_end(const TbCutSection *section, double way, double near, TbCutEnd *known);
