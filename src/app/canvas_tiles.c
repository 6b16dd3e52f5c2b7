/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * A canvas's picture on the screen: its image cut into tiles, each a render node. The toolkit draws
 * again what has another node than before, so an answer that changes a corner of a drawing costs
 * that corner.
 */

#include "app/canvas_private.h"

#include <math.h>

/** px of the widget: side of a tile. Smaller ones fit a change better, but each has its price. */
#define TILE 128

static const cairo_user_data_key_t image_key;

/* ---- which tiles there are ---- */

static int
tiles_along(int size)
{
    return (size + TILE - 1) / TILE;
}

static void
unref_tile(void *node)
{
    if (node != NULL)
        gsk_render_node_unref(node);
}

static void
lay_tiles(TbCanvas *canvas, int width, int height)
{
    tb_canvas__forget_tiles(canvas);
    canvas->laid_width = width;
    canvas->laid_height = height;
    canvas->tiles = g_ptr_array_new_with_free_func(unref_tile);
    g_ptr_array_set_size(canvas->tiles, tiles_along(width) * tiles_along(height));
}

void
tb_canvas__forget_tiles(TbCanvas *canvas)
{
    g_clear_pointer(&canvas->tiles, g_ptr_array_unref);
}

/* Takes away the tiles that a part of the image touches. */
static void
drop_part(TbCanvas *canvas, TbRepaintPart part, int scale)
{
    int side = TILE * scale, columns = tiles_along(canvas->laid_width);

    for (int row = part.y / side; row <= (part.y + part.height - 1) / side; row++)
        for (int column = part.x / side; column <= (part.x + part.width - 1) / side; column++) {
            void **tile = &canvas->tiles->pdata[row * columns + column];

            unref_tile(*tile);
            *tile = NULL;
        }
}

/* ---- a tile ---- */

/* A part of an image, with the image's own dots: they change under it, but then the tile that shows
 * them goes, too. */
static cairo_surface_t *
part_of(cairo_surface_t *image, int x, int y, int width, int height)
{
    int stride = cairo_image_surface_get_stride(image);
    unsigned char *dots = cairo_image_surface_get_data(image);
    cairo_surface_t *part;

    cairo_surface_flush(image);
    part = cairo_image_surface_create_for_data(dots + (ptrdiff_t)y * stride + (ptrdiff_t)x * 4,
                                               CAIRO_FORMAT_RGB24, width, height, stride);
    cairo_surface_set_user_data(part, &image_key, cairo_surface_reference(image),
                                (cairo_destroy_func_t)cairo_surface_destroy);
    return part;
}

static GskRenderNode *
node_of_tile(TbCanvas *canvas, cairo_surface_t *image, int scale, guint number)
{
    int columns = tiles_along(canvas->laid_width);
    int x = (int)number % columns * TILE, y = (int)number / columns * TILE;
    int width = MIN(TILE, canvas->laid_width - x), height = MIN(TILE, canvas->laid_height - y);
    GskRenderNode *node =
        gsk_cairo_node_new(&GRAPHENE_RECT_INIT((float)x, (float)y, (float)width, (float)height));
    cairo_t *cairo = gsk_cairo_node_get_draw_context(node);
    cairo_surface_t *part = part_of(image, x * scale, y * scale, width * scale, height * scale);

    cairo_surface_set_device_scale(part, scale, scale);
    cairo_set_source_surface(cairo, part, x, y);
    cairo_paint(cairo);
    cairo_destroy(cairo);
    /* what the node has recorded shares the part's dots, and copies them when the part goes first
     */
    cairo_surface_set_user_data(gsk_cairo_node_get_surface(node), &image_key, part,
                                (cairo_destroy_func_t)cairo_surface_destroy);
    return node;
}

/* ---- the image ---- */

/* Of a canvas whose owner paints it. */
static cairo_surface_t *
painted_image(TbCanvas *canvas, const TbRepaintLook *look)
{
    cairo_surface_t *image =
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, look->width, look->height);
    cairo_t *cairo = cairo_create(image);

    cairo_scale(cairo, look->dots, look->dots);
    canvas->def.paint(canvas->def.user, cairo, tb_canvas_size(canvas));
    cairo_destroy(cairo);
    return image;
}

/* Brings the image to the picture as its owner draws it now, and drops the tiles that differ. */
static cairo_surface_t *
drawn_image(TbCanvas *canvas, const TbRepaintLook *look, int scale)
{
    TbRepaintPart parts[TB_REPAINT_MOST];
    TbPicture picture;
    size_t count;

    tb_picture_init(&picture, 0, 0);
    if (canvas->def.draw != NULL)
        canvas->def.draw(canvas->def.user, &picture, tb_canvas_size(canvas));
    /* paper to the last dot, also where the picture's size is rounded */
    picture.width = look->width / look->dots + 1;
    picture.height = look->height / look->dots + 1;
    count = tb_repaint_take(canvas->repaint, &picture, look, parts);
    for (size_t i = 0; i < count; i++)
        drop_part(canvas, parts[i], scale);
    return cairo_surface_reference(tb_repaint_image(canvas->repaint));
}

static void
update(TbCanvas *canvas, int width, int height)
{
    int scale = gtk_widget_get_scale_factor(GTK_WIDGET(canvas));
    TbRepaintLook look = {.width = width * scale,
                          .height = height * scale,
                          .dots = tb_canvas_dots(canvas) * scale,
                          .theme = tb_canvas_theme(canvas)};
    cairo_surface_t *image;

    if (canvas->tiles == NULL || canvas->def.paint != NULL)
        lay_tiles(canvas, width, height);
    image = canvas->def.paint != NULL ? painted_image(canvas, &look)
                                      : drawn_image(canvas, &look, scale);
    for (guint i = 0; i < canvas->tiles->len; i++)
        if (canvas->tiles->pdata[i] == NULL)
            canvas->tiles->pdata[i] = node_of_tile(canvas, image, scale, i);
    cairo_surface_destroy(image);
    canvas->stale = false;
}

/* ---- from the canvas ---- */

void
tb_canvas__append_tiles(TbCanvas *canvas, GtkSnapshot *snapshot)
{
    int width = gtk_widget_get_width(GTK_WIDGET(canvas));
    int height = gtk_widget_get_height(GTK_WIDGET(canvas));

    if (canvas->laid_width != width || canvas->laid_height != height)
        tb_canvas__forget_tiles(canvas);
    if (canvas->tiles == NULL || canvas->stale)
        update(canvas, width, height);
    for (guint i = 0; i < canvas->tiles->len; i++)
        gtk_snapshot_append_node(snapshot, canvas->tiles->pdata[i]);
}
