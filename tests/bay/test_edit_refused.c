/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Every edit: asked of what is not there, and without memory at any of its requests. The document
 * then stays as it was to the last byte, and no new one comes out.
 */

#include "bays.h"

#include "base/mem.h"
#include "bay/edit.h"
#include "bay/undo.h"

#include <math.h>

/** One edit that works on the small bay when @p id is the one of the table. */
typedef TbStatus Edit(const TbBay *bay, const char *id, TbBay **out, TbFault *fault);

static TbStatus
move_knot(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    return tb_edit_move_knot(bay, id, 1, tb_vec3(1260, -147, 541), out, fault);
}

static TbStatus
add_knot(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    return tb_edit_add_knot(bay, id, 3, tb_vec3(1301, -88, 360), NAN, out, fault);
}

static TbStatus
remove_knot(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    return tb_edit_remove_knot(bay, id, 1, out, fault);
}

static TbStatus
set_knot_radius(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    return tb_edit_set_knot_radius(bay, id, 0, 39.5, out, fault);
}

static TbStatus
set_section(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    TbRow row = tb_row_round(111.5, 63.25);

    return tb_edit_set_section(bay, id, 1, &row, out, fault);
}

static TbStatus
add_section(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    TbRow row = tb_row_round(180.5, 71.25);

    return tb_edit_add_section(bay, id, 2, &row, out, fault);
}

static TbStatus
remove_section(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    return tb_edit_remove_section(bay, id, 1, out, fault);
}

static TbStatus
move_item(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    return tb_edit_move_item(bay, id, tb_vec3(3.5, -7.25, 11), out, fault);
}

static TbStatus
place_turbo(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    return tb_edit_place_turbo(bay, id, tb_vec3(1081, -224, 737), tb_vec3(1, 0.1, 0), out, fault);
}

/** Of the large turbo, whose compressor has no element yet. */
static TbStatus
turn_housing(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    return tb_edit_turn_housing(bay, id, TB_HOUSING_COMPRESSOR, 11.5, out, fault);
}

static TbStatus
place_port(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    return tb_edit_place_port(bay, id, tb_vec3(1040, -90, 375), tb_vec3(-1, 0, -1), out, fault);
}

static TbStatus
set_keep(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    return tb_edit_set_keep(bay, id, "tolerance", 6.5, out, fault);
}

static TbStatus
set_mount_shift(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    return tb_edit_set_mount_shift(bay, id, "bracket", tb_vec3(0, 1.5, 0), out, fault);
}

static TbStatus
add(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    char element[160];

    snprintf(element, sizeof element,
             "<ball id=\"new\" mount=\"%s\" class=\"moving\" at=\"1 2 3\" radius=\"28.5\"/>", id);
    return tb_edit_add(bay, element, out, fault);
}

static TbStatus
remove_record(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    return tb_edit_remove(bay, id, out, fault);
}

static TbStatus
set_attribute(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    return tb_edit_set_attribute(bay, id, "radius", "29.25", out, fault);
}

static TbStatus
rename_record(const TbBay *bay, const char *id, TbBay **out, TbFault *fault)
{
    return tb_edit_rename(bay, id, "another name", out, fault);
}

static const struct {
    const char *name, *id;
    Edit *edit;
} edits[] = {
    {"move-knot", "outlet", move_knot},
    {"add-knot", "outlet", add_knot},
    {"remove-knot", "outlet", remove_knot},
    {"set-knot-radius", "drain", set_knot_radius},
    {"set-section", "outlet", set_section},
    {"add-section", "outlet", add_section},
    {"remove-section", "outlet", remove_section},
    {"move-item", "pan", move_item},
    {"place-turbo", "turbo", place_turbo},
    {"turn-housing", "turbo-large", turn_housing},
    {"place-port", "sump", place_port},
    {"set-keep", "hot-structure", set_keep},
    {"set-mount-shift", "high", set_mount_shift},
    {"add", "body", add},
    {"remove", "d2", remove_record},
    {"set-attribute", "steering-joint", set_attribute},
    {"rename", "rail", rename_record},
};

static char *
written(const TbBay *bay)
{
    return g_string_free(tb_bay_to_text(bay), FALSE);
}

START_TEST(edit_of_what_is_not_there_names_it_and_changes_nothing)
{
    TbBay *bay = read_small(), *out = NULL;
    char *before = written(bay), *after;
    TbFault fault = {0};
    TbStatus status = edits[_i].edit(bay, "no-such", &out, &fault);

    ck_assert_msg(status == TB_E_REFERENCE, "%s: %s", edits[_i].name, tb_status_name(status));
    ck_assert_contains(fault.text, "\"no-such\" is not in the bay");
    ck_assert_ptr_null(out);
    after = written(bay);
    ck_assert_str_eq(before, after);
    g_free(before);
    g_free(after);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(edit_without_room_leaves_the_document_to_the_byte)
{
    TbBay *bay = read_small(), *out = NULL;
    char *before = written(bay), *after;
    TbStatus status = TB_E_MEMORY;
    long n = 0;

    while (status != TB_OK) {
        TbFault fault = {0};

        tb_mem_fail_at(++n);
        status = edits[_i].edit(bay, edits[_i].id, &out, &fault);
        tb_mem_fail_at(0);
        ck_assert_msg(status == TB_OK || (status == TB_E_MEMORY && out == NULL),
                      "%s at request %ld: %s", edits[_i].name, n, fault.text);
        ck_assert_int_eq(fault.text[0] == '\0', status == TB_OK);
        ck_assert_int_lt(n, 20000);
        if (n % 97 == 1 || status == TB_OK) {
            after = written(bay);
            ck_assert_str_eq(before, after);
            g_free(after);
        }
    }
    ck_assert_int_gt(n, 3);
    after = written(out);
    ck_assert_str_ne(before, after);
    g_free(after);
    g_free(before);
    tb_bay_unref(out);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(edit_of_another_kind_of_item_says_what_it_is)
{
    TbBay *bay = read_small(), *out = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(move_knot(bay, "rail", &out, &fault), TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "\"rail\" is a block and has no knots");
    ck_assert_int_eq(set_section(bay, "drain", &out, &fault), TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "\"drain\" is a line, not a duct");
    ck_assert_int_eq(place_turbo(bay, "steering-joint", &out, &fault), TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "\"steering-joint\" is a ball, not a turbo");
    ck_assert_int_eq(turn_housing(bay, "outlet", &out, &fault), TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "\"outlet\" is a duct, not a turbo");
    ck_assert_ptr_null(out);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(knots_and_sections_beyond_the_last_are_refused_with_their_count)
{
    TbBay *bay = read_small(), *out = NULL;
    TbRow row = tb_row_round(300.5, 71.25);
    TbFault fault = {0};

    ck_assert_int_eq(tb_edit_move_knot(bay, "outlet", 3, tb_vec3(1, 2, 3), &out, &fault),
                     TB_E_RANGE);
    ck_assert_contains(fault.text, "has 3 knots of its own, none at 3");
    ck_assert_int_eq(tb_edit_add_knot(bay, "outlet", 4, tb_vec3(1, 2, 3), NAN, &out, &fault),
                     TB_E_RANGE);
    ck_assert_int_eq(tb_edit_remove_knot(bay, "outlet", SIZE_MAX, &out, &fault), TB_E_RANGE);
    ck_assert_int_eq(tb_edit_set_section(bay, "outlet", 4, &row, &out, &fault), TB_E_RANGE);
    ck_assert_str_eq(fault.text, "\"outlet\" has 4 sections, none at 4");
    ck_assert_int_eq(tb_edit_add_section(bay, "outlet", 5, &row, &out, &fault), TB_E_RANGE);
    ck_assert_int_eq(tb_edit_remove_section(bay, "outlet", 4, &out, &fault), TB_E_RANGE);
    ck_assert_ptr_null(out);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(undo_without_room_keeps_its_steps)
{
    TbBay *bay = read_small(), *changed = NULL;
    TbUndo *undo;
    TbStatus status = TB_E_MEMORY;
    long n = 0;

    ck_assert_int_eq(rename_record(bay, "rail", &changed, NULL), TB_OK);
    for (n = 1, undo = NULL; undo == NULL; n++) {
        tb_mem_fail_at(n);
        undo = tb_undo_new(bay);
        tb_mem_fail_at(0);
        ck_assert_int_lt(n, 10);
    }
    ck_assert_int_eq(n, 4); /* two requests; n is one further than the one that worked */
    for (int step = 0; step < 40; step++) {
        for (n = 1, status = TB_E_MEMORY; status != TB_OK; n++) {
            TbBay *now = tb_undo_now(undo);
            TbFault fault = {0};

            tb_mem_fail_at(n);
            status = tb_undo_push(undo, step % 2 == 0 ? changed : bay, "Rename", 0, &fault);
            tb_mem_fail_at(0);
            if (status == TB_OK)
                continue;
            ck_assert_contains(fault.text, "no room to undo");
            ck_assert_ptr_eq(tb_undo_now(undo), now);
        }
    }
    for (int step = 0; step < 40; step++)
        ck_assert(tb_undo_back(undo));
    ck_assert(!tb_undo_back(undo));
    ck_assert_ptr_eq(tb_undo_now(undo), bay);
    tb_undo_free(undo);
    tb_bay_unref(changed);
    tb_bay_unref(bay);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("bay/edit_refused");
    TCase *c = tcase_create("refused");
    int count = (int)(sizeof edits / sizeof edits[0]);

    tcase_set_timeout(c, 60);
    tcase_add_loop_test(c, edit_of_what_is_not_there_names_it_and_changes_nothing, 0, count);
    tcase_add_loop_test(c, edit_without_room_leaves_the_document_to_the_byte, 0, count);
    tcase_add_test(c, edit_of_another_kind_of_item_says_what_it_is);
    tcase_add_test(c, knots_and_sections_beyond_the_last_are_refused_with_their_count);
    tcase_add_test(c, undo_without_room_keeps_its_steps);
    suite_add_tcase(suite, c);
    return tb_test_main(suite);
}
