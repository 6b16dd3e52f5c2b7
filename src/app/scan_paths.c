/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/scan_paths.h"

#include "bay/edit.h"

#include <glib.h>
#include <string.h>

/** A path as it is called from a folder; both absolute and canonical. To be freed. */
static char *
name_from(const char *path, const char *folder)
{
    g_auto(GStrv) parts = g_strsplit(path, "/", -1), steps = g_strsplit(folder, "/", -1);
    GString *name = g_string_new(NULL);
    size_t same = 0;

    while (parts[same] != NULL && steps[same] != NULL && strcmp(parts[same], steps[same]) == 0)
        same++;
    for (size_t i = same; steps[i] != NULL; i++)
        if (steps[i][0] != '\0')
            g_string_append(name, "../");
    for (size_t i = same; parts[i] != NULL; i++)
        g_string_append_printf(name, "%s%s", i > same ? "/" : "", parts[i]);
    return g_string_free(name, FALSE);
}

TbBay *
tb_scan_paths_moved(TbBay *bay, const char *from, const char *to)
{
    const TbList *items = &bay->lists[TB_LIST_ITEMS];
    g_autofree char *old = from != NULL ? g_canonicalize_filename(from, "/") : NULL;
    g_autofree char *new = to != NULL ? g_canonicalize_filename(to, "/") : NULL;
    TbBay *now = tb_bay_ref(bay);

    if (old == NULL || new == NULL || strcmp(old, new) == 0)
        return now;
    for (size_t i = 0; i < items->count; i++) {
        const TbItem *item = (const TbItem *)items->records[i];
        g_autofree char *path = NULL, *name = NULL;
        TbBay *next = NULL;

        if (item->kind != TB_ITEM_SCAN)
            continue;
        path = g_canonicalize_filename(((const TbScanItem *)item)->file, old);
        name = name_from(path, new);
        if (tb_edit_set_attribute(now, item->record.id, "file", name, &next, NULL) == TB_OK) {
            tb_bay_unref(now);
            now = next;
        }
    }
    return now;
}
