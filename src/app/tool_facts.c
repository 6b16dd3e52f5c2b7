/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/tool_facts.h"

#include "app/folders.h"
#include "app/item_words.h"
#include "app/names.h"
#include "app/session_tool.h"
#include "bay/preset.h"

#include <glib/gi18n.h>
#include <string.h>

/** Letters of a mount or class that are shown whole. */
#define MOST_LETTERS 24

struct _TbToolFacts {
    GtkBox parent;

    TbSession *session;
    GSettings *settings;
    gulong changed;
    bool filling;  /* widgets are being filled from the session */
    uint64_t node; /* of the document whose mounts and classes are listed */

    GtkEntry *name_entry, *datum_entry;
    GtkEntry *diameter_entry, *bend_entry, *uncertainty_entry;
    GtkDropDown *class_drop, *role_drop, *path_drop, *mount_drop, *known_drop;
};

G_DEFINE_FINAL_TYPE(TbToolFacts, tb_tool_facts, GTK_TYPE_BOX)

/** A length that is typed: behind a mark that says what it is. */
static const struct {
    size_t entry;     /* in TbToolFacts */
    size_t number;    /* in TbSketchFacts */
    const char *mark; /* before the number */
    double least;     /* mm */
} lengths[] = {
    {offsetof(TbToolFacts, diameter_entry), offsetof(TbSketchFacts, diameter), "Ø ",
     TB_SKETCH_LEAST},
    {offsetof(TbToolFacts, bend_entry), offsetof(TbSketchFacts, bend), "R ", TB_SKETCH_LEAST},
    {offsetof(TbToolFacts, uncertainty_entry), offsetof(TbSketchFacts, uncertainty), "± ", 0},
};

static GtkEntry *
length_entry(TbToolFacts *box, size_t k)
{
    return *(GtkEntry **)((char *)box + lengths[k].entry);
}

static TbSketchFacts *
facts_of(TbToolFacts *box)
{
    return &tb_session_sketch(box->session)->facts;
}

static double *
length_of(TbToolFacts *box, size_t k)
{
    return (double *)((char *)facts_of(box) + lengths[k].number);
}

/* ---- lists ---- */

static const char *
string_at(GtkDropDown *drop, guint index)
{
    GListModel *model = gtk_drop_down_get_model(drop);

    if (model == NULL || index >= g_list_model_get_n_items(model))
        return NULL;
    return gtk_string_list_get_string(GTK_STRING_LIST(model), index);
}

static void
choose_string(GtkDropDown *drop, const char *text)
{
    const char *there;
    guint i = 0;

    for (; (there = string_at(drop, i)) != NULL; i++)
        if (g_strcmp0(there, text) == 0)
            break;
    if (there == NULL)
        gtk_string_list_append(GTK_STRING_LIST(gtk_drop_down_get_model(drop)), text);
    gtk_drop_down_set_selected(drop, i);
}

static void
fill_mounts(TbToolFacts *box, const TbBay *bay)
{
    g_autoptr(GtkStringList) names = gtk_string_list_new(NULL);

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_MOUNTS); i++) {
        const TbRecord *mount = &tb_bay_mount_at(bay, i)->record;

        gtk_string_list_append(names, mount->name == NULL ? mount->id : mount->name);
    }
    gtk_drop_down_set_model(box->mount_drop, G_LIST_MODEL(names));
}

/* The usual classes, and those that the bay has besides. */
static void
fill_classes(TbToolFacts *box, const TbBay *bay)
{
    g_autoptr(GtkStringList) names = gtk_string_list_new(tb_usual_classes);
    g_autoptr(GHashTable) there = g_hash_table_new(g_str_hash, g_str_equal);

    for (size_t i = 0; tb_usual_classes[i] != NULL; i++)
        g_hash_table_add(there, (char *)(uintptr_t)tb_usual_classes[i]);
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++)
        if (g_hash_table_add(there, tb_bay_item_at(bay, i)->klass))
            gtk_string_list_append(names, tb_bay_item_at(bay, i)->klass);
    gtk_drop_down_set_model(box->class_drop, G_LIST_MODEL(names));
}

static void
fill_fixed(TbToolFacts *box)
{
    /* by TbKnownBy, TbLineRole and TbPathKind */
    const char *known[] = {_("drawing"), _("scan"), _("calliper"), _("tape"), _("guess"), NULL};
    const char *roles[] = {_("oil drain"), _("oil feed"), _("coolant"), _("brake"),
                           _("fuel"),      _("hose"),     _("harness"), NULL};
    const char *paths[] = {_("smooth"), _("bent"), NULL};
    g_autoptr(GtkStringList) known_list = gtk_string_list_new(known);
    g_autoptr(GtkStringList) role_list = gtk_string_list_new(roles);
    g_autoptr(GtkStringList) path_list = gtk_string_list_new(paths);

    gtk_drop_down_set_model(box->known_drop, G_LIST_MODEL(known_list));
    gtk_drop_down_set_model(box->role_drop, G_LIST_MODEL(role_list));
    gtk_drop_down_set_model(box->path_drop, G_LIST_MODEL(path_list));
}

static void
choose_mount(TbToolFacts *box, const TbBay *bay)
{
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_MOUNTS); i++)
        if (g_strcmp0(tb_bay_mount_at(bay, i)->record.id, facts_of(box)->mount) == 0)
            gtk_drop_down_set_selected(box->mount_drop, (guint)i);
}

/* ---- from the session ---- */

/* A length to be edited, unless it is being edited now. */
static void
show_length(TbToolFacts *box, size_t k)
{
    GtkEntry *entry = length_entry(box, k);
    TbLengthUnit unit = tb_session_unit(box->session);
    char number[TB_TEXT_NUMBER];
    g_autofree char *text = NULL;

    if (gtk_widget_get_state_flags(GTK_WIDGET(entry)) & GTK_STATE_FLAG_FOCUS_WITHIN)
        return;
    tb_length_write_whole(*length_of(box, k), unit, number);
    text = g_strdup_printf("%s%s %s", lengths[k].mark, number, tb_length_unit_name(unit));
    if (g_strcmp0(gtk_editable_get_text(GTK_EDITABLE(entry)), text) != 0)
        gtk_editable_set_text(GTK_EDITABLE(entry), text);
    gtk_widget_remove_css_class(GTK_WIDGET(entry), "error");
}

static void
show_text(GtkEntry *entry, const char *text)
{
    if (g_strcmp0(gtk_editable_get_text(GTK_EDITABLE(entry)), text == NULL ? "" : text) != 0)
        gtk_editable_set_text(GTK_EDITABLE(entry), text == NULL ? "" : text);
}

static void
show_lists(TbToolFacts *box)
{
    const TbBay *bay = tb_session_bay(box->session);
    const TbSketchFacts *facts = facts_of(box);

    if (box->node != bay->node) {
        fill_mounts(box, bay);
        fill_classes(box, bay);
        box->node = bay->node;
    }
    choose_string(box->class_drop, facts->klass);
    choose_mount(box, bay);
    gtk_drop_down_set_selected(box->role_drop, (guint)facts->role);
    gtk_drop_down_set_selected(box->path_drop, facts->bent ? TB_PATH_BENT : TB_PATH_SMOOTH);
    gtk_drop_down_set_selected(box->known_drop, (guint)facts->known);
}

static void
show(TbToolFacts *box)
{
    const TbSketchFacts *facts = facts_of(box);
    g_autofree char *name = NULL;
    bool is_line = tb_session_tool(box->session) == TB_TOOL_LINE;

    if (!tb_tool_draws(tb_session_tool(box->session)))
        return;
    box->filling = true;
    gtk_widget_set_visible(GTK_WIDGET(box->class_drop), !is_line);
    gtk_widget_set_visible(GTK_WIDGET(box->role_drop), is_line);
    gtk_widget_set_visible(GTK_WIDGET(box->diameter_entry), is_line);
    gtk_widget_set_visible(GTK_WIDGET(box->path_drop), is_line);
    gtk_widget_set_visible(GTK_WIDGET(box->bend_entry), is_line && facts->bent);
    name = tb_sketch_name(tb_session_sketch(box->session));
    if (g_strcmp0(gtk_entry_get_placeholder_text(box->name_entry), name) != 0)
        gtk_entry_set_placeholder_text(box->name_entry, name);
    show_text(box->name_entry, facts->name);
    show_text(box->datum_entry, facts->datum);
    show_lists(box);
    for (size_t k = 0; k < G_N_ELEMENTS(lengths); k++)
        show_length(box, k);
    box->filling = false;
}

static void
session_changed(TbSession *session, guint parts, TbToolFacts *box)
{
    if (parts & (TB_SESSION_TOOL | TB_SESSION_DOCUMENT))
        show(box);
    /* something was drawn, perhaps: what was said of it is said of the next one */
    if ((parts & TB_SESSION_DOCUMENT) && tb_tool_draws(tb_session_tool(session)))
        g_settings_set_value(box->settings, "sketch-facts", tb_sketch_remember(facts_of(box)));
}

/* ---- to the session ---- */

static void
set_word(char **place, const char *word)
{
    if (word == NULL || g_strcmp0(*place, word) == 0)
        return;
    g_free(*place);
    *place = g_strdup(word);
}

/* One of the lists. */
static void
chosen(GtkDropDown *drop, GParamSpec *spec, TbToolFacts *box)
{
    TbSketchFacts *facts = facts_of(box);
    const TbBay *bay = tb_session_bay(box->session);
    guint index = gtk_drop_down_get_selected(drop);

    (void)spec;
    if (box->filling || index == GTK_INVALID_LIST_POSITION)
        return;
    if (drop == box->class_drop) {
        set_word(&facts->klass, string_at(drop, index));
    } else if (drop == box->mount_drop && index < tb_bay_count(bay, TB_LIST_MOUNTS)) {
        set_word(&facts->mount, tb_bay_mount_at(bay, index)->record.id);
    } else if (drop == box->role_drop) {
        facts->role = (int)index;
    } else if (drop == box->path_drop) {
        facts->bent = index == TB_PATH_BENT;
    } else if (drop == box->known_drop) {
        facts->known = (int)index;
        facts->uncertainty = tb_known_usual(facts->known);
    }
    tb_session_tool_facts_changed(box->session);
}

/* A text of the facts; empty is none. */
static void
text_changed(GtkEditable *editable, TbToolFacts *box)
{
    TbSketchFacts *facts = facts_of(box);
    char **place = GTK_ENTRY(editable) == box->name_entry ? &facts->name : &facts->datum;
    const char *text = gtk_editable_get_text(editable);

    if (box->filling)
        return;
    g_free(*place);
    *place = text[0] == '\0' ? NULL : g_strdup(text);
    tb_session_tool_facts_changed(box->session);
}

/* What is typed into a length's entry, behind its mark or without it. */
static void
length_changed(GtkEditable *editable, TbToolFacts *box)
{
    const char *text = gtk_editable_get_text(editable);
    size_t k = 0;
    double mm = 0;

    if (box->filling)
        return;
    while (length_entry(box, k) != GTK_ENTRY(editable))
        k++;
    text += strcspn(text, "0123456789.,-");
    if (tb_length_read(text, tb_session_unit(box->session), &mm, NULL) != TB_OK ||
        !(mm >= lengths[k].least)) {
        gtk_widget_add_css_class(GTK_WIDGET(editable), "error");
        return;
    }
    gtk_widget_remove_css_class(GTK_WIDGET(editable), "error");
    *length_of(box, k) = mm;
    tb_session_tool_facts_changed(box->session);
}

static void
length_left(GtkEventControllerFocus *controller, TbToolFacts *box)
{
    (void)controller;
    show(box);
}

/* ---- the class ---- */

static void
dispose(GObject *object)
{
    TbToolFacts *box = TB_TOOL_FACTS(object);

    if (box->session != NULL)
        g_clear_signal_handler(&box->changed, box->session);
    G_OBJECT_CLASS(tb_tool_facts_parent_class)->dispose(object);
    g_clear_object(&box->session);
    g_clear_object(&box->settings);
}

#define CHILD(name) gtk_widget_class_bind_template_child(widget_class, TbToolFacts, name)

static void
tb_tool_facts_class_init(TbToolFactsClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    G_OBJECT_CLASS(klass)->dispose = dispose;
    gtk_widget_class_set_template_from_resource(widget_class,
                                                "/net/tightbay/Tightbay/tool_facts.ui");
    CHILD(name_entry);
    CHILD(datum_entry);
    CHILD(diameter_entry);
    CHILD(bend_entry);
    CHILD(uncertainty_entry);
    CHILD(class_drop);
    CHILD(role_drop);
    CHILD(path_drop);
    CHILD(mount_drop);
    CHILD(known_drop);
}

static void
tb_tool_facts_init(TbToolFacts *box)
{
    gtk_widget_init_template(GTK_WIDGET(box));
    tb_names_dress(box->mount_drop, MOST_LETTERS);
    tb_names_dress(box->class_drop, MOST_LETTERS);
    fill_fixed(box);
}

static void
listen(TbToolFacts *box)
{
    GtkDropDown *const drops[] = {box->class_drop, box->role_drop, box->path_drop, box->mount_drop,
                                  box->known_drop};

    for (size_t i = 0; i < G_N_ELEMENTS(drops); i++)
        g_signal_connect(drops[i], "notify::selected", G_CALLBACK(chosen), box);
    for (size_t k = 0; k < G_N_ELEMENTS(lengths); k++) {
        GtkEventController *focus = gtk_event_controller_focus_new();

        g_signal_connect(length_entry(box, k), "changed", G_CALLBACK(length_changed), box);
        g_signal_connect(focus, "leave", G_CALLBACK(length_left), box);
        gtk_widget_add_controller(GTK_WIDGET(length_entry(box, k)), focus);
    }
    g_signal_connect(box->name_entry, "changed", G_CALLBACK(text_changed), box);
    g_signal_connect(box->datum_entry, "changed", G_CALLBACK(text_changed), box);
}

GtkWidget *
tb_tool_facts_new(TbSession *session)
{
    TbToolFacts *box = g_object_new(TB_TYPE_TOOL_FACTS, NULL);
    g_autoptr(GVariant) remembered = NULL;

    box->session = g_object_ref(session);
    box->settings = tb_folders_settings();
    remembered = g_settings_get_value(box->settings, "sketch-facts");
    tb_sketch_recall(facts_of(box), remembered);
    listen(box);
    show(box);
    box->changed = g_signal_connect(session, "changed", G_CALLBACK(session_changed), box);
    return GTK_WIDGET(box);
}
