/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/detail_gap.h"

#include "app/detail_value.h"
#include "app/judged.h"
#include "app/mark.h"
#include "study/say.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

/* The lines, from top to bottom. */
enum { LINE_NEIGHBOUR, LINE_GAP, LINE_BOUNDS, LINE_KEEP, LINE_AT, LINE_STATE, LINE_COUNT };

struct _TbDetailGap {
    GtkBox parent;

    TbSession *session; /* lent */
    char *item;
    GtkWidget *values[LINE_COUNT];
    GtkWidget *none, *grid, *mark, *go;
    char *finding; /* id of the finding behind what is shown */
};

G_DEFINE_FINAL_TYPE(TbDetailGap, tb_detail_gap, GTK_TYPE_BOX)

/* ---- which one ---- */

static const TbFinding *
finding_of(const TbResults *results, const TbResultGap *gap)
{
    g_autofree char *pair = tb_results_pair(gap->a, gap->b);

    for (size_t i = 0; i < results->finding_count; i++) {
        const TbFinding *finding = &results->findings[i];

        if (strcmp(finding->rule, "gap") == 0 && strcmp(finding->subject, pair) == 0 &&
            strcmp(finding->state, gap->state) == 0 && strcmp(finding->variant, gap->variant) == 0)
            return finding;
    }
    return NULL;
}

/* ---- what the lines say ---- */

static char *
length_text(double mm, TbLengthUnit unit, int decimals)
{
    char text[TB_TEXT_NUMBER];

    tb_length_write(mm, unit, decimals, text);
    return g_strdup_printf("%s %s", text, tb_length_unit_name(unit));
}

static char *
bounds_text(const TbResultGap *gap, TbLengthUnit unit)
{
    char lower[TB_TEXT_NUMBER], upper[TB_TEXT_NUMBER];

    tb_length_write(gap->gap.lower, unit, 2, lower);
    tb_length_write(gap->gap.upper, unit, 2, upper);
    /* Translators: the gap is between these two numbers; then their unit */
    return g_strdup_printf(_("%s to %s %s"), lower, upper, tb_length_unit_name(unit));
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
        tb_text_fixed(site->angle * (180 / M_PI), 0, b);
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
state_text(TbDetailGap *self, const TbResultGap *gap)
{
    const char *state = record_name(self, gap->state);

    if (gap->variant[0] == '\0')
        return g_strdup(state);
    return g_strdup_printf("%s, %s", state, record_name(self, gap->variant));
}

/* ---- the widget ---- */

static void
set_line(TbDetailGap *self, int line, const char *text)
{
    GtkLabel *label = GTK_LABEL(self->values[line]);

    if (strcmp(gtk_label_get_text(label), text) != 0)
        gtk_label_set_text(label, text);
}

static void
show_gap(TbDetailGap *self, const TbStanding *standing)
{
    const TbResultGap *gap = standing->gap;
    TbLengthUnit unit = tb_value_unit(tb_session_bay(self->session));
    const TbFinding *finding = finding_of(standing->results, gap);
    g_autofree char *size = length_text(gap->gap.upper, unit, 1);
    g_autofree char *bounds = bounds_text(gap, unit);
    g_autofree char *place = place_text(gap, self->item, unit);
    g_autofree char *state = state_text(self, gap);
    g_autofree char *keep = isnan(gap->keep) ? NULL : length_text(gap->keep, unit, 1);
    g_autofree char *said = NULL;
    bool judged = keep != NULL;

    /* Translators: the gap that must be kept, and whether it is: "10.0 mm, holds" */
    said = judged ? g_strdup_printf(_("%s, %s"), keep, tb_say_level(gap->level))
                  : g_strdup(_("none is asked"));
    tb_level_mark_set(TB_LEVEL_MARK(self->mark), judged ? gap->level : TB_LEVEL_OPEN);
    gtk_widget_set_visible(self->mark, judged);
    if (standing->gap_stale)
        gtk_widget_add_css_class(self->grid, "stale");
    else
        gtk_widget_remove_css_class(self->grid, "stale");
    set_line(self, LINE_NEIGHBOUR,
             record_name(self, strcmp(gap->a, self->item) == 0 ? gap->b : gap->a));
    set_line(self, LINE_GAP, size);
    set_line(self, LINE_BOUNDS, bounds);
    set_line(self, LINE_KEEP, said);
    set_line(self, LINE_AT, place);
    set_line(self, LINE_STATE, state);
    g_free(self->finding);
    self->finding = finding != NULL ? g_strdup(finding->id) : NULL;
    gtk_widget_set_visible(self->go, finding != NULL);
}

void
tb_detail_gap_update(TbDetailGap *self)
{
    TbMatterAsk ask = tb_session_judged(self->session);
    TbStandings *standings = tb_standings_new(&ask);
    const TbStanding *standing = tb_standings_find(standings, self->item);
    bool has = standing != NULL && standing->gap != NULL;

    gtk_widget_set_visible(self->grid, has);
    gtk_widget_set_visible(self->none, !has);
    if (has) {
        show_gap(self, standing);
    } else {
        g_clear_pointer(&self->finding, g_free);
        gtk_widget_set_visible(self->go, FALSE);
        gtk_label_set_text(GTK_LABEL(self->none),
                           ask.whole == NULL && ask.live == NULL
                               ? _("Being judged")
                               : _("No keep asks for a gap to another item here"));
    }
    tb_standings_free(standings);
}

static const TbFinding *
finding_by_id(const TbResults *results, const char *id)
{
    for (size_t i = 0; results != NULL && id != NULL && i < results->finding_count; i++)
        if (strcmp(results->findings[i].id, id) == 0)
            return &results->findings[i];
    return NULL;
}

static void
go(GtkButton *button, TbDetailGap *self)
{
    TbMatterAsk ask = tb_session_judged(self->session);
    const TbFinding *finding = finding_by_id(ask.live, self->finding);

    (void)button;
    if (finding == NULL)
        finding = finding_by_id(ask.whole, self->finding);
    if (finding != NULL)
        tb_session_go_to_finding(self->session, finding);
}

static GtkWidget *
new_value(const char *name)
{
    GtkWidget *value = gtk_label_new("");

    gtk_label_set_xalign(GTK_LABEL(value), 0);
    gtk_label_set_wrap(GTK_LABEL(value), TRUE);
    gtk_label_set_max_width_chars(GTK_LABEL(value), 18);
    gtk_label_set_selectable(GTK_LABEL(value), TRUE);
    gtk_widget_set_can_focus(value, FALSE);
    gtk_widget_set_hexpand(value, TRUE);
    gtk_widget_add_css_class(value, "numeric");
    gtk_accessible_update_property(GTK_ACCESSIBLE(value), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, name,
                                   -1);
    return value;
}

static void
build(TbDetailGap *self)
{
    const char *const names[LINE_COUNT] = {
        [LINE_NEIGHBOUR] = _("Nearest to"), [LINE_GAP] = _("Gap"),
        [LINE_BOUNDS] = _("Bounds"),        [LINE_KEEP] = _("Keep"),
        [LINE_AT] = _("Nearest at"),        [LINE_STATE] = _("Worst state"),
    };

    self->grid = gtk_grid_new();
    gtk_grid_set_column_spacing(GTK_GRID(self->grid), 6);
    gtk_grid_set_row_spacing(GTK_GRID(self->grid), 3);
    for (int line = 0; line < LINE_COUNT; line++) {
        GtkWidget *name = gtk_label_new(names[line]);

        gtk_label_set_xalign(GTK_LABEL(name), 0);
        gtk_label_set_yalign(GTK_LABEL(name), 0);
        gtk_label_set_width_chars(GTK_LABEL(name), 12);
        gtk_widget_add_css_class(name, "quiet");
        self->values[line] = new_value(names[line]);
        gtk_grid_attach(GTK_GRID(self->grid), name, 0, line, 1, 1);
        gtk_grid_attach(GTK_GRID(self->grid), self->values[line], 1, line, 1, 1);
    }
    self->mark = tb_level_mark_new();
    gtk_widget_set_valign(self->mark, GTK_ALIGN_CENTER);
    gtk_grid_attach(GTK_GRID(self->grid), self->mark, 2, LINE_GAP, 1, 1);
    self->none = gtk_label_new("");
    gtk_label_set_xalign(GTK_LABEL(self->none), 0);
    gtk_label_set_wrap(GTK_LABEL(self->none), TRUE);
    gtk_widget_add_css_class(self->none, "quiet");
    self->go = gtk_button_new_with_mnemonic(_("Sho_w This Place"));
    gtk_widget_set_halign(self->go, GTK_ALIGN_START);
    g_signal_connect(self->go, "clicked", G_CALLBACK(go), self);
    gtk_box_append(GTK_BOX(self), self->grid);
    gtk_box_append(GTK_BOX(self), self->none);
    gtk_box_append(GTK_BOX(self), self->go);
}

GtkWidget *
tb_detail_gap_new(TbSession *session, const char *item)
{
    TbDetailGap *self = g_object_new(TB_TYPE_DETAIL_GAP, "orientation", GTK_ORIENTATION_VERTICAL,
                                     "spacing", 6, NULL);

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
    g_free(self->finding);
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
