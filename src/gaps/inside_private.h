/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file inside_private.h
 * @brief Does one part lie in another? By a point, where the surfaces are known not to meet; by a
 *        proof over the whole surface, where that is not known.
 */
#pragma once

#include "gaps/field_private.h"

/** On which side of a mesh a point is. */
typedef enum TbLies {
    TB_LIES_OUT,
    TB_LIES_IN,
    TB_LIES_AT_OPEN,    /**< the mesh is open: it has no inside, and this is not clear of it */
    TB_LIES_AT_HOLE,    /**< too near a hole of a mesh that is nearly closed */
    TB_LIES_IN_FLIPPED, /**< enclosed, but neighbours disagree about which side is solid */
    TB_LIES_ABOUT_ROOM  /**< about a room with its normals pointing in: not within it */
} TbLies;

/** What tells the side of a mesh that is not closed must be there before anything here is asked.
 * @return TB_OK or TB_E_MEMORY */
TbStatus tb_inside__prepare(const TbSolid *solid);

/** Every sweep and plain shape has an inside; a mesh when it is closed or nearly so. */
bool tb_inside__has(const TbPart *part);

/** The lids of a mesh part that is nearly closed, as a tree; NULL where it has none. */
const TbTree *tb_inside__lids(const TbPart *part);

/** A mesh whose normals point in on the whole: its material is all that is not in the room. */
bool tb_inside__is_room(const TbPart *part);

/** A point inside a mesh that has an inside, lids and all; for points that are not on it. */
bool tb_inside__mesh(const TbPart *part, TbVec3 p);

/**
 * On which side of any mesh a point is, further than TB_TOL_ROUND from it.
 *
 * @param[out] winding how much of what is seen from there are backs of triangles: the generalised
 *             winding number; NAN where it is not known
 */
TbLies tb_inside__where(const TbPart *part, TbVec3 p, double *winding);

/** Whether it is TB_LIES_IN, quicker; false for what is no mesh. */
bool tb_inside__is_in(const TbPart *part, TbVec3 p);

/** A point inside any of a solid's meshes. */
bool tb_inside__any_mesh(const TbSolid *solid, TbVec3 p);

/** What is known of two solids whose surfaces do not meet. */
typedef struct TbReach {
    bool some;      /**< a point of one's surface lies inside a mesh of the other */
    bool whole_a;   /**< every part of a lies wholly inside a mesh of b */
    bool whole_b;   /**< the other way round */
    bool near_lids; /**< one comes near a hole of the other: some more of it may be inside */
    TbLies doubt;   /**< where nothing is known to be inside: why that is not certain; else out */
    double winding; /**< of the doubt, the largest */
} TbReach;

/**
 * A sweep or a plain shape that holds a mesh is filled, so the gap search has seen it already; only
 * what lies inside meshes is looked for.
 *
 * @param on_a,on_b the witness points of the gap, and the nodes they are in
 */
TbReach tb_inside__find(const TbField *a, const TbField *b, TbVec3 on_a, TbVec3 on_b);

/** Whether the first point that comes to hand of a part lies inside a mesh of the other solid: then
 * the gap is a depth, however far the surfaces are apart. */
bool tb_inside__reaches(const TbField *a, const TbField *b);

/**
 * Whether every point of one part lies inside the other, away from its surface: proved over cells
 * of the surface, or not said.
 *
 * @param in,out   fields and the roots of their parts
 * @param[out] whole proved
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_inside__is_whole(const TbField *in,
                             uint32_t root_in,
                             const TbField *out,
                             uint32_t root_out,
                             const TbTask *task,
                             bool *whole);

/** Whether every part of one solid lies wholly inside some part of the other. */
TbStatus
tb_inside__all_whole(const TbField *in, const TbField *out, const TbTask *task, bool *whole);

/**
 * A shell of a mesh inside a filled sweep, given that no triangle is nearer to its surface than
 * TB_GAP_WIDTH_LEAST: one corner a shell, certified.
 *
 * @param[out] triangle one of that shell, its number in tb_tree_mesh()
 * @return TB_OK, TB_E_MEMORY
 */
TbStatus tb_inside__mesh_in_sweep(
    const TbSweep *sweep, TbKept kept, const TbTree *tree, bool *found, uint32_t *triangle);
