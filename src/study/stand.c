/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/stand.h"

#include <string.h>

TbStand *
tb_stand_new(const TbBay *bay,
             const TbCatalogue *catalogue,
             const char *variant,
             const TbCondition *condition,
             TbCache *cache,
             const TbShapeSources *sources,
             TbStudyCounts *counts)
{
    TbStand *stand = g_new0(TbStand, 1);

    stand->bay = bay;
    stand->catalogue = catalogue;
    stand->variant = variant;
    stand->variant_id = variant == NULL ? "" : variant;
    stand->condition = condition;
    stand->count = tb_bay_count(bay, TB_LIST_ITEMS);
    stand->items = g_new0(TbPlaced, stand->count);
    for (size_t i = 0; i < stand->count; i++) {
        TbPlaced *placed = &stand->items[i];
        TbBlueprint *print;
        bool is_new;

        placed->id = tb_bay_item_at(bay, i)->record.id;
        placed->item = tb_bay_item_in(bay, variant, placed->id);
        if (placed->item == NULL)
            continue;
        print = tb_blueprint_new(bay, variant, placed->id, sources);
        placed->drawn =
            tb_cache_need(cache, tb_blueprint_key(print), &tb_sort_form, print, &is_new);
        counts->solids += is_new;
        counts->sweeps += is_new && tb_item_has_path(placed->item);
    }
    return stand;
}

void
tb_stand_free(TbStand *stand)
{
    if (stand == NULL)
        return;
    g_free(stand->items);
    g_free(stand);
}

/* ---- asking ---- */

const TbForm *
tb_placed_form(const TbPlaced *placed)
{
    return placed->entry == NULL ? NULL : placed->entry->value;
}

const TbForm *
tb_placed_drawn(const TbPlaced *placed)
{
    return placed->drawn == NULL ? NULL : placed->drawn->value;
}

const TbEntry *
tb_stand_drawn(const TbStand *stand, const TbEntry *entry)
{
    for (size_t i = 0; i < stand->count; i++)
        if (stand->items[i].entry == entry)
            return stand->items[i].drawn;
    return entry;
}

size_t
tb_stand_find(const TbStand *stand, const char *id)
{
    for (size_t i = 0; i < stand->count; i++)
        if (g_strcmp0(stand->items[i].id, id) == 0)
            return i;
    return stand->count;
}

static bool
ends_there(const TbEnd *end, const char *port)
{
    return end != NULL && g_strcmp0(end->port, port) == 0;
}

bool
tb_placed_meets(const TbPlaced *placed, const TbPort *port)
{
    const TbItem *item = placed->item;
    const char *id = port->record.id;

    if (item == NULL)
        return false;
    if (g_strcmp0(port->owner, placed->id) == 0 || g_strcmp0(item->on, id) == 0)
        return true;
    return tb_item_has_path(item) &&
           (ends_there(tb_item_start(item), id) || ends_there(tb_item_end(item), id));
}
