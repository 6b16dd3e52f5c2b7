/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What stands around the drawings: heads of panes, drop-downs, the status line, the window of keys.
 */

#include "inside.h"

#include "app/cut_pane.h"
#include "app/place_entry.h"
#include "app/session_tool.h"
#include "draw/cut_screen.h"

#include <string.h>

/* A label of the ratio of the k-th cut: the last one of the pane's head. */
static const char *
ratio_text(TbWindow *window, guint k)
{
    TbCutPane *pane = widget_of(window, TB_TYPE_CUT_PANE, k);
    GtkMenuButton *button = widget_of(pane, GTK_TYPE_MENU_BUTTON, 0);

    return gtk_label_get_text(GTK_LABEL(gtk_menu_button_get_child(button)));
}

static bool
tells_its_ratio(TbWindow *window, guint k)
{
    TbCutPane *pane = widget_of(window, TB_TYPE_CUT_PANE, k);
    char text[24] = "";

    if (!(tb_cut_pane_ratio(pane) > 0))
        return false;
    tb_viewport_ratio_text(tb_cut_pane_ratio(pane), text);
    return strcmp(text, ratio_text(window, k)) == 0;
}

static void
a_cut_tells_no_ratio_before_it_is_drawn_and_then_its_own(void)
{
    g_autoptr(GFile) file = bay_file("van-b.bay");
    guint tick_source = g_timeout_add(5, tick, NULL);
    TbWindow *window;

    tb_open_file(application, file);
    do {
        g_main_context_iteration(NULL, TRUE);
        window = gtk_application_get_windows(GTK_APPLICATION(application))->data;
        for (guint k = 0; tb_window_session(window) != NULL && k < 2; k++)
            if (ratio_text(window, k)[0] != '\0' && !tells_its_ratio(window, k))
                g_error("cut %u tells %s", k, ratio_text(window, k));
    } while (tb_window_session(window) == NULL || !is_drawn(window));
    g_source_remove(tick_source);
    for (guint k = 0; k < 2; k++)
        wait_until(tells_its_ratio(window, k));
    close_windows();
}

static void
the_window_of_keys_opens_without_a_warning(void)
{
    TbWindow *window = window_on("van-b.bay");
    GtkWidget *help =
        GTK_WIDGET(gtk_application_window_get_help_overlay(GTK_APPLICATION_WINDOW(window)));
    static const char *const sections[] = {"shortcuts", "cuts", "path"};

    gtk_window_present(GTK_WINDOW(help));
    wait_until(gtk_widget_get_mapped(help));
    for (size_t i = 0; i < G_N_ELEMENTS(sections); i++) {
        g_autoptr(GPtrArray) all = g_ptr_array_new();
        g_autofree char *shown = NULL;

        g_object_set(help, "section-name", sections[i], NULL);
        g_object_get(help, "section-name", &shown, NULL);
        g_assert_cmpstr(shown, ==, sections[i]);
        gather(help, all);
        for (guint k = 0; k < all->len; k++)
            if (GTK_IS_LABEL(all->pdata[k]))
                gtk_widget_measure(all->pdata[k], GTK_ORIENTATION_HORIZONTAL, -1, NULL, NULL, NULL,
                                   NULL);
    }
    gtk_window_close(GTK_WINDOW(help));
    close_windows();
}

/* Every place that is told ends in a unit. */
static bool
are_told_in(TbWindow *window, const char *unit)
{
    g_autoptr(GPtrArray) all = g_ptr_array_new();
    guint count = 0;

    gather(GTK_WIDGET(window), all);
    for (guint i = 0; i < all->len; i++) {
        const char *text =
            TB_IS_PLACE_ENTRY(all->pdata[i]) ? gtk_editable_get_text(all->pdata[i]) : "";

        if (text[0] == '\0')
            continue;
        count++;
        if (!g_str_has_suffix(text, unit))
            return false;
    }
    g_assert_cmpuint(count, >=, 3);
    return true;
}

static void
planes_and_stations_are_told_in_the_unit_that_lengths_are_shown_in(void)
{
    TbWindow *window = window_on("van-b.bay");
    GSettings *settings = tb_application_settings(application);

    wait_until(are_told_in(window, " mm"));
    g_settings_set_string(settings, "unit", "inch");
    wait_until(are_told_in(window, " in"));
    g_settings_reset(settings, "unit");
    wait_until(are_told_in(window, " mm"));
    close_windows();
}

static GtkWidget *
state_drop_down(TbWindow *window)
{
    g_autoptr(GPtrArray) all = g_ptr_array_new();

    gather(GTK_WIDGET(window), all);
    for (guint i = 0; i < all->len; i++)
        if (GTK_IS_DROP_DOWN(all->pdata[i]) &&
            g_strcmp0(gtk_widget_get_tooltip_text(all->pdata[i]), "State shown") == 0)
            return all->pdata[i];
    g_error("there are no states to choose");
}

static void
names_of_the_list_of_states_stand_on_one_line(void)
{
    TbWindow *window = window_on("van-b.bay");
    TbSession *session = tb_window_session(window);
    const TbList *states = &tb_session_bay(session)->lists[TB_LIST_STATES];
    GtkWidget *drop = state_drop_down(window), *popover;
    g_autoptr(GPtrArray) all = g_ptr_array_new();
    guint count = 0;

    tb_session_set_state(session, "cold");
    popover = widget_of(drop, GTK_TYPE_POPOVER, 0);
    g_signal_emit_by_name(drop, "activate");
    wait_until(gtk_widget_get_mapped(popover));
    /* lines are known of a row that has its place */
    wait_until(gtk_widget_get_width(
                   widget_of(widget_of(popover, GTK_TYPE_LIST_VIEW, 0), GTK_TYPE_LABEL, 0)) > 0);
    gather(widget_of(popover, GTK_TYPE_LIST_VIEW, 0), all);
    for (guint i = 0; i < all->len; i++) {
        PangoLayout *layout =
            GTK_IS_LABEL(all->pdata[i]) ? gtk_label_get_layout(all->pdata[i]) : NULL;

        if (layout == NULL || !gtk_widget_get_mapped(all->pdata[i]))
            continue;
        count++;
        g_test_message("%s", gtk_label_get_text(all->pdata[i]));
        g_assert_cmpint(pango_layout_get_line_count(layout), ==, 1);
        g_assert_false(pango_layout_is_ellipsized(layout));
    }
    g_assert_cmpuint(count, ==, states->count);
    gtk_popover_popdown(GTK_POPOVER(popover));
    close_windows();
}

static GtkLabel *
child_label(TbWindow *window, const char *name)
{
    return GTK_LABEL(gtk_widget_get_template_child(GTK_WIDGET(window), TB_TYPE_WINDOW, name));
}

/* Neither is cut while the other has room to spare. */
static void
the_caution_has_what_a_tools_words_leave(void)
{
    TbWindow *window = window_on("van-b.bay");
    TbSession *session = tb_window_session(window);
    GtkLabel *message = child_label(window, "message_label");
    GtkLabel *caution = child_label(window, "caution_label");
    int wanted, letters;

    tb_session_set_tool(session, TB_TOOL_BALL);
    wait_until(gtk_label_get_text(message)[0] != '\0');
    tb_session_set_pointer(session, "X 1432.0  Y 212.0 mm");
    for (int i = 0; i < 20; i++)
        g_main_context_iteration(NULL, FALSE);
    wait_until(!gtk_widget_get_allocated_width(GTK_WIDGET(message)) == 0);
    letters = gtk_label_get_max_width_chars(caution);
    gtk_widget_measure(GTK_WIDGET(message), GTK_ORIENTATION_HORIZONTAL, -1, NULL, &wanted, NULL,
                       NULL);
    g_test_message("%d letters, message %d of %d px", letters, wanted,
                   gtk_widget_get_width(GTK_WIDGET(message)));
    if (letters > 0)
        wait_until(gtk_widget_get_width(GTK_WIDGET(message)) - wanted < 60);
    tb_session_set_tool(session, TB_TOOL_NONE);
    wait_until(gtk_label_get_max_width_chars(caution) == -1);
    close_windows();
}

int
main(int argc, char **argv)
{
    begin_inside(&argc, &argv);
#define ADD(name) g_test_add_func("/window/heads/" #name, name)
    ADD(a_cut_tells_no_ratio_before_it_is_drawn_and_then_its_own);
    ADD(the_window_of_keys_opens_without_a_warning);
    ADD(planes_and_stations_are_told_in_the_unit_that_lengths_are_shown_in);
    ADD(names_of_the_list_of_states_stand_on_one_line);
    ADD(the_caution_has_what_a_tools_words_leave);
    return run_inside();
}
