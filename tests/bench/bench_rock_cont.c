/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_rock_cont.c
 * @brief rock-cont: the certified least distance of the duct's true sweep and the bay over all
 *        angles of a rock, to 0.001 mm; against FCL's 61 sampled poses of the duct's mesh.
 *
 * No library gives the continuous answer, so what it is compared with is a sampled one: FCL's
 * faster way of the two of rock-61. Of surfaces, as in `certified`. All of our work is in the time:
 * turned sweeps, lattices, boxes. The mesh lies within `stray` of the sweep, and 61 poses may miss
 * the worst angle: so `lower` must not be above the sampled least and its stray, and a finer
 * sampling of ours near the worst angle must come down to `upper`.
 */

#include "bench.h"
#include "bench_lattice.h"
#include "bench_rock.h"
#include "ref_fcl.h"

#include "gaps/scan_rock.h"
#include "geom/tol.h"

#include <stdlib.h>

/** Strips of 6 mm, as the program has them. */
enum { STRIPS = 67 };

/** mm, certified. */
static const double width = 1e-3;

/** mm. What 64 flat sides stray from a section of 100 mm and its corners: 0.06 to 0.19. */
static const double stray = 0.2;

typedef struct Sides {
    BenchPair pair;
    TbSweep *sweep;
    RefFcl *fcl;
    double station[STRIPS + 1];
    TbScanNear ours;
    double cold, carried;
    TbStatus status;
} Sides;

static void
run_ours(void *user)
{
    Sides *sides = user;
    TbScanRockAsk ask = {.sweep = sides->sweep,
                         .stations = sides->station,
                         .count = STRIPS + 1,
                         .columns = SCENE_COLUMNS,
                         .tree = sides->pair.tree,
                         .rock = bench_rock,
                         .width = width,
                         .beyond = INFINITY};

    sides->status = tb_scan_rock(&ask, NULL, &sides->ours);
}

static void
run_cold(void *user)
{
    Sides *sides = user;

    sides->cold = ref_fcl_rock(sides->fcl, ROCK_Y, ROCK_Z, bench_rock.low, bench_rock.high,
                               ROCK_POSES, false);
}

static void
run_carried(void *user)
{
    Sides *sides = user;

    sides->carried =
        ref_fcl_rock(sides->fcl, ROCK_Y, ROCK_Z, bench_rock.low, bench_rock.high, ROCK_POSES, true);
}

/** The certified distance at one angle, as of a duct that stands still. */
static TbScanNear
still_at(const Sides *sides, double angle)
{
    TbSweep *moved = tb_sweep_moved(sides->sweep, tb_rock_pose(bench_rock, angle));
    TbLattice *lattice = NULL;
    TbScanAsk ask = {.tree = sides->pair.tree, .width = width, .beyond = INFINITY};
    TbScanNear near = {.lower = -INFINITY, .upper = -INFINITY};

    if (moved != NULL && tb_lattice_new_swept(moved, sides->station, STRIPS + 1, SCENE_COLUMNS,
                                              &lattice, NULL) == TB_OK) {
        ask.lattice = lattice;
        if (tb_scan_least(&ask, NULL, NULL, &near) != TB_OK)
            near.upper = -INFINITY;
    }
    tb_lattice_free(lattice);
    tb_sweep_unref(moved);
    return near;
}

/** Still poses of the true sweep: none is below `lower`, and the worst angle's is at `upper`. */
static bool
poses_agree(const Sides *sides)
{
    TbScanNear worst = still_at(sides, sides->ours.turn);

    for (int i = 0; i < ROCK_POSES; i++) {
        double angle = bench_rock.low + 2 * ROCK_HALF * i / (ROCK_POSES - 1);

        if (still_at(sides, angle).upper < sides->ours.lower)
            return false;
    }
    return worst.lower <= sides->ours.upper + TB_TOL_ROUND && worst.upper >= sides->ours.lower &&
           worst.upper <= sides->ours.upper + width;
}

static bool
is_true(const Sides *sides)
{
    const TbScanNear *ours = &sides->ours;

    return sides->status == TB_OK && !ours->exhausted && ours->lower <= ours->upper &&
           ours->upper - ours->lower <= width + TB_TOL_ROUND &&
           ours->lower <= sides->cold + stray && poses_agree(sides);
}

int
main(int argc, char **argv)
{
    static Sides sides;
    BenchSide side[] = {
        {.name = "rock-cont, ours, certified", .run = run_ours, .user = &sides},
        {.name = "FCL, 61 poses, each cold", .run = run_cold, .user = &sides},
        {.name = "FCL, 61 poses, best as bound", .run = run_carried, .user = &sides}};
    SceneDuct duct;
    TbFault fault = {0};
    bool agree;

    if (argc != 2)
        return bench_miss("rock-cont", "no scene given");
    scene_duct(0, &duct);
    if (scene_sweep(&duct, &sides.sweep, &fault) != TB_OK)
        return bench_miss("rock-cont", "%s", fault.text);
    for (int i = 0; i <= STRIPS; i++)
        sides.station[i] = tb_sweep_length(sides.sweep) * i / STRIPS;
    bench_pair_open(argv[1], &sides.pair);
    sides.fcl = ref_fcl_new(&sides.pair.scene.bay, &sides.pair.scene.duct);
    bench_race(side, 3, 5);
    agree = is_true(&sides);
    ref_fcl_free(sides.fcl);
    tb_sweep_unref(sides.sweep);
    bench_pair_close(&sides.pair);
    bench_note("rock-cont: %.6f to %.6f mm at %.4f deg, FCL's 61 poses of the mesh %.6f mm",
               sides.ours.lower, sides.ours.upper, sides.ours.turn * 180 / M_PI, sides.cold);
    if (!agree)
        return bench_miss("rock-cont", "void: an interval is too wide, or poses contradict it");
    return bench_result("rock-cont", fmin(side[1].median, side[2].median) / side[0].median);
}
