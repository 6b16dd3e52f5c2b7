/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file solid.h
 * @brief The shape of one item: a union of parts, ready for gaps, cuts and export.
 *
 * A part is a sweep, a plain shape or a mesh. A plain shape carries the convex pieces whose union
 * it is: one, or several for an outline of more than 4 corners (prisms over 3 or 4 of them, grown
 * by its rounding; neighbours share a face, or overlap by the rounding). Immutable,
 * reference-counted.
 */
#pragma once

#include "geom/bound.h"
#include "geom/convex.h"
#include "geom/plain.h"
#include "geom/sweep.h"
#include "geom/tree.h"

typedef enum TbPartKind { TB_PART_SWEEP, TB_PART_PLAIN, TB_PART_MESH } TbPartKind;

/** A strip of a sweep with its bounds, wall included. */
typedef struct TbPartStrip {
    TbStrip strip;
    TbBox3 box;                         /**< holds it, widening included */
    TbVec3 centre;                      /**< so does this ball */
    double radius;                      /**< mm */
    int keeps;                          /**< so many halvings below it are kept by what keeps it */
    struct TbPartStrip *_Atomic halves; /**< both; NULL until asked for */
} TbPartStrip;

/** A strip with its bounds, that nobody keeps. */
TbPartStrip tb_part_strip_of(TbStrip strip);

/**
 * Both halves of a strip that a solid keeps: made for whoever asks first, the same for all who
 * search the solid after that, by whatever thread.
 *
 * @return lent by the solid; NULL where it keeps none, or had no room: one's own are the same
 */
const TbPartStrip *tb_part_strip_halves(const TbPartStrip *strip);

typedef struct TbPart {
    TbPartKind kind;
    TbSweep *sweep;      /**< TB_PART_SWEEP */
    TbPartStrip *strips; /**< TB_PART_SWEEP: one for each of its pieces, which every search begins
                              with */
    TbBox3 box;          /**< TB_PART_SWEEP: holds it */
    TbPlain plain;       /**< TB_PART_PLAIN; an outline's points belong to the solid */
    TbTree *tree;        /**< TB_PART_MESH: tree and mesh */
    TbConvex *pieces;    /**< TB_PART_PLAIN: the convex bodies whose union it is */
    size_t piece_count;
    int role; /**< the owner's: which thing of the item it is (skin, flange, clamp) */
} TbPart;

typedef struct TbSolid TbSolid;

TbSolid *tb_solid_new(void); /**< empty; NULL when no room */

/* While it is being built; afterwards nobody changes it. Each takes a reference or a copy; an
 * outline's points are copied, counter-clockwise. A plain shape is checked first (plain.h). On
 * failure the solid is as before. */
TbStatus tb_solid_add_sweep(TbSolid *solid, TbSweep *sweep, int role, TbFault *fault);
TbStatus tb_solid_add_plain(TbSolid *solid, const TbPlain *plain, int role, TbFault *fault);
TbStatus tb_solid_add_tree(TbSolid *solid, TbTree *tree, int role, TbFault *fault);

TbSolid *tb_solid_ref(TbSolid *solid);
void tb_solid_unref(TbSolid *solid); /**< NULL is fine */

/** Moved and grown. NULL when no room, or when a tree could not be rebuilt. */
TbSolid *tb_solid_moved(const TbSolid *solid, TbPose pose);

/** One part more, moved and grown. @return TB_OK or TB_E_MEMORY */
TbStatus tb_solid_add_moved(TbSolid *solid, const TbPart *part, TbPose pose);

/* ---- ends that are carried off (solid_drift.c) ---- */

/** Where its path begins and ends, and how long it is; false where it has none. */
bool tb_solid_chord(const TbSolid *solid, TbVec3 *start, TbVec3 *end, double *length);

/** A part that is no path goes with the end that its middle is nearer to. */
bool tb_part_is_at_end(const TbPart *part, TbVec3 start, TbVec3 end);

/** What is fitted at an end grows about it and is shifted with it. */
TbPose tb_drift_pose(TbVec3 end, double factor, TbVec3 shift);

/** Of a solid with a path: tb_sweep_drifted(), and what is fitted at the ends goes with them. NULL
 * when no room. */
TbSolid *tb_solid_drifted(const TbSolid *solid, double factor, TbVec3 start, TbVec3 end);

size_t tb_solid_part_count(const TbSolid *solid);
const TbPart *tb_solid_part(const TbSolid *solid, size_t index); /**< lends */
TbSweep *tb_solid_sweep(const TbSolid *solid); /**< of its path, lent; NULL where it has none */
TbBox3 tb_solid_part_box(const TbPart *part);
TbBox3 tb_solid_box(const TbSolid *solid);

/** Every part has an inside: no open mesh among them. */
bool tb_solid_has_inside(const TbSolid *solid);

/** Surface of one part as a mesh, a curved one within @p chord mm (above 0, asserted). */
TbStatus tb_solid_part_mesh(const TbPart *part, double chord, TbMesh **mesh, TbFault *fault);

/** Surface of all parts as one mesh, curved ones within @p chord mm. Parts are not united. */
TbStatus tb_solid_mesh(const TbSolid *solid, double chord, TbMesh **mesh, TbFault *fault);

/* ---- ends ---- */

enum { TB_ROLE_SKIN, TB_ROLE_FLANGE, TB_ROLE_CLAMP, TB_ROLE_BOLT };

/** The axes that rings and bolt boxes of an end or a joint are given in. */
typedef struct TbEndAxes {
    TbVec3 point;  /**< centre of the end face or the joint, mm */
    TbVec3 inward; /**< unit: along which from, to and shift count */
    TbFrame frame; /**< t along the gas, h the zero of turns */
} TbEndAxes;

/** Flange disc, V-band ring or clamp envelope: a disc about the path. */
typedef struct TbEndRing {
    double diameter; /**< mm */
    double from, to; /**< mm inward from the point, from < to */
    int role;        /**< TB_ROLE_FLANGE or TB_ROLE_CLAMP */
} TbEndRing;

/** The side of a clamp that sticks out: a box at a clocking angle. */
typedef struct TbEndBox {
    double along;    /**< mm along the gas, centred on the point plus shift */
    double across;   /**< mm along the rim */
    double from, to; /**< mm from the path outwards, from < to */
    double shift;    /**< mm inward from the point to the box's middle */
    double turn;     /**< rad, right-handed about the gas, from h */
    bool any_turn;   /**< the clocking is not fixed: the least round bar that holds every turn */
} TbEndBox;

/** @return TB_OK, what tb_plain_check() says of a disc, or TB_E_MEMORY. */
TbStatus tb_solid_add_ring(TbSolid *solid, const TbEndRing *ring, TbEndAxes axes, TbFault *fault);

/** Role TB_ROLE_BOLT. @return as above. */
TbStatus tb_solid_add_bolt_box(TbSolid *solid, const TbEndBox *box, TbEndAxes axes, TbFault *fault);
