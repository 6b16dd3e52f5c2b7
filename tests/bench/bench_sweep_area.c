/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_sweep_area.c
 * @brief sweep-area: a point of the duct's path moved; its surface as 401 x 64 points and its area
 *        at 200 stations, against Open CASCADE's surface through the duct's rings and areas on it.
 *
 * Ours starts from the knots and the nine given sections: path, arc length, frames, law, points,
 * areas. Open CASCADE gets nine rings of 64 points for its pipe, or 21 for its loft, ready made;
 * the faster of the two counts. The surfaces are not the same between the given sections, so the
 * areas are compared as a check that both did the work.
 */

#include "bench.h"
#include "bench_scene.h"
#include "ref_occt.h"

#include "geom/ring.h"

#include <stdlib.h>

enum { AREAS = 200, FRAMES = 27 };

/** Largest difference of the mean areas that surfaces through the same rings may have, relative. */
static const double agrees = 0.01;

/** mm that the dragged point moves from frame to frame. */
static const double step = 0.2;

typedef struct Ours {
    SceneDuct duct[FRAMES];
    size_t frame;
    double station[SCENE_RINGS], area[AREAS];
    TbVec3 points[SCENE_POINTS];
    bool failed;
} Ours;

static void
run_ours(void *user)
{
    Ours *ours = user;
    TbSweep *sweep = NULL;
    double length;

    ours->failed =
        ours->failed || scene_sweep(&ours->duct[ours->frame++ % FRAMES], &sweep, NULL) != TB_OK;
    if (sweep == NULL)
        return;
    length = tb_sweep_length(sweep);
    for (int i = 0; i < SCENE_RINGS; i++)
        ours->station[i] = length * i / (SCENE_RINGS - 1);
    tb_sweep_rings(sweep, ours->station, SCENE_RINGS, SCENE_COLUMNS, true, ours->points);
    for (int i = 0; i < AREAS; i++)
        ours->area[i] = tb_law_at(tb_sweep_law(sweep), length * i / (AREAS - 1)).area;
    tb_sweep_unref(sweep);
}

typedef struct Theirs {
    RefSweep how;
    size_t rings;
    TbVec3 *points; /**< FRAMES times the rings */
    TbVec3 axis[6];
    size_t frame;
    double area[AREAS];
    bool failed;
} Theirs;

static void
run_theirs(void *user)
{
    Theirs *theirs = user;
    RefRings rings = {.axis = &theirs->axis[0].x,
                      .point = &theirs->points[0].x,
                      .rings = theirs->rings,
                      .columns = SCENE_COLUMNS};
    RefShape *shape;

    rings.point += 3 * (theirs->frame++ % FRAMES) * theirs->rings * SCENE_COLUMNS;
    shape = ref_occt_sweep(theirs->how, &rings);
    theirs->failed = theirs->failed || shape == NULL;
    if (shape == NULL)
        return;
    ref_occt_areas(shape, AREAS, theirs->area);
    ref_occt_free(shape);
}

static void
set_theirs(Theirs *theirs, RefSweep how, size_t rings)
{
    *theirs = (Theirs){.how = how, .rings = rings};
    theirs->points = bench_room(FRAMES * rings * SCENE_COLUMNS, sizeof *theirs->points);
    for (size_t i = 0; i < FRAMES; i++)
        scene_points(rings, SCENE_COLUMNS, step * (double)i,
                     theirs->points + i * rings * SCENE_COLUMNS);
    scene_axis(0, theirs->axis);
}

static double
mean(const double value[], size_t count)
{
    double sum = 0;

    for (size_t i = 0; i < count; i++)
        sum += value[i];
    return sum / (double)count;
}

int
main(void)
{
    Ours *ours = bench_room(1, sizeof *ours);
    Theirs pipe, loft;
    BenchSide side[] = {
        {.name = "sweep-area, ours", .run = run_ours, .user = ours},
        {.name = "Open CASCADE, pipe of 9 rings", .run = run_theirs, .user = &pipe},
        {.name = "Open CASCADE, loft of 21 rings", .run = run_theirs, .user = &loft}};
    double a, b, c;
    bool failed;

    for (size_t i = 0; i < FRAMES; i++)
        scene_duct(step * (double)i, &ours->duct[i]);
    set_theirs(&pipe, REF_PIPE, SCENE_ROWS);
    set_theirs(&loft, REF_LOFT, 21);
    bench_race(side, 3, 5);
    a = mean(ours->area, AREAS);
    b = mean(pipe.area, AREAS);
    c = mean(loft.area, AREAS);
    failed = ours->failed || pipe.failed || loft.failed;
    free(ours);
    free(pipe.points);
    free(loft.points);
    bench_note("sweep-area: mean area %.2f, pipe %.2f, loft %.2f mm2", a, b, c);
    if (failed)
        return bench_miss("sweep-area", "a surface could not be made");
    if (!(fabs(b - a) <= agrees * a && fabs(c - a) <= agrees * a))
        return bench_miss("sweep-area", "void: the areas are not those of one duct");
    return bench_result("sweep-area", fmin(side[1].median, side[2].median) / side[0].median);
}
