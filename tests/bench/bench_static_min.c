/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_static_min.c
 * @brief static-min: the least distance of duct and bay, both ready, nothing known before; against
 *        FCL's distance of its models.
 */

#include "bench.h"
#include "bench_lattice.h"
#include "ref_fcl.h"

typedef struct Sides {
    BenchPair pair;
    RefFcl *fcl;
    double ours, theirs;
} Sides;

static void
run_ours(void *user)
{
    Sides *sides = user;

    sides->ours = bench_least(&sides->pair, NULL).upper;
}

static void
run_theirs(void *user)
{
    Sides *sides = user;

    sides->theirs = ref_fcl_global(sides->fcl);
}

int
main(int argc, char **argv)
{
    Sides sides = {0};
    BenchSide side[] = {{.name = "static-min, ours", .run = run_ours, .user = &sides},
                        {.name = "FCL", .run = run_theirs, .user = &sides}};

    if (argc != 2)
        return bench_miss("static-min", "no scene given");
    bench_pair_open(argv[1], &sides.pair);
    sides.fcl = ref_fcl_new(&sides.pair.scene.bay, &sides.pair.scene.duct);
    bench_race(side, 2, 25);
    ref_fcl_free(sides.fcl);
    bench_pair_close(&sides.pair);
    bench_note("static-min: ours %.9f mm, FCL %.9f mm", sides.ours, sides.theirs);
    if (!(fabs(sides.ours - sides.theirs) <= BENCH_VOID))
        return bench_miss("static-min", "void: the minima differ");
    return bench_result("static-min", side[1].median / side[0].median);
}
