/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file seen.h
 * @brief What a plane shows of a form, kept by both: a drag draws the moved item anew, no other.
 */
#pragma once

#include "geom/cut.h"
#include "study/cache.h"

/** mm. Chord of silhouettes: half a line's width on paper at 1:2. */
#define TB_SEEN_CHORD 0.25

/** mm. Cuts of sweeps while something moves: a sixth of a dot of the screen at 1:1. */
#define TB_SEEN_MOVING 0.05

typedef struct TbSeen {
    TbCut cut;
    TbFault fault; /**< why there is none */
} TbSeen;

/**
 * Where the plane meets a form that is there. The value is a TbSeen.
 *
 * @param coarse within TB_SEEN_MOVING, else TB_TOL_CUT
 */
TbEntry *tb_seen_cut(TbCache *cache, const TbEntry *form, TbPlane plane, bool coarse);

/**
 * What is seen of a form beyond the plane. The value is a TbSeen.
 *
 * @param all all of it lies clearly beyond: along an axis it is then the same from every plane
 */
TbEntry *tb_seen_beyond(TbCache *cache, const TbEntry *form, TbPlane plane, bool all);

/** mm between points of a trace, about. */
#define TB_SEEN_STEP 2.0

/** A path's centre line, as it stands: stations of the state. */
typedef struct TbTrace {
    size_t count; /**< 2 or more */
    double *station;
    TbVec3 *point;
} TbTrace;

/** Of a form that has a sweep. The value is a TbTrace. */
TbEntry *tb_seen_trace(TbCache *cache, const TbEntry *form);
