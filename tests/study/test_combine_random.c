/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * Random bays: rows of the table that are only tested against their keep, and their order, agree
 * with a table of the same bay in which every row is searched. There every keep is so large that
 * nothing is plainly enough.
 */

#include "tap.h"

#include "bays.h"

#include <math.h>

enum { BAYS = 8, ITEMS = 7 };

/* mm: more than any gap of these bays. */
#define HUGE_KEEP 1000.0

#define WIDTH 0.01

/* ---- bays ---- */

static double
between(GRand *rand, double low, double high)
{
    return g_rand_double_range(rand, low, high);
}

static void
add_item(GString *text, GRand *rand, int number)
{
    bool hot = number < 3;
    double x = between(rand, -170, 190), y = between(rand, -150, 160), z = between(rand, 40, 300);
    double a = between(rand, 7, 41), b = between(rand, 7, 41), c = between(rand, 7, 41);

    if (number == 0)
        g_string_append_printf(
            text,
            "<duct id='i0' class='hot' mount='engine' material='iron' wall='2.3'><path>"
            "<knot at='%g %g %g'/><knot at='%g %g %g'/><knot at='%g %g %g'/></path>"
            "<section at='0' width='%g' height='%g'/></duct>",
            x - 120, y, z, x, y + b, z + c, x + 140, y - a, z + 3 * b, 2 * a, 2 * a);
    else if (number % 3 == 0)
        g_string_append_printf(
            text, "<ball id='i%d' class='%s' mount='%s' material='iron' at='%g %g %g' radius='%g'>",
            number, hot ? "hot" : "brake", hot ? "engine" : "body", x, y, z, a);
    else if (number % 3 == 1)
        g_string_append_printf(
            text,
            "<rod id='i%d' class='%s' mount='%s' material='iron' a='%g %g %g' b='%g %g %g' "
            "radius='%g'>",
            number, hot ? "hot" : "brake", hot ? "engine" : "body", x, y, z, x + 5 * a, y - 4 * b,
            z + 2 * c, 0.5 * a);
    else
        g_string_append_printf(
            text,
            "<block id='i%d' class='%s' mount='%s' material='iron' low='%g %g %g' "
            "high='%g %g %g'>",
            number, hot ? "hot" : "brake", hot ? "engine" : "body", x, y, z, x + 3 * a, y + 2 * b,
            z + c);
    if (number == 0)
        return;
    if (number % 2 == 0)
        g_string_append_printf(text, "<tolerance shift='%.3f 0.37 %.3f' turn='0 %.3f 0'/>",
                               between(rand, 0, 2.9), between(rand, 0, 1.7), between(rand, 0, 1.3));
    g_string_append_printf(text, "</%s>",
                           number % 3 == 0   ? "ball"
                           : number % 3 == 1 ? "rod"
                                             : "block");
}

/* Drawn anew with the same seed: only the keep is another. */
static TbBay *
random_bay(guint32 seed, double keep, double margin)
{
    g_autoptr(GRand) rand = g_rand_new_with_seed(seed);
    g_autoptr(GString) text =
        g_string_new("<bay version='1' title='Random'><mounts><mount id='body'/><mount id='engine' "
                     "parent='body' axis-point='3 7 -190' axis-direction='1 0.07 0' ");
    TbBay *bay;

    g_string_append_printf(text, "rx='%.2f %.2f' scatter-shift='%.2f 0.91 1.13'/></mounts>",
                           -between(rand, 0.3, 2.7), between(rand, 0.2, 3.1), between(rand, 0, 2));
    g_string_append(text, "<materials><material id='iron' density='7000' expansion='13.5'/>"
                          "</materials><items>");
    for (int i = 0; i < ITEMS; i++)
        add_item(text, rand, i);
    g_string_append_printf(
        text,
        "</items><keeps><keep id='k' class-a='hot' class-b='brake' margin='%g' reason='heat'>"
        "<wanted state='cold' gap='%g'/><wanted state='hot' gap='%g'/>"
        "<wanted state='rock' gap='%g'/><wanted state='edge' gap='%g'/>"
        "<wanted state='all' gap='%g'/></keep></keeps>"
        "<states><state id='cold' kind='cold'/><state id='hot' kind='hot'>"
        "<warm class='hot' growth='540'/></state><state id='rock' kind='rocking'/>"
        "<state id='edge' kind='tolerance'/>"
        "<state id='all' kind='combined' parts='hot+rock+edge'/></states></bay>",
        margin, keep, keep, keep, keep, keep);
    bay = bay_of(text->str);
    return bay;
}

static TbResults *
table_of(guint32 seed, double keep, double margin)
{
    TbBay *bay = random_bay(seed, keep, margin);
    TbStudy *study = study_alone();
    TbAsk ask = {.bay = bay, .combine = true, .width = WIDTH};
    TbResults *results = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_study_judge(study, &ask, NULL, &results, &fault) == TB_OK, "%s", fault.text);
    tb_study_free(study);
    tb_bay_unref(bay);
    return results;
}

/* ---- what both must agree on ---- */

static const TbResultCombination *
same_row(const TbResults *in, const TbResultCombination *row)
{
    for (size_t i = 0; i < in->combination_count; i++) {
        const TbResultCombination *other = &in->combinations[i];

        if (strcmp(other->a, row->a) == 0 && strcmp(other->b, row->b) == 0 &&
            strcmp(other->state, row->state) == 0)
            return other;
    }
    ck_abort_msg("no row of %s, %s in %s", row->a, row->b, row->state);
    return NULL;
}

/* Short 0, watch 1, holds 2, by a gap's lower end. */
static int
verdict(double lower, double keep, double margin)
{
    return lower < keep ? 0 : lower < keep + margin ? 1 : 2;
}

static int
rank_of(TbLevel level)
{
    return level == TB_LEVEL_SHORT ? 0 : level == TB_LEVEL_WATCH ? 1 : 2;
}

typedef struct Seen {
    size_t tested, searched, broken;
} Seen;

static void
check_row(const TbResultCombination *row,
          const TbResultCombination *exact,
          double margin,
          Seen *seen)
{
    int most = verdict(exact->gap, row->keep, margin);
    int least = verdict(exact->lower, row->keep, margin);

    ck_assert(exact->exact);
    ck_assert_int_eq(row->level == TB_LEVEL_OPEN, exact->level == TB_LEVEL_OPEN);
    ck_assert_double_le(row->lower, exact->gap + 1e-9);
    ck_assert_double_ge(row->gap, exact->lower - 1e-9);
    ck_assert_msg(least <= rank_of(row->level) && rank_of(row->level) <= most,
                  "%s, %s in %s: level %d of [%.9g, %.9g] against %g", row->a, row->b, row->state,
                  row->level, exact->lower, exact->gap, row->keep);
    seen->broken += row->level == TB_LEVEL_SHORT;
    seen->tested += !row->exact;
    seen->searched += row->exact;
    if (!row->exact) /* by far, or it would have been searched */
        ck_assert_int_eq(row->level, TB_LEVEL_HOLDS);
    else if (exact->gap >= 0)
        ck_assert_double_eq_tol(row->lower, exact->lower, WIDTH + 1e-9);
}

/* What is only tested stands behind all that does not hold, and its true gap is no worse than that
 * of anything that does not. */
static void
check_order(const TbResults *rows, const TbResults *exact)
{
    double worst = -INFINITY;

    for (size_t i = 0; i < rows->combination_count; i++) {
        const TbResultCombination *row = &rows->combinations[i];
        const TbResultCombination *true_row = same_row(exact, row);

        if (i > 0)
            ck_assert_int_ge(rank_of(row->level), rank_of(rows->combinations[i - 1].level));
        if (row->level != TB_LEVEL_HOLDS) {
            worst = fmax(worst, true_row->lower - row->keep);
            if (i > 0 && row->level == rows->combinations[i - 1].level && true_row->gap >= 0)
                ck_assert_double_ge(true_row->gap,
                                    same_row(exact, &rows->combinations[i - 1])->lower - WIDTH);
        } else {
            ck_assert_double_ge(true_row->gap - row->keep, worst);
        }
    }
}

START_TEST(a_row_only_tested_against_its_keep_is_decided_and_ordered_as_if_it_had_been_searched)
{
    Seen seen = {0};

    for (guint32 seed = 1; seed <= BAYS; seed++) {
        double keep = 1.7 + 0.83 * (seed % 17), margin = 0.61 * (seed % 4);
        TbResults *rows = table_of(seed, keep, margin);
        TbResults *exact = table_of(seed, HUGE_KEEP, margin);

        ck_assert_uint_eq(rows->combination_count, exact->combination_count);
        for (size_t i = 0; i < rows->combination_count; i++)
            check_row(&rows->combinations[i], same_row(exact, &rows->combinations[i]), margin,
                      &seen);
        check_order(rows, exact);
        tb_results_unref(rows);
        tb_results_unref(exact);
    }
    ck_assert_uint_gt(seen.tested, 40 * BAYS / 10);
    ck_assert_uint_gt(seen.broken, 20 * BAYS / 10);
    ck_assert_uint_gt(seen.searched, 20 * BAYS);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/combine-random");
    TCase *tests = tcase_create("random bays");

    tcase_set_timeout(tests, 120);
    tcase_add_test(
        tests,
        a_row_only_tested_against_its_keep_is_decided_and_ordered_as_if_it_had_been_searched);
    suite_add_tcase(suite, tests);
    return tb_test_main(suite);
}
