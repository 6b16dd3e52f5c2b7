/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/pack_choices.h"

#define EARLIER "pack-earlier"

TbTheme
tb_pack_choices_theme(GSettings *settings)
{
    return g_settings_get_enum(settings, TB_PACK_INKS) == 0 ? TB_THEME_PRINT : TB_THEME_GREY;
}

void
tb_pack_choices_leave_out(GSettings *settings, const char *chapter, bool left_out)
{
    g_auto(GStrv) now = g_settings_get_strv(settings, TB_PACK_LEFT_OUT);
    g_autoptr(GPtrArray) next = g_ptr_array_new();

    for (size_t i = 0; now[i] != NULL; i++)
        if (g_strcmp0(now[i], chapter) != 0)
            g_ptr_array_add(next, now[i]);
    if (left_out)
        g_ptr_array_add(next, (void *)chapter);
    g_ptr_array_add(next, NULL);
    g_settings_set_strv(settings, TB_PACK_LEFT_OUT, (const char *const *)next->pdata);
}

static char *
address_of(TbSession *session)
{
    GFile *file = tb_session_file(session);

    return file == NULL ? NULL : g_file_get_uri(file);
}

char *
tb_pack_choices_earlier(GSettings *settings, TbSession *session)
{
    g_autofree char *address = address_of(session);
    g_autoptr(GVariant) all = g_settings_get_value(settings, EARLIER);
    GVariantIter iter;
    const char *of, *path;

    g_variant_iter_init(&iter, all);
    while (address != NULL && g_variant_iter_next(&iter, "(&s&s)", &of, &path))
        if (g_strcmp0(of, address) == 0)
            return g_strdup(path);
    return NULL;
}

void
tb_pack_choices_keep_earlier(GSettings *settings, TbSession *session, const char *path)
{
    g_autofree char *address = address_of(session);
    g_autoptr(GVariant) old = g_settings_get_value(settings, EARLIER);
    GVariantBuilder all;
    GVariantIter iter;
    const char *of, *other;
    int count = 0;

    if (address == NULL)
        return;
    g_variant_builder_init(&all, G_VARIANT_TYPE("a(ss)"));
    if (path != NULL) {
        g_variant_builder_add(&all, "(ss)", address, path);
        count++;
    }
    g_variant_iter_init(&iter, old);
    while (g_variant_iter_next(&iter, "(&s&s)", &of, &other))
        if (g_strcmp0(of, address) != 0 && count++ < TB_PACK_EARLIER_MOST)
            g_variant_builder_add(&all, "(ss)", of, other);
    g_settings_set_value(settings, EARLIER, g_variant_builder_end(&all));
}
