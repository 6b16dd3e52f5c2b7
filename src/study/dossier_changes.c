/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/dossier_build.h"

#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* What changed since an earlier document, as lists: items, areas at named stations, gaps, findings.
 */

/* mm. A gap this much above its keep on both sides is not listed: nobody decides by it. */
#define ROOMY 40.0

/* ---- items ---- */

static void
add_item(TbDossier *dossier, const char *what, const TbResultItem *item, const char *change)
{
    tb_dossier__row(dossier, TB_DOSSIER_CHANGED_ITEMS,
                    (const char *[]){what, item->name, item->id, change});
}

static void
fill_items(TbDossier *dossier)
{
    const TbResults *before = dossier->before, *after = dossier->results;

    tb_dossier__begin(dossier, TB_DOSSIER_CHANGED_ITEMS, _("Items that changed"), "tttt",
                      (const char *[]){_("Change"), _("Item"), _("Id"), _("What of it")});
    for (size_t i = 0; i < after->item_count; i++) {
        const TbResultItem *item = &after->items[i];
        const TbResultItem *old = tb_results_item(before, item->id);
        g_autofree char *change = old == NULL ? NULL : tb_compare_item(old, item);

        if (old == NULL)
            add_item(dossier, _("added"), item, "");
        else if (change != NULL)
            add_item(dossier, _("changed"), item, change);
    }
    for (size_t i = 0; i < before->item_count; i++)
        if (tb_results_item(after, before->items[i].id) == NULL)
            add_item(dossier, _("removed"), &before->items[i], "");
}

/* ---- areas ---- */

/* Stations shift when a path's length changes, so areas are held against each other where both
 * documents name a place. */
static void
add_area(TbDossier *dossier,
         const TbResultDuct *old,
         const TbResultDuct *duct,
         const char *place,
         double old_station,
         double station)
{
    double was = tb_station_area(old, old_station), is = tb_station_area(duct, station);
    g_autofree char *old_at = tb_dossier__number(old_station, 1);
    g_autofree char *at = tb_dossier__number(station, 1);
    g_autofree char *old_area = tb_dossier__number(was, 1);
    g_autofree char *area = tb_dossier__number(is, 1);
    g_autofree char *percent = tb_dossier__number(100 * (is - was) / was, 2);

    tb_dossier__row(dossier, TB_DOSSIER_CHANGED_AREAS,
                    (const char *[]){tb_dossier_name(dossier, duct->id), place, old_at, at,
                                     old_area, area, percent});
}

static void
add_duct(TbDossier *dossier, const TbResultDuct *old, const TbResultDuct *duct)
{
    add_area(dossier, old, duct, _("start"), 0, 0);
    for (size_t i = 0; i < duct->named_count; i++)
        for (size_t k = 0; k < old->named_count; k++)
            if (g_str_equal(duct->named[i].name, old->named[k].name))
                add_area(dossier, old, duct, duct->named[i].name, old->named_at[k],
                         duct->named_at[i]);
    add_area(dossier, old, duct, _("end"), old->length, duct->length);
}

bool
tb_dossier_duct_changed(const TbDossier *dossier, const char *item)
{
    const TbResultItem *now = tb_results_item(dossier->results, item);
    const TbResultItem *old =
        dossier->before == NULL ? NULL : tb_results_item(dossier->before, item);

    return now != NULL && old != NULL && !g_str_equal(now->shape, old->shape);
}

static void
fill_areas(TbDossier *dossier)
{
    tb_dossier__begin(dossier, TB_DOSSIER_CHANGED_AREAS, _("Inner area at named stations"),
                      "ttnnnnn",
                      (const char *[]){_("Duct"), _("Station"), _("before mm"), _("now mm"),
                                       _("Area before mm²"), _("Area now mm²"), _("Change %")});
    for (size_t i = 0; i < dossier->results->duct_count; i++) {
        const TbResultDuct *duct = &dossier->results->ducts[i];
        const TbResultDuct *old = tb_results_duct(dossier->before, duct->id);

        if (old != NULL && !duct->is_line && duct->row_count > 0 && old->row_count > 0 &&
            tb_dossier_duct_changed(dossier, duct->id))
            add_duct(dossier, old, duct);
    }
}

/* ---- gaps ---- */

typedef struct Change {
    const TbResultGap *before, *after;
    GString *variants; /* in which it is the same */
} Change;

static void
clear_change(void *data)
{
    Change *change = data;

    g_string_free(change->variants, TRUE);
}

/* mm; NAN where there is no gap. What is told is the lower end. */
static double
lower_of(const TbResultGap *gap)
{
    return gap->gap.nothing ? (double)NAN : gap->gap.lower;
}

/* Lost first: by the new margin. */
static int
by_margin(const void *left, const void *right)
{
    const Change *a = left, *b = right;

    return (a->after->margin > b->after->margin) - (a->after->margin < b->after->margin);
}

static void
add_gap(TbDossier *dossier, const Change *change)
{
    const TbResultGap *now = change->after;
    double was = lower_of(change->before), is = lower_of(now);
    g_autofree char *pair = g_strdup_printf("%s – %s", tb_dossier_name(dossier, now->a),
                                            tb_dossier_name(dossier, now->b));
    g_autofree char *keep = tb_dossier__keep_text(now->keep);
    g_autofree char *won = tb_dossier__number(is - was, 1);
    g_autofree char *level =
        g_strdup_printf("%s → %s", tb_say_level(change->before->level), tb_say_level(now->level));
    g_autoptr(GString) old_gap = g_string_new(NULL);
    g_autoptr(GString) gap = g_string_new(NULL);

    tb_dossier_gap_number(was, old_gap);
    tb_dossier_gap_number(is, gap);
    tb_dossier__row(
        dossier, TB_DOSSIER_CHANGED_GAPS,
        (const char *[]){pair, now->state, change->variants->str, keep, old_gap->str, gap->str, won,
                         change->before->level == now->level ? tb_say_level(now->level) : level});
    tb_dossier__level(dossier, TB_DOSSIER_CHANGED_GAPS, now->level);
}

/* What two variants share when they stand in one row. */
static char *
row_key(const Change *change)
{
    g_autofree char *pair = tb_results_pair(change->after->a, change->after->b);

    return g_strdup_printf("%s/%s/%.2f/%.2f/%.3f", pair, change->after->state,
                           lower_of(change->before), lower_of(change->after), change->after->keep);
}

static void
note_gap(GArray *changes, GHashTable *rows, Change change)
{
    g_autofree char *key = row_key(&change);
    void *row;

    if (g_hash_table_lookup_extended(rows, key, NULL, &row)) {
        Change *same = &g_array_index(changes, Change, GPOINTER_TO_UINT(row));

        g_string_append_printf(same->variants, ", %s", change.after->variant);
        return;
    }
    change.variants = g_string_new(change.after->variant);
    g_hash_table_insert(rows, g_steal_pointer(&key), GUINT_TO_POINTER(changes->len));
    g_array_append_val(changes, change);
}

static bool
is_worth_a_row(const Change *change)
{
    return change->before != NULL && tb_compare_gap_changed(change->before, change->after) &&
           (change->before->level != change->after->level ||
            fmin(change->before->margin, change->after->margin) < ROOMY);
}

static void
fill_gaps(TbDossier *dossier)
{
    g_autoptr(GHashTable) olds = tb_compare_gaps(dossier->before);
    g_autoptr(GHashTable) rows = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    g_autoptr(GArray) changes = g_array_new(FALSE, FALSE, sizeof(Change));

    g_array_set_clear_func(changes, clear_change);
    tb_dossier__begin(dossier, TB_DOSSIER_CHANGED_GAPS, _("Gaps won and lost"), "tttnnnnt",
                      (const char *[]){_("Between"), _("State"), _("Variants"), _("Keep mm"),
                                       _("Gap before mm"), _("Gap now mm"), _("Won mm"),
                                       _("Level")});
    for (size_t i = 0; i < dossier->results->gap_count; i++) {
        const TbResultGap *now = &dossier->results->gaps[i];
        g_autofree char *key = tb_compare_gap_key(now);
        Change change = {g_hash_table_lookup(olds, key), now, NULL};

        if (is_worth_a_row(&change))
            note_gap(changes, rows, change);
    }
    g_array_sort(changes, by_margin);
    for (guint i = 0; i < changes->len; i++)
        add_gap(dossier, &g_array_index(changes, Change, i));
}

/* ---- findings ---- */

static void
add_finding(TbDossier *dossier, const char *what, const TbResults *of, const TbFinding *finding)
{
    g_autofree char *text = tb_say_finding_short(of, finding, TB_UNIT_MM);
    g_autofree char *where = tb_say_finding_where(of, finding, TB_UNIT_MM);

    tb_dossier__row(dossier, TB_DOSSIER_CHANGED_FINDINGS, (const char *[]){what, text, where});
}

static void
fill_findings(TbDossier *dossier)
{
    const TbResults *before = dossier->before, *after = dossier->results;
    g_autoptr(GHashTable) olds = tb_compare_findings(before);
    g_autoptr(GHashTable) news = tb_compare_findings(after);

    tb_dossier__begin(dossier, TB_DOSSIER_CHANGED_FINDINGS, _("Findings that changed their level"),
                      "ttt", (const char *[]){_("Change"), _("Finding"), _("Where and when")});
    for (size_t i = 0; i < after->finding_count; i++) {
        const TbFinding *finding = &after->findings[i];
        const TbFinding *old = g_hash_table_lookup(olds, finding->id);
        g_autofree char *what = NULL;

        if ((old == NULL && finding->level == TB_LEVEL_HOLDS) ||
            (old != NULL && old->level == finding->level))
            continue;
        what = old == NULL ? g_strdup_printf(_("new: %s"), tb_say_level(finding->level))
                           : g_strdup_printf("%s → %s", tb_say_level(old->level),
                                             tb_say_level(finding->level));
        add_finding(dossier, what, after, finding);
    }
    for (size_t i = 0; i < before->finding_count; i++)
        if (before->findings[i].level != TB_LEVEL_HOLDS &&
            !g_hash_table_contains(news, before->findings[i].id))
            add_finding(dossier, _("gone"), before, &before->findings[i]);
}

void
tb_dossier__fill_changes(TbDossier *dossier)
{
    if (dossier->before == NULL)
        return;
    fill_items(dossier);
    fill_areas(dossier);
    fill_gaps(dossier);
    fill_findings(dossier);
}
