/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * A tree as bytes comes back bit for bit; bytes that are damaged, cut off, of something else or
 * made with bad intent are refused, and no query leaves its arrays.
 */

#include "geom/tree_file.h"

#include "base/mem.h"
#include "base/sum.h"
#include "mesh_scenes.h"
#include "tap.h"

#include <string.h>

#define KEY "scan of a test, 7"
#define KEY_ROOM 24 /* padded to eights */

/* Where the fields stand that tests change. */
#define AT_VERSION 8
#define AT_SIZE 24
#define AT_KEY 32
#define AT_VERTICES 40
#define AT_TRIANGLES 48
#define AT_SHELLS 56
#define AT_READ 72
#define AT_OPEN 104
#define AT_CLOSED 128
#define AT_VOLUME 144
#define AT_BOX 160
#define AT_CONTENT (TB_TREE_FILE_HEADER - 16)
#define AT_HEAD (TB_TREE_FILE_HEADER - 8)

typedef struct Bytes {
    unsigned char *bytes;
    size_t size, room;
    size_t most; /* the sink is full beyond */
} Bytes;

static TbStatus
write_bytes(void *user, const void *bytes, size_t size, TbFault *fault)
{
    Bytes *to = user;

    if (to->size + size > to->most)
        return tb_fail(fault, TB_E_IO, "no room after %zu bytes", to->size);
    if (to->size + size > to->room) {
        to->room = 2 * (to->size + size);
        to->bytes = realloc(to->bytes, to->room);
    }
    if (size > 0)
        memcpy(to->bytes + to->size, bytes, size);
    to->size += size;
    return TB_OK;
}

static Bytes
bytes_of(const TbTree *tree)
{
    Bytes bytes = {.most = SIZE_MAX};
    TbSink sink = {write_bytes, &bytes};

    ck_assert_int_eq(tb_tree_file_write(tree, KEY, &sink, NULL), TB_OK);
    ck_assert_uint_eq(bytes.size, tb_tree_file_size(tree, KEY));
    return bytes;
}

static Bytes
copy_of(const Bytes *from)
{
    Bytes copy = {malloc(from->size), from->size, from->size, SIZE_MAX};

    memcpy(copy.bytes, from->bytes, from->size);
    return copy;
}

static TbStatus
read_back(const Bytes *bytes, const char *key, TbTree **tree, TbFault *fault)
{
    TbBytes source = {bytes->bytes, bytes->size, 0};
    TbSource reader = tb_source_of_bytes(&source);

    return tb_tree_file_read(&reader, key, NULL, NULL, tree, fault);
}

/* The same bytes with a new checksum of what may have been changed. */
static void
sign(Bytes *bytes)
{
    uint64_t sum =
        tb_sum64_of(bytes->bytes + TB_TREE_FILE_HEADER, bytes->size - TB_TREE_FILE_HEADER);

    memcpy(bytes->bytes + AT_CONTENT, &sum, sizeof sum);
    sum = tb_sum64_of(bytes->bytes, AT_HEAD);
    memcpy(bytes->bytes + AT_HEAD, &sum, sizeof sum);
}

static uint64_t
word_at(const Bytes *bytes, size_t at)
{
    uint64_t word;

    memcpy(&word, bytes->bytes + at, sizeof word);
    return word;
}

static TbTree *
tree_of(TbMesh *mesh)
{
    TbTree *tree = NULL;

    ck_assert_int_eq(tb_tree_new(mesh, NULL, NULL, &tree, NULL), TB_OK);
    tb_mesh_unref(mesh);
    return tree;
}

/* Loose triangles, welded where they happen to meet, some dropped. */
static TbTree *
welded_soup(uint64_t seed, size_t triangles)
{
    TbMeshBuilder *builder = tb_mesh_builder_new();
    Dice dice = {seed};
    TbMesh *mesh = NULL;

    for (size_t i = 0; i < triangles; i++) {
        TbVec3 t[3];
        dice_triangle(&dice, 700, t);
        ck_assert_int_eq(tb_mesh_builder_add(builder, t, NULL), TB_OK);
    }
    ck_assert_int_eq(tb_mesh_builder_finish(builder, NULL, NULL, &mesh, NULL), TB_OK);
    return tree_of(mesh);
}

static TbTree *
two_blocks(void)
{
    Heap heap = {0};

    heap_block(&heap, tb_vec3(-31, -17, 5), tb_vec3(43.7, 21.9, 61));
    heap_block(&heap, tb_vec3(-0.0, 0, 70), tb_vec3(11, 13, 77));
    return tree_of(heap_mesh(&heap));
}

static void
check_same(const TbTree *a, const TbTree *b)
{
    const TbMesh *p = tb_tree_mesh(a), *q = tb_tree_mesh(b);
    TbMeshFacts f = tb_mesh_facts(p), g = tb_mesh_facts(q);
    TbBox3 box = tb_mesh_box(p), other = tb_mesh_box(q);
    size_t triangles = tb_mesh_triangle_count(p);

    ck_assert_uint_eq(triangles, tb_mesh_triangle_count(q));
    ck_assert_uint_eq(tb_mesh_vertex_count(p), tb_mesh_vertex_count(q));
    ck_assert_mem_eq(tb_mesh_vertices(p), tb_mesh_vertices(q),
                     tb_mesh_vertex_count(p) * sizeof(TbVec3));
    ck_assert_mem_eq(tb_mesh_indices(p), tb_mesh_indices(q), 3 * triangles * sizeof(uint32_t));
    ck_assert_mem_eq(tb_tree_numbers(a), tb_tree_numbers(b), triangles * sizeof(uint32_t));
    ck_assert_mem_eq(tb_mesh_shells(p), tb_mesh_shells(q), f.shells * sizeof(uint32_t));
    ck_assert_mem_eq(&box, &other, sizeof box);
    ck_assert_uint_eq(f.triangles_read, g.triangles_read);
    ck_assert_uint_eq(f.vertices_read, g.vertices_read);
    ck_assert_uint_eq(f.dropped_degenerate, g.dropped_degenerate);
    ck_assert_uint_eq(f.dropped_not_finite, g.dropped_not_finite);
    ck_assert_uint_eq(f.slivers, g.slivers);
    ck_assert_uint_eq(f.open_edges, g.open_edges);
    ck_assert_uint_eq(f.shared_edges, g.shared_edges);
    ck_assert_uint_eq(f.flipped_edges, g.flipped_edges);
    ck_assert_uint_eq(f.shells, g.shells);
    ck_assert_int_eq(f.closed, g.closed);
    ck_assert_int_eq(f.inward, g.inward);
    ck_assert_mem_eq(&f.volume, &g.volume, sizeof f.volume);
    ck_assert_mem_eq(&f.area, &g.area, sizeof f.area);
    ck_assert_int_eq(tb_tree_levels(a), tb_tree_levels(b));
    for (int l = 1; l <= tb_tree_levels(a); l++) {
        ck_assert_uint_eq(tb_tree_level_count(a, l), tb_tree_level_count(b, l));
        ck_assert_mem_eq(tb_tree_level(a, l), tb_tree_level(b, l),
                         tb_tree_level_count(a, l) * sizeof(TbTreeNode));
    }
}

START_TEST(a_tree_comes_back_bit_for_bit)
{
    static const size_t sizes[] = {1, 2, 7, 8, 9, 64, 65, 513, 5000};
    size_t count = sizeof sizes / sizeof sizes[0];

    for (size_t i = 0; i <= count; i++) {
        TbTree *tree = i < count ? welded_soup(31 + i, 3 * sizes[i]) : two_blocks();
        Bytes bytes = bytes_of(tree);
        TbTree *back = NULL;
        TbFault fault = {0};

        ck_assert_msg(read_back(&bytes, KEY, &back, &fault) == TB_OK, "%s", fault.text);
        check_same(tree, back);
        tb_tree_unref(back);
        tb_tree_unref(tree);
        free(bytes.bytes);
    }
}
END_TEST

static void
must_be_refused(const Bytes *bytes, const char *what, size_t at)
{
    TbTree *tree = NULL;
    TbFault fault = {0};
    TbStatus status = read_back(bytes, KEY, &tree, &fault);

    ck_assert_msg(status == TB_E_FORMAT, "%s %zu: %s %s", what, at, tb_status_name(status),
                  fault.text);
    ck_assert_ptr_null(tree);
    ck_assert_str_ne(fault.text, "");
}

START_TEST(a_file_cut_off_at_every_kilobyte_is_refused)
{
    TbTree *tree = welded_soup(5, 3000);
    Bytes whole = bytes_of(tree);

    ck_assert_uint_gt(whole.size, 100 * 1024);
    for (size_t size = 0; size < whole.size; size += size < TB_TREE_FILE_HEADER + 64 ? 1 : 1024) {
        /* a buffer of its own, so that reading beyond is seen */
        Bytes cut = {malloc(size + 1), size, size, 0};
        TbBytes source = {cut.bytes, size, 0};
        TbSource reader = tb_source_of_bytes(&source);
        TbTree *none = NULL;

        memcpy(cut.bytes, whole.bytes, size);
        must_be_refused(&cut, "cut at", size);
        /* one that is cut off while it is read: its size was right before */
        reader.size = whole.size;
        ck_assert_int_eq(tb_tree_file_read(&reader, KEY, NULL, NULL, &none, NULL), TB_E_FORMAT);
        free(cut.bytes);
    }
    free(whole.bytes);
    tb_tree_unref(tree);
}
END_TEST

START_TEST(every_bit_flipped_in_the_header_and_the_key_is_refused)
{
    TbTree *tree = welded_soup(6, 100);
    Bytes bytes = bytes_of(tree);

    for (size_t bit = 0; bit < 8 * (TB_TREE_FILE_HEADER + KEY_ROOM); bit++) {
        bytes.bytes[bit / 8] ^= (unsigned char)(1 << bit % 8);
        must_be_refused(&bytes, "bit", bit);
        bytes.bytes[bit / 8] ^= (unsigned char)(1 << bit % 8);
    }
    free(bytes.bytes);
    tb_tree_unref(tree);
}
END_TEST

START_TEST(bytes_flipped_anywhere_in_the_content_are_refused)
{
    TbTree *tree = welded_soup(7, 2000);
    Bytes bytes = bytes_of(tree);
    Dice dice = {19};

    for (int i = 0; i < 3000; i++) {
        size_t left = bytes.size - TB_TREE_FILE_HEADER;
        size_t at = TB_TREE_FILE_HEADER + (size_t)dice_below(&dice, (int)left);
        unsigned char by = (unsigned char)(1 + dice_below(&dice, 255));

        bytes.bytes[at] ^= by;
        must_be_refused(&bytes, "byte", at);
        bytes.bytes[at] ^= by;
    }
    free(bytes.bytes);
    tb_tree_unref(tree);
}
END_TEST

START_TEST(a_longer_file_and_one_of_another_key_are_refused)
{
    TbTree *tree = welded_soup(8, 50), *none = NULL;
    Bytes bytes = bytes_of(tree), longer = bytes;
    TbFault fault = {0};

    ck_assert_int_eq(read_back(&bytes, "scan of a test, 8", &none, &fault), TB_E_FORMAT);
    ck_assert_ptr_nonnull(strstr(fault.text, "another scan"));
    ck_assert_int_eq(read_back(&bytes, "scan of a test, 77", &none, &fault), TB_E_FORMAT);
    ck_assert_int_eq(read_back(&bytes, "", &none, &fault), TB_E_FORMAT);
    longer.bytes = calloc(1, bytes.size + 8);
    longer.size = bytes.size + 8;
    memcpy(longer.bytes, bytes.bytes, bytes.size);
    must_be_refused(&longer, "longer by", 8);
    free(longer.bytes);
    free(bytes.bytes);
    tb_tree_unref(tree);
}
END_TEST

/* What bad intent could write, its checksums made right: a word, and where it is put. */
static const struct {
    const char *what;
    size_t at;
    uint64_t word;
} forged[] = {
    {"version", AT_VERSION, UINT64_C(0x0a0b0c0d00000002)},
    {"vertices", AT_VERTICES, UINT64_C(1) << 60},
    {"vertices", AT_VERTICES, 0},
    {"triangles", AT_TRIANGLES, UINT64_MAX},
    {"triangles", AT_TRIANGLES, UINT64_C(1) << 62},
    {"triangles", AT_TRIANGLES, 0},
    {"shells", AT_SHELLS, UINT64_MAX},
    {"shells", AT_SHELLS, 0},
    {"key", AT_KEY, UINT64_MAX},
    {"key", AT_KEY, UINT64_MAX - 6},
    {"key", AT_KEY, 16},
    {"read", AT_READ, UINT64_MAX},
    {"read", AT_READ, 7},
    {"open edges", AT_OPEN, UINT64_MAX},
    {"closed", AT_CLOSED, 1},
    {"closed", AT_CLOSED, 2},
    {"volume", AT_VOLUME, UINT64_C(0x7ff8000000000000)},
    {"volume", AT_VOLUME, UINT64_C(0x4008000000000000)},
    {"area", AT_VOLUME + 8, UINT64_C(0xc008000000000000)},
    {"box", AT_BOX, UINT64_C(0x7ff8000000000000)},
    {"box", AT_BOX + 40, UINT64_C(0x4008000000000000)},
};

START_TEST(a_forged_header_is_refused)
{
    TbTree *tree = welded_soup(9, 60);
    Bytes bytes = bytes_of(tree);

    memcpy(bytes.bytes + forged[_i].at, &forged[_i].word, 8);
    sign(&bytes);
    must_be_refused(&bytes, forged[_i].what, _i);
    free(bytes.bytes);
    tb_tree_unref(tree);
}
END_TEST

START_TEST(counts_that_make_the_same_size_by_overflow_are_refused)
{
    TbTree *tree = welded_soup(9, 60);
    Bytes bytes = bytes_of(tree);
    uint64_t vertices = word_at(&bytes, AT_VERTICES), triangles = word_at(&bytes, AT_TRIANGLES);

    /* 24 * 2^61 is 0 in 64 bits; so is 16 * 2^60 */
    for (int i = 0; i < 2; i++) {
        uint64_t word = i == 0 ? vertices + (UINT64_C(1) << 61) : triangles + (UINT64_C(1) << 60);
        size_t at = i == 0 ? AT_VERTICES : AT_TRIANGLES;
        uint64_t old = word_at(&bytes, at);

        memcpy(bytes.bytes + at, &word, 8);
        sign(&bytes);
        must_be_refused(&bytes, "overflow", at);
        memcpy(bytes.bytes + at, &old, 8);
    }
    free(bytes.bytes);
    tb_tree_unref(tree);
}
END_TEST

/* Ask around; the sanitizers look on. */
static void
query(const TbTree *tree, Dice *dice)
{
    size_t triangles = tb_mesh_triangle_count(tb_tree_mesh(tree));

    for (int i = 0; i < 8; i++) {
        TbVec3 p = dice_point(dice, 900);
        TbTreeHit hit = tb_tree_nearest(tree, p, INFINITY);

        ck_assert_uint_lt(hit.triangle, triangles);
        ck_assert_uint_lt(hit.place, triangles);
        ck_assert(!isnan(tb_tree_winding(tree, p)));
    }
}

START_TEST(forged_words_anywhere_in_the_content_are_refused_or_harmless)
{
    TbTree *tree = welded_soup(10, 300);
    Bytes bytes = bytes_of(tree);
    size_t triangles = tb_mesh_triangle_count(tb_tree_mesh(tree));
    Dice dice = {23};
    int refused = 0;

    for (int i = 0; i < 4000; i++) {
        Bytes copy = copy_of(&bytes);
        size_t words = (bytes.size - TB_TREE_FILE_HEADER - KEY_ROOM) / 4;
        size_t at = TB_TREE_FILE_HEADER + KEY_ROOM + 4 * (size_t)dice_below(&dice, (int)words);
        uint32_t word = dice_below(&dice, 2) ? (uint32_t)dice_below(&dice, 2 * (int)triangles)
                                             : (uint32_t)dice_bits(&dice);
        TbTree *back = NULL;

        memcpy(copy.bytes + at, &word, 4);
        sign(&copy);
        if (read_back(&copy, KEY, &back, NULL) == TB_OK)
            query(back, &dice);
        else
            refused++;
        tb_tree_unref(back);
        free(copy.bytes);
    }
    ck_assert_int_gt(refused, 1000);
    free(bytes.bytes);
    tb_tree_unref(tree);
}
END_TEST

/* Arrays as a whole: what single words do not reach. */
static const struct {
    const char *what;
    int part; /* 0 vertices, 1 corners, 2 numbers, 3 shells */
    size_t from, to;
} swapped[] = {
    {"two corners of a triangle alike", 1, 0, 1},
    {"a vertex used before those with lower numbers", 1, 3, 300},
    {"a number twice", 2, 0, 1},
    {"a shell twice", 3, 0, 1},
};

START_TEST(a_forged_order_is_refused)
{
    TbTree *tree = welded_soup(11, 300);
    const TbMesh *mesh = tb_tree_mesh(tree);
    Bytes bytes = bytes_of(tree);
    size_t part[] = {tb_mesh_vertex_count(mesh) * sizeof(TbVec3),
                     3 * tb_mesh_triangle_count(mesh) * sizeof(uint32_t),
                     tb_mesh_triangle_count(mesh) * sizeof(uint32_t)};
    size_t at = TB_TREE_FILE_HEADER + KEY_ROOM;

    for (int k = 0; k < swapped[_i].part; k++)
        at += part[k];
    memcpy(bytes.bytes + at + 4 * swapped[_i].to, bytes.bytes + at + 4 * swapped[_i].from, 4);
    sign(&bytes);
    must_be_refused(&bytes, swapped[_i].what, at);
    free(bytes.bytes);
    tb_tree_unref(tree);
}
END_TEST

START_TEST(any_request_for_memory_may_fail)
{
    TbTree *tree = welded_soup(12, 300), *back = NULL;
    Bytes bytes = bytes_of(tree);
    long requests;

    tb_mem_fail_at(0);
    ck_assert_int_eq(read_back(&bytes, KEY, &back, NULL), TB_OK);
    requests = tb_mem_requests();
    tb_tree_unref(back);
    ck_assert_int_gt(requests, 5);
    for (long n = 1; n <= requests; n++) {
        TbFault fault = {0};

        back = NULL;
        tb_mem_fail_at(n);
        ck_assert_int_eq(read_back(&bytes, KEY, &back, &fault), TB_E_MEMORY);
        tb_mem_fail_at(0);
        ck_assert_ptr_null(back);
        ck_assert_str_ne(fault.text, "");
    }
    free(bytes.bytes);
    tb_tree_unref(tree);
}
END_TEST

/* A source that cancels the task, or breaks, at its n-th call. */
typedef struct Trouble {
    TbBytes bytes;
    TbTask *task;
    int left;
} Trouble;

static long
read_with_trouble(void *user, unsigned char *out, size_t room, TbFault *fault)
{
    Trouble *trouble = user;
    TbSource whole = tb_source_of_bytes(&trouble->bytes);

    if (--trouble->left == 0) {
        if (trouble->task == NULL) {
            tb_fail(fault, TB_E_IO, "the disk is gone");
            return -1;
        }
        tb_task_cancel(trouble->task);
    }
    /* short pieces, as a file on a network gives them */
    return whole.read(whole.user, out, room < 997 ? room : 997, fault);
}

START_TEST(a_cancel_or_trouble_at_any_piece_ends_it)
{
    TbTree *tree = welded_soup(13, 600);
    Bytes bytes = bytes_of(tree);
    int calls = 0;

    for (int breaks = 0; breaks < 2; breaks++)
        for (int n = 1;; n++) {
            TbTask task = {0};
            Trouble trouble = {{bytes.bytes, bytes.size, 0}, breaks ? NULL : &task, n};
            TbSource source = {read_with_trouble, &trouble, bytes.size};
            TbTree *back = NULL;
            TbStatus status = tb_tree_file_read(&source, KEY, NULL, &task, &back, NULL);

            if (trouble.left > 0) {
                ck_assert_int_eq(status, TB_OK);
                tb_tree_unref(back);
                break;
            }
            ck_assert_int_eq(status, breaks ? TB_E_IO : TB_E_CANCELLED);
            ck_assert_ptr_null(back);
            calls++;
        }
    ck_assert_int_gt(calls, 40);
    free(bytes.bytes);
    tb_tree_unref(tree);
}
END_TEST

START_TEST(a_full_sink_is_said_wherever_it_is_full)
{
    TbTree *tree = two_blocks();
    uint64_t size = tb_tree_file_size(tree, KEY);

    for (size_t most = 0; most < size; most += 37) {
        Bytes bytes = {.most = most};
        TbSink sink = {write_bytes, &bytes};
        TbFault fault = {0};

        ck_assert_int_eq(tb_tree_file_write(tree, KEY, &sink, &fault), TB_E_IO);
        ck_assert_ptr_nonnull(strstr(fault.text, "no room"));
        free(bytes.bytes);
    }
    tb_tree_unref(tree);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("geom/tree_file");
    TCase *c = tcase_create("tree_file");

    tcase_set_timeout(c, 60);
    tcase_add_test(c, a_tree_comes_back_bit_for_bit);
    tcase_add_test(c, a_file_cut_off_at_every_kilobyte_is_refused);
    tcase_add_test(c, every_bit_flipped_in_the_header_and_the_key_is_refused);
    tcase_add_test(c, bytes_flipped_anywhere_in_the_content_are_refused);
    tcase_add_test(c, a_longer_file_and_one_of_another_key_are_refused);
    tcase_add_loop_test(c, a_forged_header_is_refused, 0, (int)(sizeof forged / sizeof forged[0]));
    tcase_add_test(c, counts_that_make_the_same_size_by_overflow_are_refused);
    tcase_add_test(c, forged_words_anywhere_in_the_content_are_refused_or_harmless);
    tcase_add_loop_test(c, a_forged_order_is_refused, 0, (int)(sizeof swapped / sizeof swapped[0]));
    tcase_add_test(c, any_request_for_memory_may_fail);
    tcase_add_test(c, a_cancel_or_trouble_at_any_piece_ends_it);
    tcase_add_test(c, a_full_sink_is_said_wherever_it_is_full);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
