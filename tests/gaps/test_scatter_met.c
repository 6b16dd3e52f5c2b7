/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Samples of two that meet as drawn, as items and a scan of the same items do: decided by pairs of
 * parts, all of them or a few, against a search of each sample's own and a closed form.
 */

#include "moving_scenes.h"

#include "../geom/mesh_scenes.h"
#include "gaps/scatter.h"

/** mm. A splinter's tip above the rest of its sheet. */
#define SPLINTER 0.8

static TbSolid *
solid_of_heap(Heap *heap)
{
    TbSolid *made = tb_solid_new();
    TbMesh *mesh = heap_mesh(heap);
    TbTree *tree = NULL;

    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(made, tree, 0, NULL), TB_OK);
    tb_tree_unref(tree);
    tb_mesh_unref(mesh);
    return made;
}

/** A rough sheet about a point with holes: `size` mm to either side, its corners up to `rough` off.
 * @return the height of its highest corner above the point, along the normal */
static double
rough_sheet(Heap *heap, Dice *dice, TbVec3 p, TbVec3 normal, double size, int cells, double rough)
{
    TbVec3 u = tb_vec3_unit(tb_vec3_across(tb_vec3(0.3, 1, 0.2), normal));
    TbVec3 v = tb_vec3_cross(normal, u);
    uint32_t side = (uint32_t)cells + 1, first = (uint32_t)heap->vertices;
    double most = -INFINITY;

    for (int i = 0; i <= cells; i++)
        for (int k = 0; k <= cells; k++) {
            double h = dice_between(dice, -rough, rough);
            TbVec3 at = tb_vec3_add_scaled(p, size * (2.0 * i / cells - 1), u);

            at = tb_vec3_add_scaled(at, size * (2.0 * k / cells - 1), v);
            heap_vertex(heap, tb_vec3_add_scaled(at, h, normal));
            most = fmax(most, h);
        }
    for (uint32_t i = 0; i + 1 < side; i++)
        for (uint32_t k = 0; k + 1 < side; k++) {
            uint32_t at = first + i * side + k;

            if ((i * 7 + k * 5) % 23 == 3) /* a hole; no corner is left alone by it */
                continue;
            heap_triangle(heap, at, at + side, at + 1);
            heap_triangle(heap, at + side, at + side + 1, at + 1);
        }
    return most;
}

static size_t
placements(gsl_rng *rng, TbScatterSource out[])
{
    size_t count = 0;

    for (int i = 0; i < 3; i++) {
        TbVec3 axis = tb_vec3(i == 0, i == 1, i == 2);

        out[count++] = (TbScatterSource){
            .kind = TB_SCATTER_SHIFT, .direction = axis, .half = between(rng, 1, 4)};
        out[count++] = (TbScatterSource){.side = 1,
                                         .kind = TB_SCATTER_TURN,
                                         .point = tb_vec3_scale(random_direction(rng), 150),
                                         .direction = axis,
                                         .half = between(rng, 0.001, 0.01)};
    }
    out[count++] = (TbScatterSource){.kind = TB_SCATTER_SIZE, .half = 0.7};
    return count;
}

/** Every sample by a whole search of its own: how many are broken, and may be. An open mesh that is
 * crossed has no depth that could be enough. */
static void
force(const TbScatterAsk *ask, uint64_t *least, uint64_t *most)
{
    TbMovingAsk still = {.a = ask->a, .b = ask->b, .width = TB_SCATTER_WIDTH, .depth_width = 0.05};

    *least = *most = 0;
    for (uint64_t i = 0; i < ask->samples; i++) {
        TbPose pose[2];
        TbGap gap;
        double off;

        tb_scatter_sample(ask, i, pose, &off);
        ck_assert_int_eq(tb_moving_gap_posed(&still, pose[0], pose[1], NULL, &gap, NULL), TB_OK);
        *least += gap.upper < ask->keep + off || gap.contact == TB_CROSSES;
        *most += gap.lower < ask->keep + off || gap.contact == TB_CROSSES;
    }
}

/** A duct or a rod that a rough sheet, or the nearly closed surface of a block, meets by a little
 * more or less. */
static void
random_scene(gsl_rng *rng, Dice *dice, int kind, TbScatterAsk *ask)
{
    TbSweep *sweep = random_sweep(rng, between(rng, 20, 50));
    TbDisc disc = tb_sweep_at(sweep, between(rng, 0.2, 0.8) * tb_sweep_length(sweep));
    TbVec3 normal, p = tb_disc_point(&disc, between(rng, -M_PI, M_PI), true, &normal);
    TbVec3 to = tb_vec3_add_scaled(p, between(rng, -2.5, 1.5), normal);
    Heap heap = {0};

    ask->a = solid_of_sweep(sweep);
    if (kind % 3 == 1) {
        tb_solid_unref((TbSolid *)ask->a);
        ask->a = solid_of_plain(rod(tb_vec3_add_scaled(p, -9, normal),
                                    tb_vec3_add_scaled(p, -90, normal), between(rng, 9, 30)));
        to = tb_vec3_add_scaled(to, -9, normal);
    }
    if (kind % 3 == 2) { /* all but one of its triangles; an edge of it comes near */
        heap_block(&heap, to, tb_vec3_add(to, tb_vec3(70, 60, 80)));
        heap.triangles--;
    } else {
        rough_sheet(&heap, dice, to, normal, 60, 14, 1.5);
    }
    ask->b = solid_of_heap(&heap);
}

static void
give_back(TbScatterAsk *ask)
{
    tb_solid_unref((TbSolid *)ask->a);
    tb_solid_unref((TbSolid *)ask->b);
}

START_TEST(every_sample_of_what_meets_is_decided_as_a_search_of_its_own_decides_it)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbScatterSource sources[TB_SCATTER_MOST];
    uint64_t broken = 0, samples = 0, searched = 0, of = 0;
    Dice dice = {31};
    int compared = 0, crossed = 0;

    gsl_rng_set(rng, 2026);
    for (int n = 0; n < 30; n++) {
        TbScatterAsk ask = {.sources = sources,
                            .width = 1e-3,
                            .confidence = 0.95,
                            .seed = (uint64_t)n,
                            .samples = 120,
                            .keep = n % 4 == 0 ? 0 : between(rng, 0, 2)};
        uint64_t least, most;
        TbScatter s;

        ask.count = placements(rng, sources);
        random_scene(rng, &dice, n, &ask);
        if (ask_gap(ask.a, ask.b, 1e-3).contact != TB_CLEAR) {
            ck_assert_int_eq(tb_scatter(&ask, NULL, NULL, &s, NULL), TB_OK);
            force(&ask, &least, &most);
            ck_assert_msg(least <= s.broken && s.broken <= most + s.undecided,
                          "scene %d: %d, %d to %d by force", n, (int)s.broken, (int)least,
                          (int)most);
            ck_assert_uint_le(s.undecided, 1);
            broken += s.broken;
            samples += s.samples;
            if (n % 3 != 2 && ask.keep > 1.2) { /* no mesh with an inside, no overlap will do */
                searched += s.searched;
                of += s.samples;
            }
            crossed += s.nominal.contact == TB_CROSSES;
            compared++;
        }
        give_back(&ask);
    }
    gsl_rng_free(rng);
    ck_assert_int_gt(compared, 15);
    ck_assert_int_gt(crossed, 8);
    ck_assert_uint_gt(broken, samples / 2);
    ck_assert_uint_lt(broken, samples - 8);
    ck_assert_uint_gt(of, 600);
    ck_assert_uint_lt(searched, of / 50);
}
END_TEST

/** A block over a rough sheet that lies well within its face, and one splinter that stands out of
 * the sheet: its gap to a sample is that to the splinter's tip, or it is crossed, and that breaks
 * any keep. */
static double
block_on_sheet(TbScatterAsk *ask, double lift, int cells, double rough)
{
    Dice dice = {5};
    Heap heap = {0};
    double top = rough_sheet(&heap, &dice, tb_vec3(0, 0, 0), tb_vec3(0, 0, 1), 90, cells, rough);
    uint32_t tip = heap_vertex(&heap, tb_vec3(-53, 41, top + SPLINTER));

    heap_triangle(&heap, tip, heap_vertex(&heap, tb_vec3(-52.6, 41, 0)),
                  heap_vertex(&heap, tb_vec3(-53, 41.4, 0)));
    ask->a = solid_of_plain(
        tb_plain_block_between(tb_vec3(-140, -150, lift), tb_vec3(150, 160, lift + 60)));
    ask->b = solid_of_heap(&heap);
    ask->width = 1e-3;
    ask->confidence = 0.95;
    return lift - top - SPLINTER;
}

static bool
is_broken(double gap, double need)
{
    return gap <= 0 || gap < need;
}

/** The sheet has more triangles than the few that stand for a meeting, and a sample is broken or
 * holds. */
START_TEST(a_fine_sheet_that_is_grazed_needs_all_its_pairs_and_is_told_as_the_closed_form_says)
{
    const TbScatterSource sources[] = {
        {.kind = TB_SCATTER_SHIFT, .direction = {0, 0, 1}, .half = 3},
        {.side = 1, .kind = TB_SCATTER_SHIFT, .direction = {1, 0, 0}, .half = 2},
        {.kind = TB_SCATTER_SIZE, .half = 0.9}};
    TbScatterAsk ask = {.sources = sources, .count = 3, .seed = 11, .samples = 1500, .keep = 1.1};
    double gap = block_on_sheet(&ask, 2.25, 60, 1.5);
    uint64_t broken = 0;
    TbScatter s;

    ck_assert_double_lt(gap, 0);
    for (uint64_t i = 0; i < ask.samples; i++) {
        TbPose pose[2];
        double off;

        tb_scatter_sample(&ask, i, pose, &off);
        broken += is_broken(gap + pose[0].origin.z - pose[1].origin.z, ask.keep + off);
    }
    ck_assert_int_eq(tb_scatter(&ask, NULL, NULL, &s, NULL), TB_OK);
    ck_assert_int_eq(s.nominal.contact, TB_CROSSES);
    ck_assert_uint_ge(s.broken, broken);
    ck_assert_uint_le(s.broken, broken + s.undecided);
    ck_assert_uint_le(s.undecided, 5);
    ck_assert_uint_gt(broken, 300);
    ck_assert_uint_lt(broken, 1450);
    ck_assert_uint_lt(s.searched, 60);
    give_back(&ask);
}
END_TEST

static TbScatter
ask_sources(TbScatterAsk *ask, const TbScatterSource sources[], size_t count)
{
    TbScatter s;

    ask->sources = sources;
    ask->count = count;
    ck_assert_int_eq(tb_scatter(ask, NULL, NULL, &s, NULL), TB_OK);
    return s;
}

static void
check_crosses(const TbScatter *s, TbContact nominal)
{
    ck_assert_int_eq(s->nominal.contact, nominal);
    ck_assert_int_eq(s->worst_contact, TB_CROSSES);
    ck_assert_double_eq(s->worst_lower, 0);
    ck_assert_double_eq(s->worst_upper, 0);
}

/** Turns about parallel axes with another between them: the search has them as one, and a slack. */
START_TEST(an_open_mesh_that_the_bands_take_through_is_crossed_and_has_no_depth)
{
    const TbScatterSource shift = {.kind = TB_SCATTER_SHIFT, .direction = {0, 0, 1}, .half = 3};
    const TbScatterSource size = {.side = 1, .kind = TB_SCATTER_SIZE, .half = 2.6};
    const TbScatterSource all[] = {
        {.kind = TB_SCATTER_TURN, .direction = {1, 0, 0}, .half = 0.01},
        {.kind = TB_SCATTER_TURN, .direction = {0, 1, 0}, .half = 0.01},
        {.kind = TB_SCATTER_TURN, .point = {0, 4, 0}, .direction = {1, 0, 0}, .half = 0.01},
        shift,
        size};
    TbScatterAsk ask = {.seed = 1};
    double gap = block_on_sheet(&ask, 4.1, 10, 1.5);
    TbScatter s;

    ck_assert_double_gt(gap, 0.5);
    ck_assert_double_lt(gap, 2.5);
    s = ask_sources(&ask, &shift, 1);
    check_crosses(&s, TB_CLEAR);
    s = ask_sources(&ask, &size, 1);
    check_crosses(&s, TB_CLEAR);
    s = ask_sources(&ask, all, 5);
    check_crosses(&s, TB_CLEAR);
    give_back(&ask);
    block_on_sheet(&ask, -1.2, 10, 1.5);
    s = ask_sources(&ask, &size, 1);
    check_crosses(&s, TB_CROSSES);
    s = ask_sources(&ask, all, 5);
    check_crosses(&s, TB_CROSSES);
    give_back(&ask);
}
END_TEST

START_TEST(a_sample_that_crosses_an_open_mesh_breaks_a_keep_of_0)
{
    const TbScatterSource shift = {.kind = TB_SCATTER_SHIFT, .direction = {0, 0, 1}, .half = 3};
    TbScatterAsk ask = {.seed = 5, .samples = 600, .sources = &shift, .count = 1};
    double gap = block_on_sheet(&ask, 2.6, 10, 1.5);
    uint64_t broken = 0;
    TbScatter s;

    for (uint64_t i = 0; i < ask.samples; i++) {
        TbPose pose[2];
        double off;

        tb_scatter_sample(&ask, i, pose, &off);
        broken += is_broken(gap + pose[0].origin.z, 0);
    }
    ck_assert_uint_gt(broken, 20);
    ck_assert_uint_lt(broken, 580);
    s = ask_sources(&ask, &shift, 1);
    ck_assert_uint_eq(s.broken, broken);
    give_back(&ask);
}
END_TEST

/** Two blocks, filled: what they do in the worst case has a depth. */
START_TEST(blocks_that_the_bands_bring_together_overlap_and_stand_off_into_each_other)
{
    const TbScatterSource shift = {.kind = TB_SCATTER_SHIFT, .direction = {0, 0, 1}, .half = 3};
    const TbScatterSource size = {.side = 1, .kind = TB_SCATTER_SIZE, .half = 2.6};
    const TbScatterSource less = {.side = 1, .kind = TB_SCATTER_SIZE, .half = 1.3};
    TbScatterAsk ask = {.width = 1e-6};
    TbScatter s;

    ask.a = solid_of_plain(tb_plain_block_between(tb_vec3(-90, -80, 2), tb_vec3(80, 70, 40)));
    ask.b = solid_of_plain(tb_plain_block_between(tb_vec3(-60, -50, -30), tb_vec3(40, 55, 0)));
    s = ask_sources(&ask, &shift, 1);
    ck_assert_int_eq(s.worst_contact, TB_OVERLAPS);
    ck_assert_double_le(s.worst_lower, -1);
    ck_assert_double_ge(s.worst_upper, -1 - 1e-6);
    s = ask_sources(&ask, &size, 1);
    ck_assert_int_eq(s.worst_contact, TB_OVERLAPS);
    ck_assert_double_eq_tol(s.worst_upper, -0.6, 1e-6);
    s = ask_sources(&ask, &less, 1);
    ck_assert_int_eq(s.worst_contact, TB_CLEAR);
    ck_assert_double_eq_tol(s.worst_upper, 0.7, 1e-6);
    give_back(&ask);
}
END_TEST

/** A small ball halfway through the wall of a large one that lacks a triangle of its mesh: what has
 * gone in is overlapped, however far its surface is from all triangles. */
START_TEST(what_has_passed_the_wall_of_a_nearly_closed_mesh_is_broken)
{
    const TbScatterSource sources[] = {
        {.kind = TB_SCATTER_SHIFT, .direction = {1, 0, 0}, .half = 30},
        {.side = 1, .kind = TB_SCATTER_SHIFT, .direction = {0, 0, 1}, .half = 5}};
    TbScatterAsk ask = {.sources = sources,
                        .count = 2,
                        .seed = 2,
                        .samples = 400,
                        .keep = 1,
                        .width = 1e-3,
                        .confidence = 0.95};
    uint64_t least, most, broken = 0;
    Heap heap = {0};
    TbScatter s;

    heap_ball(&heap, tb_vec3(0, 0, 0), 150, 40, 80);
    heap.triangles--;
    ask.a = solid_of_plain(ball(tb_vec3(151, 0, 0), 16));
    ask.b = solid_of_heap(&heap);
    for (uint64_t i = 0; i < ask.samples; i++) { /* the mesh is within 1.5 mm of its ball */
        TbPose pose[2];
        double off;

        tb_scatter_sample(&ask, i, pose, &off);
        broken += 151 + pose[0].origin.x - 16 - 150 < ask.keep;
    }
    ck_assert_int_eq(tb_scatter(&ask, NULL, NULL, &s, NULL), TB_OK);
    ck_assert_int_eq(s.nominal.contact, TB_OVERLAPS);
    force(&ask, &least, &most);
    ck_assert_uint_ge(s.broken, least);
    ck_assert_uint_le(s.broken, most + s.undecided);
    ck_assert_uint_ge(s.broken + 40, broken);
    ck_assert_uint_lt(s.broken, ask.samples);
    give_back(&ask);
}
END_TEST

START_TEST(a_scan_that_is_crossed_all_over_is_broken_in_every_sample_without_a_search)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbScatterSource sources[TB_SCATTER_MOST];
    TbScatterAsk ask = {.sources = sources, .seed = 3, .samples = 4000, .keep = 2};
    TbWork *work = tb_work_new(3);
    TbScatter one, three;

    gsl_rng_set(rng, 8);
    ask.count = placements(rng, sources);
    block_on_sheet(&ask, -1.2, 90, 1.5);
    ck_assert_int_eq(tb_scatter(&ask, NULL, NULL, &one, NULL), TB_OK);
    ck_assert_int_eq(tb_scatter(&ask, work, NULL, &three, NULL), TB_OK);
    ck_assert_int_eq(one.nominal.contact, TB_CROSSES);
    ck_assert_uint_eq(one.broken, ask.samples);
    ck_assert_uint_eq(one.searched, 0);
    ck_assert_uint_eq(three.broken, ask.samples);
    ck_assert_uint_eq(three.separated, one.separated);
    ck_assert_uint_eq(three.searched, 0);
    tb_work_free(work);
    gsl_rng_free(rng);
    give_back(&ask);
}
END_TEST

/** Tells the task to stop when it has been asked so often. */
typedef struct Patience {
    TbTask *task;
    long left;
} Patience;

static void
lose_patience(void *user, const char *what, double share)
{
    Patience *patience = user;

    (void)what;
    (void)share;
    if (patience->left-- <= 0)
        tb_task_cancel(patience->task);
}

START_TEST(samples_of_what_meets_stop_when_asked)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    TbScatterSource sources[TB_SCATTER_MOST];
    TbScatterAsk ask = {.sources = sources, .seed = 3, .samples = 200000, .keep = 2};
    TbTask task = {.report = lose_patience};
    Patience patience = {.task = &task, .left = 5};
    TbScatter s = {.samples = 77};
    TbFault fault = {0};

    task.user = &patience;
    gsl_rng_set(rng, 8);
    ask.count = placements(rng, sources);
    block_on_sheet(&ask, -1.2, 40, 1.5);
    ck_assert_int_eq(tb_scatter(&ask, NULL, &task, &s, &fault), TB_E_CANCELLED);
    ck_assert_uint_eq(s.samples, 77);
    ck_assert(fault.text[0] != '\0');
    gsl_rng_free(rng);
    give_back(&ask);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("gaps/scatter_met");
    TCase *tests = tcase_create("met");

    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, every_sample_of_what_meets_is_decided_as_a_search_of_its_own_decides_it);
    tcase_add_test(
        tests, a_fine_sheet_that_is_grazed_needs_all_its_pairs_and_is_told_as_the_closed_form_says);
    tcase_add_test(tests,
                   a_scan_that_is_crossed_all_over_is_broken_in_every_sample_without_a_search);
    tcase_add_test(tests, what_has_passed_the_wall_of_a_nearly_closed_mesh_is_broken);
    tcase_add_test(tests, an_open_mesh_that_the_bands_take_through_is_crossed_and_has_no_depth);
    tcase_add_test(tests, a_sample_that_crosses_an_open_mesh_breaks_a_keep_of_0);
    tcase_add_test(tests,
                   blocks_that_the_bands_bring_together_overlap_and_stand_off_into_each_other);
    tcase_add_test(tests, samples_of_what_meets_stop_when_asked);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
