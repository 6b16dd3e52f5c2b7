/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_certified.c
 * @brief certified: intervals of 0.01 mm on the duct's true sweep, against our own distance of a
 *        mesh of the same sweep: the least of all, and 400 stations.
 *
 * Of surfaces, as the meshes are: the scene's outer shell is closed and has the duct inside, so
 * that the gap of the two solids would be a depth. Lattices are ready on both sides. The mesh's
 * points lie on the sweep, so the true distance is the mesh's to within what the mesh strays:
 * checked, or the row is void.
 */

#include "bench.h"
#include "bench_lattice.h"

#include "geom/ring.h"
#include "geom/tol.h"

enum { STATIONS = 400, PARTS = 2 };

/** For the least of all no stations are asked: strips of 6 mm, as the program has them. */
enum { STRIPS = 67 };

/** mm, certified. */
static const double width = 0.01;

/** mm. What 64 flat sides stray from a section of 100 mm and its corners: 0.06 to 0.19. */
static const double stray = 0.2;

static const BenchRow parts[PARTS] = {{"certified-global", 1.5, 1.1, true},
                                      {"certified-profile", 1.5, 1.1, true}};

typedef struct Sides {
    BenchPair pair; /**< its lattice is a mesh of the sweep */
    TbSweep *sweep;
    TbLattice *strips, *sections;
    TbScanNear gap, least;
    TbScanNear profile[STATIONS], rows[SCENE_RINGS - 1];
    TbVec3 points[SCENE_POINTS];
    TbStatus status;
    TbFault fault;
} Sides;

static void
run_gap(void *user)
{
    Sides *sides = user;
    TbScanAsk ask = {
        .lattice = sides->strips, .tree = sides->pair.tree, .width = width, .beyond = INFINITY};

    sides->status = tb_scan_least(&ask, NULL, NULL, &sides->gap);
}

static void
run_profile(void *user)
{
    Sides *sides = user;
    TbScanAsk ask = {
        .lattice = sides->sections, .tree = sides->pair.tree, .width = width, .beyond = INFINITY};

    sides->status = tb_scan_rows(&ask, NULL, NULL, sides->profile);
}

static void
run_least(void *user)
{
    Sides *sides = user;

    sides->least = bench_least(&sides->pair, NULL);
}

static void
run_rows(void *user)
{
    Sides *sides = user;

    bench_rows(&sides->pair, sides->rows);
}

static bool
open_sides(const char *path, Sides *sides)
{
    SceneDuct duct;
    double ring[SCENE_RINGS], end[STRIPS + 1], length;
    static TbDisc disc[STATIONS];
    const TbDisc *section[STATIONS];

    bench_pair_open(path, &sides->pair);
    scene_duct(0, &duct);
    if (scene_sweep(&duct, &sides->sweep, &sides->fault) != TB_OK)
        return false;
    length = tb_sweep_length(sides->sweep);
    for (int i = 0; i < SCENE_RINGS; i++)
        ring[i] = length * i / (SCENE_RINGS - 1);
    for (int i = 0; i <= STRIPS; i++)
        end[i] = length * i / STRIPS;
    for (int i = 0; i < STATIONS; i++) {
        disc[i] = tb_sweep_at(sides->sweep, length * (i + 0.5) / STATIONS);
        section[i] = &disc[i];
    }
    tb_sweep_rings(sides->sweep, ring, SCENE_RINGS, SCENE_COLUMNS, true, sides->points);
    tb_lattice_set_points(sides->pair.lattice, sides->points);
    return tb_lattice_new_swept(sides->sweep, end, STRIPS + 1, SCENE_COLUMNS, &sides->strips,
                                &sides->fault) == TB_OK &&
           tb_lattice_new_sections(sides->sweep, section, STATIONS, SCENE_COLUMNS, &sides->sections,
                                   &sides->fault) == TB_OK;
}

/** An interval of the whole duct, and what the mesh says. */
static bool
gap_holds(const Sides *sides)
{
    return sides->gap.lower <= sides->gap.upper &&
           sides->gap.upper - sides->gap.lower <= width + TB_TOL_ROUND &&
           sides->gap.lower <= sides->least.upper + stray &&
           sides->gap.upper >= sides->least.upper - stray;
}

/** A station lies in the middle of its strip, so the strip is a little nearer. */
static bool
profile_holds(const Sides *sides)
{
    static const double step = 1; /* mm between rings, rounded up */

    for (int i = 0; i < STATIONS; i++) {
        const TbScanNear *p = &sides->profile[i];

        if (!(p->lower <= p->upper && p->upper - p->lower <= width + TB_TOL_ROUND &&
              p->upper >= sides->rows[i].upper - stray &&
              p->lower <= sides->rows[i].upper + stray + step))
            return false;
    }
    return true;
}

int
main(int argc, char **argv)
{
    static Sides sides;
    BenchSide side[] = {{.name = "certified, least of all", .run = run_gap, .user = &sides},
                        {.name = "of the mesh, least of all", .run = run_least, .user = &sides},
                        {.name = "certified, 400 stations", .run = run_profile, .user = &sides},
                        {.name = "of the mesh, 400 strips", .run = run_rows, .user = &sides}};
    double ratio[PARTS];
    int worst;

    if (argc != 2)
        return bench_miss("certified", "no scene given");
    if (!open_sides(argv[1], &sides))
        return bench_miss("certified", "%s", sides.fault.text);
    bench_race(side, 4, 11);
    tb_lattice_free(sides.strips);
    tb_lattice_free(sides.sections);
    tb_sweep_unref(sides.sweep);
    bench_pair_close(&sides.pair);
    bench_note("certified: %.6f to %.6f mm, mesh %.6f mm", sides.gap.lower, sides.gap.upper,
               sides.least.upper);
    if (sides.status != TB_OK || !gap_holds(&sides) || !profile_holds(&sides))
        return bench_miss("certified", "void: an interval is too wide or not where the mesh is");
    for (int i = 0; i < PARTS; i++) {
        ratio[i] = side[2 * i].median / side[2 * i + 1].median;
        bench_result_of(&parts[i], ratio[i]);
    }
    worst = ratio[1] > ratio[0];
    return bench_result("certified", ratio[worst]);
}
