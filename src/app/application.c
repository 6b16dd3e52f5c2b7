/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/application.h"

#include "app/window.h"
#include "bay/read.h"
#include "study/shelf.h"

struct _TbApplication {
    GtkApplication parent;

    TbStore *store;
    TbWork *work;
};

G_DEFINE_FINAL_TYPE(TbApplication, tb_application, GTK_TYPE_APPLICATION)

/* ---- opening ---- */

static void
open_file(TbApplication *application, GFile *file)
{
    TbWindow *window = tb_window_new(application);
    g_autofree char *path = g_file_get_path(file);
    TbFault fault = {0};
    TbBay *bay = NULL;

    if (tb_bay_read_file(path, &bay, &fault) == TB_OK)
        tb_window_show_bay(window, bay, file);
    else
        g_printerr("%s: %s\n", path, fault.text);
    tb_bay_unref(bay);
    gtk_window_present(GTK_WINDOW(window));
}

static void
open(GApplication *application, GFile **files, int count, const char *hint)
{
    (void)hint;
    for (int i = 0; i < count; i++)
        open_file(TB_APPLICATION(application), files[i]);
}

static void
activate(GApplication *application)
{
    gtk_window_present(GTK_WINDOW(tb_window_new(TB_APPLICATION(application))));
}

/* ---- actions ---- */

static void
quit(GSimpleAction *action, GVariant *parameter, void *data)
{
    GList *windows;

    (void)action, (void)parameter;
    while ((windows = gtk_application_get_windows(GTK_APPLICATION(data))) != NULL)
        gtk_window_destroy(GTK_WINDOW(windows->data));
}

static const GActionEntry entries[] = {
    {.name = "quit", .activate = quit},
};

/* Keys of every action; the shortcuts window reads them from here. */
static const struct {
    const char *action, *keys[3];
} accelerators[] = {
    {"app.quit", {"<Control>q"}},        {"win.export-view", {"<Control>e"}},
    {"win.print-view", {"<Control>p"}},  {"win.undo", {"<Control>z"}},
    {"win.redo", {"<Control><Shift>z"}},
};

/* ---- the class ---- */

static void
startup(GApplication *application)
{
    G_APPLICATION_CLASS(tb_application_parent_class)->startup(application);
    g_action_map_add_action_entries(G_ACTION_MAP(application), entries, G_N_ELEMENTS(entries),
                                    application);
    for (size_t i = 0; i < G_N_ELEMENTS(accelerators); i++)
        gtk_application_set_accels_for_action(GTK_APPLICATION(application), accelerators[i].action,
                                              (const char *const *)accelerators[i].keys);
}

static void
load_style(GdkDisplay *display)
{
    g_autoptr(GtkCssProvider) style = gtk_css_provider_new();

    gtk_css_provider_load_from_resource(style, "/net/tightbay/Tightbay/style.css");
    gtk_style_context_add_provider_for_display(display, GTK_STYLE_PROVIDER(style),
                                               GTK_STYLE_PROVIDER_PRIORITY_APPLICATION);
}

static void
window_added(GtkApplication *application, GtkWindow *window)
{
    if (gtk_application_get_windows(application) == NULL)
        load_style(gtk_widget_get_display(GTK_WIDGET(window)));
    GTK_APPLICATION_CLASS(tb_application_parent_class)->window_added(application, window);
}

static void
finalize(GObject *object)
{
    TbApplication *application = TB_APPLICATION(object);

    tb_store_unref(application->store);
    tb_work_free(application->work);
    G_OBJECT_CLASS(tb_application_parent_class)->finalize(object);
}

static void
tb_application_class_init(TbApplicationClass *klass)
{
    G_OBJECT_CLASS(klass)->finalize = finalize;
    G_APPLICATION_CLASS(klass)->startup = startup;
    G_APPLICATION_CLASS(klass)->activate = activate;
    G_APPLICATION_CLASS(klass)->open = open;
    GTK_APPLICATION_CLASS(klass)->window_added = window_added;
}

static void
tb_application_init(TbApplication *application)
{
    g_autofree char *folder = tb_shelf_default_folder();

    application->store = tb_store_new_with(&(TbStoreDef){.cache = folder});
    application->work = tb_work_new(tb_work_processors());
}

TbApplication *
tb_application_new(void)
{
    return g_object_new(TB_TYPE_APPLICATION, "application-id", TB_APPLICATION_ID, "flags",
                        G_APPLICATION_HANDLES_OPEN, "resource-base-path", "/net/tightbay/Tightbay",
                        NULL);
}

TbStore *
tb_application_store(TbApplication *application)
{
    return application->store;
}

TbWork *
tb_application_work(TbApplication *application)
{
    return application->work;
}
