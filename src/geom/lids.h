/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file lids.h
 * @brief What would close a mesh: its rim, and triangles that fill it.
 *
 * Count every edge of a mesh +1 for each triangle that runs along it and -1 for each that runs
 * against it. Where that is not 0 the mesh has a rim: about a hole, along a crack, around a
 * triangle that is there twice or turned over. Rim vertices nearer to each other than TB_TOL_CRACK
 * are drawn together over slim triangles; what then cancels was a crack. The rest is cut into
 * simple closed ways, each filled by a fan about its middle. Mesh and lids together have no rim, so
 * they wind about every point a whole number of times; and the generalised winding number of the
 * mesh alone (Jacobson, Kavan, Sorkine-Hornung, ACM Trans. Graph. 32, 2013,
 * doi 10.1145/2461912.2461916) is that number less the lids' solid angle: exact, from one ray and
 * the rim, as in Martens and Bessmeltsev, Comput. Graph. Forum 44 (2025), arXiv 2408.04466.
 *
 * Nothing is repaired by this: the triangles and every distance to them stay as they are.
 */
#pragma once

#include "geom/tree.h"

/** What hangs below one place of the lids' tree, seen from afar. */
typedef struct TbLump {
    TbVec3 area;   /**< vectors of the triangles' areas, summed, mm^2 */
    TbVec3 centre; /**< of a ball that holds them */
    double radius;
    double size; /**< mm^2: their areas */
} TbLump;

struct TbLids {
    TbTree *tree; /**< of the lids; NULL: none are needed, or they are too many */
    TbLump *lump; /**< of every place of it, leaves first */
    double area;  /**< mm^2 of all lids */
    bool even;    /**< every edge is used an even number of times: any ray out of a place inside
                       crosses an odd number of triangles, whichever way they are turned */
    bool inward;  /**< mesh and lids together have a negative volume: normals point in */
    bool many;    /**< the rim is longer than TB_LIDS_MOST edges and was not filled */
    long serial;  /**< never given twice */
};

/** Edges of a rim, at most: what has more is not nearly closed, whatever its size. */
#define TB_LIDS_MOST 200000

/**
 * Share of a mesh's area that its lids may have for it to count as nearly closed. Missing
 * triangles, cracks, doubled and turned faces of an export stay below a hundredth; a pipe's mesh
 * without its ends has a twentieth at ten diameters; a box without its lid has a fifth, and is a
 * tray.
 */
#define TB_LIDS_SHARE 0.05

/** What a mesh is the surface of. */
typedef enum TbMeshBody {
    TB_BODY_CLOSED,
    TB_BODY_NEARLY,  /**< closed but for little, so lids are taken to close it */
    TB_BODY_FLIPPED, /**< closed, but neighbours disagree about which side is out */
    TB_BODY_OPEN     /**< it has no inside */
} TbMeshBody;

/** "closed", "nearly closed", "flipped", "open". */
const char *tb_mesh_body_name(TbMeshBody body);

/**
 * @param[out] room the normals of what is closed or nearly so point in on the whole
 * @return TB_OK, TB_E_MEMORY
 */
TbStatus tb_tree_body(const TbTree *tree, TbMeshBody *body, bool *room);

/**
 * The lids of a mesh. Time and room (36 bytes a triangle, given back) of sorting its edges.
 *
 * @return TB_OK, TB_E_MEMORY
 */
TbStatus tb_lids_new(const TbMesh *mesh, TbLids **lids);
void tb_lids_free(TbLids *lids); /**< NULL is fine */

/** Over 4 pi. Solid angles of lids are known to this: a thousandth of what decides anything. */
#define TB_LIDS_WITHIN 1e-4

/** The same where that is enough to decide, as it is but near a hole. */
#define TB_LIDS_ROUGHLY 1e-2

/**
 * Solid angle of the lids about a point over 4 pi, to `within`, TB_LIDS_WITHIN as a rule: how much
 * the mesh's winding number lacks to the whole number of mesh and lids. Near lids by Van Oosterom
 * and Strackee, IEEE Trans. Biomed. Eng. 30 (1983) 125; those afar by the vector of their area, as
 * in Barill, Dickson, Schmidt, Levin, Jacobson, ACM Trans. Graph. 37 (2018),
 * doi 10.1145/3197517.3201337, with a bound of what that leaves out. A thread remembers its last
 * answers: the ends of a path are asked for again and again while its middle is dragged.
 */
double tb_lids_angle(const TbLids *lids, TbVec3 p, double within);
