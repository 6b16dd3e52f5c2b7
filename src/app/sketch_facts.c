/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What is remembered from one sketch for the next. */

#include "app/sketch.h"

#include "bay/items.h"
#include "geom/tol.h"

#include <string.h>

/* Sizes that are remembered, by their names in the settings. */
static const struct {
    const char *name;
    size_t offset;
    double least;
} sizes[] = {
    {"uncertainty", offsetof(TbSketchFacts, uncertainty), 0},
    {"diameter", offsetof(TbSketchFacts, diameter), TB_SKETCH_LEAST},
    {"bend", offsetof(TbSketchFacts, bend), TB_SKETCH_LEAST},
    {"radius", offsetof(TbSketchFacts, radius), TB_SKETCH_LEAST},
    {"depth", offsetof(TbSketchFacts, depth), TB_SKETCH_LEAST},
};

GVariant *
tb_sketch_remember(const TbSketchFacts *facts)
{
    GVariantDict dict;

    g_variant_dict_init(&dict, NULL);
    g_variant_dict_insert(&dict, "class", "s", facts->klass);
    g_variant_dict_insert(&dict, "known", "s", tb_name_of(tb_names_known, facts->known));
    g_variant_dict_insert(&dict, "role", "s", tb_name_of(tb_names_line_role, facts->role));
    g_variant_dict_insert(&dict, "bent", "b", facts->bent);
    for (size_t i = 0; i < G_N_ELEMENTS(sizes); i++)
        g_variant_dict_insert(&dict, sizes[i].name, "d",
                              *(const double *)((const char *)facts + sizes[i].offset));
    return g_variant_dict_end(&dict);
}

/* A word of the file from the settings; the number stays where it is none. */
static void
recall_word(GVariantDict *dict, const char *name, const char *const names[], int *value)
{
    const char *word;
    int found;

    if (!g_variant_dict_lookup(dict, name, "&s", &word))
        return;
    found = tb_name_value(names, word, strlen(word));
    if (found >= 0)
        *value = found;
}

/* One word as the file has them: letters, digits, '-', '_' and '.'. */
static bool
is_word(const char *text)
{
    for (const char *p = text; *p != '\0'; p++)
        if (!g_ascii_isalnum(*p) && strchr("-_.", *p) == NULL)
            return false;
    return text[0] != '\0';
}

void
tb_sketch_recall(TbSketchFacts *facts, GVariant *remembered)
{
    GVariantDict dict;
    const char *klass;
    double size;
    gboolean bent;

    g_variant_dict_init(&dict, remembered);
    if (g_variant_dict_lookup(&dict, "class", "&s", &klass) && is_word(klass)) {
        g_free(facts->klass);
        facts->klass = g_strdup(klass);
    }
    recall_word(&dict, "known", tb_names_known, &facts->known);
    if (g_variant_dict_lookup(&dict, "bent", "b", &bent))
        facts->bent = bent;
    recall_word(&dict, "role", tb_names_line_role, &facts->role);
    for (size_t i = 0; i < G_N_ELEMENTS(sizes); i++)
        if (g_variant_dict_lookup(&dict, sizes[i].name, "d", &size) && size >= sizes[i].least &&
            size <= TB_LIMIT_SIZE)
            *(double *)((char *)facts + sizes[i].offset) = size;
    g_variant_dict_clear(&dict);
}
