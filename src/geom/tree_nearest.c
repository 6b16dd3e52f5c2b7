/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/lanes.h"
#include "geom/tol.h"
#include "geom/tree_points_private.h"

static const TbPointsKernel *
kernel_in_use(void)
{
#if defined(__x86_64__) || defined(__i386__)
    if (tb_lanes_in_use() == TB_LANES_AVX2)
        return &tb_points__avx2;
#endif
    return &tb_points__plain;
}

TbTreeHit
tb_tree_nearest(const TbTree *tree, TbVec3 p, double beyond)
{
    return kernel_in_use()->one(tree, p, beyond, (double)INFINITY);
}

/* ---- lattices ---- */

/** Places at most where the steps of a lattice are measured, each way. */
#define PROBES 64

/** How a lattice is cut into packets. */
typedef struct Cut {
    const TbTreeLattice *lattice;
    size_t tall, wide; /**< of a packet: rows and columns */
    bool down;         /**< a packet's points follow each other from row to row */
} Cut;

/** One packet: its first row and column, and its size. */
typedef struct Patch {
    size_t row, column, tall, wide;
} Patch;

/** Mean distance of points that are so many places apart. */
static double
step_length(const TbTreeLattice *lattice, size_t apart)
{
    size_t count = lattice->rows * lattice->columns, every = count / PROBES + 1, probes = 0;
    double sum = 0;

    for (size_t i = 0; i + apart < count; i += every, probes++)
        sum += tb_vec3_distance(lattice->points[i], lattice->points[i + apart]);
    return probes == 0 ? 0 : sum / (double)probes;
}

/** Packets about as tall as they are wide need the fewest leaves; in short steps from point to
 * point, each learns most from the one before. */
static Cut
cut_of_lattice(const TbTreeLattice *lattice)
{
    double along = step_length(lattice, lattice->columns);
    double around = step_length(lattice, 1);
    Cut cut = {lattice, 1, TB_POINTS_MOST, along < around};

    while (cut.wide > 1 && (double)cut.tall * along < (double)cut.wide * around) {
        cut.tall *= 2;
        cut.wide /= 2;
    }
    return cut;
}

/** The lattice's number of a patch's i-th point: to and fro. */
static size_t
place_of(const Cut *cut, const Patch *patch, size_t i)
{
    size_t length = cut->down ? patch->tall : patch->wide;
    size_t line = i / length, at = i % length;
    size_t row, column;

    if (line % 2 == 1)
        at = length - 1 - at;
    row = patch->row + (cut->down ? at : line);
    column = patch->column + (cut->down ? line : at);
    return row * cut->lattice->columns + column;
}

static double
bound_by(TbVec3 p, const TbTreeHit *hit)
{
    if (hit->triangle == UINT32_MAX)
        return (double)INFINITY;
    return tb_vec3_distance(p, hit->nearest.b) + TB_TOL_ROUND;
}

/** @param known some answer from near by, or none; then the packet's middle point's */
static void
run_packet(const TbTree *tree,
           const TbPointsKernel *kernel,
           const Cut *cut,
           const Patch *patch,
           TbTreeHit *known,
           TbTreeHit hits[])
{
    TbPointsPacket packet = {.count = patch->tall * patch->wide};
    double most = 0;
    TbVec3 p;

    for (size_t i = 0; i < packet.count; i++) {
        size_t place = place_of(cut, patch, i);
        const double *beyond = cut->lattice->beyond;

        packet.point[i] = cut->lattice->points[place];
        packet.limit[i] = beyond == NULL ? (double)INFINITY : beyond[place];
        most = packet.limit[i] > most ? packet.limit[i] : most;
    }
    p = packet.point[packet.count / 2];
    *known = kernel->one(tree, p, most, bound_by(p, known));
    for (size_t i = 0; i < packet.count; i++)
        packet.bound[i] = bound_by(packet.point[i], known);
    kernel->packet(tree, &packet);
    for (size_t i = 0; i < packet.count; i++)
        hits[place_of(cut, patch, i)] = packet.hit[i];
}

void
tb_tree_nearest_many(const TbTree *tree, const TbTreeLattice *lattice, TbTreeHit hits[])
{
    const TbPointsKernel *kernel = kernel_in_use();
    Cut cut = cut_of_lattice(lattice);
    TbTreeHit known = {.triangle = UINT32_MAX};

    for (size_t row = 0; row < lattice->rows; row += cut.tall)
        for (size_t column = 0; column < lattice->columns; column += cut.wide) {
            size_t tall = lattice->rows - row, wide = lattice->columns - column;
            Patch patch = {row, column, tall < cut.tall ? tall : cut.tall,
                           wide < cut.wide ? wide : cut.wide};

            run_packet(tree, kernel, &cut, &patch, &known, hits);
        }
}
