/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/posed.h"
#include "study/warmth.h"

/** An item as drawn, and how it grows. */
typedef struct GrowInput {
    TbSolid *solid; /**< reference; NULL stays NULL */
    TbForm drawn;   /**< everything but solid and sweep is copied from it */
    TbPose pose;
    bool drifts;     /**< its path is drawn out between its ends */
    TbVec3 shift[2]; /**< of the start and the end, mm */
    TbPose moved;    /**< after it has grown: where its mount takes it */
} GrowInput;

static GrowInput *
grow_input_new(const TbForm *drawn, const TbWarming *warming, TbPose moved)
{
    GrowInput *input = g_new0(GrowInput, 1);

    input->drawn = *drawn;
    input->solid = drawn->solid == NULL ? NULL : tb_solid_ref(drawn->solid);
    input->pose = tb_warming_pose(warming);
    input->moved = moved;
    input->drifts = warming->follows;
    for (int e = 0; e < 2; e++)
        input->shift[e] = warming->carry[e].shift;
    return input;
}

static void
grow_input_free(gpointer data)
{
    GrowInput *input = data;

    tb_solid_unref(input->solid);
    g_free(input);
}

static TbPose
whole_pose(const GrowInput *input)
{
    return tb_pose_is_identity(input->moved) ? input->pose
                                             : tb_pose_compose(input->moved, input->pose);
}

/* Grown, then moved. */
static TbSolid *
grown_solid(const GrowInput *input)
{
    TbSolid *grown, *moved;

    if (!input->drifts)
        return tb_solid_moved(input->solid, whole_pose(input));
    grown = tb_solid_drifted(input->solid, input->pose.scale, input->shift[0], input->shift[1]);
    if (grown == NULL || tb_pose_is_identity(input->moved))
        return grown;
    moved = tb_solid_moved(grown, input->moved);
    tb_solid_unref(grown);
    return moved;
}

static TbStatus
make_grown(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const GrowInput *input = data;
    TbForm facts = input->drawn;
    TbSolid *solid = NULL;

    if (tb_task_is_cancelled(task))
        return tb_fail(fault, TB_E_CANCELLED, "stopped while growing shapes");
    if (input->solid != NULL) {
        solid = grown_solid(input);
        if (solid == NULL)
            return tb_fail(fault, TB_E_MEMORY, "no room for a grown shape");
    }
    facts.grown = whole_pose(input);
    *value = tb_form_new(&facts, solid);
    return TB_OK;
}

static const TbSort sort_grown = {.what = "grown shapes",
                                  .make = make_grown,
                                  .free_value = tb_form_free,
                                  .free_input = grow_input_free};

/* ---- all items ---- */

void
tb_stand_grow(TbStand *stand, TbCache *cache, TbStudyCounts *counts)
{
    for (size_t i = 0; i < stand->count; i++) {
        TbPlaced *placed = &stand->items[i];
        TbWarming warming;
        TbPose moved;
        TbKey *key;
        bool is_new;

        if (placed->item == NULL)
            continue;
        placed->entry = placed->drawn;
        warming = tb_warmth_of(stand, i);
        placed->unknown_growth = warming.unknown;
        placed->follows = warming.follows;
        moved = tb_posed_item(stand, i);
        if (tb_warming_is_none(&warming) && tb_pose_is_identity(moved))
            continue;
        key = tb_key_new(placed->drawn->serial);
        tb_key_add_pose(key, tb_warming_pose(&warming));
        tb_key_add_pose(key, moved);
        tb_key_add_word(key, warming.follows);
        for (int e = 0; e < 2; e++)
            tb_key_add_vec3(key, warming.carry[e].shift);
        placed->entry =
            tb_cache_need(cache, key, &sort_grown,
                          grow_input_new(placed->drawn->value, &warming, moved), &is_new);
        counts->solids += is_new;
    }
}
