/* SPDX-License-Identifier: GPL-3.0-or-later */

/** Text meshes in a process that writes 1,5 for one and a half. */
#include "comma_locale.h"
#include "mesh_files.h"
#include "tap.h"

#include <unistd.h>

static const struct {
    TbMeshFormat format;
    const char *text;
} files[] = {
    {TB_MESH_STL,
     "solid a\nfacet normal 0.0 0.0 1.0\nouter loop\nvertex 0.5 0.25 1.5\nvertex 10.5 0.25 1.5\n"
     "vertex 0.5 8.123456789012345678 1.5e0\nendloop\nendfacet\nendsolid a\n"},
    {TB_MESH_PLY,
     "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\n"
     "property float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n"
     "0.5 0.25 1.5\n10.5 0.25 1.5\n0.5 8.123456789012345678 1.5e0\n3 0 1 2\n"},
    {TB_MESH_OBJ, "v 0.5 0.25 1.5\nv 10.5 0.25 1.5\nv 0.5 8.123456789012345678 1.5e0\nf 1 2 3\n"},
};

START_TEST(numbers_with_a_point_are_read_where_a_comma_is_the_custom)
{
    Paper paper = {0};
    TbMesh *mesh = NULL;
    TbBox3 box;

    ck_assert(tb_test_mark_is_comma());
    paper_put(&paper, files[_i].text, strlen(files[_i].text));
    ck_assert_int_eq(read_paper(&paper, files[_i].format, true, &mesh, NULL), TB_OK);
    box = tb_mesh_box(mesh);
    ck_assert(box.low.x == 0.5 && box.low.y == 0.25 && box.low.z == 1.5 && box.high.x == 10.5);
    ck_assert(box.high.y == 8.123456789012345678);
    tb_mesh_unref(mesh);
    paper_clear(&paper);
}
END_TEST

START_TEST(number_with_a_comma_is_refused_where_it_is_the_custom)
{
    Paper paper = {0};
    TbMesh *mesh = NULL;
    TbFault fault = {0};

    paper_put(&paper, "v 0,5 0 1\n", 10);
    ck_assert_int_eq(read_paper(&paper, TB_MESH_OBJ, true, &mesh, &fault), TB_E_FORMAT);
    ck_assert_str_eq(fault.text, "line 1: \"0,5\" is not a number");
    paper_clear(&paper);
}
END_TEST

int
main(void)
{
    char folder[] = "/tmp/tb-mesh-locale-XXXXXX";
    char command[100];
    const char *name;
    Suite *suite;
    TCase *tests;
    int result;

    if (mkdtemp(folder) == NULL)
        return EXIT_FAILURE;
    name = tb_test_comma_locale(folder);
    snprintf(command, sizeof command, "rm -r '%s'", folder);
    if (name == NULL) {
        printf("1..0 # SKIP no locale with a comma here, and localedef cannot make one\n");
        return system(command) == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
    }
    suite = suite_create("geom/mesh_locale");
    tests = tcase_create("comma");
    tcase_add_loop_test(tests, numbers_with_a_point_are_read_where_a_comma_is_the_custom, 0, 3);
    tcase_add_test(tests, number_with_a_comma_is_refused_where_it_is_the_custom);
    suite_add_tcase(suite, tests);
    result = tb_test_main(suite);
    return system(command) == 0 ? result : EXIT_FAILURE;
}
