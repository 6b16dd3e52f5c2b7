/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/place_entry.h"

#include "app/item_words.h"
#include "app/number_entry.h"
#include "base/quantity.h"

#include <string.h>

/** mm that Page Up and Page Down step; Shift: ten times. */
#define STEP 1.0

struct _TbPlaceEntry {
    GtkEntry parent;

    TbSession *session;
    TbPlaceDef def;
    char *shown; /* as the session has it: rounded */
};

G_DEFINE_FINAL_TYPE(TbPlaceEntry, tb_place_entry, GTK_TYPE_ENTRY)

void
tb_place_entry_show(TbPlaceEntry *entry)
{
    TbLengthUnit unit = tb_session_unit(entry->session);
    char number[TB_TEXT_NUMBER];
    double at;
    bool is_somewhere = entry->def.at(entry->def.user, &at);

    g_free(entry->shown);
    if (is_somewhere) {
        tb_length_write(at, unit, 1, number);
        entry->shown = g_strdup_printf("%s %s", number, tb_length_unit_name(unit));
    } else {
        entry->shown = g_strdup("");
    }
    gtk_widget_remove_css_class(GTK_WIDGET(entry), "error");
    gtk_widget_set_sensitive(GTK_WIDGET(entry), is_somewhere);
    if (strcmp(entry->shown, gtk_editable_get_text(GTK_EDITABLE(entry))) != 0)
        gtk_editable_set_text(GTK_EDITABLE(entry), entry->shown);
}

static void
take_typed(TbPlaceEntry *entry)
{
    const char *text = gtk_editable_get_text(GTK_EDITABLE(entry));
    TbFault fault = {0};
    double at;

    /* what is shown is rounded: left as it is, it must not move anything */
    if (strcmp(text, entry->shown) == 0)
        return;
    if (tb_length_read(text, tb_session_unit(entry->session), &at, &fault) != TB_OK) {
        gtk_widget_add_css_class(GTK_WIDGET(entry), "error");
        tb_session_say(entry->session, fault.text);
        return;
    }
    entry->def.move(entry->def.user, at);
    tb_place_entry_show(entry);
}

static void
activated(TbPlaceEntry *entry, void *data)
{
    (void)data;
    take_typed(entry);
}

static void
left(GtkEventControllerFocus *controller, TbPlaceEntry *entry)
{
    (void)controller;
    take_typed(entry);
}

bool
tb_place_entry_key(TbPlaceEntry *entry, guint key, GdkModifierType state)
{
    double step = state & GDK_SHIFT_MASK ? 10 * STEP : STEP;

    if (state & (GDK_CONTROL_MASK | GDK_ALT_MASK))
        return false;
    if (key != GDK_KEY_Page_Up && key != GDK_KEY_Page_Down)
        return false;
    entry->def.step(entry->def.user, key == GDK_KEY_Page_Up ? step : -step);
    return true;
}

static gboolean
key_pressed(GtkEventControllerKey *controller,
            guint key,
            guint code,
            GdkModifierType state,
            TbPlaceEntry *entry)
{
    (void)controller, (void)code;
    if (key == GDK_KEY_Escape) {
        tb_place_entry_show(entry);
        gtk_widget_grab_focus(entry->def.escape);
        return TRUE;
    }
    return tb_place_entry_key(entry, key, state);
}

static void
finalize(GObject *object)
{
    TbPlaceEntry *entry = TB_PLACE_ENTRY(object);

    g_clear_object(&entry->session);
    g_free(entry->shown);
    G_OBJECT_CLASS(tb_place_entry_parent_class)->finalize(object);
}

static void
tb_place_entry_class_init(TbPlaceEntryClass *klass)
{
    G_OBJECT_CLASS(klass)->finalize = finalize;
}

static void
tb_place_entry_init(TbPlaceEntry *entry)
{
    GtkEventController *keys = gtk_event_controller_key_new();
    GtkEventController *focus = gtk_event_controller_focus_new();

    entry->shown = g_strdup("");
    tb_number_entry(GTK_ENTRY(entry));
    g_signal_connect(entry, "activate", G_CALLBACK(activated), NULL);
    gtk_event_controller_set_propagation_phase(keys, GTK_PHASE_CAPTURE);
    g_signal_connect(keys, "key-pressed", G_CALLBACK(key_pressed), entry);
    g_signal_connect(focus, "leave", G_CALLBACK(left), entry);
    gtk_widget_add_controller(GTK_WIDGET(entry), keys);
    gtk_widget_add_controller(GTK_WIDGET(entry), focus);
}

GtkWidget *
tb_place_entry_new(TbSession *session, const TbPlaceDef *def)
{
    TbPlaceEntry *entry = g_object_new(TB_TYPE_PLACE_ENTRY, NULL);

    entry->session = g_object_ref(session);
    entry->def = *def;
    entry->def.name = entry->def.tip = NULL;
    gtk_editable_set_width_chars(GTK_EDITABLE(entry), def->chars);
    gtk_editable_set_max_width_chars(GTK_EDITABLE(entry), def->chars);
    gtk_widget_set_tooltip_text(GTK_WIDGET(entry), def->tip);
    if (def->name != NULL)
        gtk_accessible_update_property(GTK_ACCESSIBLE(entry), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                       def->name, -1);
    tb_place_entry_show(entry);
    return GTK_WIDGET(entry);
}
