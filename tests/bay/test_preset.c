/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bays.h"

#include "base/mem.h"
#include "bay/handles.h"
#include "bay/preset.h"

#include <math.h>

static TbBay *
new_kit(TbKitLayout layout)
{
    TbBay *bay = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_bay_new_kit("Kit <1> & \"more\"", layout, &bay, &fault) == TB_OK, "%s",
                  fault.text);
    return bay;
}

static TbBay *
with(const TbBay *bay, const char *variant, const TbNewItem *item, char id[TB_ID_ROOM])
{
    TbBay *out = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_edit_new_item(bay, variant, item, id, &out, &fault) == TB_OK, "%s",
                  fault.text);
    return out;
}

START_TEST(a_new_bay_is_a_whole_file)
{
    TbBay *bay = new_kit(TB_KIT_TRANSVERSE);
    GString *text = tb_bay_to_text(bay);
    TbBay *again = read_text(text->str);
    TbBay *along;

    ck_assert(tb_bay_equal(bay, again));
    ck_assert_str_eq(bay->head->title, "Kit <1> & \"more\"");
    ck_assert_uint_eq(tb_bay_count(bay, TB_LIST_ITEMS), 0);
    ck_assert_str_eq(tb_bay_mount(bay, "engine")->parent, "body");
    ck_assert_double_eq(tb_bay_mount(bay, "engine")->axis_direction.y, 1);
    ck_assert_str_eq(tb_bay_state(bay, "hot-rocking")->parts, "hot+rocking");
    ck_assert_uint_eq(tb_bay_count(bay, TB_LIST_VARIANTS), 1);
    along = new_kit(TB_KIT_LONGITUDINAL);
    ck_assert_double_eq(tb_bay_mount(along, "engine")->axis_direction.x, 1);
    tb_bay_unref(along);
    tb_bay_unref(again);
    g_string_free(text, TRUE);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(every_usual_class_has_a_keep_against_hot_parts)
{
    TbBay *bay = new_kit(TB_KIT_TRANSVERSE);

    for (size_t c = 0; tb_usual_classes[c] != NULL; c++) {
        bool found = false;

        for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_KEEPS); i++) {
            const TbKeep *keep = tb_bay_keep_at(bay, i);

            found |= strcmp(keep->class_a, "hot") == 0 &&
                     strcmp(keep->class_b, tb_usual_classes[c]) == 0;
            ck_assert_uint_eq(keep->gap_count, 5);
            ck_assert_double_ge(keep->gaps[0].gap, keep->gaps[1].gap); /* cold asks more */
            ck_assert_double_ge(keep->gaps[0].gap, keep->gaps[3].gap); /* than at tolerance */
            ck_assert_str_eq(keep->source, "common practice, no source");
            ck_assert_ptr_nonnull(keep->reason);
        }
        ck_assert_msg(found, "hot / %s has no keep", tb_usual_classes[c]);
    }
    tb_bay_unref(bay);
}
END_TEST

START_TEST(a_block_is_drawn_from_any_two_corners)
{
    TbBay *bay = new_kit(TB_KIT_TRANSVERSE);
    TbNewItem item = tb_new_item(TB_ITEM_BLOCK);
    char id[TB_ID_ROOM] = "";
    TbBay *one;
    TbBay *two;
    const TbBlockItem *block;

    item.a = tb_vec3(1371.25, -430, 580.1);
    item.b = tb_vec3(1311, 430.5, 505);
    item.by = TB_KNOWN_TAPE;
    item.datum = "subframe bolts";
    item.date = "2031-04-09";
    one = with(bay, NULL, &item, id);
    ck_assert_str_eq(id, "block");
    block = tb_item_block(tb_bay_item(one, id));
    ck_assert_double_eq(block->low.x, 1311);
    ck_assert_double_eq(block->high.z, 580.1);
    ck_assert_str_eq(block->item.klass, "structure");
    ck_assert_str_eq(block->item.mount, "body");
    ck_assert_double_eq(block->item.known->uncertainty, 3);
    ck_assert_str_eq(block->item.known->datum, "subframe bolts");
    item.by = -1;
    two = with(one, NULL, &item, id);
    ck_assert_str_eq(id, "block-2");
    ck_assert_ptr_null(tb_bay_item(two, id)->known);
    tb_bay_unref(two);
    tb_bay_unref(one);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(what_is_sketched_in_a_shifted_variant_stands_where_it_was_sketched)
{
    TbBay *bay = read_small();
    TbVec3 knots[3] = {{1062.1, -330, 790}, {1120, -330.7, 770}, {1350, -330, 640}};
    TbNewItem item = tb_new_item(TB_ITEM_LINE);
    char id[TB_ID_ROOM] = "";
    TbPlacedPath path = {0};
    TbBay *out;

    item.role = TB_LINE_BRAKE;
    item.points = knots;
    item.count = 3;
    item.bend = 31.5;
    item.mount = "engine";
    out = with(bay, "high", &item, id);
    ck_assert_str_eq(id, "brake-line");
    ck_assert_double_eq(tb_item_path(tb_bay_item(out, id))->knots[0].at.z, 778);
    ck_assert_double_eq(tb_item_path(tb_bay_item(out, id))->knots[1].radius, 31.5);
    ck_assert_str_eq(tb_bay_item(out, id)->klass, "brake");
    ck_assert_int_eq(tb_bay_path(out, "high", id, &path, NULL), TB_OK);
    for (int i = 0; i < 3; i++)
        ck_assert_double_lt(tb_vec3_distance(path.knots[i], knots[i]), 1e-6);
    tb_placed_path_clear(&path);
    tb_bay_unref(out);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(an_outline_keeps_its_corners_and_its_side)
{
    TbBay *bay = new_kit(TB_KIT_LONGITUDINAL);
    TbVec3 corners[4] = {{960, 90, 866}, {960, 220, 791}, {960, 250, 843}, {960, 120, 918}};

    for (int side = -1; side <= 1; side += 2) {
        TbNewItem item = tb_new_item(TB_ITEM_OUTLINE);
        char id[TB_ID_ROOM] = "";
        TbHandle *handles = NULL;
        size_t count = 0;
        TbBay *out;

        item.points = corners;
        item.count = 4;
        item.depth = 325.5 * side;
        out = with(bay, NULL, &item, id);
        ck_assert_int_eq(tb_bay_handles(out, NULL, id, &handles, &count, NULL), TB_OK);
        for (size_t i = 0; i < count; i++) {
            if (handles[i].kind == TB_HANDLE_OUTLINE_CORNER)
                ck_assert_double_lt(tb_vec3_distance(handles[i].point, corners[handles[i].index]),
                                    1e-5);
            if (handles[i].kind == TB_HANDLE_OUTLINE_DEPTH)
                ck_assert_double_eq_tol(handles[i].point.x, 960 + 325.5 * side, 1e-9);
        }
        tb_free(handles);
        tb_bay_unref(out);
    }
    tb_bay_unref(bay);
}
END_TEST

START_TEST(a_turbo_comes_with_ports_and_a_duct_ends_on_them)
{
    TbBay *bay = new_kit(TB_KIT_TRANSVERSE);
    TbNewItem turbo = tb_new_item(TB_ITEM_TURBO);
    TbNewItem duct = tb_new_item(TB_ITEM_DUCT);
    TbVec3 knots[2] = {{1250, -200, 640}, {1300, -150, 480}};
    char id[TB_ID_ROOM] = "";
    TbBay *one;
    TbBay *two;

    turbo.a = tb_vec3(1080, -225, 735);
    turbo.u = tb_vec3(2, 0, 0);
    one = with(bay, NULL, &turbo, id);
    ck_assert_str_eq(tb_bay_item(one, id)->mount, "engine");
    ck_assert_uint_eq(tb_bay_count(one, TB_LIST_PORTS), 4);
    duct.start = "turbo-out";
    duct.points = knots;
    duct.count = 2;
    duct.size = 57.5;
    duct.id = "outlet";
    two = with(one, NULL, &duct, id);
    ck_assert_str_eq(id, "outlet");
    ck_assert_str_eq(tb_bay_item(two, id)->material, "simo-iron");
    ck_assert_uint_eq(tb_item_duct(tb_bay_item(two, id))->row_count, 2);
    ck_assert_double_eq(tb_item_duct(tb_bay_item(two, id))->rows[0].height, 57.5);
    tb_bay_unref(two);
    tb_bay_unref(one);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(what_cannot_be_is_refused_with_a_sentence)
{
    TbBay *bay = new_kit(TB_KIT_TRANSVERSE);
    TbBay *out = NULL;
    TbFault fault = {0};
    TbNewItem item = tb_new_item(TB_ITEM_ROD);

    item.a = item.b = tb_vec3(1, 2, 3);
    ck_assert_int_eq(tb_edit_new_item(bay, NULL, &item, NULL, &out, &fault), TB_E_DEGENERATE);
    ck_assert_str_eq(fault.text, "rod \"rod\": a and b are in the same place");
    item.mount = "roof";
    ck_assert_int_eq(tb_edit_new_item(bay, NULL, &item, NULL, &out, &fault), TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "mount \"roof\" is not in the bay");
    item = tb_new_item(TB_ITEM_SCAN);
    ck_assert_int_eq(tb_edit_new_item(bay, NULL, &item, NULL, &out, &fault), TB_E_REFERENCE);
    item = tb_new_item(TB_ITEM_OUTLINE);
    ck_assert_int_eq(tb_edit_new_item(bay, NULL, &item, NULL, &out, &fault), TB_E_DEGENERATE);
    ck_assert_str_eq(fault.text, "an outline has 0 corners, 3 are needed");
    item = tb_new_item(TB_ITEM_BALL);
    item.size = -4;
    ck_assert_int_eq(tb_edit_new_item(bay, NULL, &item, NULL, &out, &fault), TB_E_RANGE);
    ck_assert_str_eq(fault.text, "ball \"ball\": radius -4 mm is not above 0");
    item.size = 4;
    item.name = "a <\"name\"> & more";
    ck_assert_int_eq(tb_edit_new_item(bay, NULL, &item, NULL, &out, &fault), TB_OK);
    ck_assert_str_eq(tb_bay_item(out, "ball")->record.name, item.name);
    tb_bay_unref(out);
    tb_bay_unref(bay);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("bay/preset");
    TCase *tcase = tcase_create("preset");

    tcase_add_test(tcase, a_new_bay_is_a_whole_file);
    tcase_add_test(tcase, every_usual_class_has_a_keep_against_hot_parts);
    tcase_add_test(tcase, a_block_is_drawn_from_any_two_corners);
    tcase_add_test(tcase, what_is_sketched_in_a_shifted_variant_stands_where_it_was_sketched);
    tcase_add_test(tcase, an_outline_keeps_its_corners_and_its_side);
    tcase_add_test(tcase, a_turbo_comes_with_ports_and_a_duct_ends_on_them);
    tcase_add_test(tcase, what_cannot_be_is_refused_with_a_sentence);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
