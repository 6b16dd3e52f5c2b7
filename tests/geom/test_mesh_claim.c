/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/mesh.h"

#include "tap.h"

#include <string.h>

static uint64_t
claimed(TbMeshFormat format, const char *head, uint64_t size)
{
    return tb_mesh_claimed(format, (const unsigned char *)head, strlen(head), size);
}

START_TEST(binary_stl_claims_its_count_where_the_size_bears_it_out)
{
    unsigned char head[TB_MESH_HEAD] = "solid of a program that writes binary";

    memcpy(head + 80, &(uint32_t){70123}, 4);
    ck_assert_uint_eq(tb_mesh_claimed(TB_MESH_STL, head, sizeof head, 84 + 50 * 70123), 70123);
    ck_assert_uint_eq(tb_mesh_claimed(TB_MESH_STL, head, 84, 84 + 50 * 70123), 70123);
    ck_assert_uint_eq(tb_mesh_claimed(TB_MESH_STL, head, sizeof head, 84 + 50 * 70123 + 1), 0);
    ck_assert_uint_eq(tb_mesh_claimed(TB_MESH_STL, head, 83, 84 + 50 * 70123), 0);
    memcpy(head + 80, &(uint32_t){UINT32_MAX}, 4);
    ck_assert_uint_eq(tb_mesh_claimed(TB_MESH_STL, head, 84, 84 + 50 * UINT64_C(4294967295)),
                      UINT32_MAX);
}
END_TEST

static const struct {
    const char *head;
    uint64_t count;
} ply[] = {
    {"ply\nformat ascii 1.0\nelement vertex 8\nproperty float x\nelement face 12\n", 12},
    {"ply\r\nformat binary_little_endian 1.0\r\nelement  face\t34567\r\nend_header\r\n", 34567},
    {"ply\ncomment element face 7\nelement face 9\n", 9},
    {"ply\nelement faces 7\n", 0},
    {"ply\nelement face\n", 0},
    {"ply\nelement face -3\n", 0},
    {"ply\nelement face nan\n", 0},
    {"ply\nelement face 1e300\n", 0},
    {"ply\nelement face 12", 12},
    {"plt\nelement face 12\n", 0},
    {"pl", 0},
    {"", 0},
};

START_TEST(ply_claims_what_its_header_says)
{
    ck_assert_uint_eq(claimed(TB_MESH_PLY, ply[_i].head, 5000), ply[_i].count);
}
END_TEST

START_TEST(other_files_claim_nothing)
{
    ck_assert_uint_eq(claimed(TB_MESH_OBJ, "v 1 2 3\nf 1 1 1\n", 16), 0);
    ck_assert_uint_eq(claimed(TB_MESH_STL, "solid p\nfacet normal 0 0 1\n", 5000), 0);
    ck_assert_uint_eq(claimed(TB_MESH_UNKNOWN, "ply\nelement face 12\n", 5000), 0);
}
END_TEST

START_TEST(memory_is_written_as_people_read_it)
{
    char text[TB_TEXT_NUMBER];

    tb_mesh_bytes_text(1024.0 * 1024 * 1024 - 1, text);
    ck_assert_str_eq(text, "1024.0 MiB");
    tb_mesh_bytes_text(1.27 * 1024 * 1024 * 1024, text);
    ck_assert_str_eq(text, "1.3 GiB");
    tb_mesh_bytes_text(0.04 * 1024 * 1024, text);
    ck_assert_str_eq(text, "0.0 MiB");
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/mesh_claim");
    TCase *c = tcase_create("mesh_claim");

    tcase_add_test(c, binary_stl_claims_its_count_where_the_size_bears_it_out);
    tcase_add_loop_test(c, ply_claims_what_its_header_says, 0, (int)(sizeof ply / sizeof ply[0]));
    tcase_add_test(c, other_files_claim_nothing);
    tcase_add_test(c, memory_is_written_as_people_read_it);
    suite_add_tcase(suite, c);
    return tb_test_main(suite);
}
