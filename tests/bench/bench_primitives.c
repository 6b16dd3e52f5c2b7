/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_primitives.c
 * @brief primitives: the duct's true sweep to a block, a rod and a round line, certified to
 *        0.01 mm, against Open CASCADE's distance of exact shapes.
 *
 * Both sides have their shapes ready. Open CASCADE's duct is its loft through 21 rings: its pipe
 * through nine strays from the duct by more than a millimetre between them, and takes three times
 * as long to ask. A loft is not the duct either, so the distances have to agree to `agrees` and
 * not to rounding.
 */

#include "bench.h"
#include "bench_scene.h"
#include "ref_occt.h"

#include "gaps/gap.h"

enum { PARTS = 3, LOFT_RINGS = 21 };

/** mm, certified. */
static const double width = 0.01;

/** mm. The sweep's distance from the closed form, and as much for the loft. */
static const double agrees = 2 * SCENE_SWEEP_ERROR;

static const BenchRow parts[PARTS] = {{"primitives-block", 500, 2000, false},
                                      {"primitives-rod", 500, 600, false},
                                      {"primitives-line", 200, 500, false}};

typedef struct Ours {
    TbGapAsk ask;
    TbGap gap;
    TbFault fault;
    bool failed;
} Ours;

typedef struct Theirs {
    const RefShape *duct, *other;
    double distance;
} Theirs;

static void
run_ours(void *user)
{
    Ours *ours = user;

    ours->failed = tb_gap(&ours->ask, NULL, &ours->gap, &ours->fault) != TB_OK;
}

static void
run_theirs(void *user)
{
    Theirs *theirs = user;

    theirs->distance = ref_occt_distance(theirs->duct, theirs->other);
}

static TbSolid *
solid_of_sweep(TbStatus made, TbSweep *sweep, TbFault *fault)
{
    TbSolid *solid = tb_solid_new();

    if (made != TB_OK || tb_solid_add_sweep(solid, sweep, TB_ROLE_SKIN, fault) != TB_OK)
        bench_note("%s", fault->text);
    tb_sweep_unref(sweep);
    return solid;
}

static TbSolid *
solid_of_plain(TbPlain plain)
{
    TbSolid *solid = tb_solid_new();
    TbFault fault = {0};

    if (tb_solid_add_plain(solid, &plain, TB_ROLE_SKIN, &fault) != TB_OK)
        bench_note("%s", fault.text);
    return solid;
}

/** Our duct, then the three parts. */
static void
make_ours(const ScenePlain *plain, TbSolid *solid[1 + PARTS])
{
    SceneDuct duct;
    TbSweep *sweep = NULL;
    TbFault fault = {0};
    TbStatus status;

    scene_duct(0, &duct);
    status = scene_sweep(&duct, &sweep, &fault);
    solid[0] = solid_of_sweep(status, sweep, &fault);
    solid[1] = solid_of_plain((TbPlain){.kind = TB_PLAIN_BLOCK, .block = plain->block});
    solid[2] = solid_of_plain((TbPlain){.kind = TB_PLAIN_ROD, .rod = plain->rod});
    sweep = NULL;
    status = scene_line(plain, &sweep, &fault);
    solid[3] = solid_of_sweep(status, sweep, &fault);
}

static RefShape *
make_loft(void)
{
    TbVec3 points[LOFT_RINGS * SCENE_COLUMNS];
    RefRings ring = {.point = &points[0].x, .rings = LOFT_RINGS, .columns = SCENE_COLUMNS};

    scene_points(LOFT_RINGS, SCENE_COLUMNS, 0, points);
    return ref_occt_sweep(REF_LOFT, &ring);
}

static void
make_theirs(const ScenePlain *plain, RefShape *other[PARTS])
{
    const TbRod *rod = &plain->rod;

    other[0] = ref_occt_block(&plain->block.centre.x, &plain->block.axis[0].x, plain->block.half);
    other[1] = ref_occt_rod(&rod->a.x, &rod->b.x, rod->radius_a);
    other[2] = ref_occt_line(&plain->line[0].x, plain->line_radius);
}

/** One part's race; NAN and a printed line when it is void. */
static double
ratio_of(int part, TbSolid *const solid[], const RefShape *duct, const RefShape *other)
{
    Ours ours = {.ask = {.a = solid[0], .b = solid[1 + part], .width = width}};
    Theirs theirs = {duct, other, NAN};
    BenchSide side[] = {{.name = parts[part].id, .run = run_ours, .user = &ours},
                        {.name = "Open CASCADE", .run = run_theirs, .user = &theirs}};

    bench_race(side, 2, 5);
    bench_note("%s: %.6f to %.6f mm, Open CASCADE %.6f mm", parts[part].id, ours.gap.lower,
               ours.gap.upper, theirs.distance);
    if (ours.failed || !(ours.gap.upper - ours.gap.lower <= width)) {
        bench_note("not certified to %.3g mm: %s", width, ours.fault.text);
        return NAN;
    }
    if (!(fabs(theirs.distance - ours.gap.upper) <= agrees)) {
        bench_note("void: the distances differ by more than %.3g mm", agrees);
        return NAN;
    }
    return side[1].median / side[0].median;
}

/** The row's line counts in multiples of the part's `must`. */
static int
report(const double ratio[PARTS])
{
    const BenchRow *row = bench_row("primitives");
    BenchRow own = *row;
    int worst = 0, failed = 0;

    for (int i = 0; i < PARTS; i++) {
        if (isnan(ratio[i]))
            return bench_miss(row->id, "%s could not be judged", parts[i].id);
        failed |= bench_result_of(&parts[i], ratio[i]);
        if (ratio[i] / parts[i].must < ratio[worst] / parts[worst].must)
            worst = i;
    }
    own.reach = parts[worst].reach / parts[worst].must;
    return bench_result_of(&own, ratio[worst] / parts[worst].must) | failed;
}

int
main(void)
{
    ScenePlain plain;
    TbSolid *solid[1 + PARTS];
    RefShape *loft = make_loft(), *other[PARTS];
    double ratio[PARTS];

    scene_plain(&plain);
    make_ours(&plain, solid);
    make_theirs(&plain, other);
    for (int i = 0; i < PARTS; i++)
        ratio[i] = ratio_of(i, solid, loft, other[i]);
    for (int i = 0; i < 1 + PARTS; i++)
        tb_solid_unref(solid[i]);
    for (int i = 0; i < PARTS; i++)
        ref_occt_free(other[i]);
    ref_occt_free(loft);
    return report(ratio);
}
