/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/digest.h"

#include <glib.h>
#include <string.h>

/* By their bits, the lowest byte first on every machine. */
static void
sum_numbers(GChecksum *sum, const double *numbers, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        uint64_t bits;

        memcpy(&bits, &numbers[i], sizeof bits);
        bits = GUINT64_TO_LE(bits);
        g_checksum_update(sum, (const guchar *)&bits, sizeof bits);
    }
}

static void
sum_points(GChecksum *sum, const TbVec3 *points, size_t count)
{
    for (size_t i = 0; i < count; i++)
        sum_numbers(sum, (double[]){points[i].x, points[i].y, points[i].z}, 3);
}

static void
sum_sweep(GChecksum *sum, const TbSweep *sweep)
{
    const TbCurve *curve = tb_sweep_curve(sweep);
    const TbLaw *law = tb_sweep_law(sweep);

    for (size_t i = 0; i < tb_curve_span_count(curve); i++) {
        const TbSpan *span = tb_curve_span(curve, i);

        sum_numbers(sum, (double[]){span->kind, span->extent, span->radius}, 3);
        sum_points(sum, span->c, 4);
    }
    for (size_t i = 0; i < tb_law_span_count(law); i++) {
        const TbLawSpan *span = tb_law_span(law, i);

        sum_numbers(sum, (double[]){span->start, span->length, span->by_size}, 3);
        sum_numbers(sum, span->size[0], 4);
        sum_numbers(sum, span->size[1], 4);
        sum_numbers(sum, span->turn, 4);
        sum_numbers(sum, span->wall, 4);
        sum_numbers(sum, span->offset_w, 4);
        sum_numbers(sum, span->offset_h, 4);
        sum_numbers(sum, (double[]){span->from.exponent, span->from.area}, 2);
        sum_numbers(sum, (double[]){span->to.exponent, span->to.area}, 2);
    }
    sum_points(sum, (TbVec3[]){tb_sweep_at(sweep, 0).frame.h}, 1);
}

static void
sum_plain(GChecksum *sum, const TbPlain *plain)
{
    sum_numbers(sum, (double[]){plain->kind}, 1);
    switch (plain->kind) {
    case TB_PLAIN_BLOCK:
        sum_points(sum, &plain->block.centre, 1);
        sum_points(sum, plain->block.axis, 3);
        sum_numbers(sum, plain->block.half, 3);
        break;
    case TB_PLAIN_ROD:
        sum_points(sum, (TbVec3[]){plain->rod.a, plain->rod.b}, 2);
        sum_numbers(sum, (double[]){plain->rod.radius_a, plain->rod.radius_b}, 2);
        break;
    case TB_PLAIN_BALL:
        sum_points(sum, &plain->ball.centre, 1);
        sum_numbers(sum, &plain->ball.radius, 1);
        break;
    case TB_PLAIN_OUTLINE:
        sum_points(sum, (TbVec3[]){plain->outline.origin, plain->outline.u, plain->outline.v}, 3);
        for (size_t i = 0; i < plain->outline.count; i++)
            sum_numbers(sum, (double[]){plain->outline.points[i].x, plain->outline.points[i].y}, 2);
        sum_numbers(sum, (double[]){plain->outline.depth, plain->outline.rounding}, 2);
        break;
    }
}

void
tb_digest(const TbSolid *solid, const char *checksum, char out[65])
{
    g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);

    for (size_t i = 0; i < tb_solid_part_count(solid); i++) {
        const TbPart *part = tb_solid_part(solid, i);

        if (part->kind == TB_PART_SWEEP)
            sum_sweep(sum, part->sweep);
        else if (part->kind == TB_PART_PLAIN)
            sum_plain(sum, &part->plain);
        else {
            TbBox3 box = tb_solid_box(solid);

            g_checksum_update(sum, (const guchar *)checksum, -1);
            sum_points(sum, (TbVec3[]){box.low, box.high}, 2);
        }
    }
    g_strlcpy(out, g_checksum_get_string(sum), 65);
}
