/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/law.h"
#include "tap.h"

#include <math.h>

/** To the digits given: half a unit of the last one, and a little. */
static void
digits(double got, double want, double unit)
{
    ck_assert_double_eq_tol(got, want, 0.51 * unit);
}

/**
 * Ellipses. Area pi a b; perimeter 4 a E(m), m = 1 - b^2/a^2, E the complete elliptic integral of
 * the second kind (Abramowitz and Stegun 17.3.3); hydraulic diameter 4 A/P. Values computed from
 * these in Python with scipy.special.ellipe. Error of Ramanujan's second formula (1914),
 * pi (a+b) (1 + 3h/(10 + sqrt(4 - 3h))), h = ((a-b)/(a+b))^2, computed likewise.
 */
static const struct {
    double a, b, area, perimeter, hydraulic, ramanujan;
} ellipses[] = {
    {30, 20, 1884.955592, 158.65439589, 47.523564, -2.5e-12},
    {40, 20, 2513.274123, 193.76896441, 51.881871, -4.6e-10},
    {50, 10, 1570.796327, 210.10044540, 29.905626, -8.5e-7},
    {2, 1, 6.283185, 9.68844822, 2.594094, -4.6e-10},
};

START_TEST(ellipse_rows_agree)
{
    double a = ellipses[_i].a, b = ellipses[_i].b;
    TbSection s = tb_section_superellipse(2 * a, 2 * b, 2);
    double h = pow((a - b) / (a + b), 2);
    double ramanujan = M_PI * (a + b) * (1 + 3 * h / (10 + sqrt(4 - 3 * h)));

    digits(tb_section_area(s), ellipses[_i].area, 1e-6);
    digits(tb_section_perimeter(s), ellipses[_i].perimeter, 1e-8);
    digits(tb_section_hydraulic_diameter(s), ellipses[_i].hydraulic, 1e-6);
    /* two digits are given; the smallest is near rounding */
    ck_assert_double_eq_tol(ramanujan / tb_section_perimeter(s) - 1, ellipses[_i].ramanujan,
                            0.03 * fabs(ellipses[_i].ramanujan) + 5e-16);
}
END_TEST

/** As flat as can be: the formula reads low by 7 pi/22 - 1, computed from its limit b = 0. */
START_TEST(ramanujan_reads_low_by_four_in_ten_thousand_for_a_sliver)
{
    TbSection s = tb_section_superellipse(2 * 1990.0, 2 * 0.01, 2);

    ck_assert_double_eq_tol(M_PI * 14 / 11 * 1990 / tb_section_perimeter(s) - 1, -4.0234e-4, 1e-7);
}
END_TEST

/**
 * Superellipses. Area 4 a b Gamma(1+1/n)^2 / Gamma(1+2/n), the textbook closed form, from memory;
 * values of it and of the perimeter (by quadrature of the outline) computed in Python with scipy.
 */
static const struct {
    double a, b, n, share, area, perimeter, hydraulic;
} superellipses[] = {
    {30, 20, 2, 0.78539816, 1884.955592, 158.654396, 47.523564},
    {30, 20, 2.5, 0.84523384, 2028.561218, 164.914833, 49.202638},
    {30, 20, 3, 0.88331938, 2119.966500, 169.657335, 49.982313},
    {30, 20, 4, 0.92703734, 2224.889613, 176.211150, 50.505081},
    {30, 20, 8, 0.97846082, 2348.305973, 187.330571, 50.142504},
};

START_TEST(superellipse_rows_agree)
{
    double a = superellipses[_i].a, b = superellipses[_i].b;
    TbSection s = tb_section_superellipse(2 * a, 2 * b, superellipses[_i].n);

    digits(tb_section_area(s) / (4 * a * b), superellipses[_i].share, 1e-8);
    digits(tb_section_area(s), superellipses[_i].area, 1e-6);
    digits(tb_section_perimeter(s), superellipses[_i].perimeter, 1e-6);
    digits(tb_section_hydraulic_diameter(s), superellipses[_i].hydraulic, 1e-6);
}
END_TEST

/**
 * Stadiums and rounded rectangles W x H with corner r, computed from their closed forms:
 * A = W H - (4 - pi) r^2, P = 2 (W + H) - 8 r + 2 pi r; a stadium has r = H/2.
 */
static const struct {
    double width, height, corner, area, perimeter, hydraulic;
} rounded[] = {
    {60, 40, 20, 2056.637061, 165.663706, 49.658120},
    {80, 40, 20, 2856.637061, 205.663706, 55.559381},
    {76.2, 50.8, 25.4, 3317.149916, 210.392907, 63.065813},
    {50, 50, 25, 1963.495408, 157.079633, 50.000000},
    {60, 40, 10, 2314.159265, 182.831853, 4 * 2314.159265 / 182.831853},
};

START_TEST(stadium_and_rounded_rows_agree)
{
    TbSection s = tb_section_rounded(rounded[_i].width, rounded[_i].height, rounded[_i].corner);

    digits(tb_section_area(s), rounded[_i].area, 1e-6);
    digits(tb_section_perimeter(s), rounded[_i].perimeter, 1e-6);
    digits(tb_section_hydraulic_diameter(s), rounded[_i].hydraulic, 1.1e-6);
}
END_TEST

/**
 * Bores of exhaust tube. Outside diameters of the inch series and walls from memory of what is
 * sold; bore area pi/4 (OD - 2 t)^2 computed from them.
 */
static const struct {
    double outside, wall, bore;
} tubes[] = {
    {50.8, 1.5, 1794.509}, {57.15, 1.5, 2302.962}, {63.5, 1.5, 2874.754},
    {76.2, 1.5, 4208.352}, {76.2, 1.65, 4173.928},
};

START_TEST(bore_areas_of_tubes_agree)
{
    double bore = tubes[_i].outside - 2 * tubes[_i].wall;
    TbSectionRow row = {.section = tb_section_superellipse(bore, bore, 2)};
    TbFault fault = {0};
    TbLaw *law = NULL;
    TbSlice slice;

    row.section.wall = tubes[_i].wall;
    ck_assert_msg(tb_law_new(&row, 1, 100, &law, &fault) == TB_OK, "%s", fault.text);
    slice = tb_law_at(law, 50);
    digits(tb_slice_area(&slice, false), tubes[_i].bore, 1e-3);
    ck_assert_double_eq_tol(tb_slice_area(&slice, true),
                            M_PI / 4 * tubes[_i].outside * tubes[_i].outside, 1e-9);
    tb_law_unref(law);
}
END_TEST

/**
 * An ellipse whose half sizes run evenly from one end to the other (30 x 20 to 38.1 x 38.1 over
 * 200 mm): area pi a b at the quarters, computed; sections that hold their size do this.
 */
static const double loft[] = {1884.9556, 2467.44810, 3107.5142, 3805.15396, 4560.3673};

START_TEST(areas_of_the_linear_loft_agree)
{
    TbSectionRow rows[2] = {
        {.section = tb_section_superellipse(60, 40, 2), .holds_size = true},
        {.section = tb_section_superellipse(76.2, 76.2, 2), .from_end = true, .holds_size = true}};
    TbFault fault = {0};
    TbLaw *law = NULL;

    ck_assert_msg(tb_law_new(rows, 2, 200, &law, &fault) == TB_OK, "%s", fault.text);
    digits(tb_law_at(law, 50.0 * _i).area, loft[_i], 1e-4);
    tb_law_unref(law);
}
END_TEST

#define ROWS(table) (int)(sizeof table / sizeof table[0])

int
main(void)
{
    Suite *suite = suite_create("external/section_values");
    TCase *tc = tcase_create("published and computed rows");

    tcase_add_loop_test(tc, ellipse_rows_agree, 0, ROWS(ellipses));
    tcase_add_test(tc, ramanujan_reads_low_by_four_in_ten_thousand_for_a_sliver);
    tcase_add_loop_test(tc, superellipse_rows_agree, 0, ROWS(superellipses));
    tcase_add_loop_test(tc, stadium_and_rounded_rows_agree, 0, ROWS(rounded));
    tcase_add_loop_test(tc, bore_areas_of_tubes_agree, 0, ROWS(tubes));
    tcase_add_loop_test(tc, areas_of_the_linear_loft_agree, 0, ROWS(loft));
    suite_add_tcase(suite, tc);
    return tb_test_main(suite);
}
