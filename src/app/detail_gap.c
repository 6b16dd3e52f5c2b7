/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/detail_gap.h"

#include "app/detail_value.h"
#include "app/gap_window.h"
#include "app/item_words.h"
#include "app/judged.h"
#include "app/mark.h"
#include "app/names.h"
#include "study/say.h"
#include "study/scene_causes.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

/** Lines that the gap and its neighbour's name take at most. */
#define MOST_LINES 3

/* The lines, from top to bottom: how much to what; what is asked and how sure it is; where, when.
 */
enum { LINE_GAP, LINE_KEEP, LINE_PLACE, LINE_COUNT };

struct _TbDetailGap {
    GtkBox parent;

    TbSession *session; /* lent */
    char *item;
    GtkWidget *lines[LINE_COUNT];
    GtkWidget *none, *go, *mark;
    GtkWidget *causes;      /* what warmth, rock and tolerances do to the gap */
    GtkWidget *open;        /* the button that shows them drawn */
    TbStandings *standings; /* what is shown */
};

G_DEFINE_FINAL_TYPE(TbDetailGap, tb_detail_gap, GTK_TYPE_BOX)

/* A gap to be shown, and what says so. */
typedef struct Chosen {
    const TbResultGap *gap; /* NULL: there is none */
    const TbResults *results;
    bool stale;
    bool worst; /* the item's worst, else that of the finding chosen */
} Chosen;

/* ---- which one ---- */

/* A finding that is told of all variants is of this one too. */
static bool
is_of(const TbFinding *finding, const TbResultGap *gap, const char *pair)
{
    return strcmp(finding->rule, "gap") == 0 && strcmp(finding->subject, pair) == 0 &&
           strcmp(finding->state, gap->state) == 0 &&
           (finding->variant[0] == '\0' || strcmp(finding->variant, gap->variant) == 0);
}

static const TbFinding *
finding_of(const TbResults *results, const TbResultGap *gap)
{
    g_autofree char *pair = tb_results_pair(gap->a, gap->b);

    for (size_t i = 0; results != NULL && i < results->finding_count; i++)
        if (is_of(&results->findings[i], gap, pair))
            return &results->findings[i];
    return NULL;
}

static const TbFinding *
finding_by_id(const TbResults *results, const char *id)
{
    for (size_t i = 0; results != NULL && id != NULL && i < results->finding_count; i++)
        if (strcmp(results->findings[i].id, id) == 0)
            return &results->findings[i];
    return NULL;
}

/* The gap of the finding that is chosen, where that is one of the item's. */
static const TbResultGap *
chosen_in(TbDetailGap *self, const TbResults *results)
{
    const TbFinding *finding = finding_by_id(results, tb_session_finding(self->session));

    for (size_t i = 0; finding != NULL && i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];
        bool own = strcmp(gap->a, self->item) == 0 || strcmp(gap->b, self->item) == 0;
        g_autofree char *pair = own ? tb_results_pair(gap->a, gap->b) : NULL;

        if (own && is_of(finding, gap, pair) && !gap->gap.nothing)
            return gap;
    }
    return NULL;
}

static Chosen
choose(TbDetailGap *self, const TbMatterAsk *ask, const TbStanding *standing)
{
    const TbResultGap *gap = chosen_in(self, ask->live);

    if (gap != NULL)
        return (Chosen){gap, ask->live, false, false};
    gap = chosen_in(self, ask->whole);
    if (gap != NULL)
        return (Chosen){gap, ask->whole, ask->live != NULL, false};
    if (standing == NULL)
        return (Chosen){0};
    return (Chosen){standing->gap, standing->gap_results, standing->gap_stale, true};
}

/* ---- what the lines say ---- */

/* A gap as lists and findings tell it: its lower bound, rounded down. */
static char *
told(const TbResultGap *gap, TbLengthUnit unit)
{
    char text[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];

    tb_gap_words(gap->gap.lower, gap->keep, unit, text, keep);
    return g_strdup_printf("%s %s", text, tb_length_unit_name(unit));
}

/* "keep 12.0, holds; 14.46 to 14.47": the line above has the unit. */
static char *
keep_text(const TbResultGap *gap, TbLengthUnit unit)
{
    int decimals = MAX(2, tb_gap_decimals(gap->gap.lower, gap->keep, unit));
    char lower[TB_TEXT_NUMBER], upper[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];

    tb_gap_write(gap->gap.lower, unit, decimals, lower);
    tb_gap_write_end(gap->gap.upper, unit, decimals, upper);
    if (isnan(gap->keep))
        /* Translators: no gap need be kept; the gap is between these two numbers */
        return g_strdup_printf(_("no keep; %s to %s"), lower, upper);
    tb_keep_write(gap->keep, unit, 1, keep);
    /* Translators: the gap that must be kept and whether it is; the gap is between two numbers */
    return g_strdup_printf(_("keep %s, %s; %s to %s"), keep, tb_say_level(gap->level), lower,
                           upper);
}

/* The item's own station where it has one, else the neighbour's. */
static char *
place_text(const TbResultGap *gap, const char *item, TbLengthUnit unit)
{
    bool first = strcmp(gap->a, item) == 0;
    const TbSite *own = first ? &gap->gap.site_a : &gap->gap.site_b;
    const TbSite *other = first ? &gap->gap.site_b : &gap->gap.site_a;
    const TbSite *site = own->on_sweep ? own : other;
    TbVec3 p = first ? gap->gap.point_a : gap->gap.point_b;
    char a[TB_TEXT_NUMBER], b[TB_TEXT_NUMBER], c[TB_TEXT_NUMBER];

    if (site->on_sweep) {
        tb_length_write(site->station, unit, 0, a);
        tb_text_shown(site->angle * (180 / M_PI), 0, b);
        /* Translators: a place on a duct: its station along the path, the angle around it */
        return g_strdup_printf(_("station %s, %s°"), a, b);
    }
    tb_length_write(p.x, unit, 0, a);
    tb_length_write(p.y, unit, 0, b);
    tb_length_write(p.z, unit, 0, c);
    return g_strdup_printf("X %s  Y %s  Z %s", a, b, c);
}

static const char *
record_name(TbDetailGap *self, const char *id)
{
    const TbRecord *record = tb_bay_find(tb_session_bay(self->session), id);

    return record != NULL && record->name != NULL ? record->name : id;
}

static char *
state_text(const TbResultGap *gap)
{
    return gap->variant[0] == '\0' ? g_strdup(gap->state)
                                   : g_strdup_printf("%s, %s", gap->state, gap->variant);
}

/* ---- the widget ---- */

/* What takes of the gap, and how likely it is short: the interval stands above already, the rest in
 * the drawing. */
static void
show_causes(TbDetailGap *self, const Chosen *chosen, TbLengthUnit unit)
{
    bool any = tb_scene_causes_tell(chosen->results, chosen->gap);
    TbSceneCauses *scene = any ? tb_scene_causes_new(chosen->results, chosen->gap, unit) : NULL;
    const TbSceneScatter *scatter = any ? scene->scatter : NULL;
    g_autoptr(GString) text = g_string_new(NULL);

    if (any && scene->taken != NULL)
        g_string_append(text, scene->taken);
    if (scatter != NULL)
        g_string_append_printf(text, "%s%s", text->len == 0 ? "" : "\n", scatter->verdict);
    tb_scene_causes_free(scene);
    if (strcmp(gtk_label_get_text(GTK_LABEL(self->causes)), text->str) != 0)
        gtk_label_set_text(GTK_LABEL(self->causes), text->str);
    gtk_widget_set_visible(self->causes, text->len > 0);
    gtk_widget_set_visible(self->open, any);
}

static void
set_lines(TbDetailGap *self, const char *const texts[LINE_COUNT], bool worst)
{
    g_autofree char *said = NULL;

    for (int line = 0; line < LINE_COUNT; line++)
        if (strcmp(gtk_label_get_text(GTK_LABEL(self->lines[line])), texts[line]) != 0)
            gtk_label_set_text(GTK_LABEL(self->lines[line]), texts[line]);
    /* Translators: a button that shows the place of the worst gap; its three lines follow */
    said = g_strdup_printf(worst ? _("Show the worst gap: %s; %s; %s")
                                 /* Translators: a button that shows the place of a gap */
                                 : _("Show this gap: %s; %s; %s"),
                           texts[LINE_GAP], texts[LINE_KEEP], texts[LINE_PLACE]);
    gtk_accessible_update_property(GTK_ACCESSIBLE(self->go), GTK_ACCESSIBLE_PROPERTY_LABEL, said,
                                   -1);
}

static void
show_gap(TbDetailGap *self, const Chosen *chosen)
{
    const TbResultGap *gap = chosen->gap;
    TbLengthUnit unit = tb_value_unit(tb_session_bay(self->session));
    const char *other = strcmp(gap->a, self->item) == 0 ? gap->b : gap->a;
    g_autofree char *size = told(gap, unit);
    g_autofree char *where = place_text(gap, self->item, unit);
    g_autofree char *state = state_text(gap);
    /* Translators: the worst gap of an item: "14.5 mm to Subframe cross rail" */
    g_autofree char *what = g_strdup_printf(_("%s to %s"), size, record_name(self, other));
    g_autofree char *keep = keep_text(gap, unit);
    /* Translators: where the worst gap is, and in which state and variant */
    g_autofree char *place = g_strdup_printf(_("%s; %s"), where, state);

    show_causes(self, chosen, unit);
    set_lines(self, (const char *const[LINE_COUNT]){what, keep, place}, chosen->worst);
    tb_level_mark_set(TB_LEVEL_MARK(self->mark), gap->level);
    gtk_widget_set_visible(self->mark, !isnan(gap->keep));
    if (chosen->stale)
        gtk_widget_add_css_class(self->go, "stale");
    else
        gtk_widget_remove_css_class(self->go, "stale");
}

void
tb_detail_gap_update(TbDetailGap *self)
{
    TbMatterAsk ask = tb_session_judged(self->session);
    TbStandings *before = self->standings;
    Chosen chosen;
    bool has;

    ask.item = self->item;
    self->standings = tb_standings_again(&ask, before);
    tb_standings_free(before);
    chosen = choose(self, &ask, tb_standings_find(self->standings, self->item));
    has = chosen.gap != NULL;

    gtk_widget_set_visible(self->go, has);
    gtk_widget_set_visible(self->none, !has);
    if (has) {
        show_gap(self, &chosen);
    } else {
        gtk_widget_set_visible(self->causes, false);
        gtk_widget_set_visible(self->open, false);
        gtk_label_set_text(GTK_LABEL(self->none),
                           ask.whole == NULL && ask.live == NULL
                               ? _("Being judged")
                               : _("No keep asks for a gap to another item here"));
    }
}

/* ---- buttons ---- */

static void
open_drawing(GtkButton *button, TbDetailGap *self)
{
    GtkRoot *root = gtk_widget_get_root(GTK_WIDGET(button));
    TbMatterAsk ask = tb_session_judged(self->session);
    Chosen chosen = choose(self, &ask, tb_standings_find(self->standings, self->item));

    if (chosen.gap != NULL && GTK_IS_WINDOW(root))
        tb_gap_window_show(GTK_WINDOW(root), self->session, chosen.gap);
}

static void
go(GtkButton *button, TbDetailGap *self)
{
    TbMatterAsk ask = tb_session_judged(self->session);
    Chosen chosen = choose(self, &ask, tb_standings_find(self->standings, self->item));
    const TbFinding *behind = chosen.gap == NULL ? NULL : finding_of(chosen.results, chosen.gap);
    const TbFinding *finding = behind == NULL ? NULL : finding_by_id(ask.live, behind->id);

    (void)button;
    if (finding == NULL && behind != NULL)
        finding = finding_by_id(ask.whole, behind->id);
    if (finding != NULL)
        tb_session_go_to_finding(self->session, finding);
}

static GtkWidget *
new_line(const char *class)
{
    GtkWidget *line = gtk_label_new("");

    gtk_label_set_xalign(GTK_LABEL(line), 0);
    gtk_label_set_wrap(GTK_LABEL(line), TRUE);
    gtk_label_set_width_chars(GTK_LABEL(line), 20);
    gtk_label_set_max_width_chars(GTK_LABEL(line), 20);
    gtk_widget_set_hexpand(line, TRUE);
    gtk_widget_add_css_class(line, "numeric");
    gtk_widget_add_css_class(line, class);
    return line;
}

static void
build_causes(TbDetailGap *self)
{
    /* Translators: a button that shows what warmth, rock and tolerances do to a gap */
    self->open = gtk_button_new_with_label(_("Causes…"));
    gtk_widget_set_halign(self->open, GTK_ALIGN_START);
    gtk_widget_set_margin_start(self->open, 24);
    gtk_widget_set_tooltip_text(self->open,
                                _("Show what warmth, rock and tolerances do to this gap"));
    gtk_widget_set_visible(self->open, FALSE);
    g_signal_connect(self->open, "clicked", G_CALLBACK(open_drawing), self);
    gtk_box_append(GTK_BOX(self), self->open);
    self->causes = new_line("causes");
    gtk_widget_set_margin_start(self->causes, 24);
    gtk_label_set_selectable(GTK_LABEL(self->causes), TRUE);
    gtk_widget_set_visible(self->causes, FALSE);
    gtk_box_append(GTK_BOX(self), self->causes);
}

static void
build(TbDetailGap *self)
{
    GtkWidget *grid = gtk_grid_new();

    self->mark = tb_level_mark_new();
    gtk_widget_set_valign(self->mark, GTK_ALIGN_CENTER);
    gtk_grid_set_column_spacing(GTK_GRID(grid), 6);
    gtk_grid_attach(GTK_GRID(grid), self->mark, 0, LINE_GAP, 1, 1);
    for (int line = 0; line < LINE_COUNT; line++) {
        self->lines[line] = new_line(line == LINE_GAP ? "heading" : "note");
        gtk_grid_attach(GTK_GRID(grid), self->lines[line], 1, line, 1, 1);
    }
    tb_names_limit(GTK_LABEL(self->lines[LINE_GAP]), MOST_LINES);
    self->go = gtk_button_new();
    gtk_button_set_child(GTK_BUTTON(self->go), grid);
    gtk_button_set_has_frame(GTK_BUTTON(self->go), FALSE);
    gtk_widget_add_css_class(self->go, "worst-gap");
    gtk_widget_set_tooltip_text(self->go, _("Show this place"));
    g_signal_connect(self->go, "clicked", G_CALLBACK(go), self);
    self->none = gtk_label_new("");
    gtk_label_set_xalign(GTK_LABEL(self->none), 0);
    gtk_label_set_wrap(GTK_LABEL(self->none), TRUE);
    gtk_widget_add_css_class(self->none, "quiet");
    gtk_box_append(GTK_BOX(self), self->go);
    build_causes(self);
    gtk_box_append(GTK_BOX(self), self->none);
}

GtkWidget *
tb_detail_gap_new(TbSession *session, const char *item)
{
    TbDetailGap *self =
        g_object_new(TB_TYPE_DETAIL_GAP, "orientation", GTK_ORIENTATION_VERTICAL, NULL);

    self->session = session;
    self->item = g_strdup(item);
    build(self);
    tb_detail_gap_update(self);
    return GTK_WIDGET(self);
}

static void
finalize(GObject *object)
{
    TbDetailGap *self = TB_DETAIL_GAP(object);

    g_free(self->item);
    tb_standings_free(self->standings);
    G_OBJECT_CLASS(tb_detail_gap_parent_class)->finalize(object);
}

static void
tb_detail_gap_class_init(TbDetailGapClass *klass)
{
    G_OBJECT_CLASS(klass)->finalize = finalize;
}

static void
tb_detail_gap_init(TbDetailGap *self)
{
    (void)self;
}
