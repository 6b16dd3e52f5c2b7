/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bays.h"

#include "base/mem.h"
#include "base/work.h"
#include "bay/catalogue.h"
#include "bay/edit.h"
#include "bay/fields.h"
#include "bay/ports.h"

#include <math.h>

START_TEST(new_document_has_a_body_to_ride_on)
{
    TbBay *bay = tb_bay_new("An <empty> bay");
    GString *out = tb_bay_to_text(bay);
    TbBay *again = read_text(out->str);

    ck_assert_str_eq(again->head->title, "An <empty> bay");
    ck_assert_ptr_nonnull(tb_bay_mount(again, "body"));
    ck_assert(tb_bay_equal(bay, again));
    g_string_free(out, TRUE);
    tb_bay_unref(again);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(new_document_without_room_is_null)
{
    TbBay *bay = NULL;
    long n = 0;

    while (bay == NULL) {
        tb_mem_fail_at(++n);
        bay = tb_bay_new("t");
    }
    ck_assert_int_gt(n, 6);
    tb_mem_fail_at(0);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(ids_are_found_among_thousands)
{
    GString *text = g_string_new(
        "<bay version=\"1\" title=\"many\"><mounts><mount id=\"body\"/></mounts><items>");
    TbBay *bay;

    for (int i = 0; i < 5000; i++)
        g_string_append_printf(
            text, "<ball id=\"b%d\" class=\"x\" mount=\"body\" at=\"%d 0 0\" radius=\"1\"/>", i, i);
    g_string_append(text, "</items></bay>");
    bay = read_text(text->str);
    for (int i = 0; i < 5000; i++) {
        char id[16];

        snprintf(id, sizeof id, "b%d", i);
        ck_assert_double_eq(tb_item_ball(tb_bay_item(bay, id))->at.x, i);
    }
    ck_assert_ptr_null(tb_bay_item(bay, "b5000"));
    ck_assert_ptr_null(tb_bay_item(bay, NULL));
    tb_bay_unref(bay);
    g_string_free(text, TRUE);
}
END_TEST

START_TEST(copy_of_every_record_equals_it_and_shares_nothing)
{
    TbBay *bay = read_small();

    for (int l = 0; l < TB_LIST_COUNT; l++)
        for (size_t i = 0; i < bay->lists[l].count; i++) {
            const TbRecord *record = bay->lists[l].records[i];
            TbRecord *copy = tb_record_copy(record);

            ck_assert(tb_record_equal(record, copy));
            ck_assert_uint_gt(copy->node, record->node);
            ck_assert_ptr_ne(copy->id, record->id);
            tb_record_unref(copy);
        }
    tb_bay_unref(bay);
}
END_TEST

/* Every attribute of every element takes part in comparing: one change, and they differ. */
START_TEST(any_changed_attribute_makes_documents_differ)
{
    GString *text = data_text("small.bay");
    TbBay *bay = read_text(text->str);
    unsigned tried = 0;

    for (char *quote = strchr(text->str, '"'); quote != NULL; quote = strchr(quote + 1, '"')) {
        char digit = quote[1];
        TbBay *other = NULL;

        if (quote[-1] != '=' || digit < '2' || digit > '8' || quote - text->str < 200)
            continue;
        quote[1]++;
        if (tb_bay_read_bytes(text->str, text->len, &other, NULL) == TB_OK) {
            ck_assert_msg(!tb_bay_equal(bay, other), "\"%.20s", quote);
            tried++;
        }
        tb_bay_unref(other);
        quote[1] = digit;
    }
    ck_assert_uint_gt(tried, 60);
    tb_bay_unref(bay);
    g_string_free(text, TRUE);
}
END_TEST

/** Many threads ask for the same mirror image and hold the same document. */
static void
ask_mirrors(void *data, size_t from, size_t to, int worker)
{
    TbBay *bay = data;

    (void)worker;
    for (size_t i = from; i < to; i++) {
        TbBay *held = tb_bay_ref(bay);
        const TbItem *item = tb_bay_item_at(held, i % tb_bay_count(held, TB_LIST_ITEMS));

        ck_assert_ptr_nonnull(tb_item_mirrored(item));
        ck_assert_ptr_eq(tb_item_mirrored(item), tb_item_mirrored(item));
        tb_bay_unref(held);
    }
}

START_TEST(threads_share_a_document)
{
    TbBay *bay = read_small();
    TbWork *work = tb_work_new(4);

    ck_assert_int_eq(tb_work_for(work, NULL, 4000, 7, ask_mirrors, bay), TB_OK);
    ck_assert_int_eq(bay->references, 1);
    tb_work_free(work);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(words_and_their_values_go_both_ways)
{
    ck_assert_str_eq(tb_name_of(tb_names_known, TB_KNOWN_TAPE), "tape");
    ck_assert_str_eq(tb_name_of(tb_names_known, 77), "?");
    ck_assert_int_eq(tb_name_value(tb_names_joint, "bellows", 7), TB_JOINT_BELLOWS);
    ck_assert_int_eq(tb_name_value(tb_names_joint, "bell", 4), -1);
    ck_assert_str_eq(tb_item_kind_name(TB_ITEM_OUTLINE), "outline");
    for (int kind = TB_ITEM_DUCT; kind <= TB_ITEM_SCAN; kind++)
        ck_assert_int_eq(
            tb_element_find(tb_item_kind_name((TbItemKind)kind), TB_LIST_ITEMS)->item_kind, kind);
}
END_TEST

START_TEST(catalogue_is_whole_and_every_value_has_a_source)
{
    TbCatalogue *catalogue = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_catalogue_new(&catalogue, &fault) == TB_OK, "line %d: %s", fault.line,
                  fault.text);
    ck_assert_uint_ge(tb_catalogue_count(catalogue), 10);
    for (size_t i = 0; i < tb_catalogue_count(catalogue); i++) {
        const TbMaterial *m = tb_catalogue_at(catalogue, i);
        const TbField *field;

        ck_assert_double_gt(m->density, 500);
        for (size_t k = 1; k < m->mean_count; k++)
            ck_assert_double_gt(m->means[k].to, m->means[k - 1].to);
        for (size_t f = 0; (field = tb_element_field(m->record.element, f)) != NULL; f++) {
            bool sourced = field->kind != TB_FIELD_NUMBER || tb_field_is_preset(field, m);

            for (size_t k = 0; k < m->source_count; k++)
                sourced = sourced || strcmp(m->sources[k].of, field->name) == 0;
            ck_assert_msg(sourced, "%s: %s has no source", m->record.id, field->name);
        }
    }
    tb_catalogue_unref(catalogue);
}
END_TEST

/* ASME II-D TE-1 group 1: 12.78e-6 to 204 degC, 13.32e-6 to 316 degC. */
START_TEST(expansion_is_linear_between_its_means_and_held_beyond)
{
    TbCatalogue *catalogue = NULL;
    TbBay *bay = read_small();
    const TbMaterial *steel;

    ck_assert_int_eq(tb_catalogue_new(&catalogue, NULL), TB_OK);
    steel = tb_catalogue_find(catalogue, bay, "carbon-steel");
    ck_assert_double_eq_tol(tb_material_expansion(steel, 204), 12.78e-6, 1e-18);
    ck_assert_double_eq_tol(tb_material_expansion(steel, 260), 13.05e-6, 1e-18);
    ck_assert_double_eq_tol(tb_material_expansion(steel, -40), 12.06e-6, 1e-18);
    ck_assert_double_eq_tol(tb_material_expansion(steel, 900), 14.94e-6, 1e-18);
    /* the bay's own goes first; a material without means has one value */
    ck_assert_double_eq(tb_catalogue_find(catalogue, bay, "own-iron")->density, 7010);
    ck_assert_ptr_null(tb_catalogue_find(catalogue, NULL, "own-iron"));
    ck_assert_double_eq_tol(
        tb_material_expansion(tb_catalogue_find(catalogue, bay, "rubber-hose"), 99), 150e-6, 1e-18);
    tb_bay_unref(bay);
    tb_catalogue_unref(catalogue);
}
END_TEST

START_TEST(catalogue_without_room_fails_cleanly)
{
    TbCatalogue *catalogue = NULL;
    long n = 0;

    do {
        tb_mem_fail_at(++n);
        ck_assert(catalogue == NULL);
    } while (tb_catalogue_new(&catalogue, NULL) == TB_E_MEMORY);
    ck_assert_ptr_nonnull(catalogue);
    ck_assert_int_gt(n, 100);
    tb_mem_fail_at(0);
    tb_catalogue_unref(catalogue);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("bay/document");
    TCase *c = tcase_create("document");

    tcase_set_timeout(c, 120);
    tcase_add_test(c, new_document_has_a_body_to_ride_on);
    tcase_add_test(c, new_document_without_room_is_null);
    tcase_add_test(c, ids_are_found_among_thousands);
    tcase_add_test(c, copy_of_every_record_equals_it_and_shares_nothing);
    tcase_add_test(c, any_changed_attribute_makes_documents_differ);
    tcase_add_test(c, threads_share_a_document);
    tcase_add_test(c, words_and_their_values_go_both_ways);
    tcase_add_test(c, catalogue_is_whole_and_every_value_has_a_source);
    tcase_add_test(c, expansion_is_linear_between_its_means_and_held_beyond);
    tcase_add_test(c, catalogue_without_room_fails_cleanly);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
