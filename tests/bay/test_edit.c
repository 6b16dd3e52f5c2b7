/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bays.h"

#include "base/mem.h"
#include "bay/build.h"
#include "bay/edit.h"
#include "bay/fields.h"
#include "bay/ports.h"
#include "bay/undo.h"

#include <math.h>

/** How many records two documents do not share; their counts must agree. */
static size_t
not_shared(const TbBay *a, const TbBay *b)
{
    size_t count = a->head != b->head;

    for (int l = 0; l < TB_LIST_COUNT; l++) {
        ck_assert_uint_eq(a->lists[l].count, b->lists[l].count);
        for (size_t i = 0; i < a->lists[l].count; i++)
            count += a->lists[l].records[i] != b->lists[l].records[i];
    }
    return count;
}

/** Every node id of a document, its own included, is above @p last or known from @p old. */
static uint64_t
largest_node(const TbBay *bay)
{
    uint64_t largest = bay->node > bay->head->record.node ? bay->node : bay->head->record.node;

    for (int l = 0; l < TB_LIST_COUNT; l++)
        for (size_t i = 0; i < bay->lists[l].count; i++)
            if (bay->lists[l].records[i]->node > largest)
                largest = bay->lists[l].records[i]->node;
    return largest;
}

START_TEST(moved_knot_touches_one_record_and_the_old_document_stays)
{
    TbBay *bay = read_small();
    TbBay *edited = NULL;
    uint64_t last = largest_node(bay);
    TbVec3 to = tb_vec3(1260.5, -147.25, 540.75);
    const TbItem *before = tb_bay_item(bay, "outlet");
    const TbItem *after;

    ck_assert_int_eq(tb_edit_move_knot(bay, "outlet", 1, to, &edited, NULL), TB_OK);
    after = tb_bay_item(edited, "outlet");
    ck_assert_uint_eq(not_shared(bay, edited), 1);
    ck_assert_ptr_eq(bay->head, edited->head);
    ck_assert_uint_gt(after->record.node, last);
    ck_assert_uint_gt(edited->node, last);
    ck_assert_double_eq(tb_item_path(after)->knots[1].at.x, 1260.5);
    ck_assert_double_eq(tb_item_path(before)->knots[1].at.x, 1259);
    /* the old one may go first: what is shared stays */
    tb_bay_unref(bay);
    ck_assert_str_eq(tb_bay_item(edited, "rail")->klass, "structure");
    tb_bay_unref(edited);
}
END_TEST

START_TEST(node_ids_are_never_given_twice)
{
    TbBay *bay = read_small();
    TbBay *other = read_small();
    uint64_t last = largest_node(bay);

    ck_assert_uint_gt(largest_node(other), last);
    for (int i = 0; i < 200; i++) {
        TbBay *next = NULL;
        uint64_t node;

        ck_assert_int_eq(
            tb_edit_turn_housing(bay, "turbo", TB_HOUSING_CENTRE, 0.1 * i, &next, NULL), TB_OK);
        node = tb_bay_item(next, "turbo")->record.node;
        ck_assert_uint_gt(node, last);
        last = largest_node(next);
        tb_bay_unref(bay);
        bay = next;
    }
    tb_bay_unref(other);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(knots_are_added_and_removed)
{
    TbBay *bay = read_small();
    TbBay *more = NULL;
    TbBay *back = NULL;
    TbFault fault = {0};
    const TbPath *path;

    ck_assert_int_eq(tb_edit_add_knot(bay, "drain", 1, tb_vec3(1066, -190, 580), 41.5, &more, NULL),
                     TB_OK);
    path = tb_item_path(tb_bay_item(more, "drain"));
    ck_assert_uint_eq(path->knot_count, 3);
    ck_assert_double_eq(path->knots[1].radius, 41.5);
    ck_assert_double_eq(path->knots[2].radius, 45);
    ck_assert_int_eq(tb_edit_remove_knot(more, "drain", 1, &back, NULL), TB_OK);
    ck_assert(tb_bay_equal(bay, back));
    ck_assert(!tb_bay_equal(bay, more));
    tb_bay_unref(back);
    back = NULL;
    ck_assert_int_eq(tb_edit_set_knot_radius(bay, "drain", 0, 44.5, &back, NULL), TB_OK);
    ck_assert_double_eq(tb_item_path(tb_bay_item(back, "drain"))->knots[0].radius, 44.5);
    tb_bay_unref(back);
    back = NULL;
    ck_assert_int_eq(tb_edit_remove_knot(bay, "drain", 2, &back, &fault), TB_E_RANGE);
    ck_assert_contains(fault.text, "\"drain\" has 2 knots of its own, none at 2");
    ck_assert_int_eq(tb_edit_move_knot(bay, "rail", 0, tb_vec3(0, 0, 0), &back, &fault),
                     TB_E_REFERENCE);
    ck_assert_contains(fault.text, "\"rail\" is a block and has no knots");
    ck_assert_ptr_null(back);
    tb_bay_unref(more);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(sections_are_set_added_and_removed)
{
    TbBay *bay = read_small();
    TbBay *set = NULL;
    TbBay *more = NULL;
    TbBay *back = NULL;
    TbFault fault = {0};
    TbRow row = tb_row_round(180.5, 71.25);

    ck_assert_int_eq(tb_edit_add_section(bay, "outlet", 2, &row, &more, NULL), TB_OK);
    ck_assert_double_eq(tb_item_duct(tb_bay_item(more, "outlet"))->rows[2].width, 71.25);
    ck_assert_double_eq(tb_item_duct(tb_bay_item(more, "outlet"))->rows[3].exponent, 2.4);
    ck_assert_int_eq(tb_edit_remove_section(more, "outlet", 2, &back, NULL), TB_OK);
    ck_assert(tb_bay_equal(bay, back));
    row.at = 110;
    ck_assert_int_eq(tb_edit_set_section(bay, "outlet", 1, &row, &set, NULL), TB_OK);
    ck_assert_double_eq(tb_item_duct(tb_bay_item(set, "outlet"))->rows[1].height, 71.25);
    tb_bay_unref(set);
    set = NULL;
    row.at = 260; /* past the next one */
    ck_assert_int_eq(tb_edit_set_section(bay, "outlet", 1, &row, &set, &fault), TB_E_RANGE);
    ck_assert_contains(fault.text, "station 250 does not come after 260");
    row.at = 110;
    row.width = 0;
    ck_assert_int_eq(tb_edit_set_section(bay, "outlet", 1, &row, &set, &fault), TB_E_RANGE);
    ck_assert_contains(fault.text, "section 2 of duct \"outlet\": width 0 mm is not above 0");
    row.width = NAN;
    ck_assert_int_eq(tb_edit_set_section(bay, "outlet", 1, &row, &set, &fault), TB_E_FORMAT);
    row.width = INFINITY;
    ck_assert_int_eq(tb_edit_set_section(bay, "outlet", 1, &row, &set, &fault), TB_E_RANGE);
    ck_assert_ptr_null(set);
    tb_bay_unref(back);
    tb_bay_unref(more);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(moved_item_takes_its_ports_along)
{
    TbBay *bay = read_small();
    TbBay *edited = NULL;
    TbVec3 by = tb_vec3(3.5, -7.25, 11);
    TbPortPlace before;
    TbPortPlace after;

    ck_assert_int_eq(tb_edit_move_item(bay, "pan", by, &edited, NULL), TB_OK);
    ck_assert_uint_eq(not_shared(bay, edited), 2); /* the block and its port */
    ck_assert_int_eq(tb_bay_port_place(bay, NULL, "sump", &before, NULL), TB_OK);
    ck_assert_int_eq(tb_bay_port_place(edited, NULL, "sump", &after, NULL), TB_OK);
    ck_assert_double_eq_tol(tb_vec3_distance(tb_vec3_add(before.point, by), after.point), 0, 1e-10);
    tb_bay_unref(edited);
    edited = NULL;
    ck_assert_int_eq(tb_edit_move_item(bay, "turbo", by, &edited, NULL), TB_OK);
    ck_assert_uint_eq(not_shared(bay, edited), 1); /* its ports are given in its axes */
    ck_assert_int_eq(tb_bay_port_place(bay, NULL, "turbine-out", &before, NULL), TB_OK);
    ck_assert_int_eq(tb_bay_port_place(edited, NULL, "turbine-out", &after, NULL), TB_OK);
    ck_assert_double_eq_tol(tb_vec3_distance(tb_vec3_add(before.point, by), after.point), 0, 1e-10);
    tb_bay_unref(edited);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(every_kind_of_item_moves)
{
    TbBay *bay = read_small();
    TbVec3 by = tb_vec3(1.5, 2.25, -3.125);

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++) {
        const char *id = tb_bay_item_at(bay, i)->record.id;
        TbBay *there = NULL;
        TbBay *back = NULL;

        ck_assert_int_eq(tb_edit_move_item(bay, id, by, &there, NULL), TB_OK);
        ck_assert_msg(
            !tb_record_equal(&tb_bay_item(bay, id)->record, &tb_bay_item(there, id)->record),
            "%s did not move", id);
        ck_assert_int_eq(tb_edit_move_item(there, id, tb_vec3_neg(by), &back, NULL), TB_OK);
        ck_assert_msg(tb_bay_equal(bay, back), "%s did not come back", id);
        tb_bay_unref(back);
        tb_bay_unref(there);
    }
    tb_bay_unref(bay);
}
END_TEST

START_TEST(keeps_and_shifts_are_set_or_added)
{
    TbBay *bay = read_small();
    TbBay *a = NULL;
    TbBay *b = NULL;
    TbBay *c = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_edit_set_keep(bay, "outlet-joint", "cold", 30.5, &a, NULL), TB_OK);
    ck_assert_uint_eq(tb_bay_keep(a, "outlet-joint")->gap_count, 2);
    ck_assert_int_eq(tb_edit_set_keep(a, "outlet-joint", "cold", 31.5, &b, NULL), TB_OK);
    ck_assert_uint_eq(tb_bay_keep(b, "outlet-joint")->gap_count, 2);
    ck_assert_double_eq(tb_bay_keep(b, "outlet-joint")->gaps[1].gap, 31.5);
    ck_assert_int_eq(tb_edit_set_keep(bay, "outlet-joint", "dawn", 1, &c, &fault), TB_E_REFERENCE);
    ck_assert_contains(fault.text, "state \"dawn\" is not in the bay");
    ck_assert_int_eq(tb_edit_set_keep(bay, "outlet-joint", "cold", -1, &c, &fault), TB_E_RANGE);
    ck_assert_int_eq(tb_edit_set_mount_shift(b, "standard", "engine", tb_vec3(0, 0, 25), &c, NULL),
                     TB_OK);
    ck_assert_double_eq(tb_bay_mount_shift(c, "standard", "bracket").z, 25);
    ck_assert_double_eq(tb_bay_mount_shift(c, "high", "engine").z, 12);
    ck_assert_double_eq(tb_bay_mount_shift(c, NULL, "engine").z, 0);
    tb_bay_unref(c);
    tb_bay_unref(b);
    tb_bay_unref(a);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(records_are_added_and_removed_by_their_text)
{
    static const char pump[] =
        "<ball id=\"pump\" class=\"structure\" mount=\"engine\" at=\"1 2 3\" radius=\"9.5\"/>";
    TbBay *bay = read_small();
    TbBay *more = NULL;
    TbBay *less = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_edit_add(bay, pump, &more, NULL), TB_OK);
    ck_assert_double_eq(tb_item_ball(tb_bay_item(more, "pump"))->radius, 9.5);
    ck_assert_ptr_null(tb_bay_item(bay, "pump"));
    ck_assert_int_eq(tb_edit_add(more, pump, &less, &fault), TB_E_REFERENCE);
    ck_assert_contains(fault.text, "id \"pump\" of a ball is taken");
    ck_assert_int_eq(tb_edit_add(more, "<pump/>", &less, &fault), TB_E_FORMAT);
    ck_assert_int_eq(tb_edit_add(more, "<ball", &less, &fault), TB_E_FORMAT);
    ck_assert_int_eq(tb_edit_remove(more, "pump", &less, NULL), TB_OK);
    ck_assert(tb_bay_equal(bay, less));
    tb_bay_unref(less);
    less = NULL;
    ck_assert_int_eq(tb_edit_remove(bay, "turbine-out", &less, &fault), TB_E_REFERENCE);
    ck_assert_contains(fault.text,
                       "port \"turbine-out\" cannot be removed: joint \"turbine-joint\" names it");
    ck_assert_int_eq(tb_edit_remove(bay, "rocking", &less, &fault), TB_E_REFERENCE);
    ck_assert_contains(fault.text, "keep \"hot-structure\" names it"); /* in hot+rocking */
    ck_assert_int_eq(tb_edit_remove(bay, "ghost", &less, &fault), TB_E_REFERENCE);
    ck_assert_ptr_null(less);
    tb_bay_unref(more);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(attributes_are_set_from_text_and_taken_away)
{
    TbBay *bay = read_small();
    TbBay *a = NULL;
    TbBay *b = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_edit_set_attribute(bay, "rail", "low", "1310.5 -430 505", &a, NULL), TB_OK);
    ck_assert_double_eq(tb_item_block(tb_bay_item(a, "rail"))->low.x, 1310.5);
    ck_assert_int_eq(tb_edit_set_attribute(a, "outlet", "least-wall", NULL, &b, NULL), TB_OK);
    ck_assert(!tb_is_given(tb_item_duct(tb_bay_item(b, "outlet"))->least_wall));
    tb_bay_unref(b);
    b = NULL;
    ck_assert_int_eq(tb_edit_set_attribute(bay, "bay", "ground", "-90.5", &b, NULL), TB_OK);
    ck_assert_double_eq(b->head->ground, -90.5);
    ck_assert_uint_eq(not_shared(bay, b), 1);
    tb_bay_unref(b);
    b = NULL;
    ck_assert_int_eq(tb_edit_set_attribute(bay, "rail", "low", NULL, &b, &fault), TB_E_FORMAT);
    ck_assert_int_eq(tb_edit_set_attribute(bay, "rail", "low", "1 2", &b, &fault), TB_E_FORMAT);
    ck_assert_int_eq(tb_edit_set_attribute(bay, "rail", "low", "1400 0 0", &b, &fault), TB_E_RANGE);
    ck_assert_int_eq(tb_edit_set_attribute(bay, "rail", "id", "x", &b, &fault), TB_E_REFERENCE);
    ck_assert_int_eq(tb_edit_set_attribute(bay, "rail", "tint", "x", &b, &fault), TB_E_REFERENCE);
    ck_assert_contains(fault.text, "block \"rail\" has no attribute \"tint\" to set");
    ck_assert_ptr_null(b);
    tb_bay_unref(a);
    tb_bay_unref(bay);
}
END_TEST

/** Every attribute of a record set to every text: what is let pass is right as a whole. */
static size_t
let_pass(const TbBay *bay, const TbRecord *record)
{
    static const char *const texts[] = {"-1",  "0",      "1e7",   "ghost", "engine", "turbine-out",
                                        "hot", "outlet", "0 0 0", "1 2 3", NULL};
    const TbField *field;
    size_t passed = 0;

    for (size_t i = 0; (field = tb_element_field(record->element, i)) != NULL; i++)
        for (size_t k = 0; k < G_N_ELEMENTS(texts); k++) {
            TbBay *edited = NULL;
            TbFault fault = {0};

            if (tb_edit_set_attribute(bay, record->id, field->name, texts[k], &edited, NULL) !=
                TB_OK)
                continue;
            ck_assert_msg(tb_check_bay(edited, &fault) == TB_OK, "%s of \"%s\": %s", field->name,
                          record->id, fault.text);
            tb_bay_unref(edited);
            passed++;
        }
    return passed;
}

START_TEST(what_an_edit_lets_pass_is_right_as_a_whole)
{
    TbBay *bay = read_small();
    size_t passed = 0, records = 0;

    for (int l = 0; l < TB_LIST_COUNT; l++)
        for (size_t i = 0; i < bay->lists[l].count; i++, records++)
            passed += let_pass(bay, bay->lists[l].records[i]);
    ck_assert_uint_gt(passed, 2 * records);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(new_revision_is_the_current_one_and_in_the_history)
{
    TbBay *bay = read_small();
    TbBay *edited = NULL;
    TbFault fault = {0};
    const TbRevision *last;

    ck_assert_int_eq(
        tb_edit_set_revision(bay, "C", "packager", "2031-06-03", "Rail moved.", &edited, NULL),
        TB_OK);
    last = tb_bay_revision_at(edited, tb_bay_count(edited, TB_LIST_REVISIONS) - 1);
    ck_assert_str_eq(edited->head->revision, "C");
    ck_assert_str_eq(last->record.who, "packager");
    ck_assert_str_eq(bay->head->revision, "B");
    tb_bay_unref(edited);
    edited = NULL;
    ck_assert_int_eq(tb_edit_set_revision(bay, "A", "x", "2031-06-03", "Again.", &edited, &fault),
                     TB_E_REFERENCE);
    ck_assert_contains(fault.text, "revision \"A\" is there twice");
    ck_assert_ptr_null(edited);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(turbo_and_ports_are_placed)
{
    TbBay *bay = read_small();
    TbBay *edited = NULL;
    TbFault fault = {0};
    TbPortPlace place;

    ck_assert_int_eq(tb_edit_place_turbo(bay, "turbo", tb_vec3(1000, -200, 700), tb_vec3(2, 0, 0),
                                         &edited, NULL),
                     TB_OK);
    ck_assert_int_eq(tb_bay_port_place(edited, NULL, "turbine-out", &place, NULL), TB_OK);
    ck_assert_double_eq_tol(place.point.x, 1098, 1e-10);
    ck_assert_double_eq_tol(place.flow.x, 1, 1e-12);
    tb_bay_unref(edited);
    edited = NULL;
    ck_assert_int_eq(
        tb_edit_place_turbo(bay, "turbo", tb_vec3(0, 0, 0), tb_vec3(0, 0, 0), &edited, &fault),
        TB_E_DEGENERATE);
    ck_assert_int_eq(
        tb_edit_place_port(bay, "sump", tb_vec3(1040, -90, 375), tb_vec3(-1, 0, -1), &edited, NULL),
        TB_OK);
    ck_assert_double_eq(tb_bay_port(edited, "sump")->at.z, 375);
    tb_bay_unref(edited);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(undo_steps_back_and_forth_and_knows_what_is_saved)
{
    TbBay *bay = read_small();
    TbUndo *undo = tb_undo_new(bay);
    TbBay *a = NULL;
    TbBay *b = NULL;

    tb_undo_mark_saved(undo);
    ck_assert(!tb_undo_back(undo) && !tb_undo_forth(undo));
    ck_assert_int_eq(tb_edit_rename(bay, "rail", "one", &a, NULL), TB_OK);
    ck_assert_int_eq(tb_edit_rename(a, "rail", "two", &b, NULL), TB_OK);
    ck_assert_int_eq(tb_undo_push(undo, a, "Rename", 7, NULL), TB_OK);
    ck_assert_int_eq(tb_undo_push(undo, b, "Rename", 7, NULL), TB_OK); /* one drag */
    ck_assert_ptr_eq(tb_undo_now(undo), b);
    ck_assert(!tb_undo_is_saved(undo));
    ck_assert_str_eq(tb_undo_back_name(undo), "Rename");
    ck_assert(tb_undo_back(undo));
    ck_assert_ptr_eq(tb_undo_now(undo), bay);
    ck_assert(tb_undo_is_saved(undo));
    ck_assert_ptr_null(tb_undo_back_name(undo));
    ck_assert_str_eq(tb_undo_forth_name(undo), "Rename");
    ck_assert(tb_undo_forth(undo));
    ck_assert_int_eq(tb_undo_push(undo, a, "Other", 0, NULL), TB_OK);
    ck_assert_ptr_null(tb_undo_forth_name(undo));
    tb_undo_back(undo);
    tb_undo_back(undo);
    ck_assert_int_eq(tb_undo_push(undo, b, "Anew", 0, NULL), TB_OK); /* the others are forgotten */
    ck_assert(!tb_undo_forth(undo));
    tb_undo_free(undo);
    tb_bay_unref(b);
    tb_bay_unref(a);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(edits_without_room_fail_cleanly)
{
    TbBay *bay = read_small();
    TbRow row = tb_row_round(180.5, 71.25);
    long n = 0;
    TbStatus status;

    do {
        TbBay *out = NULL;

        tb_mem_fail_at(++n);
        status = tb_edit_add_section(bay, "outlet", 2, &row, &out, NULL);
        ck_assert(status == TB_OK || (status == TB_E_MEMORY && out == NULL));
        tb_bay_unref(out);
    } while (status != TB_OK);
    ck_assert_int_gt(n, 20);
    n = 0;
    do {
        TbBay *out = NULL;

        tb_mem_fail_at(++n);
        status = tb_edit_set_revision(bay, "C", "me", "2031-06-03", "Text.", &out, NULL);
        ck_assert(status == TB_OK || (status == TB_E_MEMORY && out == NULL));
        tb_bay_unref(out);
    } while (status != TB_OK);
    tb_mem_fail_at(0);
    tb_bay_unref(bay);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("bay/edit");
    TCase *c = tcase_create("edit");

    tcase_set_timeout(c, 60);
    tcase_add_test(c, moved_knot_touches_one_record_and_the_old_document_stays);
    tcase_add_test(c, node_ids_are_never_given_twice);
    tcase_add_test(c, knots_are_added_and_removed);
    tcase_add_test(c, sections_are_set_added_and_removed);
    tcase_add_test(c, moved_item_takes_its_ports_along);
    tcase_add_test(c, every_kind_of_item_moves);
    tcase_add_test(c, keeps_and_shifts_are_set_or_added);
    tcase_add_test(c, records_are_added_and_removed_by_their_text);
    tcase_add_test(c, attributes_are_set_from_text_and_taken_away);
    tcase_add_test(c, what_an_edit_lets_pass_is_right_as_a_whole);
    tcase_add_test(c, new_revision_is_the_current_one_and_in_the_history);
    tcase_add_test(c, turbo_and_ports_are_placed);
    tcase_add_test(c, undo_steps_back_and_forth_and_knows_what_is_saved);
    tcase_add_test(c, edits_without_room_fail_cleanly);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
