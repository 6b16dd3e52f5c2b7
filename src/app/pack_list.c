/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The list on the pack's left: every chapter with its check, below it its sheets. */

#include "app/pack_window_private.h"

#include <glib/gi18n.h>

/** A row knows its chapter and its sheet within it; -1: it is the chapter's own. */
#define CHAPTER "tb-chapter"
#define PAGE "tb-page"

static int
number_of(GtkListBoxRow *row, const char *key)
{
    return GPOINTER_TO_INT(g_object_get_data(G_OBJECT(row), key));
}

static void
set_number(GtkWidget *row, const char *key, int number)
{
    g_object_set_data(G_OBJECT(row), key, GINT_TO_POINTER(number));
}

/* ---- rows ---- */

static void
check_toggled(GtkCheckButton *check, TbPackWindow *window)
{
    GtkWidget *row = gtk_widget_get_ancestor(GTK_WIDGET(check), GTK_TYPE_LIST_BOX_ROW);
    size_t chapter = (size_t)number_of(GTK_LIST_BOX_ROW(row), CHAPTER);

    if (!window->updating)
        tb_pack_choices_leave_out(window->settings, tb_pack_chapter_name(chapter),
                                  !gtk_check_button_get_active(check));
}

static GtkWidget *
label_new(float xalign, const char *style)
{
    GtkWidget *label = gtk_label_new(NULL);

    gtk_label_set_xalign(GTK_LABEL(label), xalign);
    if (style != NULL)
        gtk_widget_add_css_class(label, style);
    return label;
}

/* A name that may take two lines, and more in its tip. */
static GtkWidget *
name_new(void)
{
    GtkWidget *label = label_new(0, NULL);

    gtk_label_set_wrap(GTK_LABEL(label), TRUE);
    gtk_label_set_wrap_mode(GTK_LABEL(label), PANGO_WRAP_WORD_CHAR);
    gtk_label_set_lines(GTK_LABEL(label), 3);
    gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_END);
    gtk_widget_set_hexpand(label, TRUE);
    return label;
}

static GtkWidget *
row_new(TbPackWindow *window, int chapter, int page)
{
    GtkWidget *row = gtk_list_box_row_new();
    GtkWidget *box = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
    GtkWidget *check;

    set_number(row, CHAPTER, chapter);
    set_number(row, PAGE, page);
    gtk_list_box_row_set_child(GTK_LIST_BOX_ROW(row), box);
    if (page >= 0) {
        gtk_box_append(GTK_BOX(box), label_new(1, "numeric"));
        gtk_box_append(GTK_BOX(box), name_new());
        gtk_widget_set_size_request(gtk_widget_get_first_child(box), 36, -1);
        gtk_widget_set_valign(gtk_widget_get_first_child(box), GTK_ALIGN_BASELINE);
        gtk_widget_set_valign(gtk_widget_get_last_child(box), GTK_ALIGN_BASELINE);
        return row;
    }
    check = gtk_check_button_new();
    g_signal_connect(check, "toggled", G_CALLBACK(check_toggled), window);
    gtk_box_append(GTK_BOX(box), check);
    gtk_box_append(GTK_BOX(box), name_new());
    gtk_box_append(GTK_BOX(box), label_new(1, "note"));
    gtk_widget_add_css_class(gtk_widget_get_next_sibling(check), "heading");
    gtk_widget_add_css_class(row, "chapter");
    gtk_list_box_row_set_selectable(GTK_LIST_BOX_ROW(row), FALSE);
    return row;
}

static GtkWidget *
child_of(GtkListBoxRow *row, int k)
{
    GtkWidget *child = gtk_widget_get_first_child(gtk_list_box_row_get_child(row));

    while (k-- > 0)
        child = gtk_widget_get_next_sibling(child);
    return child;
}

static void
set_name(GtkListBoxRow *row, const char *name)
{
    gtk_label_set_text(GTK_LABEL(child_of(row, 1)), name);
    gtk_widget_set_tooltip_text(GTK_WIDGET(row), name);
}

static void
fill_chapter(GtkListBoxRow *row, const TbPackPlanChapter *chapter)
{
    const char *title = tb_pack_chapter_title(chapter->chapter);
    GtkWidget *check = child_of(row, 0);
    g_autofree char *pages = g_strdup_printf("%zu", chapter->pages);
    /* Translators: the accessible name of a check: a chapter, and how many sheets it has */
    g_autofree char *whole = g_strdup_printf(
        ngettext("%s, %zu sheet", "%s, %zu sheets", chapter->pages), title, chapter->pages);

    gtk_check_button_set_active(GTK_CHECK_BUTTON(check), chapter->chosen);
    set_name(row, title);
    gtk_widget_set_tooltip_text(GTK_WIDGET(row), whole);
    gtk_label_set_text(GTK_LABEL(child_of(row, 2)), pages);
    gtk_accessible_update_property(GTK_ACCESSIBLE(check), GTK_ACCESSIBLE_PROPERTY_LABEL, whole, -1);
    gtk_accessible_update_property(GTK_ACCESSIBLE(row), GTK_ACCESSIBLE_PROPERTY_LABEL, whole, -1);
}

/* What a sheet is called: its bookmark, or which one it is of its chapter. */
static char *
title_of(const TbPackPlan *plan, size_t sheet, int page)
{
    const TbPackPlanSheet *one = &plan->sheets[sheet];
    const TbPackPlanChapter *chapter = &plan->chapters[one->chapter];

    if (one->label != NULL)
        return g_strdup(one->label);
    if (chapter->pages == 1)
        return g_strdup(tb_pack_chapter_title(chapter->chapter));
    /* Translators: a sheet of a chapter that has several */
    return g_strdup_printf(_("Sheet %d of %zu"), page + 1, chapter->pages);
}

static void
fill_sheet(GtkListBoxRow *row, const TbPackPlan *plan, size_t sheet, int page)
{
    g_autofree char *title = title_of(plan, sheet, page);
    g_autofree char *whole = g_strdup_printf("%s %s", plan->sheets[sheet].number, title);

    gtk_label_set_text(GTK_LABEL(child_of(row, 0)), plan->sheets[sheet].number);
    set_name(row, title);
    gtk_accessible_update_property(GTK_ACCESSIBLE(row), GTK_ACCESSIBLE_PROPERTY_LABEL, whole, -1);
}

/* ---- the list follows the plan; rows that stay keep the focus and their place ---- */

static bool
is_before(GtkListBoxRow *row, int chapter, int page)
{
    int other = number_of(row, CHAPTER);

    return other < chapter || (other == chapter && number_of(row, PAGE) < page);
}

/* The row at a place, made where there is none; what stands before it there goes. */
static GtkListBoxRow *
row_for(TbPackWindow *window, int place, int chapter, int page)
{
    GtkListBoxRow *row = gtk_list_box_get_row_at_index(window->list, place);

    while (row != NULL && is_before(row, chapter, page)) {
        gtk_list_box_remove(window->list, GTK_WIDGET(row));
        row = gtk_list_box_get_row_at_index(window->list, place);
    }
    if (row == NULL || number_of(row, CHAPTER) != chapter || number_of(row, PAGE) != page) {
        row = GTK_LIST_BOX_ROW(row_new(window, chapter, page));
        gtk_list_box_insert(window->list, GTK_WIDGET(row), place);
    }
    return row;
}

static void
fill(TbPackWindow *window)
{
    const TbPackPlan *plan = window->plan;
    GtkListBoxRow *row;
    size_t sheet = 0;
    int place = 0;

    for (size_t k = 0; k < plan->chapter_count; k++) {
        int chapter = (int)plan->chapters[k].chapter;

        fill_chapter(row_for(window, place++, chapter, -1), &plan->chapters[k]);
        for (int page = 0; sheet < plan->sheet_count && plan->sheets[sheet].chapter == k; page++)
            fill_sheet(row_for(window, place++, chapter, page), plan, sheet++, page);
    }
    while ((row = gtk_list_box_get_row_at_index(window->list, place)) != NULL)
        gtk_list_box_remove(window->list, GTK_WIDGET(row));
}

static GtkListBoxRow *
row_of_sheet(TbPackWindow *window, size_t sheet)
{
    GtkListBoxRow *row;
    size_t now = 0;

    for (int i = 0; (row = gtk_list_box_get_row_at_index(window->list, i)) != NULL; i++)
        if (number_of(row, PAGE) >= 0 && now++ == sheet)
            return row;
    return NULL;
}

static size_t
sheet_of_row(TbPackWindow *window, GtkListBoxRow *wanted)
{
    GtkListBoxRow *row;
    size_t sheet = 0;

    for (int i = 0; (row = gtk_list_box_get_row_at_index(window->list, i)) != NULL; i++) {
        if (row == wanted)
            break;
        sheet += number_of(row, PAGE) >= 0;
    }
    return sheet;
}

static void
go_to(TbPackWindow *window, size_t sheet)
{
    window->sheet = sheet;
    tb_pack_job_draw(window->job, sheet);
    tb_pack_view__update(window);
}

/* What was looked at is looked at again, wherever it stands now; where it is gone, what stands in
 * its place. */
void
tb_pack_list__update(TbPackWindow *window)
{
    GtkListBoxRow *row;
    size_t last = window->plan->sheet_count;

    window->updating = true;
    fill(window);
    row = gtk_list_box_get_selected_row(window->list);
    if (row == NULL && last > 0) {
        row = row_of_sheet(window, MIN(window->sheet, last - 1));
        gtk_list_box_select_row(window->list, row);
    }
    window->updating = false;
    if (row != NULL)
        go_to(window, sheet_of_row(window, row));
    else
        tb_pack_view__show(window, NULL);
}

void
tb_pack_list__select(TbPackWindow *window, size_t sheet)
{
    GtkListBoxRow *row = window->plan == NULL || sheet >= window->plan->sheet_count
                             ? NULL
                             : row_of_sheet(window, sheet);
    GtkAdjustment *adjustment = gtk_list_box_get_adjustment(window->list);
    graphene_rect_t place;

    if (row == NULL)
        return;
    gtk_list_box_select_row(window->list, row);
    if (adjustment != NULL &&
        gtk_widget_compute_bounds(GTK_WIDGET(row), GTK_WIDGET(window->list), &place))
        gtk_adjustment_clamp_page(adjustment, place.origin.y, place.origin.y + place.size.height);
}

char *
tb_pack_list__name(TbPackWindow *window, size_t sheet)
{
    const TbPackPlan *plan = window->plan;
    GtkListBoxRow *row = row_of_sheet(window, sheet);
    g_autofree char *title = NULL;

    if (plan == NULL || sheet >= plan->sheet_count || row == NULL)
        return g_strdup("");
    title = title_of(plan, sheet, number_of(row, PAGE));
    return g_strdup_printf(_("Sheet %zu of %zu: %s"), sheet + 1, plan->sheet_count, title);
}

/* ---- hands ---- */

static void
row_selected(GtkListBox *list, GtkListBoxRow *row, TbPackWindow *window)
{
    (void)list;
    if (row != NULL && !window->updating)
        go_to(window, sheet_of_row(window, row));
}

/* A chapter's row is as good as its check. */
static void
row_activated(GtkListBox *list, GtkListBoxRow *row, TbPackWindow *window)
{
    GtkCheckButton *check;

    (void)list, (void)window;
    if (number_of(row, PAGE) >= 0)
        return;
    check = GTK_CHECK_BUTTON(child_of(row, 0));
    gtk_check_button_set_active(check, !gtk_check_button_get_active(check));
}

void
tb_pack_list__init(TbPackWindow *window)
{
    g_signal_connect(window->list, "row-selected", G_CALLBACK(row_selected), window);
    g_signal_connect(window->list, "row-activated", G_CALLBACK(row_activated), window);
}
