/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/window_private.h"

#include "app/across_pane.h"
#include "app/choice.h"
#include "app/clipboard.h"
#include "app/closing.h"
#include "app/cut_pane.h"
#include "app/details.h"
#include "app/findings.h"
#include "app/item_list.h"
#include "app/open.h"
#include "app/session_tool.h"
#include "app/sliding.h"
#include "app/strip.h"
#include "app/tool_bar.h"
#include "app/welcome.h"
#include "study/say.h"

#include <glib/gi18n.h>
#include <string.h>

G_DEFINE_FINAL_TYPE(TbWindow, tb_window, GTK_TYPE_APPLICATION_WINDOW)

/** Letters of the caution that are always seen. */
#define LEAST_CAUTION 18

/* ---- what the header and the status line say ---- */

static void
update_title(TbWindow *window)
{
    TbSession *session = window->session;
    const TbHead *head = tb_session_bay(session)->head;
    GFile *file = tb_session_file(session);
    g_autofree char *name = file == NULL ? g_strdup(_("not saved yet")) : g_file_get_basename(file);
    g_autofree char *title = NULL;
    g_autofree char *subtitle = NULL;
    g_autofree char *whole = NULL;

    title = head->revision == NULL
                ? g_strdup(tb_session_title(session))
                : g_strdup_printf(_("%s, revision %s"), tb_session_title(session), head->revision);
    /* Translators: the file's name when it has changes that are not saved */
    subtitle =
        tb_session_is_saved(session) ? g_strdup(name) : g_strdup_printf(_("%s, changed"), name);
    whole = g_strdup_printf(tb_session_is_saved(session) ? "%s" : "• %s", title);
    gtk_label_set_text(window->title_label, whole);
    gtk_label_set_text(window->subtitle_label, subtitle);
    gtk_widget_show(GTK_WIDGET(window->subtitle_label));
    gtk_window_set_title(GTK_WINDOW(window), whole);
}

/* Sizes, gap and what to do next, while there is a tool in hand; else NULL. */
static char *
tool_text(TbSession *session)
{
    g_autofree char *says = NULL;

    if (tb_session_tool(session) == TB_TOOL_NONE)
        return NULL;
    says = tb_session_tool_says(session);
    return g_strconcat(says, says[0] == '\0' ? "" : " · ", tb_session_tool_hint(session), NULL);
}

/* What a tool says needs the room; the caution has what is left, and is whole in its tip. */
static void
make_room(TbWindow *window)
{
    GtkWidget *caution = GTK_WIDGET(window->caution_label);
    GtkWidget *line = gtk_widget_get_parent(caution);
    g_autoptr(PangoLayout) whole =
        gtk_widget_create_pango_layout(caution, gtk_label_get_text(window->caution_label));
    PangoFontMetrics *font =
        pango_context_get_metrics(gtk_widget_get_pango_context(caution), NULL, NULL);
    int letter = MAX(1, MAX(pango_font_metrics_get_approximate_char_width(font),
                            pango_font_metrics_get_approximate_digit_width(font)));
    int line_wants, caution_wants, width, left;

    gtk_widget_measure(line, GTK_ORIENTATION_HORIZONTAL, -1, NULL, &line_wants, NULL, NULL);
    gtk_widget_measure(caution, GTK_ORIENTATION_HORIZONTAL, -1, NULL, &caution_wants, NULL, NULL);
    pango_layout_get_pixel_size(whole, &width, NULL);
    left = gtk_widget_get_width(line) - (line_wants - caution_wants);
    gtk_label_set_max_width_chars(window->caution_label,
                                  left >= width ? -1
                                                : MAX(LEAST_CAUTION, left * PANGO_SCALE / letter));
    pango_font_metrics_unref(font);
}

/* True where it says something else now. */
static bool
set_text(GtkLabel *label, const char *text)
{
    bool changed = strcmp(gtk_label_get_text(label), text) != 0;

    if (changed)
        gtk_label_set_text(label, text);
    return changed;
}

static void
update_status(TbWindow *window)
{
    TbSession *session = window->session;
    double share = 0;
    const char *what = tb_session_progress(session, &share);
    const TbFault *fault = tb_session_fault(session);
    const char *message = tb_session_message(session);
    g_autofree char *tool = tool_text(session);
    bool changed = set_text(window->pointer_label, tb_session_pointer(session));

    changed |= set_text(window->message_label, tool != NULL && message[0] == '\0' ? tool
                                               : what != NULL           ? tb_say_progress(what)
                                               : fault->text[0] != '\0' ? fault->text
                                                                        : message);
    changed |= gtk_widget_get_visible(GTK_WIDGET(window->progress_box)) != (what != NULL);
    gtk_widget_set_visible(GTK_WIDGET(window->progress_box), what != NULL);
    if (what != NULL)
        gtk_progress_bar_set_fraction(window->progress_bar, share);
    /* measuring is dear, and a drag without a tool tells another place at each step */
    if (tool == NULL)
        gtk_label_set_max_width_chars(window->caution_label, -1);
    else if (changed)
        make_room(window);
}

static void
session_changed(TbSession *session, guint parts, TbWindow *window)
{
    (void)session;
    if (parts & (TB_SESSION_DOCUMENT | TB_SESSION_FILE))
        update_title(window);
    if (parts & (TB_SESSION_STATUS | TB_SESSION_SHOWN))
        update_status(window);
    if (parts & (TB_SESSION_DOCUMENT | TB_SESSION_FILE | TB_SESSION_SELECTION | TB_SESSION_STATUS))
        tb_window__update_actions(window);
}

/* ---- panes ---- */

/* Every pane, from left to right; each knows the session and nothing of the others. */
static void
build_panes(TbWindow *window)
{
    TbApplication *application = TB_APPLICATION(gtk_window_get_application(GTK_WINDOW(window)));

    tb_clipboard_add_keys(GTK_WIDGET(window->fold), window->session);
    gtk_box_append(window->choice_box, tb_choice_new(window->session));
    gtk_box_append(window->tools_box, tb_sliding_new(tb_tool_bar_new(window->session)));
    gtk_box_append(window->list_box, tb_item_list_new(window->session));
    gtk_box_append(window->left_box, tb_cut_pane_new(window->session, TB_SLOT_LEFT));
    gtk_box_append(window->middle_box, tb_cut_pane_new(window->session, TB_SLOT_MIDDLE));
    gtk_box_append(window->across_box, tb_across_pane_new(window->session));
    gtk_box_append(window->details_box, tb_details_new(window->session));
    gtk_box_append(window->findings_box, tb_findings_new(window->session));
    gtk_box_append(window->strip_box,
                   tb_strip_pane_new(window->session, tb_application_settings(application)));
}

void
tb_window_show_bay(TbWindow *window, TbBay *bay, TbFile *file)
{
    TbApplication *application = TB_APPLICATION(gtk_window_get_application(GTK_WINDOW(window)));

    g_return_if_fail(window->session == NULL);
    window->session =
        tb_session_new(bay, file == NULL ? NULL : tb_file_place(file),
                       tb_application_store(application), tb_application_work(application));
    window->changed =
        g_signal_connect(window->session, "changed", G_CALLBACK(session_changed), window);
    window->keeper = tb_keeper_new(GTK_WINDOW(window), window->notices, window->session, file);
    build_panes(window);
    tb_window__restore_view(window);
    update_title(window);
    update_status(window);
    tb_window__update_actions(window);
    gtk_stack_set_visible_child_name(window->stack, "bay");
}

TbSession *
tb_window_session(TbWindow *window)
{
    return window->session;
}

TbKeeper *
tb_window_keeper(TbWindow *window)
{
    return window->keeper;
}

GtkBox *
tb_window_notices(TbWindow *window)
{
    return window->notices;
}

GtkOverlay *
tb_window_overlay(TbWindow *window)
{
    return window->overlay;
}

/* ---- the class ---- */

static gboolean
close_request(GtkWindow *window)
{
    tb_close_window(TB_WINDOW(window));
    return TRUE;
}

/* Files dropped on the window are opened. */
static gboolean
dropped(GtkDropTarget *target, const GValue *value, double x, double y, GtkWindow *window)
{
    GSList *files = g_value_get_boxed(value);

    (void)target, (void)x, (void)y;
    for (; files != NULL; files = files->next)
        tb_open_file(TB_APPLICATION(gtk_window_get_application(window)), files->data);
    return TRUE;
}

static void
accept_files(TbWindow *window)
{
    GtkDropTarget *target = gtk_drop_target_new(GDK_TYPE_FILE_LIST, GDK_ACTION_COPY);

    g_signal_connect(target, "drop", G_CALLBACK(dropped), window);
    gtk_widget_add_controller(GTK_WIDGET(window), GTK_EVENT_CONTROLLER(target));
}

static void
dispose(GObject *object)
{
    TbWindow *window = TB_WINDOW(object);

    if (window->keeper != NULL)
        tb_window__keep_state(window);
    if (window->session != NULL)
        g_clear_signal_handler(&window->changed, window->session);
    if (window->keeper != NULL)
        tb_keeper_close(window->keeper);
    g_clear_object(&window->keeper);
    G_OBJECT_CLASS(tb_window_parent_class)->dispose(object);
    g_clear_object(&window->session);
    g_clear_object(&window->settings);
}

#define CHILD(name) gtk_widget_class_bind_template_child(widget_class, TbWindow, name)

static void
tb_window_class_init(TbWindowClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    G_OBJECT_CLASS(klass)->dispose = dispose;
    GTK_WINDOW_CLASS(klass)->close_request = close_request;
    g_type_ensure(TB_TYPE_FOLD);
    gtk_widget_class_set_template_from_resource(widget_class, "/net/tightbay/Tightbay/window.ui");
    CHILD(stack);
    CHILD(overlay);
    CHILD(fold);
    CHILD(notices);
    CHILD(welcome_box);
    CHILD(choice_box);
    CHILD(tools_box);
    CHILD(list_box);
    CHILD(left_box);
    CHILD(middle_box);
    CHILD(across_box);
    CHILD(strip_box);
    CHILD(details_box);
    CHILD(findings_box);
    CHILD(list_paned);
    CHILD(side_paned);
    CHILD(strip_paned);
    CHILD(left_paned);
    CHILD(middle_paned);
    CHILD(details_paned);
    CHILD(save_button);
    CHILD(undo_button);
    CHILD(redo_button);
    CHILD(title_label);
    CHILD(subtitle_label);
    CHILD(pointer_label);
    CHILD(message_label);
    CHILD(caution_label);
    CHILD(progress_box);
    CHILD(progress_bar);
}

static void
tb_window_init(TbWindow *window)
{
    gtk_widget_init_template(GTK_WIDGET(window));
    gtk_label_set_text(window->title_label, "Tightbay");
    gtk_widget_hide(GTK_WIDGET(window->subtitle_label));
    gtk_box_append(window->welcome_box, tb_welcome_new());
    accept_files(window);
    gtk_label_set_text(window->caution_label, tb_say_caution(false));
    gtk_widget_set_tooltip_text(GTK_WIDGET(window->caution_label), tb_say_caution(false));
    tb_window__follow_width(window);
    tb_window__add_actions(window);
    tb_window__update_actions(window);
}

TbWindow *
tb_window_new(TbApplication *application)
{
    TbWindow *window = g_object_new(TB_TYPE_WINDOW, "application", application, NULL);

    window->settings = g_object_ref(tb_application_settings(application));
    tb_window__restore_size(window);
    tb_window__fit_screen(window);
    return window;
}
