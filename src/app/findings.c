/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/findings.h"

#include "app/finding_cell.h"
#include "app/in_view.h"
#include "app/mark.h"
#include "app/tip.h"
#include "app/verdict.h"
#include "study/say.h"

#include <glib/gi18n.h>

/* One button of the filter: a level and how many there are. */
typedef struct LevelButton {
    GtkToggleButton *button;
    GtkLabel *count;
} LevelButton;

struct _TbFindings {
    GtkBox parent;

    TbSession *session;
    TbMatterRows *rows;
    GtkSingleSelection *selection;

    GtkBox *level_box;
    GtkStack *stack;
    GtkListView *list;
    GtkLabel *empty_label, *summary_label;
    TbLevelMark *summary_mark;
    GtkCheckButton *only_check;
    LevelButton levels[TB_LEVEL_COUNT];
    TbVerdictForm *form;
    bool following; /* the selection is being put where the session has it */
};

G_DEFINE_FINAL_TYPE(TbFindings, tb_findings, GTK_TYPE_BOX)

/* ---- counts and the summary ---- */

static void
show_level(TbFindings *findings, TbLevel level)
{
    LevelButton *button = &findings->levels[level];
    g_autofree char *count = g_strdup_printf("%zu", tb_matter_rows_count(findings->rows, level));
    /* Translators: a level and how many findings have it: "short: 3" */
    g_autofree char *label = g_strdup_printf(_("%s: %s"), tb_say_level(level), count);

    if (!tb_tip_set(GTK_WIDGET(button->button), label))
        return;
    gtk_label_set_text(button->count, count);
    gtk_accessible_update_property(GTK_ACCESSIBLE(button->button), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                   label, -1);
}

/* What to do where no row is listed. */
static const char *
why_empty(TbFindings *findings)
{
    size_t count = 0;

    for (int level = 0; level < TB_LEVEL_COUNT; level++)
        count += tb_matter_rows_count(findings->rows, (TbLevel)level);
    if (count == 0 && tb_bay_count(tb_session_bay(findings->session), TB_LIST_ITEMS) < 2)
        return _("Nothing to judge yet. Add items, and say in the keeps which gaps they need.");
    if (count == 0)
        return _("Nothing is judged here.");
    if (count == tb_matter_rows_count(findings->rows, TB_LEVEL_HOLDS))
        return _("Everything that is judged holds. The disc above lists it.");
    return _("The levels that are chosen above have no findings.");
}

/* Rows that come in above keep the list where it is read; at its top the worst is what is read. */
static void
stay_at_top(TbFindings *findings)
{
    GtkAdjustment *down = gtk_scrollable_get_vadjustment(GTK_SCROLLABLE(findings->list));

    if (gtk_adjustment_get_value(down) <= 0 &&
        gtk_single_selection_get_selected(findings->selection) == GTK_INVALID_LIST_POSITION)
        gtk_widget_activate_action(GTK_WIDGET(findings->list), "list.scroll-to-item", "u", 0u);
}

static void
counted(TbMatterRows *rows, TbFindings *findings)
{
    g_autofree char *summary = tb_matter_rows_summary(rows);
    g_autofree char *whole = tb_matter_rows_summary_whole(rows);
    bool empty = g_list_model_get_n_items(G_LIST_MODEL(rows)) == 0;

    for (int level = 0; level < TB_LEVEL_COUNT; level++)
        show_level(findings, (TbLevel)level);
    gtk_label_set_text(findings->summary_label, summary);
    tb_tip_set(GTK_WIDGET(findings->summary_label), whole);
    tb_level_mark_set(findings->summary_mark, tb_matter_rows_worst(rows));
    if (empty)
        gtk_label_set_text(findings->empty_label, why_empty(findings));
    gtk_stack_set_visible_child_name(findings->stack, empty ? "empty" : "list");
    if (!empty)
        stay_at_top(findings);
}

/* ---- selection, both ways ---- */

static void
follow_selection(TbFindings *findings)
{
    int place = tb_matter_rows_find(findings->rows, tb_session_finding(findings->session));
    guint wanted = place < 0 ? GTK_INVALID_LIST_POSITION : (guint)place;

    if (gtk_single_selection_get_selected(findings->selection) == wanted)
        return;
    findings->following = true;
    gtk_single_selection_set_selected(findings->selection, wanted);
    findings->following = false;
    if (place >= 0)
        gtk_widget_activate_action(GTK_WIDGET(findings->list), "list.scroll-to-item", "u", wanted);
}

static void
selected(GtkSingleSelection *selection, GParamSpec *spec, TbFindings *findings)
{
    TbMatterRow *row = gtk_single_selection_get_selected_item(selection);

    (void)spec;
    if (!findings->following && row != NULL)
        tb_session_go_to_finding(findings->session, row->finding);
}

/* A click on the row that is selected already goes there again. */
static void
activated(GtkListView *list, guint place, TbFindings *findings)
{
    TbMatterRow *row = tb_matter_rows_at(findings->rows, place);

    (void)list;
    if (row != NULL)
        tb_session_go_to_finding(findings->session, row->finding);
}

static void
session_changed(TbSession *session, guint parts, TbFindings *findings)
{
    (void)session;
    if (parts & (TB_SESSION_SELECTION | TB_SESSION_SHOWN))
        follow_selection(findings);
}

/* ---- deciding ---- */

static void
ask_about(TbFindings *findings, GtkWidget *cell, const TbMatterRow *row)
{
    graphene_rect_t place;

    if (!gtk_widget_compute_bounds(cell, GTK_WIDGET(findings), &place))
        return;
    tb_verdict_form_ask(findings->form, row,
                        &(GdkRectangle){(int)place.origin.x, (int)place.origin.y,
                                        (int)place.size.width, (int)place.size.height});
}

static void
cell_decide(TbFindingCell *cell, TbFindings *findings)
{
    if (tb_finding_cell_row(cell) != NULL)
        ask_about(findings, GTK_WIDGET(cell), tb_finding_cell_row(cell));
}

/* The cell of the selected row has the focus around it; where it has scrolled off, the list. */
static GtkWidget *
selected_cell(TbFindings *findings)
{
    GtkWidget *around = gtk_widget_get_focus_child(GTK_WIDGET(findings->list));
    GtkWidget *cell = around == NULL ? NULL : gtk_widget_get_first_child(around);

    return cell != NULL ? cell : GTK_WIDGET(findings->list);
}

static gboolean
decide_key(GtkWidget *widget, GVariant *arguments, void *data)
{
    TbFindings *findings = TB_FINDINGS(data);
    TbMatterRow *row = gtk_single_selection_get_selected_item(findings->selection);

    (void)widget, (void)arguments;
    if (row == NULL)
        return FALSE;
    ask_about(findings, selected_cell(findings), row);
    return TRUE;
}

/* ---- rows ---- */

static void
setup(GtkSignalListItemFactory *factory, GtkListItem *item, TbFindings *findings)
{
    GtkWidget *cell = tb_finding_cell_new();

    (void)factory;
    g_signal_connect(cell, "decide", G_CALLBACK(cell_decide), findings);
    gtk_list_item_set_child(item, cell);
}

static void
bind(GtkSignalListItemFactory *factory, GtkListItem *item, TbFindings *findings)
{
    (void)factory, (void)findings;
    tb_finding_cell_set_row(TB_FINDING_CELL(gtk_list_item_get_child(item)),
                            gtk_list_item_get_item(item));
}

static void
unbind(GtkSignalListItemFactory *factory, GtkListItem *item, TbFindings *findings)
{
    (void)factory, (void)findings;
    tb_finding_cell_set_row(TB_FINDING_CELL(gtk_list_item_get_child(item)), NULL);
}

/* ---- the filter ---- */

static void
level_toggled(GtkToggleButton *button, TbFindings *findings)
{
    for (int level = 0; level < TB_LEVEL_COUNT; level++)
        if (findings->levels[level].button == button)
            tb_matter_rows_list_level(findings->rows, (TbLevel)level,
                                      gtk_toggle_button_get_active(button));
    follow_selection(findings);
}

static void
only_toggled(GtkCheckButton *check, TbFindings *findings)
{
    tb_matter_rows_set_only_selected(findings->rows, gtk_check_button_get_active(check));
    follow_selection(findings);
}

static void
add_level(TbFindings *findings, TbLevel level)
{
    GtkWidget *button = gtk_toggle_button_new();
    GtkWidget *box = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 3);
    GtkWidget *mark = tb_level_mark_new();
    GtkWidget *count = gtk_label_new(NULL);

    tb_level_mark_set(TB_LEVEL_MARK(mark), level);
    gtk_widget_add_css_class(count, "numeric");
    gtk_widget_set_halign(box, GTK_ALIGN_CENTER);
    gtk_box_append(GTK_BOX(box), mark);
    gtk_box_append(GTK_BOX(box), count);
    gtk_button_set_child(GTK_BUTTON(button), box);
    gtk_box_append(findings->level_box, button);
    findings->levels[level] = (LevelButton){GTK_TOGGLE_BUTTON(button), GTK_LABEL(count)};
}

/* ---- the class ---- */

static void
dispose(GObject *object)
{
    TbFindings *findings = TB_FINDINGS(object);

    G_OBJECT_CLASS(tb_findings_parent_class)->dispose(object);
    g_clear_object(&findings->selection);
    g_clear_object(&findings->rows);
    g_clear_object(&findings->session);
}

static void
snapshot(GtkWidget *widget, GtkSnapshot *snapshot)
{
    tb_in_view_check_rows(GTK_WIDGET(TB_FINDINGS(widget)->list));
    GTK_WIDGET_CLASS(tb_findings_parent_class)->snapshot(widget, snapshot);
}

#define CHILD(name) gtk_widget_class_bind_template_child(widget_class, TbFindings, name)

static void
tb_findings_class_init(TbFindingsClass *klass)
{
    GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(klass);

    g_type_ensure(TB_TYPE_LEVEL_MARK);
    G_OBJECT_CLASS(klass)->dispose = dispose;
    widget_class->snapshot = snapshot;
    gtk_widget_class_set_template_from_resource(widget_class, "/net/tightbay/Tightbay/findings.ui");
    CHILD(level_box);
    CHILD(stack);
    CHILD(list);
    CHILD(empty_label);
    CHILD(summary_label);
    CHILD(summary_mark);
    CHILD(only_check);
}

static void
add_keys(TbFindings *findings)
{
    static const char *const keys[] = {"F2", "Menu", "<Shift>F10"};
    GtkEventController *controller = gtk_shortcut_controller_new();

    for (size_t i = 0; i < G_N_ELEMENTS(keys); i++)
        gtk_shortcut_controller_add_shortcut(
            GTK_SHORTCUT_CONTROLLER(controller),
            gtk_shortcut_new(gtk_shortcut_trigger_parse_string(keys[i]),
                             gtk_callback_action_new(decide_key, findings, NULL)));
    gtk_widget_add_controller(GTK_WIDGET(findings->list), controller);
}

static void
tb_findings_init(TbFindings *findings)
{
    static const TbLevel order[] = {TB_LEVEL_SHORT, TB_LEVEL_OPEN, TB_LEVEL_WATCH, TB_LEVEL_HOLDS};

    gtk_widget_init_template(GTK_WIDGET(findings));
    for (size_t i = 0; i < G_N_ELEMENTS(order); i++)
        add_level(findings, order[i]);
    add_keys(findings);
}

static void
build_list(TbFindings *findings)
{
    GtkListItemFactory *factory = gtk_signal_list_item_factory_new();

    g_signal_connect(factory, "setup", G_CALLBACK(setup), findings);
    g_signal_connect(factory, "bind", G_CALLBACK(bind), findings);
    g_signal_connect(factory, "unbind", G_CALLBACK(unbind), findings);
    findings->selection = gtk_single_selection_new(g_object_ref(G_LIST_MODEL(findings->rows)));
    gtk_single_selection_set_autoselect(findings->selection, FALSE);
    gtk_single_selection_set_can_unselect(findings->selection, TRUE);
    gtk_list_view_set_factory(findings->list, factory);
    gtk_list_view_set_model(findings->list, GTK_SELECTION_MODEL(findings->selection));
    g_object_unref(factory);
}

GtkWidget *
tb_findings_new(TbSession *session)
{
    TbFindings *findings = g_object_new(TB_TYPE_FINDINGS, NULL);

    findings->session = g_object_ref(session);
    findings->rows = tb_matter_rows_new(session);
    findings->form = TB_VERDICT_FORM(tb_verdict_form_new(session));
    gtk_widget_set_parent(GTK_WIDGET(findings->form), GTK_WIDGET(findings));
    g_signal_connect_object(findings->form, "closed", G_CALLBACK(gtk_widget_grab_focus),
                            findings->list, G_CONNECT_SWAPPED);
    build_list(findings);
    for (int level = 0; level < TB_LEVEL_COUNT; level++) {
        GtkToggleButton *button = findings->levels[level].button;

        gtk_toggle_button_set_active(button,
                                     tb_matter_rows_lists_level(findings->rows, (TbLevel)level));
        g_signal_connect(button, "toggled", G_CALLBACK(level_toggled), findings);
    }
    g_signal_connect(findings->only_check, "toggled", G_CALLBACK(only_toggled), findings);
    g_signal_connect_object(findings->selection, "notify::selected", G_CALLBACK(selected), findings,
                            0);
    g_signal_connect_object(findings->list, "activate", G_CALLBACK(activated), findings, 0);
    g_signal_connect_object(findings->rows, "counted", G_CALLBACK(counted), findings, 0);
    g_signal_connect_object(session, "changed", G_CALLBACK(session_changed), findings, 0);
    counted(findings->rows, findings);
    follow_selection(findings);
    return GTK_WIDGET(findings);
}
