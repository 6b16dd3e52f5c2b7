/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/pack_window_private.h"

#include "app/notice.h"
#include "app/setting_choice.h"
#include "study/say.h"

#include <glib/gi18n.h>

G_DEFINE_FINAL_TYPE(TbPackWindow, tb_pack_window, GTK_TYPE_WINDOW)

/** ms after a change of the bay, in which another one may follow. */
#define REST 600

/** Its bars in the window. */
#define COMPLAINT "pack"

/* ---- words and buttons ---- */

void
tb_pack_window__say(TbPackWindow *window, const char *text)
{
    gtk_label_set_text(window->message_label, text);
    gtk_widget_set_tooltip_text(GTK_WIDGET(window->message_label), text[0] == '\0' ? NULL : text);
}

void
tb_pack_window__complain(TbPackWindow *window, const char *text)
{
    if (text == NULL)
        tb_notice_clear(window->notices, COMPLAINT);
    else
        tb_notice_show(window->notices,
                       &(TbNoticeDef){.type = GTK_MESSAGE_ERROR, .text = text, .kind = COMPLAINT});
}

static void
enable(TbPackWindow *window, const char *name, bool enabled)
{
    GAction *action = g_action_map_lookup_action(G_ACTION_MAP(window->actions), name);

    g_simple_action_set_enabled(G_SIMPLE_ACTION(action), enabled);
}

static const char *
why_empty(TbPackWindow *window)
{
    if (window->plan != NULL)
        return window->plan->sheet_count > 0 ? "" : _("No chapter is chosen: tick one on the left");
    return window->stale && !window->planning ? _("There is no pack yet")
                                              : _("The pack is being made…");
}

void
tb_pack_window__update(TbPackWindow *window)
{
    size_t count = tb_pack_window_count(window);
    bool idle = window->work == TB_PACK_IDLE;

    enable(window, "export-view", idle && (window->plan == NULL || count > 0));
    enable(window, "print-view", idle && count > 0 && !window->stale);
    enable(window, "cancel-work", !idle || window->tells_progress);
    enable(window, "again", idle && window->stale && !window->planning && window->waiting == 0);
    gtk_widget_set_visible(GTK_WIDGET(window->again_button),
                           window->stale && !window->planning && window->waiting == 0);
    /* what is written and printed is what was chosen when it began */
    gtk_widget_set_sensitive(GTK_WIDGET(window->options), idle);
    gtk_widget_set_sensitive(GTK_WIDGET(window->list), idle);
    gtk_label_set_text(window->empty_label, why_empty(window));
    gtk_widget_set_visible(GTK_WIDGET(window->empty_label), count == 0);
    gtk_label_set_text(window->subtitle_label, tb_session_title(window->session));
    tb_pack_earlier__update(window);
    tb_pack_view__update(window);
}

void
tb_pack_window__show_progress(TbPackWindow *window, const char *what, double share)
{
    bool shows = share >= 0;

    gtk_widget_set_visible(GTK_WIDGET(window->progress_box), shows);
    enable(window, "cancel-work", shows || window->work != TB_PACK_IDLE);
    if (!shows && window->tells_progress)
        tb_pack_window__say(window, "");
    window->tells_progress = shows;
    if (!shows)
        return;
    tb_pack_window__say(window, what);
    gtk_progress_bar_set_fraction(window->progress_bar, share);
}

/* ---- asking for a plan ---- */

static char *
file_name(TbPackWindow *window)
{
    GFile *file = tb_session_file(window->session);

    return file == NULL ? NULL : g_file_get_path(file);
}

static void
ask(TbPackWindow *window)
{
    g_auto(GStrv) left_out = g_settings_get_strv(window->settings, TB_PACK_LEFT_OUT);
    g_autofree char *folder = tb_session_folder(window->session);
    TbPackWish wish = {.bay = tb_session_bay(window->session),
                       .folder = folder,
                       .against = window->against,
                       .earlier = window->earlier,
                       .paper = (TbPaper)g_settings_get_enum(window->settings, TB_PACK_PAPER),
                       .projection =
                           (TbProjection)g_settings_get_enum(window->settings, TB_PACK_PROJECTION),
                       .left_out = (const char *const *)left_out};

    tb_bay_unref(window->bay);
    window->bay = tb_bay_ref(wish.bay);
    g_free(window->name);
    window->name = file_name(window);
    wish.name = window->name;
    window->planning = window->stale = true;
    tb_pack_window__say(window, "");
    tb_pack_job_plan(window->job, &wish);
    tb_pack_window__update(window);
}

static gboolean
ask_now(void *data)
{
    TbPackWindow *window = data;

    window->waiting = 0;
    ask(window);
    return G_SOURCE_REMOVE;
}

void
tb_pack_window__plan(TbPackWindow *window, guint ms)
{
    g_clear_handle_id(&window->waiting, g_source_remove);
    window->stale = true;
    window->waiting = g_timeout_add(ms, ask_now, window);
    tb_pack_window__update(window);
}

void
tb_pack_window__plan_now(TbPackWindow *window)
{
    if (window->waiting == 0 && !(window->stale && !window->planning))
        return;
    g_clear_handle_id(&window->waiting, g_source_remove);
    ask(window);
}

static void
session_changed(TbSession *session, guint parts, TbPackWindow *window)
{
    g_autofree char *name = file_name(window);

    if ((parts & (TB_SESSION_DOCUMENT | TB_SESSION_FILE)) == 0 || window->bay == NULL)
        return;
    if (tb_session_bay(session) != window->bay || g_strcmp0(name, window->name) != 0)
        tb_pack_window__plan(window, REST);
}

static void
setting_changed(GSettings *settings, const char *key, TbPackWindow *window)
{
    (void)settings;
    if (g_str_equal(key, TB_PACK_INKS))
        tb_canvas_redraw(window->canvas);
    else if (g_str_equal(key, TB_PACK_PAPER) || g_str_equal(key, TB_PACK_PROJECTION) ||
             g_str_equal(key, TB_PACK_LEFT_OUT))
        tb_pack_window__plan(window, 0);
}

/* ---- answers ---- */

static void
planned(void *user, TbPackPlan *plan, const TbFault *fault)
{
    TbPackWindow *window = user;

    window->planning = false;
    if (plan == NULL) {
        if (fault->status == TB_E_CANCELLED)
            tb_pack_window__say(window, _("Given up: the pack is not of the bay as it is now"));
        else
            tb_pack_window__complain(window, fault->text);
        tb_pack_window__update(window);
        return;
    }
    window->stale = window->waiting != 0;
    tb_pack_plan_free(window->plan);
    window->plan = plan;
    tb_pack_list__update(window);
    tb_pack_window__update(window);
}

static void
drawn(void *user, size_t sheet, TbPicture *picture, const TbFault *fault)
{
    TbPackWindow *window = user;

    (void)sheet;
    tb_pack_view__show(window, picture);
    if (picture == NULL && fault->status != TB_E_CANCELLED)
        tb_pack_window__complain(window, fault->text);
}

static void
paged(void *user, size_t sheet, TbPicture *picture, const TbFault *fault)
{
    (void)sheet;
    tb_pack_print__paged(user, picture, fault);
}

static void
written(void *user, const char *path, const TbFault *fault)
{
    tb_pack_out__written(user, path, fault);
}

static void
progress(void *user, const char *what, double share)
{
    TbPackWindow *window = user;

    /* a sheet for the printer that has ended is not the end of the printing */
    if (window->work != TB_PACK_PRINTS)
        tb_pack_window__show_progress(window, tb_say_progress(what), share);
}

/* ---- actions ---- */

static void
cancel(TbPackWindow *window)
{
    if (window->work != TB_PACK_PRINTS) {
        tb_pack_job_cancel(window->job);
        return;
    }
    /* a plan that waits for its end is still wanted */
    tb_pack_print__give_up(window);
    tb_pack_window__show_progress(window, "", -1);
    tb_pack_window__say(window, _("Given up: not all sheets were printed"));
    tb_pack_window__update(window);
}

static void
act(GSimpleAction *action, GVariant *parameter, void *data)
{
    TbPackWindow *window = data;
    const char *name = g_action_get_name(G_ACTION(action));

    (void)parameter;
    if (g_str_equal(name, "close"))
        gtk_window_close(GTK_WINDOW(window));
    else if (g_str_equal(name, "export-view"))
        tb_pack_out__export(window);
    else if (g_str_equal(name, "print-view"))
        tb_pack_print__print(window);
    else if (g_str_equal(name, "cancel-work"))
        cancel(window);
    else if (g_str_equal(name, "earlier"))
        tb_pack_earlier__choose(window);
    else if (g_str_equal(name, "no-earlier"))
        tb_pack_window_compare(window, NULL);
    else
        tb_pack_window__plan_now(window);
}

/* The names that the bay's window has for the same, so that the same keys do it here. */
static void
add_actions(TbPackWindow *window)
{
    static const GActionEntry entries[] = {
        {.name = "again", .activate = act},       {.name = "cancel-work", .activate = act},
        {.name = "close", .activate = act},       {.name = "earlier", .activate = act},
        {.name = "export-view", .activate = act}, {.name = "no-earlier", .activate = act},
        {.name = "print-view", .activate = act},
    };

    window->actions = g_simple_action_group_new();
    g_action_map_add_action_entries(G_ACTION_MAP(window->actions), entries, G_N_ELEMENTS(entries),
                                    window);
    tb_pack_view__add_actions(window);
    gtk_widget_insert_action_group(GTK_WIDGET(window), "win", G_ACTION_GROUP(window->actions));
}

/* Gives up what is under way; with nothing, closes. */
static gboolean
escape(GtkWidget *widget, GVariant *arguments, void *data)
{
    TbPackWindow *window = TB_PACK_WINDOW(widget);

    (void)arguments, (void)data;
    if (window->tells_progress || window->work != TB_PACK_IDLE)
        cancel(window);
    else
        gtk_window_close(GTK_WINDOW(window));
    return TRUE;
}

/* ---- the class ---- */

static void
dispose(GObject *object)
{
    TbPackWindow *window = TB_PACK_WINDOW(object);

    g_clear_handle_id(&window->waiting, g_source_remove);
    g_clear_handle_id(&window->telling, g_source_remove);
    tb_pack_earlier__stop(window);
    if (window->session != NULL)
        g_clear_signal_handler(&window->document_changed, window->session);
    if (window->settings != NULL)
        g_clear_signal_handler(&window->settings_changed, window->settings);
    if (window->job != NULL)
        tb_pack_print__give_up(window);
    g_clear_pointer(&window->job, tb_pack_job_free);
    if (window->canvas != NULL)
        tb_canvas_forget(window->canvas);
    window->updating = true;
    G_OBJECT_CLASS(tb_pack_window_parent_class)->dispose(object);
    window->canvas = NULL;
}

static void
finalize(GObject *object)
{
    TbPackWindow *window = TB_PACK_WINDOW(object);

    tb_pack_plan_free(window->plan);
    tb_picture_clear(&window->picture);
    tb_bay_unref(window->bay);
    tb_bay_unref(window->against);
    g_free(window->name);
    g_free(window->earlier);
    g_clear_object(&window->actions);
    g_clear_object(&window->session);
    g_clear_object(&window->settings);
    G_OBJECT_CLASS(tb_pack_window_parent_class)->finalize(object);
}

#define CHILD(name) gtk_widget_class_bind_template_child(widget_class, TbPackWindow, name)

static void
tb_pack_window_class_init(TbPackWindowClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    G_OBJECT_CLASS(klass)->dispose = dispose;
    G_OBJECT_CLASS(klass)->finalize = finalize;
    gtk_widget_class_set_template_from_resource(widget_class, "/net/tightbay/Tightbay/pack.ui");
    gtk_widget_class_add_binding(widget_class, GDK_KEY_Escape, 0, escape, NULL);
    CHILD(subtitle_label);
    CHILD(empty_label);
    CHILD(place_label);
    CHILD(zoom_label);
    CHILD(message_label);
    CHILD(notices);
    CHILD(canvas_box);
    CHILD(progress_box);
    CHILD(progress_bar);
    CHILD(paper);
    CHILD(projection);
    CHILD(inks);
    CHILD(options);
    CHILD(earlier_button);
    CHILD(no_earlier_button);
    CHILD(again_button);
    CHILD(earlier_label);
    CHILD(list);
}

static void
tb_pack_window_init(TbPackWindow *window)
{
    gtk_widget_init_template(GTK_WIDGET(window));
    add_actions(window);
    tb_pack_list__init(window);
    tb_pack_view__init(window);
    tb_pack_window__show_progress(window, "", -1);
}

static void
begin(TbPackWindow *window, TbApplication *application)
{
    g_autofree char *earlier = tb_pack_choices_earlier(window->settings, window->session);
    g_autoptr(GFile) file = earlier == NULL ? NULL : g_file_new_for_path(earlier);

    window->job = tb_pack_job_new(&(TbPackJobDef){.store = tb_application_store(application),
                                                  .work = tb_application_work(application),
                                                  .planned = planned,
                                                  .drawn = drawn,
                                                  .paged = paged,
                                                  .written = written,
                                                  .progress = progress,
                                                  .user = window});
    window->document_changed =
        g_signal_connect(window->session, "changed", G_CALLBACK(session_changed), window);
    window->settings_changed =
        g_signal_connect(window->settings, "changed", G_CALLBACK(setting_changed), window);
    tb_setting_choice_bind(window->settings, TB_PACK_PAPER, window->paper);
    tb_setting_choice_bind(window->settings, TB_PACK_PROJECTION, window->projection);
    tb_setting_choice_bind(window->settings, TB_PACK_INKS, window->inks);
    /* with what it was compared with last; that is read first */
    if (file != NULL)
        tb_pack_window_compare(window, file);
    else
        tb_pack_window__plan(window, 0);
    tb_pack_window__update(window);
}

size_t
tb_pack_window_count(TbPackWindow *window)
{
    return window->plan == NULL ? 0 : window->plan->sheet_count;
}

/* The pack of a window; NULL: it has none open. */
static TbPackWindow *
pack_of(TbWindow *parent, TbApplication *application)
{
    GList *windows = gtk_application_get_windows(GTK_APPLICATION(application));

    for (; windows != NULL; windows = windows->next)
        if (TB_IS_PACK_WINDOW(windows->data) &&
            gtk_window_get_transient_for(windows->data) == GTK_WINDOW(parent))
            return windows->data;
    return NULL;
}

TbPackWindow *
tb_pack_window_show(TbWindow *parent)
{
    TbApplication *application = TB_APPLICATION(gtk_window_get_application(GTK_WINDOW(parent)));
    TbPackWindow *window = pack_of(parent, application);

    if (window == NULL) {
        window = g_object_new(TB_TYPE_PACK_WINDOW, "application", application, "transient-for",
                              parent, "destroy-with-parent", TRUE, NULL);
        window->session = g_object_ref(tb_window_session(parent));
        window->settings = g_object_ref(tb_application_settings(application));
        begin(window, application);
    }
    gtk_window_present(GTK_WINDOW(window));
    return window;
}
