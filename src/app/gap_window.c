/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/gap_window.h"

#include "app/canvas.h"
#include "app/detail_value.h"
#include "app/strip_table.h"
#include "app/view_out.h"
#include "draw/causes_view.h"
#include "draw/paint.h"
#include "study/scene_causes.h"

#include <glib/gi18n.h>
#include <string.h>

/** mm of paper around the drawing. */
#define AIR 4.0

struct _TbGapWindow {
    GtkWindow parent;

    GtkLabel *title_label, *subtitle_label, *note_label;
    GtkBox *canvas_box;
    TbCanvas *canvas;
    GSimpleActionGroup *actions;

    TbSession *session;
    gulong changed;
    char *a, *b, *state, *variant; /* which gap */
    TbResults *results;            /* referenced: the scene lends from them */
    TbSceneCauses *scene;          /* NULL: the gap is judged no more */
};

G_DEFINE_FINAL_TYPE(TbGapWindow, tb_gap_window, GTK_TYPE_WINDOW)

/* ---- which gap ---- */

static void
take_names(TbGapWindow *window, const TbResultGap *gap)
{
    char *const names[] = {g_strdup(gap->a), g_strdup(gap->b), g_strdup(gap->state),
                           g_strdup(gap->variant)};
    char **const own[] = {&window->a, &window->b, &window->state, &window->variant};

    for (size_t i = 0; i < G_N_ELEMENTS(own); i++) {
        g_free(*own[i]);
        *own[i] = names[i];
    }
}

static const TbResultGap *
find_gap(const TbGapWindow *window, const TbResults *results)
{
    for (size_t i = 0; results != NULL && i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];

        if (strcmp(gap->a, window->a) == 0 && strcmp(gap->b, window->b) == 0 &&
            strcmp(gap->state, window->state) == 0 && strcmp(gap->variant, window->variant) == 0)
            return gap;
    }
    return NULL;
}

/* ---- what is shown ---- */

static void
set_text(GtkLabel *label, const char *text)
{
    if (strcmp(gtk_label_get_text(label), text) != 0)
        gtk_label_set_text(label, text);
}

static void
take_scene(TbGapWindow *window)
{
    TbResults *results =
        tb_session_whole_results(window->session) == NULL
            ? NULL
            : tb_results_ref((TbResults *)tb_session_whole_results(window->session));
    const TbResultGap *gap = find_gap(window, results);

    g_clear_pointer(&window->scene, tb_scene_causes_free);
    if (gap != NULL)
        window->scene =
            tb_scene_causes_new(results, gap, tb_value_unit(tb_session_bay(window->session)));
    tb_results_unref(window->results);
    window->results = results;
}

static void
update(TbGapWindow *window)
{
    static const char *const of_drawing[] = {"export-view", "show-table"};
    bool settled = tb_session_is_settled(window->session);
    const TbSceneCauses *scene;
    g_autofree char *words = NULL;

    take_scene(window);
    scene = window->scene;
    if (scene != NULL)
        words = tb_scene_causes_words(scene);
    set_text(window->title_label, scene == NULL ? "" : scene->title);
    set_text(window->subtitle_label, scene == NULL ? "" : scene->subtitle);
    gtk_window_set_title(GTK_WINDOW(window), scene == NULL ? _("Causes of a gap") : scene->title);
    set_text(window->note_label, !settled        ? _("Being judged again")
                                 : scene == NULL ? _("This gap is judged no more")
                                                 : "");
    tb_canvas_set_stale(window->canvas, !settled);
    for (size_t i = 0; i < G_N_ELEMENTS(of_drawing); i++)
        g_simple_action_set_enabled(G_SIMPLE_ACTION(g_action_map_lookup_action(
                                        G_ACTION_MAP(window->actions), of_drawing[i])),
                                    scene != NULL);
    tb_canvas_describe(window->canvas, gtk_window_get_title(GTK_WINDOW(window)),
                       words == NULL ? gtk_label_get_text(window->note_label) : words);
    tb_canvas_redraw(window->canvas);
}

static void
session_changed(TbSession *session, guint parts, TbGapWindow *window)
{
    (void)session;
    if ((parts & (TB_SESSION_DOCUMENT | TB_SESSION_SHOWN)) != 0)
        update(window);
}

static void
draw(void *user, TbPicture *picture, TbVec2 size)
{
    TbGapWindow *window = user;

    tb_picture_init(picture, size.x, size.y);
    if (window->scene != NULL)
        tb_causes_into(picture, window->scene,
                       (TbRectangle){{AIR, AIR}, {size.x - AIR, size.y - AIR}},
                       tb_canvas_measurer(window->canvas));
}

TbStatus
tb_gap_window_sheet(TbGapWindow *window, TbPicture *picture, TbFault *fault)
{
    TbPaintMeasurer *measurer;
    TbStatus status;

    if (window->scene == NULL) {
        tb_picture_init(picture, 1, 1);
        return tb_fail(fault, TB_E_REFERENCE,
                       "there is nothing to draw: the gap is judged no more");
    }
    measurer = tb_paint_measurer_new();
    status = tb_causes_view(picture, window->scene, tb_paint_measurer(measurer), fault);
    tb_paint_measurer_free(measurer);
    return status;
}

/* ---- actions ---- */

static void
export_view(TbGapWindow *window)
{
    g_autofree char *name = g_strdup_printf("%s %s %s%s%s.pdf", window->a, window->b, window->state,
                                            window->variant[0] == '\0' ? "" : " ", window->variant);
    TbPicture picture;
    TbFault fault = {0};

    if (tb_gap_window_sheet(window, &picture, &fault) == TB_OK) {
        tb_view_out_save(GTK_WINDOW(window), window->session, name, &picture);
        return;
    }
    tb_session_tell(window->session, fault.text);
    tb_picture_clear(&picture);
}

static void
show_table(TbGapWindow *window)
{
    if (window->scene != NULL)
        tb_table_show(GTK_WINDOW(window), window->scene->title, window->scene->title,
                      tb_scene_causes_table(window->scene));
}

static void
act(GSimpleAction *action, GVariant *parameter, void *data)
{
    const char *name = g_action_get_name(G_ACTION(action));

    (void)parameter;
    if (g_str_equal(name, "close"))
        gtk_window_close(data);
    else if (g_str_equal(name, "show-table"))
        show_table(data);
    else
        export_view(data);
}

/* The names that the bay's window has for the same, so that the same keys do it here. */
static void
add_actions(TbGapWindow *window)
{
    static const GActionEntry entries[] = {
        {.name = "close", .activate = act},
        {.name = "export-view", .activate = act},
        {.name = "show-table", .activate = act},
    };

    window->actions = g_simple_action_group_new();
    g_action_map_add_action_entries(G_ACTION_MAP(window->actions), entries, G_N_ELEMENTS(entries),
                                    window);
    gtk_widget_insert_action_group(GTK_WIDGET(window), "win", G_ACTION_GROUP(window->actions));
}

static gboolean
escape(GtkWidget *widget, GVariant *arguments, void *data)
{
    (void)arguments, (void)data;
    gtk_window_close(GTK_WINDOW(widget));
    return TRUE;
}

/* ---- the class ---- */

static TbGapWindow *
window_over(GtkWindow *parent)
{
    GListModel *all = gtk_window_get_toplevels();

    for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
        g_autoptr(GtkWindow) one = g_list_model_get_item(all, i);

        if (TB_IS_GAP_WINDOW(one) && gtk_window_get_transient_for(one) == parent)
            return TB_GAP_WINDOW(one);
    }
    return NULL;
}

TbGapWindow *
tb_gap_window_show(GtkWindow *parent, TbSession *session, const TbResultGap *gap)
{
    TbGapWindow *window = window_over(parent);

    if (window == NULL) {
        window = g_object_new(TB_TYPE_GAP_WINDOW, "application", gtk_window_get_application(parent),
                              "transient-for", parent, "destroy-with-parent", TRUE, NULL);
        window->session = g_object_ref(session);
        window->changed = g_signal_connect(session, "changed", G_CALLBACK(session_changed), window);
    }
    take_names(window, gap);
    update(window);
    gtk_window_present(GTK_WINDOW(window));
    return window;
}

static void
dispose(GObject *object)
{
    TbGapWindow *window = TB_GAP_WINDOW(object);

    if (window->session != NULL)
        g_clear_signal_handler(&window->changed, window->session);
    if (window->canvas != NULL)
        tb_canvas_forget(window->canvas);
    window->canvas = NULL;
    G_OBJECT_CLASS(tb_gap_window_parent_class)->dispose(object);
}

static void
finalize(GObject *object)
{
    TbGapWindow *window = TB_GAP_WINDOW(object);

    tb_scene_causes_free(window->scene);
    tb_results_unref(window->results);
    g_clear_object(&window->actions);
    g_clear_object(&window->session);
    g_free(window->a);
    g_free(window->b);
    g_free(window->state);
    g_free(window->variant);
    G_OBJECT_CLASS(tb_gap_window_parent_class)->finalize(object);
}

#define CHILD(name) gtk_widget_class_bind_template_child(widget_class, TbGapWindow, name)

static void
tb_gap_window_class_init(TbGapWindowClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    G_OBJECT_CLASS(klass)->dispose = dispose;
    G_OBJECT_CLASS(klass)->finalize = finalize;
    gtk_widget_class_set_template_from_resource(widget_class, "/net/tightbay/Tightbay/gap.ui");
    gtk_widget_class_add_binding(widget_class, GDK_KEY_Escape, 0, escape, NULL);
    CHILD(title_label);
    CHILD(subtitle_label);
    CHILD(note_label);
    CHILD(canvas_box);
}

static void
tb_gap_window_init(TbGapWindow *window)
{
    TbCanvasDef def = {.draw = draw, .user = window};

    gtk_widget_init_template(GTK_WIDGET(window));
    add_actions(window);
    window->canvas = TB_CANVAS(tb_canvas_new(&def));
    gtk_widget_set_size_request(GTK_WIDGET(window->canvas), 480, 480);
    gtk_widget_set_hexpand(GTK_WIDGET(window->canvas), TRUE);
    gtk_widget_set_vexpand(GTK_WIDGET(window->canvas), TRUE);
    gtk_box_append(window->canvas_box, GTK_WIDGET(window->canvas));
}
