/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/mark.h"

#include "draw/paint.h"

struct _TbLevelMark {
    GtkWidget parent;

    bool shown;
    TbLevel level;
};

G_DEFINE_FINAL_TYPE(TbLevelMark, tb_level_mark, GTK_TYPE_WIDGET)

static bool
is_high_contrast(GtkWidget *widget)
{
    g_autofree char *name = NULL;

    g_object_get(gtk_widget_get_settings(widget), "gtk-theme-name", &name, NULL);
    return name != NULL && (strstr(name, "HighContrast") != NULL || strstr(name, "-hc") != NULL);
}

TbTheme
tb_widget_theme(GtkWidget *widget)
{
    GdkRGBA ink;
    TbColour colour;

    gtk_style_context_get_color(gtk_widget_get_style_context(widget), &ink);
    colour = (TbColour){(double)ink.red, (double)ink.green, (double)ink.blue, 1};
    /* light letters stand on something dark */
    return tb_style_theme_on(1 - tb_style_luminance(colour), is_high_contrast(widget));
}

static void
snapshot(GtkWidget *widget, GtkSnapshot *snapshot)
{
    TbLevelMark *mark = TB_LEVEL_MARK(widget);
    int width = gtk_widget_get_width(widget);
    int height = gtk_widget_get_height(widget);
    double size = MIN(width, height);
    TbPicture picture;
    cairo_t *cairo;

    if (!mark->shown || size <= 0)
        return;
    /* no paper: what lies behind the mark shows; the shape in 4 mm, with room for its line */
    tb_picture_init(&picture, 0, 0);
    tb_picture_level(&picture, (TbVec2){2, 2}, 3, mark->level);
    cairo =
        gtk_snapshot_append_cairo(snapshot, &GRAPHENE_RECT_INIT(0, 0, (float)width, (float)height));
    cairo_translate(cairo, (width - size) / 2, (height - size) / 2);
    cairo_scale(cairo, size / 4, size / 4);
    tb_paint_picture(cairo, &picture, tb_widget_theme(widget));
    cairo_destroy(cairo);
    tb_picture_clear(&picture);
}

static void
css_changed(GtkWidget *widget, GtkCssStyleChange *change)
{
    GTK_WIDGET_CLASS(tb_level_mark_parent_class)->css_changed(widget, change);
    gtk_widget_queue_draw(widget); /* the theme may be another one */
}

static void
tb_level_mark_class_init(TbLevelMarkClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    widget_class->snapshot = snapshot;
    widget_class->css_changed = css_changed;
    gtk_widget_class_set_css_name(widget_class, "mark");
    gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_PRESENTATION);
}

static void
tb_level_mark_init(TbLevelMark *mark)
{
    gtk_widget_set_valign(GTK_WIDGET(mark), GTK_ALIGN_CENTER);
    gtk_widget_set_can_target(GTK_WIDGET(mark), FALSE);
}

GtkWidget *
tb_level_mark_new(void)
{
    return g_object_new(TB_TYPE_LEVEL_MARK, NULL);
}

void
tb_level_mark_set(TbLevelMark *mark, TbLevel level)
{
    if (mark->shown && mark->level == level)
        return;
    mark->shown = true;
    mark->level = level;
    gtk_widget_queue_draw(GTK_WIDGET(mark));
}

void
tb_level_mark_set_none(TbLevelMark *mark)
{
    if (!mark->shown)
        return;
    mark->shown = false;
    gtk_widget_queue_draw(GTK_WIDGET(mark));
}
