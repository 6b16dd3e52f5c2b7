/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/verdict.h"

#include "app/decisions.h"

#include <glib/gi18n.h>

struct _TbVerdictForm {
    GtkPopover parent;

    TbSession *session;
    char *finding; /* id that is asked about */

    GtkLabel *about_label, *fault_label;
    GtkDropDown *disposition_drop;
    GtkEntry *owner_entry, *due_entry;
    GtkPopover *calendar_popover;
    GtkCalendar *calendar;
    GtkTextView *text_view;
    GtkCheckButton *wide_check;
    GtkButton *record_button, *cancel_button;
};

G_DEFINE_FINAL_TYPE(TbVerdictForm, tb_verdict_form, GTK_TYPE_POPOVER)

static void
say_fault(TbVerdictForm *form, const char *text)
{
    gtk_label_set_text(form->fault_label, text);
    gtk_widget_set_visible(GTK_WIDGET(form->fault_label), text[0] != '\0');
}

/* ---- asking ---- */

static const char *
or_empty(const char *text)
{
    return text == NULL ? "" : text;
}

static void
fill(TbVerdictForm *form, const TbDecision *decision, bool wide)
{
    gtk_drop_down_set_selected(form->disposition_drop, decision == NULL
                                                           ? TB_DISPOSITION_OPEN
                                                           : (guint)decision->disposition);
    gtk_editable_set_text(GTK_EDITABLE(form->owner_entry),
                          decision == NULL ? "" : or_empty(decision->owner));
    gtk_editable_set_text(GTK_EDITABLE(form->due_entry),
                          decision == NULL ? "" : or_empty(decision->due));
    gtk_text_buffer_set_text(gtk_text_view_get_buffer(form->text_view),
                             decision == NULL ? "" : or_empty(decision->text), -1);
    gtk_check_button_set_active(form->wide_check, decision == NULL || wide);
}

void
tb_verdict_form_ask(TbVerdictForm *form, const TbMatterRow *row, const GdkRectangle *at)
{
    bool wide = false;
    const TbDecision *decision =
        tb_decision_about(tb_session_bay(form->session), row->finding, &wide);

    g_free(form->finding);
    form->finding = g_strdup(row->finding->id);
    gtk_label_set_text(form->about_label, row->sentence);
    say_fault(form, "");
    fill(form, decision, wide);
    gtk_popover_set_pointing_to(GTK_POPOVER(form), at);
    gtk_popover_popup(GTK_POPOVER(form));
    gtk_widget_grab_focus(GTK_WIDGET(form->disposition_drop));
}

/* ---- recording ---- */

/* The finding that was asked about: answers may have come since. */
static const TbFinding *
find_asked(const TbResults *results, const char *id)
{
    for (size_t i = 0; results != NULL && i < results->finding_count; i++)
        if (strcmp(results->findings[i].id, id) == 0)
            return &results->findings[i];
    return NULL;
}

static const TbFinding *
asked(TbVerdictForm *form)
{
    const TbFinding *finding = find_asked(tb_session_results(form->session), form->finding);

    return finding != NULL ? finding
                           : find_asked(tb_session_whole_results(form->session), form->finding);
}

static void
record(TbVerdictForm *form)
{
    GtkTextBuffer *buffer = gtk_text_view_get_buffer(form->text_view);
    GtkTextIter start, end;
    g_autofree char *text = NULL, *due = NULL, *owner = NULL;
    const TbFinding *finding = asked(form);
    TbFault fault = {0};
    TbVerdict verdict = {
        .disposition = (int)gtk_drop_down_get_selected(form->disposition_drop),
        .wide = gtk_check_button_get_active(form->wide_check),
    };

    if (finding == NULL) {
        say_fault(form, _("This is not found any more"));
        return;
    }
    gtk_text_buffer_get_bounds(buffer, &start, &end);
    verdict.text = text = g_strstrip(gtk_text_buffer_get_text(buffer, &start, &end, FALSE));
    verdict.due = due = g_strstrip(g_strdup(gtk_editable_get_text(GTK_EDITABLE(form->due_entry))));
    verdict.owner = owner =
        g_strstrip(g_strdup(gtk_editable_get_text(GTK_EDITABLE(form->owner_entry))));
    if (verdict.disposition == TB_DISPOSITION_WAIVED && text[0] == '\0') {
        say_fault(form, _("A waiver needs its reason: what was looked at, and why it may stay"));
        gtk_widget_grab_focus(GTK_WIDGET(form->text_view));
    } else if (tb_decide(form->session, finding, &verdict, &fault)) {
        gtk_popover_popdown(GTK_POPOVER(form));
    } else {
        say_fault(form, fault.text);
    }
}

static void
day_chosen(GtkCalendar *calendar, TbVerdictForm *form)
{
    g_autoptr(GDateTime) date = gtk_calendar_get_date(calendar);
    g_autofree char *text =
        g_strdup_printf("%04d-%02d-%02d", g_date_time_get_year(date), g_date_time_get_month(date),
                        g_date_time_get_day_of_month(date));

    gtk_editable_set_text(GTK_EDITABLE(form->due_entry), text);
    gtk_popover_popdown(form->calendar_popover);
}

/* ---- the class ---- */

static void
dispose(GObject *object)
{
    TbVerdictForm *form = TB_VERDICT_FORM(object);

    g_clear_object(&form->session);
    g_clear_pointer(&form->finding, g_free);
    G_OBJECT_CLASS(tb_verdict_form_parent_class)->dispose(object);
}

#define CHILD(name) gtk_widget_class_bind_template_child(widget_class, TbVerdictForm, name)

static void
tb_verdict_form_class_init(TbVerdictFormClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    G_OBJECT_CLASS(klass)->dispose = dispose;
    gtk_widget_class_set_template_from_resource(widget_class, "/net/tightbay/Tightbay/verdict.ui");
    CHILD(about_label);
    CHILD(fault_label);
    CHILD(disposition_drop);
    CHILD(owner_entry);
    CHILD(due_entry);
    CHILD(calendar_popover);
    CHILD(calendar);
    CHILD(text_view);
    CHILD(wide_check);
    CHILD(record_button);
    CHILD(cancel_button);
}

static void
tb_verdict_form_init(TbVerdictForm *form)
{
    g_autoptr(GtkStringList) names = gtk_string_list_new(NULL);

    gtk_widget_init_template(GTK_WIDGET(form));
    for (int disposition = 0; disposition <= TB_DISPOSITION_WAIVED; disposition++)
        gtk_string_list_append(names, tb_disposition_name(disposition));
    gtk_drop_down_set_model(form->disposition_drop, G_LIST_MODEL(names));
    g_signal_connect_swapped(form->record_button, "clicked", G_CALLBACK(record), form);
    g_signal_connect_swapped(form->cancel_button, "clicked", G_CALLBACK(gtk_popover_popdown), form);
    g_signal_connect(form->calendar, "day-selected", G_CALLBACK(day_chosen), form);
}

GtkWidget *
tb_verdict_form_new(TbSession *session)
{
    TbVerdictForm *form = g_object_new(TB_TYPE_VERDICT_FORM, NULL);

    form->session = g_object_ref(session);
    return GTK_WIDGET(form);
}
