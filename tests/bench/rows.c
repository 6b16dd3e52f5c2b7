/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file rows.c
 * @brief Fails when a row of the table has no program: rows ID...
 */

#include "bench.h"

#include <stdio.h>
#include <string.h>

int
main(int argc, char **argv)
{
    size_t without = 0;

    for (size_t i = 0; i < bench_row_count(); i++) {
        const char *id = bench_row_number(i)->id;
        bool found = false;

        for (int k = 1; k < argc; k++)
            found = found || strcmp(argv[k], id) == 0;
        if (!found)
            without += (size_t)bench_miss(id, "%s has no program", id);
    }
    bench_note("rows: %zu of %zu have a program", bench_row_count() - without, bench_row_count());
    return without == 0 ? 0 : 1;
}
