/* SPDX-License-Identifier: GPL-3.0-or-later */

/** What STL, OBJ and PLY each do, and the numbers of text formats. */
#include "base/text.h"
#include "geom/mesh_read.h"
#include "mesh_files.h"
#include "tap.h"

/* ---- STL ---- */

/** Seen in the field: exporters that write their own word "solid" into the binary header. */
START_TEST(binary_that_begins_with_solid_is_read_as_binary)
{
    static const char *const heads[] = {"solid", "solid body made by nobody\nfacet",
                                        "solid                                      "
                                        "                                    x"};

    for (int k = 0; k < 6; k++) {
        Heap heap = block_heap();
        Paper paper = {0};
        TbMesh *mesh = NULL;
        pack_stl(&paper, &heap, heads[k / 2]);
        ck_assert_int_eq(read_paper(&paper, TB_MESH_STL, k % 2 == 0, &mesh, NULL), TB_OK);
        check_block(mesh);
        tb_mesh_unref(mesh);
        heap_clear(&heap);
        paper_clear(&paper);
    }
}
END_TEST

START_TEST(binary_that_claims_four_billion_triangles_is_refused_before_it_is_believed)
{
    Paper paper = {0};
    char head[80] = {0};

    paper_put(&paper, head, 80);
    paper_u32(&paper, 4294967295u, false);
    check_fault(&paper, TB_MESH_STL, true, TB_E_FORMAT,
                "binary STL names 4294967295 triangles, which need 214748364834 bytes, but the "
                "file has 84");
    paper_put(&paper, head, 80);
    paper_u32(&paper, 4294967295u, false);
    check_fault(&paper, TB_MESH_STL, false, TB_E_LIMIT,
                "binary STL of 4294967295 triangles, 24000000 are the most");
    /* within the limit, of unknown size: only what arrives takes room */
    paper_put(&paper, head, 80);
    paper_u32(&paper, 23000000u, false);
    paper_put(&paper, head, 70);
    check_fault(&paper, TB_MESH_STL, false, TB_E_FORMAT,
                "binary STL ends at byte 154 inside triangle 2 of 23000000");
}
END_TEST

/** All of its header is text, and the count is the one thing that gives it away. */
START_TEST(binary_with_a_header_of_text_and_a_huge_count_is_not_taken_for_text)
{
    Paper paper = {0};

    paper_print(&paper, "%-80s", "solid");
    paper_u32(&paper, 4294967295u, false);
    check_fault(&paper, TB_MESH_STL, false, TB_E_LIMIT,
                "binary STL of 4294967295 triangles, 24000000 are the most");
}
END_TEST

START_TEST(short_and_empty_binary_files_are_refused)
{
    Paper paper = {0};
    char head[84] = {0};

    paper_put(&paper, head, 3);
    check_fault(&paper, TB_MESH_STL, true, TB_E_FORMAT,
                "binary STL needs 84 bytes at least, the file has 3");
    paper_put(&paper, head, 84);
    check_fault(&paper, TB_MESH_STL, true, TB_E_FORMAT, "no triangles");
}
END_TEST

START_TEST(bytes_behind_the_last_triangle_do_no_harm)
{
    Paper paper = block_paper(STL_BINARY);
    TbMesh *mesh = NULL;

    paper_put(&paper, "colours", 7);
    ck_assert_int_eq(read_paper(&paper, TB_MESH_STL, true, &mesh, NULL), TB_OK);
    check_block(mesh);
    tb_mesh_unref(mesh);
    paper_clear(&paper);
}
END_TEST

#define FACET "facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\n"
#define CLOSE "endloop\nendfacet\n"

/** Texts that are no STL, and what is said about them. */
static const struct {
    const char *text, *said;
} bad_stl[] = {
    {"binary\n" FACET CLOSE "endsolid\n",
     "line 1: text whose first word is \"binary\" is no STL, which begins with \"solid\""},
    {"\n\n  hello\n", "line 3: text whose first word is \"hello\" is no STL, which begins with "
                      "\"solid\""},
    {" \n", "a text of blanks alone is no STL"},
    {"solid a\n", "text STL ends in line 2, after 0 whole triangles; \"endsolid\" is missing"},
    {"solid a\nendsolid a\n", "no triangles"},
    {"solid a\n" FACET CLOSE, "text STL ends in line 9, after 1 whole triangles; \"endsolid\" is "
                              "missing"},
    {"solid a\n" FACET CLOSE FACET,
     "text STL ends in line 14, after 1 whole triangles; \"endloop\" is missing"},
    {"solid a\n" FACET "vertex 1 1 0\n" CLOSE "endsolid",
     "line 7: \"endloop\" is wanted, \"vertex\" is found"},
    {"solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 1.2.3\n",
     "line 4: \"1.2.3\" is not a number"},
    {"solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0x10 1\n",
     "line 4: \"0x10\" is not a number"},
    {"solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 1,5 1\n",
     "line 4: \"1,5\" is not a number"},
    {"solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0\nvertex 1 0 0\n",
     "line 5: \"vertex\" is not a number"},
    {"solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0",
     "text STL ends in line 4, after 0 whole triangles; \"a coordinate\" is missing"},
    {"solid a\nfacet norm\xc3\xa4l 0 0 1\n", "line 2: \"normal\" is wanted, \"norm??l\" is found"},
    {"solid a\n" FACET CLOSE "endsolid a\nsolder\n",
     "line 10: \"solder\" stands after \"endsolid\""},
    {"solid a\n" FACET CLOSE "endsolid a\nsolid b\n",
     "text STL ends in line 11, after 1 whole triangles; \"endsolid\" is missing"},
};

START_TEST(bad_text_stl_is_refused_with_line_and_word)
{
    Paper paper = paper_text(bad_stl[_i].text);

    check_fault(&paper, TB_MESH_STL, _i % 2 == 0, TB_E_FORMAT, bad_stl[_i].said);
}
END_TEST

START_TEST(word_without_an_end_is_refused)
{
    Paper paper = paper_text("solid a\nfacet ");
    char long_word[3000];

    memset(long_word, 'q', sizeof long_word);
    paper_put(&paper, long_word, sizeof long_word);
    check_fault(&paper, TB_MESH_STL, true, TB_E_FORMAT, "line 2: a word of more than 512 letters");
}
END_TEST

START_TEST(text_stl_of_several_solids_any_case_and_any_line_ends_is_read)
{
    TbMesh *mesh = mesh_of_text(
        "\xef\xbb\xbfSOLID Haube ge\xc3\xb6"
        "ffnet\r\n  FACET NORMAL -nan 1.#QNAN x\r\nOUTER LOOP\r\n"
        "VERTEX 0 0 0\r\nVERTEX 1.5E1 -0 +0.\r\nVERTEX .5 12e0 0\r\nENDLOOP ENDFACET ENDSOLID\r\n"
        "solid\r\nendsolid\r\nsolid two\nfacet normal 0 0 1 outer loop vertex 0 0 9 vertex 15 0 9\n"
        "vertex 0.5 12 9 endloop endfacet\nfacet normal 0 0 1 outer loop vertex 0 0 nan\n"
        "vertex 1 0 0 vertex -INF 1 2 endloop endfacet endsolid",
        TB_MESH_STL);

    ck_assert_uint_eq(tb_mesh_triangle_count(mesh), 2);
    ck_assert_uint_eq(tb_mesh_facts(mesh).shells, 2);
    ck_assert_uint_eq(tb_mesh_facts(mesh).dropped_not_finite, 1);
    ck_assert_double_eq_tol(tb_mesh_facts(mesh).area, 2 * 15.0 * 12 / 2, 1e-12);
    tb_mesh_unref(mesh);
}
END_TEST

/* ---- OBJ ---- */

START_TEST(obj_polygons_carried_lines_and_foreign_lines_are_read)
{
    TbMesh *mesh = mesh_of_text("# \xc3\xa4 comment\rv 0 0 0 1.0\rv 10 0 0 0.3 0.2 0.1\r\n"
                                "v 10 5 0\nv 5 8 0\n\nv 0 5 0\nvp 1 2\ng side\nusemtl red\n"
                                "l 1 2 3\np 1\ncstype bezier\nf 1/1/1 2//2 \\\n  3 \\\r\n 4 -1\n"
                                "f 1 2\nf 3\nf\n  f\t-5 -4  -3  ",
                                TB_MESH_OBJ);
    TbMeshFacts f = tb_mesh_facts(mesh);

    /* house of 10 x 5 with a gable 3 high, as a fan of 3; and one more half of the floor */
    ck_assert_uint_eq(tb_mesh_triangle_count(mesh), 4);
    ck_assert_uint_eq(f.dropped_degenerate, 3);
    ck_assert_uint_eq(f.triangles_read, 7);
    ck_assert_double_eq_tol(f.area, 10 * 5 + 10 * 3 / 2.0 + 25, 1e-12);
    tb_mesh_unref(mesh);
}
END_TEST

#define THREE "v 0 0 0\nv 1 0 0\nv 0 1 0\n"

static const struct {
    const char *text, *said;
} bad_obj[] = {
    {THREE "f 1 2 4\n", "line 4: a face names vertex 4, 3 are given so far"},
    {THREE "f 1 2 -4\n", "line 4: a face names vertex -4, 3 are given so far"},
    {THREE "f 0 1 2\n", "line 4: a face names vertex 0, 3 are given so far"},
    {THREE "f 1 2 3x\n", "line 4: \"3x\" is not a corner of a face"},
    {THREE "f 1 2 /3\n", "line 4: \"/3\" is not a corner of a face"},
    {THREE "f 1 2 99999999999999999999\n",
     "line 4: \"99999999999999999999\" is not a corner of a face"},
    {"v 0 0\n", "line 1: a vertex of 2 coordinates, 3 are needed"},
    {"\r\n\rv 0 zero 0\n", "line 3: \"zero\" is not a number"},
    {THREE, "no triangles"},
    {"<html>\n<body>404</body>\n", "no triangles"},
    {THREE "f 1 2 \\", "no triangle left of 1: 1 have no width, 0 are not finite or beyond 10000 "
                       "mm"},
};

START_TEST(bad_obj_is_refused_with_line_and_number)
{
    Paper paper = paper_text(bad_obj[_i].text);

    check_fault(&paper, TB_MESH_OBJ, _i % 2 == 0, TB_E_FORMAT, bad_obj[_i].said);
}
END_TEST

/** A line's \r may be the last byte that has arrived; its \n must not count as a line of its own.
 */
START_TEST(lines_are_counted_right_where_their_end_comes_in_two_pieces)
{
    static const char text[] = "v 0 0 0\r\nv 1 0 0\r\n\r\nv 0 x 0\r\n";
    Pieces pieces = {(const unsigned char *)text, sizeof text - 1, 0, 1, 0};
    TbSource source = source_of_pieces(&pieces, false);
    TbMeshReadDef def = plain_def();
    TbMesh *mesh = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_mesh_read(&source, TB_MESH_OBJ, &def, &mesh, &fault), TB_E_FORMAT);
    ck_assert_str_eq(fault.text, "line 4: \"x\" is not a number");
}
END_TEST

START_TEST(line_without_an_end_and_vertices_without_faces_hit_their_limits)
{
    Paper paper = {0};
    TbBytes bytes;
    TbSource source;
    TbMeshReadDef def = plain_def();
    TbMesh *mesh = NULL;
    TbFault fault = {0};
    char *room = malloc(300000);

    memset(room, ' ', 300000);
    paper_put(&paper, "v 1 2 3\n", 8);
    paper_put(&paper, room, 300000);
    free(room);
    check_fault(&paper, TB_MESH_OBJ, true, TB_E_FORMAT, "line 2 is longer than 262142 bytes");
    for (int i = 0; i < 7; i++)
        paper_print(&paper, "v %d 0 0\n", i);
    bytes = (TbBytes){paper.bytes, paper.size, 0};
    source = tb_source_of_bytes(&bytes);
    def.most_triangles = 2;
    ck_assert_int_eq(tb_mesh_read(&source, TB_MESH_OBJ, &def, &mesh, &fault), TB_E_LIMIT);
    ck_assert_str_eq(fault.text,
                     "line 7: more than 6 vertices, three for each of the most triangles");
    paper_clear(&paper);
}
END_TEST

/* ---- PLY ---- */

/** Name, bytes and a value of every scalar type; the value is what a list of it carries. */
static const struct {
    const char *name;
    int size;
    bool real;
} types[] = {{"char", 1, false},  {"uchar", 1, false},  {"short", 2, false},  {"ushort", 2, false},
             {"int", 4, false},   {"uint", 4, false},   {"float", 4, true},   {"double", 8, true},
             {"int8", 1, false},  {"uint8", 1, false},  {"int16", 2, false},  {"uint16", 2, false},
             {"int32", 4, false}, {"uint32", 4, false}, {"float32", 4, true}, {"float64", 8, true}};

static void
put_number(Paper *paper, int type, double x, Coding coding)
{
    bool big = coding == PLY_BIG;
    int64_t n = (int64_t)x;
    int8_t n1 = (int8_t)n;
    int16_t n2 = (int16_t)n;
    int32_t n4 = (int32_t)n;

    if (coding == PLY_TEXT)
        paper_print(paper, "%.9g ", x);
    else if (types[type].real && types[type].size == 8)
        paper_scalar(paper, &x, 8, big);
    else if (types[type].real)
        paper_float(paper, x, big);
    else if (types[type].size == 1)
        paper_scalar(paper, &n1, 1, big);
    else if (types[type].size == 2)
        paper_scalar(paper, &n2, 2, big);
    else
        paper_scalar(paper, &n4, 4, big);
}

/** A house front: rows of other elements before, between and behind, extra properties and lists. */
static Paper
rich_ply(Coding coding, int scalar, int count, int corner)
{
    static const double at[5][3] = {{-60, 0, 7}, {60, 0, 7}, {60, 50, 7}, {0, 90, 7}, {-60, 50, 7}};
    Paper paper = {0};

    paper_print(&paper,
                "ply\nformat %s 1.0\ncomment \xc3\xa4\nobj_info x y\nelement camera 2\n"
                "property %s view\nproperty list %s %s tags\nelement vertex 5\nproperty uchar red\n"
                "property %s z\nproperty %s x\nproperty list uchar %s near\nproperty %s y\n"
                "element face 2\nproperty %s flag\nproperty list %s %s vertex_index\n"
                "element edge 4000000\nproperty int a\nend_header\n",
                coding == PLY_TEXT  ? "ascii"
                : coding == PLY_BIG ? "binary_big_endian"
                                    : "binary_little_endian",
                types[scalar].name, types[count].name, types[scalar].name, types[scalar].name,
                types[scalar].name, types[scalar].name, types[scalar].name, types[scalar].name,
                types[count].name, types[corner].name);
    for (int i = 0; i < 2; i++) {
        put_number(&paper, scalar, 42, coding);
        put_number(&paper, count, 3 * i, coding);
        for (int k = 0; k < 3 * i; k++)
            put_number(&paper, scalar, 7, coding);
    }
    for (int i = 0; i < 5; i++) {
        put_number(&paper, 1, 255, coding);
        put_number(&paper, scalar, at[i][2], coding);
        put_number(&paper, scalar, at[i][0] + 60, coding);
        put_number(&paper, 1, i, coding);
        for (int k = 0; k < i; k++)
            put_number(&paper, scalar, k, coding);
        put_number(&paper, scalar, at[i][1], coding);
    }
    put_number(&paper, scalar, 1, coding);
    put_number(&paper, count, 5, coding);
    for (int k = 0; k < 5; k++)
        put_number(&paper, corner, k, coding);
    put_number(&paper, scalar, 0, coding);
    put_number(&paper, count, 2, coding);
    put_number(&paper, corner, 1, coding);
    put_number(&paper, corner, 4, coding);
    return paper;
}

START_TEST(ply_of_every_type_with_extra_elements_and_lists_is_read)
{
    for (int scalar = 0; scalar < 16; scalar++)
        for (int count = 0; count < 16; count++) {
            int corner = (scalar + 3 * count) % 16;
            Paper paper = rich_ply((Coding)_i, scalar, count, corner);
            TbMesh *mesh = NULL;
            TbFault fault = {0};
            TbStatus status = read_paper(&paper, TB_MESH_PLY, false, &mesh, &fault);
            if (types[count].real) {
                ck_assert_int_eq(status, TB_E_FORMAT);
                ck_assert_ptr_nonnull(strstr(fault.text, "is not a type of whole numbers"));
            } else {
                TbMeshFacts f;
                ck_assert_msg(status == TB_OK, "%s", fault.text);
                f = tb_mesh_facts(mesh);
                ck_assert_uint_eq(tb_mesh_triangle_count(mesh), 3);
                ck_assert_uint_eq(f.dropped_degenerate, 1);
                ck_assert_double_eq_tol(f.area, 120 * 50 + 120 * 40 / 2.0, 1e-9);
                ck_assert_double_eq(tb_mesh_box(mesh).low.z, 7);
                tb_mesh_unref(mesh);
            }
            paper_clear(&paper);
        }
}
END_TEST

#define HEAD "ply\nformat ascii 1.0\n"
#define XYZ "element vertex 3\nproperty float x\nproperty float y\nproperty float z\n"
#define FACE "element face 1\nproperty list uchar int vertex_indices\n"
#define POINTS "0 0 0\n1 0 0\n0 1 0\n"

static const struct {
    const char *text, *said;
} bad_ply[] = {
    {"plyx\n", "line 1: a PLY file begins with \"ply\""},
    {"ply\nformat ascii 2.0\n", "line 2: \"2.0\" is not version 1.0 of PLY"},
    {"ply\nformat morse 1.0\n", "line 2: \"morse\" is not a format of PLY"},
    {"ply\nend_header\n", "a PLY header without a format"},
    {HEAD "element vertex many\n", "line 3: \"many\" is not a number of elements"},
    {HEAD "element vertex -1\n", "line 3: \"-1\" is not a number of elements"},
    {HEAD "element vertex 1234567890123456789\n",
     "line 3: \"1234567890123456789\" is not a number of elements"},
    {HEAD "property float x\n", "line 3: a property stands before any element"},
    {HEAD "element vertex 3\nproperty quad x\n", "line 4: \"quad\" is not a type of numbers"},
    {HEAD "element vertex 3\nproperty float x\nproperty int x\n",
     "line 5: the same property twice in one element"},
    {HEAD XYZ "element vertex 3\n", "line 7: a second element \"vertex\""},
    {HEAD "elephant\n", "line 3: \"elephant\" is not a word of a PLY header"},
    {HEAD XYZ, "PLY ends in line 6, before \"end_header\""},
    {HEAD XYZ "end_header\n" POINTS, "a PLY header without an element \"face\""},
    {HEAD FACE "end_header\n3 0 1 2\n", "a PLY header without an element \"vertex\""},
    {HEAD FACE XYZ "end_header\n3 0 1 2\n" POINTS, "PLY names its faces before its vertices"},
    {HEAD "element vertex 3\nproperty float x\nproperty float y\n" FACE
          "end_header\n0 0\n1 0\n0 1\n3 0 1 2\n",
     "PLY vertices without x, y and z"},
    {HEAD XYZ "element face 1\nproperty uchar red\nend_header\n" POINTS "3 0 1 2\n",
     "PLY faces without a list \"vertex_indices\""},
    {HEAD XYZ FACE "end_header\n" POINTS "3 0 1 3\n",
     "PLY face 1 has the corner 3, 0 to 2 is the range"},
    {HEAD XYZ FACE "end_header\n" POINTS "3 0 1 -1\n",
     "PLY face 1 has the corner -1, 0 to 2 is the range"},
    {HEAD XYZ FACE "end_header\n" POINTS "3 0 1 1.5\n",
     "PLY face 1 has the corner 1.5, 0 to 2 is the range"},
    {HEAD XYZ FACE "end_header\n" POINTS "3 0 1 nan\n",
     "PLY face 1 has the corner nan, 0 to 2 is the range"},
    {HEAD XYZ FACE "end_header\n" POINTS "-3 0 1 2\n",
     "PLY face 1 has the list length -3, 0 to 4294967295 is the range"},
    {HEAD XYZ FACE "end_header\n0 0 0\n1 0 here\n", "line 11: \"here\" is not a number"},
    {HEAD XYZ FACE "end_header\n" POINTS "3 0 1", "PLY ends in line 13 inside face 1 of 1"},
};

START_TEST(bad_ply_is_refused_with_line_and_number)
{
    Paper paper = paper_text(bad_ply[_i].text);

    check_fault(&paper, TB_MESH_PLY, false, TB_E_FORMAT, bad_ply[_i].said);
}
END_TEST

static Paper
claiming_ply(const char *format, const char *vertices, const char *faces)
{
    Paper paper = {0};

    paper_print(&paper,
                "ply\nformat %s 1.0\nelement vertex %s\nproperty float x\nproperty float y\n"
                "property float z\nelement face %s\nproperty list uchar int vertex_indices\n"
                "end_header\n0123456789ab",
                format, vertices, faces);
    return paper;
}

START_TEST(ply_that_claims_more_than_the_file_holds_is_refused_before_it_is_believed)
{
    Paper paper = claiming_ply("binary_little_endian", "900000000000000000", "1");
    char said[300];

    snprintf(said, sizeof said,
             "PLY names 900000000000000000 rows of vertex of 12 bytes at least, but only 12 bytes "
             "are left of %zu",
             paper.size);
    check_fault(&paper, TB_MESH_PLY, true, TB_E_FORMAT, said);
    paper = claiming_ply("binary_little_endian", "900000000000000000", "1");
    check_fault(&paper, TB_MESH_PLY, false, TB_E_LIMIT,
                "PLY of 900000000000000000 vertices, three for each of the most triangles, "
                "72000000, are the most");
    paper = claiming_ply("binary_big_endian", "1", "4294967295");
    snprintf(said, sizeof said,
             "PLY names 4294967295 rows of face of 1 bytes at least, but only 0 bytes are left of "
             "%zu",
             paper.size);
    check_fault(&paper, TB_MESH_PLY, true, TB_E_FORMAT, said);
    paper = claiming_ply("ascii", "1", "4294967295");
    check_fault(&paper, TB_MESH_PLY, false, TB_E_LIMIT,
                "PLY of 4294967295 triangles, 24000000 are the most");
    paper = claiming_ply("binary_little_endian", "70000000", "1");
    snprintf(said, sizeof said, "PLY ends at byte %zu inside vertex 2 of 70000000", paper.size);
    check_fault(&paper, TB_MESH_PLY, false, TB_E_FORMAT, said);
}
END_TEST

START_TEST(ply_header_without_an_end_hits_its_limits)
{
    Paper paper = paper_text(HEAD);

    for (int i = 0; i < 33; i++)
        paper_print(&paper, "element thing%d 0\n", i);
    check_fault(&paper, TB_MESH_PLY, true, TB_E_LIMIT, "line 35: more than 32 elements");
    paper = paper_text(HEAD "element vertex 3\n");
    for (int i = 0; i < 257; i++)
        paper_print(&paper, "property float p%d\n", i);
    check_fault(&paper, TB_MESH_PLY, true, TB_E_LIMIT, "line 260: more than 256 properties");
    paper = paper_text(HEAD);
    for (int i = 0; i < 10001; i++)
        paper_print(&paper, "comment\n");
    check_fault(&paper, TB_MESH_PLY, true, TB_E_LIMIT, "a PLY header of more than 10000 lines");
}
END_TEST

/* ---- numbers ---- */

/** The quick way must give the very bits of the slow one. */
START_TEST(numbers_read_quickly_have_the_bits_of_numbers_read_slowly)
{
    Dice dice = {77};

    for (int round = 0; round < 300000; round++) {
        char text[60];
        double quick = 0, slow = 1;
        int n;
        double x = dice_between(&dice, -1, 1) * pow(10, dice_between(&dice, -30, 30));
        if (round % 3 == 0)
            n = snprintf(text, sizeof text, "%.*e", dice_below(&dice, 19), x);
        else if (round % 3 == 1)
            n = snprintf(text, sizeof text, "%.*f", dice_below(&dice, 9), fmod(x, 1e6));
        else
            n = snprintf(text, sizeof text, "%lld",
                         (long long)(dice_bits(&dice) >> dice_below(&dice, 60)));
        ck_assert(tb_word__number((TbWord){text, (size_t)n}, &quick));
        ck_assert(tb_text_to_double(text, (size_t)n, &slow));
        ck_assert_msg(memcmp(&quick, &slow, sizeof slow) == 0, "%s", text);
    }
}
END_TEST

START_TEST(what_is_no_number_is_none)
{
    static const char *const no[] = {"",     "-",     ".",    "e5",    "1e",       "1e+", "1.2.3",
                                     "--1",  "+-1",   "1e5e", "0x1p3", "1,5",      "12a", "na",
                                     "infi", "1e5.0", "- 1",  "1_0",   "\xd9\xa1", "1e-", ".e1"};
    static const char *const yes[] = {"1.",
                                      ".5",
                                      "-0",
                                      "+7",
                                      "1E5",
                                      "00012",
                                      "1e-400",
                                      "1e400",
                                      "9007199254740993",
                                      "123456789012345678901234567890"};
    double x = 5;

    for (size_t i = 0; i < sizeof no / sizeof no[0]; i++)
        ck_assert_msg(!tb_word__number((TbWord){no[i], strlen(no[i])}, &x), "%s", no[i]);
    for (size_t i = 0; i < sizeof yes / sizeof yes[0]; i++) {
        double want = strtod(yes[i], NULL);
        ck_assert(tb_word__number((TbWord){yes[i], strlen(yes[i])}, &x));
        ck_assert(memcmp(&x, &want, sizeof x) == 0);
    }
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("geom/mesh_formats");
    TCase *one = tcase_create("one format");

    tcase_set_timeout(one, 120);
    tcase_add_test(one, binary_that_begins_with_solid_is_read_as_binary);
    tcase_add_test(one, binary_that_claims_four_billion_triangles_is_refused_before_it_is_believed);
    tcase_add_test(one, binary_with_a_header_of_text_and_a_huge_count_is_not_taken_for_text);
    tcase_add_test(one, lines_are_counted_right_where_their_end_comes_in_two_pieces);
    tcase_add_test(one, short_and_empty_binary_files_are_refused);
    tcase_add_test(one, bytes_behind_the_last_triangle_do_no_harm);
    tcase_add_loop_test(one, bad_text_stl_is_refused_with_line_and_word, 0,
                        (int)(sizeof bad_stl / sizeof bad_stl[0]));
    tcase_add_test(one, word_without_an_end_is_refused);
    tcase_add_test(one, text_stl_of_several_solids_any_case_and_any_line_ends_is_read);
    tcase_add_test(one, obj_polygons_carried_lines_and_foreign_lines_are_read);
    tcase_add_loop_test(one, bad_obj_is_refused_with_line_and_number, 0,
                        (int)(sizeof bad_obj / sizeof bad_obj[0]));
    tcase_add_test(one, line_without_an_end_and_vertices_without_faces_hit_their_limits);
    tcase_add_loop_test(one, ply_of_every_type_with_extra_elements_and_lists_is_read, PLY_TEXT,
                        PLY_BIG + 1);
    tcase_add_loop_test(one, bad_ply_is_refused_with_line_and_number, 0,
                        (int)(sizeof bad_ply / sizeof bad_ply[0]));
    tcase_add_test(one, ply_that_claims_more_than_the_file_holds_is_refused_before_it_is_believed);
    tcase_add_test(one, ply_header_without_an_end_hits_its_limits);
    tcase_add_test(one, numbers_read_quickly_have_the_bits_of_numbers_read_slowly);
    tcase_add_test(one, what_is_no_number_is_none);
    suite_add_tcase(suite, one);
    return tb_test_main(suite);
}
