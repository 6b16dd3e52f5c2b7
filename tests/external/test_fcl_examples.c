/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Gaps that the program reports on the two examples, against FCL's distances of the meshes that the
 * program writes of the same items: report and meshes go through the files a user gets.
 */
#include "fcl_distance.h"
#include "tap.h"

#include <gio/gio.h>
#include <glib/gstdio.h>
#include <json-glib/json-glib.h>
#include <string.h>

/** mm. Meshes are asked to lie this near to the true surfaces; each of a pair may be off by it. */
#define CHORD 0.05

static const struct {
    const char *bay;
    const char *other; /**< than the outlet; no joint between the two, nothing left out */
} pairs[] = {
    {"van-c.bay", "cross-rail"},     {"van-c.bay", "bulkhead"},    {"van-c.bay", "steering-joint"},
    {"van-c.bay", "steering-shaft"}, {"van-c.bay", "brake-line"},  {"van-c.bay", "brake-shield"},
    {"van-c.bay", "boss"},           {"van-c.bay", "runner-1"},    {"van-c.bay", "floor-beam"},
    {"van-c.bay", "catalyst"},       {"van-c.bay", "harness"},     {"pickup.bay", "frame-scan"},
    {"pickup.bay", "bracket"},       {"pickup.bay", "toe-board"},  {"pickup.bay", "starter"},
    {"pickup.bay", "heater-hose"},   {"pickup.bay", "brake-line"}, {"pickup.bay", "runner-rear"},
    {"pickup.bay", "brake-shield"},
};
enum { PAIRS = sizeof pairs / sizeof pairs[0] };

static char *
example(const char *bay)
{
    const char *folder = g_getenv("TB_EXAMPLES");

    ck_assert_msg(folder != NULL, "TB_EXAMPLES names no folder");
    return g_build_filename(folder, bay, NULL);
}

static void
run_batch(char **arguments)
{
    char *out = NULL, *err = NULL;
    int wait = -1;

    ck_assert_ptr_nonnull(arguments[0]);
    ck_assert(
        g_spawn_sync(NULL, arguments, NULL, G_SPAWN_DEFAULT, NULL, NULL, &out, &err, &wait, NULL));
    ck_assert_msg(WIFEXITED(wait) && WEXITSTATUS(wait) <= 1, "%s %s: %s", arguments[1],
                  arguments[2], err);
    g_free(out);
    g_free(err);
}

/** Triangles of a binary STL: 80 bytes of name, a count, then 50 bytes each of normal, corners. */
static double *
read_stl(const char *path, size_t *count)
{
    char *bytes = NULL;
    gsize size = 0;
    guint32 stated = 0;
    double *out;

    ck_assert(g_file_get_contents(path, &bytes, &size, NULL));
    ck_assert_uint_ge(size, 84);
    memcpy(&stated, bytes + 80, sizeof stated);
    *count = GUINT32_FROM_LE(stated);
    ck_assert_uint_eq(size, 84 + 50 * *count);
    out = g_new(double, 9 * *count);
    for (size_t i = 0; i < 9 * *count; i++) {
        guint32 word;
        float value;

        memcpy(&word, bytes + 84 + 50 * (i / 9) + 12 + 4 * (i % 9), sizeof word);
        word = GUINT32_FROM_LE(word);
        memcpy(&value, &word, sizeof value);
        out[i] = (double)value;
    }
    g_free(bytes);
    return out;
}

static double *
mesh_of(const char *bay, const char *item, const char *folder, size_t *count)
{
    char *file = example(bay), *chord = g_strdup(G_STRINGIFY(CHORD));
    char *stl = g_build_filename(folder, "mesh.stl", NULL);
    char *arguments[] = {(char *)g_getenv("TB_BATCH"),
                         "solid",
                         file,
                         "--item",
                         (char *)item,
                         "--chord",
                         chord,
                         "-o",
                         stl,
                         NULL};
    double *out;

    run_batch(arguments);
    out = read_stl(stl, count);
    g_remove(stl);
    g_free(stl);
    g_free(chord);
    g_free(file);
    return out;
}

/** The report of the first variant, cold; owned by the parser. */
static JsonArray *
gaps_of(JsonParser *parser, const char *bay, const char *folder)
{
    char *file = example(bay), *json = g_build_filename(folder, "report.json", NULL);
    char *variant = strcmp(bay, "pickup.bay") == 0 ? "standard" : "std-s";
    char *arguments[] = {(char *)g_getenv("TB_BATCH"),
                         "check",
                         file,
                         "--json",
                         json,
                         "--state",
                         "cold",
                         "--variant",
                         variant,
                         NULL};

    run_batch(arguments);
    ck_assert(json_parser_load_from_file(parser, json, NULL));
    g_remove(json);
    g_free(json);
    g_free(file);
    return json_object_get_array_member(json_node_get_object(json_parser_get_root(parser)), "gaps");
}

static JsonObject *
gap_between(JsonArray *gaps, const char *a, const char *b)
{
    for (guint i = 0; i < json_array_get_length(gaps); i++) {
        JsonObject *gap = json_array_get_object_element(gaps, i);
        const char *first = json_object_get_string_member(gap, "a");
        const char *second = json_object_get_string_member(gap, "b");

        if ((strcmp(first, a) == 0 && strcmp(second, b) == 0) ||
            (strcmp(first, b) == 0 && strcmp(second, a) == 0))
            return gap;
    }
    ck_abort_msg("the report has no gap of %s and %s", a, b);
    return NULL;
}

START_TEST(a_reported_gap_is_that_of_the_written_meshes)
{
    char *folder = g_dir_make_tmp("tightbay-fcl-XXXXXX", NULL);
    JsonParser *parser = json_parser_new();
    JsonObject *gap =
        gap_between(gaps_of(parser, pairs[_i].bay, folder), "outlet", pairs[_i].other);
    double lower = json_object_get_double_member(gap, "lower");
    double upper = json_object_get_double_member(gap, "upper");
    size_t outlet_count, other_count;
    double *outlet = mesh_of(pairs[_i].bay, "outlet", folder, &outlet_count);
    double *other = mesh_of(pairs[_i].bay, pairs[_i].other, folder, &other_count);
    double theirs = fcl_mesh_mesh(outlet, outlet_count, other, other_count);

    ck_assert_uint_eq(json_array_get_length(json_object_get_array_member(gap, "excluded")), 0);
    ck_assert_uint_gt(outlet_count, 1000);
    ck_assert_msg(theirs >= lower - 2 * CHORD && theirs <= upper + 2 * CHORD,
                  "%s, outlet to %s: ours [%.6f, %.6f], theirs %.6f", pairs[_i].bay,
                  pairs[_i].other, lower, upper, theirs);
    g_free(other);
    g_free(outlet);
    g_object_unref(parser);
    g_rmdir(folder);
    g_free(folder);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("external/fcl_examples");
    TCase *tests = tcase_create("examples");

    tcase_set_timeout(tests, 120);
    tcase_add_loop_test(tests, a_reported_gap_is_that_of_the_written_meshes, 0, PAIRS);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
