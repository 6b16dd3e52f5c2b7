/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file sweep_private.h
 * @brief What the files sweep*.c share.
 */
#pragma once

#include "geom/sweep.h"

#include <stdatomic.h>

struct TbSweep {
    atomic_int references;
    TbCurve *curve;
    TbLaw *law;
    TbPiece *pieces;
    size_t count, capacity;
    bool drifts;
    TbDrift drift;
};

/** Cut the path into pieces and carry the frame along them; curve and law are in place. */
TbStatus tb_sweep__cut(TbSweep *sweep, const TbVec3 *up, TbFault *fault);

/** Unit tangent of a piece at @p u from its start, and its frame there. */
TbFrame tb_piece__frame(const TbPiece *piece, TbVec3 tangent, double u);

/** The path's point at a station, where the drift has carried it. */
TbVec3 tb_piece__drifted(const TbPiece *piece, TbVec3 p, double station);

/** Station of the place @p u into a piece. */
double tb_piece__station(const TbPiece *piece, double u);

/** The station @p u into a piece, its arc length known. */
TbDisc tb_piece__disc_at(const TbPiece *piece, double u, double station);

/** No point of the piece's discs, wall included, lies further from its path's point. */
double tb_piece__reach(const TbPiece *piece);

/** Nowhere broken: from beyond to. */
#define TB_SWEEP_NOWHERE ((TbSweepWorst){.from = 0, .to = -1})

/** A range that is broken as well, not before those so far. */
static inline void
tb_sweep__broken(TbSweepWorst *worst, double from, double to)
{
    if (worst->from > worst->to)
        worst->from = from;
    worst->to = to;
}
