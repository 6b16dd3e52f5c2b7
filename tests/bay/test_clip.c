/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bays.h"

#include "base/mem.h"
#include "bay/clip.h"

static char *
copied(const TbBay *bay, const char *a, const char *b)
{
    const char *ids[] = {a, b};
    char *text = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_bay_copy_items(bay, ids, b != NULL ? 2 : 1, &text, &fault) == TB_OK, "%s",
                  fault.text);
    return text;
}

static TbBay *
pasted(const TbBay *bay, const char *text, char ***ids)
{
    TbBay *out = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_edit_paste(bay, text, ids, &out, &fault) == TB_OK, "%s", fault.text);
    return out;
}

START_TEST(items_pasted_into_their_own_bay_get_fresh_ids_and_stay_together)
{
    TbBay *bay = read_small();
    char *text = copied(bay, "turbo", "outlet");
    char **ids = NULL;
    TbBay *twice = pasted(bay, text, &ids);

    ck_assert_uint_eq(g_strv_length(ids), 2);
    ck_assert_str_eq(ids[0], "turbo-2");
    ck_assert_str_eq(ids[1], "outlet-2");
    /* the copied outlet ends on the copied turbo, its other end where it was */
    ck_assert_str_eq(tb_item_start(tb_bay_item(twice, "outlet-2"))->port, "turbine-out-2");
    ck_assert_str_eq(tb_bay_port(twice, "turbine-out-2")->owner, "turbo-2");
    ck_assert_str_eq(tb_item_end(tb_bay_item(twice, "outlet-2"))->port, "catalyst-in");
    ck_assert_str_eq(tb_bay_item(twice, "outlet-2")->material, "own-iron");
    ck_assert_uint_eq(tb_bay_count(twice, TB_LIST_MOUNTS), tb_bay_count(bay, TB_LIST_MOUNTS));
    ck_assert_uint_eq(tb_bay_count(twice, TB_LIST_MATERIALS), 1);
    g_strfreev(ids);
    g_free(text);
    tb_bay_unref(twice);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(mounts_materials_and_free_ports_come_along_into_an_empty_bay)
{
    TbBay *bay = read_small();
    TbBay *empty = tb_bay_new("Empty");
    TbBay *full;
    char *text = copied(bay, "drain", "pan");
    TbFault fault = {0};
    TbBay *out = NULL;

    /* the drain ends on a port of the turbo, which is not there */
    ck_assert_int_eq(tb_edit_paste(empty, text, NULL, &out, &fault), TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "start of line \"drain\": port \"drain-out\" is not in the bay");
    ck_assert_ptr_null(out);
    g_free(text);
    text = copied(bay, "harness", "pan");
    full = pasted(empty, text, NULL);
    ck_assert_ptr_nonnull(tb_bay_port(full, "sump"));
    ck_assert_str_eq(tb_bay_mount(full, "engine")->parent, "body");
    ck_assert_double_eq(tb_bay_mount(full, "engine")->rx.low, -2.5);
    ck_assert_str_eq(tb_item_line(tb_bay_item(full, "harness"))->end_mount, "body");
    g_free(text);
    tb_bay_unref(full);
    tb_bay_unref(empty);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(a_missing_shield_or_state_is_named)
{
    TbBay *bay = read_small();
    TbBay *empty = tb_bay_new("Empty");
    TbFault fault = {0};
    TbBay *out = NULL;
    char *text = copied(bay, "steering-joint", NULL);

    ck_assert_int_eq(tb_edit_paste(empty, text, NULL, &out, &fault), TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "ball \"steering-joint\": shield \"shield\" is not in the bay");
    g_free(text);
    text = copied(bay, "steering-joint", "shield");
    tb_bay_unref(pasted(empty, text, NULL));
    g_free(text);
    text = copied(bay, "turbo", NULL);
    ck_assert_int_eq(tb_edit_paste(empty, text, NULL, &out, &fault), TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "warm 1 of turbo \"turbo\": state \"hot\" is not in the bay");
    g_free(text);
    tb_bay_unref(empty);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(what_is_no_copy_is_refused)
{
    static const char *const bad[] = {"", "hello", "<bay version=\"1\" title=\"x\"/>", "<html/>",
                                      "<bay version=\"1\" title=\"x\"><items>"};
    TbBay *bay = read_small();
    const char *nobody[] = {"engine", "nobody"};
    char *text = NULL;

    for (size_t i = 0; i < G_N_ELEMENTS(bad); i++) {
        TbBay *out = NULL;
        TbFault fault = {0};

        ck_assert_int_ne(tb_edit_paste(bay, bad[i], NULL, &out, &fault), TB_OK);
        ck_assert_contains(fault.text, "what was copied");
        ck_assert_ptr_null(out);
    }
    ck_assert_int_eq(tb_bay_copy_items(bay, nobody, 2, &text, NULL), TB_E_REFERENCE);
    ck_assert_ptr_null(text);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(every_failed_request_of_a_paste_is_survived)
{
    TbBay *bay = read_small();
    char *text = copied(bay, "turbo", "outlet");
    TbBay *out = NULL;
    long needed;

    tb_mem_fail_at(0);
    ck_assert_int_eq(tb_edit_paste(bay, text, NULL, &out, NULL), TB_OK);
    needed = tb_mem_requests();
    tb_bay_unref(out);
    for (long i = 1; i <= needed; i++) {
        out = NULL;
        tb_mem_fail_at(i);
        ck_assert_int_eq(tb_edit_paste(bay, text, NULL, &out, NULL), TB_E_MEMORY);
        tb_mem_fail_at(0);
        ck_assert_ptr_null(out);
    }
    g_free(text);
    tb_bay_unref(bay);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("bay/clip");
    TCase *tcase = tcase_create("clip");

    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, items_pasted_into_their_own_bay_get_fresh_ids_and_stay_together);
    tcase_add_test(tcase, mounts_materials_and_free_ports_come_along_into_an_empty_bay);
    tcase_add_test(tcase, a_missing_shield_or_state_is_named);
    tcase_add_test(tcase, what_is_no_copy_is_refused);
    tcase_add_test(tcase, every_failed_request_of_a_paste_is_survived);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
