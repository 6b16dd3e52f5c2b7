/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/clipboard.h"

#include "app/item_acts.h"
#include "bay/clip.h"

#include <glib/gi18n.h>

/* ---- onto the clipboard ---- */

bool
tb_clipboard_copy(GtkWidget *widget, TbSession *session)
{
    const char *id = tb_session_selected(session);
    g_autoptr(GdkContentProvider) provider = NULL;
    g_autoptr(GBytes) bytes = NULL;
    GdkContentProvider *forms[2];
    TbFault fault = {0};
    char *text = NULL;

    if (tb_bay_item(tb_session_bay(session), id) == NULL)
        return false;
    if (tb_bay_copy_items(tb_session_bay(session), &id, 1, &text, &fault) != TB_OK) {
        tb_session_tell(session, fault.text);
        return false;
    }
    bytes = g_bytes_new(text, strlen(text));
    forms[0] = gdk_content_provider_new_for_bytes(TB_CLIP_TYPE, bytes);
    forms[1] = gdk_content_provider_new_typed(G_TYPE_STRING, text);
    g_free(text);
    provider = gdk_content_provider_new_union(forms, G_N_ELEMENTS(forms)); /* takes both */
    return gdk_clipboard_set_content(gtk_widget_get_clipboard(widget), provider);
}

bool
tb_clipboard_cut(GtkWidget *widget, TbSession *session)
{
    g_autofree char *id = g_strdup(tb_session_selected(session));

    return tb_clipboard_copy(widget, session) && tb_item_remove(session, id);
}

/* ---- from the clipboard ---- */

/* What was written, from the stream's memory; freed with g_free(). */
static char *
text_of(GMemoryOutputStream *memory)
{
    return g_strndup(g_memory_output_stream_get_data(memory),
                     g_memory_output_stream_get_data_size(memory));
}

static void
paste_text(TbSession *session, const char *text)
{
    const TbBay *bay = tb_session_bay(session);
    g_auto(GStrv) ids = NULL;
    g_autofree char *what = NULL;
    TbBay *next = NULL;
    TbFault fault = {0};
    guint count;

    if (tb_edit_paste(bay, text, &ids, &next, &fault) != TB_OK) {
        what = g_strdup_printf(_("Not pasted: %s"), fault.text);
        tb_session_tell(session, what);
        return;
    }
    count = g_strv_length(ids);
    what = count == 1 ? g_strdup_printf(_("paste %s"), tb_record_title(next, ids[0]))
                      : g_strdup_printf(ngettext("paste %u item", "paste %u items", count), count);
    tb_session_edit(session, next, what, 0);
    if (count > 0)
        tb_session_select(session, ids[0]);
}

static void
copied_out(GObject *source, GAsyncResult *result, void *data)
{
    GMemoryOutputStream *memory = G_MEMORY_OUTPUT_STREAM(source);
    TbSession *session = data;
    g_autoptr(GError) error = NULL;

    if (g_output_stream_splice_finish(G_OUTPUT_STREAM(source), result, &error) < 0) {
        tb_session_tell(session, error->message);
    } else {
        g_autofree char *text = text_of(memory);

        if (text[strspn(text, " \t\r\n")] == '<')
            paste_text(session, text);
        else
            tb_session_tell(session, _("What is on the clipboard is no item of a bay"));
    }
    g_object_unref(session);
}

static void
offered(GObject *source, GAsyncResult *result, void *data)
{
    TbSession *session = data;
    g_autoptr(GError) error = NULL;
    g_autoptr(GInputStream) stream =
        gdk_clipboard_read_finish(GDK_CLIPBOARD(source), result, NULL, &error);
    g_autoptr(GOutputStream) memory = NULL;

    if (stream == NULL) {
        tb_session_tell(session, _("Nothing that can be pasted is on the clipboard"));
        g_object_unref(session);
        return;
    }
    memory = g_memory_output_stream_new_resizable();
    g_output_stream_splice_async(
        memory, stream, G_OUTPUT_STREAM_SPLICE_CLOSE_SOURCE | G_OUTPUT_STREAM_SPLICE_CLOSE_TARGET,
        G_PRIORITY_DEFAULT, NULL, copied_out, session);
}

void
tb_clipboard_paste(GtkWidget *widget, TbSession *session)
{
    static const char *forms[] = {TB_CLIP_TYPE, "text/plain;charset=utf-8", "text/plain", NULL};

    gdk_clipboard_read_async(gtk_widget_get_clipboard(widget), forms, G_PRIORITY_DEFAULT, NULL,
                             offered, g_object_ref(session));
}

/* ---- keys ---- */

static gboolean
copy_key(GtkWidget *widget, GVariant *arguments, void *session)
{
    (void)arguments;
    return tb_clipboard_copy(widget, session);
}

static gboolean
cut_key(GtkWidget *widget, GVariant *arguments, void *session)
{
    (void)arguments;
    return tb_clipboard_cut(widget, session);
}

static gboolean
paste_key(GtkWidget *widget, GVariant *arguments, void *session)
{
    (void)arguments;
    tb_clipboard_paste(widget, session);
    return TRUE;
}

void
tb_clipboard_add_keys(GtkWidget *widget, TbSession *session)
{
    static const struct {
        const char *keys;
        GtkShortcutFunc act;
    } shortcuts[] = {
        {"<Control>c", copy_key},
        {"<Control>x", cut_key},
        {"<Control>v", paste_key},
    };
    GtkEventController *controller = gtk_shortcut_controller_new();

    for (size_t i = 0; i < G_N_ELEMENTS(shortcuts); i++)
        gtk_shortcut_controller_add_shortcut(
            GTK_SHORTCUT_CONTROLLER(controller),
            gtk_shortcut_new(
                gtk_shortcut_trigger_parse_string(shortcuts[i].keys),
                gtk_callback_action_new(shortcuts[i].act, g_object_ref(session), g_object_unref)));
    gtk_widget_add_controller(widget, controller);
}
