/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What can be done to the selected row, and what can be added. */

#include "app/clipboard.h"
#include "app/item_acts.h"
#include "app/item_list_private.h"
#include "app/toast.h"

#include <glib/gi18n.h>

static TbItemList *
list_of(void *data)
{
    return TB_ITEM_LIST(data);
}

static void
act_rename(GSimpleAction *action, GVariant *parameter, void *data)
{
    TbItemList *list = list_of(data);

    (void)action, (void)parameter;
    tb_item_cell_rename(tb_item_list__line_of(list, tb_session_selected(list->session)));
}

static void
act_duplicate(GSimpleAction *action, GVariant *parameter, void *data)
{
    TbItemList *list = list_of(data);

    (void)action, (void)parameter;
    tb_item_duplicate(list->session, tb_item_list__selected_row(list)->id);
}

/* The row that the selection goes to when one is taken away: the next, else the one before. */
static char *
neighbour(TbItemList *list, const TbItemRow *row)
{
    int place = tb_item_rows_find(list->rows, row->id);
    TbItemRow *next = tb_item_rows_at(list->rows, (guint)place + 1);

    if ((next == NULL || next->group != row->group) && place > 0)
        next = tb_item_rows_at(list->rows, (guint)place - 1);
    return next == NULL ? NULL : g_strdup(next->id);
}

/* ---- removing, which can be taken back at once ---- */

/* What a toast's button undoes: a removal, as long as nothing else was done since. */
typedef struct Removal {
    TbSession *session;
    uint64_t node; /* of the document right after it */
} Removal;

static void
take_back(void *user)
{
    Removal *removal = user;

    if (tb_session_bay(removal->session)->node == removal->node)
        tb_session_undo(removal->session);
    else
        tb_session_say(removal->session, _("More was changed since: undo goes back step by step"));
}

static void
free_removal(void *user)
{
    Removal *removal = user;

    g_object_unref(removal->session);
    g_free(removal);
}

/* Over whatever the pane is in; where there is no overlay the status line has said it. */
static void
toast(TbItemList *list, const TbToastDef *def)
{
    GtkWidget *overlay = gtk_widget_get_ancestor(GTK_WIDGET(list), GTK_TYPE_OVERLAY);

    if (overlay != NULL)
        tb_toast_show(GTK_OVERLAY(overlay), def);
    else if (def->gone != NULL)
        def->gone(def->user);
}

static void
tell_removal(TbItemList *list, const char *name)
{
    g_autofree char *text = g_strdup_printf(_("%s removed"), name);
    Removal *removal = g_new(Removal, 1);

    removal->session = g_object_ref(list->session);
    removal->node = tb_session_bay(list->session)->node;
    toast(list, &(TbToastDef){.text = text,
                              .button = _("_Undo"),
                              .pressed = take_back,
                              .gone = free_removal,
                              .user = removal});
}

/* Takes the selected row's record away, by itself or with a copy of it on the clipboard. */
static void
remove_selected(TbItemList *list, bool cut)
{
    TbItemRow *row = tb_item_list__selected_row(list);
    g_autofree char *id = g_strdup(row->id);
    g_autofree char *name = g_strdup(row->name);
    g_autofree char *next = neighbour(list, row);
    bool done =
        cut ? tb_clipboard_cut(GTK_WIDGET(list), list->session) : tb_item_remove(list->session, id);
    TbItemCell *line;

    if (!done) {
        toast(list, &(TbToastDef){.text = tb_session_message(list->session)});
        return;
    }
    tell_removal(list, name);
    tb_session_select(list->session, next);
    line = tb_item_list__line_of(list, next);
    if (line != NULL)
        gtk_widget_grab_focus(GTK_WIDGET(line));
}

static void
act_remove(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    remove_selected(list_of(data), false);
}

static void
act_cut(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    remove_selected(list_of(data), true);
}

static void
act_copy(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_clipboard_copy(GTK_WIDGET(list_of(data)), list_of(data)->session);
}

static void
act_paste(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_clipboard_paste(GTK_WIDGET(list_of(data)), list_of(data)->session);
}

/* ---- showing and moving ---- */

static void
act_hide(GSimpleAction *action, GVariant *parameter, void *data)
{
    TbItemList *list = list_of(data);
    const TbItemRow *row = tb_item_list__selected_row(list);

    (void)action, (void)parameter;
    tb_session_set_hidden(list->session, row->id, !row->hidden);
}

static void
move_by(TbItemList *list, int step)
{
    TbItemRow *row = tb_item_list__selected_row(list);
    int place = tb_item_rows_find(list->rows, row->id) + step;
    TbItemRow *other = place < 0 ? NULL : tb_item_rows_at(list->rows, (guint)place);

    if (other != NULL && other->group == row->group)
        tb_item_list__move_beside(list, row->id, other->id, step > 0);
}

static void
act_move_up(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    move_by(list_of(data), -1);
}

static void
act_move_down(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    move_by(list_of(data), 1);
}

/* ---- adding ---- */

static void
act_add(GSimpleAction *action, GVariant *parameter, void *data)
{
    int kind, role;

    (void)action;
    g_variant_get(parameter, "(ii)", &kind, &role);
    tb_item_add(list_of(data)->session, (TbItemKind)kind, role);
}

static void
scan_chosen(GtkNativeDialog *dialog, int response, TbItemList *list)
{
    if (response == GTK_RESPONSE_ACCEPT) {
        g_autoptr(GFile) mesh = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));

        tb_item_add_scan(list->session, mesh);
    }
    g_clear_object(&list->chooser);
}

static void
act_add_scan(GSimpleAction *action, GVariant *parameter, void *data)
{
    static const char *const endings[] = {"stl", "ply", "obj"};
    TbItemList *list = list_of(data);
    GtkWindow *window = GTK_WINDOW(gtk_widget_get_root(GTK_WIDGET(list)));
    g_autoptr(GtkFileFilter) filter = gtk_file_filter_new();

    (void)action, (void)parameter;
    g_clear_object(&list->chooser);
    list->chooser = gtk_file_chooser_native_new(_("Add a Scan"), window,
                                                GTK_FILE_CHOOSER_ACTION_OPEN, _("_Add"), NULL);
    gtk_file_filter_set_name(filter, _("Meshes (STL, PLY, OBJ)"));
    for (size_t i = 0; i < G_N_ELEMENTS(endings); i++)
        gtk_file_filter_add_suffix(filter, endings[i]);
    gtk_file_chooser_add_filter(GTK_FILE_CHOOSER(list->chooser), filter);
    g_signal_connect(list->chooser, "response", G_CALLBACK(scan_chosen), list);
    gtk_native_dialog_show(GTK_NATIVE_DIALOG(list->chooser));
}

static void
act_add_keeps(GSimpleAction *action, GVariant *parameter, void *data)
{
    TbItemList *list = list_of(data);

    (void)action, (void)parameter;
    tb_keeps_add_usual(list->session);
    toast(list, &(TbToastDef){.text = tb_session_message(list->session)});
}

static const GActionEntry entries[] = {
    {.name = "copy", .activate = act_copy},
    {.name = "cut", .activate = act_cut},
    {.name = "paste", .activate = act_paste},
    {.name = "rename", .activate = act_rename},
    {.name = "duplicate", .activate = act_duplicate},
    {.name = "remove", .activate = act_remove},
    {.name = "hide", .activate = act_hide},
    {.name = "move-up", .activate = act_move_up},
    {.name = "move-down", .activate = act_move_down},
    {.name = "add", .activate = act_add, .parameter_type = "(ii)"},
    {.name = "add-scan", .activate = act_add_scan},
    {.name = "add-keeps", .activate = act_add_keeps},
};

void
tb_item_list__add_actions(TbItemList *list)
{
    list->actions = g_simple_action_group_new();
    g_action_map_add_action_entries(G_ACTION_MAP(list->actions), entries, G_N_ELEMENTS(entries),
                                    list);
    gtk_widget_insert_action_group(GTK_WIDGET(list), "list", G_ACTION_GROUP(list->actions));
}

static void
enable(TbItemList *list, const char *name, bool enabled)
{
    GAction *action = g_action_map_lookup_action(G_ACTION_MAP(list->actions), name);

    g_simple_action_set_enabled(G_SIMPLE_ACTION(action), enabled);
}

void
tb_item_list__enable_actions(TbItemList *list)
{
    const TbItemRow *row = tb_item_list__selected_row(list);

    enable(list, "rename", row != NULL && row->group != TB_GROUP_STEPS);
    enable(list, "copy", row != NULL && row->is_item);
    enable(list, "cut", row != NULL && row->is_item);
    enable(list, "duplicate", row != NULL);
    enable(list, "remove", row != NULL);
    enable(list, "hide", row != NULL && row->is_item);
    enable(list, "move-up", row != NULL);
    enable(list, "move-down", row != NULL);
}
