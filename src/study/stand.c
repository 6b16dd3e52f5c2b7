/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/stand.h"

#include "motion/growth.h"

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

/* ---- growth ---- */

/* How an item grows in the stand's state from its mount's datum. */
static TbPose
growth_of(const TbStand *stand, TbPlaced *placed)
{
    const TbItem *item = placed->item;
    const TbMount *mount = tb_bay_mount(stand->bay, item->mount);
    double temperature = tb_states_growth(stand->condition, item);
    const TbMaterial *material;
    double expansion;
    TbVec3 datum;

    if (!tb_is_given(temperature) || mount == NULL || temperature == mount->reference)
        return tb_pose_identity();
    material = tb_catalogue_find(stand->catalogue, stand->bay, item->material);
    if (material == NULL) {
        placed->unknown_growth = true;
        return tb_pose_identity();
    }
    expansion = tb_material_expansion(material, temperature);
    datum =
        tb_vec3_add(mount->datum, tb_bay_mount_shift(stand->bay, stand->variant, mount->record.id));
    return tb_growth_pose(datum, expansion, temperature, mount->reference);
}

void
tb_stand_grow(TbStand *stand, TbCache *cache, TbStudyCounts *counts)
{
    for (size_t i = 0; i < stand->count; i++) {
        TbPlaced *placed = &stand->items[i];
        TbPose pose;
        TbKey *key;
        bool is_new;

        if (placed->item == NULL)
            continue;
        placed->entry = placed->drawn;
        pose = growth_of(stand, placed);
        if (tb_pose_is_identity(pose))
            continue;
        key = tb_key_new(placed->drawn->serial);
        tb_key_add_pose(key, pose);
        placed->entry = tb_cache_need(cache, key, &tb_sort_grown,
                                      tb_grow_input_new(placed->drawn->value, pose), &is_new);
        counts->solids += is_new;
    }
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
tb_placed_meets(const TbStand *stand, const TbPlaced *placed, const char *port)
{
    const TbItem *item = placed->item;
    const TbPort *record = tb_bay_port(stand->bay, port);

    if (item == NULL || record == NULL)
        return false;
    if (g_strcmp0(record->owner, placed->id) == 0 || g_strcmp0(item->on, port) == 0)
        return true;
    return tb_item_has_path(item) &&
           (ends_there(tb_item_start(item), port) || ends_there(tb_item_end(item), port));
}
