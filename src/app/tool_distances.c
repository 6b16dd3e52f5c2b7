/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/tool_distances.h"

#include "app/item_words.h"
#include "app/names.h"
#include "app/session_tool.h"
#include "base/mem.h"
#include "bay/datum.h"

#include <glib/gi18n.h>
#include <math.h>

enum { POINTS = 3 };

/** Letters of a point's name that are shown whole. */
#define MOST_LETTERS 32

struct _TbToolDistances {
    GtkPopover parent;

    TbSession *session;
    TbDatum *datums; /* as they were when it was opened */
    size_t datum_count;

    GtkDropDown *from[POINTS];
    GtkEntry *distance[POINTS];
    GtkDropDown *side;
    GtkLabel *says;
    GtkButton *set;
};

G_DEFINE_FINAL_TYPE(TbToolDistances, tb_tool_distances, GTK_TYPE_POPOVER)

/** Which of the two points: the words of the list, in its order. */
static const TbVec3 towards[] = {{0, 0, 1},  {0, 0, -1}, {1, 0, 0},
                                 {-1, 0, 0}, {0, 1, 0},  {0, -1, 0}};

/* ---- reading ---- */

static TbStatus
read_point(TbToolDistances *ask, TbVec3 *point, double *spread, TbFault *fault)
{
    TbVec3 from[POINTS];
    const char *names[POINTS];
    double distance[POINTS];
    guint side = gtk_drop_down_get_selected(ask->side);

    for (int i = 0; i < POINTS; i++) {
        guint k = gtk_drop_down_get_selected(ask->from[i]);
        TbStatus status = tb_length_read(gtk_editable_get_text(GTK_EDITABLE(ask->distance[i])),
                                         tb_session_unit(ask->session), &distance[i], fault);

        if (status != TB_OK)
            return status;
        if (k >= ask->datum_count)
            return tb_fail(fault, TB_E_REFERENCE, "%s",
                           _("three points to measure from are needed"));
        from[i] = ask->datums[k].point;
        names[i] = ask->datums[k].name;
    }
    return tb_point_by_distances(
        from, names, distance, towards[MIN(side, G_N_ELEMENTS(towards) - 1)], point, spread, fault);
}

static bool
any_empty(TbToolDistances *ask)
{
    for (int i = 0; i < POINTS; i++)
        if (gtk_editable_get_text(GTK_EDITABLE(ask->distance[i]))[0] == '\0')
            return true;
    return false;
}

static void
say_point(TbToolDistances *ask, TbVec3 point, double spread)
{
    TbLengthUnit unit = tb_session_unit(ask->session);
    char x[TB_TEXT_NUMBER], y[TB_TEXT_NUMBER], z[TB_TEXT_NUMBER], off[TB_TEXT_NUMBER];
    char one[TB_TEXT_NUMBER];
    const char *name = tb_length_unit_name(unit);
    double error = unit == TB_UNIT_INCH ? TB_MM_PER_INCH / 10 : 1;
    g_autofree char *text = NULL;

    tb_length_write(point.x, unit, 1, x);
    tb_length_write(point.y, unit, 1, y);
    tb_length_write(point.z, unit, 1, z);
    /* what a tape is off by: the same in the point's place, times the spread */
    tb_length_write(error, unit, 1, one);
    tb_length_write(spread * error, unit, 1, off);
    tb_text_trim(one);
    /* Translators: coordinates with their unit, then how errors of the tape grow */
    text = g_strdup_printf(_("X %s; Y %s; Z %s %s; %s %s off in each distance puts it %s %s off"),
                           x, y, z, name, one, name, isfinite(spread) ? off : "∞", name);
    gtk_label_set_text(ask->says, text);
}

static void
update(TbToolDistances *ask)
{
    TbFault fault = {0};
    TbVec3 point;
    double spread;
    bool good = read_point(ask, &point, &spread, &fault) == TB_OK;

    gtk_widget_set_sensitive(GTK_WIDGET(ask->set), good);
    if (good)
        say_point(ask, point, spread);
    else
        gtk_label_set_text(ask->says, any_empty(ask) ? _("Type three distances, measured straight")
                                                     : fault.text);
}

static void
typed(GtkEditable *editable, TbToolDistances *ask)
{
    (void)editable;
    update(ask);
}

static void
chosen(GtkDropDown *drop, GParamSpec *spec, TbToolDistances *ask)
{
    (void)drop, (void)spec;
    update(ask);
}

/* What the item is measured from, as long as nothing else is said. */
static void
tell_datum(TbToolDistances *ask)
{
    TbSketchFacts *facts = &tb_session_sketch(ask->session)->facts;
    const char *names[POINTS];

    for (int i = 0; i < POINTS; i++)
        names[i] = ask->datums[gtk_drop_down_get_selected(ask->from[i])].name;
    if (facts->datum == NULL)
        facts->datum = g_strdup_printf("%s, %s, %s", names[0], names[1], names[2]);
}

static void
set_point(GtkWidget *widget, TbToolDistances *ask)
{
    TbFault fault = {0};
    TbVec3 point;
    int slot;

    (void)widget;
    if (read_point(ask, &point, NULL, &fault) != TB_OK)
        return;
    tell_datum(ask);
    tb_session_tool_typing(ask->session, &slot);
    tb_session_tool_aim_point(ask->session, slot, point);
    tb_session_tool_set(ask->session, false);
    for (int i = 0; i < POINTS; i++)
        gtk_editable_set_text(GTK_EDITABLE(ask->distance[i]), "");
    gtk_popover_popdown(GTK_POPOVER(ask));
}

/* ---- opening ---- */

static void
opened(GtkWidget *widget)
{
    TbToolDistances *ask = TB_TOOL_DISTANCES(widget);
    g_autoptr(GtkStringList) names = gtk_string_list_new(NULL);
    guint before[POINTS];

    TB_CLEAR(ask->datums);
    ask->datum_count = 0;
    tb_bay_datums(tb_session_bay(ask->session), tb_session_variant(ask->session), &ask->datums,
                  &ask->datum_count, NULL);
    for (size_t i = 0; i < ask->datum_count; i++)
        gtk_string_list_append(names, ask->datums[i].name);
    for (guint i = 0; i < POINTS; i++) {
        before[i] = gtk_drop_down_get_selected(ask->from[i]);
        gtk_drop_down_set_model(ask->from[i], G_LIST_MODEL(names));
        gtk_drop_down_set_selected(
            ask->from[i],
            before[i] != GTK_INVALID_LIST_POSITION && before[i] < ask->datum_count ? before[i] : i);
    }
    update(ask);
    GTK_WIDGET_CLASS(tb_tool_distances_parent_class)->map(widget);
}

/* ---- the class ---- */

static void
dispose(GObject *object)
{
    TbToolDistances *ask = TB_TOOL_DISTANCES(object);

    TB_CLEAR(ask->datums);
    G_OBJECT_CLASS(tb_tool_distances_parent_class)->dispose(object);
    g_clear_object(&ask->session);
}

#define CHILD(name, member)                                                                        \
    gtk_widget_class_bind_template_child_full(widget_class, name, FALSE,                           \
                                              G_STRUCT_OFFSET(TbToolDistances, member))

static void
tb_tool_distances_class_init(TbToolDistancesClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    G_OBJECT_CLASS(klass)->dispose = dispose;
    widget_class->map = opened;
    gtk_widget_class_set_template_from_resource(widget_class,
                                                "/net/tightbay/Tightbay/tool_distances.ui");
    CHILD("from_1", from[0]);
    CHILD("from_2", from[1]);
    CHILD("from_3", from[2]);
    CHILD("distance_1", distance[0]);
    CHILD("distance_2", distance[1]);
    CHILD("distance_3", distance[2]);
    CHILD("side", side);
    CHILD("says", says);
    CHILD("set", set);
}

static void
tb_tool_distances_init(TbToolDistances *ask)
{
    const char *const sides[] = {
        _("up"),          _("down"), _("to the rear"), _("to the front"), _("to the right"),
        _("to the left"), NULL};
    g_autoptr(GtkStringList) list = gtk_string_list_new(sides);

    gtk_widget_init_template(GTK_WIDGET(ask));
    gtk_drop_down_set_model(ask->side, G_LIST_MODEL(list));
    for (int i = 0; i < POINTS; i++)
        tb_names_dress(ask->from[i], MOST_LETTERS);
}

GtkWidget *
tb_tool_distances_new(TbSession *session)
{
    TbToolDistances *ask = g_object_new(TB_TYPE_TOOL_DISTANCES, NULL);

    ask->session = g_object_ref(session);
    for (int i = 0; i < POINTS; i++) {
        g_signal_connect(ask->from[i], "notify::selected", G_CALLBACK(chosen), ask);
        g_signal_connect(ask->distance[i], "changed", G_CALLBACK(typed), ask);
        g_signal_connect(ask->distance[i], "activate", G_CALLBACK(set_point), ask);
    }
    g_signal_connect(ask->side, "notify::selected", G_CALLBACK(chosen), ask);
    g_signal_connect(ask->set, "clicked", G_CALLBACK(set_point), ask);
    return GTK_WIDGET(ask);
}
