/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bench.h"

#include "base/fault.h"
#include "base/text.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static const BenchRow rows[] = {
    {"profile-400", 8, 12, false},
    {"drag-min", 20, 30, false},
    {"static-min", 4, 8, false},
    {"gap-map", 3, 5, false},
    {"tree-build", 1, 1.5, false},
    {"tree-bytes", 2, 2, false},
    {"stl-load", 1 / 2.5, 1 / 1.5, false},
    {"sweep-area", 300, 1000, false},
    {"primitives", 1, 1, false},
    {"certified", 1.5, 1.1, true},
    {"combine", 20, 15, true},
    {"edit-van", 0.73, 0.36, true},
    {"growth", 2.5, 2.5, true},
    {"rock-61", 4, 8, false},
    {"rock-cont", 4, 8, false},
    {"scatter", 60, 20, true},
    {"drag", 1, 1.2, false},
    {"drag-window", 1, 1.2, false},
};

enum { LINE = 400, IN_A_ROW = 3 };

size_t
bench_row_count(void)
{
    return sizeof rows / sizeof rows[0];
}

const BenchRow *
bench_row_number(size_t i)
{
    return &rows[i];
}

const BenchRow *
bench_row(const char *id)
{
    for (size_t i = 0; i < bench_row_count(); i++)
        if (strcmp(rows[i].id, id) == 0)
            return &rows[i];
    return NULL;
}

static void
note(const char *format, va_list args)
{
    char line[LINE];

    tb_text_format_list(line, sizeof line, format, args);
    printf("# %s\n", line);
    fflush(stdout);
}

void
bench_note(const char *format, ...)
{
    va_list args;

    va_start(args, format);
    note(format, args);
    va_end(args);
}

int
bench_result_of(const BenchRow *row, double ratio)
{
    bool pass = row->at_most ? ratio <= row->must : ratio >= row->must;
    char line[LINE];

    tb_text_format(line, sizeof line, "BENCH %s ratio=%.4g must=%.3g reach=%.3g %s", row->id, ratio,
                   row->must, row->reach, pass ? "PASS" : "MISS");
    puts(line);
    fflush(stdout);
    return pass ? 0 : 1;
}

int
bench_result(const char *id, double ratio)
{
    const BenchRow *row = bench_row(id);

    TB_ASSERT(row != NULL);
    return bench_result_of(row, ratio);
}

int
bench_miss(const char *id, const char *format, ...)
{
    const BenchRow *row = bench_row(id);
    char line[LINE];
    va_list args;

    TB_ASSERT(row != NULL);
    va_start(args, format);
    note(format, args);
    va_end(args);
    tb_text_format(line, sizeof line, "BENCH %s ratio=none must=%.3g reach=%.3g MISS", id,
                   row->must, row->reach);
    puts(line);
    return 1;
}

double
bench_clock(void)
{
    struct timespec t;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

static int
compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

double
bench_quantile(double value[], size_t count, double share)
{
    double at = share * (double)(count - 1), low = floor(at);
    size_t i = (size_t)low;

    qsort(value, count, sizeof value[0], compare);
    return i + 1 < count ? value[i] + (at - low) * (value[i + 1] - value[i]) : value[i];
}

double
bench_median(double value[], size_t count)
{
    return bench_quantile(value, count, 0.5);
}

void
bench_race(BenchSide sides[], size_t count, size_t rounds)
{
    size_t runs = rounds * IN_A_ROW;
    double *took = malloc(count * runs * sizeof *took);

    TB_ASSERT(took != NULL);
    for (size_t round = 0; round < rounds; round++)
        for (size_t s = 0; s < count; s++)
            for (size_t i = 0; i < IN_A_ROW; i++) {
                double start = bench_clock();

                sides[s].run(sides[s].user);
                took[s * runs + round * IN_A_ROW + i] = bench_clock() - start;
            }
    for (size_t s = 0; s < count; s++) {
        sides[s].median = bench_median(took + s * runs, runs);
        sides[s].least = took[s * runs];
        bench_note("%s: median %.3f ms, least %.3f ms of %zu runs", sides[s].name, sides[s].median,
                   sides[s].least, runs);
    }
    free(took);
}

double
bench_difference(const double a[], const double b[], size_t count)
{
    double most = 0;

    for (size_t i = 0; i < count; i++)
        most = fmax(most, fabs(a[i] - b[i]));
    return most;
}
