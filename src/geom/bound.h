/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bound.h
 * @brief Sound bounds of a strip of a sweep: how far its surface strays from the hull of its ends.
 *
 * A strip is what a piece sweeps between u0 and u1. Every point of the filled strip runs, for
 * constants of its own (the unit shape's normal, the wall's direction), on a curve P(u) whose
 * second derivative is at most M; so it strays from its chord by at most (u1-u0)^2/8 M, and the
 * chord's ends lie in the two end discs. The table of bounds and the proof are in DEVELOPERS.md,
 * "The proof behind the certificates".
 */
#pragma once

#include "geom/convex.h"
#include "geom/sweep.h"

typedef struct TbStripBound {
    double stray;    /**< M, mm per u^2: bound of |P''| over the strip; a finite huge number where
                          the bound does not exist yet (the strip must be split) */
    double skin;     /**< the same for points of the outside with the unit shape's normal kept: the
                          wall's own direction then turns a little */
    double eighth;   /**< (u1-u0)^2 / 8 */
    double widening; /**< eighth * stray, mm */
    double end[2];   /**< reach of the two end discs about their centres, mm */
    bool known;      /**< the bound exists, and what follows holds */
    /* for the bound along one direction, with its sign (tb_strip_stray_along) */
    TbVec3 curve0, curve1; /**< C'' at both ends */
    double curve_sag;      /**< how far d . C'' may leave the chord between its ends */
    TbVec3 middle;         /**< tangent in the middle */
    double lean;           /**< |T - middle| at most */
    double k, t2;          /**< |T'|; |T''| across T */
    double speed, speed1;  /**< |C'| at least; its derivative at most */
    double reach, slide;   /**< |q|; |q'| in the section's own axes */
    double twist, rest;    /**< |tau|; what does not depend on the direction */
} TbStripBound;

typedef struct TbStrip {
    const TbPiece *piece;
    double u0, u1;
    TbDisc disc0, disc1;
    TbStripBound bound;
} TbStrip;

/** The strip of a piece between two parameters of it (mm of u from the piece's start). */
TbStrip tb_strip_of(const TbPiece *piece, double u0, double u1, bool outer);

/** The same, its end discs known: what a search that halves strips calls. */
TbStrip tb_strip_between(
    const TbPiece *piece, double u0, double u1, TbDisc disc0, TbDisc disc1, bool outer);

/** What follows a strip on its piece, to a parameter of it and the disc there. The reach of the end
 * that both have is known then: of blended sections half of what a strip costs. */
TbStrip tb_strip_after(const TbStrip *before, double u1, TbDisc disc1, bool outer);

/** Both halves of a strip; `outer` as it was made. */
void tb_strip_halves(const TbStrip *strip, bool outer, TbStrip half[2]);

/** Bound of -d . P'' over the strip for a unit d pointing out of it: 0 to stray. */
double tb_strip_stray_along(const TbStripBound *bound, TbVec3 d);

/**
 * How far the true strip reaches beyond the hull of its ends along d, when the ends reach h0 and
 * h1: max over k of (1-k) h0 + k h1 + 4 w k (1-k), less the larger of the two.
 */
double tb_strip_beyond(const TbStripBound *bound, TbVec3 d, double h0, double h1);

/** Bound of |w''| over the strip, w the smoothstep of the station's share of a length: what bends
 * where both ends of a path are shifted. */
double tb_strip_share_second(const TbStrip *strip, double length);

/** Corners of a stagger, at most. */
#define TB_STAGGER_MOST 5

/**
 * The differences p - q of points p of strip a and q of strip b of one path, where q's station is
 * `apart` or more behind p's. In shares k, l of the two strips that is a corner of the square; a
 * convex polygon holds it. Constants of their own given, p and q are linear in k and l but for what
 * they stray, so along a direction the differences reach no further than at one of the polygon's
 * corners, and the straying of both.
 */
typedef struct TbStagger {
    const TbStrip *a, *b;
    int count;
    double share_a[TB_STAGGER_MOST], share_b[TB_STAGGER_MOST];
} TbStagger;

/** The stagger of two strips; false when no two stations of them are that far apart. */
bool tb_stagger_of(const TbStrip *a, const TbStrip *b, double apart, TbStagger *stagger);

/** The stagger as a convex body, with its widening; it points into both. Walls included. */
TbConvex tb_stagger_convex(const TbStagger *stagger);

/** The strip as a convex body with its widening; it points into the strip. */
TbConvex tb_strip_convex(const TbStrip *strip, bool outer);

/** How far the strip reaches along a unit d, walls and widening included. */
double tb_strip_furthest(const TbStrip *strip, TbVec3 d);

/** Centre and radius of a ball that holds the strip, widening included. */
TbVec3 tb_strip_ball(const TbStrip *strip, double *radius);

/** A box that holds the strip, widening included; round about each end disc, so not the least. */
TbBox3 tb_strip_box(const TbStrip *strip);

/** Tests only: multiplies M, to prove that a wrong bound is seen. 1 in life. */
extern double tb_strip_stray_factor;
