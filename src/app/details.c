/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/details_private.h"

#include "app/detail_links.h"
#include "app/detail_words.h"
#include "app/in_view.h"

#include <glib/gi18n.h>
#include <string.h>

G_DEFINE_FINAL_TYPE(TbDetails, tb_details, GTK_TYPE_BOX)

/* ---- what needs other widgets ---- */

static void
append_form(GString *form, const TbElement *element, const void *owner)
{
    for (size_t c = 0; c < element->child_count; c++) {
        const TbNest *nest = &element->children[c];
        size_t count;
        const char *array = tb_nest_array(nest, owner, &count);

        g_string_append_printf(form, "%s%zu(", nest->element->name, count);
        /* a bent path's knots have a radius */
        if (strcmp(nest->element->name, "path") == 0 && count > 0)
            g_string_append_printf(form, "%d", ((const TbPath *)(const void *)array)->kind);
        for (size_t i = 0; i < count; i++)
            append_form(form, nest->element, array + i * nest->element->size);
        g_string_append_c(form, ')');
    }
}

static char *
form_of(const TbBay *bay, const TbRecord *record)
{
    GString *form = g_string_new(record->element->name);

    g_string_append_printf(form, "%d", (int)tb_value_unit(bay));

    append_form(form, record->element, record);
    {
        g_autoptr(GPtrArray) links = tb_detail_links(bay, record);

        for (guint i = 0; i < links->len; i++)
            g_string_append_printf(form, " %s", tb_detail_name(links->pdata[i]));
    }
    return g_string_free(form, FALSE);
}

/* ---- filling ---- */

static void
settle(TbDetails *self)
{
    g_autoptr(GPtrArray) fields = g_ptr_array_new_with_free_func(g_object_unref);

    for (guint i = 0; i < self->fields->len; i++)
        g_ptr_array_add(fields, g_object_ref(self->fields->pdata[i]));
    if (self->id == NULL || tb_detail_record(self->session, self->id) == NULL)
        return;
    for (guint i = 0; i < fields->len; i++)
        tb_detail_field_settle(fields->pdata[i]);
}

static void
clear(TbDetails *self)
{
    GtkWidget *child;

    g_ptr_array_set_size(self->fields, 0);
    g_ptr_array_set_size(self->summaries, 0);
    g_hash_table_remove_all(self->rows);
    self->gap = NULL;
    while ((child = gtk_widget_get_first_child(GTK_WIDGET(self->content))) != NULL)
        gtk_box_remove(self->content, child);
}

static void
add_gap(TbDetails *self)
{
    self->gap = tb_detail_gap_new(self->session, self->id);
    gtk_box_append(self->content, self->gap);
}

/* ---- what hangs on it ---- */

static void
link_clicked(GtkButton *button, TbDetails *self)
{
    tb_session_select(self->session, g_object_get_data(G_OBJECT(button), "id"));
}

static GtkWidget *
link_new(TbDetails *self, const TbRecord *record)
{
    /* Translators: a kind of thing and its name: "Port · Turbine outlet" */
    g_autofree char *text =
        g_strdup_printf(_("%s · %s"), tb_detail_kind(record->element), tb_detail_name(record));
    GtkWidget *button = gtk_button_new();
    GtkWidget *label = gtk_label_new(text);

    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_END);
    gtk_button_set_child(GTK_BUTTON(button), label);
    gtk_widget_add_css_class(button, "flat");
    gtk_widget_set_tooltip_text(button, _("Show its details"));
    gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, text, -1);
    g_object_set_data_full(G_OBJECT(button), "id", g_strdup(record->id), g_free);
    g_signal_connect(button, "clicked", G_CALLBACK(link_clicked), self);
    return button;
}

static void
add_links(TbDetails *self, const TbRecord *record)
{
    g_autoptr(GPtrArray) links = tb_detail_links(tb_session_bay(self->session), record);
    bool is_item = record->element->list == TB_LIST_ITEMS;
    GtkWidget *box, *heading;

    if (links->len == 0)
        return;
    box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
    heading = gtk_label_new(is_item ? _("Ports and joints") : _("Joined here"));
    gtk_label_set_xalign(GTK_LABEL(heading), 0);
    gtk_widget_add_css_class(heading, "heading");
    gtk_widget_add_css_class(box, "detail-group");
    gtk_box_append(GTK_BOX(box), heading);
    for (guint i = 0; i < links->len; i++)
        gtk_box_append(GTK_BOX(box), link_new(self, links->pdata[i]));
    gtk_box_append(self->content, box);
}

static void
rebuild(TbDetails *self, const TbRecord *record)
{
    bool is_item = record->element->list == TB_LIST_ITEMS;

    clear(self);
    if (is_item)
        add_gap(self);
    tb_details__build(self, record);
    add_links(self, record);
}

static void
update_head(TbDetails *self, const TbRecord *record)
{
    const TbBay *bay = tb_session_bay(self->session);
    bool is_bay = record->element == &tb_element_bay;
    g_autofree char *subtitle = NULL;

    gtk_label_set_text(self->title_label, is_bay ? _("The bay") : tb_detail_name(record));
    if (is_bay) {
        subtitle = g_strdup(_("Nothing is selected: pick something in the list or in a cut"));
    } else if (record->element->list == TB_LIST_ITEMS) {
        const TbMount *mount = tb_bay_mount(bay, ((const TbItem *)record)->mount);

        /* Translators: a kind of item and its mount: "Duct, rides on Engine" */
        subtitle =
            g_strdup_printf(_("%s, rides on %s · %s"), tb_detail_kind(record->element),
                            mount != NULL ? tb_detail_name(&mount->record) : "?", record->id);
    } else {
        subtitle = g_strdup_printf("%s · %s", tb_detail_kind(record->element), record->id);
    }
    gtk_label_set_text(self->subtitle_label, subtitle);
}

static void
update(TbDetails *self)
{
    const char *selected = tb_session_selected(self->session);
    const TbBay *bay = tb_session_bay(self->session);
    const char *id = tb_bay_find(bay, selected) != NULL ? selected : bay->head->record.id;
    const TbRecord *record = tb_detail_record(self->session, id);
    g_autofree char *form = form_of(bay, record);

    if (g_strcmp0(id, self->id) != 0) {
        settle(self);
        /* what was typed may have become another document */
        record = tb_detail_record(self->session, id);
        g_free(self->id);
        self->id = g_strdup(id);
        g_hash_table_remove_all(self->open);
        g_clear_pointer(&self->form, g_free);
        gtk_adjustment_set_value(gtk_scrolled_window_get_vadjustment(self->scroller), 0);
    }
    if (g_strcmp0(form, self->form) != 0) {
        g_free(self->form);
        self->form = g_steal_pointer(&form);
        rebuild(self, record);
    } else {
        for (guint i = 0; i < self->fields->len; i++)
            tb_detail_field_update(self->fields->pdata[i]);
        tb_details__update_summaries(self);
    }
    update_head(self, record);
    tb_details__update_picked(self);
    if (self->gap != NULL)
        tb_detail_gap_update(TB_DETAIL_GAP(self->gap));
}

/* Once a turn of the main loop, however often the session changed: a drag says much. */
static gboolean
update_later(void *data)
{
    TbDetails *self = data;

    self->idle = 0;
    update(self);
    return G_SOURCE_REMOVE;
}

static void
session_changed(TbSession *session, guint parts, TbDetails *self)
{
    /* while something is dragged the answer to each step brings the step's numbers along */
    if (tb_session_is_held(session) && (parts & TB_SESSION_SHOWN) == 0)
        return;
    if ((parts & (TB_SESSION_DOCUMENT | TB_SESSION_SELECTION | TB_SESSION_SHOWN)) != 0 &&
        self->idle == 0)
        self->idle = g_idle_add_full(GTK_PRIORITY_RESIZE, update_later, self, NULL);
}

/* ---- the class ---- */

GtkWidget *
tb_details_new(TbSession *session)
{
    TbDetails *self = g_object_new(TB_TYPE_DETAILS, NULL);

    self->session = g_object_ref(session);
    self->changed = g_signal_connect(session, "changed", G_CALLBACK(session_changed), self);
    update(self);
    return GTK_WIDGET(self);
}

static void
dispose(GObject *object)
{
    TbDetails *self = TB_DETAILS(object);

    if (self->session != NULL)
        g_clear_signal_handler(&self->changed, self->session);
    g_clear_handle_id(&self->idle, g_source_remove);
    if (self->content != NULL)
        clear(self);
    self->content = NULL;
    G_OBJECT_CLASS(tb_details_parent_class)->dispose(object);
    g_clear_object(&self->session);
}

static void
finalize(GObject *object)
{
    TbDetails *self = TB_DETAILS(object);

    g_ptr_array_unref(self->fields);
    g_ptr_array_unref(self->summaries);
    g_hash_table_unref(self->open);
    g_hash_table_unref(self->rows);
    g_free(self->picked);
    g_free(self->id);
    g_free(self->form);
    G_OBJECT_CLASS(tb_details_parent_class)->finalize(object);
}

static void
snapshot(GtkWidget *widget, GtkSnapshot *snapshot)
{
    tb_in_view_check_rows(GTK_WIDGET(TB_DETAILS(widget)->content));
    GTK_WIDGET_CLASS(tb_details_parent_class)->snapshot(widget, snapshot);
}

#define CHILD(name) gtk_widget_class_bind_template_child(widget_class, TbDetails, name)

static void
tb_details_class_init(TbDetailsClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    G_OBJECT_CLASS(klass)->dispose = dispose;
    G_OBJECT_CLASS(klass)->finalize = finalize;
    widget_class->snapshot = snapshot;
    gtk_widget_class_set_template_from_resource(widget_class, "/net/tightbay/Tightbay/details.ui");
    CHILD(title_label);
    CHILD(subtitle_label);
    CHILD(scroller);
    CHILD(content);
}

static void
tb_details_init(TbDetails *self)
{
    self->fields = g_ptr_array_new();
    self->summaries = g_ptr_array_new_with_free_func(g_free);
    self->open = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    self->rows = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    gtk_widget_init_template(GTK_WIDGET(self));
}
