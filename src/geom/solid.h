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

#include "geom/convex.h"
#include "geom/plain.h"
#include "geom/sweep.h"
#include "geom/tree.h"

typedef enum TbPartKind { TB_PART_SWEEP, TB_PART_PLAIN, TB_PART_MESH } TbPartKind;

typedef struct TbPart {
    TbPartKind kind;
    TbSweep *sweep;   /**< TB_PART_SWEEP */
    TbPlain plain;    /**< TB_PART_PLAIN; an outline's points belong to the solid */
    TbTree *tree;     /**< TB_PART_MESH: tree and mesh */
    TbConvex *pieces; /**< TB_PART_PLAIN: the convex bodies whose union it is */
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

size_t tb_solid_part_count(const TbSolid *solid);
const TbPart *tb_solid_part(const TbSolid *solid, size_t index); /**< lends */
TbBox3 tb_solid_part_box(const TbPart *part);
TbBox3 tb_solid_box(const TbSolid *solid);

/** Every part has an inside: no open mesh among them. */
bool tb_solid_has_inside(const TbSolid *solid);

/** Surface of one part as a mesh, a curved one within @p chord mm (above 0, asserted). */
TbStatus tb_solid_part_mesh(const TbPart *part, double chord, TbMesh **mesh, TbFault *fault);

/** Surface of all parts as one mesh, curved ones within @p chord mm. Parts are not united. */
TbStatus tb_solid_mesh(const TbSolid *solid, double chord, TbMesh **mesh, TbFault *fault);

/* ---- ends ---- */

/** Flange disc, V-band ring or clamp envelope at a duct's end. */
typedef struct TbEndDef {
    TbVec3 point;     /**< centre of the joint */
    TbVec3 direction; /**< of the gas */
    TbVec3 up;        /**< zero of clocking, laid square to the direction */
    double flange_diameter,
        flange_thickness;             /**< mm; 0 for none. The disc lies on the duct's side */
    bool at_start;                    /**< the duct begins here, so its side is downstream */
    double clamp_radius, clamp_width; /**< envelope centred on the joint; 0 for none */
    double bolt_length, bolt_width, bolt_height; /**< T-bolt box: along the tangent of the ring,
                                                      along the gas, outwards; 0 for none */
    double clocking; /**< rad, right-handed about the direction, from up: where the bolt box is */
} TbEndDef;

enum { TB_ROLE_SKIN, TB_ROLE_FLANGE, TB_ROLE_CLAMP, TB_ROLE_BOLT };

/**
 * Adds the plain shapes of an end; roles TB_ROLE_FLANGE, _CLAMP, _BOLT.
 *
 * The bolt box is centred on the joint along the gas, and stands on the ring of the clamp's radius
 * at the clocking angle: outer face bolt_height beyond the ring, inner corners on the ring.
 *
 * @return TB_OK; TB_E_RANGE (a size below 0, or only some sizes of a thing 0) and TB_E_DEGENERATE
 *         (no direction) with the solid as before; what tb_plain_check() says of a shape or
 *         TB_E_MEMORY: the solid may then hold some of them
 */
TbStatus tb_solid_add_end(TbSolid *solid, const TbEndDef *def, TbFault *fault);
