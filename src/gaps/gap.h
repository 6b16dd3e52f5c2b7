/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file gap.h
 * @brief The certified gap of two solids: an interval, its witnesses and its place.
 *
 * The true smallest distance of the two outer surfaces lies in [lower, upper]. `upper` is the
 * distance of two evaluated points (plus TB_TOL_ROUND), `lower` comes from bounds over the whole
 * surfaces; if the node budget runs out the interval is wider and still true. Answers are cold:
 * fixed traversal, ties by index, so they depend on nothing but the two solids and the question.
 *
 * Contact kinds. clear: upper > 0. touches: apart by no more than the width asked, both signs
 * possible. overlaps: both have an inside; the gap is then minus a depth: the smaller, over both
 * orders, of the minimum over one's surface of the signed distance to the other; judged part by
 * part, the deepest pair counts. crosses: an open mesh meets the other solid; gap 0, no depth.
 */
#pragma once

#include "base/work.h"
#include "geom/solid.h"

typedef enum TbContact { TB_CLEAR, TB_TOUCHES, TB_CROSSES, TB_OVERLAPS } TbContact;

/** "clear", "touches", "crosses", "overlaps". */
const char *tb_contact_name(TbContact contact);

/** Where on a solid a witness point lies. */
typedef struct TbSite {
    size_t part;       /**< which part of the solid */
    bool on_sweep;     /**< station and angle hold */
    double station;    /**< mm */
    double angle;      /**< rad, -pi to pi, from the untwisted h towards w */
    uint32_t triangle; /**< of a mesh, its number in the file; UINT32_MAX otherwise */
} TbSite;

/**
 * A port at which the pair joins. Sweeps of either solid that begin or end within TB_PORT_REACH of
 * the port are left out from that end to the first station whose centre is `radius` away from it,
 * and have a flat end there; end parts (plain shapes of a role other than TB_ROLE_SKIN: flange,
 * clamp, bolt box) go when the middle of their box lies within the radius. Nothing else is left
 * out: meshes and other plain shapes stay whole.
 */
typedef struct TbLeaveOut {
    TbVec3 port;
    double radius; /**< mm, above 0 */
} TbLeaveOut;

/** An end counts as being at a port within this, mm: gaskets and faces have thickness. */
#define TB_PORT_REACH 5.0

typedef struct TbGapAsk {
    const TbSolid *a, *b;
    double width;       /**< mm wanted between lower and upper; TB_GAP_WIDTH_LEAST or more */
    double depth_width; /**< the same for overlaps; 0 means TB_DEPTH_WIDTH */
    double enough;      /**< mm: stop when it is decided that the gap is at least this or below it;
                             0 or less: only the width stops it. What meets still gets a depth: a
                             large depth_width makes that cheap */
    const TbLeaveOut *leave_out;
    size_t leave_out_count;
    long budget; /**< nodes; 0 means TB_GAP_BUDGET */
    double hint; /**< a distance known not to be above the gap's upper end plus the way things moved
                      since; only speeds up, INFINITY for none. Settled answers use none */
} TbGapAsk;

/** Nodes before a search gives up narrowing: some seconds of one thread. */
#define TB_GAP_BUDGET 400000

typedef struct TbGap {
    double lower, upper; /**< mm; minus a depth where it overlaps */
    TbVec3 point_a, point_b;
    TbSite site_a, site_b;
    TbContact contact;
    bool certified; /**< false only where a part has no certificate; never so far */
    bool exhausted; /**< the budget ended it */
    bool nothing;   /**< everything was left out, or a solid is empty: no gap, upper INFINITY */
    TbVec3 way_out; /**< overlaps: unit, moving a along it lessens the depth, first order */
    long nodes;     /**< searched */
} TbGap;

/**
 * @param task polled; TB_E_CANCELLED
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_gap(const TbGapAsk *ask, TbTask *task, TbGap *gap, TbFault *fault);

/**
 * Nearest approach of a sweep to itself: of points whose stations are at least @p apart mm from
 * each other. nothing: no two such stations.
 */
TbStatus tb_gap_self(
    const TbSweep *sweep, double apart, double width, TbTask *task, TbGap *gap, TbFault *fault);
