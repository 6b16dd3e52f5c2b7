/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_scatter.c
 * @brief scatter: 10,000 samples of every gap of the van example at the edge of tolerance, over one
 *        static study of the same pairs: cold, the file's first variant.
 *
 * Both are whole answers of a study that knows nothing before, worst case and findings included.
 * Lines for people tell the pairs whose samples take a millisecond or more: static gap, worst case
 * and samples, from shapes that are there; the sums over all pairs; and both examples hot, rocking
 * and at tolerance.
 *
 * bench-scatter VAN.bay PICKUP.bay SCAN.stl (the pickup's, in its folder)
 */

#include "bench.h"

#include "bay/read.h"
#include "study/case.h"
#include "study/study.h"

#include <glib.h>

enum { ROUNDS = 7, SAMPLES = 10000 };

#define EDGE "tolerance"

/** ms. Pairs whose samples take less are only counted. */
static const double told = 1;

typedef struct Bench {
    TbBay *bay;
    TbStore *store;
    char *folder;
    TbFault fault;
} Bench;

static bool
bench_open(Bench *bench, const char *path, const char *folder_of)
{
    bench->store = tb_store_new();
    bench->folder = g_path_get_dirname(folder_of);
    return tb_bay_read_file(path, &bench->bay, &bench->fault) == TB_OK;
}

static void
bench_close(Bench *bench)
{
    tb_store_unref(bench->store);
    tb_bay_unref(bench->bay);
    g_free(bench->folder);
}

static TbAsk
ask_of(const Bench *bench, const char *state, uint64_t samples)
{
    return (TbAsk){.bay = bench->bay,
                   .folder = bench->folder,
                   .state = state,
                   .variant = tb_bay_variant_at(bench->bay, 0)->record.id,
                   .samples = samples,
                   .seed = TB_STUDY_SEED};
}

/** A study from nothing but a scan that is read; @return ms, or NAN. */
static double
time_study(Bench *bench, const TbAsk *ask, size_t *gaps)
{
    TbStudy *study = tb_study_new(bench->store, NULL);
    TbResults *results = NULL;
    double start = bench_clock();
    TbStatus status = tb_study_judge(study, ask, NULL, &results, &bench->fault);
    double took = bench_clock() - start;

    if (status == TB_OK)
        *gaps = results->gap_count;
    tb_results_unref(results);
    tb_study_free(study);
    return status == TB_OK ? took : (double)NAN;
}

/** The median, or NAN. */
static double
median_of(Bench *bench, const char *state, uint64_t samples, size_t *gaps)
{
    TbAsk ask = ask_of(bench, state, samples);
    double took[ROUNDS];

    for (int i = 0; i < ROUNDS; i++) {
        took[i] = time_study(bench, &ask, gaps);
        if (isnan(took[i]))
            return NAN;
    }
    return bench_median(took, ROUNDS);
}

/* ---- one pair after the other ---- */

typedef struct PairTimes {
    double gap, worst, samples; /**< ms */
    TbSpreadGap spread;         /**< with samples */
} PairTimes;

/** ms for one entry that nothing is known of. */
static double
time_gap(const TbPairAsk *ask, const TbSpreadSet *set, uint64_t samples, TbSpreadGap *spread)
{
    TbSpreadChance chance = {.samples = samples, .seed = TB_STUDY_SEED};
    double took[ROUNDS];

    for (int i = 0; i < ROUNDS; i++) {
        TbCache *cache = tb_cache_new();
        double start = bench_clock();
        TbEntry *entry = set == NULL ? tb_measure_gap(cache, ask, NULL)
                                     : tb_spread_gap(cache, ask, NULL, set, &chance, NULL);
        TbStatus status = tb_cache_settle(cache, NULL, NULL, NULL);

        took[i] = status == TB_OK ? bench_clock() - start : (double)NAN;
        if (status == TB_OK && set != NULL)
            *spread = *(const TbSpreadGap *)entry->value;
        tb_cache_free(cache);
    }
    return bench_median(took, ROUNDS);
}

static void
say_pair(const TbCaseStand *in, guint index, double width, PairTimes *sum)
{
    const TbPair *pair = in->pairs->pdata[index];
    const TbSpreadSet *set = &in->spread[index];
    TbPairAsk ask = tb_case_pair_ask(in, pair, width);
    PairTimes here;

    if (in->gaps[index] == NULL)
        return;
    here.gap = time_gap(&ask, NULL, 0, NULL);
    here.worst = time_gap(&ask, set, 0, &here.spread);
    here.samples = time_gap(&ask, set, SAMPLES, &here.spread) - here.worst;
    if (here.samples >= told)
        bench_note("%s, %s: gap %.3f ms, worst case %.3f ms, %zu sources sampled in %.2f ms "
                   "(%zu separated anew, %zu searched, %zu broken)",
                   in->stand->items[pair->a].id, in->stand->items[pair->b].id, here.gap, here.worst,
                   set->count, here.samples, (size_t)here.spread.scatter.separated,
                   (size_t)here.spread.scatter.searched, (size_t)here.spread.scatter.broken);
    sum->gap += here.gap;
    sum->worst += here.worst;
    sum->samples += here.samples;
}

static bool
say_pairs(Bench *bench)
{
    TbStudy *study = tb_study_new(bench->store, NULL);
    TbAsk ask = ask_of(bench, EDGE, 0);
    TbCase *theirs = NULL;
    PairTimes sum = {0};
    TbStatus status = tb_case_new(study, &ask, TB_NEEDS_GAPS, true, NULL, &theirs, &bench->fault);

    for (guint i = 0; status == TB_OK && i < theirs->stands[0].pairs->len; i++)
        say_pair(&theirs->stands[0], i, tb_ask_width(&ask), &sum);
    if (status == TB_OK)
        bench_note("all pairs alone: gaps %.2f ms, worst cases %.2f ms, samples %.1f ms: with the "
                   "samples %.0f times the gaps",
                   sum.gap, sum.worst, sum.samples, (sum.worst + sum.samples) / sum.gap);
    tb_case_free(theirs);
    tb_study_free(study);
    return status == TB_OK;
}

/** The same with the motion in it. */
static bool
say_moving(Bench *bench, const char *name)
{
    static const char state[] = "hot-rocking-tolerance";
    size_t gaps = 0;
    double still = median_of(bench, "cold", 0, &gaps);
    double edge = median_of(bench, EDGE, SAMPLES, &gaps);
    double worst = median_of(bench, state, 0, &gaps), all = median_of(bench, state, SAMPLES, &gaps);

    bench_note("%s: static %.1f ms, at tolerance %.1f (%.1f times), hot and rocking at tolerance "
               "%.1f (%.1f times), %.1f of it without samples; %zu gaps",
               name, still, edge, edge / still, all, all / still, worst, gaps);
    return !isnan(still + edge + worst + all);
}

int
main(int argc, char **argv)
{
    Bench van = {0}, pickup = {0};
    double single = NAN, sampled = NAN;
    size_t gaps = 0, edge = 0;
    bool good = false;

    if (argc != 4)
        return bench_miss("scatter", "no bays or scan given");
    if (bench_open(&van, argv[1], argv[1]) && bench_open(&pickup, argv[2], argv[3])) {
        single = median_of(&van, "cold", 0, &gaps);
        sampled = median_of(&van, EDGE, SAMPLES, &edge);
        good = !isnan(single + sampled) && say_pairs(&van) && say_moving(&van, "van") &&
               say_moving(&pickup, "pickup");
    }
    bench_note("static %.2f ms for %zu gaps, %d samples of each of %zu %.1f ms", single, gaps,
               SAMPLES, edge, sampled);
    if (van.fault.text[0] == '\0')
        van.fault = pickup.fault;
    bench_close(&van);
    bench_close(&pickup);
    if (!good || gaps != edge)
        return bench_miss("scatter", "%s",
                          good ? "the two are not about the same pairs" : van.fault.text);
    return bench_result("scatter", sampled / single);
}
