/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/number_entry.h"

void
tb_number_entry(GtkEntry *entry)
{
    GtkEditable *text = gtk_editable_get_delegate(GTK_EDITABLE(entry));

    gtk_entry_set_alignment(entry, 1);
    gtk_widget_add_css_class(GTK_WIDGET(entry), "numeric");
    gtk_widget_set_direction(GTK_WIDGET(entry), GTK_TEXT_DIR_LTR);
    /* a part of its own, which would go by the desktop's direction */
    gtk_widget_set_direction(GTK_WIDGET(text), GTK_TEXT_DIR_LTR);
}
