/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file missing.c
 * @brief Stands for a bench whose reference is not installed: missing ID PACKAGE. Always MISS.
 */

#include "bench.h"

#include <stdio.h>

int
main(int argc, char **argv)
{
    if (argc != 3 || bench_row(argv[1]) == NULL) {
        fprintf(stderr, "usage: missing ID PACKAGE, ID one of the rows\n");
        return 2;
    }
    return bench_miss(argv[1], "%s needs a C++ compiler and %s", argv[1], argv[2]);
}
