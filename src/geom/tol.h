/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tol.h
 * @brief Every tolerance of the geometry: a name, a unit and a reason.
 */
#pragma once

/** mm. Nothing in a bay lies further from the origin: a vehicle is under 10 m long. */
#define TB_LIMIT_COORDINATE 1e4

/** mm. Largest section size, wall or radius accepted; larger is a wrong unit. */
#define TB_LIMIT_SIZE 2e3

/**
 * mm. Rounding of one evaluated distance: about 60 operations on terms up to TB_LIMIT_COORDINATE
 * are 60 * 1e4 * 1.1e-16 = 7e-11; pow is within one unit in the last place; ten times spare.
 */
#define TB_TOL_ROUND 1e-9

/** mm. Two knots, corners or points nearer than this are one place: a hundredth of a micrometre
 * is below anything that can be made, and far above rounding. */
#define TB_TOL_PLACE 1e-5

/** mm. Mesh vertices nearer than this are one: 1 µm is a tenth of the finest STL export seen and a
 * thousandth of the smallest radius accepted. */
#define TB_TOL_WELD 1e-3

/** mm. Two sides of a mesh's rim nearer than this are one crack: ten times what coordinates written
 * to a hundredth of a millimetre are off, and a tenth of the narrowest gap that a keep asks for. */
#define TB_TOL_CRACK 0.1

/** mm. Largest distance of a drawn cut of a sweep from the true outline: a fiftieth of the
 * narrowest line on paper at 1:1. */
#define TB_TOL_CUT 1e-3

/** mm. Finest mesh of a sweep that is made: below, a duct has more triangles than a reader takes.
 */
#define TB_CHORD_LEAST 1e-4

/** mm. Width of a certified gap when nothing else is asked: a tenth of what a feeler gauge shows.
 */
#define TB_GAP_WIDTH 1e-2

/** mm. Narrowest gap interval that can be asked: a thousand times TB_TOL_ROUND. */
#define TB_GAP_WIDTH_LEAST 1e-6

/** mm. Width of a certified overlap depth; a depth is a warning, not a dimension. */
#define TB_DEPTH_WIDTH 1e-2

/** rad. A piece of a sweep turns at most this: its frame's twist is bounded by tan(turn/2) times
 * its bend, and the bounds of a strip are sharp below a sixth of a radian. */
#define TB_PIECE_TURN 0.15

/** mm. Where a given section and a joint of the path are nearer than this, they are one place: a
 * piece shorter than rounding has no direction. */
#define TB_TOL_JOINT 1e-9

/** Relative. Stations are arc lengths to this. */
#define TB_TOL_STATION 1e-9

/** No unit. Squared lengths and dot products of axes that should be unit and square: a turn made of
 * ten products of rounded axes stays a million times below. */
#define TB_TOL_UNIT 1e-9

/** rad. Directions nearer to each other than this count as parallel: 18 degrees is where the bay's
 * Z stops being a usable `up` for a path (see tb_frame_start). */
#define TB_ANGLE_STEEP 0.31415926535897931
