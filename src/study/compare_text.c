/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/compare.h"
#include "study/report.h"
#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* mm. A gap this much above its keep on both sides is counted, not told: nobody decides by it. */
#define ROOMY 40.0

typedef struct Telling {
    GString *out;
    const TbResults *before, *after;
    TbLengthUnit unit;
} Telling;

/* A number in a text of its own; freed by the caller. Both sides of a change have as many decimals,
 * zeros and all. */
static char *
number(const Telling *telling, double x, TbQuantity quantity, int decimals)
{
    char text[TB_TEXT_NUMBER];

    tb_quantity_write(x, quantity, telling->unit, decimals, text);
    return g_strdup(isfinite(x) ? text : _("unknown"));
}

static char *
length(const Telling *telling, double x, int decimals)
{
    return number(telling, x, TB_QUANTITY_LENGTH, decimals);
}

static void
tell_items(const Telling *telling)
{
    const TbResults *before = telling->before, *after = telling->after;

    for (size_t i = 0; i < after->item_count; i++) {
        const TbResultItem *item = &after->items[i];
        const TbResultItem *old = tb_results_item(before, item->id);
        g_autofree char *change = old == NULL ? NULL : tb_compare_item(old, item);

        if (old == NULL)
            g_string_append_printf(telling->out, _("added    %s (%s)\n"), item->name, item->id);
        else if (change != NULL)
            g_string_append_printf(telling->out, _("changed  %s (%s): %s\n"), item->name, item->id,
                                   change);
    }
    for (size_t i = 0; i < before->item_count; i++)
        if (tb_results_item(after, before->items[i].id) == NULL)
            g_string_append_printf(telling->out, _("removed  %s (%s)\n"), before->items[i].name,
                                   before->items[i].id);
}

static void
tell_stretch(const Telling *telling, const char *name, const TbStretch *stretch)
{
    g_autofree char *from = length(telling, stretch->from, 0);
    g_autofree char *to = length(telling, stretch->to, 0);
    g_autofree char *old_area = number(telling, stretch->old_area, TB_QUANTITY_AREA, 1);
    g_autofree char *new_area =
        number(telling, stretch->old_area + stretch->worst, TB_QUANTITY_AREA, 1);
    g_autofree char *at = length(telling, stretch->at, 0);
    const char *unit = tb_length_unit_name(telling->unit);
    g_autofree char *share =
        number(telling, stretch->worst / stretch->old_area * 100, TB_QUANTITY_NUMBER, 2);

    g_string_append_printf(
        telling->out, _("%s: area between stations %s and %s %s: %s -> %s %s at %s %s (%s%s %%)\n"),
        name, from, to, unit, old_area, new_area, tb_quantity_unit(TB_QUANTITY_AREA, telling->unit),
        at, unit, stretch->worst > 0 ? "+" : "", share);
}

static void
tell_paths(const Telling *telling)
{
    for (size_t i = 0; i < telling->after->duct_count; i++) {
        const TbResultDuct *duct = &telling->after->ducts[i];
        const TbResultDuct *old = tb_results_duct(telling->before, duct->id);
        const char *name = tb_say_item(telling->after, duct->id);
        g_autoptr(GArray) stretches = NULL;

        if (old == NULL)
            continue;
        if (fabs(duct->length - old->length) >= TB_COMPARE_GAP) {
            g_autofree char *was = length(telling, old->length, 1);
            g_autofree char *is = length(telling, duct->length, 1);

            g_string_append_printf(telling->out, _("%s: length %s -> %s %s\n"), name, was, is,
                                   tb_length_unit_name(telling->unit));
        }
        stretches = tb_compare_stretches(old, duct);
        for (guint k = 0; k < stretches->len; k++)
            tell_stretch(telling, name, &g_array_index(stretches, TbStretch, k));
    }
}

/* ---- gaps ---- */

/* One pair's changed gaps in all states and variants: told once, where the new one is least. */
typedef struct PairChange {
    const TbResultGap *before, *after; /* where it is told */
    size_t count;
    bool level_changed;
    double nearest; /* mm above its keep, of both sides and all states and variants */
} PairChange;

/* The more telling of two: one whose level changed, then the one with the smaller margin. */
static bool
is_better_told(const PairChange *change, const TbResultGap *before, const TbResultGap *after)
{
    bool had = change->before->level != change->after->level;
    bool has = before->level != after->level;

    return had != has ? has : after->margin < change->after->margin;
}

static void
note_change(PairChange *change, const TbResultGap *before, const TbResultGap *after)
{
    if (change->count == 0 || is_better_told(change, before, after)) {
        change->before = before;
        change->after = after;
    }
    change->nearest = change->count == 0 ? (double)INFINITY : change->nearest;
    change->nearest = fmin(change->nearest, fmin(before->margin, after->margin));
    change->level_changed |= before->level != after->level || before->keep != after->keep;
    change->count++;
}

/* In the order in which the pairs stand in the new results. */
static GPtrArray *
find_changes(const Telling *telling)
{
    g_autoptr(GHashTable) olds = tb_compare_gaps(telling->before);
    g_autoptr(GHashTable) pairs = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    GPtrArray *changes = g_ptr_array_new_with_free_func(g_free);

    for (size_t i = 0; i < telling->after->gap_count; i++) {
        const TbResultGap *gap = &telling->after->gaps[i];
        g_autofree char *key = tb_compare_gap_key(gap);
        const TbResultGap *old = g_hash_table_lookup(olds, key);
        g_autofree char *pair = tb_results_pair(gap->a, gap->b);
        PairChange *change;

        if (old == NULL || !tb_compare_gap_changed(old, gap))
            continue;
        change = g_hash_table_lookup(pairs, pair);
        if (change == NULL) {
            change = g_new0(PairChange, 1);
            g_ptr_array_add(changes, change);
            g_hash_table_insert(pairs, g_steal_pointer(&pair), change);
        }
        note_change(change, old, gap);
    }
    return changes;
}

/* The lower end, rounded down, as a gap is told everywhere. */
static char *
gap_number(const Telling *telling, const TbResultGap *gap)
{
    double lower = gap->gap.nothing ? (double)NAN : gap->gap.lower;

    return length(telling, tb_gap_told(lower, telling->unit, 2), 2);
}

static void
tell_change(const Telling *telling, const PairChange *change)
{
    const TbResultGap *gap = change->after, *old = change->before;
    const char *unit = tb_length_unit_name(telling->unit);
    g_autofree char *was = gap_number(telling, old);
    g_autofree char *is = gap_number(telling, gap);

    g_string_append_printf(telling->out, _("%s to %s, %s"), tb_say_item(telling->after, gap->a),
                           tb_say_item(telling->after, gap->b), gap->state);
    if (gap->variant[0] != '\0')
        g_string_append_printf(telling->out, _(", variant %s"), gap->variant);
    g_string_append_printf(telling->out, _(": gap %s -> %s %s"), was, is, unit);
    if (old->keep != gap->keep) {
        g_autofree char *keep_was = length(telling, old->keep, 1);
        g_autofree char *keep_is = length(telling, gap->keep, 1);

        g_string_append_printf(telling->out, _(", keep %s -> %s %s"), keep_was, keep_is, unit);
    }
    if (old->level != gap->level)
        g_string_append_printf(telling->out, ", %s -> %s", tb_say_level(old->level),
                               tb_say_level(gap->level));
    if (change->count > 1)
        g_string_append_printf(telling->out,
                               g_dngettext(GETTEXT_PACKAGE, "; and in %zu more state or variant",
                                           "; and in %zu more states or variants",
                                           change->count - 1),
                               change->count - 1);
    g_string_append_c(telling->out, '\n');
}

static void
tell_gaps(const Telling *telling)
{
    g_autoptr(GPtrArray) changes = find_changes(telling);
    size_t roomy = 0;

    for (guint i = 0; i < changes->len; i++) {
        const PairChange *change = changes->pdata[i];

        if (!change->level_changed && change->nearest > ROOMY)
            roomy++;
        else
            tell_change(telling, change);
    }
    if (roomy > 0) {
        g_autofree char *room =
            tb_voice_quantity((TbVoice){.unit = telling->unit}, ROOMY, TB_QUANTITY_LENGTH, 0);

        g_string_append_printf(
            telling->out,
            g_dngettext(
                GETTEXT_PACKAGE, "%zu more pair changed, over %s above its keep before and after\n",
                "%zu more pairs changed, over %s above their keeps before and after\n", roomy),
            roomy, room);
    }
}

/* ---- findings ---- */

static void
tell_finding(const Telling *telling,
             const char *what,
             const TbResults *of,
             const TbFinding *finding)
{
    g_autofree char *text = tb_say_finding(of, finding, (TbVoice){.unit = telling->unit});

    g_string_append_printf(telling->out, "%s  %s\n", what, text);
}

static void
tell_findings(const Telling *telling)
{
    const TbResults *before = telling->before, *after = telling->after;
    g_autoptr(GHashTable) olds = tb_compare_findings(before);
    g_autoptr(GHashTable) news = tb_compare_findings(after);

    for (size_t i = 0; i < after->finding_count; i++) {
        const TbFinding *finding = &after->findings[i];
        const TbFinding *old = g_hash_table_lookup(olds, finding->id);
        g_autofree char *what = NULL;

        if (old != NULL && old->level == finding->level)
            continue;
        what = old == NULL ? g_strdup_printf(_("new, %s:"), tb_say_level(finding->level))
                           : g_strdup_printf("%s -> %s:", tb_say_level(old->level),
                                             tb_say_level(finding->level));
        tell_finding(telling, what, after, finding);
    }
    for (size_t i = 0; i < before->finding_count; i++)
        if (!g_hash_table_contains(news, before->findings[i].id))
            tell_finding(telling, _("gone:"), before, &before->findings[i]);
}

char *
tb_report_compare_text(const TbResults *old_results,
                       const TbResults *new_results,
                       TbLengthUnit unit)
{
    static const struct {
        const char *head;
        void (*tell)(const Telling *telling);
    } parts[] = {{N_("ITEMS"), tell_items},
                 {N_("PATHS"), tell_paths},
                 {N_("GAPS"), tell_gaps},
                 {N_("FINDINGS"), tell_findings}};
    GString *out = g_string_new(NULL);

    g_string_append_printf(out, "%s %s -> %s %s\n\n", old_results->bay, old_results->revision,
                           new_results->bay, new_results->revision);
    for (size_t i = 0; i < G_N_ELEMENTS(parts); i++) {
        g_autoptr(GString) lines = g_string_new(NULL);
        Telling telling = {lines, old_results, new_results, unit};

        parts[i].tell(&telling);
        g_string_append_printf(out, "%s\n%s\n", _(parts[i].head),
                               lines->len == 0 ? _("no change\n") : lines->str);
    }
    return g_string_free(out, FALSE);
}
