/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/scan_paths.h"
#include "bay/items.h"
#include "loop.h"

static const char *
scan_file(const TbBay *bay)
{
    const TbList *items = &bay->lists[TB_LIST_ITEMS];

    for (size_t i = 0; i < items->count; i++)
        if (((const TbItem *)items->records[i])->kind == TB_ITEM_SCAN)
            return ((const TbScanItem *)items->records[i])->file;
    return NULL;
}

static const struct {
    const char *from, *to, *name;
} moves[] = {
    {"/kits/van", "/kits/van", "frame-side.ply"},
    {"/kits/van", "/kits/van/", "frame-side.ply"},
    {"/kits/van", "/kits", "van/frame-side.ply"},
    {"/kits/van", "/kits/van/old/b", "../../frame-side.ply"},
    {"/kits/van", "/kits/vanity", "../van/frame-side.ply"},
    {"/kits/van", "/", "kits/van/frame-side.ply"},
    {"/", "/kits/van", "../../frame-side.ply"},
    {"/kits/../kits/./van", "/home/me", "../../kits/van/frame-side.ply"},
    {NULL, "/kits", "frame-side.ply"},
    {"/kits", NULL, "frame-side.ply"},
};

START_TEST(scan_is_named_from_the_new_folder)
{
    TbBay *bay = example("pickup.bay");
    TbBay *moved = tb_scan_paths_moved(bay, moves[_i].from, moves[_i].to);

    ck_assert_str_eq(scan_file(moved), moves[_i].name);
    ck_assert_str_eq(scan_file(bay), "frame-side.ply");
    tb_bay_unref(moved);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(there_and_back_is_the_same_bay)
{
    TbBay *bay = example("pickup.bay");
    TbBay *there = tb_scan_paths_moved(bay, "/kits/van", "/home/me");
    TbBay *back = tb_scan_paths_moved(there, "/home/me", "/kits/van");

    ck_assert_same_bay(bay, back);
    tb_bay_unref(back);
    tb_bay_unref(there);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(bay_without_scans_is_not_touched)
{
    TbBay *bay = example("van-c.bay");
    TbBay *moved = tb_scan_paths_moved(bay, "/kits/van", "/home/me");

    ck_assert_ptr_eq(moved, bay);
    tb_bay_unref(moved);
    tb_bay_unref(bay);
}
END_TEST

static Suite *
scan_paths_suite(void)
{
    Suite *suite = suite_create("app/scan_paths");
    TCase *tc = tcase_create("scan_paths");

    tcase_add_loop_test(tc, scan_is_named_from_the_new_folder, 0, (int)G_N_ELEMENTS(moves));
    tcase_add_test(tc, there_and_back_is_the_same_bay);
    tcase_add_test(tc, bay_without_scans_is_not_touched);
    suite_add_tcase(suite, tc);
    return suite;
}

int
main(void)
{
    return tb_test_main(scan_paths_suite());
}
