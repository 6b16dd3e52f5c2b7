/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The window from inside: what no pointer and no key of another program can bring about. */

#include "app/clipboard.h"
#include "app/cut_pane.h"
#include "app/pack_window.h"
#include "app/session_tool.h"
#include "app/tool_distances.h"
#include "app/view_out.h"
#include "app/view_sheet.h"
#include "base/mem.h"
#include "bay/datum.h"
#include "inside.h"

#include <math.h>
#include <string.h>

/* ---- files dropped ---- */

static void
drop(TbWindow *window, const char *const names[])
{
    void *target = controller_of(window, GTK_TYPE_DROP_TARGET);
    GSList *files = NULL;
    GValue value = G_VALUE_INIT;
    gboolean taken = FALSE;

    for (size_t i = 0; names[i] != NULL; i++)
        files = g_slist_append(files, bay_file(names[i]));
    g_value_init(&value, GDK_TYPE_FILE_LIST);
    g_value_take_boxed(&value, files);
    g_signal_emit_by_name(target, "drop", &value, 20.0, 30.0, &taken);
    g_assert_true(taken);
    g_value_unset(&value);
}

static void
dropped_bays_are_opened_the_first_where_the_welcome_was(void)
{
    TbWindow *window = tb_window_new(application);
    GdkContentFormats *formats =
        gtk_drop_target_get_formats(controller_of(window, GTK_TYPE_DROP_TARGET));

    gtk_window_present(GTK_WINDOW(window));
    g_assert_true(gdk_content_formats_contain_gtype(formats, GDK_TYPE_FILE_LIST));
    drop(window, (const char *const[]){"van-b.bay", "van-c.bay", NULL});
    g_assert_nonnull(tb_window_session(window));
    g_assert_cmpuint(window_count(), ==, 2);
    /* one that is open already brings its window to the front */
    drop(window, (const char *const[]){"van-c.bay", NULL});
    g_assert_cmpuint(window_count(), ==, 2);
    close_windows();
}

static void
what_is_no_bay_is_told_and_opens_nothing(void)
{
    TbWindow *window = tb_window_new(application);
    g_autoptr(GPtrArray) all = g_ptr_array_new();
    bool told = false;

    gtk_window_present(GTK_WINDOW(window));
    drop(window, (const char *const[]){"frame-side.ply", NULL});
    g_assert_null(tb_window_session(window));
    g_assert_cmpuint(window_count(), ==, 1);
    gather(GTK_WIDGET(tb_window_notices(window)), all);
    for (guint i = 0; i < all->len; i++)
        told = told || (GTK_IS_LABEL(all->pdata[i]) &&
                        g_str_has_prefix(gtk_label_get_text(all->pdata[i]), "Not opened: "));
    g_assert_true(told);
    close_windows();
}

/* ---- paper ---- */

static char *
output_of(const char *command)
{
    g_autoptr(GError) error = NULL;
    char *text = NULL;
    int status = 0;

    g_spawn_command_line_sync(command, &text, NULL, &status, &error);
    g_assert_no_error(error);
    g_assert_true(g_spawn_check_wait_status(status, &error));
    return text;
}

/* A PDF's first page at 10 dots a mm; NULL and a skipped test where no reader is. */
static cairo_surface_t *
dots_of(const char *pdf)
{
    g_autofree char *base = g_strdup_printf("%s-page", pdf);
    g_autofree char *png = g_strdup_printf("%s.png", base);
    g_autofree char *command =
        g_strdup_printf("pdftocairo -png -singlefile -r 254 '%s' '%s'", pdf, base);

    g_free(output_of(command));
    return cairo_image_surface_create_from_png(png);
}

/* Share of the dots of two pages of which one is ink and one is not. */
static double
difference(cairo_surface_t *a, cairo_surface_t *b)
{
    int width = cairo_image_surface_get_width(a), height = cairo_image_surface_get_height(a);
    size_t other = 0, ink = 0;

    g_assert_cmpint(width, ==, cairo_image_surface_get_width(b));
    g_assert_cmpint(height, ==, cairo_image_surface_get_height(b));
    for (int y = 0; y < height; y++) {
        const unsigned char *p =
            cairo_image_surface_get_data(a) + (size_t)y * cairo_image_surface_get_stride(a);
        const unsigned char *q =
            cairo_image_surface_get_data(b) + (size_t)y * cairo_image_surface_get_stride(b);

        for (int x = 0; x < width; x++) {
            bool dark = p[4 * x + 1] < 128, there = q[4 * x + 1] < 128;

            ink += dark || there;
            other += dark != there;
        }
    }
    g_assert_cmpuint(ink, >, 10000);
    return (double)other / ink;
}

static void
print_to(TbSession *session, const char *pdf)
{
    g_autoptr(GtkPrintOperation) operation = tb_view_out_print_operation(session, TB_SLOT_LEFT);
    g_autoptr(GError) error = NULL;

    g_assert_nonnull(operation);
    gtk_print_operation_set_export_filename(operation, pdf);
    g_assert_cmpint(
        gtk_print_operation_run(operation, GTK_PRINT_OPERATION_ACTION_EXPORT, NULL, &error), ==,
        GTK_PRINT_OPERATION_RESULT_APPLY);
    g_assert_no_error(error);
}

static void
what_is_printed_has_the_size_and_the_scale_of_the_sheet(void)
{
    g_autofree char *folder = g_dir_make_tmp("tightbay-print-XXXXXX", NULL);
    g_autofree char *printed = g_build_filename(folder, "printed.pdf", NULL);
    g_autofree char *sheet = g_build_filename(folder, "sheet.pdf", NULL);
    g_autofree char *reader = g_find_program_in_path("pdftocairo");
    g_autofree char *command = g_strdup_printf("pdfinfo '%s'", printed);
    g_autofree char *clear = g_strdup_printf("rm -rf '%s'", folder);
    g_autofree char *said = NULL;
    TbSession *session = tb_window_session(window_on("van-c.bay"));
    TbFault fault = {0};

    if (reader == NULL) {
        g_test_skip("no program that reads a PDF");
        return;
    }
    print_to(session, printed);
    said = output_of(command);
    g_assert_nonnull(strstr(said, "Pages:           1\n"));
    /* A4 across: 297 x 210 mm */
    g_assert_nonnull(strstr(said, "841.89 x 595.276 pts (A4)"));
    g_assert_cmpint(tb_view_sheet_save(session, TB_SLOT_LEFT, sheet, 200, &fault), ==, TB_OK);
    {
        cairo_surface_t *a = dots_of(printed), *b = dots_of(sheet);

        /* a page's last dot may be a part of one */
        g_assert_cmpint(cairo_image_surface_get_width(a) / 2, ==, 2970 / 2);
        g_assert_cmpint(cairo_image_surface_get_height(a) / 2, ==, 2100 / 2);
        /* half a dot here and there; a scale that is 1 % off makes it more than half */
        g_test_message("%.4f of the ink differs", difference(a, b));
        g_assert_cmpfloat(difference(a, b), <, 0.05);
        cairo_surface_destroy(a);
        cairo_surface_destroy(b);
    }
    g_free(output_of(clear));
    close_windows();
}

/* ---- themes ---- */

static void
note_result(GtkPrintOperation *operation, GtkPrintOperationResult result, int *told)
{
    (void)operation;
    *told = (int)result;
}

static void
the_pack_is_printed_sheet_by_sheet_at_the_size_of_its_paper(void)
{
    g_autofree char *folder = g_dir_make_tmp("tightbay-print-XXXXXX", NULL);
    g_autofree char *printed = g_build_filename(folder, "printed.pdf", NULL);
    g_autofree char *command = g_strdup_printf("pdfinfo '%s'", printed);
    g_autofree char *words = g_strdup_printf("pdftotext -f 2 -l 2 '%s' -", printed);
    g_autofree char *clear = g_strdup_printf("rm -rf '%s'", folder);
    g_autofree char *program = g_find_program_in_path("pdfinfo");
    g_autofree char *said = NULL;
    g_autofree char *text = NULL;
    g_autofree char *pages = NULL;
    g_autofree char *sheet = NULL;
    g_autoptr(GtkPrintOperation) operation = NULL;
    GSettings *settings = tb_application_settings(application);
    const char *left_out[] = {"stations", "gaps", "cuts", "map", "ducts", NULL};
    TbPackWindow *pack;
    int result = -1;

    if (program == NULL) {
        g_test_skip("no program that reads a PDF");
        return;
    }
    g_settings_set_string(settings, "pack-paper", "tabloid");
    g_settings_set_strv(settings, "pack-left-out", left_out);
    pack = tb_pack_window_show(window_on("van-b.bay"));
    wait_until(tb_pack_window_count(pack) > 0);
    g_assert_true(tb_pack_window_show(window_on("van-b.bay")) == pack);
    operation = tb_pack_window_print_operation(pack);
    g_signal_connect(operation, "done", G_CALLBACK(note_result), &result);
    gtk_print_operation_set_export_filename(operation, printed);
    gtk_print_operation_run(operation, GTK_PRINT_OPERATION_ACTION_EXPORT, NULL, NULL);
    wait_until(result >= 0);
    g_assert_cmpint(result, ==, GTK_PRINT_OPERATION_RESULT_APPLY);
    said = output_of(command);
    pages = g_strdup_printf("Pages:           %zu\n", tb_pack_window_count(pack));
    g_assert_nonnull(strstr(said, pages));
    /* 17 x 11 inches, across */
    g_assert_nonnull(strstr(said, "1224 x 792 pts"));
    text = output_of(words);
    sheet = g_strdup_printf("2 / %zu", tb_pack_window_count(pack));
    g_assert_nonnull(strstr(text, sheet));
    g_free(output_of(clear));
    g_settings_reset(settings, "pack-paper");
    g_settings_reset(settings, "pack-left-out");
    close_windows();
}

static gboolean
give_up(void *pack)
{
    gtk_widget_activate_action(GTK_WIDGET(pack), "win.cancel-work", NULL);
    return G_SOURCE_REMOVE;
}

static void
give_up_at_the_third(GtkPrintOperation *operation, GtkPrintContext *context, int page, void *pack)
{
    (void)operation, (void)context;
    g_assert_cmpint(page, <, 3);
    if (page == 2)
        g_idle_add_full(G_PRIORITY_HIGH, give_up, pack, NULL);
}

static void
printing_that_is_given_up_lets_the_pack_go_on(void)
{
    g_autofree char *folder = g_dir_make_tmp("tightbay-print-XXXXXX", NULL);
    g_autofree char *printed = g_build_filename(folder, "printed.pdf", NULL);
    g_autofree char *clear = g_strdup_printf("rm -rf '%s'", folder);
    g_autoptr(GtkPrintOperation) operation = NULL;
    TbPackWindow *pack = tb_pack_window_show(window_on("van-b.bay"));
    GSettings *settings = tb_application_settings(application);
    const char *left_out[] = {"stations", NULL};
    size_t whole;

    wait_until(tb_pack_window_count(pack) > 0);
    whole = tb_pack_window_count(pack);
    operation = tb_pack_window_print_operation(pack);
    g_signal_connect(operation, "draw-page", G_CALLBACK(give_up_at_the_third), pack);
    gtk_print_operation_set_export_filename(operation, printed);
    g_settings_set_strv(settings, "pack-left-out", left_out);
    gtk_print_operation_run(operation, GTK_PRINT_OPERATION_ACTION_EXPORT, NULL, NULL);
    g_assert_cmpint(gtk_print_operation_get_status(operation), ==,
                    GTK_PRINT_STATUS_FINISHED_ABORTED);
    /* the plan that was held meanwhile is made */
    wait_until(tb_pack_window_count(pack) < whole);
    g_settings_reset(settings, "pack-left-out");
    g_free(output_of(clear));
    close_windows();
}

static bool
complains(TbPackWindow *pack)
{
    g_autoptr(GPtrArray) all = g_ptr_array_new();

    gather(GTK_WIDGET(pack), all);
    for (guint i = 0; i < all->len; i++)
        if (GTK_IS_INFO_BAR(all->pdata[i]))
            return true;
    return false;
}

static void
an_earlier_bay_that_cannot_be_read_is_told_and_the_one_before_stays(void)
{
    g_autoptr(GFile) earlier = bay_file("van-b.bay");
    g_autoptr(GFile) missing = bay_file("none.bay");
    GSettings *settings = tb_application_settings(application);
    const char *left_out[] = {"stations", "gaps", "cuts", "map", "ducts", NULL};
    TbPackWindow *pack;
    size_t alone, compared;

    g_settings_set_strv(settings, "pack-left-out", left_out);
    pack = tb_pack_window_show(window_on("van-c.bay"));
    wait_until(tb_pack_window_count(pack) > 0);
    alone = tb_pack_window_count(pack);
    tb_pack_window_compare(pack, earlier);
    wait_until(tb_pack_window_count(pack) > alone);
    compared = tb_pack_window_count(pack);
    g_assert_false(complains(pack));
    tb_pack_window_compare(pack, missing);
    wait_until(complains(pack));
    g_assert_cmpuint(tb_pack_window_count(pack), ==, compared);
    /* the next time, too */
    gtk_window_destroy(GTK_WINDOW(pack));
    pack = tb_pack_window_show(window_on("van-c.bay"));
    wait_until(tb_pack_window_count(pack) > 0);
    g_assert_cmpuint(tb_pack_window_count(pack), ==, compared);
    tb_pack_window_compare(pack, NULL);
    wait_until(tb_pack_window_count(pack) == alone);
    g_settings_reset(settings, "pack-left-out");
    close_windows();
}

static void
drawings_follow_a_dark_preference_while_they_are_open(void)
{
    TbWindow *window = window_on("van-b.bay");
    GtkSettings *settings = gtk_settings_get_default();

    for (guint k = 0; k < 4; k++)
        g_assert_cmpint(tb_canvas_theme(widget_of(window, TB_TYPE_CANVAS, k)), ==, TB_THEME_LIGHT);
    g_object_set(settings, "gtk-application-prefer-dark-theme", TRUE, NULL);
    for (guint k = 0; k < 4; k++)
        wait_until(tb_canvas_theme(widget_of(window, TB_TYPE_CANVAS, k)) == TB_THEME_DARK);
    g_object_set(settings, "gtk-application-prefer-dark-theme", FALSE, NULL);
    wait_until(tb_canvas_theme(widget_of(window, TB_TYPE_CANVAS, 0)) == TB_THEME_LIGHT);
    close_windows();
}

/* ---- from window to window ---- */

static void
an_item_is_pasted_into_another_window(void)
{
    TbWindow *from = window_on("van-b.bay"), *to = window_on("van-c.bay");
    TbSession *session = tb_window_session(to);
    const TbBay *before = tb_session_bay(session);

    tb_session_select(tb_window_session(from), "lambda-sensor");
    g_assert_true(tb_clipboard_copy(GTK_WIDGET(from), tb_window_session(from)));
    tb_clipboard_paste(GTK_WIDGET(to), session);
    wait_until(tb_session_bay(session) != before);
    g_assert_cmpstr(tb_session_selected(session), ==, "lambda-sensor-2");
    g_assert_cmpstr(tb_session_undo_name(session), ==, "paste Lambda sensor 2");
    g_assert_null(tb_session_undo_name(tb_window_session(from)));
    tb_session_undo(session);
    close_windows();
}

static void
what_refers_to_something_that_is_missing_is_refused_in_a_sentence(void)
{
    TbWindow *from = window_on("van-b.bay"), *to;
    TbSession *session;
    const TbBay *before;

    tb_open_new(application);
    to = TB_WINDOW(gtk_application_get_windows(GTK_APPLICATION(application))->data);
    g_assert_true(to != from);
    session = tb_window_session(to);
    before = tb_session_bay(session);

    tb_session_select(tb_window_session(from), "oil-drain");
    g_assert_true(tb_clipboard_copy(GTK_WIDGET(from), tb_window_session(from)));
    tb_session_say(session, "");
    tb_clipboard_paste(GTK_WIDGET(to), session);
    wait_until(tb_session_message(session)[0] != '\0');
    g_test_message("%s", tb_session_message(session));
    g_assert_cmpstr(
        tb_session_message(session), ==,
        "Not pasted: start of line \"oil-drain\": port \"drain-out\" is not in the bay");
    g_assert_true(tb_session_bay(session) == before);
    gdk_clipboard_set_text(gtk_widget_get_clipboard(GTK_WIDGET(to)), "12.5 mm");
    tb_session_say(session, "");
    tb_clipboard_paste(GTK_WIDGET(to), session);
    wait_until(tb_session_message(session)[0] != '\0');
    g_assert_cmpstr(tb_session_message(session), ==,
                    "What is on the clipboard is no item of a bay");
    g_assert_true(tb_session_bay(session) == before);
    close_windows();
}

/* ---- a point by three distances ---- */

static double
away(const TbDatum *datum, TbVec3 at)
{
    return tb_vec3_length(tb_vec3_sub(datum->point, at));
}

static void
a_point_is_set_by_three_distances_typed_in_the_popover(void)
{
    TbWindow *window = window_on("van-c.bay");
    TbSession *session = tb_window_session(window);
    TbDatum *datums = NULL;
    size_t count = 0;
    void *ask;
    GtkWidget *set;
    TbVec3 want, got;

    tb_session_set_tool(session, TB_TOOL_BALL);
    ask = widget_of(window, TB_TYPE_TOOL_DISTANCES, 0);
    set = GTK_WIDGET(gtk_widget_get_template_child(ask, TB_TYPE_TOOL_DISTANCES, "set"));
    gtk_popover_popup(ask);
    wait_until(gtk_widget_get_mapped(ask));
    g_assert_false(gtk_widget_is_sensitive(set));
    g_assert_cmpint(
        tb_bay_datums(tb_session_bay(session), tb_session_variant(session), &datums, &count, NULL),
        ==, TB_OK);
    g_assert_cmpuint(count, >=, 3);
    /* somewhere above the three that are offered first */
    want = tb_vec3_scale(
        tb_vec3_add(tb_vec3_add(datums[0].point, datums[1].point), datums[2].point), 1 / 3.0);
    want = tb_vec3_add(want, tb_vec3(17.3, -9.1, 240.7));
    for (int i = 0; i < 3; i++) {
        g_autofree char *name = g_strdup_printf("distance_%d", i + 1);
        g_autofree char *text = g_strdup_printf("%.6f", away(&datums[i], want));

        gtk_editable_set_text(
            GTK_EDITABLE(gtk_widget_get_template_child(ask, TB_TYPE_TOOL_DISTANCES, name)), text);
    }
    g_assert_true(gtk_widget_is_sensitive(set));
    g_signal_emit_by_name(set, "clicked");
    g_assert_cmpuint(tb_session_sketch(session)->points->len, ==, 1);
    got = g_array_index(tb_session_sketch(session)->points, TbSketchPoint, 0).at;
    for (int i = 0; i < 3; i++)
        g_assert_cmpfloat(fabs(away(&datums[i], got) - away(&datums[i], want)), <, 0.001);
    g_assert_cmpstr(tb_session_sketch(session)->facts.datum, !=, NULL);
    tb_free(datums);
    close_windows();
}

/* ---- pinching ---- */

static void
a_pinch_zooms_at_its_middle(void)
{
    TbWindow *window = window_on("van-c.bay");
    TbCutPane *pane = widget_of(window, TB_TYPE_CUT_PANE, 0);
    void *pinch = controller_of(widget_of(pane, TB_TYPE_CANVAS, 0), GTK_TYPE_GESTURE_ZOOM);
    double before = tb_cut_pane_ratio(pane);

    g_assert_cmpfloat(before, >, 0);
    g_signal_emit_by_name(pinch, "begin", NULL);
    /* the toolkit tells how far the fingers are apart against how far they were at first */
    g_signal_emit_by_name(pinch, "scale-changed", 1.25);
    g_signal_emit_by_name(pinch, "scale-changed", 1.6);
    g_assert_cmpfloat(fabs(tb_cut_pane_ratio(pane) / before - 1.6), <, 1e-9);
    g_signal_emit_by_name(pinch, "begin", NULL);
    g_signal_emit_by_name(pinch, "scale-changed", 0.5);
    g_assert_cmpfloat(fabs(tb_cut_pane_ratio(pane) / before - 0.8), <, 1e-9);
    close_windows();
}

/* ---- keys are told ---- */

/* Every key of the shortcuts window, by action or as a trigger's text. */
static GHashTable *
told_keys(TbWindow *window)
{
    GtkWidget *help =
        GTK_WIDGET(gtk_application_window_get_help_overlay(GTK_APPLICATION_WINDOW(window)));
    GHashTable *told = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    g_autoptr(GPtrArray) all = g_ptr_array_new();

    gather(help, all);
    for (guint i = 0; i < all->len; i++) {
        g_autofree char *keys = NULL;
        g_autofree char *action = NULL;

        if (!GTK_IS_SHORTCUTS_SHORTCUT(all->pdata[i]))
            continue;
        g_object_get(all->pdata[i], "accelerator", &keys, "action-name", &action, NULL);
        if (action != NULL)
            g_hash_table_add(told, g_strdup(action));
        if (keys != NULL) {
            g_auto(GStrv) each = g_strsplit(keys, " ", -1);

            for (char **key = each; *key != NULL; key++) {
                g_autoptr(GtkShortcutTrigger) trigger = gtk_shortcut_trigger_parse_string(*key);

                if (trigger != NULL)
                    g_hash_table_add(told, gtk_shortcut_trigger_to_string(trigger));
            }
        }
    }
    return told;
}

static void
every_key_of_an_action_is_in_the_shortcuts_window(void)
{
    TbWindow *window = window_on("van-b.bay");
    g_autoptr(GHashTable) told = told_keys(window);
    g_auto(GStrv) actions = gtk_application_list_action_descriptions(GTK_APPLICATION(application));

    g_assert_cmpuint(g_strv_length(actions), >=, 14);
    for (char **action = actions; *action != NULL; action++)
        if (!g_hash_table_contains(told, *action))
            g_error("no shortcut is told for %s", *action);
    close_windows();
}

/* Keys that the toolkit's own widgets have, or that lead only from one thing to the next. */
static bool
is_usual(const char *key)
{
    static const char *const usual[] = {"Tab", "ISO_Left_Tab", "Escape", "Return"};

    for (size_t i = 0; i < G_N_ELEMENTS(usual); i++)
        if (strstr(key, usual[i]) != NULL)
            return true;
    return false;
}

/* Ours are on the window's own parts; how many of them were there. */
static guint
check_controller(GtkEventController *controller, GHashTable *told)
{
    guint count = 0;

    for (guint i = 0; i < g_list_model_get_n_items(G_LIST_MODEL(controller)); i++) {
        g_autoptr(GtkShortcut) shortcut = g_list_model_get_item(G_LIST_MODEL(controller), i);
        GtkShortcutTrigger *trigger = gtk_shortcut_get_trigger(shortcut);
        g_autofree char *key = gtk_shortcut_trigger_to_string(trigger);

        /* a letter that is underlined needs no telling */
        if (GTK_IS_MNEMONIC_TRIGGER(trigger) || is_usual(key))
            continue;
        count++;
        if (!g_hash_table_contains(told, key))
            g_error("the key %s is not told", key);
    }
    return count;
}

static void
every_key_of_a_list_is_in_the_shortcuts_window(void)
{
    TbWindow *window = window_on("van-b.bay");
    g_autoptr(GHashTable) told = told_keys(window);
    g_autoptr(GPtrArray) all = g_ptr_array_new();
    guint count = 0;

    gather(GTK_WIDGET(window), all);
    for (guint i = 0; i < all->len; i++) {
        g_autoptr(GListModel) controllers = gtk_widget_observe_controllers(all->pdata[i]);

        for (guint k = 0; k < g_list_model_get_n_items(controllers); k++) {
            g_autoptr(GtkEventController) one = g_list_model_get_item(controllers, k);

            /* those that the toolkit adds bear its name */
            if (GTK_IS_SHORTCUT_CONTROLLER(one) && gtk_event_controller_get_name(one) == NULL)
                count += check_controller(one, told);
        }
    }
    g_assert_cmpuint(count, >=, 12);
    close_windows();
}

int
main(int argc, char **argv)
{
    begin_inside(&argc, &argv);
#define ADD(name) g_test_add_func("/window/inside/" #name, name)
    ADD(dropped_bays_are_opened_the_first_where_the_welcome_was);
    ADD(what_is_no_bay_is_told_and_opens_nothing);
    ADD(what_is_printed_has_the_size_and_the_scale_of_the_sheet);
    ADD(the_pack_is_printed_sheet_by_sheet_at_the_size_of_its_paper);
    ADD(printing_that_is_given_up_lets_the_pack_go_on);
    ADD(an_earlier_bay_that_cannot_be_read_is_told_and_the_one_before_stays);
    ADD(drawings_follow_a_dark_preference_while_they_are_open);
    ADD(an_item_is_pasted_into_another_window);
    ADD(what_refers_to_something_that_is_missing_is_refused_in_a_sentence);
    ADD(a_point_is_set_by_three_distances_typed_in_the_popover);
    ADD(a_pinch_zooms_at_its_middle);
    ADD(every_key_of_an_action_is_in_the_shortcuts_window);
    ADD(every_key_of_a_list_is_in_the_shortcuts_window);
    return run_inside();
}
