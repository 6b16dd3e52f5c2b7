/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/setting_choice.h"

static gboolean
row_from_word(GValue *value, GVariant *word, void *data)
{
    GSettingsSchemaKey *key = data;
    g_autoptr(GVariant) range = g_settings_schema_key_get_range(key);
    g_autoptr(GVariant) words = NULL;
    const char *kind;

    g_variant_get(range, "(&sv)", &kind, &words);
    for (gsize i = 0; i < g_variant_n_children(words); i++) {
        g_autoptr(GVariant) one = g_variant_get_child_value(words, i);

        if (g_variant_equal(one, word)) {
            g_value_set_uint(value, (guint)i);
            return TRUE;
        }
    }
    return FALSE;
}

static GVariant *
word_from_row(const GValue *value, const GVariantType *type, void *data)
{
    GSettingsSchemaKey *key = data;
    g_autoptr(GVariant) range = g_settings_schema_key_get_range(key);
    g_autoptr(GVariant) words = NULL;
    const char *kind;
    guint row = g_value_get_uint(value);

    (void)type;
    g_variant_get(range, "(&sv)", &kind, &words);
    return row < g_variant_n_children(words) ? g_variant_get_child_value(words, row) : NULL;
}

static void
free_key(void *key)
{
    g_settings_schema_key_unref(key);
}

void
tb_setting_choice_bind(GSettings *settings, const char *name, void *drop_down)
{
    g_autoptr(GSettingsSchema) schema = NULL;

    g_object_get(settings, "settings-schema", &schema, NULL);
    g_settings_bind_with_mapping(settings, name, drop_down, "selected", G_SETTINGS_BIND_DEFAULT,
                                 row_from_word, word_from_row,
                                 g_settings_schema_get_key(schema, name), free_key);
}
