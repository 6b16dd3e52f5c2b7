/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bays.h"

#include "base/mem.h"
#include "bay/preset.h"

#define BAY(keeps, states)                                                                         \
    "<bay version='1' title='Few'><mounts><mount id='body'/></mounts><items>"                      \
    "<ball id='k-fuel' class='hot' mount='body' at='0 0 0' radius='3.7'/></items>"                 \
    "<keeps>" keeps "</keeps><states>" states "</states></bay>"

#define USUAL_STATES                                                                               \
    "<state id='cold' kind='cold'/><state id='hot' kind='hot'/>"                                   \
    "<state id='rocking' kind='rocking'/><state id='tolerance' kind='tolerance'/>"                 \
    "<state id='hot-rocking' kind='combined' parts='hot+rocking'/>"                                \
    "<state id='hot-rocking-tolerance' kind='combined' parts='hot+rocking+tolerance'/>"

#define KEEP(sides) "<keep id='own' " sides "><wanted state='cold' gap='7.3'/></keep>"

static TbBay *
usual_bay(void)
{
    TbBay *bay = NULL;

    ck_assert_int_eq(tb_bay_new_kit("usual", TB_KIT_TRANSVERSE, &bay, NULL), TB_OK);
    return bay;
}

static TbBay *
with_keeps(const char *text, size_t *added)
{
    TbBay *bay = read_text(text), *out = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_edit_add_default_keeps(bay, NULL, added, &out, &fault) == TB_OK, "%s",
                  fault.text);
    tb_bay_unref(bay);
    return out;
}

static size_t
keeps_of(const TbBay *bay, const char *a, const char *b)
{
    size_t count = 0;

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_KEEPS); i++) {
        const TbKeep *keep = tb_bay_keep_at(bay, i);

        count += g_strcmp0(keep->class_a, a) == 0 && g_strcmp0(keep->class_b, b) == 0;
    }
    return count;
}

/* What a keep wants in a state; -1: nothing. */
static double
gap_of(const TbBay *bay, const char *id, const char *state)
{
    const TbKeep *keep = tb_bay_keep(bay, id);

    ck_assert_msg(keep != NULL, "no keep %s", id);
    for (size_t i = 0; i < keep->gap_count; i++)
        if (strcmp(keep->gaps[i].state, state) == 0)
            return keep->gaps[i].gap;
    return -1;
}

/* What is asked hot and moving is room for less than what is asked cold and still. */
START_TEST(every_usual_keep_has_a_reason_a_source_and_gaps_that_fall_with_what_they_include)
{
    static const char *const falling[][2] = {{"cold", "hot"},
                                             {"hot", "hot-rocking"},
                                             {"cold", "tolerance"},
                                             {"hot-rocking", "hot-rocking-tolerance"},
                                             {"tolerance", "hot-rocking-tolerance"}};
    TbBay *usual = usual_bay();

    for (size_t i = 0; i < tb_bay_count(usual, TB_LIST_KEEPS); i++) {
        const TbKeep *keep = tb_bay_keep_at(usual, i);

        ck_assert_msg(keep->reason != NULL && keep->reason[0] != '\0', "%s", keep->record.id);
        ck_assert_msg(keep->source != NULL && keep->source[0] != '\0', "%s", keep->record.id);
        ck_assert_msg(keep->margin > 0, "%s", keep->record.id);
        for (size_t k = 0; k < G_N_ELEMENTS(falling); k++)
            ck_assert_msg(gap_of(usual, keep->record.id, falling[k][0]) >=
                                  gap_of(usual, keep->record.id, falling[k][1]) &&
                              gap_of(usual, keep->record.id, falling[k][1]) > 0,
                          "%s: %s, %s", keep->record.id, falling[k][0], falling[k][1]);
    }
    tb_bay_unref(usual);
}
END_TEST

START_TEST(only_pairs_of_classes_without_a_keep_get_one_whichever_is_named_first)
{
    static const char *const bays[] = {
        BAY(KEEP("class-a='hot' class-b='brake'"), USUAL_STATES),
        BAY(KEEP("class-a='brake' class-b='hot'"), USUAL_STATES),
    };
    TbBay *usual = usual_bay();

    for (size_t i = 0; i < G_N_ELEMENTS(bays); i++) {
        size_t added = 0;
        TbBay *bay = with_keeps(bays[i], &added);

        /* the table has two of hot and brake: with a shield and without */
        ck_assert_uint_eq(added, tb_bay_count(usual, TB_LIST_KEEPS) - 2);
        ck_assert_uint_eq(tb_bay_count(bay, TB_LIST_KEEPS), added + 1);
        ck_assert_uint_eq(keeps_of(bay, "hot", "brake") + keeps_of(bay, "brake", "hot"), 1);
        ck_assert_uint_eq(keeps_of(bay, "hot", "fuel"), 2);
        ck_assert_double_eq(gap_of(bay, "own", "cold"), 7.3);
        tb_bay_unref(bay);
    }
    tb_bay_unref(usual);
}
END_TEST

START_TEST(a_keep_of_items_is_none_of_their_classes)
{
    TbBay *bay = with_keeps(BAY(KEEP("item-a='k-fuel' class-b='brake'"), USUAL_STATES), NULL);

    ck_assert_uint_eq(keeps_of(bay, "hot", "brake"), 2);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(what_is_added_is_what_the_table_says_word_for_word)
{
    TbBay *usual = usual_bay();
    TbBay *bay = with_keeps(BAY(KEEP("class-a='x' class-b='y'"), USUAL_STATES), NULL);

    for (size_t i = 0; i < tb_bay_count(usual, TB_LIST_KEEPS); i++) {
        const TbKeep *from = tb_bay_keep_at(usual, i), *to = tb_bay_keep_at(bay, i + 1);

        ck_assert_str_eq(from->class_a, to->class_a);
        ck_assert_str_eq(from->class_b, to->class_b);
        ck_assert_str_eq(from->reason, to->reason);
        ck_assert_str_eq(from->source, to->source);
        ck_assert_int_eq(from->shielded, to->shielded);
        ck_assert_int_eq(from->same_mount, to->same_mount);
        ck_assert_int_eq(from->same_casting, to->same_casting);
        ck_assert_double_eq(from->margin, to->margin);
        ck_assert_uint_eq(from->gap_count, to->gap_count);
        for (size_t k = 0; k < from->gap_count; k++)
            ck_assert_double_eq(gap_of(bay, to->record.id, from->gaps[k].state), from->gaps[k].gap);
    }
    ck_assert_ptr_nonnull(tb_bay_keep(bay, "k-fuel-2")); /* "k-fuel" is a ball */
    tb_bay_unref(bay);
    tb_bay_unref(usual);
}
END_TEST

/* hot and brake without a shield: cold 50, hot 50, hot and rocking 50, all three 30 */
START_TEST(gaps_go_to_the_states_that_are_made_of_the_same_whatever_they_are_called)
{
    TbBay *bay =
        with_keeps(BAY("", "<state id='kalt' kind='cold'/><state id='voll' kind='hot'/>"
                           "<state id='leer' kind='hot'/><state id='rollt' kind='rocking'/>"
                           "<state id='alles' kind='combined' parts='leer+rollt'/>"),
                   NULL);
    TbBay *plain = with_keeps(BAY("", "<state id='kalt' kind='cold'/><state id='voll' kind='hot'/>"
                                      "<state id='rollt' kind='rocking'/>"),
                              NULL);

    ck_assert_double_eq(gap_of(bay, "k-brake", "kalt"), 30);
    ck_assert_double_eq(gap_of(bay, "k-brake", "voll"), 20);
    ck_assert_double_eq(gap_of(bay, "k-brake", "leer"), 20);
    ck_assert_double_eq(gap_of(bay, "k-brake", "alles"), 20);
    ck_assert_uint_eq(tb_bay_keep(bay, "k-brake")->gap_count, 4); /* none at tolerance */
    ck_assert_double_eq(gap_of(plain, "k-brake", "voll+rollt"), 20);
    ck_assert_uint_eq(tb_bay_keep(plain, "k-brake")->gap_count, 3);
    tb_bay_unref(plain);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(a_bay_without_states_gets_the_cold_one_that_it_had_unsaid)
{
    TbBay *bay = with_keeps(BAY("", ""), NULL);

    ck_assert_uint_eq(tb_bay_count(bay, TB_LIST_STATES), 1);
    ck_assert_double_eq(gap_of(bay, "k-brake", "cold"), 30);
    ck_assert_uint_eq(tb_bay_keep(bay, "k-brake")->gap_count, 1);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(where_all_pairs_have_a_keep_nothing_is_added_and_it_is_said)
{
    TbBay *usual = usual_bay(), *out = NULL;
    TbFault fault = {0};
    size_t added = 77;

    ck_assert_int_eq(tb_edit_add_default_keeps(usual, NULL, &added, &out, &fault), TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "every pair of classes that usually has a keep has one");
    ck_assert_ptr_null(out);
    ck_assert_uint_eq(added, 77);
    tb_bay_unref(usual);
}
END_TEST

START_TEST(without_room_nothing_is_added_and_nothing_is_lost)
{
    TbBay *bay = read_text(BAY("", USUAL_STATES)), *out = NULL;
    TbBay *usual = usual_bay();
    long n = 0;
    TbStatus status;

    do {
        tb_mem_fail_at(++n);
        status = tb_edit_add_default_keeps(bay, usual, NULL, &out, NULL);
        ck_assert(status == TB_OK || (status == TB_E_MEMORY && out == NULL));
    } while (status != TB_OK);
    tb_mem_fail_at(0);
    ck_assert_int_gt(n, 20);
    tb_bay_unref(out);
    tb_bay_unref(usual);
    tb_bay_unref(bay);
}
END_TEST

static const struct {
    const char *table, *words;
    int line;
} broken[] = {
    {"", "no list <keeps>", 0},
    {"<keeps>\n", "no list <keeps>", 0},
    {"\n<keeps>\n<keep id='x' class-a='hot'/>\n</keeps>", "", 3},
    {"<keeps>\n<keep id='x' class-a='hot' class-b='b'>\n<wanted state='cold' gap='-4.5'/></keep>\n"
     "</keeps>",
     "-4.5", 3},
    {"<keeps>\n<keep id='x' class-a='hot' class-b='b'>\n<wanted state='cold' gap='nan'/></keep>\n"
     "</keeps>",
     "nan", 3},
    {"<keeps>\n<keep id='x' class-a='hot' class-b='b'><wanted state='warm' gap='4'/></keep>\n"
     "</keeps>",
     "warm", 2},
    {"<keeps>\n<keep id='x'\n</keeps>", "", 3},
};

START_TEST(a_broken_table_of_keeps_is_refused_with_its_line)
{
    TbBay *bay = NULL;
    TbFault fault = {0};

    ck_assert_int_ne(tb_bay_new_kit_with(broken[_i].table, strlen(broken[_i].table), "T",
                                         TB_KIT_TRANSVERSE, &bay, &fault),
                     TB_OK);
    ck_assert_ptr_null(bay);
    ck_assert_msg(strstr(fault.text, broken[_i].words) != NULL, "%s", fault.text);
    ck_assert_msg(fault.line == broken[_i].line, "line %d: %s", fault.line, fault.text);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("bay/preset_keeps");
    TCase *tests = tcase_create("keeps");

    tcase_add_test(
        tests, every_usual_keep_has_a_reason_a_source_and_gaps_that_fall_with_what_they_include);
    tcase_add_test(tests, only_pairs_of_classes_without_a_keep_get_one_whichever_is_named_first);
    tcase_add_test(tests, a_keep_of_items_is_none_of_their_classes);
    tcase_add_test(tests, what_is_added_is_what_the_table_says_word_for_word);
    tcase_add_test(tests, gaps_go_to_the_states_that_are_made_of_the_same_whatever_they_are_called);
    tcase_add_test(tests, a_bay_without_states_gets_the_cold_one_that_it_had_unsaid);
    tcase_add_test(tests, where_all_pairs_have_a_keep_nothing_is_added_and_it_is_said);
    tcase_add_test(tests, without_room_nothing_is_added_and_nothing_is_lost);
    tcase_add_loop_test(tests, a_broken_table_of_keeps_is_refused_with_its_line, 0,
                        (int)G_N_ELEMENTS(broken));
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
