/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file section_dump.c
 * @brief Prints random sections and blends with what the geometry says of them, one a line, for
 *        section_reference.py to compute again with scipy.
 */

#include "base/text.h"
#include "geom/law.h"

#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define LENGTH 173.9

static double
between(gsl_rng *rng, double low, double high)
{
    return low + (high - low) * gsl_rng_uniform(rng);
}

static TbSection
any_section(gsl_rng *rng)
{
    double width = between(rng, 15, 120), height = between(rng, 15, 120);
    bool superellipse = gsl_rng_get(rng) % 2 == 0;
    TbSection s = superellipse ? tb_section_superellipse(width, height, exp(between(rng, 0.15, 3)))
                               : tb_section_rounded(width, height, 1);

    for (int i = 0; i < 4; i++)
        s.corner[i] = between(rng, 0.02, 0.5) * fmin(width, height);
    s.half[TB_SIDE_RIGHT] = between(rng, 0.2, 0.8) * width;
    s.half[TB_SIDE_LEFT] = width - s.half[TB_SIDE_RIGHT];
    s.half[TB_SIDE_UP] = between(rng, 0.2, 0.8) * height;
    s.half[TB_SIDE_DOWN] = height - s.half[TB_SIDE_UP];
    s.wall = between(rng, 0, 6);
    return s;
}

static void
print_numbers(const double *x, int count)
{
    for (int i = 0; i < count; i++) {
        char text[TB_TEXT_NUMBER];

        tb_text_from_double(x[i], text);
        printf(",%s", text);
    }
}

static void
print_section(TbSection s)
{
    printf(",%s", s.kind == TB_SECTION_ROUNDED ? "rounded" : "superellipse");
    print_numbers(s.half, 4);
    print_numbers(&s.exponent, 1);
    print_numbers(s.corner, 4);
    print_numbers(&s.wall, 1);
}

static int
print_blend(gsl_rng *rng)
{
    TbSectionRow rows[2] = {{.section = any_section(rng)},
                            {.section = any_section(rng), .station = LENGTH}};
    double station = between(rng, 0, LENGTH);
    TbLaw *law = NULL;
    TbFault fault = {0};
    TbSlice slice;
    double out[7];

    if (tb_law_new(rows, 2, LENGTH, &law, &fault) != TB_OK) {
        fprintf(stderr, "%s\n", fault.text);
        return EXIT_FAILURE;
    }
    slice = tb_law_at(law, station);
    printf("blend");
    print_section(rows[0].section);
    print_section(rows[1].section);
    out[0] = station / LENGTH;
    out[1] = tb_slice_width(&slice);
    out[2] = tb_slice_height(&slice);
    out[3] = tb_slice_area(&slice, false);
    out[4] = tb_slice_area(&slice, true);
    out[5] = tb_slice_perimeter(&slice, false);
    out[6] = tb_slice_perimeter(&slice, true);
    print_numbers(out, 7);
    printf("\n");
    tb_law_unref(law);
    return EXIT_SUCCESS;
}

int
main(void)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    int status = EXIT_SUCCESS;

    gsl_rng_set(rng, 19811);
    for (int i = 0; i < 60; i++) {
        TbSection s = any_section(rng);
        double out[2] = {tb_section_area(s), tb_section_perimeter(s)};

        printf("section");
        print_section(s);
        print_numbers(out, 2);
        printf("\n");
    }
    for (int i = 0; i < 40 && status == EXIT_SUCCESS; i++)
        status = print_blend(rng);
    gsl_rng_free(rng);
    return status;
}
