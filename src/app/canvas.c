/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/canvas.h"

#include "app/canvas_private.h"
#include "draw/paint.h"

#include <math.h>

G_DEFINE_FINAL_TYPE(TbCanvas, tb_canvas, GTK_TYPE_WIDGET)

/** px of the toolkit's usual letters, 10 pt at 96 dots an inch: there the scale is 1. */
#define USUAL_FONT (10 * 96 / 72.0)

/* ---- measures ---- */

double
tb_font_scale(GtkWidget *widget)
{
    const PangoFontDescription *font =
        pango_context_get_font_description(gtk_widget_get_pango_context(widget));
    double size = (double)pango_font_description_get_size(font) / PANGO_SCALE;

    if (!pango_font_description_get_size_is_absolute(font))
        size *= 96 / 72.0;
    /* a theme that names no size */
    return size > 1 ? size / USUAL_FONT : 1;
}

double
tb_canvas_dots(TbCanvas *canvas)
{
    return TB_CANVAS_DOTS * canvas->font_scale;
}

double
tb_canvas_pixel(TbCanvas *canvas)
{
    return 1 / (tb_canvas_dots(canvas) * gtk_widget_get_scale_factor(GTK_WIDGET(canvas)));
}

TbVec2
tb_canvas_size(TbCanvas *canvas)
{
    double dots = tb_canvas_dots(canvas);

    return tb_vec2(gtk_widget_get_width(GTK_WIDGET(canvas)) / dots,
                   gtk_widget_get_height(GTK_WIDGET(canvas)) / dots);
}

TbMeasurer
tb_canvas_measurer(TbCanvas *canvas)
{
    return tb_paint_measurer(canvas->measurer);
}

/** The desktop's high contrast is a theme of its own; GTK_THEME overrules the setting. */
static bool
is_high_contrast(GtkWidget *widget)
{
    const char *forced = g_getenv("GTK_THEME");
    g_autofree char *name = NULL;

    g_object_get(gtk_widget_get_settings(widget), "gtk-theme-name", &name, NULL);
    if (forced != NULL && forced[0] != '\0') {
        g_free(name);
        name = g_strdup(forced);
    }
    return name != NULL && (strstr(name, "HighContrast") != NULL || strstr(name, "-hc") != NULL);
}

TbTheme
tb_canvas_theme(TbCanvas *canvas)
{
    GtkStyleContext *style = gtk_widget_get_style_context(GTK_WIDGET(canvas));
    GdkRGBA ink;
    double luminance;

    gtk_style_context_get_color(style, &ink);
    luminance = tb_style_luminance((TbColour){ink.red, ink.green, ink.blue, 1});
    /* only the letters' colour can be asked for: light letters stand on a dark ground */
    return tb_style_theme_on(1 - luminance, is_high_contrast(GTK_WIDGET(canvas)));
}

/* ---- drawing ---- */

void
tb_canvas_redraw(TbCanvas *canvas)
{
    canvas->stale = true;
    g_clear_pointer(&canvas->over, g_ptr_array_unref);
    gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

void
tb_canvas_redraw_over(TbCanvas *canvas)
{
    g_clear_pointer(&canvas->over, g_ptr_array_unref);
    gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

void
tb_canvas_set_stale(TbCanvas *canvas, bool stale)
{
    if (stale)
        gtk_widget_add_css_class(GTK_WIDGET(canvas), "stale");
    else
        gtk_widget_remove_css_class(GTK_WIDGET(canvas), "stale");
}

/** A node as large as one mark, on whole dots. */
static GskRenderNode *
node_of_mark(TbCanvas *canvas, const TbPicture *picture, size_t k, TbTheme theme)
{
    const TbMark *mark = &picture->marks[k];
    TbMeasurer measurer = tb_canvas_measurer(canvas);
    double dots = tb_canvas_dots(canvas);
    double wide = mark->kind == TB_MARK_TEXT
                      ? measurer.width(measurer.user, tb_picture_string(picture, mark->text),
                                       mark->size, mark->bold)
                      : 0;
    TbVec2 low, high;
    GskRenderNode *node;
    cairo_t *cairo;

    tb_picture_mark_box(picture, mark, wide, &low, &high);
    low = tb_vec2(floor(fmax(-10, low.x * dots - 1)), floor(fmax(-10, low.y * dots - 1)));
    high = tb_vec2(ceil(fmin(gtk_widget_get_width(GTK_WIDGET(canvas)) + 10, high.x * dots + 1)),
                   ceil(fmin(gtk_widget_get_height(GTK_WIDGET(canvas)) + 10, high.y * dots + 1)));
    if (!(high.x > low.x && high.y > low.y))
        return NULL;
    node = gsk_cairo_node_new(&GRAPHENE_RECT_INIT(
        (float)low.x, (float)low.y, (float)(high.x - low.x), (float)(high.y - low.y)));
    cairo = gsk_cairo_node_get_draw_context(node);
    cairo_scale(cairo, dots, dots);
    tb_paint_some(cairo, picture, k, 1, theme, canvas->measurer);
    cairo_destroy(cairo);
    return node;
}

static void
make_over(TbCanvas *canvas)
{
    TbTheme theme = tb_canvas_theme(canvas);
    TbPicture picture;

    tb_picture_init(&picture, 0, 0);
    canvas->over = g_ptr_array_new_with_free_func((GDestroyNotify)gsk_render_node_unref);
    if (canvas->def.draw_over != NULL)
        canvas->def.draw_over(canvas->def.user, &picture, tb_canvas_size(canvas));
    for (size_t k = 0; k < picture.mark_count; k++) {
        GskRenderNode *node = node_of_mark(canvas, &picture, k, theme);

        if (node != NULL)
            g_ptr_array_add(canvas->over, node);
    }
    tb_picture_clear(&picture);
}

static void
snapshot(GtkWidget *widget, GtkSnapshot *snapshot)
{
    TbCanvas *canvas = TB_CANVAS(widget);

    if (gtk_widget_get_width(widget) <= 0 || gtk_widget_get_height(widget) <= 0)
        return;
    tb_canvas__append_tiles(canvas, snapshot);
    if (canvas->over == NULL)
        make_over(canvas);
    for (guint i = 0; i < canvas->over->len; i++)
        gtk_snapshot_append_node(snapshot, canvas->over->pdata[i]);
}

size_t
tb_canvas_hits(TbCanvas *canvas, TbVec2 at, double dots, const char *tags[], size_t most)
{
    return tb_picture_hits(tb_repaint_picture(canvas->repaint), at, dots / tb_canvas_dots(canvas),
                           tags, most);
}

/* ---- the widget ---- */

static void
size_allocate(GtkWidget *widget, int width, int height, int baseline)
{
    TbCanvas *canvas = TB_CANVAS(widget);

    GTK_WIDGET_CLASS(tb_canvas_parent_class)->size_allocate(widget, width, height, baseline);
    if (width != canvas->laid_width || height != canvas->laid_height)
        g_clear_pointer(&canvas->over, g_ptr_array_unref);
}

static void
css_changed(GtkWidget *widget, GtkCssStyleChange *change)
{
    GTK_WIDGET_CLASS(tb_canvas_parent_class)->css_changed(widget, change);
    TB_CANVAS(widget)->font_scale = tb_font_scale(widget);
    tb_canvas_redraw(TB_CANVAS(widget));
}

static void
measure(GtkWidget *widget,
        GtkOrientation orientation,
        int for_size,
        int *minimum,
        int *natural,
        int *minimum_baseline,
        int *natural_baseline)
{
    (void)widget, (void)for_size;
    /* a pane smaller than this shows nothing of use */
    *minimum = orientation == GTK_ORIENTATION_HORIZONTAL ? 140 : 110;
    *natural = orientation == GTK_ORIENTATION_HORIZONTAL ? 360 : 300;
    *minimum_baseline = *natural_baseline = -1;
}

void
tb_canvas_describe(TbCanvas *canvas, const char *label, const char *description)
{
    gtk_accessible_update_property(GTK_ACCESSIBLE(canvas), GTK_ACCESSIBLE_PROPERTY_LABEL, label,
                                   GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, description, -1);
}

void
tb_canvas_forget(TbCanvas *canvas)
{
    canvas->def = (TbCanvasDef){0};
}

static void
dispose(GObject *object)
{
    tb_canvas_forget(TB_CANVAS(object));
    G_OBJECT_CLASS(tb_canvas_parent_class)->dispose(object);
}

static void
finalize(GObject *object)
{
    TbCanvas *canvas = TB_CANVAS(object);

    tb_canvas__forget_tiles(canvas);
    g_clear_pointer(&canvas->over, g_ptr_array_unref);
    tb_repaint_free(canvas->repaint);
    tb_paint_measurer_free(canvas->measurer);
    G_OBJECT_CLASS(tb_canvas_parent_class)->finalize(object);
}

static void
tb_canvas_class_init(TbCanvasClass *klass)
{
    GtkWidgetClass *widget = GTK_WIDGET_CLASS(klass);

    G_OBJECT_CLASS(klass)->dispose = dispose;
    G_OBJECT_CLASS(klass)->finalize = finalize;
    widget->snapshot = snapshot;
    widget->size_allocate = size_allocate;
    widget->css_changed = css_changed;
    widget->measure = measure;
    gtk_widget_class_set_css_name(widget, "drawing");
    gtk_widget_class_set_accessible_role(widget, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
tb_canvas_init(TbCanvas *canvas)
{
    GtkWidget *widget = GTK_WIDGET(canvas);

    canvas->measurer = tb_paint_measurer_new();
    canvas->repaint = tb_repaint_new(canvas->measurer);
    canvas->font_scale = 1;
    gtk_widget_set_focusable(widget, TRUE);
    gtk_widget_set_hexpand(widget, TRUE);
    gtk_widget_set_vexpand(widget, TRUE);
    gtk_widget_set_overflow(widget, GTK_OVERFLOW_HIDDEN);
    g_signal_connect_swapped(widget, "notify::scale-factor", G_CALLBACK(tb_canvas_redraw), canvas);
    /* a theme of the same letters may have another contrast */
    g_signal_connect_object(gtk_widget_get_settings(widget), "notify::gtk-theme-name",
                            G_CALLBACK(tb_canvas_redraw), canvas, G_CONNECT_SWAPPED);
    tb_canvas__add_gestures(canvas);
}

GtkWidget *
tb_canvas_new(const TbCanvasDef *def)
{
    TbCanvas *canvas = g_object_new(TB_TYPE_CANVAS, NULL);

    canvas->def = *def;
    return GTK_WIDGET(canvas);
}
