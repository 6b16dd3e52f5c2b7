/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tree_points_private.h
 * @brief The walks behind nearest queries: for one point, and for a packet of points that lie close
 *        together. Each comes twice, plain and for AVX2 (lanes.h); both give the same answers.
 */
#pragma once

#include "geom/tree.h"

/** Points that share a walk: about as many as need the same leaves. */
#define TB_POINTS_MOST 128

/** Points in an order in which neighbours follow each other, and their answers. */
typedef struct TbPointsPacket {
    size_t count; /**< 1 to TB_POINTS_MOST */
    TbVec3 point[TB_POINTS_MOST];
    double limit[TB_POINTS_MOST];  /**< mm: what is further is no answer */
    double bound[TB_POINTS_MOST];  /**< mm: something is known to be as near; used up */
    TbTreeHit hit[TB_POINTS_MOST]; /**< out; triangle UINT32_MAX: none within the limit */
} TbPointsPacket;

typedef struct TbPointsKernel {
    /** @param limit,bound as a packet's; INFINITY: none */
    TbTreeHit (*one)(const TbTree *tree, TbVec3 p, double limit, double bound);
    void (*packet)(const TbTree *tree, TbPointsPacket *packet);
} TbPointsKernel;

extern const TbPointsKernel tb_points__plain;
#if defined(__x86_64__) || defined(__i386__)
extern const TbPointsKernel tb_points__avx2;
#endif
