/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/moves.h"

#include "geom/tol.h"

#include <math.h>

#define MOST_DEEP TB_MOVES_DEEP

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

/* A turn is about something: an engine that rocks about nobody knows what would be judged about a
 * guess, and what is short might seem to hold. */
static TbStatus
check_axis(const TbMount *mount, TbFault *fault)
{
    const TbSpread *turn[3] = {&mount->rx, &mount->ry, &mount->rz};
    static const char *const names[3] = {"rx", "ry", "rz"};

    for (int i = 0; i < 3 && !tb_vec3_is_given(mount->axis_direction); i++)
        if (turn[i]->low != 0 || turn[i]->high != 0)
            return tb_fail(fault, TB_E_RANGE,
                           "it turns (%s %g to %g deg), and no axis-point and axis-direction say "
                           "about what",
                           names[i], turn[i]->low, turn[i]->high);
    return TB_OK;
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
    TbStatus status = check_axis(mount, fault);

    if (status == TB_OK)
        status = tb_motion_add_mount(&move->motion, &range, fault);
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

/* Of the port that a path ends on, or NULL. */
static const char *
port_mount(const TbStand *stand, const TbEnd *end)
{
    TbPortPlace place;

    if (end == NULL || end->port == NULL ||
        tb_bay_port_place(stand->bay, stand->variant, end->port, &place, NULL) != TB_OK)
        return NULL;
    return place.mount;
}

void
tb_moves_ends(const TbStand *stand, size_t index, const char *mount[2])
{
    const TbItem *item = stand->items[index].item;
    const char *port;

    mount[0] = mount[1] = item->mount;
    if (!tb_item_has_path(item))
        return;
    port = port_mount(stand, tb_item_start(item));
    if (port != NULL)
        mount[0] = port;
    port = port_mount(stand, tb_item_end(item));
    if (port != NULL)
        mount[1] = port;
    if (item->kind == TB_ITEM_LINE && tb_item_line(item)->end_mount != NULL)
        mount[1] = tb_item_line(item)->end_mount;
}

static bool
has_range(const TbMount *mount)
{
    const TbSpread *range[6] = {&mount->tx, &mount->ty, &mount->tz,
                                &mount->rx, &mount->ry, &mount->rz};

    for (int i = 0; i < 6; i++)
        if (range[i]->low != 0 || range[i]->high != 0)
            return true;
    return false;
}

bool
tb_moves_apart(const TbStand *stand, const char *mount, const char *other)
{
    Chain chain[2] = {chain_of(stand->bay, mount), chain_of(stand->bay, other)};
    size_t common = common_of(&chain[0], &chain[1]);

    for (int s = 0; s < 2; s++)
        for (size_t k = chain[s].count - common; k > 0; k--)
            if (has_range(chain[s].mount[k - 1]))
                return true;
    return false;
}

TbStatus
tb_moves_of(const TbStand *stand, size_t a, size_t b, TbMove move[2], TbFault *fault)
{
    const char *mount[2][2];
    Chain chain[2];
    size_t common;
    TbStatus status = TB_OK;

    tb_moves_ends(stand, a, mount[0]);
    tb_moves_ends(stand, b, mount[1]);
    for (int s = 0; s < 2; s++)
        chain[s] = chain_of(stand->bay, mount[s][0]);
    common = common_of(&chain[0], &chain[1]);
    for (int s = 0; s < 2 && status == TB_OK; s++) {
        move[s] = (TbMove){.motion = {.count = 0}};
        status = move_of(stand, &chain[s], common, &move[s], fault);
    }
    return status;
}

TbStatus
tb_moves_on(const TbStand *stand, const char *mount, TbMove *move, TbFault *fault)
{
    Chain chain = chain_of(stand->bay, mount);

    *move = (TbMove){.motion = {.count = 0}};
    return move_of(stand, &chain, 0, move, fault);
}

TbStatus
tb_moves_alone(const TbStand *stand, size_t item, TbMove *move, TbFault *fault)
{
    const char *mount[2];

    tb_moves_ends(stand, item, mount);
    return tb_moves_on(stand, mount[0], move, fault);
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
    const char *ends[2][2];
    Chain chain[4];
    size_t common;
    TbStatus status = TB_OK;

    *move = (TbMove){.motion = {.count = 0}};
    tb_moves_ends(stand, a, ends[0]);
    tb_moves_ends(stand, b, ends[1]);
    for (int i = 0; i < 4; i++)
        chain[i] = chain_of(stand->bay, ends[i % 2][i / 2]);
    common = chain[0].count;
    for (int i = 1; i < 4; i++)
        common = MIN(common, common_of(&chain[0], &chain[i]));
    for (int i = 0; i < 4; i++)
        for (size_t k = chain[i].count - common; k > 0 && status == TB_OK; k--)
            if (!has_mount(move, chain[i].mount[k - 1]))
                status = add_mount(stand, chain[i].mount[k - 1], move, fault);
    return status;
}

static void
add_once(TbMoveMounts *mounts, int side, const TbMount *mount)
{
    for (size_t i = 0; i < mounts->count[side]; i++)
        if (mounts->mount[side][i] == mount)
            return;
    mounts->mount[side][mounts->count[side]++] = mount;
}

void
tb_moves_mounts(const TbStand *stand, size_t a, size_t b, TbMoveMounts *mounts)
{
    const char *end[2][2];
    bool two[2];
    Chain chain[4];
    size_t common;

    *mounts = (TbMoveMounts){.count = {0}};
    tb_moves_ends(stand, a, end[0]);
    tb_moves_ends(stand, b, end[1]);
    for (int i = 0; i < 4; i++)
        chain[i] = chain_of(stand->bay, end[i % 2][i / 2]);
    common = chain[0].count;
    for (int i = 1; i < 4; i++)
        common = MIN(common, common_of(&chain[0], &chain[i]));
    for (int s = 0; s < 2; s++)
        two[s] = g_strcmp0(end[s][0], end[s][1]) != 0;
    for (int i = 0; i < 4; i++) {
        int side = two[0] ? 0 : two[1] ? 1 : i % 2;

        for (size_t k = 0; k + common < chain[i].count; k++)
            add_once(mounts, side, chain[i].mount[k]);
    }
}
