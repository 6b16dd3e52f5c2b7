/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench.h
 * @brief Speed against general-purpose libraries: rows, clocks, and the one line that each prints.
 *
 * One program a row. It runs both sides in one process, one thread each, in turn, takes the medians
 * of the processor's time and prints
 *
 *     BENCH id ratio=... must=... reach=... PASS|MISS
 *
 * PASS against `must`. A row that cannot be judged (library not installed, or the two sides do not
 * agree on the answer) prints ratio=none and MISS, and the line before says why. Exit status 0 is
 * PASS, 1 MISS. Lines that begin with # are for people.
 *
 * The ratio is the library's time over ours, so larger is better, but for these:
 *   stl-load   Embree's time to build a tree over our time from file to mesh and tree: work for
 *              which Embree has no part; must 0.4 says within 2.5 times its build
 *   tree-bytes Embree's bytes over ours
 *   certified, edit-van, growth   ours over theirs, smaller is better: certified interval over
 *              plain mesh distance; whole edit, judged in the state and variant shown, over CGAL's
 *              distance alone; larger scene over smaller one
 *   combine    ours over ours, smaller is better: the table of all states and variants over one
 *              static study
 *   scatter    ours over ours, smaller is better: an answer with 10,000 samples of every gap at
 *              tolerance over one that is cold
 *   drag       different results a second while a knot is dragged, without a library; asked are 50
 *              and 25, as many as a screen shows would be 60
 *   drag-window  the same as drawn by the window itself, by the clock on the wall
 * Rows of parts (primitives, certified, drag, drag-window) print a line for each part and then
 * their own: that of the part which is worst against its `must`. For primitives and both drags that
 * line counts in multiples of `must`.
 */
#pragma once

#include <stdbool.h>
#include <stddef.h>

typedef struct BenchRow {
    const char *id;
    double must, reach;
    bool at_most; /**< smaller is better */
} BenchRow;

/** NULL when there is none. */
const BenchRow *bench_row(const char *id);

size_t bench_row_count(void);
const BenchRow *bench_row_number(size_t i);

/** A line for people. */
void bench_note(const char *format, ...) __attribute__((format(printf, 1, 2)));

/** Prints the row's line; @return the exit status. */
int bench_result(const char *id, double ratio);

/** The same with limits that are not the table's. */
int bench_result_of(const BenchRow *row, double ratio);

/** Prints why and the row's line with MISS; @return 1. */
int bench_miss(const char *id, const char *format, ...) __attribute__((format(printf, 2, 3)));

/** ms of processor that this process has used, all its threads: what else the machine does is not
 * in it, and a side that used two threads would pay for both. */
double bench_clock(void);

/** Sorts. */
double bench_median(double value[], size_t count);

/** @p share of 0 to 1; sorts. */
double bench_quantile(double value[], size_t count, double share);

/** One side of a comparison. */
typedef struct BenchSide {
    const char *name;
    void (*run)(void *user);
    void *user;
    double median, least; /**< ms */
} BenchSide;

/**
 * Runs the sides in turn, @p rounds times, three runs in a row each: so all see the same machine,
 * and two of three runs find their data where the run before left it.
 */
void bench_race(BenchSide sides[], size_t count, size_t rounds);

/** mm. Two sides that differ by more do not answer the same question: the row is void. */
#define BENCH_VOID 1e-6

/** Largest difference of two rows of distances. */
double bench_difference(const double a[], const double b[], size_t count);
