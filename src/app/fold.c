/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/fold.h"

#include "app/canvas.h"

struct _TbFold {
    GtkWidget parent;

    GtkWidget *child;
    int below;    /* px */
    int wide_min; /* px, what the child asked for when it was last wide */
    bool narrow;
    guint change; /* idle source that changes over; 0: none */
};

G_DEFINE_FINAL_TYPE(TbFold, tb_fold, GTK_TYPE_WIDGET)

enum { PROP_CHILD = 1, PROP_NARROW, PROP_BELOW, PROP_COUNT };
static GParamSpec *properties[PROP_COUNT];

bool
tb_fold_is_narrow(TbFold *fold)
{
    return fold->narrow;
}

/* ---- size ---- */

/* px: larger letters need a wider window to stand side by side. */
static int
least_wide(TbFold *fold)
{
    return (int)(fold->below * MAX(1, tb_font_scale(GTK_WIDGET(fold))));
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
    TbFold *fold = TB_FOLD(widget);

    if (fold->child == NULL)
        return;
    gtk_widget_measure(fold->child, orientation, for_size, minimum, natural, minimum_baseline,
                       natural_baseline);
    if (orientation != GTK_ORIENTATION_HORIZONTAL || fold->narrow)
        return;
    /* a wide child can be folded: it must not keep the window from being made narrower */
    fold->wide_min = *minimum;
    *minimum = MIN(*minimum, fold->below * 3 / 4);
}

static gboolean
change_over(void *data)
{
    TbFold *fold = data;

    fold->change = 0;
    fold->narrow = !fold->narrow;
    g_object_notify_by_pspec(G_OBJECT(fold), properties[PROP_NARROW]);
    gtk_widget_queue_resize(GTK_WIDGET(fold));
    return G_SOURCE_REMOVE;
}

static void
size_allocate(GtkWidget *widget, int width, int height, int baseline)
{
    TbFold *fold = TB_FOLD(widget);
    bool wanted = width < MAX(least_wide(fold), fold->wide_min);
    int least = 0, least_height = 0;

    if (fold->child == NULL)
        return;
    gtk_widget_measure(fold->child, GTK_ORIENTATION_HORIZONTAL, -1, &least, NULL, NULL, NULL);
    gtk_widget_measure(fold->child, GTK_ORIENTATION_VERTICAL, MAX(width, least), &least_height,
                       NULL, NULL, NULL);
    gtk_widget_allocate(fold->child, MAX(width, least), MAX(height, least_height), baseline, NULL);
    /* nothing can be put elsewhere while sizes are handed out */
    if (wanted != fold->narrow && fold->change == 0)
        fold->change = g_idle_add_full(GDK_PRIORITY_REDRAW - 1, change_over, fold, NULL);
    else if (wanted == fold->narrow && fold->change != 0)
        g_clear_handle_id(&fold->change, g_source_remove);
}

/* ---- the class ---- */

static void
set_property(GObject *object, guint id, const GValue *value, GParamSpec *spec)
{
    TbFold *fold = TB_FOLD(object);

    switch (id) {
    case PROP_CHILD:
        g_clear_pointer(&fold->child, gtk_widget_unparent);
        fold->child = g_value_get_object(value);
        if (fold->child != NULL)
            gtk_widget_set_parent(fold->child, GTK_WIDGET(fold));
        break;
    case PROP_BELOW:
        fold->below = g_value_get_int(value);
        gtk_widget_queue_resize(GTK_WIDGET(fold));
        break;
    default:
        G_OBJECT_WARN_INVALID_PROPERTY_ID(object, id, spec);
    }
}

static void
get_property(GObject *object, guint id, GValue *value, GParamSpec *spec)
{
    TbFold *fold = TB_FOLD(object);

    switch (id) {
    case PROP_CHILD:
        g_value_set_object(value, fold->child);
        break;
    case PROP_NARROW:
        g_value_set_boolean(value, fold->narrow);
        break;
    case PROP_BELOW:
        g_value_set_int(value, fold->below);
        break;
    default:
        G_OBJECT_WARN_INVALID_PROPERTY_ID(object, id, spec);
    }
}

static void
dispose(GObject *object)
{
    TbFold *fold = TB_FOLD(object);

    g_clear_handle_id(&fold->change, g_source_remove);
    g_clear_pointer(&fold->child, gtk_widget_unparent);
    G_OBJECT_CLASS(tb_fold_parent_class)->dispose(object);
}

static void
tb_fold_class_init(TbFoldClass *klass)
{
    GObjectClass *object_class = G_OBJECT_CLASS(klass);
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    object_class->set_property = set_property;
    object_class->get_property = get_property;
    object_class->dispose = dispose;
    widget_class->measure = measure;
    widget_class->size_allocate = size_allocate;
    properties[PROP_CHILD] = g_param_spec_object("child", NULL, NULL, GTK_TYPE_WIDGET,
                                                 G_PARAM_READWRITE | G_PARAM_STATIC_STRINGS);
    properties[PROP_NARROW] = g_param_spec_boolean("narrow", NULL, NULL, FALSE,
                                                   G_PARAM_READABLE | G_PARAM_STATIC_STRINGS);
    properties[PROP_BELOW] = g_param_spec_int("below", NULL, NULL, 0, G_MAXINT, 0,
                                              G_PARAM_READWRITE | G_PARAM_STATIC_STRINGS);
    g_object_class_install_properties(object_class, PROP_COUNT, properties);
}

static void
tb_fold_init(TbFold *fold)
{
    gtk_widget_set_overflow(GTK_WIDGET(fold), GTK_OVERFLOW_HIDDEN);
    gtk_widget_set_hexpand(GTK_WIDGET(fold), TRUE);
    gtk_widget_set_vexpand(GTK_WIDGET(fold), TRUE);
}
