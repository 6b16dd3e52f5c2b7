/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "scan_scenes.h"
#include "scenes.h"

#include "base/mem.h"
#include "gaps/lattice_private.h"
#include "geom/lanes.h"

enum { STATIONS = 23, COLUMNS = 32 };

/** mm. Of a difference of two distances in a bay. */
#define ROUND 1e-11

/** A random duct near a random mesh: balls, holes, blocks, or a plate. */
typedef struct Swept {
    TbSweep *sweep;
    TbTree *tree;
    TbSolid *duct, *other;
    double station[STATIONS];
} Swept;

static TbMesh *
random_mesh(Dice *dice, TbVec3 about, int kind)
{
    Heap heap = {0};
    TbVec3 centre = tb_vec3_add(about, dice_point(dice, 45));

    if (kind == 0) {
        heap_ball(&heap, centre, dice_between(dice, 2, 12), 5, 7);
    } else if (kind == 1) {
        for (int i = 0; i < 4; i++)
            heap_ball(&heap, tb_vec3_add(about, dice_point(dice, 90)), 9, 4, 5);
        heap.triangles -= 3;
    } else if (kind == 2) {
        heap_block(&heap, centre, tb_vec3_add(centre, tb_vec3(9.3, 4.1, 13.7)));
    } else {
        TbVec3 a = tb_vec3_add(about, dice_point(dice, 300));
        heap_triangle(&heap, heap_vertex(&heap, centre), heap_vertex(&heap, a),
                      heap_vertex(&heap, tb_vec3_add(a, dice_point(dice, 40))));
    }
    return heap_mesh(&heap);
}

static Swept
swept_number(uint64_t n)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    Dice dice = {n * 7919 + 3};
    Swept s = {.duct = tb_solid_new(), .other = tb_solid_new()};
    TbMesh *mesh;
    double length;
    TbVec3 away;

    gsl_rng_set(rng, n + 1);
    s.sweep = random_sweep(rng, 30);
    if (n % 3 == 0) { /* 8 m from the origin */
        TbSweep *moved = tb_sweep_moved(s.sweep, tb_pose_shift(tb_vec3(8000, -300, 2000)));

        tb_sweep_unref(s.sweep);
        s.sweep = moved;
    }
    length = tb_sweep_length(s.sweep);
    for (int i = 0; i < STATIONS; i++)
        s.station[i] = length * i / (STATIONS - 1);
    away = tb_sweep_at(s.sweep, length * dice_between(&dice, 0, 1)).centre;
    mesh = random_mesh(&dice, away, (int)(n % 4));
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &s.tree, NULL), TB_OK);
    tb_mesh_unref(mesh);
    ck_assert_int_eq(tb_solid_add_sweep(s.duct, s.sweep, 0, NULL), TB_OK);
    ck_assert_int_eq(tb_solid_add_tree(s.other, s.tree, 0, NULL), TB_OK);
    gsl_rng_free(rng);
    return s;
}

static void
swept_clear(Swept *s)
{
    tb_sweep_unref(s->sweep);
    tb_tree_unref(s->tree);
    tb_solid_unref(s->duct);
    tb_solid_unref(s->other);
}

/** The answer's points: one in the plane of its station, one on its triangle, `upper` apart. */
static void
check_witness(const Swept *s, const TbScanNear *near, uint64_t n)
{
    TbDisc disc = tb_sweep_at(s->sweep, near->station);
    TbVec3 t[3];
    double off;

    tb_mesh_corners(tb_tree_mesh(s->tree), near->triangle, t);
    off = tb_point_triangle(near->point_b, t).distance;
    ck_assert_msg(off <= 2 * TB_TOL_ROUND, "scene %lu: witness %g off the scan", (unsigned long)n,
                  off);
    off = fabs(tb_vec3_dot(tb_vec3_sub(near->point_a, disc.centre), tb_vec3_cross(disc.w, disc.h)));
    ck_assert_msg(off <= 1e-6, "scene %lu: witness %g off its section", (unsigned long)n, off);
    ck_assert_double_eq_tol(tb_vec3_distance(near->point_a, near->point_b), near->upper,
                            3 * TB_TOL_ROUND);
}

static void
check_interval(const TbScanNear *near, double lower, double upper, double width, uint64_t n)
{
    ck_assert_msg(near->lower <= upper && near->upper >= lower && near->lower >= 0,
                  "scene %lu: [%.10f, %.10f] against [%.10f, %.10f]", (unsigned long)n, near->lower,
                  near->upper, lower, upper);
    ck_assert_msg(near->upper - near->lower <= width + ROUND && !near->exhausted,
                  "scene %lu: [%.10f, %.10f] is wider than %g", (unsigned long)n, near->lower,
                  near->upper, width);
}

/** Bounds by force: no tree, no floats, no cut. */
typedef struct Bounds {
    double lower, upper;
} Bounds;

/** A filled section against every triangle. */
static Bounds
slow_section(const Swept *s, const TbDisc *disc)
{
    Bounds b = {INFINITY, INFINITY};
    TbConvex body = tb_convex_of_disc(disc, true);

    for (size_t i = 0; i < tb_mesh_triangle_count(tb_tree_mesh(s->tree)); i++) {
        TbVec3 t[3];
        TbConvex triangle;
        TbSeparation found;

        tb_mesh_corners(tb_tree_mesh(s->tree), i, t);
        triangle = tb_convex_of_triangle(t);
        found =
            tb_convex_separation(&body, &triangle, tb_vec3_sub(disc->centre, t[0]), INFINITY, 1e-8);
        b.lower = fmin(b.lower, found.lower);
        b.upper = fmin(b.upper, found.distance);
    }
    return b;
}

/** The whole duct, in short strips, against every triangle. */
static Bounds
slow_duct(const Swept *s)
{
    enum { SHARES = 20 };
    Bounds b = {INFINITY, INFINITY};

    for (size_t i = 0; i < tb_sweep_piece_count(s->sweep); i++) {
        const TbPiece *piece = tb_sweep_piece(s->sweep, i);

        for (int k = 0; k < SHARES; k++) {
            double u0 = piece->extent * k / SHARES, u1 = piece->extent * (k + 1) / SHARES;
            TbStrip strip = tb_strip_of(piece, u0, u1, true);
            TbConvex body = tb_strip_convex(&strip, true);

            for (size_t n = 0; n < tb_mesh_triangle_count(tb_tree_mesh(s->tree)); n++) {
                TbVec3 t[3];
                TbConvex triangle;
                TbSeparation found;

                tb_mesh_corners(tb_tree_mesh(s->tree), n, t);
                triangle = tb_convex_of_triangle(t);
                found = tb_convex_separation(&body, &triangle,
                                             tb_vec3_sub(strip.disc0.centre, t[0]), b.lower, 1e-5);
                b.lower = fmin(b.lower, found.lower);
            }
            b.upper = fmin(b.upper, slow_section(s, &strip.disc0).upper);
        }
    }
    return b;
}

static const double widths[3] = {1e-2, 1e-4, 1e-6};

static void
check_least(uint64_t n)
{
    Swept s = swept_number(n);
    TbLattice *lattice = NULL;
    TbScanAsk ask = {.tree = s.tree, .width = widths[n % 3], .beyond = INFINITY};
    TbGap gap = ask_gap(s.duct, s.other, ask.width);
    TbScanNear least, *rows;
    double lower = INFINITY, upper = INFINITY;
    size_t count;

    ck_assert_int_eq(tb_lattice_new_swept(s.sweep, s.station, STATIONS, COLUMNS, &lattice, NULL),
                     TB_OK);
    ask.lattice = lattice;
    count = tb_lattice_rows(lattice);
    rows = malloc(count * sizeof *rows);
    ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &least), TB_OK);
    ck_assert_int_eq(tb_scan_rows(&ask, NULL, NULL, rows), TB_OK);
    for (size_t i = 0; i < count; i++) {
        lower = fmin(lower, rows[i].lower);
        upper = fmin(upper, rows[i].upper);
        ck_assert_msg(rows[i].upper - rows[i].lower <= ask.width + ROUND && !rows[i].exhausted,
                      "scene %lu row %zu", (unsigned long)n, i);
        if (rows[i].upper > 0)
            check_witness(&s, &rows[i], n);
    }
    /* of shells that float inside the duct nothing is promised here */
    if (gap.contact == TB_CLEAR || (gap.contact == TB_OVERLAPS && n % 2 == 0))
        check_interval(&least, lower, upper, ask.width, n);
    if (gap.contact == TB_CLEAR && gap.lower > 0) {
        Bounds slow = slow_duct(&s);

        check_interval(&least, gap.lower, gap.upper, ask.width, n);
        check_interval(&least, slow.lower - TB_TOL_ROUND, slow.upper + TB_TOL_ROUND, ask.width, n);
        check_witness(&s, &least, n);
    } else if (gap.contact == TB_OVERLAPS && n % 2 == 0) {
        ck_assert_msg(least.upper <= 0 && least.lower <= 0, "scene %lu: %.9f, but it overlaps",
                      (unsigned long)n, least.upper);
    }
    free(rows);
    tb_lattice_free(lattice);
    swept_clear(&s);
}

enum { PARTS = 6, PART = 25 };

START_TEST(the_least_is_the_certified_gap)
{
    for (uint64_t n = 0; n < PART; n++)
        check_least((uint64_t)_i + PARTS * n);
}
END_TEST

/** The discs at a duct's stations, lent to a lattice. */
typedef struct Discs {
    TbDisc disc[STATIONS];
    const TbDisc *lent[STATIONS];
} Discs;

static void
discs_of(const Swept *s, Discs *discs)
{
    for (int i = 0; i < STATIONS; i++) {
        discs->disc[i] = tb_sweep_at(s->sweep, s->station[i]);
        discs->lent[i] = &discs->disc[i];
    }
}

static void
check_sections(uint64_t n)
{
    Swept s = swept_number(n);
    TbLattice *lattice = NULL;
    TbScanAsk ask = {.tree = s.tree, .width = widths[n % 3], .beyond = INFINITY};
    TbScanNear rows[STATIONS];
    Discs discs;

    discs_of(&s, &discs);
    ck_assert_int_eq(
        tb_lattice_new_sections(s.sweep, discs.lent, STATIONS, COLUMNS, &lattice, NULL), TB_OK);
    ck_assert_uint_eq(tb_lattice_rows(lattice), STATIONS);
    ask.lattice = lattice;
    ck_assert_int_eq(tb_scan_rows(&ask, NULL, NULL, rows), TB_OK);
    for (int i = 0; i < STATIONS; i++) {
        Bounds slow = slow_section(&s, &discs.disc[i]);

        check_interval(&rows[i], slow.lower - TB_TOL_ROUND, slow.upper + TB_TOL_ROUND, ask.width,
                       n);
        if (rows[i].upper > 0) {
            check_witness(&s, &rows[i], n);
            ck_assert_double_eq_tol(rows[i].station, s.station[i], 1e-6);
        }
    }
    tb_lattice_free(lattice);
    swept_clear(&s);
}

START_TEST(sections_are_as_far_as_all_triangles)
{
    for (uint64_t n = 0; n < PART; n++)
        check_sections((uint64_t)_i + PARTS * n);
}
END_TEST

/** A single triangle about a point of the surface, or one of which a corner is a hair inside. */
static TbTree *
one_triangle(Dice *dice, TbVec3 p, TbVec3 normal, bool grazing)
{
    TbVec3 v = dice_point(dice, 1.7), w = dice_point(dice, 1.3), third;
    Heap heap = {0};
    TbTree *tree;
    TbMesh *mesh;

    third = tb_vec3_sub(p, tb_vec3_add(v, w));
    if (grazing) {
        third = tb_vec3_add_scaled(p, -dice_between(dice, 0, 1e-4), normal);
        v = tb_vec3_add_scaled(v, 2, normal);
        w = tb_vec3_add_scaled(w, 1.5, normal);
    }
    heap_triangle(&heap, heap_vertex(&heap, tb_vec3_add(p, v)),
                  heap_vertex(&heap, tb_vec3_add(p, w)), heap_vertex(&heap, third));
    mesh = heap_mesh(&heap);
    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    tb_mesh_unref(mesh);
    return tree;
}

/** Halving a strip that a triangle only grazes would go on for ever. */
START_TEST(a_triangle_through_the_surface_is_found_to_meet_it)
{
    for (uint64_t n = 0; n < 40; n++) {
        Swept s = swept_number(n);
        Dice dice = {n + 11};
        TbLattice *lattice = NULL;
        double length = tb_sweep_length(s.sweep);

        ck_assert_int_eq(
            tb_lattice_new_swept(s.sweep, s.station, STATIONS, COLUMNS, &lattice, NULL), TB_OK);
        for (int i = 0; i < 30; i++) {
            TbDisc disc = tb_sweep_at(s.sweep, length * dice_between(&dice, 0, 1));
            TbScanAsk ask = {.lattice = lattice, .width = widths[n % 3], .beyond = INFINITY};
            TbVec3 normal, p = tb_disc_point(&disc, dice_between(&dice, 0, 6.28), true, &normal);
            TbTree *tree = one_triangle(&dice, p, normal, i % 2 == 1);
            TbScanNear least;

            ask.tree = tree;
            ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &least), TB_OK);
            ck_assert_msg(least.lower <= 0 && least.upper <= (i % 2 == 1 ? ask.width : 0),
                          "scene %lu triangle %d: %g", (unsigned long)n, i, least.upper);
            tb_tree_unref(tree);
        }
        tb_lattice_free(lattice);
        swept_clear(&s);
    }
}
END_TEST

/** Rounding of a place that is told by floats, from one some mm away. */
#define FLOATS 2e-6

/** How far a point is beyond a row's planes and tangents. */
static double
beyond_row(const TbLattice *lattice, size_t row, TbVec3 p)
{
    const TbLatticeSolids *solids = &lattice->solids[row / TB_LANES];
    const TbTangent8 *t = &lattice->tangent[row / TB_LANES * lattice->columns];
    size_t lane = row % TB_LANES;
    TbVec3 about = tb_vec3((double)solids->about[0][lane], (double)solids->about[1][lane],
                           (double)solids->about[2][lane]);
    TbVec3 along = tb_vec3((double)solids->along[0][lane], (double)solids->along[1][lane],
                           (double)solids->along[2][lane]);
    TbVec3 w = tb_vec3_sub(p, about);
    double at = tb_vec3_dot(along, w);
    double most = fmax(at - (double)solids->high[lane], (double)solids->low[lane] - at);

    for (size_t k = 0; k < lattice->columns; k++) {
        TbVec3 n = tb_vec3((double)t[k].number[0][lane], (double)t[k].number[1][lane],
                           (double)t[k].number[2][lane]);

        most = fmax(most, tb_vec3_dot(n, w) - (double)t[k].number[3][lane]);
    }
    return fmax(most, tb_vec3_length(w) - (double)solids->size[lane]);
}

/** @return the point of an outline that is furthest out of all that were tried, mm */
static double
beyond_outline(const TbLattice *lattice, size_t row, const TbDisc *disc)
{
    double most = -INFINITY;

    for (int i = 0; i < 97; i++) {
        TbVec3 normal, p = tb_disc_point(disc, 2 * M_PI * i / 97, true, &normal);

        most = fmax(most, beyond_row(lattice, row, p));
    }
    return most;
}

static void
check_tangents(const TbLattice *lattice, uint64_t n)
{
    for (size_t row = 0; row < lattice->rows; row++) {
        double size = (double)lattice->solids[row / TB_LANES].size[row % TB_LANES];
        double spare = FLOATS * size, most;

        if (lattice->row[row].flat_end) {
            most = beyond_outline(lattice, row, &lattice->disc[lattice->row[row].low]);
            /* and no further out than need be: some place of the outline is at a tangent */
            ck_assert_msg(most >= -spare, "scene %lu row %zu: %g", (unsigned long)n, row, most);
        } else {
            const TbStrip *strip = &lattice->strip[row];

            most = -INFINITY;
            for (int i = 0; i <= 8; i++) {
                double u = strip->u0 + (strip->u1 - strip->u0) * i / 8;
                TbDisc disc = tb_piece_disc(strip->piece, u);

                most = fmax(most, beyond_outline(lattice, row, &disc));
            }
        }
        ck_assert_msg(most <= spare, "scene %lu row %zu: %g mm beyond a tangent", (unsigned long)n,
                      row, most);
    }
}

START_TEST(no_point_of_a_row_lies_beyond_its_planes_and_tangents)
{
    for (uint64_t n = 0; n < 60; n++) {
        Swept s = swept_number(n);
        TbLattice *lattice[2] = {NULL, NULL};
        Discs discs;

        discs_of(&s, &discs);
        ck_assert_int_eq(
            tb_lattice_new_swept(s.sweep, s.station, STATIONS, COLUMNS, &lattice[0], NULL), TB_OK);
        ck_assert_int_eq(
            tb_lattice_new_sections(s.sweep, discs.lent, STATIONS, COLUMNS, &lattice[1], NULL),
            TB_OK);
        for (int i = 0; i < 2; i++) {
            check_tangents(lattice[i], n);
            tb_lattice_free(lattice[i]);
        }
        swept_clear(&s);
    }
}
END_TEST

START_TEST(sections_have_the_same_bits_without_wide_instructions)
{
    for (uint64_t n = 0; n < 24; n++) {
        Swept s = swept_number(n);
        TbScanAsk ask = {.tree = s.tree, .width = widths[n % 3], .beyond = INFINITY};
        TbScanNear rows[2][STATIONS];
        Discs discs;

        discs_of(&s, &discs);
        for (int plain = 0; plain < 2; plain++) {
            TbLattice *lattice = NULL;

            tb_lanes_force_plain(plain);
            ck_assert_int_eq(
                tb_lattice_new_sections(s.sweep, discs.lent, STATIONS, COLUMNS, &lattice, NULL),
                TB_OK);
            ask.lattice = lattice;
            ck_assert_int_eq(tb_scan_rows(&ask, NULL, NULL, rows[plain]), TB_OK);
            tb_lattice_free(lattice);
        }
        tb_lanes_force_plain(0);
        for (int i = 0; i < STATIONS; i++)
            ck_assert_msg(same_near(&rows[0][i], &rows[1][i]), "scene %lu station %d",
                          (unsigned long)n, i);
        swept_clear(&s);
    }
}
END_TEST

START_TEST(wide_instructions_and_threads_change_no_bit)
{
    for (uint64_t n = 0; n < 24; n++) {
        Swept s = swept_number(n);
        TbScanAsk ask = {.tree = s.tree, .width = 1e-3, .beyond = INFINITY};
        TbScanNear *rows[3], least[2];
        TbWork *work = tb_work_new(2);
        size_t count = 0;

        for (int plain = 0; plain < 2; plain++) {
            TbLattice *lattice = NULL;

            tb_lanes_force_plain(plain);
            ck_assert_int_eq(
                tb_lattice_new_swept(s.sweep, s.station, STATIONS, COLUMNS, &lattice, NULL), TB_OK);
            ask.lattice = lattice;
            count = tb_lattice_rows(lattice);
            rows[plain] = malloc(count * sizeof **rows);
            ck_assert_int_eq(tb_scan_rows(&ask, NULL, NULL, rows[plain]), TB_OK);
            ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &least[plain]), TB_OK);
            if (plain == 1) {
                rows[2] = malloc(count * sizeof **rows);
                ck_assert_int_eq(tb_scan_rows(&ask, work, NULL, rows[2]), TB_OK);
            }
            tb_lattice_free(lattice);
        }
        tb_lanes_force_plain(0);
        for (size_t i = 0; i < count; i++)
            ck_assert_msg(same_near(&rows[0][i], &rows[1][i]) &&
                              same_near(&rows[1][i], &rows[2][i]),
                          "scene %lu row %zu", (unsigned long)n, i);
        ck_assert(same_near(&least[0], &least[1]));
        for (int i = 0; i < 3; i++)
            free(rows[i]);
        tb_work_free(work);
        swept_clear(&s);
    }
}
END_TEST

START_TEST(a_keep_is_judged_as_by_the_gap)
{
    for (uint64_t n = 0; n < 48; n++) {
        Swept s = swept_number(n);
        TbGap gap = ask_gap(s.duct, s.other, 1e-6);
        TbLattice *lattice = NULL;
        TbScanAsk ask = {.tree = s.tree, .width = 1e-3, .beyond = INFINITY};
        TbScanNear near;

        ck_assert_int_eq(
            tb_lattice_new_swept(s.sweep, s.station, STATIONS, COLUMNS, &lattice, NULL), TB_OK);
        ask.lattice = lattice;
        for (int i = 0; i < 2 && gap.contact == TB_CLEAR; i++) {
            ask.enough = gap.upper * (i == 0 ? 0.9 : 1.1) + (i == 0 ? -0.01 : 0.01);
            if (!(ask.enough > 0))
                continue;
            ck_assert_int_eq(tb_scan_least(&ask, NULL, NULL, &near), TB_OK);
            ck_assert_double_le(near.lower, gap.upper);
            ck_assert_double_ge(near.upper, gap.lower);
            if (i == 0)
                ck_assert_double_ge(near.lower, ask.enough - TB_TOL_ROUND);
            else
                ck_assert_double_lt(near.upper, ask.enough);
        }
        tb_lattice_free(lattice);
        swept_clear(&s);
    }
}
END_TEST

START_TEST(every_failing_request_for_memory_is_told_and_leaks_nothing)
{
    Swept s = swept_number(2);
    Discs discs;

    discs_of(&s, &discs);
    for (int what = 0; what < 2; what++) {
        TbStatus status = TB_E_MEMORY;
        TbLattice *lattice = NULL;
        long n = 0;

        while (status == TB_E_MEMORY && n < 200) {
            tb_mem_fail_at(++n);
            status = what == 0 ? tb_lattice_new_swept(s.sweep, s.station, STATIONS, COLUMNS,
                                                      &lattice, NULL)
                               : tb_lattice_new_sections(s.sweep, discs.lent, STATIONS, COLUMNS,
                                                         &lattice, NULL);
            tb_mem_fail_at(0);
        }
        ck_assert_int_eq(status, TB_OK);
        ck_assert_int_ge(n, 5);
        tb_lattice_free(lattice);
    }
    swept_clear(&s);
}
END_TEST

static Suite *
scan_suite(void)
{
    Suite *suite = suite_create("gaps/scan_swept");
    TCase *all = tcase_create("all");

    tcase_set_timeout(all, 250);
    tcase_add_loop_test(all, the_least_is_the_certified_gap, 0, PARTS);
    tcase_add_loop_test(all, sections_are_as_far_as_all_triangles, 0, PARTS);
    tcase_add_test(all, a_triangle_through_the_surface_is_found_to_meet_it);
    tcase_add_test(all, no_point_of_a_row_lies_beyond_its_planes_and_tangents);
    tcase_add_test(all, sections_have_the_same_bits_without_wide_instructions);
    tcase_add_test(all, wide_instructions_and_threads_change_no_bit);
    tcase_add_test(all, a_keep_is_judged_as_by_the_gap);
    tcase_add_test(all, every_failing_request_for_memory_is_told_and_leaks_nothing);
    suite_add_tcase(suite, all);
    return suite;
}

int
main(void)
{
    return tb_test_main(scan_suite());
}
