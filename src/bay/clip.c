/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/clip.h"

#include "base/mem.h"
#include "bay/edit_private.h"
#include "bay/extra.h"
#include "bay/write.h"

#include <string.h>

/* ---- copying ---- */

static bool
holds(const TbBay *bay, const TbRecord *record)
{
    const TbList *list = &bay->lists[record->element->list];

    for (size_t i = 0; i < list->count; i++)
        if (list->records[i] == record)
            return true;
    return false;
}

/** Share a record with the clip, once. NULL is fine: it is then not the bay's. */
static bool
share(TbBay *clip, const TbRecord *record)
{
    if (record == NULL || holds(clip, record))
        return true;
    tb_record_ref(record);
    return tb_build_insert(clip, (TbRecord *)(uintptr_t)record,
                           tb_bay_count(clip, record->element->list));
}

static bool
share_mount(TbBay *clip, const TbBay *bay, const char *id)
{
    const TbMount *mount = tb_bay_mount(bay, id);

    if (mount == NULL)
        return true;
    return share_mount(clip, bay, mount->parent) && share(clip, &mount->record);
}

/** A port without an owner that an end stands on. */
static bool
share_end(TbBay *clip, const TbBay *bay, const TbEnd *end)
{
    const TbPort *port = end != NULL ? tb_bay_port(bay, end->port) : NULL;

    if (port == NULL || port->owner != NULL)
        return true;
    return share(clip, &port->record) && share_mount(clip, bay, port->mount);
}

static bool
share_item(TbBay *clip, const TbBay *bay, const TbItem *item)
{
    const TbMaterial *material = tb_bay_material(bay, item->material);
    bool done = share(clip, &item->record) && share_mount(clip, bay, item->mount) &&
                share(clip, material != NULL ? &material->record : NULL);

    if (done && item->kind == TB_ITEM_LINE)
        done = share_mount(clip, bay, tb_item_line(item)->end_mount);
    if (done && tb_item_has_path(item))
        done = share_end(clip, bay, tb_item_start(item)) && share_end(clip, bay, tb_item_end(item));
    for (size_t i = 0; done && i < tb_bay_count(bay, TB_LIST_PORTS); i++) {
        const TbPort *port = tb_bay_port_at(bay, i);

        if (port->owner != NULL && strcmp(port->owner, item->record.id) == 0)
            done = share(clip, &port->record);
    }
    return done;
}

TbStatus
tb_bay_copy_items(
    const TbBay *bay, const char *const ids[], size_t count, char **text, TbFault *fault)
{
    TbBay *clip = tb_bay_new("items");
    bool done = clip != NULL;

    if (done)
        tb_build_remove(clip, TB_LIST_MOUNTS, 0);
    for (size_t i = 0; i < count && done; i++) {
        const TbItem *item = tb_bay_item(bay, ids[i]);

        if (item != NULL)
            done = share_item(clip, bay, item);
    }
    if (done && tb_bay_count(clip, TB_LIST_ITEMS) > 0)
        *text = g_string_free(tb_bay_to_text(clip), FALSE);
    else if (done)
        tb_fail(fault, TB_E_REFERENCE, "there is no item to copy");
    else
        tb_edit__no_room(fault);
    done = done && tb_bay_count(clip, TB_LIST_ITEMS) > 0;
    tb_bay_unref(clip);
    if (done)
        return TB_OK;
    return clip != NULL ? TB_E_REFERENCE : TB_E_MEMORY;
}

/* ---- pasting ---- */

/** True where the bay has a record of that id and sort: it is used as it is. */
static bool
is_there(const TbBay *bay, const TbRecord *record)
{
    const TbRecord *there = tb_bay_find(bay, record->id);

    return there != NULL && there->element == record->element;
}

static bool
is_spared(const TbBay *bay, const TbRecord *record)
{
    if (record->element->list == TB_LIST_MOUNTS || record->element->list == TB_LIST_MATERIALS)
        return is_there(bay, record);
    return record->element == &tb_element_port && ((const TbPort *)record)->owner == NULL &&
           is_there(bay, record);
}

/** Copies of a list's records with ids that nobody has. */
static TbStatus
paste_list(Edit *edit,
           const TbBay *bay,
           const TbBay *clip,
           TbListKind list,
           IdPairs *pairs,
           TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t i = 0; i < tb_bay_count(clip, list) && status == TB_OK; i++) {
        const TbRecord *record = clip->lists[list].records[i];
        TbRecord *copy;

        if (is_spared(bay, record))
            continue;
        copy = tb_record_copy(record);
        if (copy == NULL)
            return tb_edit__no_room(fault);
        copy->part.line = 0;
        if (!tb_build_insert(edit->bay, copy, tb_bay_count(edit->bay, list)))
            return tb_edit__no_room(fault);
        status = tb_edit__fresh_id(edit->bay, copy, pairs, fault);
    }
    return status;
}

/* What a clip may hold, in the order in which ids are found. */
static const TbListKind lists[] = {TB_LIST_MOUNTS, TB_LIST_MATERIALS, TB_LIST_PORTS, TB_LIST_ITEMS};

/** What was copied together names each other by the new ids. */
static TbStatus
rename_pasted(Edit *edit, const TbBay *bay, const IdPairs *pairs, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t l = 0; l < G_N_ELEMENTS(lists); l++)
        for (size_t i = tb_bay_count(bay, lists[l]);
             i < tb_bay_count(edit->bay, lists[l]) && status == TB_OK; i++)
            status =
                tb_edit__rename_references(edit->bay->lists[lists[l]].records[i], pairs, fault);
    return status;
}

static TbStatus
paste_all(Edit *edit, const TbBay *bay, const TbBay *clip, TbFault *fault)
{
    IdPairs pairs = {NULL, 0, 0};
    TbStatus status = TB_OK;

    for (size_t l = 0; l < G_N_ELEMENTS(lists) && status == TB_OK; l++)
        status = paste_list(edit, bay, clip, lists[l], &pairs, fault);
    if (status == TB_OK)
        status = rename_pasted(edit, bay, &pairs, fault);
    tb_free(pairs.all);
    return status;
}

static char **
pasted_ids(const TbBay *bay, const TbBay *edited)
{
    size_t before = tb_bay_count(bay, TB_LIST_ITEMS);
    size_t count = tb_bay_count(edited, TB_LIST_ITEMS) - before;
    char **ids = g_new0(char *, count + 1);

    for (size_t i = 0; i < count; i++)
        ids[i] = g_strdup(tb_bay_item_at(edited, before + i)->record.id);
    return ids;
}

TbStatus
tb_edit_paste(const TbBay *bay, const char *text, char ***ids, TbBay **out, TbFault *fault)
{
    TbBay *clip = NULL;
    Edit edit = {.bay = NULL};
    TbFault why = {0};
    TbBay *edited = NULL;
    TbStatus status = tb_read_loose(text, strlen(text), &clip, &why);

    if (status != TB_OK)
        return tb_fail(fault, status, "what was copied are no items: %s", why.text);
    if (tb_bay_count(clip, TB_LIST_ITEMS) == 0)
        status = tb_fail(fault, TB_E_FORMAT, "what was copied holds no items");
    if (status == TB_OK)
        status = tb_edit__begin(&edit, bay, NULL, fault);
    if (status == TB_OK)
        status = paste_all(&edit, bay, clip, fault);
    tb_bay_unref(clip);
    status = tb_edit__finish(&edit, status, &edited, fault);
    if (status != TB_OK)
        return status;
    if (ids != NULL)
        *ids = pasted_ids(bay, edited);
    *out = edited;
    return TB_OK;
}
