/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_rock_61.c
 * @brief rock-61: the least distance of the duct's mesh and the bay over 61 angles of a rock;
 *        against FCL, each pose cold or with the best so far as its bound, whichever is faster.
 *
 * Ours: some angles share a walk, over boxes that hold what the duct passes; turning its points and
 * making the boxes is in the time.
 */

#include "bench.h"
#include "bench_lattice.h"
#include "bench_rock.h"
#include "ref_fcl.h"

#include "gaps/scan_rock.h"

#include <stdlib.h>

typedef struct Sides {
    BenchPair pair;
    RefFcl *fcl;
    TbScanNear ours;
    double cold, carried;
} Sides;

static void
run_ours(void *user)
{
    Sides *sides = user;
    TbScanPosesAsk ask = {.lattice = sides->pair.lattice,
                          .points = sides->pair.scene.points,
                          .points_count = SCENE_POINTS,
                          .tree = sides->pair.tree,
                          .rock = bench_rock,
                          .poses = ROCK_POSES,
                          .beyond = INFINITY};

    if (tb_scan_poses(&ask, NULL, &sides->ours) != TB_OK)
        exit(1);
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

int
main(int argc, char **argv)
{
    Sides sides = {.cold = 0};
    BenchSide side[] = {{.name = "rock-61, ours", .run = run_ours, .user = &sides},
                        {.name = "FCL, each pose cold", .run = run_cold, .user = &sides},
                        {.name = "FCL, best so far as bound", .run = run_carried, .user = &sides}};

    if (argc != 2)
        return bench_miss("rock-61", "no scene given");
    bench_pair_open(argv[1], &sides.pair);
    sides.fcl = ref_fcl_new(&sides.pair.scene.bay, &sides.pair.scene.duct);
    bench_race(side, 3, 5);
    ref_fcl_free(sides.fcl);
    bench_pair_close(&sides.pair);
    bench_note("rock-61: ours %.9f mm at %.1f deg, FCL %.9f and %.9f mm", sides.ours.upper,
               sides.ours.turn * 180 / M_PI, sides.cold, sides.carried);
    if (!(fabs(sides.ours.upper - sides.cold) <= BENCH_VOID &&
          fabs(sides.ours.upper - sides.carried) <= BENCH_VOID))
        return bench_miss("rock-61", "void: the minima differ");
    return bench_result("rock-61", fmin(side[1].median, side[2].median) / side[0].median);
}
