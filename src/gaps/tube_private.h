/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tube_private.h
 * @brief Where a sweep is a round bar of one thickness its strips need no sections.
 *
 * Every point of the bar lies within its radius of its axis. So a strip lies in the hull of two
 * balls about the ends of its axis, widened by how far the axis strays from its chord: h^2/8 times
 * its second derivative. A ball reaches beyond a flat end, so nearer to one than the radius the
 * bound is true but never close; there the sweep's own strips are taken.
 */
#pragma once

#include "geom/bound.h"

typedef struct TbTube {
    const TbPiece *piece;
    double u0, u1;
    double least, most;        /**< u of the tube it was halved from */
    TbVec3 c0, c1;             /**< ends of the axis */
    TbVec3 bend0, bend1;       /**< C'' there */
    double eighth;             /**< (u1-u0)^2 / 8 */
    double sag;                /**< how far d . C'' may leave the chord between its ends */
    double stray;              /**< mm: the axis leaves its chord by no more */
    double radius;             /**< mm, wall included */
    double station0, station1; /**< about: they only say where to look first */
} TbTube;

/** How far a point is from the line between two points, mm. */
static inline double
tb_line_distance(TbVec3 from, TbVec3 to, TbVec3 p)
{
    TbVec3 line = tb_vec3_sub(to, from), way = tb_vec3_sub(p, from);
    double along = tb_vec3_dot(way, line), full = tb_vec3_length2(line);
    double share = along > 0 && full > 0 ? (along < full ? along / full : 1) : 0;

    return tb_vec3_length(tb_vec3_add_scaled(way, -share, line));
}

/** A round section about the path of one thickness all along the piece. */
bool tb_tube__is_round(const TbPiece *piece);

/** Radius of a round piece, wall included, mm. */
double tb_tube__radius(const TbPiece *piece);

/** A part of a piece that is round. */
TbTube tb_tube__of(const TbPiece *piece, double u0, double u1);

/** Both halves. */
void tb_tube__halves(const TbTube *tube, TbTube half[2]);

/** Two balls and their hull, without the widening. */
TbConvex tb_tube__convex(const TbTube *tube);

/** How far the tube reaches beyond that hull along d, mm. */
double tb_tube__beyond(const TbTube *tube, TbVec3 d);

/** How far the whole tube reaches along d, at most: the hull and what is beyond it, mm. */
double tb_tube__reach(const TbTube *tube, TbVec3 d);

TbBox3 tb_tube__box(const TbTube *tube);
TbVec3 tb_tube__ball(const TbTube *tube, double *radius);

/**
 * A point of the bar near p: the nearest of the filled section that is square to the way to p, if
 * that is near a share of the way, 0 to 1; it may lie in a neighbour that comes of the same tube.
 */
TbVec3 tb_tube__point(const TbTube *tube, double share, TbVec3 p);
