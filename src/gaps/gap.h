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
 * inside: one solid lies wholly in the other's material, its surface apart from the other's;
 * `inner` says which. That is proved (every part of it lies within one part of the other, so that
 * some distance is left everywhere) or else it is called overlaps. The gap is minus a depth as
 * before; of an inner open mesh, which has no inside of its own, the one order that is defined
 * counts: how deep its deepest point lies in the other.
 *
 * What is inside. Sweeps and plain shapes are filled. A mesh's material is where its triangles wind
 * about a point once or more, counted by their normals: a closed shell whose normals point out
 * holds material; a shell of opposite sense within it is a cavity, and what floats in the cavity is
 * clear. A mesh whose normals point in on the whole is the wall of a room: what floats in the room
 * is clear, and what crosses the wall overlaps.
 *
 * A mesh that lacks little (a few triangles, cracks, doubled or turned faces: lids.h, within a
 * twentieth of its area) has an inside: that of mesh and lids together. Its depth is measured to
 * both, a clear gap only to the triangles that are there. A point about which the triangles wind
 * a number of times that is more than a quarter off a whole number is at a hole: unknown. A mesh
 * that is really open has no inside, and one that is closed but whose neighbours disagree about
 * their sense may have it on either side: `inner` is then TB_INNER_UNKNOWN where a solid is not
 * clear of it, the gap is the distance to the triangles, and `enclosed` says how much speaks for an
 * inside. The gap could then only be less.
 */
#pragma once

#include "base/work.h"
#include "geom/solid.h"

typedef enum TbContact { TB_CLEAR, TB_TOUCHES, TB_CROSSES, TB_OVERLAPS, TB_INSIDE } TbContact;

/** "clear", "touches", "crosses", "overlaps", "inside". */
const char *tb_contact_name(TbContact contact);

/** Which of the two lies wholly inside the other. */
typedef enum TbInner { TB_INNER_NONE, TB_INNER_A, TB_INNER_B, TB_INNER_UNKNOWN } TbInner;

/** "none", "a", "b", "undecidable". */
const char *tb_inner_name(TbInner inner);

/** Why an inside is unknown. */
typedef enum TbDoubt {
    TB_DOUBT_NONE,
    TB_DOUBT_OPEN,    /**< the mesh is open */
    TB_DOUBT_HOLE,    /**< the mesh is nearly closed, and this is at one of its holes */
    TB_DOUBT_FLIPPED, /**< neighbouring triangles disagree about which side is out */
    TB_DOUBT_INWARD   /**< normals point in, as of a room's walls, and this is not in the room */
} TbDoubt;

/** A clause: "the mesh is open ...", "" for none. */
const char *tb_doubt_text(TbDoubt doubt);

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
    TbInner inner;   /**< TB_INSIDE: which lies in the other; TB_CLEAR: none, or unknown */
    TbDoubt doubt;   /**< why it is unknown */
    double enclosed; /**< where it is unknown: share of all directions in which the mesh's back is
                          seen from the other's nearest point, less those of its front (the
                          generalised winding number); NAN where that is not known either */
    bool certified;  /**< false only where a part has no certificate; never so far */
    bool exhausted;  /**< the budget ended it */
    bool nothing;    /**< everything was left out, or a solid is empty: no gap, upper INFINITY */
    TbVec3 way_out;  /**< overlaps: unit, moving a along it lessens the depth, first order */
    long nodes;      /**< searched */
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
