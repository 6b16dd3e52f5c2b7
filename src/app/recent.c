/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/recent.h"

#include <glib/gi18n.h>

#define MIME "application/x-tightbay"

void
tb_recent_add(GFile *file)
{
    g_autofree char *uri = g_file_get_uri(file);
    GtkRecentData data = {
        .mime_type = (char *)MIME,
        .app_name = (char *)g_get_application_name(),
        .app_exec = (char *)"tightbay %u",
    };

    gtk_recent_manager_add_full(gtk_recent_manager_get_default(), uri, &data);
}

static int
newest_first(const void *a, const void *b)
{
    GDateTime *x = gtk_recent_info_get_modified(*(GtkRecentInfo *const *)a);
    GDateTime *y = gtk_recent_info_get_modified(*(GtkRecentInfo *const *)b);

    return g_date_time_compare(y, x);
}

GPtrArray *
tb_recent_list(unsigned most)
{
    GList *all = gtk_recent_manager_get_items(gtk_recent_manager_get_default());
    g_autoptr(GPtrArray) ours = g_ptr_array_new();
    GPtrArray *files = g_ptr_array_new_with_free_func(g_object_unref);

    for (GList *one = all; one != NULL; one = one->next)
        if (g_strcmp0(gtk_recent_info_get_mime_type(one->data), MIME) == 0)
            g_ptr_array_add(ours, one->data);
    g_ptr_array_sort(ours, newest_first);
    for (unsigned i = 0; i < ours->len && files->len < most; i++)
        if (gtk_recent_info_exists(ours->pdata[i]))
            g_ptr_array_add(files, g_file_new_for_uri(gtk_recent_info_get_uri(ours->pdata[i])));
    g_list_free_full(all, (GDestroyNotify)gtk_recent_info_unref);
    return files;
}

void
tb_recent_add_filters(GtkFileChooser *chooser)
{
    g_autoptr(GtkFileFilter) bays = gtk_file_filter_new();
    g_autoptr(GtkFileFilter) all = gtk_file_filter_new();

    gtk_file_filter_set_name(bays, _("Bays"));
    gtk_file_filter_add_suffix(bays, "bay");
    gtk_file_filter_add_mime_type(bays, MIME);
    gtk_file_chooser_add_filter(chooser, bays);
    gtk_file_filter_set_name(all, _("All files"));
    gtk_file_filter_add_pattern(all, "*");
    gtk_file_chooser_add_filter(chooser, all);
    gtk_file_chooser_set_filter(chooser, bays);
}
