/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/notice.h"

#define KIND "tb-notice-kind"

typedef struct Notice {
    void (*answered)(void *user, int answer);
    void (*gone)(void *user);
    void *user;
} Notice;

static void
free_notice(void *data, GClosure *closure)
{
    Notice *notice = data;

    (void)closure;
    if (notice->gone != NULL)
        notice->gone(notice->user);
    g_free(notice);
}

static void
on_response(GtkInfoBar *bar, int answer, Notice *notice)
{
    GtkBox *box = GTK_BOX(gtk_widget_get_parent(GTK_WIDGET(bar)));

    if (answer > 0 && notice->answered != NULL)
        notice->answered(notice->user, answer);
    /* the answer may have taken the bar away */
    if (gtk_widget_get_parent(GTK_WIDGET(bar)) == GTK_WIDGET(box))
        gtk_box_remove(box, GTK_WIDGET(bar));
}

void
tb_notice_clear(GtkBox *notices, const char *kind)
{
    GtkWidget *bar = gtk_widget_get_first_child(GTK_WIDGET(notices));

    while (bar != NULL) {
        GtkWidget *next = gtk_widget_get_next_sibling(bar);

        if (g_strcmp0(g_object_get_data(G_OBJECT(bar), KIND), kind) == 0)
            gtk_box_remove(notices, bar);
        bar = next;
    }
}

void
tb_notice_show(GtkBox *notices, const TbNoticeDef *def)
{
    GtkWidget *bar = gtk_info_bar_new(), *label = gtk_label_new(def->text);
    Notice *notice = g_new0(Notice, 1);

    if (def->kind != NULL)
        tb_notice_clear(notices, def->kind);
    notice->answered = def->answered;
    notice->gone = def->gone;
    notice->user = def->user;
    gtk_label_set_wrap(GTK_LABEL(label), TRUE);
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_widget_set_hexpand(label, TRUE);
    gtk_info_bar_add_child(GTK_INFO_BAR(bar), label);
    gtk_info_bar_set_message_type(GTK_INFO_BAR(bar), def->type);
    for (size_t i = 0; def->buttons != NULL && def->buttons[i].label != NULL; i++)
        gtk_info_bar_add_button(GTK_INFO_BAR(bar), def->buttons[i].label, def->buttons[i].answer);
    gtk_info_bar_set_show_close_button(GTK_INFO_BAR(bar), TRUE);
    g_object_set_data_full(G_OBJECT(bar), KIND, g_strdup(def->kind), g_free);
    g_signal_connect_data(bar, "response", G_CALLBACK(on_response), notice, free_notice, 0);
    gtk_box_append(notices, bar);
}
