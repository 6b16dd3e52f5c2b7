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

/** mm. Grid that silhouettes of sweeps are laid on while something moves. */
#define TB_SEEN_GRID_MOVING 1.0

/** mm. Cuts of sweeps while something moves: a third of a dot of the screen at 1:1. */
#define TB_SEEN_MOVING 0.1

typedef struct TbSeen {
    TbCut cut;
    TbFault fault; /**< why there is none */
} TbSeen;

typedef struct TbSeenRings {
    TbSweep *sweep; /**< referenced: the rings are along it */
    TbCutRings rings;
} TbSeenRings;

/**
 * Where the plane meets a form that is there. The value is a TbSeen.
 *
 * @param coarse within TB_SEEN_MOVING, else TB_TOL_CUT
 */
TbEntry *tb_seen_cut(TbCache *cache, const TbEntry *form, TbPlane plane, bool coarse);

/** Rings along the path of a form that has a sweep, which all that is seen of it beyond planes is
 * drawn by. The value is a TbSeenRings. */
TbEntry *tb_seen_rings(TbCache *cache, const TbEntry *form);

/**
 * What is seen of a form beyond the plane. The value is a TbSeen.
 *
 * @param rings  of a form that has a sweep, settled; else NULL
 * @param all    all of it lies clearly beyond: along an axis it is then the same from every plane
 * @param coarse sweeps on a grid of TB_SEEN_GRID_MOVING
 */
TbEntry *tb_seen_beyond(TbCache *cache,
                        const TbEntry *form,
                        const TbEntry *rings,
                        TbPlane plane,
                        bool all,
                        bool coarse);

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
