/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/quantity.h"
#include "tap.h"

#include <math.h>
#include <string.h>

/** What was typed, the usual unit and the millimetres: inches by 25.4, feet by 12 of them. */
static const struct {
    const char *text;
    TbLengthUnit usual;
    double mm;
} typed[] = {
    {"12", TB_UNIT_MM, 12},
    {"12", TB_UNIT_INCH, 12 * 25.4},
    {"12,5", TB_UNIT_MM, 12.5},
    {"12.5", TB_UNIT_MM, 12.5},
    {"-203.75", TB_UNIT_MM, -203.75},
    {"\xe2\x88\x92"
     "203,75",
     TB_UNIT_MM, -203.75},
    {"+7", TB_UNIT_MM, 7},
    {".5", TB_UNIT_MM, 0.5},
    {"12.", TB_UNIT_MM, 12},
    {"2.5 cm", TB_UNIT_INCH, 25},
    {" 1 in ", TB_UNIT_MM, 25.4},
    {"3/4 in", TB_UNIT_MM, 0.75 * 25.4},
    {"-3/4 in", TB_UNIT_MM, -0.75 * 25.4},
    {"1 1/2 in", TB_UNIT_MM, 1.5 * 25.4},
    {"1-1/2 in", TB_UNIT_MM, 1.5 * 25.4},
    {"-1 1/2", TB_UNIT_INCH, -1.5 * 25.4},
    {"1.2m", TB_UNIT_MM, 1200},
    {"0.5\"", TB_UNIT_MM, 0.5 * 25.4},
    {"7/16\xe2\x80\xb3", TB_UNIT_MM, 7.0 / 16 * 25.4},
    {"2 ft", TB_UNIT_MM, 2 * 12 * 25.4},
    {"2'", TB_UNIT_MM, 2 * 12 * 25.4},
    {"12 MM", TB_UNIT_INCH, 12},
    {"40 \xc2\xb5m", TB_UNIT_MM, 0.04},
    {"30 thou", TB_UNIT_MM, 30 * 0.0254},
    {"12\xc2\xa0mm", TB_UNIT_INCH, 12},
    {"0,125", TB_UNIT_MM, 0.125},
    {"1.243", TB_UNIT_MM, 1.243},
    {"1243,5", TB_UNIT_MM, 1243.5},
    {"1e-05", TB_UNIT_MM, 1e-5},
};

START_TEST(typed_lengths_are_understood)
{
    double mm = NAN;
    TbFault fault = {0};
    TbStatus status = tb_length_read(typed[_i].text, typed[_i].usual, &mm, &fault);

    ck_assert_msg(status == TB_OK, "%s: %s", typed[_i].text, fault.text);
    ck_assert_double_eq_tol(mm, typed[_i].mm, 1e-12 * (1 + fabs(typed[_i].mm)));
}
END_TEST

static const struct {
    const char *text, *sentence;
} bad[] = {
    {"zzz", "\"zzz\" is not a length; write 12.5, 2.5 cm or 3/4 in"},
    {"", "no length is given; write 12.5, 2.5 cm or 3/4 in"},
    {"  ", "no length is given; write 12.5, 2.5 cm or 3/4 in"},
    {"12 furlong", "\"furlong\" in \"12 furlong\" is not a unit of length; write mm, cm, m or in"},
    {"1,234.5", "\"1,234.5\" has a mark of thousands; write the number without it"},
    {"1.234,5 mm", "\"1.234,5 mm\" has a mark of thousands; write the number without it"},
    {"1,234,567", "\"1,234,567\" has a mark of thousands; write the number without it"},
    {"1,243", "\"1,243\" may mean 1243 or 1.243; write one of these"},
    {"3/0 in", "\"3/0 in\" divides by zero"},
    {"12 13", "\"12 13\" is not a length; write 12.5, 2.5 cm or 3/4 in"},
    {"--3", "\"--3\" is not a length; write 12.5, 2.5 cm or 3/4 in"},
    {"12 mm mm", "\"12 mm mm\" is not a length; write 12.5, 2.5 cm or 3/4 in"},
    {"nan", "\"nan\" is not a length; write 12.5, 2.5 cm or 3/4 in"},
    {"0x1f", "\"x\" in \"0x1f\" is not a unit of length; write mm, cm, m or in"},
    {"1e999", "\"1e999\" is too large for a number"},
    {"12 mmm", "\"mmm\" in \"12 mmm\" is not a unit of length; write mm, cm, m or in"},
};

START_TEST(what_is_no_length_is_refused_in_one_sentence)
{
    double mm = -7.5;
    TbFault fault = {0};

    ck_assert_int_eq(tb_length_read(bad[_i].text, TB_UNIT_MM, &mm, &fault), TB_E_FORMAT);
    ck_assert_str_eq(fault.text, bad[_i].sentence);
    ck_assert_double_eq(mm, -7.5);
}
END_TEST

START_TEST(a_text_of_any_length_fits_the_fault)
{
    char text[2000];
    double mm = 0;
    TbFault fault = {0};

    memset(text, '7', sizeof text);
    text[sizeof text - 1] = '\0';
    ck_assert_int_eq(tb_length_read(text, TB_UNIT_MM, &mm, &fault), TB_E_FORMAT);
    ck_assert_uint_lt(strlen(fault.text), 200);
}
END_TEST

START_TEST(angles_have_their_own_units)
{
    static const struct {
        const char *text;
        double degrees;
    } angles[] = {{"12", 12},         {"12 deg", 12},      {"12\xc2\xb0", 12},
                  {"-7,5 deg", -7.5}, {"1/2 degree", 0.5}, {"0.5 rad", 90 / M_PI}};
    double x = NAN;
    TbFault fault = {0};

    for (size_t i = 0; i < sizeof angles / sizeof angles[0]; i++) {
        ck_assert_int_eq(tb_angle_read(angles[i].text, &x, NULL), TB_OK);
        ck_assert_double_eq_tol(x, angles[i].degrees, 1e-10);
    }
    ck_assert_int_eq(tb_angle_read("12 mm", &x, &fault), TB_E_FORMAT);
    ck_assert_str_eq(fault.text, "\"mm\" in \"12 mm\" is not a unit of angle; write deg");
    ck_assert_int_eq(tb_angle_read("steep", &x, &fault), TB_E_FORMAT);
    ck_assert_str_eq(fault.text, "\"steep\" is not an angle; write 12.5 or 12.5 deg");
}
END_TEST

START_TEST(other_numbers_may_repeat_their_unit)
{
    double x = NAN;
    TbFault fault = {0};

    ck_assert_int_eq(tb_number_read("125,5 g/s", "g/s", &x, NULL), TB_OK);
    ck_assert_double_eq(x, 125.5);
    ck_assert_int_eq(tb_number_read("5200 1/min", "1/min", &x, &fault), TB_OK);
    ck_assert_double_eq(x, 5200);
    ck_assert_int_eq(tb_number_read("5210 rpm", "1/min", &x, NULL), TB_OK);
    ck_assert_double_eq(x, 5210);
    ck_assert_int_eq(tb_number_read("785.5 \xc2\xb0"
                                    "C",
                                    "degC", &x, NULL),
                     TB_OK);
    ck_assert_double_eq(x, 785.5);
    ck_assert_int_eq(tb_number_read("2,4", "", &x, NULL), TB_OK);
    ck_assert_double_eq(x, 2.4);
    ck_assert_int_eq(tb_number_read("12 kg", "g/s", &x, &fault), TB_E_FORMAT);
    ck_assert_str_eq(fault.text, "\"kg\" in \"12 kg\" is not a unit of number; write g/s");
    ck_assert_int_eq(tb_number_read("12 kg", "", &x, &fault), TB_E_FORMAT);
}
END_TEST

START_TEST(three_lengths_stand_in_one_text)
{
    double v[3] = {-7.5, -7.5, -7.5};
    TbFault fault = {0};

    ck_assert_int_eq(tb_lengths_read("1243 -203,5 3/4 in", TB_UNIT_MM, 3, v, &fault), TB_OK);
    ck_assert_double_eq(v[0], 1243);
    ck_assert_double_eq(v[1], -203.5);
    ck_assert_double_eq_tol(v[2], 19.05, 1e-12);
    ck_assert_int_eq(tb_lengths_read("1 cm; 2; -3.25", TB_UNIT_MM, 3, v, &fault), TB_OK);
    ck_assert_double_eq(v[0], 10);
    ck_assert_double_eq(v[2], -3.25);
    ck_assert_int_eq(tb_lengths_read("10, 20, 30", TB_UNIT_MM, 3, v, &fault), TB_OK);
    ck_assert_double_eq(v[1], 20);
    ck_assert_int_eq(tb_lengths_read("10 20", TB_UNIT_MM, 3, v, &fault), TB_E_FORMAT);
    ck_assert_str_eq(fault.text, "\"10 20\" has 2 lengths, 3 are needed");
    ck_assert_int_eq(tb_lengths_read("10 20 x", TB_UNIT_MM, 3, v, &fault), TB_E_FORMAT);
    ck_assert_double_eq(v[1], 20);
}
END_TEST

START_TEST(lengths_are_shown_in_the_unit_asked_for)
{
    char text[TB_TEXT_NUMBER];

    tb_length_write(11.456, TB_UNIT_MM, 1, text);
    ck_assert_str_eq(text, "11.5");
    tb_length_write(11.456, TB_UNIT_INCH, 1, text); /* 0.45102 */
    ck_assert_str_eq(text, "0.451");
    tb_length_write(703, TB_UNIT_INCH, 0, text); /* 27.677 */
    ck_assert_str_eq(text, "27.7");
    tb_length_write(-0.001, TB_UNIT_MM, 1, text);
    ck_assert_str_eq(text, "0.0");
    ck_assert_str_eq(tb_length_unit_name(TB_UNIT_INCH), "in");
}
END_TEST

START_TEST(a_length_to_edit_reads_back_unchanged)
{
    static const double some[] = {0, 19.05, 1243, -203.123456789, 1.0 / 3, 0.001, 9876.54321};
    char text[TB_TEXT_NUMBER];
    double three = 0;

    for (size_t i = 0; i < sizeof some / sizeof some[0]; i++)
        for (int unit = TB_UNIT_MM; unit <= TB_UNIT_INCH; unit++) {
            double back = NAN;

            tb_length_write_whole(some[i], (TbLengthUnit)unit, text);
            ck_assert_int_eq(tb_length_read(text, (TbLengthUnit)unit, &back, NULL), TB_OK);
            ck_assert_double_le(fabs(back - some[i]), (unit == TB_UNIT_MM ? 0 : 1.1e-9));
        }
    ck_assert_int_eq(tb_length_read("3/16 in", TB_UNIT_MM, &three, NULL), TB_OK);
    ck_assert_double_eq(three, 4.7625);
    tb_length_write_whole(19.05, TB_UNIT_INCH, text);
    ck_assert_str_eq(text, "0.75");
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("base/length");
    TCase *tcase = tcase_create("length");

    tcase_add_loop_test(tcase, typed_lengths_are_understood, 0, sizeof typed / sizeof typed[0]);
    tcase_add_loop_test(tcase, what_is_no_length_is_refused_in_one_sentence, 0,
                        sizeof bad / sizeof bad[0]);
    tcase_add_test(tcase, a_text_of_any_length_fits_the_fault);
    tcase_add_test(tcase, angles_have_their_own_units);
    tcase_add_test(tcase, other_numbers_may_repeat_their_unit);
    tcase_add_test(tcase, three_lengths_stand_in_one_text);
    tcase_add_test(tcase, lengths_are_shown_in_the_unit_asked_for);
    tcase_add_test(tcase, a_length_to_edit_reads_back_unchanged);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
