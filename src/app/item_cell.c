/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/item_cell.h"

#include "app/in_view.h"
#include "app/mark.h"
#include "app/tip.h"

#include <glib/gi18n.h>

struct _TbItemCell {
    GtkListBoxRow parent;

    TbItemRow *row;
    TbItemRows *rows;
    TbSession *session;

    TbLevelMark *mark;
    GtkStack *stack; /* label or entry */
    GtkLabel *name, *note, *value;
    GtkEntry *entry;
    GtkToggleButton *eye;
    bool updating;
};

G_DEFINE_FINAL_TYPE(TbItemCell, tb_item_cell, GTK_TYPE_LIST_BOX_ROW)

/* So much of a name is shown, however narrow the pane: "Turbine outl..." */
enum { NAME_CHARS = 12 };

enum { RENAMED, DROPPED, SIGNALS };
static guint signals[SIGNALS];

static void
set_class(void *widget, const char *name, bool on)
{
    if (on)
        gtk_widget_add_css_class(widget, name);
    else
        gtk_widget_remove_css_class(widget, name);
}

/* ---- what it shows ---- */

static void
show_eye(TbItemCell *line)
{
    const TbItemRow *row = line->row;
    g_autofree char *label = g_strdup_printf(row->hidden ? _("Show %s") : _("Hide %s"), row->name);

    line->updating = true;
    gtk_widget_set_visible(GTK_WIDGET(line->eye), row->is_item);
    gtk_button_set_icon_name(GTK_BUTTON(line->eye),
                             row->hidden ? "view-conceal-symbolic" : "view-reveal-symbolic");
    gtk_toggle_button_set_active(line->eye, row->hidden);
    if (tb_tip_set(GTK_WIDGET(line->eye), label))
        gtk_accessible_update_property(GTK_ACCESSIBLE(line->eye), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                       label, -1);
    set_class(line->eye, "kept", row->hidden);
    line->updating = false;
}

static void
show_row(TbItemRow *row, TbItemCell *line)
{
    if (row->judged)
        tb_level_mark_set(line->mark, row->level);
    else
        tb_level_mark_set_none(line->mark);
    gtk_label_set_text(line->name, row->name);
    /* a note may not take a name's place */
    gtk_label_set_width_chars(line->name, (int)MIN(g_utf8_strlen(row->name, -1), NAME_CHARS));
    gtk_label_set_text(line->note, row->note);
    gtk_widget_set_visible(GTK_WIDGET(line->note), row->note[0] != '\0');
    gtk_label_set_text(line->value, row->value);
    set_class(line->value, "short", row->is_short);
    set_class(line->value, "stale", row->stale);
    set_class(line->note, "stale", row->stale);
    set_class(line->name, "quiet", row->hidden || row->absent);
    show_eye(line);
    gtk_accessible_update_property(GTK_ACCESSIBLE(line), GTK_ACCESSIBLE_PROPERTY_LABEL, row->said,
                                   -1);
}

/* Letters of a tip's line: the toolkit does not wrap a tip of several lines, and a sentence of a
 * finding is wider than the screen. */
#define TIP_LETTERS 60

static void
set_tip(GtkTooltip *tooltip, const char *text)
{
    GtkWidget *label = gtk_label_new(text);

    gtk_label_set_wrap(GTK_LABEL(label), TRUE);
    gtk_label_set_max_width_chars(GTK_LABEL(label), TIP_LETTERS);
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_tooltip_set_custom(tooltip, label);
}

static gboolean
query_tooltip(GtkWidget *widget, int x, int y, gboolean keyboard, GtkTooltip *tooltip, void *data)
{
    TbItemCell *line = TB_ITEM_CELL(widget);
    g_autofree char *text = tb_item_rows_explain(line->rows, line->row);

    (void)x, (void)y, (void)keyboard, (void)data;
    /* a name that did not fit is told whole */
    if (text == NULL && pango_layout_is_ellipsized(gtk_label_get_layout(line->name)))
        text = g_strdup(line->row->name);
    if (text != NULL)
        set_tip(tooltip, text);
    return text != NULL;
}

static void
eye_toggled(GtkToggleButton *eye, TbItemCell *line)
{
    if (!line->updating)
        tb_session_set_hidden(line->session, line->row->id, gtk_toggle_button_get_active(eye));
}

/* ---- renaming ---- */

static bool
is_renaming(TbItemCell *line)
{
    return g_strcmp0(gtk_stack_get_visible_child_name(line->stack), "entry") == 0;
}

/* Back to the label; what was typed is told where it is wanted. */
static void
end_rename(TbItemCell *line, bool take)
{
    g_autofree char *typed = g_strdup(gtk_editable_get_text(GTK_EDITABLE(line->entry)));
    bool had_focus = gtk_widget_get_focus_child(GTK_WIDGET(line->entry)) != NULL;

    if (!is_renaming(line))
        return;
    gtk_stack_set_visible_child_name(line->stack, "label");
    if (had_focus)
        gtk_widget_grab_focus(GTK_WIDGET(line));
    if (take)
        g_signal_emit(line, signals[RENAMED], 0, typed);
}

void
tb_item_cell_rename(TbItemCell *line)
{
    gtk_editable_set_text(GTK_EDITABLE(line->entry), line->row->name);
    gtk_stack_set_visible_child_name(line->stack, "entry");
    gtk_widget_grab_focus(GTK_WIDGET(line->entry));
    gtk_editable_select_region(GTK_EDITABLE(line->entry), 0, -1);
}

static void
entry_activate(GtkEntry *entry, TbItemCell *line)
{
    (void)entry;
    end_rename(line, true);
}

static void
entry_left(GtkEventControllerFocus *focus, TbItemCell *line)
{
    (void)focus;
    end_rename(line, true);
}

static gboolean
entry_key(
    GtkEventControllerKey *keys, guint key, guint code, GdkModifierType state, TbItemCell *line)
{
    (void)keys, (void)code, (void)state;
    if (key != GDK_KEY_Escape)
        return FALSE;
    end_rename(line, false);
    return TRUE;
}

static void
name_pressed(GtkGestureClick *click, int presses, double x, double y, TbItemCell *line)
{
    (void)x, (void)y;
    if (presses != 2 || line->row->group == TB_GROUP_STEPS)
        return;
    gtk_gesture_set_state(GTK_GESTURE(click), GTK_EVENT_SEQUENCE_CLAIMED);
    tb_item_cell_rename(line);
}

static GtkWidget *
entry_new(TbItemCell *line)
{
    GtkWidget *entry = gtk_entry_new();
    GtkEventController *focus = gtk_event_controller_focus_new();
    GtkEventController *keys = gtk_event_controller_key_new();

    line->entry = GTK_ENTRY(entry);
    gtk_widget_add_css_class(entry, "rename");
    gtk_accessible_update_property(GTK_ACCESSIBLE(entry), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                   _("New name"), -1);
    g_signal_connect(entry, "activate", G_CALLBACK(entry_activate), line);
    g_signal_connect(focus, "leave", G_CALLBACK(entry_left), line);
    gtk_event_controller_set_propagation_phase(keys, GTK_PHASE_CAPTURE);
    g_signal_connect(keys, "key-pressed", G_CALLBACK(entry_key), line);
    gtk_widget_add_controller(entry, focus);
    gtk_widget_add_controller(entry, keys);
    return entry;
}

/* ---- dragging ---- */

static GdkContentProvider *
drag_prepare(GtkDragSource *source, double x, double y, TbItemCell *line)
{
    (void)source, (void)x, (void)y;
    if (is_renaming(line))
        return NULL;
    return gdk_content_provider_new_typed(TB_TYPE_ITEM_ROW, line->row);
}

static void
drag_begin(GtkDragSource *source, GdkDrag *drag, TbItemCell *line)
{
    g_autoptr(GdkPaintable) picture = gtk_widget_paintable_new(GTK_WIDGET(line));

    (void)drag;
    gtk_drag_source_set_icon(source, picture, 12, 12);
}

static bool
is_below(TbItemCell *line, double y)
{
    return y > gtk_widget_get_height(GTK_WIDGET(line)) / 2.0;
}

static void
clear_drop(TbItemCell *line)
{
    set_class(line, "drop-above", false);
    set_class(line, "drop-below", false);
}

/* Rows keep to their group: the order within it is the document's. */
static GdkDragAction
drop_motion(GtkDropTarget *target, double x, double y, TbItemCell *line)
{
    const GValue *value = gtk_drop_target_get_value(target);
    TbItemRow *dragged = value == NULL ? NULL : g_value_get_object(value);

    (void)x;
    clear_drop(line);
    if (dragged == NULL || dragged == line->row || dragged->group != line->row->group)
        return 0;
    set_class(line, is_below(line, y) ? "drop-below" : "drop-above", true);
    return GDK_ACTION_MOVE;
}

static void
drop_leave(GtkDropTarget *target, TbItemCell *line)
{
    (void)target;
    clear_drop(line);
}

static gboolean
dropped(GtkDropTarget *target, const GValue *value, double x, double y, TbItemCell *line)
{
    TbItemRow *dragged = g_value_get_object(value);

    (void)target, (void)x;
    clear_drop(line);
    if (dragged == line->row || dragged->group != line->row->group)
        return FALSE;
    g_signal_emit(line, signals[DROPPED], 0, dragged, is_below(line, y));
    return TRUE;
}

static void
add_dragging(TbItemCell *line)
{
    GtkDragSource *source = gtk_drag_source_new();
    GtkDropTarget *target = gtk_drop_target_new(TB_TYPE_ITEM_ROW, GDK_ACTION_MOVE);

    gtk_drag_source_set_actions(source, GDK_ACTION_MOVE);
    g_signal_connect(source, "prepare", G_CALLBACK(drag_prepare), line);
    g_signal_connect(source, "drag-begin", G_CALLBACK(drag_begin), line);
    gtk_drop_target_set_preload(target, TRUE);
    g_signal_connect(target, "enter", G_CALLBACK(drop_motion), line);
    g_signal_connect(target, "motion", G_CALLBACK(drop_motion), line);
    g_signal_connect(target, "leave", G_CALLBACK(drop_leave), line);
    g_signal_connect(target, "drop", G_CALLBACK(dropped), line);
    gtk_widget_add_controller(GTK_WIDGET(line), GTK_EVENT_CONTROLLER(source));
    gtk_widget_add_controller(GTK_WIDGET(line), GTK_EVENT_CONTROLLER(target));
}

/* ---- the class ---- */

static void
dispose(GObject *object)
{
    TbItemCell *line = TB_ITEM_CELL(object);

    g_clear_object(&line->row);
    g_clear_object(&line->rows);
    g_clear_object(&line->session);
    G_OBJECT_CLASS(tb_item_cell_parent_class)->dispose(object);
}

static void
snapshot(GtkWidget *widget, GtkSnapshot *snapshot)
{
    if (tb_in_view_draws(widget))
        GTK_WIDGET_CLASS(tb_item_cell_parent_class)->snapshot(widget, snapshot);
}

static void
tb_item_cell_class_init(TbItemCellClass *klass)
{
    G_OBJECT_CLASS(klass)->dispose = dispose;
    GTK_WIDGET_CLASS(klass)->snapshot = snapshot;
    signals[RENAMED] = g_signal_new("renamed", TB_TYPE_ITEM_CELL, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                    NULL, G_TYPE_NONE, 1, G_TYPE_STRING);
    signals[DROPPED] = g_signal_new("dropped", TB_TYPE_ITEM_CELL, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                    NULL, G_TYPE_NONE, 2, TB_TYPE_ITEM_ROW, G_TYPE_BOOLEAN);
}

static GtkLabel *
label_new(const char *style, double xalign, PangoEllipsizeMode ellipsize)
{
    GtkWidget *label = gtk_label_new(NULL);

    gtk_label_set_xalign(GTK_LABEL(label), (float)xalign);
    gtk_label_set_ellipsize(GTK_LABEL(label), ellipsize);
    gtk_label_set_single_line_mode(GTK_LABEL(label), TRUE);
    gtk_widget_add_css_class(label, style);
    return GTK_LABEL(label);
}

static void
tb_item_cell_init(TbItemCell *line)
{
    GtkWidget *box = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
    GtkGesture *click = gtk_gesture_click_new();

    line->mark = TB_LEVEL_MARK(tb_level_mark_new());
    line->stack = GTK_STACK(gtk_stack_new());
    line->name = label_new("name", 0, PANGO_ELLIPSIZE_END);
    line->note = label_new("note", 1, PANGO_ELLIPSIZE_END);
    gtk_label_set_max_width_chars(line->note, 12);
    line->value = label_new("numeric", 1, PANGO_ELLIPSIZE_NONE);
    /* "14.7 / 20" is gap and keep in every script, as beside the dimensions of a drawing */
    gtk_widget_set_direction(GTK_WIDGET(line->value), GTK_TEXT_DIR_LTR);
    line->eye = GTK_TOGGLE_BUTTON(gtk_toggle_button_new());
    gtk_button_set_has_frame(GTK_BUTTON(line->eye), FALSE);
    gtk_widget_add_css_class(GTK_WIDGET(line->eye), "eye");
    gtk_widget_set_valign(GTK_WIDGET(line->eye), GTK_ALIGN_CENTER);

    gtk_widget_set_hexpand(GTK_WIDGET(line->stack), TRUE);
    gtk_stack_set_hhomogeneous(line->stack, FALSE);
    gtk_stack_add_named(line->stack, GTK_WIDGET(line->name), "label");
    gtk_stack_add_named(line->stack, entry_new(line), "entry");
    g_signal_connect(click, "pressed", G_CALLBACK(name_pressed), line);
    gtk_widget_add_controller(GTK_WIDGET(line->name), GTK_EVENT_CONTROLLER(click));

    gtk_box_append(GTK_BOX(box), GTK_WIDGET(line->mark));
    gtk_box_append(GTK_BOX(box), GTK_WIDGET(line->stack));
    gtk_box_append(GTK_BOX(box), GTK_WIDGET(line->note));
    gtk_box_append(GTK_BOX(box), GTK_WIDGET(line->value));
    gtk_box_append(GTK_BOX(box), GTK_WIDGET(line->eye));
    gtk_list_box_row_set_child(GTK_LIST_BOX_ROW(line), box);

    g_signal_connect(line->eye, "toggled", G_CALLBACK(eye_toggled), line);
    gtk_widget_set_has_tooltip(GTK_WIDGET(line), TRUE);
    g_signal_connect(line, "query-tooltip", G_CALLBACK(query_tooltip), NULL);
    add_dragging(line);
}

GtkWidget *
tb_item_cell_new(TbItemRow *row, TbItemRows *rows, TbSession *session)
{
    TbItemCell *line = g_object_new(TB_TYPE_ITEM_CELL, NULL);

    line->row = g_object_ref(row);
    line->rows = g_object_ref(rows);
    line->session = g_object_ref(session);
    g_signal_connect_object(row, "changed", G_CALLBACK(show_row), line, 0);
    show_row(row, line);
    return GTK_WIDGET(line);
}

TbItemRow *
tb_item_cell_row(TbItemCell *line)
{
    return line->row;
}
