/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/application.h"

#include "app/app_actions.h"
#include "app/folders.h"
#include "app/open.h"
#include "app/shown_unit.h"
#include "app/theme.h"
#include "app/window.h"
#include "study/shelf.h"

#include <glib/gi18n.h>

struct _TbApplication {
    GtkApplication parent;

    TbStore *store;
    TbWork *work;
    GSettings *settings;
    bool offered; /**< what a killed program left was offered */
};

G_DEFINE_FINAL_TYPE(TbApplication, tb_application, GTK_TYPE_APPLICATION)

/* ---- opening ---- */

/* The first window offers what a killed program left. */
static void
offer_once(TbApplication *application)
{
    GtkWindow *window = gtk_application_get_active_window(GTK_APPLICATION(application));

    if (application->offered || !TB_IS_WINDOW(window))
        return;
    application->offered = true;
    tb_open_offer_recovered(application, TB_WINDOW(window));
}

static void
open(GApplication *application, GFile **files, int count, const char *hint)
{
    (void)hint;
    for (int i = 0; i < count; i++)
        tb_open_file(TB_APPLICATION(application), files[i]);
    offer_once(TB_APPLICATION(application));
}

static void
activate(GApplication *application)
{
    gtk_window_present(GTK_WINDOW(tb_window_new(TB_APPLICATION(application))));
    offer_once(TB_APPLICATION(application));
}

/* What needs no display is answered before there is one. */
static int
handle_local_options(GApplication *application, GVariantDict *options)
{
    (void)application;
    if (!g_variant_dict_contains(options, "version"))
        return -1;
    g_print("tightbay %s\n", TB_VERSION);
    return 0;
}

/* Lengths are shown in another unit, in every window. */
static void
unit_changed(TbApplication *application)
{
    GList *windows = gtk_application_get_windows(GTK_APPLICATION(application));

    tb_shown_unit_prefer((TbPreferredUnit)g_settings_get_enum(application->settings, "unit"));
    for (; windows != NULL; windows = windows->next)
        if (TB_IS_WINDOW(windows->data) && tb_window_session(windows->data) != NULL)
            tb_session_refresh(tb_window_session(windows->data));
}

/* ---- the class ---- */

static void
startup(GApplication *application)
{
    /* the display's server knows windows by it, people know the command */
    g_set_prgname(TB_APPLICATION_ID);
    G_APPLICATION_CLASS(tb_application_parent_class)->startup(application);
    TB_APPLICATION(application)->settings = tb_folders_settings();
    tb_app_actions_add(TB_APPLICATION(application));
    tb_theme_follow(TB_APPLICATION(application)->settings);
    g_signal_connect_swapped(TB_APPLICATION(application)->settings, "changed::unit",
                             G_CALLBACK(unit_changed), application);
    unit_changed(TB_APPLICATION(application));
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
    if (application->settings != NULL)
        g_signal_handlers_disconnect_by_data(application->settings, application);
    g_clear_object(&application->settings);
    G_OBJECT_CLASS(tb_application_parent_class)->finalize(object);
}

static void
tb_application_class_init(TbApplicationClass *klass)
{
    G_OBJECT_CLASS(klass)->finalize = finalize;
    G_APPLICATION_CLASS(klass)->startup = startup;
    G_APPLICATION_CLASS(klass)->activate = activate;
    G_APPLICATION_CLASS(klass)->open = open;
    G_APPLICATION_CLASS(klass)->handle_local_options = handle_local_options;
    GTK_APPLICATION_CLASS(klass)->window_added = window_added;
}

static void
tb_application_init(TbApplication *application)
{
    static const GOptionEntry options[] = {
        {"version", 0, 0, G_OPTION_ARG_NONE, NULL, N_("Print the version and exit"), NULL},
        G_OPTION_ENTRY_NULL};
    g_autofree char *folder = tb_shelf_default_folder();

    g_application_add_main_option_entries(G_APPLICATION(application), options);
    g_application_set_option_context_parameter_string(G_APPLICATION(application), _("[FILE …]"));
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

GSettings *
tb_application_settings(TbApplication *application)
{
    return application->settings;
}
