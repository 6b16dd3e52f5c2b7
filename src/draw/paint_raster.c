/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Cells of a scale: as an image, or straight onto the dots of a screen. */

#include "draw/paint_private.h"

#include <glib.h>
#include <math.h>
#include <stdint.h>

/** Dots of the image along one side of a cell: between cells the scale runs on evenly, whatever the
 * viewer makes of an image. */
#define DOTS 4

/** A place in a row of cells: between the middles of two of them, the second's share in it. */
typedef struct Between {
    size_t first, second;
    double share;
} Between;

static Between
between(double x, size_t cells)
{
    double k = fmax(0, fmin((double)cells - 1, x - 0.5));
    size_t first = (size_t)k;

    return (Between){first, first + 1 < cells ? first + 1 : first, k - (double)first};
}

/** Linear between the cells' middles. */
static double
share_at(const double *share, const TbMark *mark, Between x, Between y)
{
    const double *a = share + x.first * mark->rows, *b = share + x.second * mark->rows;
    double low = a[y.first] * (1 - x.share) + b[y.first] * x.share;
    double high = a[y.second] * (1 - x.share) + b[y.second] * x.share;

    return low + y.share * (high - low);
}

static uint32_t
dot_of(TbTheme theme, double share)
{
    TbColour c = tb_style_scale(theme, share);

    return (uint32_t)lround(c.red * 255) << 16 | (uint32_t)lround(c.green * 255) << 8 |
           (uint32_t)lround(c.blue * 255);
}

cairo_surface_t *
tb_paint_raster(const TbPicture *picture, const TbMark *mark, TbTheme theme)
{
    enum { STEPS = 256 };
    const double *share = picture->shares + mark->first_share;
    cairo_surface_t *image = cairo_image_surface_create(
        CAIRO_FORMAT_RGB24, (int)mark->columns * DOTS, (int)mark->rows * DOTS);
    int stride = cairo_image_surface_get_stride(image);
    unsigned char *bytes = cairo_image_surface_get_data(image);
    uint32_t scale[STEPS];
    g_autofree Between *along = g_new(Between, mark->columns * DOTS + 1);

    for (int i = 0; i < STEPS; i++)
        scale[i] = dot_of(theme, (double)i / (STEPS - 1));
    for (size_t x = 0; x < mark->columns * DOTS; x++)
        along[x] = between(((double)x + 0.5) / DOTS, mark->columns);
    for (size_t y = 0; bytes != NULL && y < mark->rows * DOTS; y++) {
        uint32_t *row = (uint32_t *)(void *)(bytes + y * (size_t)stride);
        /* the first row of an image is its top */
        Between up = between((double)mark->rows - ((double)y + 0.5) / DOTS, mark->rows);

        for (size_t x = 0; x < mark->columns * DOTS; x++) {
            double at = share_at(share, mark, along[x], up);

            row[x] = scale[(size_t)lround(fmax(0, fmin(1, at)) * (STEPS - 1))];
        }
    }
    cairo_surface_mark_dirty(image);
    return image;
}

void
tb_paint__raster(cairo_t *cairo, const TbPicture *picture, const TbMark *mark, TbTheme theme)
{
    const TbVec2 *corner = picture->points + picture->loops[mark->first_loop].first;
    cairo_surface_t *image = tb_paint_raster(picture, mark, theme);

    cairo_save(cairo);
    cairo_translate(cairo, corner[0].x, corner[0].y);
    cairo_scale(cairo, (corner[2].x - corner[0].x) / (double)(mark->columns * DOTS),
                (corner[2].y - corner[0].y) / (double)(mark->rows * DOTS));
    cairo_set_source_surface(cairo, image, 0, 0);
    cairo_pattern_set_filter(cairo_get_source(cairo), CAIRO_FILTER_BILINEAR);
    cairo_pattern_set_extend(cairo_get_source(cairo), CAIRO_EXTEND_PAD);
    cairo_rectangle(cairo, 0, 0, (double)mark->columns * DOTS, (double)mark->rows * DOTS);
    cairo_fill(cairo);
    cairo_restore(cairo);
    cairo_surface_destroy(image);
}

/* ---- on dots ---- */

/** Colours of the scale that are computed; the straight way from one to the next is off by less
 * than 1/255. */
enum { COMPUTED = 32, SHADES = 256 };

static void
shades_of(TbTheme theme, uint32_t shade[SHADES])
{
    TbColour before = tb_style_scale(theme, 0);
    int per = SHADES / COMPUTED;

    for (int k = 0; k < COMPUTED; k++) {
        TbColour next = tb_style_scale(theme, (k + 1.0) / COMPUTED);

        for (int i = 0; i < per; i++) {
            double there = (double)i / per, here = 1 - there;

            shade[k * per + i] =
                tb_dots_colour((TbColour){here * before.red + there * next.red,
                                          here * before.green + there * next.green,
                                          here * before.blue + there * next.blue, 1})
                    .colour;
        }
        before = next;
    }
}

/* Of each column, where it is cut by a row of dots; a share of all is the last shade, and one that
 * is no number, too, as in an image. */
static void
cut_columns(const double *share, const TbMark *mark, Between up, float shades[])
{
    for (size_t i = 0; i < mark->columns; i++) {
        const double *column = share + i * mark->rows;
        double here = column[up.first] * (1 - up.share) + column[up.second] * up.share;

        shades[i] = (float)((here < 1 ? MAX(here, 0) : 1) * (SHADES - 1) + 0.5);
    }
}

void
tb_paint__raster_on_dots(
    TbDots *dots, double scale, const TbPicture *picture, const TbMark *mark, TbTheme theme)
{
    const TbVec2 *corner = picture->points + picture->loops[mark->first_loop].first;
    TbVec2 low = tb_vec2_scale(corner[0], scale), high = tb_vec2_scale(corner[2], scale);
    TbDotsBox before = tb_dots_clip(dots, tb_dots_nearest_box(low, high));
    TbDotsBox box = tb_dots_clip(dots, before);
    g_autofree Between *along = NULL;
    g_autofree float *column = NULL;
    uint32_t shade[SHADES];

    tb_dots_set_clip(dots, before);
    if (box.left >= box.right || box.top >= box.bottom)
        return;
    shades_of(theme, shade);
    along = g_new(Between, box.right - box.left);
    column = g_new(float, mark->columns);
    for (int x = box.left; x < box.right; x++)
        along[x - box.left] =
            between((x + 0.5 - low.x) / (high.x - low.x) * (double)mark->columns, mark->columns);
    for (int y = box.top; y < box.bottom; y++) {
        /* rows of cells count from below */
        double up = (high.y - (y + 0.5)) / (high.y - low.y) * (double)mark->rows;
        uint32_t *row = tb_dots_row(dots, y);

        cut_columns(picture->shares + mark->first_share, mark, between(up, mark->rows), column);
        for (int x = box.left; x < box.right; x++) {
            const Between *place = &along[x - box.left];
            float a = column[place->first], b = column[place->second];

            row[x] = shade[(int)(a + (float)place->share * (b - a))];
        }
    }
    tb_dots_painted(dots);
}
