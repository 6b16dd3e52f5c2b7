/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/sum.h"

#include "tap.h"

#include <stdio.h>
#include <string.h>

/* FIPS 180-4's own examples, and XXH64 of the same bytes by its authors' library (seed 0). */
static const struct {
    const char *text, *sha256;
    uint64_t sum64;
} published[] = {
    {"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
     UINT64_C(0xef46db3751d8e999)},
    {"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
     UINT64_C(0x44bc2cf5ad770999)},
    {"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
     "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
     UINT64_C(0xf06103773e8585df)},
    {"abcdefghbcdefghicdefghijdefghijkefghijklfghijklmghijklmnhijklmnoijklmnopjklmnopqklmnopqrlmnop"
     "q"
     "rsmnopqrstnopqrstu",
     "cf5b16a778af8380036ce59e7b0492370b249b11e8f07a51afac45037afee9d1",
     UINT64_C(0xbafc02122ded1d21)},
};

/* Bytes that repeat after 251 only. */
static unsigned char bytes[1 << 16];

static void
fill(void)
{
    for (size_t i = 0; i < sizeof bytes; i++)
        bytes[i] = (unsigned char)(i % 251 * 7 + i / 251);
}

static void
use_instructions(void)
{
    tb_sha256_force_plain(false);
}

/* One piece after another of the given length. */
static void
sums_of(size_t size, size_t piece, char text[TB_SHA256_TEXT], uint64_t *sum64)
{
    TbSha256 sha;
    TbSum64 sum;

    tb_sha256_init(&sha);
    tb_sum64_init(&sum);
    for (size_t at = 0; at < size; at += piece) {
        size_t part = size - at < piece ? size - at : piece;

        tb_sha256_add(&sha, bytes + at, part);
        tb_sum64_add(&sum, bytes + at, part);
    }
    tb_sha256_text(&sha, text);
    *sum64 = tb_sum64(&sum);
}

START_TEST(published_examples_come_out_with_and_without_the_instructions)
{
    size_t size = strlen(published[_i].text);

    for (int plain = 0; plain < 2; plain++) {
        char text[TB_SHA256_TEXT];
        TbSha256 sum;

        tb_sha256_force_plain(plain);
        tb_sha256_init(&sum);
        tb_sha256_add(&sum, published[_i].text, size);
        tb_sha256_text(&sum, text);
        ck_assert_str_eq(text, published[_i].sha256);
    }
    ck_assert_uint_eq(tb_sum64_of(published[_i].text, size), published[_i].sum64);
}
END_TEST

START_TEST(sums_of_every_length_to_300_are_the_same_in_any_pieces_and_by_either_path)
{
    static const size_t pieces[] = {1, 7, 31, 32, 33, 63, 64, 65, 129};

    for (size_t size = 0; size <= 300; size++) {
        char want[TB_SHA256_TEXT], text[TB_SHA256_TEXT];
        uint64_t sum64;

        tb_sha256_force_plain(true);
        sums_of(size, 301, want, &sum64);
        ck_assert_uint_eq(sum64, tb_sum64_of(bytes, size));
        tb_sha256_force_plain(false);
        for (size_t k = 0; k < sizeof pieces / sizeof pieces[0]; k++) {
            sums_of(size, pieces[k], text, &sum64);
            ck_assert_str_eq(text, want);
            ck_assert_uint_eq(sum64, tb_sum64_of(bytes, size));
        }
    }
}
END_TEST

START_TEST(every_flipped_bit_of_a_block_changes_both_sums)
{
    char want[TB_SHA256_TEXT], text[TB_SHA256_TEXT];
    uint64_t want64, sum64;
    size_t size = 147;

    sums_of(size, size, want, &want64);
    for (size_t bit = 0; bit < 8 * size; bit++) {
        bytes[bit / 8] ^= (unsigned char)(1 << bit % 8);
        sums_of(size, size, text, &sum64);
        bytes[bit / 8] ^= (unsigned char)(1 << bit % 8);
        ck_assert_str_ne(text, want);
        ck_assert_uint_ne(sum64, want64);
    }
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("base/sum");
    TCase *c = tcase_create("sum");

    tcase_add_checked_fixture(c, fill, use_instructions);
    tcase_add_loop_test(c, published_examples_come_out_with_and_without_the_instructions, 0,
                        (int)(sizeof published / sizeof published[0]));
    tcase_add_test(c, sums_of_every_length_to_300_are_the_same_in_any_pieces_and_by_either_path);
    tcase_add_test(c, every_flipped_bit_of_a_block_changes_both_sums);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
