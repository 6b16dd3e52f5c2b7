/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/dossier_build.h"

#include "study/keeps.h"
#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/** A gap above its keep by more than so many uncertainties rests safely on its measurements. */
#define SAFE 3.0

/* ---- rows of the gap table ---- */

/* Two gaps that print as one: rounded down to the same. */
static bool
is_alike(double a, double b)
{
    return (!isfinite(a) && !isfinite(b)) ||
           tb_gap_told(a, TB_UNIT_MM, 2) == tb_gap_told(b, TB_UNIT_MM, 2);
}

/* The same in two variants, as far as the table tells it. */
static bool
is_same(const TbResultGap *a, const TbResultGap *b)
{
    return a->level == b->level && is_alike(a->gap.lower, b->gap.lower) &&
           (a->keep == b->keep || (isnan(a->keep) && isnan(b->keep))) &&
           strcmp(a->reason, b->reason) == 0;
}

static int
by_badness(const void *left, const void *right)
{
    const TbResultGap *a = ((const TbDossierGap *)left)->gap;
    const TbResultGap *b = ((const TbDossierGap *)right)->gap;
    int rank = tb_level_rank(b->level) - tb_level_rank(a->level);
    bool no_a = isnan(a->margin), no_b = isnan(b->margin);

    if (rank != 0)
        return rank;
    if (no_a || no_b)
        return no_a - no_b;
    if (a->margin != b->margin)
        return a->margin < b->margin ? -1 : 1;
    return a < b ? -1 : a > b; /* in one array: the document's order */
}

/* What the table leaves out: rows that hold with room to spare, but for the worst of each pair. The
 * rows are in order. */
static void
leave_out_plenty(TbDossier *dossier)
{
    GHashTable *pairs = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    size_t told = 0;

    dossier->further_spare = INFINITY;
    for (size_t i = 0; i < dossier->gap_count; i++) {
        const TbResultGap *gap = dossier->gaps[i].gap;
        bool is_worst = g_hash_table_add(pairs, tb_results_pair(gap->a, gap->b));

        if (is_worst || gap->level != TB_LEVEL_HOLDS || !(gap->margin >= TB_DOSSIER_NEAR)) {
            dossier->gaps[told++] = dossier->gaps[i];
            continue;
        }
        dossier->further_gaps++;
        dossier->further_spare = fmin(dossier->further_spare, gap->margin);
    }
    dossier->gap_count = told;
    g_hash_table_unref(pairs);
}

/* Rows of one pair and state, while they are joined. */
typedef struct Joining {
    TbDossier *dossier;
    GArray *rows;        /* of TbDossierGap */
    GPtrArray *variants; /* one GString a row: ids that share it */
    GArray *counts;      /* one size_t a row */
    GHashTable *places;  /* "a|b/state" to a GArray of row numbers */
} Joining;

static void
join(Joining *joining, const TbResultGap *gap)
{
    g_autofree char *key = g_strconcat(gap->a, "|", gap->b, "/", gap->state, NULL);
    GArray *rows = g_hash_table_lookup(joining->places, key);
    TbDossierGap row = {.gap = gap};
    size_t one = 1;

    if (rows == NULL) {
        rows = g_array_new(FALSE, FALSE, sizeof(guint));
        g_hash_table_insert(joining->places, g_steal_pointer(&key), rows);
    }
    for (guint i = 0; i < rows->len; i++) {
        guint k = g_array_index(rows, guint, i);

        if (is_same(g_array_index(joining->rows, TbDossierGap, k).gap, gap)) {
            g_string_append_printf(joining->variants->pdata[k], ", %s", gap->variant);
            g_array_index(joining->counts, size_t, k)++;
            return;
        }
    }
    g_array_append_val(rows, joining->rows->len);
    g_array_append_val(joining->rows, row);
    g_array_append_val(joining->counts, one);
    g_ptr_array_add(joining->variants, g_string_new(gap->variant));
}

static void
free_rows(void *rows)
{
    g_array_unref(rows);
}

static const TbItem *
rougher(const TbBay *bay, const TbResultGap *gap)
{
    const TbItem *a = tb_bay_item(bay, gap->a);
    const TbItem *b = tb_bay_item(bay, gap->b);

    if (a == NULL || b == NULL)
        return a == NULL ? b : a;
    if (tb_dossier__is_rough(a) != tb_dossier__is_rough(b))
        return tb_dossier__is_rough(a) ? a : b;
    return tb_keeps_uncertainty(a) >= tb_keeps_uncertainty(b) ? a : b;
}

static void
free_text(void *text)
{
    g_string_free(text, TRUE);
}

static void
fill_rows(TbDossier *dossier, const TbBay *bay)
{
    const TbResults *results = dossier->results;
    Joining joining = {.dossier = dossier,
                       .rows = g_array_new(FALSE, FALSE, sizeof(TbDossierGap)),
                       .variants = g_ptr_array_new_with_free_func(free_text),
                       .counts = g_array_new(FALSE, FALSE, sizeof(size_t)),
                       .places = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, free_rows)};

    for (size_t i = 0; i < results->gap_count; i++)
        join(&joining, &results->gaps[i]);
    for (guint i = 0; i < joining.rows->len; i++) {
        TbDossierGap *row = &g_array_index(joining.rows, TbDossierGap, i);
        const TbItem *rough = rougher(bay, row->gap);
        bool all = results->variant_count > 1 &&
                   g_array_index(joining.counts, size_t, i) == results->variant_count;

        row->variants = tb_dossier__keep(
            dossier, all ? _("all") : ((GString *)joining.variants->pdata[i])->str);
        row->known = tb_dossier__known_by(rough == NULL ? NULL : rough->known);
    }
    dossier->gap_count = joining.rows->len;
    dossier->gaps = (TbDossierGap *)(void *)g_array_free(joining.rows, FALSE);
    if (dossier->gap_count > 0)
        qsort(dossier->gaps, dossier->gap_count, sizeof dossier->gaps[0], by_badness);
    leave_out_plenty(dossier);
    g_ptr_array_unref(joining.variants);
    g_array_unref(joining.counts);
    g_hash_table_unref(joining.places);
}

/* ---- gaps that rest on rough measurements ---- */

/* How many uncertainties fit between a gap and its keep: below 1 a measurement decides. */
static double
spare_of(const TbResultGap *gap)
{
    return gap->uncertainty > 0 ? gap->margin / gap->uncertainty : (double)INFINITY;
}

static bool
rests_on_rough(const TbBay *bay, const TbResultGap *gap)
{
    const TbItem *a = tb_bay_item(bay, gap->a);
    const TbItem *b = tb_bay_item(bay, gap->b);

    return !isnan(gap->margin) &&
           ((a != NULL && tb_dossier__is_rough(a)) || (b != NULL && tb_dossier__is_rough(b)));
}

static int
by_doubt(const void *left, const void *right)
{
    const TbResultGap *a = *(const TbResultGap *const *)left;
    const TbResultGap *b = *(const TbResultGap *const *)right;
    double x = spare_of(a), y = spare_of(b);

    if (x != y)
        return x < y ? -1 : 1;
    return a < b ? -1 : a > b;
}

static char *
known_of(const TbDossier *dossier, const TbBay *bay, const char *id)
{
    const TbItem *item = tb_bay_item(bay, id);
    g_autofree char *known = tb_dossier__known(item == NULL ? NULL : item->known);

    return g_strdup_printf("%s: %s", tb_dossier_name(dossier, id), known);
}

static void
add_rough(TbDossier *dossier, const TbBay *bay, const TbResultGap *gap)
{
    GString *value = g_string_new(NULL);
    GString *spare = g_string_new(NULL);
    g_autofree char *keep = tb_dossier__keep_text(gap->keep);
    g_autofree char *uncertainty = tb_dossier__number(gap->uncertainty, 2);
    g_autofree char *a = known_of(dossier, bay, gap->a);
    g_autofree char *b = known_of(dossier, bay, gap->b);

    tb_dossier_gap_number(gap->gap.lower, value);
    tb_dossier_gap_number(gap->margin, spare);
    tb_dossier__row(dossier, TB_DOSSIER_ROUGH,
                    (const char *[]){tb_say_level(gap->level), a, b, gap->state, gap->variant,
                                     value->str, keep, spare->str, uncertainty});
    tb_dossier__level(dossier, TB_DOSSIER_ROUGH, gap->level);
    g_string_free(spare, TRUE);
    g_string_free(value, TRUE);
}

/* Each pair once, where it is most doubtful. */
static void
fill_rough(TbDossier *dossier, const TbBay *bay)
{
    const TbResults *results = dossier->results;
    GHashTable *worst = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    GPtrArray *gaps = g_ptr_array_new();
    GHashTableIter all;
    void *gap;

    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultGap *now = &results->gaps[i];
        g_autofree char *pair = tb_results_pair(now->a, now->b);
        const TbResultGap *old = g_hash_table_lookup(worst, pair);

        if (rests_on_rough(bay, now) && spare_of(now) < SAFE &&
            (old == NULL || spare_of(now) < spare_of(old)))
            g_hash_table_insert(worst, g_steal_pointer(&pair), (void *)now);
    }
    g_hash_table_iter_init(&all, worst);
    while (g_hash_table_iter_next(&all, NULL, &gap))
        g_ptr_array_add(gaps, gap);
    g_ptr_array_sort(gaps, by_doubt);
    tb_dossier__begin(dossier, TB_DOSSIER_ROUGH, _("To be measured again"), "tttttnnnn",
                      (const char *[]){_("Level"), _("One side, and how it is known"),
                                       _("Other side, and how it is known"), _("State"),
                                       _("Variant"), _("Gap mm"), _("Keep mm"), _("Spare mm"),
                                       _("Known to ± mm")});
    for (guint i = 0; i < gaps->len; i++)
        add_rough(dossier, bay, gaps->pdata[i]);
    g_ptr_array_unref(gaps);
    g_hash_table_unref(worst);
}

void
tb_dossier__fill_gaps(TbDossier *dossier, const TbBay *bay)
{
    fill_rows(dossier, bay);
    fill_rough(dossier, bay);
}

/* ---- what is not judged ---- */

/* Pairs of two classes that no keep speaks of. */
typedef struct Unpaired {
    const char *a, *b; /* classes, lent by the results */
    size_t pairs;
    GPtrArray *names; /* of their items, each once */
} Unpaired;

static void
add_name(GPtrArray *names, const char *name)
{
    if (!g_ptr_array_find(names, name, NULL))
        g_ptr_array_add(names, (void *)name);
}

static Unpaired *
unpaired_of(GPtrArray *list, const char *a, const char *b)
{
    Unpaired *made;

    if (strcmp(a, b) > 0)
        return unpaired_of(list, b, a);
    for (guint i = 0; i < list->len; i++) {
        Unpaired *old = list->pdata[i];

        if (strcmp(old->a, a) == 0 && strcmp(old->b, b) == 0)
            return old;
    }
    made = g_new0(Unpaired, 1);
    *made = (Unpaired){a, b, 0, g_ptr_array_new()};
    g_ptr_array_add(list, made);
    return made;
}

static void
free_unpaired(void *data)
{
    Unpaired *unpaired = data;

    g_ptr_array_unref(unpaired->names);
    g_free(unpaired);
}

static void
add_unpaired(TbDossier *dossier, const Unpaired *unpaired)
{
    g_autofree char *count = g_strdup_printf("%zu", unpaired->pairs);
    GString *names = g_string_new(NULL);

    for (guint i = 0; i < unpaired->names->len; i++)
        g_string_append_printf(names, "%s%s", i > 0 ? ", " : "",
                               tb_dossier_name(dossier, unpaired->names->pdata[i]));
    tb_dossier__row(dossier, TB_DOSSIER_UNPAIRED,
                    (const char *[]){unpaired->a, unpaired->b, count, names->str});
    g_string_free(names, TRUE);
}

static bool
is_judged(GHashTable *pairs, const char *a, const char *b)
{
    g_autofree char *pair = tb_results_pair(a, b);

    return g_hash_table_contains(pairs, pair);
}

static void
find_unpaired(const TbDossier *dossier, GHashTable *pairs, GPtrArray *list)
{
    const TbResults *results = dossier->results;

    for (size_t i = 0; i < results->item_count; i++)
        for (size_t k = i + 1; k < results->item_count; k++) {
            const TbResultItem *a = &results->items[i], *b = &results->items[k];
            Unpaired *unpaired;

            if (is_judged(pairs, a->id, b->id))
                continue;
            unpaired = unpaired_of(list, a->item_class, b->item_class);
            unpaired->pairs++;
            add_name(unpaired->names, a->id);
            add_name(unpaired->names, b->id);
        }
}

static void
add_unjudged(TbDossier *dossier, const TbBay *bay, const TbResultItem *item)
{
    const TbItem *record = tb_bay_item(bay, item->id);
    const char *why = record != NULL && record->spare
                          ? _("a spare: judged where a variant swaps it in")
                          : _("no keep names it or its class");

    tb_dossier__row(dossier, TB_DOSSIER_UNJUDGED,
                    (const char *[]){item->name, item->item_class, item->mount, why});
}

void
tb_dossier__fill_unpaired(TbDossier *dossier, const TbBay *bay)
{
    const TbResults *results = dossier->results;
    GHashTable *pairs = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    GHashTable *met = g_hash_table_new(g_str_hash, g_str_equal);
    GPtrArray *list = g_ptr_array_new_with_free_func(free_unpaired);

    for (size_t i = 0; i < results->gap_count; i++) {
        g_hash_table_add(pairs, tb_results_pair(results->gaps[i].a, results->gaps[i].b));
        g_hash_table_add(met, results->gaps[i].a);
        g_hash_table_add(met, results->gaps[i].b);
    }
    tb_dossier__begin(dossier, TB_DOSSIER_UNPAIRED, _("Pairs without a keep, by class"), "ttnt",
                      (const char *[]){_("Class"), _("Other class"), _("Pairs"), _("Items")});
    find_unpaired(dossier, pairs, list);
    for (guint i = 0; i < list->len; i++)
        add_unpaired(dossier, list->pdata[i]);
    tb_dossier__begin(dossier, TB_DOSSIER_UNJUDGED, _("Items that no gap is about"), "tttt",
                      (const char *[]){_("Item"), _("Class"), _("Mount"), _("Why")});
    for (size_t i = 0; i < results->item_count; i++)
        if (!g_hash_table_contains(met, results->items[i].id))
            add_unjudged(dossier, bay, &results->items[i]);
    g_ptr_array_unref(list);
    g_hash_table_unref(met);
    g_hash_table_unref(pairs);
}
