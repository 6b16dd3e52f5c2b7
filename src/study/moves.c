/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/moves.h"

#include "geom/tol.h"

#include <math.h>

/* Mounts on mounts at most; the reader refuses circles, this stops them too. */
#define MOST_DEEP 16

#define RAD (G_PI / 180)

typedef struct Chain {
    const TbMount *mount[MOST_DEEP]; /* what the item rides on first */
    size_t count;
} Chain;

static Chain
chain_of(const TbBay *bay, const char *id)
{
    Chain chain = {.count = 0};

    for (const TbMount *m = tb_bay_mount(bay, id); m != NULL && chain.count < MOST_DEEP;
         m = tb_bay_mount(bay, m->parent))
        chain.mount[chain.count++] = m;
    return chain;
}

/* The vehicle's axes at the datum where a mount has no axis of its own. */
static TbMountRange
range_of(const TbStand *stand, const TbMount *mount)
{
    const TbSpread *shift[3] = {&mount->tx, &mount->ty, &mount->tz};
    const TbSpread *turn[3] = {&mount->rx, &mount->ry, &mount->rz};
    TbVec3 up = {0, 0, 1}, from;
    TbMountRange range = {.point = mount->datum, .x = {1, 0, 0}, .y = {0, 1, 0}, .z = {0, 0, 1}};

    if (tb_vec3_is_given(mount->axis_direction) && tb_vec3_is_given(mount->axis_point)) {
        range.point = mount->axis_point;
        range.x = tb_vec3_unit(mount->axis_direction);
        if (fabs(range.x.z) > cos(TB_ANGLE_STEEP))
            up = tb_vec3(-1, 0, 0);
        range.z = tb_vec3_unit(tb_vec3_across(up, range.x));
        range.y = tb_vec3_cross(range.z, range.x);
    }
    from = tb_bay_mount_shift(stand->bay, stand->variant, mount->record.id);
    range.point = tb_vec3_add(range.point, from);
    for (int i = 0; i < 3; i++) {
        range.shift_low[i] = shift[i]->low;
        range.shift_high[i] = shift[i]->high;
        range.turn_low[i] = turn[i]->low * RAD;
        range.turn_high[i] = turn[i]->high * RAD;
    }
    return range;
}

static TbStatus
add_mount(const TbStand *stand, const TbMount *mount, TbMove *move, TbFault *fault)
{
    static const char *const names[6] = {"tx", "ty", "tz", "rx", "ry", "rz"};
    TbMountRange range = range_of(stand, mount);
    int at = move->motion.count;
    TbStatus status = tb_motion_add_mount(&move->motion, &range, fault);

    if (status != TB_OK)
        return tb_fail(fault, status, "mount %s: %s", mount->record.id, fault->text);
    for (int i = 0; i < 6; i++) {
        bool turn = i >= 3;
        double low = turn ? range.turn_low[i - 3] : range.shift_low[i];
        double high = turn ? range.turn_high[i - 3] : range.shift_high[i];

        if (low == 0 && high == 0)
            continue; /* as tb_motion_add_mount() */
        move->mount[at] = mount->record.id;
        move->freedom[at++] = names[i];
    }
    return TB_OK;
}

/* The outermost first: what rides on the vehicle. */
static TbStatus
move_of(const TbStand *stand, const Chain *chain, size_t common, TbMove *move, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t i = chain->count - common; i > 0 && status == TB_OK; i--)
        status = add_mount(stand, chain->mount[i - 1], move, fault);
    return status;
}

/* How many mounts, counted from the vehicle, two chains have in common. */
static size_t
common_of(const Chain *a, const Chain *b)
{
    size_t common = 0;

    while (common < a->count && common < b->count &&
           a->mount[a->count - 1 - common] == b->mount[b->count - 1 - common])
        common++;
    return common;
}

TbStatus
tb_moves_of(const TbStand *stand, size_t a, size_t b, TbMove move[2], TbFault *fault)
{
    Chain chain[2] = {chain_of(stand->bay, stand->items[a].item->mount),
                      chain_of(stand->bay, stand->items[b].item->mount)};
    size_t common = common_of(&chain[0], &chain[1]);
    TbStatus status = TB_OK;

    for (int s = 0; s < 2 && status == TB_OK; s++) {
        move[s] = (TbMove){.motion = {.count = 0}};
        status = move_of(stand, &chain[s], common, &move[s], fault);
    }
    return status;
}

static const char *
end_mount_of(const TbItem *item)
{
    const char *end = item->kind == TB_ITEM_LINE ? tb_item_line(item)->end_mount : NULL;

    return end == NULL ? item->mount : end;
}

static bool
has_mount(const TbMove *move, const TbMount *mount)
{
    for (int i = 0; i < move->motion.count; i++)
        if (g_strcmp0(move->mount[i], mount->record.id) == 0)
            return true;
    return false;
}

TbStatus
tb_moves_all(const TbStand *stand, size_t a, size_t b, TbMove *move, TbFault *fault)
{
    const TbItem *item[2] = {stand->items[a].item, stand->items[b].item};
    Chain chain[4];
    size_t common;
    TbStatus status = TB_OK;

    *move = (TbMove){.motion = {.count = 0}};
    for (int i = 0; i < 4; i++)
        chain[i] = chain_of(stand->bay, i < 2 ? item[i]->mount : end_mount_of(item[i - 2]));
    common = chain[0].count;
    for (int i = 1; i < 4; i++)
        common = MIN(common, common_of(&chain[0], &chain[i]));
    for (int i = 0; i < 4; i++)
        for (size_t k = chain[i].count - common; k > 0 && status == TB_OK; k--)
            if (!has_mount(move, chain[i].mount[k - 1]))
                status = add_mount(stand, chain[i].mount[k - 1], move, fault);
    return status;
}
