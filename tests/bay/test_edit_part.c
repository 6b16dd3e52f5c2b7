/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bays.h"

#include "base/mem.h"
#include "bay/edit.h"
#include "bay/fields.h"

#include <math.h>

/** An edit that must do; the old document goes. */
#define EDIT(bay, call)                                                                            \
    do {                                                                                           \
        TbBay *next_ = NULL;                                                                       \
        TbBay **out = &next_;                                                                      \
        TbFault fault_ = {0};                                                                      \
        TbFault *fault = &fault_;                                                                  \
        ck_assert_msg((call) == TB_OK, "%s", fault_.text);                                         \
        tb_bay_unref(bay);                                                                         \
        (bay) = next_;                                                                             \
    } while (0)

/** An edit that must be refused with a sentence. */
#define REFUSED(call, status, sentence)                                                            \
    do {                                                                                           \
        TbBay *next_ = NULL;                                                                       \
        TbBay **out = &next_;                                                                      \
        TbFault fault_ = {0};                                                                      \
        TbFault *fault = &fault_;                                                                  \
        ck_assert_int_eq((call), (status));                                                        \
        ck_assert_str_eq(fault_.text, (sentence));                                                 \
        ck_assert_ptr_null(next_);                                                                 \
    } while (0)

static const TbPartPlace known = {{{"known", 0}}, 1};
static const TbPartPlace knot_1 = {{{"path", 0}, {"knot", 1}}, 2};
static const TbPartPlace row_1 = {{{"section", 1}}, 1};

START_TEST(a_section_changes_kind_and_shape_in_one_step)
{
    TbBay *bay = read_small();
    TbSetting half[] = {{"kind", NULL},   {"corner", NULL},          {"width", NULL},
                        {"height", NULL}, {"half", "40 35.5 24 22"}, {"exponent", "2.35"}};
    TbSetting width[] = {{"width", NULL}};
    const TbRow *row;

    REFUSED(tb_edit_set(bay, "outlet", &row_1, width, 1, out, fault), TB_E_FORMAT,
            "section 2 of duct \"outlet\": needs either width and height or half");
    EDIT(bay, tb_edit_set(bay, "outlet", &row_1, half, G_N_ELEMENTS(half), out, fault));
    row = &tb_item_duct(tb_bay_item(bay, "outlet"))->rows[1];
    ck_assert_double_eq(row->half.v[1], 35.5);
    ck_assert_double_eq(row->exponent, 2.35);
    ck_assert_double_eq(row->wall, 4.5); /* what was not named stays */
    tb_bay_unref(bay);
}
END_TEST

START_TEST(single_parts_come_and_go)
{
    TbBay *bay = read_small();
    TbBay *first = tb_bay_ref(bay);
    TbSetting by[] = {{"by", "tape"}, {"uncertainty", "3.25"}};

    ck_assert_ptr_null(tb_bay_item(bay, "shield")->known);
    /* the uncertainty is needed: half of it is refused */
    REFUSED(tb_edit_set(bay, "shield", &known, by, 1, out, fault), TB_E_RANGE,
            "known of block \"shield\": uncertainty is not a finite number");
    EDIT(bay, tb_edit_set(bay, "shield", &known, by, 2, out, fault));
    ck_assert_int_eq(tb_bay_item(bay, "shield")->known->by, TB_KNOWN_TAPE);
    ck_assert_double_eq(tb_bay_item(bay, "shield")->known->uncertainty, 3.25);
    REFUSED(tb_edit_add_part(bay, "shield", &known, by, 2, out, fault), TB_E_REFERENCE,
            "block \"shield\" has its known already");
    EDIT(bay, tb_edit_remove_part(bay, "shield", &known, out, fault));
    ck_assert(tb_bay_equal(bay, first));
    tb_bay_unref(first);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(nested_parts_are_added_before_a_place_and_removed)
{
    TbBay *bay = read_small();
    TbBay *first = tb_bay_ref(bay);
    TbSetting at[] = {{"at", "1250.5 -170 620"}};
    TbPartPlace ring = {{{"end", 0}, {"ring", 1}}, 2};
    TbSetting disc[] = {{"kind", "clamp"}, {"diameter", "126.5"}, {"to", "13"}};
    const TbElement *element = NULL;
    const TbKnot *knot;

    EDIT(bay, tb_edit_add_part(bay, "outlet", &knot_1, at, 1, out, fault));
    knot = tb_record_part(tb_bay_find(bay, "outlet"), &knot_1, &element);
    ck_assert_str_eq(element->name, "knot");
    ck_assert_double_eq(knot->at.x, 1250.5);
    ck_assert(!tb_is_given(knot->radius));
    ck_assert_uint_eq(tb_item_path(tb_bay_item(bay, "outlet"))->knot_count, 4);
    EDIT(bay, tb_edit_remove_part(bay, "outlet", &knot_1, out, fault));
    ck_assert(tb_bay_equal(bay, first));
    EDIT(bay, tb_edit_add_part(bay, "outlet", &ring, disc, 3, out, fault));
    ck_assert_double_eq(tb_item_end(tb_bay_item(bay, "outlet"))->rings[1].diameter, 126.5);
    tb_bay_unref(first);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(notes_and_the_engine_of_the_head_are_parts_too)
{
    TbBay *bay = read_small();
    TbPartPlace note = {{{"note", 1}}, 1};
    TbPartPlace engine = {{{"engine", 0}}, 1};
    TbSetting text[] = {{"text", "Measured again <on a hill>."}};
    TbSetting six[] = {{"cylinders", "6"}, {"firing", "1 5 3 6 2 4"}, {"feeds", "1 2 3"}};

    EDIT(bay, tb_edit_set(bay, "bay", &note, text, 1, out, fault));
    ck_assert_str_eq(bay->head->notes[1].text, "Measured again <on a hill>.");
    EDIT(bay, tb_edit_set(bay, "bay", &engine, six, 3, out, fault));
    ck_assert_int_eq(bay->head->engine->cylinders, 6);
    text[0].value = NULL;
    REFUSED(tb_edit_set(bay, "bay", &note, text, 1, out, fault), TB_E_FORMAT,
            "note 2 of bay needs its attribute \"text\"");
    REFUSED(tb_edit_add_part(bay, "bay", &note, NULL, 0, out, fault), TB_E_FORMAT,
            "note 2 of bay needs its attribute \"text\"");
    tb_bay_unref(bay);
}
END_TEST

START_TEST(what_is_not_there_is_named)
{
    TbBay *bay = read_small();
    TbPartPlace odd = {{{"flange", 0}}, 1};
    TbPartPlace far = {{{"section", 9}}, 1};
    TbPartPlace path = {{{"path", 0}}, 1};
    TbPartPlace gap = {{{"wanted", 0}}, 1};
    TbSetting id[] = {{"id", "other"}};
    TbSetting bad[] = {{"at", "12 13"}};
    const char *keep = tb_bay_keep_at(bay, 0)->record.id;

    REFUSED(tb_edit_set(bay, "outlet", &odd, NULL, 0, out, fault), TB_E_REFERENCE,
            "duct \"outlet\" has no parts called \"flange\"");
    REFUSED(tb_edit_set(bay, "outlet", &far, NULL, 0, out, fault), TB_E_RANGE,
            "duct \"outlet\" has 4 parts called \"section\", none at 9");
    REFUSED(tb_edit_set(bay, "outlet", NULL, id, 1, out, fault), TB_E_REFERENCE,
            "duct \"outlet\" has no attribute \"id\" to set");
    REFUSED(tb_edit_set(bay, "outlet", &knot_1, bad, 1, out, fault), TB_E_FORMAT,
            "knot 2 of path of duct \"outlet\": at has 2 numbers, 3 are needed");
    REFUSED(tb_edit_remove_part(bay, "outlet", &path, out, fault), TB_E_FORMAT,
            "path of duct \"outlet\" cannot be removed: 1 are needed");
    REFUSED(tb_edit_set(bay, "nobody", NULL, id, 1, out, fault), TB_E_REFERENCE,
            "record \"nobody\" is not in the bay");
    ck_assert_ptr_null(tb_record_part(tb_bay_find(bay, "outlet"), &far, NULL));
    if (tb_bay_keep_at(bay, 0)->gap_count == 1) {
        TbBay *out = NULL;
        ck_assert_int_eq(tb_edit_remove_part(bay, keep, &gap, &out, NULL), TB_E_FORMAT);
    }
    tb_bay_unref(bay);
}
END_TEST

/* ---- whole records ---- */

START_TEST(duplicate_of_a_turbo_takes_its_ports_and_nobody_elses)
{
    TbBay *bay = read_small();
    size_t ports = tb_bay_count(bay, TB_LIST_PORTS);
    size_t place = 0;
    char id[TB_ID_ROOM] = "";
    const TbTurbo *copy;

    EDIT(bay, tb_edit_duplicate(bay, "turbo", tb_vec3(12.5, 0, -3.25), id, out, fault));
    ck_assert_str_eq(id, "turbo-2");
    copy = tb_item_turbo(tb_bay_item(bay, "turbo-2"));
    ck_assert_double_eq(copy->at.x, 1092.5);
    ck_assert_double_eq(copy->at.z, 731.75);
    ck_assert_str_eq(copy->item.record.name, "turbo, small housing 2");
    ck_assert_uint_eq(tb_bay_count(bay, TB_LIST_PORTS), ports + 3);
    ck_assert_str_eq(tb_bay_port(bay, "turbine-out-2")->owner, "turbo-2");
    ck_assert_double_eq(tb_bay_port(bay, "turbine-out-2")->at.x, 98);
    ck_assert_str_eq(tb_bay_port(bay, "turbine-out")->owner, "turbo");
    while (strcmp(tb_bay_item_at(bay, place)->record.id, "turbo") != 0)
        place++;
    ck_assert_str_eq(tb_bay_item_at(bay, place + 1)->record.id, "turbo-2");
    EDIT(bay, tb_edit_duplicate(bay, "turbo-2", tb_vec3(0, 0, 0), id, out, fault));
    ck_assert_str_eq(id, "turbo-3");
    /* the ports of other items are shifted with them */
    EDIT(bay, tb_edit_duplicate(bay, "pan", tb_vec3(0, 7.5, 0), id, out, fault));
    ck_assert_double_eq(tb_bay_port(bay, "sump-2")->at.y, -88.5);
    EDIT(bay, tb_edit_duplicate(bay, "outlet", tb_vec3(0, 0, 0), id, out, fault));
    ck_assert_str_eq(tb_item_start(tb_bay_item(bay, "outlet-2"))->port, "turbine-out");
    REFUSED(tb_edit_duplicate(bay, "nobody", tb_vec3(0, 0, 0), id, out, fault), TB_E_REFERENCE,
            "record \"nobody\" is not in the bay");
    tb_bay_unref(bay);
}
END_TEST

START_TEST(reordered_records_stand_where_they_were_put)
{
    TbBay *bay = read_small();
    TbBay *first = tb_bay_ref(bay);
    size_t last = tb_bay_count(bay, TB_LIST_ITEMS) - 1;
    size_t was = 0;

    while (strcmp(tb_bay_item_at(bay, was)->record.id, "rail") != 0)
        was++;
    EDIT(bay, tb_edit_reorder(bay, "rail", 0, out, fault));
    ck_assert_str_eq(tb_bay_item_at(bay, 0)->record.id, "rail");
    ck_assert_str_eq(tb_bay_item_at(bay, 1)->record.id, "turbo");
    EDIT(bay, tb_edit_reorder(bay, "rail", 1000, out, fault));
    ck_assert_str_eq(tb_bay_item_at(bay, last)->record.id, "rail");
    EDIT(bay, tb_edit_reorder(bay, "rail", was, out, fault));
    ck_assert(tb_bay_equal(bay, first));
    tb_bay_unref(first);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(a_decision_replaces_the_older_one_about_the_same_finding)
{
    TbBay *bay = read_small();
    size_t before = tb_bay_count(bay, TB_LIST_DECISIONS);
    TbDecide decide = {.finding = "gap:outlet:frame:hot",
                       .disposition = TB_DISPOSITION_MEASURE,
                       .owner = "M. Tester",
                       .due = "2031-06-30",
                       .who = "packager",
                       .when = "2031-05-20"};
    const TbDecision *decision;

    EDIT(bay, tb_edit_decide(bay, &decide, out, fault));
    ck_assert_uint_eq(tb_bay_count(bay, TB_LIST_DECISIONS), before + 1);
    decision = tb_bay_decision_at(bay, before);
    ck_assert_str_eq(decision->due, "2031-06-30");
    ck_assert_ptr_null(decision->text);
    decide.disposition = TB_DISPOSITION_WAIVED;
    decide.owner = "";
    REFUSED(tb_edit_decide(bay, &decide, out, fault), TB_E_FORMAT,
            "a waiver of \"gap:outlet:frame:hot\" needs its reason");
    decide.text = "The frame is cut back on this vehicle.";
    EDIT(bay, tb_edit_decide(bay, &decide, out, fault));
    ck_assert_uint_eq(tb_bay_count(bay, TB_LIST_DECISIONS), before + 1);
    decision = tb_bay_decision_at(bay, before);
    ck_assert_int_eq(decision->disposition, TB_DISPOSITION_WAIVED);
    ck_assert_str_eq(decision->text, "The frame is cut back on this vehicle.");
    ck_assert_ptr_null(decision->owner);
    decide.due = "30 June";
    {
        TbBay *out = NULL;
        ck_assert_int_eq(tb_edit_decide(bay, &decide, &out, NULL), TB_E_FORMAT);
    }
    decide = (TbDecide){.finding = "gap:outlet:frame:hot", .disposition = TB_DISPOSITION_OPEN};
    EDIT(bay, tb_edit_decide(bay, &decide, out, fault));
    ck_assert_uint_eq(tb_bay_count(bay, TB_LIST_DECISIONS), before);
    tb_bay_unref(bay);
}
END_TEST

static TbStatus
all_edits(const TbBay *bay, int which, TbBay **out)
{
    static const TbSetting at[] = {{"at", "1250.5 -170 620"}};
    static const TbDecide decide = {
        .finding = "x", .disposition = TB_DISPOSITION_ACCEPTED, .owner = "o", .text = "t"};
    static const TbSetting by[] = {{"by", "tape"}, {"uncertainty", "3.25"}, {"datum", "hole"}};

    switch (which) {
    case 0:
        return tb_edit_add_part(bay, "outlet", &knot_1, at, 1, out, NULL);
    case 1:
        return tb_edit_remove_part(bay, "outlet", &row_1, out, NULL);
    case 2:
        return tb_edit_duplicate(bay, "turbo", tb_vec3(1, 2, 3), NULL, out, NULL);
    case 3:
        return tb_edit_reorder(bay, "rail", 0, out, NULL);
    case 4:
        return tb_edit_decide(bay, &decide, out, NULL);
    default:
        return tb_edit_set(bay, "shield", &known, by, 3, out, NULL);
    }
}

START_TEST(every_failed_request_leaves_the_document_alone)
{
    TbBay *bay = read_small();
    TbBay *out = NULL;
    long needed;

    tb_mem_fail_at(0);
    ck_assert_int_eq(all_edits(bay, _i, &out), TB_OK);
    needed = tb_mem_requests();
    tb_bay_unref(out);
    for (long i = 1; i <= needed; i++) {
        out = NULL;
        tb_mem_fail_at(i);
        ck_assert_int_eq(all_edits(bay, _i, &out), TB_E_MEMORY);
        tb_mem_fail_at(0);
        ck_assert_ptr_null(out);
    }
    tb_bay_unref(bay);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("bay/edit_part");
    TCase *tcase = tcase_create("parts");

    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, a_section_changes_kind_and_shape_in_one_step);
    tcase_add_test(tcase, single_parts_come_and_go);
    tcase_add_test(tcase, nested_parts_are_added_before_a_place_and_removed);
    tcase_add_test(tcase, notes_and_the_engine_of_the_head_are_parts_too);
    tcase_add_test(tcase, what_is_not_there_is_named);
    tcase_add_test(tcase, duplicate_of_a_turbo_takes_its_ports_and_nobody_elses);
    tcase_add_test(tcase, reordered_records_stand_where_they_were_put);
    tcase_add_test(tcase, a_decision_replaces_the_older_one_about_the_same_finding);
    tcase_add_loop_test(tcase, every_failed_request_leaves_the_document_alone, 0, 6);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
