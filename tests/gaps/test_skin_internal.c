/* SPDX-License-Identifier: GPL-3.0-or-later */

/** Cells of surfaces hold their part of the surface: what overlaps are certified with. */
#include "scenes.h"

#include "gaps/skin_private.h"

/** How far a point lies outside a cell's hull. */
static double
outside(const TbCell *cell, TbVec3 p)
{
    TbConvex hull = tb_skin__hull(cell), point = tb_convex_of_point(p);

    return fmax(0, tb_convex_separation(&point, &hull, tb_vec3(0, 0, 0), INFINITY, 1e-11).hull);
}

/** Point of a sweep's outside with the unit shape's normal at v. */
static TbVec3
skin_point(const TbPiece *piece, double u, double v)
{
    TbDisc disc = tb_piece_disc(piece, u);
    TbVec3 d = tb_vec3_add(tb_vec3_scale(disc.w, cos(v) / disc.slice.a),
                           tb_vec3_scale(disc.h, sin(v) / disc.slice.b));
    TbVec3 contact;

    tb_disc_support(&disc, d, true, &contact);
    return contact;
}

/** Walk down to a random cell some halvings below a random root. */
static uint32_t
random_cell(gsl_rng *rng, TbSkin *skin)
{
    uint32_t at = (uint32_t)gsl_rng_uniform_int(rng, skin->roots);

    for (unsigned long depth = gsl_rng_uniform_int(rng, 14); depth > 0; depth--) {
        ck_assert_int_eq(tb_skin__open(skin, at), TB_OK);
        at = skin->cell[at].first + (uint32_t)gsl_rng_uniform_int(rng, skin->cell[at].count);
    }
    return at;
}

START_TEST(skin_cells_hold_their_normals)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 7);
    for (int n = 0; n < 60; n++) {
        TbSweep *sweep = random_sweep(rng, between(rng, 30, 70));
        TbSolid *solid = solid_of_sweep(sweep);
        TbSkin skin;

        ck_assert_int_eq(
            tb_skin__of(&skin, tb_solid_part(solid, 0), (TbKept){0, tb_sweep_length(sweep)}),
            TB_OK);
        for (int k = 0; k < 60; k++) {
            uint32_t index = random_cell(rng, &skin);
            const TbCell *cell = &skin.cell[index];
            const TbStrip *strip = &skin.strip[cell->index];

            if (cell->kind != TB_CELL_SKIN || cell->y0 > 0 || cell->y1 < 1)
                continue;
            for (int i = 0; i < 12; i++) {
                double u = between(rng, strip->u0, strip->u1);
                double v = between(rng, cell->v0, cell->v1);
                double off = outside(cell, skin_point(strip->piece, u, v));

                ck_assert_msg(off <= cell->widening + 1e-8,
                              "%.9f mm out, widening %.9f, v %.9f to %.9f, u %.3f to %.3f", off,
                              cell->widening, cell->v0, cell->v1, strip->u0, strip->u1);
            }
        }
        tb_skin__clear(&skin);
        tb_solid_unref(solid);
    }
    gsl_rng_free(rng);
}
END_TEST

/** Children cover their parents, and all reach no further than they say. */
START_TEST(every_point_of_a_sweep_lies_in_a_leaf_of_any_depth)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, 8);
    for (int n = 0; n < 12; n++) {
        TbSweep *sweep = random_sweep(rng, between(rng, 30, 70));
        TbSolid *solid = solid_of_sweep(sweep);
        TbSkin skin;

        ck_assert_int_eq(
            tb_skin__of(&skin, tb_solid_part(solid, 0), (TbKept){0, tb_sweep_length(sweep)}),
            TB_OK);
        for (uint32_t i = 0; i < 3000; i++)
            ck_assert_int_eq(tb_skin__open(&skin, i), TB_OK);
        for (int k = 0; k < 60; k++) {
            TbDisc disc = tb_sweep_at(sweep, between(rng, 0, tb_sweep_length(sweep)));
            double angle = between(rng, -M_PI, M_PI), least = INFINITY;
            TbVec3 p;

            if (k & 1)
                angle = disc.slice.turn + 0.5 * M_PI * (double)gsl_rng_uniform_int(rng, 4) +
                        between(rng, -1, 1) * pow(10, between(rng, -9, -1));
            p = tb_disc_point(&disc, angle, true, NULL);
            for (size_t i = 0; i < skin.count; i++) {
                const TbCell *cell = &skin.cell[i];

                if (cell->count > 0 || tb_vec3_distance(p, cell->centre) > cell->reach)
                    continue;
                least = fmin(least, outside(cell, p) - cell->widening);
            }
            ck_assert_msg(least <= 1e-8, "a point is %.9f mm from every cell", least);
        }
        tb_skin__clear(&skin);
        tb_solid_unref(solid);
    }
    gsl_rng_free(rng);
}
END_TEST

static Suite *
skin_suite(void)
{
    Suite *suite = suite_create("gaps/skin_internal");
    TCase *cells = tcase_create("cells");

    tcase_set_timeout(cells, 60);
    tcase_add_test(cells, skin_cells_hold_their_normals);
    tcase_add_test(cells, every_point_of_a_sweep_lies_in_a_leaf_of_any_depth);
    suite_add_tcase(suite, cells);
    return suite;
}

int
main(void)
{
    return tb_test_main(skin_suite());
}
