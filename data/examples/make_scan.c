/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file make_scan.c
 * @brief Makes the pickup's scan of the frame side: about 200,000 triangles, the same bytes always.
 *
 * Invented data. A grid over X 1250 to 1750 and Z 400 to 700 mm; Y(X, Z) is the nearest of rail,
 * bracket, weld bead and bolt heads, with shallow dents and the ripple that scanners leave. Around
 * (1520, 450) the scanner saw nothing: a round hole of 12 mm. Normals point towards -Y.
 * Coordinates are rounded to 0.001 mm, so that no maths library changes a bit.
 *
 * Usage: make-scan OUT.ply
 */

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

enum { COLUMNS = 500, ROWS = 200 };

#define X0 1250.0
#define Z0 400.0
#define STEP_X 1.0
#define STEP_Z 1.5

static double
nearest(double a, double b)
{
    return a < b ? a : b;
}

/** Depth of the frame side, mm. */
static double
depth(double x, double z)
{
    static const double bolt[3][2] = {{1310, 500}, {1560, 500}, {1660, 500}};
    double y = z >= 430 && z <= 570 ? 405 : 470;

    if (x >= 1385 && x <= 1475 && z >= 490 && z <= 586)
        y = nearest(y, 379);
    if (fabs(z - 560 - 2 * sin(x / 9)) < 3)
        y = nearest(y, 403.5);
    for (int i = 0; i < 3; i++)
        if (hypot(x - bolt[i][0], z - bolt[i][1]) <= 9)
            y = nearest(y, 396);
    y += 3 * exp(-((x - 1600) * (x - 1600) + (z - 470) * (z - 470)) / 800);
    for (int k = 1; k <= 6; k++)
        y += 0.12 * sin(0.11 * k * x + 1.7 * k) * cos(0.17 * k * z + 0.9 * k);
    return y;
}

static bool
in_hole(double x, double z)
{
    return hypot(x - 1520, z - 450) < 6;
}

static void
put_float(FILE *out, double v)
{
    union {
        float number;
        uint32_t bits;
    } u = {.number = (float)(round(v * 1000) / 1000)};
    unsigned char bytes[4] = {(unsigned char)u.bits, (unsigned char)(u.bits >> 8),
                              (unsigned char)(u.bits >> 16), (unsigned char)(u.bits >> 24)};

    fwrite(bytes, 1, 4, out);
}

static void
put_triangle(FILE *out, uint32_t a, uint32_t b, uint32_t c)
{
    uint32_t corner[3] = {a, b, c};

    fputc(3, out);
    for (int i = 0; i < 3; i++)
        for (int shift = 0; shift < 32; shift += 8)
            fputc((int)(corner[i] >> shift & 255), out);
}

/** Writes the quads outside the hole, or only counts their triangles when @p out is NULL. */
static uint32_t
put_quads(FILE *out)
{
    uint32_t triangles = 0;

    for (uint32_t row = 0; row < ROWS; row++)
        for (uint32_t column = 0; column < COLUMNS; column++) {
            uint32_t first = row * (COLUMNS + 1) + column;
            uint32_t above = first + COLUMNS + 1;

            if (in_hole(X0 + STEP_X * (column + 0.5), Z0 + STEP_Z * (row + 0.5)))
                continue;
            triangles += 2;
            if (out == NULL)
                continue;
            put_triangle(out, first, first + 1, above + 1);
            put_triangle(out, first, above + 1, above);
        }
    return triangles;
}

int
main(int argc, char **argv)
{
    FILE *out;

    if (argc != 2) {
        fprintf(stderr, "usage: make-scan OUT.ply\n");
        return 2;
    }
    out = fopen(argv[1], "wb");
    if (out == NULL) {
        perror(argv[1]);
        return 2;
    }
    fprintf(out,
            "ply\nformat binary_little_endian 1.0\n"
            "comment invented data: frame side of a light pickup, mm, bay axes\n"
            "element vertex %d\nproperty float x\nproperty float y\nproperty float z\n"
            "element face %u\nproperty list uchar int vertex_indices\nend_header\n",
            (COLUMNS + 1) * (ROWS + 1), put_quads(NULL));
    for (int row = 0; row <= ROWS; row++)
        for (int column = 0; column <= COLUMNS; column++) {
            double x = X0 + STEP_X * column;
            double z = Z0 + STEP_Z * row;

            put_float(out, x);
            put_float(out, depth(x, z));
            put_float(out, z);
        }
    put_quads(out);
    if (ferror(out) != 0 || fclose(out) != 0) {
        perror(argv[1]);
        return 2;
    }
    return 0;
}
