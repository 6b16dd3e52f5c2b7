/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/app_actions.h"

#include "app/closing.h"
#include "app/open.h"
#include "app/preferences.h"

#include <glib/gi18n.h>

static GtkWindow *
front(void *data)
{
    return gtk_application_get_active_window(GTK_APPLICATION(data));
}

static void
new_bay(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_open_new(data);
}

static void
open_bay(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_open_chooser(data, front(data));
}

static void
open_recent(GSimpleAction *action, GVariant *parameter, void *data)
{
    g_autoptr(GFile) file = g_file_new_for_uri(g_variant_get_string(parameter, NULL));

    (void)action;
    tb_open_file(data, file);
}

static void
open_example(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action;
    tb_open_example(data, g_variant_get_string(parameter, NULL));
}

static void
preferences(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_preferences_show(front(data), tb_application_settings(data));
}

static void
about(GSimpleAction *action, GVariant *parameter, void *data)
{
    static const char *const authors[] = {"The Tightbay authors", NULL};

    (void)action, (void)parameter;
    gtk_show_about_dialog(
        front(data), "program-name", "Tightbay", "version", TB_VERSION, "logo-icon-name",
        TB_APPLICATION_ID, "license-type", GTK_LICENSE_GPL_3_0, "authors", authors, "copyright",
        "© 2026 The Tightbay authors", "comments",
        _("Packages the hot side of a turbocharger kit and proves its gaps.\n\nThe numbers are "
          "estimates: verify them on the vehicle. The laws on emission control, brakes and "
          "roadworthiness of the place where it runs come first; lifting, welding, fuel and brake "
          "work belong to qualified people."),
        /* Translators: your names, a line each */
        "translator-credits", _("translator-credits"), NULL);
}

static void
quit(GSimpleAction *action, GVariant *parameter, void *data)
{
    (void)action, (void)parameter;
    tb_close_all(data);
}

static const GActionEntry entries[] = {
    {.name = "about", .activate = about},
    {.name = "example", .activate = open_example, .parameter_type = "s"},
    {.name = "new", .activate = new_bay},
    {.name = "open", .activate = open_bay},
    {.name = "open-recent", .activate = open_recent, .parameter_type = "s"},
    {.name = "preferences", .activate = preferences},
    {.name = "quit", .activate = quit},
};

/* Keys of every action; the shortcuts window reads them from here. */
static const struct {
    const char *action, *keys[3];
} accelerators[] = {
    {"app.new", {"<Control>n"}},
    {"app.open", {"<Control>o"}},
    {"app.preferences", {"<Control>comma"}},
    {"app.quit", {"<Control>q"}},
    {"win.close", {"<Control>w"}},
    {"win.export-view", {"<Control>e"}},
    {"win.print-view", {"<Control>p"}},
    {"win.next-pane", {"F6"}},
    {"win.pane-before", {"<Shift>F6"}},
    {"win.review-pack", {"<Control>r"}},
    {"win.redo", {"<Control><Shift>z"}},
    {"win.save", {"<Control>s"}},
    {"win.save-as", {"<Control><Shift>s"}},
    {"win.show-help-overlay", {"<Control>question"}},
    {"win.undo", {"<Control>z"}},
};

void
tb_app_actions_add(TbApplication *application)
{
    g_action_map_add_action_entries(G_ACTION_MAP(application), entries, G_N_ELEMENTS(entries),
                                    application);
    for (size_t i = 0; i < G_N_ELEMENTS(accelerators); i++)
        gtk_application_set_accels_for_action(GTK_APPLICATION(application), accelerators[i].action,
                                              (const char *const *)accelerators[i].keys);
}
