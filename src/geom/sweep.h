/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file sweep.h
 * @brief A duct or line in space: sections carried along a path.
 *
 * The true surface is defined here, not by a mesh. Path: curve.h. Sections: law.h. Frame: on each
 * piece the smallest rotation from the frame at the piece's start to the tangent at u, turned about
 * the tangent by a cubic theta(u) that meets the transported frame (double reflection, fine steps)
 * in value and rate at the piece's end; so the frame is C1 and orthonormal, and its bounds are
 * closed forms. Pieces end at span ends, at given sections and where the path has turned enough.
 * A sweep is a filled solid with flat end caps; inner means the gas side, outer the wall's outside.
 * Immutable, reference-counted; any thread may read it.
 */
#pragma once

#include "geom/box3.h"
#include "geom/curve.h"
#include "geom/frame.h"
#include "geom/law.h"

/**
 * What a path's two ends have been carried off by: every section is shifted, not turned, by the
 * start's share and the end's, (1-w) start + w end, w the smoothstep of its share of the length. So
 * the faces at the ends stay as they were, and every point moves in a straight line as the shifts
 * grow.
 */
typedef struct TbDrift {
    TbVec3 start, end; /**< mm */
    double length;     /**< of the path, mm */
} TbDrift;

/** w at a station. */
double tb_drift_share(const TbDrift *drift, double station);

/** A part of the sweep on which everything is smooth. */
typedef struct TbPiece {
    const TbSpan *span;
    double u0, extent; /**< span parameter at the piece's start; length in u */
    const TbLawSpan *law;
    double station0, length; /**< station at the start and arc length, mm */
    TbFrame node;            /**< transported frame at the start, turn not counted */
    double theta[4];         /**< cubic in u - u0, rad */
    double bend;             /**< bound of |dT/du| over the piece, 1/mm */
    double ease[2];          /**< du/ds at start and end, as shares of extent / length */
    const TbDrift *drift;    /**< the sweep's; NULL: none */
} TbPiece;

/** One station, filled: everything that a support function needs. */
typedef struct TbDisc {
    TbVec3 centre;
    TbFrame frame; /**< untwisted */
    TbVec3 w, h;   /**< the section's own axes: the frame turned by the slice's turn */
    TbSlice slice;
    double station;
} TbDisc;

typedef struct TbSweep TbSweep;

typedef struct TbSweepDef {
    TbCurve *curve;           /**< referenced by the sweep */
    const TbSectionRow *rows; /**< copied */
    size_t row_count;
    const TbVec3 *up; /**< the start port's up, or NULL */
} TbSweepDef;

/** @return TB_OK, what tb_law_new() says, TB_E_RANGE (up not finite), TB_E_MEMORY, TB_E_LIMIT (over
 * 100,000 pieces). */
TbStatus tb_sweep_new(const TbSweepDef *def, TbSweep **sweep, TbFault *fault);

/** A round bar or tube: constant circle of outside diameter @p outside, wall @p wall. */
TbStatus
tb_sweep_new_round(TbCurve *curve, double outside, double wall, TbSweep **sweep, TbFault *fault);

TbSweep *tb_sweep_ref(TbSweep *sweep);
void tb_sweep_unref(TbSweep *sweep); /**< NULL is fine */

/** The same sweep elsewhere and grown: sizes, wall and stations scale too. NULL when no room. */
TbSweep *tb_sweep_moved(const TbSweep *sweep, TbPose pose);

/**
 * The same sweep grown by a factor about the place in its own chord, which the smoothstep of the
 * station says, and its ends shifted: both end's centres are then exactly where the shifts put
 * them. NULL when no room.
 *
 * @param start,end mm
 */
TbSweep *tb_sweep_drifted(const TbSweep *sweep, double factor, TbVec3 start, TbVec3 end);

double tb_sweep_length(const TbSweep *sweep);
const TbCurve *tb_sweep_curve(const TbSweep *sweep); /**< lends */
const TbLaw *tb_sweep_law(const TbSweep *sweep);     /**< lends */

size_t tb_sweep_piece_count(const TbSweep *sweep);
const TbPiece *tb_sweep_piece(const TbSweep *sweep, size_t index); /**< lends */

/** Index of the piece that holds a station. */
size_t tb_sweep_find(const TbSweep *sweep, double station);

/** The station @p u into a piece, 0 to its extent. */
TbDisc tb_piece_disc(const TbPiece *piece, double u);

/** u into its piece of a station: Newton on the arc length, to TB_TOL_STATION. */
double tb_piece_u(const TbPiece *piece, double station);

/** The place of the sweep's curve at a station: tb_curve_at() to rounding, a tenth of its time. */
TbCurvePoint tb_sweep_place(const TbSweep *sweep, double station);

/** The filled section at a station; stations beyond an end are the end. */
TbDisc tb_sweep_at(const TbSweep *sweep, double station);

/**
 * Support of a filled disc in space.
 *
 * @param[out] contact a point of the disc that reaches furthest along d
 * @return max of d . p over the disc
 */
double tb_disc_support(const TbDisc *disc, TbVec3 d, bool outer, TbVec3 *contact);

/** The same without the point: how far the disc reaches, for two thirds of the time. */
double tb_disc_furthest(const TbDisc *disc, TbVec3 d, bool outer);

/**
 * Point of the outline whose normal in the disc's plane is at @p angle (rad, from the untwisted h
 * towards w).
 *
 * @param[out] normal that in-plane unit normal; the slope of the sections is not in it. May be NULL
 */
TbVec3 tb_disc_point(const TbDisc *disc, double angle, bool outer, TbVec3 *normal);

/** Angle of a point about the path in the disc's plane, rad, -pi to pi, from h towards w. */
double tb_disc_angle(const TbDisc *disc, TbVec3 p);

/** A box that holds the whole sweep, wall included: from bounds, not samples. */
TbBox3 tb_sweep_box(const TbSweep *sweep);

/** Volume and centroid of what is inside, and of the wall; mm^3, mm; 1e-8 relative. */
typedef struct TbSweepVolume {
    double inner, wall;
    TbVec3 inner_centroid, wall_centroid; /**< wall_centroid is the inner one where wall is 0 */
} TbSweepVolume;

/**
 * By the generalised theorem of Pappus and Guldin: dV = (A - curvature . first moment) ds, valid
 * where the sweep does not fold. @return TB_OK or TB_E_NUMERIC.
 */
TbStatus tb_sweep_volume(const TbSweep *sweep, TbSweepVolume *out, TbFault *fault);

/** Moments of the sections over one span of a law, tabulated: most of the work of a volume. */
typedef struct TbLawMoments TbLawMoments;

/** Of the span's numbers alone: whoever keeps it needs it anew only when they change. The path's
 * length and knots change few of them. NULL when no room. */
TbLawMoments *tb_law_moments_new(const TbLawSpan *span);
void tb_law_moments_free(TbLawMoments *moments); /**< NULL is fine */

/** tb_sweep_volume() to the same bits. @param moments of each span of the sweep's law, in order;
 * those that are NULL are made here, and so are all where the array is */
TbStatus tb_sweep_volume_by(const TbSweep *sweep,
                            const TbLawMoments *const moments[],
                            TbSweepVolume *out,
                            TbFault *fault);

/** Where a sweep is worst in one respect. */
typedef struct TbSweepWorst {
    double value;
    double station; /**< mm */
    double angle;   /**< rad */
    double from,
        to; /**< first and last station where the limit is broken; from > to when nowhere */
} TbSweepWorst;

/** Of the gas side, and of the wall's outside. */
typedef struct TbSweepFolds {
    TbSweepWorst inner, outer;
} TbSweepFolds;

/**
 * Folding: curvature times how far the section reaches to the inside of the bend. 1 or more folds.
 *
 * @param limit what counts as broken for the range, 1 for a true fold
 */
TbSweepFolds tb_sweep_folds(const TbSweep *sweep, double limit);

/** Smallest wall and where; range: below @p limit mm. */
TbSweepWorst tb_sweep_thinnest(const TbSweep *sweep, double limit);

/** Smallest bend radius of the path and where, INFINITY for a straight one; range: below @p limit
 * mm. */
TbSweepWorst tb_sweep_tightest(const TbSweep *sweep, double limit);

/** Steepest growth as the full cone angle of equal area growth, rad; range: above @p limit rad.
 * cone = 2 atan(A' / (2 sqrt(pi A))), negative where the area shrinks. */
TbSweepWorst tb_sweep_cone(const TbSweep *sweep, double limit);

/** 2 atan(growth / (2 sqrt(pi area))), rad: full angle of the cone of equal area growth. */
double tb_cone_angle(double area, double growth);

/** Deepest fall of the inner area: value is the largest relative drop below the largest area so
 * far (0 when it never shrinks), range from where it starts to fall to where it has recovered. */
TbSweepWorst tb_sweep_shrinks(const TbSweep *sweep);

/**
 * Triangles of the surface, each within @p chord mm of the true one; closed, outward, end caps
 * included.
 *
 * @param inner the gas side instead of the outside
 * @param chord mm, TB_CHORD_LEAST or more
 * @param[out] mesh see mesh.h; owned by the caller
 * @return TB_OK, TB_E_RANGE, TB_E_LIMIT (more than TB_MESH_MOST triangles), TB_E_MEMORY
 */
struct TbMesh;
TbStatus
tb_sweep_mesh(const TbSweep *sweep, bool inner, double chord, struct TbMesh **mesh, TbFault *fault);
