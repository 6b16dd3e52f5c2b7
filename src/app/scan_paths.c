/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/scan_paths.h"

#include "bay/edit.h"

#include <glib.h>
#include <string.h>

/** Where a scan's file is, as a whole path; NULL when that is not known. */
static char *
whole_path(const char *file, const char *from)
{
    if (g_path_is_absolute(file))
        return g_canonicalize_filename(file, "/");
    return from != NULL ? g_canonicalize_filename(file, from) : NULL;
}

/** The part of a path below a folder, or NULL when it is not below. Lends. */
static const char *
below(const char *path, const char *folder)
{
    size_t length = strlen(folder);

    if (length > 1 && g_str_has_prefix(path, folder) && path[length] == '/')
        return path + length + 1;
    return NULL;
}

/** What the file is called from the new folder; NULL to leave it. */
static char *
name_from(const char *file, const char *from, const char *to)
{
    g_autofree char *path = whole_path(file, from);
    const char *part;

    if (path == NULL)
        return NULL;
    part = to != NULL ? below(path, to) : NULL;
    return g_strdup(part != NULL ? part : path);
}

TbBay *
tb_scan_paths_moved(TbBay *bay, const char *from, const char *to)
{
    const TbList *items = &bay->lists[TB_LIST_ITEMS];
    g_autofree char *old = from != NULL ? g_canonicalize_filename(from, "/") : NULL;
    g_autofree char *new = to != NULL ? g_canonicalize_filename(to, "/") : NULL;
    TbBay *now = tb_bay_ref(bay);

    if (g_strcmp0(old, new) == 0)
        return now;
    for (size_t i = 0; i < items->count; i++) {
        const TbItem *item = (const TbItem *)items->records[i];
        g_autofree char *name = NULL;
        TbBay *next = NULL;

        if (item->kind != TB_ITEM_SCAN)
            continue;
        name = name_from(((const TbScanItem *)item)->file, old, new);
        if (name == NULL || strcmp(name, ((const TbScanItem *)item)->file) == 0)
            continue;
        if (tb_edit_set_attribute(now, item->record.id, "file", name, &next, NULL) == TB_OK) {
            tb_bay_unref(now);
            now = next;
        }
    }
    return now;
}
