/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/dossier_build.h"

#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* ---- ducts ---- */

static double
least_area(const TbResultDuct *duct, double *at)
{
    double least = INFINITY;

    for (size_t i = 0; i < duct->row_count; i++)
        if (duct->rows[i].area < least) {
            least = duct->rows[i].area;
            *at = duct->rows[i].station;
        }
    return least;
}

static void
add_duct(TbDossier *dossier, const TbResultDuct *duct)
{
    double at = NAN;
    double least = least_area(duct, &at);
    const TbStationRow *first = &duct->rows[0], *last = &duct->rows[duct->row_count - 1];
    g_autofree char *in = tb_dossier__number(first->area, 0);
    g_autofree char *out = tb_dossier__number(last->area, 0);
    g_autofree char *ratio = tb_dossier__number(last->area / first->area, 2);
    g_autofree char *smallest = tb_dossier__number(least, 0);
    g_autofree char *station = tb_dossier__number(at, 0);
    g_autofree char *length = tb_dossier__number(duct->length, 1);
    g_autofree char *inner = tb_dossier__number(duct->volume_inner * 1e-3, 0);
    g_autofree char *mass = tb_dossier__number(duct->mass, 2);

    tb_dossier__row(dossier, TB_DOSSIER_NUMBERS,
                    (const char *[]){tb_dossier_name(dossier, duct->id), in, out, ratio, smallest,
                                     station, length, inner, mass});
}

/* ---- the smallest gap of each pair of classes ---- */

static const char *
class_of(const TbResults *results, const char *id)
{
    const TbResultItem *item = tb_results_item(results, id);

    return item == NULL ? "" : item->item_class;
}

static char *
classes_of(const TbResults *results, const TbResultGap *gap)
{
    return tb_results_pair(class_of(results, gap->a), class_of(results, gap->b));
}

static void
add_class(TbDossier *dossier, const char *key, const TbResultGap *gap)
{
    g_auto(GStrv) classes = g_strsplit(key, "|", 2);
    g_autofree char *pair = g_strdup_printf("%s – %s", classes[0], classes[1]);
    g_autofree char *names = g_strdup_printf("%s – %s", tb_dossier_name(dossier, gap->a),
                                             tb_dossier_name(dossier, gap->b));
    g_autofree char *keep = tb_dossier__keep_text(gap->keep);
    GString *value = g_string_new(NULL);
    GString *place = g_string_new(NULL);

    tb_dossier_gap_number(gap->gap.lower, value);
    tb_dossier_gap_place(dossier, gap, place);
    tb_dossier__row(
        dossier, TB_DOSSIER_CLASSES,
        (const char *[]){pair, value->str, keep, names, place->str, gap->state, gap->variant});
    g_string_free(value, TRUE);
    g_string_free(place, TRUE);
}

static int
by_text(const void *left, const void *right)
{
    return strcmp(*(const char *const *)left, *(const char *const *)right);
}

static void
fill_classes(TbDossier *dossier)
{
    const TbResults *results = dossier->results;
    GHashTable *least = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    g_autofree void **keys = NULL;
    guint count;

    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];
        g_autofree char *key = classes_of(results, gap);
        const TbResultGap *old = g_hash_table_lookup(least, key);

        if (gap->level != TB_LEVEL_OPEN && isfinite(gap->gap.lower) &&
            (old == NULL || gap->gap.lower < old->gap.lower))
            g_hash_table_insert(least, g_steal_pointer(&key), (void *)gap);
    }
    keys = g_hash_table_get_keys_as_array(least, &count);
    if (count > 0)
        qsort(keys, count, sizeof keys[0], by_text);
    for (guint i = 0; i < count; i++)
        add_class(dossier, keys[i], g_hash_table_lookup(least, keys[i]));
    g_hash_table_unref(least);
}

void
tb_dossier__fill_numbers(TbDossier *dossier, const TbBay *bay)
{
    const TbResults *results = dossier->results;

    (void)bay;
    tb_dossier__begin(dossier, TB_DOSSIER_NUMBERS, _("Ducts as drawn, cold"), "tnnnnnnnn",
                      (const char *[]){_("Duct"), _("Area in mm²"), _("Area out mm²"),
                                       _("Out / in"), _("Least area mm²"), _("at station mm"),
                                       _("Length mm"), _("Gas volume cm³"), _("Mass kg")});
    for (size_t i = 0; i < results->duct_count; i++)
        if (!results->ducts[i].is_line && results->ducts[i].row_count > 0)
            add_duct(dossier, &results->ducts[i]);
    tb_dossier__begin(dossier, TB_DOSSIER_CLASSES, _("Smallest gap of each pair of classes"),
                      "tnntttt",
                      (const char *[]){_("Classes"), _("Gap mm"), _("Keep mm"), _("Between"),
                                       _("Where"), _("State"), _("Variant")});
    fill_classes(dossier);
}
