/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file lattice_private.h
 * @brief A lattice's inside: rings, rows, and boxes of patches, blocks and groups.
 */
#pragma once

#include "gaps/lattice.h"
#include "geom/bound.h"
#include "geom/lanes.h"

/** Coordinates of a missing box: far from everything, and its square is still a float. */
#define TB_NOWHERE 1e18f

/** A box in eight lanes: low x y z, high x y z. */
typedef struct TbBox8 {
    float side[6][TB_LANES];
} TbBox8;

/** A turn of the whole lattice to and fro from where it is. */
typedef struct TbLatticeRock {
    TbVec3 point, axis; /**< axis unit */
    double half;        /**< rad, each way; 0: it stands still */
    const TbPose *pose; /**< flat: the turns that count, lent; the first is the identity */
    size_t poses;
} TbLatticeRock;

typedef struct TbLatticeRow {
    uint32_t low, high; /**< rings */
    bool flat_end;      /**< of a filled section; its disc is the first ring's */
} TbLatticeRow;

/** Numbers of a solid's tangents: a unit normal's x, y, z, and how far it reaches along that. */
enum { TB_TANGENT_NUMBERS = 4 };

/** A row's solid, a strip or a filled section, between two planes and its tangents. These are told
 * from `about`. */
typedef struct TbLatticeSolid {
    float about[3];  /**< about its middle */
    float along[3];  /**< unit, about the path's direction there */
    float low, high; /**< mm: it reaches from here to here along that */
    float size;      /**< mm: no point of it is further from `about` */
    float tangent[TB_TANGENT_NUMBERS][TB_LATTICE_MOST_COLUMNS];
} TbLatticeSolid;

/** The same of a group's rows, lane by lane; 0 where a row is missing. */
typedef struct TbLatticeSolids {
    float about[3][TB_LANES];
    float along[3][TB_LANES];
    float low[TB_LANES], high[TB_LANES];
    float size[TB_LANES];
} TbLatticeSolids;

/** A group's tangents of one column. */
typedef struct TbTangent8 {
    float number[TB_TANGENT_NUMBERS][TB_LANES];
} TbTangent8;

struct TbLattice {
    size_t rings, rows, groups; /**< rows without those that fill up the last group */
    size_t columns, blocks;     /**< blocks = columns / 8 */
    bool swept;
    TbVec3 *ring;    /**< points: rings * columns, mm */
    TbVec3 *meeting; /**< swept: where the tangents of columns k and k + 1 meet */
    float *place;    /**< ring points again: rings * 3 * (columns + 8), the first 8 repeated */
    TbLatticeRow *row;
    double *spare;           /**< swept: widening of each row, and what it rocks to and fro, mm */
    double *slide;           /**< swept: most that warmth moves anything of a row, mm */
    TbLatticeRock rock;      /**< swept: boxes and strays hold what it passes */
    TbLatticeWarmth warmth;  /**< swept: the same */
    TbStrip *strip;          /**< swept: of each row that is one */
    TbDisc *disc;            /**< swept: of each ring */
    TbLatticeSolids *solids; /**< swept: groups */
    TbTangent8 *tangent;     /**< swept: groups * columns */
    float *box;              /**< flat, patches: groups * 8 rows * 6 * columns */
    float *stray;            /**< flat: groups * 8 rows * columns; mm, 0 but where it rocks */
    TbBox8 *block;           /**< groups * blocks: eight rows of one block */
    TbBox8 *whole;           /**< groups: eight rows */
    TbBox8 *group;           /**< groups: up to eight blocks of eight rows */
    double *step;            /**< of each row: longest way from its first ring to its second, mm */
    float widest;            /**< longest diagonal of a patch, mm */
    float furthest;          /**< largest coordinate, mm */
};

/** All but the points and rows; NULL when no room. */
TbLattice *tb_lattice__new(size_t rings, size_t rows, size_t columns, bool swept);

/** Largest distance from a rock's axis of anything in a row, however warm it is, mm. */
double tb_lattice__lever(const TbLattice *lattice, size_t row);

/** What warmth does to a strip, or, where that is NULL, to the section at a station. */
void tb_lattice__warm(const TbLattice *lattice, const TbStrip *strip, double station, TbWarm *warm);

/** Spares what a row slides to and fro by its rock, and finds how far it does by its warmth; boxes
 * are to be made after it. */
void tb_lattice__add_rock(TbLattice *lattice);

/** The boxes that are made next are those of points that stand still. */
void tb_lattice__stand_still(TbLattice *lattice);

/** The points of a flat lattice that rocks, in a pose that counts. */
void tb_lattice__set_rocking(TbLattice *lattice, const TbVec3 points[], const TbLatticeRock *rock);

/** Boxes from points, rows and spare widenings. */
void tb_lattice__set_boxes(TbLattice *lattice);

/** Kernels of the same in the two kinds: for one ring, its points' floats; for one row, its boxes.
 */
void tb_lattice__ring_places_plain(TbLattice *lattice, size_t ring);
void tb_lattice__ring_places_avx2(TbLattice *lattice, size_t ring);
void tb_lattice__row_boxes_plain(TbLattice *lattice, size_t row);
void tb_lattice__row_boxes_avx2(TbLattice *lattice, size_t row);

/** A row's solid, of which `about` and `along` are there: the normals of its tangents, and how far
 * it reaches along these and each way along its planes' normal. That is looked for among the
 * meetings of its rings, so it holds whatever the directions are. */
void tb_lattice__set_solid_plain(const TbLattice *lattice, size_t row, TbLatticeSolid *solid);
void tb_lattice__set_solid_avx2(const TbLattice *lattice, size_t row, TbLatticeSolid *solid);

static inline float *
tb_lattice__patch_boxes(const TbLattice *lattice, size_t row)
{
    return lattice->box + row * 6 * lattice->columns;
}

static inline const float *
tb_lattice__places(const TbLattice *lattice, size_t ring, int axis)
{
    return lattice->place + (ring * 3 + (size_t)axis) * (lattice->columns + TB_LANES);
}
