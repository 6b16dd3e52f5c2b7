/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/keeps.h"

#include <math.h>
#include <string.h>

/* ---- which keep ---- */

static bool
side_fits(const char *item_id, const char *klass, const TbPlaced *placed)
{
    if (item_id != NULL)
        return strcmp(item_id, placed->id) == 0;
    return g_strcmp0(klass, placed->item->klass) == 0;
}

static bool
told(int tell, bool fact)
{
    return tell == TB_TELL_ANY || (tell == TB_TELL_YES) == fact;
}

/* A shield counts where it is itself there in the variant. */
static bool
is_shielded(const TbStand *stand, const TbItem *item)
{
    size_t shield;

    if (item->shield == NULL)
        return false;
    shield = tb_stand_find(stand, item->shield);
    return shield < stand->count && stand->items[shield].item != NULL;
}

static bool
keep_fits(const TbStand *stand, const TbKeep *keep, const TbPlaced *a, const TbPlaced *b)
{
    bool casting = a->item->casting != NULL && g_strcmp0(a->item->casting, b->item->casting) == 0;
    bool mount = g_strcmp0(a->item->mount, b->item->mount) == 0;

    return side_fits(keep->item_a, keep->class_a, a) && side_fits(keep->item_b, keep->class_b, b) &&
           told(keep->same_casting, casting) && told(keep->same_mount, mount) &&
           told(keep->shielded, is_shielded(stand, b->item));
}

/* The value of a keep for a condition; NULL where it says nothing about it. */
static const TbKeepGap *
value_of(const TbStand *stand, const TbKeep *keep)
{
    TbStateSet wanted = stand->condition->set;
    const TbKeepGap *best = NULL;

    for (size_t i = 0; i < keep->gap_count; i++) {
        const TbKeepGap *gap = &keep->gaps[i];
        TbStateSet set = 0;

        if (tb_states_set(stand->bay, gap->state, &set, NULL) != TB_OK)
            continue;
        if (set == wanted)
            return gap;
        if ((set & wanted) == wanted && (best == NULL || gap->gap > best->gap))
            best = gap;
    }
    return best;
}

bool
tb_keeps_speak(const TbStand *stand)
{
    size_t count = tb_bay_count(stand->bay, TB_LIST_KEEPS);

    for (size_t i = 0; i < count; i++)
        if (value_of(stand, tb_bay_keep_at(stand->bay, i)) != NULL)
            return true;
    return count == 0;
}

static int
names_given(const TbKeep *keep)
{
    return (keep->item_a != NULL) + (keep->item_b != NULL);
}

/* The keep of two items; @p turned where its side a is the second one. */
static const TbKeep *
keep_of(const TbStand *stand, const TbPlaced *a, const TbPlaced *b, bool *turned)
{
    const TbKeep *best = NULL;

    for (size_t i = 0; i < tb_bay_count(stand->bay, TB_LIST_KEEPS); i++) {
        const TbKeep *keep = tb_bay_keep_at(stand->bay, i);
        bool straight = keep_fits(stand, keep, a, b);

        if (!straight && !keep_fits(stand, keep, b, a))
            continue;
        if ((best != NULL && names_given(keep) <= names_given(best)) ||
            value_of(stand, keep) == NULL)
            continue;
        best = keep;
        *turned = !straight;
    }
    return best;
}

/* ---- leave-outs ---- */

typedef struct Left {
    GArray *leave_out; /* TbLeaveOut */
    GPtrArray *port;
} Left;

static bool
is_left(const Left *left, const char *port)
{
    for (guint i = 0; i < left->port->len; i++)
        if (g_strcmp0(left->port->pdata[i], port) == 0)
            return true;
    return false;
}

/* A port moves with the item of the pair that meets it. */
static void
leave_out(const TbStand *stand,
          const TbPlaced *a,
          const TbPlaced *b,
          const char *port,
          double radius,
          Left *left)
{
    TbPose pose = tb_pose_identity();
    TbPortPlace place;
    TbLeaveOut out;

    if (!(radius > 0) || is_left(left, port) ||
        tb_bay_port_place(stand->bay, stand->variant, port, &place, NULL) != TB_OK)
        return;
    if (tb_placed_meets(stand, a, port))
        pose = tb_placed_form(a)->grown;
    else if (tb_placed_meets(stand, b, port))
        pose = tb_placed_form(b)->grown;
    out = (TbLeaveOut){.port = tb_pose_point(pose, place.point), .radius = radius};
    g_array_append_val(left->leave_out, out);
    g_ptr_array_add(left->port, (gpointer)port);
}

/* Two items on one port with nothing said about a radius: the port's own size. */
static double
port_size(const TbPort *port)
{
    double size = 0;

    for (size_t i = 0; i < port->opening_count; i++)
        size = fmax(size, fmax(port->openings[i].width, port->openings[i].height));
    return size;
}

static void
find_leave_outs(
    const TbStand *stand, const TbKeep *keep, const TbPlaced *a, const TbPlaced *b, Left *left)
{
    const TbBay *bay = stand->bay;

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_JOINTS); i++) {
        const TbJoint *joint = tb_bay_joint_at(bay, i);
        bool straight = tb_placed_meets(stand, a, joint->a) && tb_placed_meets(stand, b, joint->b);
        bool crossed = tb_placed_meets(stand, a, joint->b) && tb_placed_meets(stand, b, joint->a);

        if (straight || crossed)
            leave_out(stand, a, b, joint->a, joint->leave_out, left);
    }
    for (size_t i = 0; i < keep->leave_out_count; i++)
        leave_out(stand, a, b, keep->leave_outs[i].port, keep->leave_outs[i].radius, left);
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_PORTS); i++) {
        const TbPort *port = tb_bay_port_at(bay, i);

        if (tb_placed_meets(stand, a, port->record.id) &&
            tb_placed_meets(stand, b, port->record.id))
            leave_out(stand, a, b, port->record.id, port_size(port), left);
    }
}

/* ---- pairs ---- */

double
tb_keeps_uncertainty(const TbItem *item)
{
    double known = item->known == NULL ? 0 : item->known->uncertainty;
    double residual = item->kind == TB_ITEM_SCAN ? tb_item_scan(item)->residual : 0;

    return hypot(tb_is_given(known) ? known : 0, tb_is_given(residual) ? residual : 0);
}

static void
pair_free(gpointer data)
{
    TbPair *pair = data;

    g_free(pair->leave_out);
    g_free(pair->leave_port);
    g_free(pair);
}

static void
add_pair(const TbStand *stand, size_t i, size_t k, GPtrArray *pairs)
{
    bool turned = false;
    const TbKeep *keep = keep_of(stand, &stand->items[i], &stand->items[k], &turned);
    const TbPlaced *a, *b;
    const TbKeepGap *value;
    TbPair *pair;
    Left left;

    if (keep == NULL)
        return;
    pair = g_new0(TbPair, 1);
    pair->a = turned ? k : i;
    pair->b = turned ? i : k;
    a = &stand->items[pair->a];
    b = &stand->items[pair->b];
    value = value_of(stand, keep);
    pair->keep = keep;
    pair->gap = value->gap;
    pair->keep_state = value->state;
    pair->margin = keep->margin;
    pair->uncertainty = hypot(tb_keeps_uncertainty(a->item), tb_keeps_uncertainty(b->item));
    pair->want = fmax(pair->margin, pair->uncertainty);
    left.leave_out = g_array_new(FALSE, TRUE, sizeof(TbLeaveOut));
    left.port = g_ptr_array_new();
    find_leave_outs(stand, keep, a, b, &left);
    pair->leave_count = left.port->len;
    pair->leave_out = (TbLeaveOut *)(void *)g_array_free(left.leave_out, FALSE);
    pair->leave_port = (const char **)g_ptr_array_free(left.port, FALSE);
    g_ptr_array_add(pairs, pair);
}

GPtrArray *
tb_keeps_pairs(const TbStand *stand)
{
    GPtrArray *pairs = g_ptr_array_new_with_free_func(pair_free);

    for (size_t i = 0; i < stand->count; i++)
        for (size_t k = i + 1; k < stand->count; k++)
            if (stand->items[i].item != NULL && stand->items[k].item != NULL)
                add_pair(stand, i, k, pairs);
    return pairs;
}

/* ---- levels ---- */

/* No unit. Where a mesh has no inside, its back must be seen in more than half of all directions
 * before an item counts as perhaps inside it: in front of a scan it is never, behind a flat one not
 * quite. */
#define ENCLOSED 0.5

/* A gap to an open scan is judged by its surface, unless the item is rather enclosed by it. */
static bool
may_be_inside(const TbGap *gap)
{
    return gap->doubt != TB_DOUBT_OPEN || gap->enclosed > ENCLOSED;
}

static const char *
reason_of(TbDoubt doubt)
{
    switch (doubt) {
    case TB_DOUBT_NONE:
        break;
    case TB_DOUBT_OPEN:
        return "it is enclosed by the back of an open scan, so whether it lies inside cannot be "
               "decided";
    case TB_DOUBT_HOLE:
        return "it is at a hole of a scan that is nearly closed, so whether it lies inside cannot "
               "be decided";
    case TB_DOUBT_FLIPPED:
        return "it is enclosed by a scan whose triangles disagree about which side is out, so "
               "whether it lies inside cannot be decided";
    case TB_DOUBT_INWARD:
        return "the scan's normals point inwards as of the walls of a room, and it is not in the "
               "room, so whether it lies inside cannot be decided";
    }
    return "";
}

TbLevel
tb_keeps_level(const TbGap *gap, double keep, double want, const char **reason)
{
    *reason = "";
    if (gap->nothing) {
        *reason = "all of the pair lies within what is left out at ports";
        return TB_LEVEL_OPEN;
    }
    if (gap->contact == TB_CROSSES) {
        *reason = "an open scan is crossed, so there is no inside and no depth";
        return TB_LEVEL_OPEN;
    }
    if (gap->lower < keep)
        return TB_LEVEL_SHORT;
    if (gap->inner == TB_INNER_UNKNOWN && may_be_inside(gap)) {
        *reason = reason_of(gap->doubt);
        return TB_LEVEL_OPEN;
    }
    return gap->lower < keep + want ? TB_LEVEL_WATCH : TB_LEVEL_HOLDS;
}
