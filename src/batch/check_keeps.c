/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/check_keeps.h"

#include "bay/preset.h"

#include <glib/gi18n.h>
#include <string.h>

static bool
is_of(const TbKeep *keep, const TbResultItem *a, const TbResultItem *b)
{
    return strcmp(keep->class_a, a->item_class) == 0 && strcmp(keep->class_b, b->item_class) == 0;
}

/* A usual keep that the bay lacks would speak of the two. */
static bool
has_usual(const TbBay *bay, const TbBay *usual, const TbResultItem *a, const TbResultItem *b)
{
    for (size_t i = 0; i < tb_bay_count(usual, TB_LIST_KEEPS); i++) {
        const TbKeep *keep = tb_bay_keep_at(usual, i);

        if (tb_keep_is_lacking(bay, keep) && (is_of(keep, a, b) || is_of(keep, b, a)))
            return true;
    }
    return false;
}

static GHashTable *
judged_pairs(const TbResults *results)
{
    GHashTable *pairs = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);

    for (size_t i = 0; i < results->gap_count; i++)
        g_hash_table_add(pairs, tb_results_pair(results->gaps[i].a, results->gaps[i].b));
    return pairs;
}

void
tb_check_keeps(GString *text, const TbBay *bay, const TbResults *results)
{
    g_autoptr(GHashTable) judged = judged_pairs(results);
    TbBay *usual = NULL;
    size_t without = 0, mended = 0;

    if (tb_bay_new_kit("usual", TB_KIT_TRANSVERSE, &usual, NULL) != TB_OK)
        usual = NULL;
    for (size_t i = 0; i < results->item_count; i++)
        for (size_t k = i + 1; k < results->item_count; k++) {
            const TbResultItem *a = &results->items[i], *b = &results->items[k];
            g_autofree char *pair = tb_results_pair(a->id, b->id);

            if (g_hash_table_contains(judged, pair))
                continue;
            without++;
            mended += usual != NULL && has_usual(bay, usual, a, b);
        }
    tb_bay_unref(usual);
    if (without == 0)
        return;
    g_string_append_printf(text, "%-6s ", _("note"));
    g_string_append_printf(text,
                           ngettext("%zu pair of items has no keep and is not judged",
                                    "%zu pairs of items have no keep and are not judged", without),
                           without);
    if (mended > 0) {
        g_string_append(text, "; ");
        g_string_append_printf(
            text, _("%zu of them usually have one: tightbay-batch keeps FILE -o OUT.bay adds it"),
            mended);
    }
    g_string_append_c(text, '\n');
}
