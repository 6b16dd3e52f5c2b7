/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * The examples hot, and hot and rocking: certified gaps against FCL's distances of meshes posed at
 * sampled warmths and angles. None is below the lower end by more than the meshes' error, and at
 * the worst pose it lies within the interval. Ducts between ports stay on them at every pose: where
 * a port goes is computed here by hand, from the datum it grows from and the axis it rocks about.
 */
#include "../study/bays.h"
#include "fcl_distance.h"
#include "tap.h"

#include "bay/catalogue.h"
#include "bay/ports.h"
#include "motion/rock.h"

#include <gio/gio.h>
#include <gsl/gsl_rng.h>

/** mm. The meshes lie this near to the true surfaces, so distances of two differ by twice as much.
 */
#define CHORD 0.1

/** mm. Pairs that are never nearer are not looked at: they take long and say little. */
#define NEAR 24.0

/** mm. Triangles further than it from all of the other item are not given to FCL: they are not the
 * nearest of a distance below it. */
#define FAR 30.0

enum { POSES = 4 };

/** Two ends of a duct, and who carries them. */
typedef struct Carried {
    const char *duct;
    struct {
        const char *port, *owner;
    } end[2];
} Carried;

static const struct {
    const char *bay, *variant, *state;
    Carried carried[2];
    size_t least; /**< pairs at least that are near enough */
} cases[] = {
    {"van-c.bay",
     "std-s",
     "hot",
     {{"outlet", {{"turbine-out", "turbo"}, {"catalyst-in", "catalyst-cone"}}},
      {"runner-1", {{"head-1", "head"}, {"merge-1", "collector"}}}},
     8},
    {"van-c.bay",
     "std-s",
     "hot-rocking",
     {{"outlet", {{"turbine-out", "turbo"}, {"catalyst-in", "catalyst-cone"}}},
      {"runner-1", {{"head-1", "head"}, {"merge-1", "collector"}}}},
     13},
    {"pickup.bay",
     "standard",
     "hot",
     {{"outlet", {{"turbine-out", "turbo"}, {"catalyst-in", "catalyst-cone"}}},
      {"runner-rear", {{"head-5", "head"}, {"scroll-rear", "turbo"}}}},
     5},
    {"pickup.bay",
     "standard",
     "hot-rocking",
     {{"outlet", {{"turbine-out", "turbo"}, {"catalyst-in", "catalyst-cone"}}},
      {"runner-rear", {{"head-5", "head"}, {"scroll-rear", "turbo"}}}},
     7},
};
enum { CASES = sizeof cases / sizeof cases[0] };

/* ---- a bay, judged ---- */

typedef struct Judged {
    TbStudy *study;
    TbBay *bay;
    TbCatalogue *catalogue;
    TbResults *results;
    TbAsk ask;
    char *folder;
} Judged;

static void
open_case(int n, Judged *judged)
{
    char *path, *text = NULL;
    TbFault fault = {0};

    ck_assert_ptr_nonnull(g_getenv("TB_EXAMPLES"));
    judged->folder = g_strdup(g_getenv("TB_EXAMPLES"));
    path = g_build_filename(judged->folder, cases[n].bay, NULL);
    ck_assert(g_file_get_contents(path, &text, NULL, NULL));
    judged->bay = bay_of(text);
    judged->study = study_alone();
    ck_assert_int_eq(tb_catalogue_new(&judged->catalogue, NULL), TB_OK);
    judged->ask = (TbAsk){.bay = judged->bay,
                          .folder = judged->folder,
                          .variant = cases[n].variant,
                          .state = cases[n].state};
    ck_assert_msg(tb_study_judge(judged->study, &judged->ask, NULL, &judged->results, &fault) ==
                      TB_OK,
                  "%s", fault.text);
    g_free(text);
    g_free(path);
}

static void
close_case(Judged *judged)
{
    tb_results_unref(judged->results);
    tb_catalogue_unref(judged->catalogue);
    tb_study_free(judged->study);
    tb_bay_unref(judged->bay);
    g_free(judged->folder);
}

/* ---- poses ---- */

/** A gap's numbers, to be set; the rest is the gap's own. */
static TbResultGap
pose_of(const TbResultGap *gap)
{
    TbResultGap pose = *gap;

    pose.moves = g_memdup2(gap->moves, gap->move_count * sizeof *gap->moves);
    pose.warmth = g_memdup2(gap->warmth, gap->warmth_count * sizeof *gap->warmth);
    return pose;
}

static void
pose_clear(TbResultGap *pose)
{
    g_free(pose->moves);
    g_free(pose->warmth);
}

/** Ends of a range as often as its inside. */
static double
drawn(gsl_rng *rng, double low, double high)
{
    double kind = gsl_rng_uniform(rng);

    return kind < 0.25 ? low : kind < 0.5 ? high : low + (high - low) * gsl_rng_uniform(rng);
}

static void
draw_pose(gsl_rng *rng, TbResultGap *pose)
{
    for (size_t i = 0; i < pose->move_count; i++)
        pose->moves[i].at = drawn(rng, pose->moves[i].low, pose->moves[i].high);
    for (size_t i = 0; i < pose->warmth_count; i++)
        pose->warmth[i].share = drawn(rng, 0, 1);
}

static TbMesh *
mesh_at(const Judged *judged, const TbResultGap *pose, const char *item)
{
    TbAsk ask = judged->ask;
    TbMesh *mesh = NULL;
    TbFault fault = {0};

    ask.pose = pose;
    ck_assert_msg(tb_study_mesh(judged->study, &ask, item, false, CHORD, NULL, &mesh, &fault) ==
                      TB_OK,
                  "%s: %s", item, fault.text);
    return mesh;
}

/** Of those triangles that are within FAR of the other's box, as FCL takes them; to be freed. */
static double *
corners_near(const TbMesh *mesh, TbBox3 box, size_t *count)
{
    double *out = g_new(double, 9 * tb_mesh_triangle_count(mesh));

    *count = 0;
    for (size_t i = 0; i < tb_mesh_triangle_count(mesh); i++) {
        TbBox3 own = tb_box3_empty();
        TbVec3 corner[3];

        tb_mesh_corners(mesh, i, corner);
        for (size_t k = 0; k < 3; k++)
            own = tb_box3_with_point(own, corner[k]);
        if (tb_box3_distance2(own, box) > FAR * FAR)
            continue;
        for (size_t k = 0; k < 3; k++)
            memcpy(out + 9 * *count + 3 * k, (double[3]){corner[k].x, corner[k].y, corner[k].z},
                   3 * sizeof *out);
        ++*count;
    }
    return out;
}

/** The distance, or FAR where it is no less. */
static double
fcl_at(const Judged *judged, const TbResultGap *pose)
{
    TbMesh *a = mesh_at(judged, pose, pose->a), *b = mesh_at(judged, pose, pose->b);
    size_t a_count, b_count;
    double *a_near = corners_near(a, tb_mesh_box(b), &a_count);
    double *b_near = corners_near(b, tb_mesh_box(a), &b_count);
    double distance = FAR;

    if (a_count > 0 && b_count > 0)
        distance = fmin(FAR, fcl_mesh_mesh(a_near, a_count, b_near, b_count));
    g_free(a_near);
    g_free(b_near);
    tb_mesh_unref(a);
    tb_mesh_unref(b);
    return distance;
}

/** Nothing is left out of it at a port, for FCL leaves nothing out. */
static bool
is_asked(const TbResultGap *gap)
{
    return gap->gap.certified && gap->gap.contact == TB_CLEAR && gap->excluded_count == 0 &&
           gap->gap.upper < NEAR && gap->move_count + gap->warmth_count > 0;
}

static void
compare(const Judged *judged, gsl_rng *rng, const TbResultGap *gap)
{
    TbResultGap pose = pose_of(gap);
    double worst = fcl_at(judged, gap);

    ck_assert_msg(worst >= gap->gap.lower - 2 * CHORD && worst <= gap->gap.upper + 2 * CHORD,
                  "%s, %s, %s at its worst: ours [%.6f, %.6f], FCL %.6f", gap->state, gap->a,
                  gap->b, gap->gap.lower, gap->gap.upper, worst);
    for (int k = 0; k < POSES; k++) {
        double theirs;

        draw_pose(rng, &pose);
        theirs = fcl_at(judged, &pose);
        ck_assert_msg(theirs >= gap->gap.lower - 2 * CHORD, "%s, %s, %s: FCL %.6f below %.6f",
                      gap->state, gap->a, gap->b, theirs, gap->gap.lower);
    }
    pose_clear(&pose);
}

START_TEST(no_sampled_warmth_or_angle_is_below_the_certified_gap)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    size_t compared = 0;
    Judged judged;

    gsl_rng_set(rng, 2718);
    open_case(_i, &judged);
    for (size_t i = 0; i < judged.results->gap_count; i++) {
        if (!is_asked(&judged.results->gaps[i]))
            continue;
        compare(&judged, rng, &judged.results->gaps[i]);
        compared++;
    }
    ck_assert_uint_ge(compared, cases[_i].least);
    close_case(&judged);
    gsl_rng_free(rng);
}
END_TEST

/* ---- ports ---- */

/** By how much an item grows for each part of its warmth, by hand: mean expansion times degrees. */
static double
growth_of(const Judged *judged, const char *id)
{
    const TbItem *item = tb_bay_item_in(judged->bay, judged->ask.variant, id);
    const TbMaterial *material = tb_catalogue_find(judged->catalogue, judged->bay, item->material);
    double temperature = strcmp(item->klass, "hot") == 0 ? 620 : 100;

    ck_assert_ptr_nonnull(material);
    return tb_material_expansion(material, temperature) * (temperature - 20);
}

static double
share_of(const TbResultGap *pose, const char *item)
{
    for (size_t i = 0; i < pose->warmth_count; i++)
        if (strcmp(pose->warmth[i].item, item) == 0)
            return pose->warmth[i].share;
    return 1;
}

/** The engine's rock at a pose: the examples have no other. */
static TbPose
rock_of(const Judged *judged, const TbResultGap *pose)
{
    const TbMount *engine = tb_bay_mount(judged->bay, "engine");
    TbRock rock = {engine->axis_point, tb_vec3_unit(engine->axis_direction), -1, 1};

    if (pose->move_count == 0)
        return tb_pose_identity();
    ck_assert_uint_eq(pose->move_count, 1);
    ck_assert_str_eq(pose->moves[0].freedom, "rx");
    return tb_rock_pose(rock, pose->moves[0].at * G_PI / 180);
}

/** Every corner of the cold duct's end face, taken where its hot port has it, lies on the posed
 * duct. @return how many */
static size_t
check_end(const Judged *judged, const TbResultGap *pose, const Carried *carried, int end)
{
    TbVec3 datum = tb_bay_mount(judged->bay, "engine")->datum;
    double grown =
        1 + share_of(pose, carried->end[end].owner) * growth_of(judged, carried->end[end].owner);
    double own = 1 + share_of(pose, carried->duct) * growth_of(judged, carried->duct);
    Judged cold = *judged;
    TbMesh *drawn_mesh, *posed_mesh = mesh_at(judged, pose, carried->duct);
    TbTree *tree = NULL;
    TbPortPlace port;
    size_t found = 0;
    TbVec3 hot;

    cold.ask.state = "cold";
    drawn_mesh = mesh_at(&cold, NULL, carried->duct);
    ck_assert_int_eq(tb_tree_new(posed_mesh, NULL, NULL, &tree, NULL), TB_OK);
    ck_assert_int_eq(
        tb_bay_port_place(judged->bay, judged->ask.variant, carried->end[end].port, &port, NULL),
        TB_OK);
    hot = tb_vec3_add_scaled(datum, grown, tb_vec3_sub(port.point, datum));
    ck_assert_double_ge(tb_vec3_distance(hot, port.point),
                        share_of(pose, carried->end[end].owner) * 0.1);
    for (size_t i = 0; i < tb_mesh_vertex_count(drawn_mesh); i++) {
        TbVec3 r = tb_vec3_sub(tb_mesh_vertices(drawn_mesh)[i], port.point), to;

        if (fabs(tb_vec3_dot(r, port.flow)) > 1e-3 || tb_vec3_length(r) > 80)
            continue;
        to = tb_pose_point(rock_of(judged, pose), tb_vec3_add_scaled(hot, own, r));
        ck_assert_msg(tb_tree_nearest(tree, to, INFINITY).nearest.distance <= CHORD,
                      "%s at %s, %s: %.4f mm off", carried->duct, carried->end[end].port,
                      pose->state, tb_tree_nearest(tree, to, INFINITY).nearest.distance);
        found++;
    }
    tb_tree_unref(tree);
    tb_mesh_unref(posed_mesh);
    tb_mesh_unref(drawn_mesh);
    return found;
}

/** The gap of a duct and something that is not hot itself, certified, with its carriers' warmths.
 */
static const TbResultGap *
gap_of(const TbResults *results, const char *duct)
{
    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];

        if (strcmp(gap->a, duct) == 0 && strcmp(gap->b, "brake-line") == 0)
            return gap;
    }
    ck_abort_msg("no gap of %s", duct);
    return NULL;
}

START_TEST(a_duct_between_ports_stays_on_them_at_every_pose)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    Judged judged;

    gsl_rng_set(rng, 577);
    open_case(_i, &judged);
    for (size_t c = 0; c < 2; c++) {
        const Carried *carried = &cases[_i].carried[c];
        TbResultGap pose = pose_of(gap_of(judged.results, carried->duct));

        ck_assert_uint_ge(pose.warmth_count, 3); /* its own, and its two carriers' */
        for (int k = 0; k < POSES; k++) {
            draw_pose(rng, &pose);
            for (int end = 0; end < 2; end++)
                ck_assert_uint_ge(check_end(&judged, &pose, carried, end), 30);
        }
        pose_clear(&pose);
    }
    close_case(&judged);
    gsl_rng_free(rng);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("external/fcl_warm");
    TCase *tests = tcase_create("warmths");

    tcase_set_timeout(tests, 200);
    tcase_add_loop_test(tests, no_sampled_warmth_or_angle_is_below_the_certified_gap, 0, CASES);
    tcase_add_loop_test(tests, a_duct_between_ports_stays_on_them_at_every_pose, 0, CASES);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
