/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file overlap_private.h
 * @brief How deep two solids stand in each other: the smaller, over both orders, of the minimum
 * over one part's surface of the signed distance to the other part; the deepest pair of parts.
 */
#pragma once

#include "gaps/field_private.h"

typedef struct TbDepth {
    double lower, upper; /**< mm; the signed gap, so minus a depth. upper is what was known
                              (TB_TOL_ROUND) where no point was proved to lie deeper */
    TbVec3 point_a, point_b;
    TbSite site_a, site_b;
    TbVec3 way_out; /**< unit, moving a along it lessens the depth, first order; zero where upper is
                         not below 0 */
    bool exhausted;
    bool any; /**< some pair of parts both of which have an inside was looked at */
    long nodes;
    long probes; /**< points whose signed distance was searched: most of the work */
} TbDepth;

/**
 * @param a,b    the parts under their roots are looked at
 * @param inner  which lies wholly in the other: its open meshes, that have no inside, are looked at
 *               in the one order that is defined
 * @param width  wanted between lower and upper, mm
 * @param known  mm, TB_TOL_ROUND or less: only what is deeper counts; `upper` where nothing is
 * @param budget cells to look at
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_overlap__depth(TbField *a,
                           TbField *b,
                           TbInner inner,
                           double width,
                           double known,
                           long budget,
                           const TbTask *task,
                           TbDepth *depth);
