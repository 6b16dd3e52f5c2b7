/* SPDX-License-Identifier: GPL-3.0-or-later */

/* A gap in the details, and how it comes about in a window of its own. */

#include "inside.h"

#include "app/gap_window.h"
#include "base/mem.h"
#include "bay/edit.h"

#include <string.h>

static TbWindow *
judged_window(const char *name)
{
    TbWindow *window = window_on(name);

    wait_until(tb_session_is_settled(tb_window_session(window)));
    return window;
}

static const TbResultGap *
gap_of(TbSession *session, const char *pair, const char *state, const char *variant)
{
    const TbResults *results = tb_session_whole_results(session);

    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];
        g_autofree char *own = tb_results_pair(gap->a, gap->b);

        if (strcmp(own, pair) == 0 && strcmp(gap->state, state) == 0 &&
            strcmp(gap->variant, variant) == 0)
            return gap;
    }
    g_error("no gap of %s in %s, %s", pair, state, variant);
}

static bool
shows_text(void *above, const char *prefix)
{
    g_autoptr(GPtrArray) all = g_ptr_array_new();

    gather(above, all);
    for (guint i = 0; i < all->len; i++)
        if (GTK_IS_LABEL(all->pdata[i]) && gtk_widget_get_mapped(all->pdata[i]) &&
            g_str_has_prefix(gtk_label_get_text(all->pdata[i]), prefix))
            return true;
    return false;
}

/* The button of the details that opens the drawing. */
static GtkButton *
causes_button(TbWindow *window)
{
    g_autoptr(GPtrArray) all = g_ptr_array_new();

    gather(GTK_WIDGET(window), all);
    for (guint i = 0; i < all->len; i++)
        if (GTK_IS_BUTTON(all->pdata[i]) &&
            g_strcmp0(gtk_button_get_label(all->pdata[i]), "Causes…") == 0)
            return all->pdata[i];
    return NULL;
}

static TbGapWindow *
gap_window(void)
{
    GList *windows = gtk_application_get_windows(GTK_APPLICATION(application));

    for (; windows != NULL; windows = windows->next)
        if (TB_IS_GAP_WINDOW(windows->data))
            return windows->data;
    return NULL;
}

static TbGapWindow *
open_causes(TbWindow *window)
{
    wait_until(causes_button(window) != NULL &&
               gtk_widget_get_visible(GTK_WIDGET(causes_button(window))));
    g_signal_emit_by_name(causes_button(window), "clicked");
    wait_until(gap_window() != NULL);
    return gap_window();
}

/* Texts of the exported drawing, one a line; NULL: there is none. */
static char *
drawn(TbGapWindow *window)
{
    TbPicture picture;
    TbFault fault = {0};
    bool is = tb_gap_window_sheet(window, &picture, &fault) == TB_OK;
    char *dump = is ? tb_picture_dump(&picture) : NULL;
    char *text = g_strdup(dump);

    tb_free(dump);
    tb_picture_clear(&picture);
    return text;
}

/* The window over another one that has a table. */
static GtkWindow *
table_over(TbGapWindow *parent)
{
    GListModel *all = gtk_window_get_toplevels();

    for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
        g_autoptr(GtkWindow) one = g_list_model_get_item(all, i);

        if (gtk_window_get_transient_for(one) == GTK_WINDOW(parent) &&
            GTK_IS_COLUMN_VIEW(widget_of(one, GTK_TYPE_COLUMN_VIEW, 0)))
            return one;
    }
    return NULL;
}

static void
a_gap_at_tolerance_is_drawn_with_its_causes_shares_and_samples(void)
{
    TbWindow *window = judged_window("van-b.bay");
    TbGapWindow *gap;
    g_autofree char *text = NULL;

    tb_session_select(tb_window_session(window), "runner-2");
    gap = open_causes(window);
    g_assert_cmpstr(gtk_window_get_title(GTK_WINDOW(gap)), ==, "Gap from Runner 2 to Runner 4");
    g_assert_true(gtk_window_get_transient_for(GTK_WINDOW(gap)) == GTK_WINDOW(window));
    text = drawn(gap);
    g_assert_nonnull(strstr(text, "What eats the gap"));
    g_assert_nonnull(strstr(text, "Share of the variance"));
    g_assert_nonnull(strstr(text, "10000 sampled gaps"));
    g_assert_true(gtk_widget_activate_action(GTK_WIDGET(gap), "win.show-table", NULL));
    wait_until(table_over(gap) != NULL);
    gtk_window_destroy(table_over(gap));
    /* asked again it is the same window */
    g_signal_emit_by_name(causes_button(window), "clicked");
    g_assert_cmpuint(window_count(), ==, 2);
    g_assert_true(gtk_widget_activate_action(GTK_WIDGET(gap), "win.close", NULL));
    wait_until(gap_window() == NULL);
    close_windows();
}

static void
the_drawing_follows_edits_and_says_when_its_gap_has_gone(void)
{
    TbWindow *window = judged_window("van-b.bay");
    TbSession *session = tb_window_session(window);
    TbBay *next = NULL;
    TbGapWindow *gap;
    g_autofree char *before = NULL;
    g_autofree char *after = NULL;

    tb_session_select(session, "runner-2");
    gap = open_causes(window);
    before = drawn(gap);
    g_assert_cmpint(tb_edit_rename(tb_session_bay(session), "runner-4", "Fourth", &next, NULL), ==,
                    TB_OK);
    tb_session_edit(session, next, "rename", 0);
    g_assert_true(shows_text(gap, "Being judged again"));
    wait_until(tb_session_is_settled(session));
    wait_until(!shows_text(gap, "Being judged again"));
    g_assert_cmpstr(gtk_window_get_title(GTK_WINDOW(gap)), ==, "Gap from Runner 2 to Fourth");
    after = drawn(gap);
    g_assert_cmpstr(after, !=, before);
    tb_session_select(session, "lambda-sensor");
    wait_until(!shows_text(window, "0.57 mm to"));
    g_signal_emit_by_name(causes_button(window), "clicked");
    g_assert_nonnull(strstr(gtk_window_get_title(GTK_WINDOW(gap)), "Lambda sensor"));
    next = NULL;
    g_assert_cmpint(tb_edit_remove(tb_session_bay(session), "lambda-sensor", &next, NULL), ==,
                    TB_OK);
    tb_session_edit(session, next, "remove", 0);
    wait_until(tb_session_is_settled(session) && shows_text(gap, "This gap is judged no more"));
    g_assert_null(drawn(gap));
    close_windows();
    g_assert_null(gap_window());
}

/* The worst gap of the outlet to the brake line is the hot and rocking one; its cold one is chosen.
 */
static void
a_finding_that_is_chosen_shows_its_own_gap_in_the_details(void)
{
    TbWindow *window = judged_window("van-b.bay");
    TbSession *session = tb_window_session(window);
    const TbResults *results = tb_session_whole_results(session);
    const TbFinding *cold = NULL;
    g_autofree char *told = NULL;
    char number[TB_TEXT_NUMBER];

    tb_session_select(session, "outlet");
    wait_until(shows_text(window, "14.7 mm to Brake line"));
    g_assert_true(shows_text(window, "Cold 25.44 mm; warmth takes 2.79 mm"));
    for (size_t i = 0; i < results->finding_count && cold == NULL; i++)
        if (strcmp(results->findings[i].rule, "gap") == 0 &&
            strcmp(results->findings[i].subject, "brake-line|outlet") == 0 &&
            strcmp(results->findings[i].state, "cold") == 0)
            cold = &results->findings[i];
    g_assert_nonnull(cold);
    tb_gap_write(gap_of(session, "brake-line|outlet", "cold", cold->variant)->gap.lower, TB_UNIT_MM,
                 1, number);
    told = g_strdup_printf("%s mm to Brake line", number);
    tb_session_go_to_finding(session, cold);
    wait_until(shows_text(window, told));
    /* nothing eats of what is cold */
    g_assert_false(gtk_widget_get_visible(GTK_WIDGET(causes_button(window))));
    close_windows();
}

/* An interval's ends are rounded outwards: what is told holds the gap. */
static void
the_ends_of_a_gap_are_told_rounded_outwards(void)
{
    TbWindow *window = judged_window("van-b.bay");
    TbSession *session = tb_window_session(window);
    const TbResultGap *gap = gap_of(session, "runner-2|runner-4", "tolerance", "std-s");
    char low[TB_TEXT_NUMBER], high[TB_TEXT_NUMBER];
    g_autofree char *told = NULL;

    tb_gap_write(gap->gap.lower, TB_UNIT_MM, 2, low);
    tb_gap_write_end(gap->gap.upper, TB_UNIT_MM, 2, high);
    g_assert_cmpfloat(g_ascii_strtod(low, NULL), <=, gap->gap.lower + 1e-7);
    g_assert_cmpfloat(g_ascii_strtod(high, NULL), >=, gap->gap.upper - 1e-7);
    told = g_strdup_printf("keep 0.5, watch; %s to %s", low, high);
    tb_session_select(session, "runner-2");
    wait_until(shows_text(window, told));
    close_windows();
}

int
main(int argc, char **argv)
{
    begin_inside(&argc, &argv);
#define ADD(name) g_test_add_func("/window/gap/" #name, name)
    ADD(a_gap_at_tolerance_is_drawn_with_its_causes_shares_and_samples);
    ADD(the_drawing_follows_edits_and_says_when_its_gap_has_gone);
    ADD(a_finding_that_is_chosen_shows_its_own_gap_in_the_details);
    ADD(the_ends_of_a_gap_are_told_rounded_outwards);
    return run_inside();
}
