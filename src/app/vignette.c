/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/vignette.h"

#include "draw/style.h"

#include <math.h>

/** Size in px at a scale of 1. */
enum { WIDTH = 112, HEIGHT = 72 };

struct _TbVignette {
    GtkWidget parent;
    int subject;
};

G_DEFINE_FINAL_TYPE(TbVignette, tb_vignette, GTK_TYPE_WIDGET)

enum { PROP_SUBJECT = 1, PROPS };

/** A picture being drawn. */
typedef struct Pen {
    cairo_t *cr;
    TbTheme theme;
} Pen;

static void
ink(Pen pen, TbInk role)
{
    TbColour c = tb_style_colour(pen.theme, role);

    cairo_set_source_rgba(pen.cr, c.red, c.green, c.blue, c.alpha);
}

static void
fill_and_line(Pen pen, TbInk fill, TbInk line, double width)
{
    ink(pen, fill);
    cairo_fill_preserve(pen.cr);
    ink(pen, line);
    cairo_set_line_width(pen.cr, width);
    cairo_stroke(pen.cr);
}

static void
disc(Pen pen, double x, double y, double radius, TbInk fill, TbInk line)
{
    cairo_new_sub_path(pen.cr);
    cairo_arc(pen.cr, x, y, radius, 0, 2 * G_PI);
    fill_and_line(pen, fill, line, 1.6);
}

static void
rail(Pen pen)
{
    cairo_rectangle(pen.cr, 8, 40, 26, 24);
    fill_and_line(pen, TB_INK_STRUCTURE, TB_INK_STRUCTURE_EDGE, 1.6);
    cairo_rectangle(pen.cr, 74, 8, 30, 18);
    fill_and_line(pen, TB_INK_COVER, TB_INK_COVER_EDGE, 1.6);
    disc(pen, 92, 46, 5, TB_INK_LINE, TB_INK_LINE_EDGE);
}

/** From one witness point to the other, with a dot at each. */
static void
gap(Pen pen, double x0, double y0, double x1, double y1, TbInk level)
{
    ink(pen, level);
    cairo_set_line_width(pen.cr, 1.6);
    cairo_move_to(pen.cr, x0, y0);
    cairo_line_to(pen.cr, x1, y1);
    cairo_stroke(pen.cr);
    for (int end = 0; end < 2; end++) {
        cairo_arc(pen.cr, end ? x1 : x0, end ? y1 : y0, 2.4, 0, 2 * G_PI);
        cairo_fill(pen.cr);
    }
}

/** The duct of the guide: an S that widens, with its centre line. */
static void
duct(Pen pen)
{
    cairo_t *cr = pen.cr;

    cairo_move_to(cr, 42, 4);
    cairo_curve_to(cr, 42, 30, 46, 34, 58, 38);
    cairo_curve_to(cr, 72, 43, 74, 52, 74, 68);
    cairo_line_to(cr, 50, 68);
    cairo_curve_to(cr, 50, 58, 48, 54, 40, 48);
    cairo_curve_to(cr, 28, 38, 26, 26, 26, 4);
    cairo_close_path(cr);
    fill_and_line(pen, TB_INK_HOT, TB_INK_HOT_EDGE, 1.6);
    ink(pen, TB_INK_INK);
    cairo_set_line_width(cr, 1);
    cairo_set_dash(cr, (double[]){6, 2, 1, 2}, 4, 0);
    cairo_move_to(cr, 34, 2);
    cairo_curve_to(cr, 34, 28, 36, 36, 49, 43);
    cairo_curve_to(cr, 60, 49, 62, 56, 62, 70);
    cairo_stroke(cr);
    cairo_set_dash(cr, NULL, 0, 0);
}

static void
knot(Pen pen, double x, double y)
{
    cairo_rectangle(pen.cr, x - 3, y - 3, 6, 6);
    fill_and_line(pen, TB_INK_PAPER, TB_INK_SELECT, 1.6);
}

static void
draw_bay(Pen pen)
{
    rail(pen);
}

static void
draw_path(Pen pen)
{
    cairo_rectangle(pen.cr, 4, 48, 22, 18);
    fill_and_line(pen, TB_INK_STRUCTURE, TB_INK_STRUCTURE_EDGE, 1.6);
    disc(pen, 92, 34, 5, TB_INK_LINE, TB_INK_LINE_EDGE);
    duct(pen);
    knot(pen, 34, 12);
    knot(pen, 49, 43);
    knot(pen, 62, 62);
}

static void
oval(Pen pen, double width, double height)
{
    cairo_save(pen.cr);
    cairo_translate(pen.cr, 46, 42);
    cairo_rotate(pen.cr, -0.35);
    cairo_scale(pen.cr, width, height);
    cairo_new_sub_path(pen.cr);
    cairo_arc(pen.cr, 0, 0, 1, 0, 2 * G_PI);
    cairo_restore(pen.cr);
}

static void
draw_across(Pen pen)
{
    oval(pen, 34, 23);
    fill_and_line(pen, TB_INK_HOT, TB_INK_HOT_EDGE, 1.6);
    oval(pen, 28, 17);
    fill_and_line(pen, TB_INK_PAPER, TB_INK_HOT_EDGE, 1.2);
    disc(pen, 96, 12, 6, TB_INK_LINE, TB_INK_LINE_EDGE);
    gap(pen, 72, 25, 90.6, 14.8, TB_INK_SHORT);
}

static void
draw_curves(Pen pen)
{
    cairo_t *cr = pen.cr;

    ink(pen, TB_INK_GRID);
    cairo_set_line_width(cr, 1);
    cairo_rectangle(cr, 6.5, 4.5, 99, 28);
    cairo_rectangle(cr, 6.5, 38.5, 99, 28);
    cairo_stroke(cr);
    ink(pen, TB_INK_CURVE_1);
    cairo_set_line_width(cr, 1.8);
    cairo_move_to(cr, 8, 29);
    cairo_curve_to(cr, 40, 27, 60, 12, 104, 9);
    cairo_stroke(cr);
    ink(pen, TB_INK_SHORT);
    cairo_move_to(cr, 8, 43);
    cairo_curve_to(cr, 40, 44, 50, 63, 66, 62);
    cairo_curve_to(cr, 80, 61, 84, 46, 104, 45);
    cairo_stroke(cr);
    ink(pen, TB_INK_QUIET);
    cairo_set_line_width(cr, 1);
    cairo_set_dash(cr, (double[]){3, 2}, 2, 0);
    cairo_move_to(cr, 8, 56.5);
    cairo_line_to(cr, 104, 56.5);
    cairo_stroke(cr);
    cairo_set_dash(cr, NULL, 0, 0);
    ink(pen, TB_INK_SELECT);
    cairo_set_line_width(cr, 1.6);
    cairo_move_to(cr, 66, 2);
    cairo_line_to(cr, 66, 69);
    cairo_stroke(cr);
}

static void
draw_findings(Pen pen)
{
    static const TbInk levels[] = {TB_INK_SHORT, TB_INK_WATCH, TB_INK_HOLDS};
    cairo_t *cr = pen.cr;

    for (int i = 0; i < 3; i++) {
        double y = 14 + 22 * i;

        ink(pen, levels[i]);
        if (i == 0) {
            cairo_move_to(cr, 14, y - 6);
            cairo_line_to(cr, 20, y + 5);
            cairo_line_to(cr, 8, y + 5);
        } else if (i == 1) {
            cairo_rectangle(cr, 9, y - 5, 10, 10);
        } else {
            cairo_arc(cr, 14, y, 5.5, 0, 2 * G_PI);
        }
        cairo_fill(cr);
        ink(pen, TB_INK_INK);
        cairo_set_line_width(cr, 2);
        cairo_move_to(cr, 28, y - 3);
        cairo_line_to(cr, 96 - 14 * i, y - 3);
        cairo_stroke(cr);
        ink(pen, TB_INK_QUIET);
        cairo_set_line_width(cr, 1.4);
        cairo_move_to(cr, 28, y + 4);
        cairo_line_to(cr, 74 - 6 * i, y + 4);
        cairo_stroke(cr);
    }
}

static void (*const pictures[TB_VIGNETTE_COUNT])(Pen) = {
    [TB_VIGNETTE_BAY] = draw_bay,           [TB_VIGNETTE_PATH] = draw_path,
    [TB_VIGNETTE_ACROSS] = draw_across,     [TB_VIGNETTE_CURVES] = draw_curves,
    [TB_VIGNETTE_FINDINGS] = draw_findings,
};

static TbTheme
theme_of(GtkWidget *widget)
{
    GdkRGBA letters;

    gtk_style_context_get_color(gtk_widget_get_style_context(widget), &letters);
    /* only the letters' colour can be asked for: light letters stand on a dark ground */
    return tb_style_theme_on(
        1 - tb_style_luminance((TbColour){letters.red, letters.green, letters.blue, 1}), false);
}

static void
snapshot(GtkWidget *widget, GtkSnapshot *snapshot)
{
    float width = (float)gtk_widget_get_width(widget),
          height = (float)gtk_widget_get_height(widget);
    cairo_t *cr = gtk_snapshot_append_cairo(snapshot, &GRAPHENE_RECT_INIT(0, 0, width, height));
    Pen pen = {cr, theme_of(widget)};

    cairo_translate(cr, (width - WIDTH) / 2, (height - HEIGHT) / 2);
    cairo_rectangle(cr, 0.5, 0.5, WIDTH - 1, HEIGHT - 1);
    ink(pen, TB_INK_PAPER);
    cairo_fill_preserve(cr);
    ink(pen, TB_INK_GRID);
    cairo_set_line_width(cr, 1);
    cairo_stroke_preserve(cr);
    cairo_clip(cr);
    pictures[TB_VIGNETTE(widget)->subject](pen);
    cairo_destroy(cr);
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
    *minimum = *natural = orientation == GTK_ORIENTATION_HORIZONTAL ? WIDTH : HEIGHT;
    *minimum_baseline = *natural_baseline = -1;
}

static void
set_property(GObject *object, guint property, const GValue *value, GParamSpec *spec)
{
    (void)property, (void)spec;
    TB_VIGNETTE(object)->subject = g_value_get_int(value);
    gtk_widget_queue_draw(GTK_WIDGET(object));
}

static void
tb_vignette_class_init(TbVignetteClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    G_OBJECT_CLASS(klass)->set_property = set_property;
    widget_class->snapshot = snapshot;
    widget_class->measure = measure;
    gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_PRESENTATION);
    g_object_class_install_property(G_OBJECT_CLASS(klass), PROP_SUBJECT,
                                    g_param_spec_int("subject", "Subject", "What the picture shows",
                                                     0, TB_VIGNETTE_COUNT - 1, 0,
                                                     G_PARAM_WRITABLE | G_PARAM_STATIC_STRINGS));
}

static void
tb_vignette_init(TbVignette *vignette)
{
    gtk_widget_set_valign(GTK_WIDGET(vignette), GTK_ALIGN_START);
}
