/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_growth.c
 * @brief growth: queries on the scene of 100 k and of 5 M triangles; the worst of their ratios.
 *
 * bench-growth SMALL.stl LARGE.stl
 */

#include "bench.h"
#include "bench_lattice.h"

#include <stdlib.h>

enum { SCENES = 2, QUERIES = 3 };

typedef struct Work {
    BenchPair pair;
    TbTreeHit *hits;
    TbScanNear rows[SCENE_RINGS - 1];
} Work;

static void
run_least(void *user)
{
    Work *work = user;

    work->rows[0] = bench_least(&work->pair, NULL);
}

static void
run_rows(void *user)
{
    Work *work = user;

    bench_rows(&work->pair, work->rows);
}

static void
run_points(void *user)
{
    Work *work = user;

    bench_points(work->pair.tree, &work->pair.scene, work->hits);
}

int
main(int argc, char **argv)
{
    static const char *const name[QUERIES] = {"least", "400 strips", "25664 points"};
    static void (*const run[QUERIES])(void *) = {run_least, run_rows, run_points};
    static Work work[SCENES];
    BenchSide side[QUERIES * SCENES];
    double worst = 0;

    if (argc != 1 + SCENES)
        return bench_miss("growth", "no scenes given");
    for (int i = 0; i < SCENES; i++) {
        bench_pair_open(argv[1 + i], &work[i].pair);
        work[i].hits = bench_room(SCENE_POINTS, sizeof *work[i].hits);
    }
    for (int q = 0; q < QUERIES; q++)
        for (int i = 0; i < SCENES; i++)
            side[SCENES * q + i] = (BenchSide){.name = name[q], .run = run[q], .user = &work[i]};
    bench_race(side, QUERIES * SCENES, 9);
    for (int q = 0; q < QUERIES; q++)
        worst = fmax(worst, side[SCENES * q + 1].median / side[SCENES * q].median);
    for (int i = 0; i < SCENES; i++) {
        free(work[i].hits);
        bench_pair_close(&work[i].pair);
    }
    return bench_result("growth", worst);
}
