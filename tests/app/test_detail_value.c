/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "tap.h"

#include "app/detail_links.h"
#include "app/detail_value.h"
#include "app/detail_words.h"
#include "bay/preset.h"
#include "bay/read.h"
#include "small_kit.h"

#include <math.h>
#include <string.h>

static TbBay *
read_file(const char *folder, const char *name)
{
    g_autofree char *path = g_build_filename(g_getenv(folder), name, NULL);
    TbBay *bay = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_bay_read_file(path, &bay, &fault) == TB_OK, "%s", fault.text);
    return bay;
}

static TbBay *
small(void)
{
    return read_file("TB_TEST_DATA", "small.bay");
}

static TbPartPlace
place(const char *a, size_t i, const char *b, size_t k)
{
    TbPartPlace first = tb_part_place_in(NULL, a, i);

    return b != NULL ? tb_part_place_in(&first, b, k) : first;
}

/* The text of the file after a text was typed; the sentence where it was refused. */
static char *
typed(const TbBay *bay,
      const char *id,
      const TbPartPlace *where,
      const char *attribute,
      size_t cell,
      const char *text)
{
    const TbElement *element = NULL;
    const TbPartPlace none = {.count = 0};
    const void *part =
        tb_record_part(tb_bay_find(bay, id), where != NULL ? where : &none, &element);
    TbFault fault = {0};
    char *out = NULL;

    if (tb_value_typed(tb_element_field_named(element, attribute), part, cell, text,
                       tb_value_unit(bay), &out, &fault) != TB_OK)
        return g_strdup(fault.text);
    return out != NULL ? out : g_strdup("(taken away)");
}

#define CHECK_TYPED(bay, id, where, attribute, cell, text, wanted)                                 \
    do {                                                                                           \
        g_autofree char *got_ = typed(bay, id, where, attribute, cell, text);                      \
        ck_assert_str_eq(got_, wanted);                                                            \
    } while (0)

static void
assert_links(const TbBay *bay, const char *of, const char *wanted)
{
    g_autoptr(GPtrArray) links = tb_detail_links(bay, tb_bay_find(bay, of));
    g_autoptr(GString) text = g_string_new(NULL);

    for (guint i = 0; i < links->len; i++)
        g_string_append_printf(text, "%s%s", i == 0 ? "" : " ",
                               ((const TbRecord *)links->pdata[i])->id);
    ck_assert_str_eq(text->str, wanted);
}

START_TEST(ports_and_joints_are_reached_from_an_item_and_back)
{
    TbBay *bay = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_bay_read_bytes(small_kit, strlen(small_kit), &bay, &fault) == TB_OK, "%s",
                  fault.text);
    assert_links(bay, "outlet", "out cat j-out j-cat");
    assert_links(bay, "turbo", "out in j-out");
    assert_links(bay, "out", "turbo outlet j-out");
    assert_links(bay, "j-cat", "outlet pot cat");
    assert_links(bay, "rail", "");
    assert_links(bay, "k1", "");
    tb_bay_unref(bay);
}
END_TEST

START_TEST(typed_values_become_texts_of_the_file)
{
    TbBay *bay = small(); /* shown in inches */
    TbPartPlace row = place("section", 1, NULL, 0);
    TbPartPlace knot = place("path", 0, "knot", 1);

    CHECK_TYPED(bay, "outlet", NULL, "wall", 0, "4,5 mm", "4.5");
    CHECK_TYPED(bay, "outlet", NULL, "wall", 0, "3/16", "4.7625"); /* in: 3/16 of 25.4 */
    CHECK_TYPED(bay, "outlet", NULL, "least-wall", 0, " ", "(taken away)");
    CHECK_TYPED(bay, "outlet", NULL, "wall", 0, "",
                "no length is given; write 12.5, 2.5 cm or 3/4 in");
    CHECK_TYPED(bay, "outlet", &row, "turn", 0, "2,25\xc2\xb0", "2.25");
    CHECK_TYPED(bay, "outlet", &row, "corner", 0, "10 mm", "10");
    CHECK_TYPED(bay, "outlet", &row, "corner", 0, "10mm 11 mm 12mm 1", "10 11 12 25.4");
    CHECK_TYPED(bay, "outlet", &row, "corner", 0, "1 2", "\"1 2\" has 2 lengths, 4 are needed");
    CHECK_TYPED(bay, "outlet", &knot, "at", 2, "545.5 mm", "1259 -148 545.5");
    CHECK_TYPED(bay, "outlet", &knot, "at", 0, "1 2 3", "25.4 50.8 76.2");
    CHECK_TYPED(bay, "outlet", NULL, "role", 0, "  outlet ", "outlet");
    CHECK_TYPED(bay, "full-power", NULL, "temperature", 0,
                "785.5 \xc2\xb0"
                "C",
                "785.5");
    CHECK_TYPED(bay, "outlet", NULL, "mass", 0, "3 mm",
                "\"mm\" in \"3 mm\" is not a unit of number; write kg");
    tb_bay_unref(bay);
}
END_TEST

START_TEST(what_is_shown_and_confirmed_untouched_means_the_same_place)
{
    TbBay *bay = small();
    const TbRecord *record = tb_bay_find(bay, "outlet");
    TbPartPlace knot = place("path", 0, "knot", 0);
    const TbElement *element = NULL;
    const void *part = tb_record_part(record, &knot, &element);
    const TbField *at = tb_element_field_named(element, "at");
    g_autofree char *inch = tb_value_text(at, part, 0, TB_UNIT_INCH); /* 1243 / 25.4 = 48.937 */
    g_autofree char *mm = tb_value_text(at, part, 1, TB_UNIT_MM);
    g_autofree char *none =
        tb_value_text(tb_element_field_named(element, "radius"), part, 0, TB_UNIT_MM);

    ck_assert_str_eq(inch, "48.937");
    ck_assert_str_eq(mm, "-203");
    ck_assert_str_eq(none, "");
    ck_assert_uint_eq(tb_value_cells(at), 3);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(numbers_are_stepped_as_they_would_be_typed)
{
    const TbElement *duct = tb_element_find("duct", TB_LIST_ITEMS);
    const TbField *wall = tb_element_field_named(duct, "wall");
    const TbField *cone = tb_element_field_named(duct, "cone-limit");
    g_autofree char *mm = tb_value_step(wall, "4,5", TB_UNIT_MM, 1);
    g_autofree char *inch = tb_value_step(wall, "1/8", TB_UNIT_INCH, -1); /* 0.125 - 0.05 */
    g_autofree char *from_none = tb_value_step(cone, "", TB_UNIT_MM, 10);

    ck_assert_str_eq(mm, "5.5");
    ck_assert_str_eq(inch, "0.075");
    ck_assert_str_eq(from_none, "10");
    ck_assert_ptr_null(tb_value_step(wall, "zzz", TB_UNIT_MM, 1));
    ck_assert_ptr_null(tb_value_step(tb_element_field_named(duct, "role"), "x", TB_UNIT_MM, 1));
}
END_TEST

static TbBay *
set(TbBay *bay, const char *id, TbPartPlace where, const char *attribute, const char *value)
{
    TbBay *next = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_value_set(bay, id, &where, attribute, value, &next, &fault) == TB_OK, "%s",
                  fault.text);
    tb_bay_unref(bay);
    return next;
}

static const TbRow *
row_of(const TbBay *bay, size_t index)
{
    return &tb_item_duct(tb_bay_item(bay, "outlet"))->rows[index];
}

START_TEST(what_must_change_together_does)
{
    TbBay *bay = small();
    TbPartPlace itself = {.count = 0};
    const TbKeep *keep;

    /* an oval of four halves becomes rounded, then gets a width: 52 + 43.5, 23 + 21 */
    bay = set(bay, "outlet", place("section", 2, NULL, 0), "kind", "rounded");
    ck_assert_double_eq(row_of(bay, 2)->corner.v[0], 44.0 / 4);
    bay = set(bay, "outlet", place("section", 2, NULL, 0), "width", "101");
    ck_assert_uint_eq(row_of(bay, 2)->half.count, 0);
    ck_assert_double_eq(row_of(bay, 2)->height, 44);
    bay = set(bay, "outlet", place("section", 2, NULL, 0), "half", "50 51 22 22");
    ck_assert(isnan(row_of(bay, 2)->width));
    bay = set(bay, "outlet", place("section", 2, NULL, 0), "half", NULL);
    ck_assert_double_eq(row_of(bay, 2)->width, 101);
    bay = set(bay, "outlet", place("section", 2, NULL, 0), "kind", "superellipse");
    ck_assert_uint_eq(row_of(bay, 2)->corner.count, 0);

    bay = set(bay, "harness", place("path", 0, NULL, 0), "kind", "bent");
    ck_assert_double_eq(tb_item_path(tb_bay_item(bay, "harness"))->knots[1].radius, 1.5 * 16);
    bay = set(bay, "harness", place("end", 0, NULL, 0), "port", "catalyst-in");
    bay = set(bay, "harness", place("start", 0, NULL, 0), "port", "sump");
    ck_assert(!tb_vec3_is_given(tb_item_start(tb_bay_item(bay, "harness"))->tangent));
    bay = set(bay, "body", itself, "axis-point", "900 0 400");
    ck_assert_double_eq(tb_bay_mount(bay, "body")->axis_direction.y, 1);
    bay = set(bay, "body", itself, "axis-direction", NULL);
    ck_assert(!tb_vec3_is_given(tb_bay_mount(bay, "body")->axis_point));

    keep = tb_bay_keep_at(bay, 0);
    bay = set(bay, keep->record.id, itself, "item-a", "outlet");
    ck_assert_ptr_null(tb_bay_keep_at(bay, 0)->class_a);
    bay = set(bay, tb_bay_keep_at(bay, 0)->record.id, itself, "class-a", "hot");
    ck_assert_ptr_null(tb_bay_keep_at(bay, 0)->item_a);
    bay = set(bay, "sump", itself, "mount", "engine");
    ck_assert_ptr_null(tb_bay_port(bay, "sump")->owner);
    tb_bay_unref(bay);
}
END_TEST

/* Every kind of part can be added to every record of both documents, wherever the tables let it. */
static size_t
add_everywhere(const TbBay *bay, const TbRecord *record)
{
    size_t added = 0;

    for (size_t c = 0; c < record->element->child_count; c++) {
        const TbNest *nest = &record->element->children[c];
        size_t count;
        TbPartPlace where;

        tb_nest_array(nest, record, &count);
        if (nest->count_offset == TB_ONE && count > 0)
            continue;
        for (size_t i = 0; i <= count; i++) {
            TbBay *next = NULL;
            TbFault fault = {0};

            where = place(nest->element->name, i, NULL, 0);
            if (tb_value_add_part(bay, record->id, &where, &next, &fault) == TB_OK) {
                added++;
                tb_bay_unref(next);
            } else {
                /* only what is full already: stations at 0, a fourth housing */
                ck_assert_msg(strstr(fault.text, "does not come after") != NULL ||
                                  strstr(fault.text, "housings") != NULL ||
                                  strstr(fault.text, "two gaps for state") != NULL ||
                                  strstr(fault.text, "another kind") != NULL ||
                                  strstr(fault.text, "cannot be mirrored") != NULL,
                              "%s %s: %s", record->id, nest->element->name, fault.text);
            }
        }
    }
    return added;
}

START_TEST(every_kind_of_part_can_be_added)
{
    TbBay *bays[2] = {small(), read_file("TB_DATA", "examples/van-c.bay")};

    for (int b = 0; b < 2; b++) {
        size_t added = add_everywhere(bays[b], &bays[b]->head->record);

        for (size_t l = 0; l < TB_LIST_COUNT; l++)
            for (size_t i = 0; l != TB_LIST_REVISIONS && i < bays[b]->lists[l].count; i++)
                added += add_everywhere(bays[b], bays[b]->lists[l].records[i]);
        ck_assert_uint_gt(added, 60);
        tb_bay_unref(bays[b]);
    }
}
END_TEST

START_TEST(new_knots_and_sections_lie_between_their_neighbours)
{
    TbBay *bay = small();
    TbBay *next = NULL;
    TbPartPlace knot = place("path", 0, "knot", 1);
    TbPartPlace row = place("section", 2, NULL, 0);
    const TbKnot *fresh;

    ck_assert_int_eq(tb_value_add_part(bay, "outlet", &knot, &next, NULL), TB_OK);
    fresh = &tb_item_path(tb_bay_item(next, "outlet"))->knots[1];
    ck_assert_double_eq(fresh->at.x, 1251); /* of 1243 -203 703 and 1259 -148 542 */
    ck_assert_double_eq(fresh->at.y, -175.5);
    tb_bay_unref(next);
    next = NULL;
    ck_assert_int_eq(tb_value_add_part(bay, "outlet", &row, &next, NULL), TB_OK);
    ck_assert_double_eq(row_of(next, 2)->at, 180); /* of 110 and 250 */
    ck_assert_int_eq(row_of(next, 2)->kind, TB_ROW_ROUNDED);
    ck_assert_double_eq(row_of(next, 2)->corner.v[3], 18);
    tb_bay_unref(next);
    tb_bay_unref(bay);
}
END_TEST

/* Every attribute and part of the file's tables has a label of its own: nobody reads "rx". */
static void
check_labels(const TbElement *element)
{
    const TbField *field;

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++)
        ck_assert_msg(tb_detail_label(element, field) != field->name, "%s of %s has no label",
                      field->name, element->name);
    for (size_t c = 0; c < element->child_count; c++) {
        const TbElement *inner = element->children[c].element;

        ck_assert_msg(tb_detail_part_label(inner->name) != inner->name, "%s has no heading",
                      inner->name);
        check_labels(inner);
    }
}

START_TEST(everything_has_a_label)
{
    check_labels(&tb_element_bay);
    for (size_t i = 0; tb_elements[i] != NULL; i++) {
        check_labels(tb_elements[i]);
        ck_assert_msg(tb_detail_kind(tb_elements[i]) != tb_elements[i]->name, "%s has no name",
                      tb_elements[i]->name);
    }
}
END_TEST

START_TEST(parts_say_at_a_glance_what_they_are)
{
    TbBay *bay = small();
    TbPartPlace row = place("section", 1, NULL, 0);
    TbPartPlace last = place("section", 3, NULL, 0);
    TbPartPlace ring = place("end", 0, "ring", 0);
    const TbPartPlace *places[] = {&row, &last, &ring};
    const char *wanted[] = {"at 110: 76 × 48", "0 from the end: 85.9 × 85.9", "V-band · 108 · -5"};

    for (size_t i = 0; i < G_N_ELEMENTS(places); i++) {
        const TbElement *element = NULL;
        const void *part = tb_record_part(tb_bay_find(bay, "outlet"), places[i], &element);
        g_autofree char *text = tb_value_summary(element, part, TB_UNIT_MM);

        ck_assert_str_eq(text, wanted[i]);
    }
    tb_bay_unref(bay);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("app/detail_value");
    TCase *tcase = tcase_create("details");

    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, ports_and_joints_are_reached_from_an_item_and_back);
    tcase_add_test(tcase, typed_values_become_texts_of_the_file);
    tcase_add_test(tcase, what_is_shown_and_confirmed_untouched_means_the_same_place);
    tcase_add_test(tcase, numbers_are_stepped_as_they_would_be_typed);
    tcase_add_test(tcase, what_must_change_together_does);
    tcase_add_test(tcase, every_kind_of_part_can_be_added);
    tcase_add_test(tcase, new_knots_and_sections_lie_between_their_neighbours);
    tcase_add_test(tcase, everything_has_a_label);
    tcase_add_test(tcase, parts_say_at_a_glance_what_they_are);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
