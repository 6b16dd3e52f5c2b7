/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "bays.h"
#include "study/case.h"

#include <math.h>

/* A bay around one text of items. */
#define WRAP(ports_and_joints, items, rest)                                                        \
    "<bay version='1' title='Shapes'>"                                                             \
    "<mounts><mount id='body'/><mount id='engine' parent='body' datum='955 0 455'/></mounts>"      \
    "<materials><material id='iron' density='7000' "                                               \
    "expansion='13.5'/></materials>" ports_and_joints "<items>" items "</items>"                   \
    "<states><state id='cold' kind='cold'/><state id='hot' kind='hot'>"                            \
    "<warm class='hot' growth='620'/></state></states>" rest "</bay>"

static TbStudy *study;

static void
begin(void)
{
    study = study_alone();
}

static void
end(void)
{
    tb_study_free(study);
}

static TbCase *
case_of(TbBay *bay, const char *state, const char *variant)
{
    TbAsk ask = {.bay = bay, .state = state, .variant = variant};
    TbCase *theirs = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_case_new(study, &ask, 0, true, NULL, &theirs, &fault) == TB_OK, "%s",
                  fault.text);
    return theirs;
}

static const TbForm *
form_of(const TbCase *theirs, const char *id)
{
    const TbStand *stand = theirs->stands[0].stand;
    size_t index = tb_stand_find(stand, id);

    ck_assert_uint_lt(index, stand->count);
    return tb_placed_form(&stand->items[index]);
}

static void
assert_box(const TbForm *form, TbVec3 low, TbVec3 high, double tol)
{
    TbBox3 box;

    ck_assert_msg(form->solid != NULL, "%s", form->fault.text);
    box = tb_solid_box(form->solid);
    ck_assert_double_eq_tol(box.low.x, low.x, tol);
    ck_assert_double_eq_tol(box.low.y, low.y, tol);
    ck_assert_double_eq_tol(box.low.z, low.z, tol);
    ck_assert_double_eq_tol(box.high.x, high.x, tol);
    ck_assert_double_eq_tol(box.high.y, high.y, tol);
    ck_assert_double_eq_tol(box.high.z, high.z, tol);
}

START_TEST(plain_items_fill_the_room_that_their_numbers_say)
{
    TbBay *bay = bay_of(WRAP("",
                             "<block id='b' mount='body' class='structure' low='1 2 3' high='11 "
                             "23 37'/>"
                             "<rod id='r' mount='body' class='structure' a='10 5 7' b='70 5 7' "
                             "radius='4.3'/>"
                             "<ball id='o' mount='body' class='moving' at='-9 8 7' radius='2.6'/>"
                             "<outline id='l' mount='body' class='cover' origin='100 0 0' "
                             "u='0 1 0' v='0 0 1' depth='5'><corner at='0 0'/><corner at='20 0'/>"
                             "<corner at='0 30'/></outline>"
                             "<line id='n' mount='body' class='brake' role='brake' "
                             "diameter='4.75'><path><knot at='0 0 0'/><knot at='0 60 0'/></path>"
                             "</line>",
                             ""));
    TbCase *theirs = case_of(bay, NULL, NULL);

    assert_box(form_of(theirs, "b"), tb_vec3(1, 2, 3), tb_vec3(11, 23, 37), 1e-9);
    assert_box(form_of(theirs, "r"), tb_vec3(10, 0.7, 2.7), tb_vec3(70, 9.3, 11.3), 1e-6);
    assert_box(form_of(theirs, "o"), tb_vec3(-11.6, 5.4, 4.4), tb_vec3(-6.4, 10.6, 9.6), 1e-9);
    assert_box(form_of(theirs, "l"), tb_vec3(100, 0, 0), tb_vec3(105, 20, 30), 1e-9);
    /* a sweep's box comes from bounds: it holds the sweep, with a little room */
    assert_box(form_of(theirs, "n"), tb_vec3(-2.375, 0, -2.375), tb_vec3(2.375, 60, 2.375), 1.2);
    tb_case_free(theirs);
    tb_bay_unref(bay);
}
END_TEST

#define TURNED_BLOCK                                                                               \
    "<block id='b' mount='body' class='structure' low='0 0 0' high='40 10 6' along='0 1 0'/>"

START_TEST(a_block_turns_about_its_middle)
{
    TbBay *bay = bay_of(WRAP("", TURNED_BLOCK, ""));
    TbCase *theirs = case_of(bay, NULL, NULL);

    /* middle (20, 5, 3); its 40 mm now lie along Y */
    assert_box(form_of(theirs, "b"), tb_vec3(15, -15, 0), tb_vec3(25, 25, 6), 1e-9);
    tb_case_free(theirs);
    tb_bay_unref(bay);
}
END_TEST

#define TURBO                                                                                      \
    "<turbo id='t' class='hot' mount='engine' material='iron' at='100 0 50' shaft='0 1 0'>"        \
    "<housing of='turbine' turn='90'/>"                                                            \
    "<rod of='turbine' from='30' to='80' radius='60'/>"                                            \
    "<arm of='turbine' a='50 0 0' b='50 0 90' radius='9'/></turbo>"                                \
    "<turbo id='big' class='hot' mount='engine' material='iron' spare='yes' at='100 0 50' "        \
    "shaft='0 1 0'><rod of='turbine' from='30' to='80' radius='70'/></turbo>"

START_TEST(a_turbo_stands_along_its_shaft_and_its_housing_turns_about_it)
{
    TbBay *bay = bay_of(WRAP("", TURBO, ""));
    TbCase *theirs = case_of(bay, NULL, NULL);
    const TbForm *form = form_of(theirs, "t");
    TbVec3 b;

    /* shaft along +Y: rod from Y 30 to 80 round (100, 50) */
    ck_assert_uint_eq(tb_solid_part_count(form->solid), 2);
    ck_assert_double_eq_tol(tb_solid_part(form->solid, 0)->plain.rod.a.y, 30, 1e-9);
    ck_assert_double_eq_tol(tb_solid_part(form->solid, 0)->plain.rod.b.y, 80, 1e-9);
    /* the arm points up at turn 0; 90 deg right-handed about +Y takes Z to X */
    b = tb_solid_part(form->solid, 1)->plain.rod.b;
    ck_assert_double_eq_tol(b.x, 190, 1e-9);
    ck_assert_double_eq_tol(b.y, 50, 1e-9);
    ck_assert_double_eq_tol(b.z, 50, 1e-9);
    tb_case_free(theirs);
    tb_bay_unref(bay);
}
END_TEST

#define FAMILY                                                                                     \
    "<variants><variant id='plain'/>"                                                              \
    "<variant id='tall'><shift mount='engine' by='0 0 12'/></variant>"                             \
    "<variant id='large'><swap item='t' with='big'/></variant>"                                    \
    "<variant id='left'><mirror item='ball'/></variant>"                                           \
    "<variant id='bare'><hide item='ball'/></variant></variants>"
#define BALL "<ball id='ball' mount='body' class='moving' at='3 40 7' radius='5'/>"

START_TEST(variants_shift_swap_mirror_and_hide)
{
    TbBay *bay = bay_of(WRAP("", TURBO BALL, FAMILY));
    TbCase *plain = case_of(bay, NULL, NULL), *tall = case_of(bay, NULL, "tall");
    TbCase *large = case_of(bay, NULL, "large"), *left = case_of(bay, NULL, "left");
    TbCase *bare = case_of(bay, NULL, "bare");

    ck_assert_double_eq_tol(tb_solid_part(form_of(tall, "t")->solid, 0)->plain.rod.a.z -
                                tb_solid_part(form_of(plain, "t")->solid, 0)->plain.rod.a.z,
                            12, 1e-9);
    ck_assert_double_eq(tb_solid_part(form_of(large, "t")->solid, 0)->plain.rod.radius_a, 70);
    ck_assert_ptr_null(form_of(plain, "big"));
    assert_box(form_of(left, "ball"), tb_vec3(-2, -45, 2), tb_vec3(8, -35, 12), 1e-9);
    ck_assert_ptr_null(form_of(bare, "ball"));
    /* what a variant does not touch is the very same entry */
    ck_assert_ptr_eq(form_of(plain, "ball"), form_of(tall, "ball"));
    tb_case_free(plain);
    tb_case_free(tall);
    tb_case_free(large);
    tb_case_free(left);
    tb_case_free(bare);
    tb_bay_unref(bay);
}
END_TEST

/* Linear growth, 1 + 13.5e-6 x 600 = 1.0081, from the engine's datum (955, 0, 455). */
START_TEST(hot_items_grow_from_the_datum_of_their_mount)
{
    TbBay *bay = bay_of(WRAP("",
                             "<ball id='h' mount='engine' class='hot' material='iron' "
                             "at='1355 -200 255' radius='50'/>"
                             "<ball id='c' mount='engine' class='structure' material='iron' "
                             "at='1355 -200 255' radius='50'/>"
                             "<ball id='u' mount='engine' class='hot' at='0 0 0' radius='50'/>",
                             ""));
    TbCase *theirs = case_of(bay, "hot", NULL);
    double k = 1 + 13.5e-6 * 600;
    TbBall ball = tb_solid_part(form_of(theirs, "h")->solid, 0)->plain.ball;

    ck_assert_double_eq_tol(ball.radius, 50 * k, 1e-9);
    ck_assert_double_eq_tol(ball.centre.x, 955 + k * 400, 1e-9);
    ck_assert_double_eq_tol(ball.centre.y, -k * 200, 1e-9);
    ck_assert_double_eq_tol(ball.centre.z, 455 - k * 200, 1e-9);
    /* nothing is said of its warmth: it stays as drawn; no material: the same, and it is told */
    ck_assert_double_eq(tb_solid_part(form_of(theirs, "c")->solid, 0)->plain.ball.radius, 50);
    ck_assert_double_eq(tb_solid_part(form_of(theirs, "u")->solid, 0)->plain.ball.radius, 50);
    ck_assert(theirs->stands[0].stand->items[2].unknown_growth);
    ck_assert(!theirs->stands[0].stand->items[1].unknown_growth);
    tb_case_free(theirs);
    tb_bay_unref(bay);
}
END_TEST

#define PORTS                                                                                      \
    "<ports><port id='p' mount='engine' at='0 0 0' flow='1 0 0'><opening width='46' height='46'/>" \
    "</port></ports>"                                                                              \
    "<joints><joint id='j' a='p' b='p' kind='v-band' leave-out='30'>"                              \
    "<ring kind='clamp' diameter='104' from='-10' to='10'/></joint></joints>"
#define ENDED                                                                                      \
    "<duct id='d' class='hot' mount='engine' material='iron' wall='4'>"                            \
    "<path><knot at='200 0 0'/></path>"                                                            \
    "<start port='p'><ring kind='v-band' diameter='84' from='0' to='12'/>"                         \
    "<bolt-box along='20' across='50' from='40' to='66' turn='90'/></start>"                       \
    "<end><ring kind='flange' diameter='90' from='0' to='9'/></end>"                               \
    "<section at='0' width='46' height='46'/></duct>"

START_TEST(rings_bolt_boxes_and_the_clamp_of_a_joint_are_parts_of_the_duct)
{
    TbBay *bay = bay_of(WRAP(PORTS, ENDED, ""));
    TbCase *theirs = case_of(bay, NULL, NULL);
    const TbSolid *solid = form_of(theirs, "d")->solid;
    const TbPart *part;

    ck_assert_msg(solid != NULL, "%s", form_of(theirs, "d")->fault.text);
    ck_assert_uint_eq(tb_solid_part_count(solid), 5);
    part = tb_solid_part(solid, 1); /* v-band ring on the start's side */
    ck_assert_int_eq(part->role, TB_ROLE_FLANGE);
    ck_assert_double_eq_tol(part->plain.rod.b.x, 12, 1e-9);
    ck_assert_double_eq(part->plain.rod.radius_a, 42);
    part = tb_solid_part(solid, 2); /* bolt box: turn 90 from up, right-handed about +X, is -Y */
    ck_assert_int_eq(part->role, TB_ROLE_BOLT);
    ck_assert_double_eq_tol(part->plain.block.centre.y, -53, 1e-9);
    ck_assert_double_eq_tol(part->plain.block.centre.z, 0, 1e-9);
    ck_assert_double_eq(part->plain.block.half[2], 13);
    part = tb_solid_part(solid, 3); /* flange at the end reaches back */
    ck_assert_double_eq_tol(fmin(part->plain.rod.a.x, part->plain.rod.b.x), 191, 1e-9);
    part = tb_solid_part(solid, 4); /* the joint's clamp on both sides of the port */
    ck_assert_int_eq(part->role, TB_ROLE_CLAMP);
    ck_assert_double_eq_tol(fmin(part->plain.rod.a.x, part->plain.rod.b.x), -10, 1e-9);
    ck_assert_double_eq(part->plain.rod.radius_a, 52);
    tb_case_free(theirs);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(a_shape_that_cannot_be_built_says_why_and_stops_nothing)
{
    TbBay *bay = bay_of(WRAP("",
                             "<duct id='d' class='hot' mount='body' wall='3'><path kind='bent'>"
                             "<knot at='0 0 0'/><knot at='50 0 0' radius='80'/>"
                             "<knot at='50 50 0'/></path>"
                             "<section at='0' width='30' height='30'/></duct>" BALL,
                             ""));
    TbCase *theirs = case_of(bay, NULL, NULL);
    TbResults *results;

    ck_assert_ptr_null(form_of(theirs, "d")->solid);
    ck_assert_uint_gt(strlen(form_of(theirs, "d")->fault.text), 10);
    ck_assert_ptr_nonnull(form_of(theirs, "ball")->solid);
    results = judged(study, bay);
    ck_assert_int_eq(want_finding(results, "shape/d//")->level, TB_LEVEL_OPEN);
    tb_results_unref(results);
    tb_case_free(theirs);
    tb_bay_unref(bay);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("study/shape");
    TCase *c = tcase_create("shape");

    tcase_add_checked_fixture(c, begin, end);
    tcase_add_test(c, plain_items_fill_the_room_that_their_numbers_say);
    tcase_add_test(c, a_block_turns_about_its_middle);
    tcase_add_test(c, a_turbo_stands_along_its_shaft_and_its_housing_turns_about_it);
    tcase_add_test(c, variants_shift_swap_mirror_and_hide);
    tcase_add_test(c, hot_items_grow_from_the_datum_of_their_mount);
    tcase_add_test(c, rings_bolt_boxes_and_the_clamp_of_a_joint_are_parts_of_the_duct);
    tcase_add_test(c, a_shape_that_cannot_be_built_says_why_and_stops_nothing);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
