/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/warmth.h"

#include "geom/tol.h"
#include "motion/growth.h"
#include "study/posed.h"

#include <string.h>

/* Items on ports of items on ports at most; the document refuses circles, this stops them too. */
#define MOST_DEEP 16

/* mm. Shifts below it are none: a ten thousandth of what is judged. */
#define NO_SHIFT 1e-7

/* ---- one item ---- */

/* How much an item grows, and from where. */
static void
own_growth(const TbStand *stand, const TbItem *item, TbWarming *warming)
{
    const TbMount *mount = tb_bay_mount(stand->bay, item->mount);
    double temperature = tb_states_growth(stand->condition, item);
    const TbMaterial *material;

    warming->factor = 1;
    if (mount == NULL)
        return;
    warming->about =
        tb_vec3_add(mount->datum, tb_bay_mount_shift(stand->bay, stand->variant, mount->record.id));
    if (!tb_is_given(temperature) || temperature == mount->reference)
        return;
    material = tb_catalogue_find(stand->catalogue, stand->bay, item->material);
    warming->unknown = material == NULL;
    if (material != NULL)
        warming->factor = tb_growth_factor(tb_material_expansion(material, temperature),
                                           temperature, mount->reference);
}

static TbWarming warming_of(const TbStand *stand, size_t index, int deep);

/* Where a port's owner takes it when it is hot. */
static TbCarry
carry_of(const TbStand *stand, const char *id, TbVec3 place, size_t self, int deep, bool *chained)
{
    const TbPort *port = tb_bay_port(stand->bay, id);
    TbCarry carry = {.shift = {0, 0, 0}};
    TbWarming owner;
    size_t index;
    TbVec3 hot = place;

    if (port == NULL || port->owner == NULL || deep > MOST_DEEP)
        return carry;
    index = tb_stand_find(stand, port->owner);
    if (index >= stand->count || index == self || stand->items[index].item == NULL)
        return carry;
    owner = warming_of(stand, index, deep + 1);
    if (owner
            .follows) { /* a port on a path: it goes with the nearer end, as what is fitted there */
        const TbForm *form = tb_placed_drawn(&stand->items[index]);
        TbVec3 end[2] = {place, place};
        double length;
        int which;

        if (form->solid == NULL || !tb_solid_chord(form->solid, &end[0], &end[1], &length))
            return carry;
        which = tb_vec3_distance(place, end[1]) < tb_vec3_distance(place, end[0]);
        hot =
            tb_pose_point(tb_drift_pose(end[which], owner.factor, owner.carry[which].shift), place);
    } else {
        hot = tb_pose_point(tb_warming_pose(&owner), place);
    }
    *chained = *chained || owner.follows || owner.carry[0].by != NULL;
    carry.shift = tb_vec3_sub(hot, place);
    carry.by = tb_vec3_length(carry.shift) > NO_SHIFT ? stand->items[index].id : NULL;
    return carry;
}

static const char *
port_of(const TbEnd *end)
{
    return end == NULL ? NULL : end->port;
}

static bool
place_of(const TbStand *stand, const char *port, TbVec3 *place)
{
    TbPortPlace found;

    if (port == NULL || tb_bay_port_place(stand->bay, stand->variant, port, &found, NULL) != TB_OK)
        return false;
    *place = found.point;
    return true;
}

/* What is held by its ports grows about them. */
static void
hold(const TbStand *stand, size_t index, int deep, TbWarming *warming)
{
    const TbItem *item = stand->items[index].item;
    bool path = tb_item_has_path(item);
    const char *port[2] = {path ? port_of(tb_item_start(item)) : item->on,
                           path ? port_of(tb_item_end(item)) : NULL};
    TbVec3 place[2];
    bool held[2];

    for (int e = 0; e < 2; e++) {
        held[e] = place_of(stand, port[e], &place[e]);
        if (held[e])
            warming->carry[e] = carry_of(stand, port[e], place[e], index, deep, &warming->chained);
    }
    warming->follows = held[0] && held[1];
    if (warming->follows)
        warming->about = tb_vec3_mix(place[0], place[1], 0.5);
    if (warming->follows || (!held[0] && !held[1]))
        return;
    if (held[1])
        warming->carry[0] = warming->carry[1];
    warming->carry[1] = (TbCarry){.by = NULL};
    warming->about = place[held[1]];
}

static TbWarming
warming_of(const TbStand *stand, size_t index, int deep)
{
    TbWarming warming = {.factor = 1};

    if (stand->condition->hot == NULL)
        return warming;
    own_growth(stand, stand->items[index].item, &warming);
    hold(stand, index, deep, &warming);
    return warming;
}

/* No warmer than a pose has it: every part of it is straight. */
static void
scale_by_pose(const TbResultGap *pose, const char *id, TbWarming *warming)
{
    warming->factor = 1 + tb_posed_share(pose, id) * (warming->factor - 1);
    for (int e = 0; e < 2; e++)
        if (warming->carry[e].by != NULL)
            warming->carry[e].shift =
                tb_vec3_scale(warming->carry[e].shift, tb_posed_share(pose, warming->carry[e].by));
}

TbWarming
tb_warmth_of(const TbStand *stand, size_t item)
{
    TbWarming warming = warming_of(stand, item, 0);

    if (stand->pose != NULL)
        scale_by_pose(stand->pose, stand->items[item].id, &warming);
    return warming;
}

bool
tb_warming_is_none(const TbWarming *warming)
{
    return warming->factor == 1 && warming->carry[0].by == NULL && warming->carry[1].by == NULL;
}

TbPose
tb_warming_pose(const TbWarming *warming)
{
    TbVec3 shift = warming->carry[0].shift;

    if (warming->follows)
        shift = tb_vec3_mix(shift, warming->carry[1].shift, 0.5);
    return tb_drift_pose(warming->about, warming->factor, shift);
}

TbVec3
tb_warmth_port(const TbStand *stand, const char *port, TbVec3 place)
{
    bool chained = false;

    return tb_vec3_add(place, carry_of(stand, port, place, stand->count, 0, &chained).shift);
}

/* ---- two items ---- */

static TbStatus
add_number(TbMove *move, TbFreedom freedom, const char *item, bool backwards, TbFault *fault)
{
    int at = move->motion.count;
    TbStatus status = tb_motion_add(&move->motion, freedom, fault);

    if (status != TB_OK)
        return tb_fail(fault, status, "warmth of %s: %s", item, fault->text);
    move->warm[at] = item;
    move->backwards[at] = backwards;
    return TB_OK;
}

static TbStatus
add_carry(TbMove *move, const TbCarry *carry, TbFreedomKind kind, TbFault *fault)
{
    TbFreedom freedom = {kind, {0, 0, 0}, carry->shift, 0, tb_vec3_length(carry->shift)};

    return carry->by == NULL ? TB_OK : add_number(move, freedom, carry->by, false, fault);
}

/* Two ends that one item carries go with its one warmth; else each with its own. */
static TbStatus
add_ends(TbMove *move, const TbWarming *w, TbFault *fault)
{
    const TbCarry *start = &w->carry[0], *end = &w->carry[1];
    TbFreedom both = {TB_FREEDOM_ENDS, end->shift, start->shift, 0, 1};
    TbStatus status;

    if (start->by != NULL && g_strcmp0(start->by, end->by) == 0)
        return add_number(move, both, start->by, false, fault);
    status = add_carry(move, start, TB_FREEDOM_START, fault);
    return status == TB_OK ? add_carry(move, end, TB_FREEDOM_END, fault) : status;
}

static TbStatus
add_warming(const TbStand *stand, size_t index, TbMove *move, TbFault *fault)
{
    TbWarming w = warming_of(stand, index, 0);
    TbFreedom growth = {w.follows ? TB_FREEDOM_SPREAD : TB_FREEDOM_GROWTH,
                        w.about,
                        {0, 0, 0},
                        fmin(1, w.factor),
                        fmax(1, w.factor)};
    TbStatus status = TB_OK;

    move->chained = w.chained;
    if (!w.follows)
        status = add_carry(move, &w.carry[0], TB_FREEDOM_CARRIED, fault);
    if (w.follows) {
        TbVec3 end = {0, 0, 0};
        double length;

        tb_solid_chord(tb_placed_drawn(&stand->items[index])->solid, &growth.point, &end, &length);
        growth.direction = tb_vec3_sub(end, growth.point);
    }
    /* its ends are drawn apart although it does not grow itself */
    if (status == TB_OK && w.factor != 1)
        status = add_number(move, growth, stand->items[index].id, w.factor < 1, fault);
    if (w.follows && status == TB_OK)
        status = add_ends(move, &w, fault);
    return status;
}

/* A side has an item's warmth in one number at most (add_ends()). */
static void
add_ties(const TbMove move[2], TbTies *ties)
{
    ties->count = 0;
    for (int i = 0; i < move[0].motion.count; i++)
        for (int k = 0; k < move[1].motion.count && ties->count < TB_MOVING_TIES; k++) {
            if (move[0].warm[i] == NULL || g_strcmp0(move[0].warm[i], move[1].warm[k]) != 0)
                continue;
            ties->tie[ties->count++] = (TbMovingTie){
                .a = i, .b = k, .opposite = move[0].backwards[i] != move[1].backwards[k]};
            break;
        }
}

TbStatus
tb_warmth_moves(
    const TbStand *stand, size_t a, size_t b, TbMove move[2], TbTies *ties, TbFault *fault)
{
    TbStatus status = add_warming(stand, a, &move[0], fault);

    if (status == TB_OK)
        status = add_warming(stand, b, &move[1], fault);
    if (status == TB_OK)
        add_ties(move, ties);
    return status;
}
