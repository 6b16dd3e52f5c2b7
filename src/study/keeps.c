/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/keeps.h"

#include "study/posed.h"
#include "study/warmth.h"

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

/* The value of a keep for a condition; NULL where it says nothing about it. */
static const TbKeepGap *
value_of(const TbStand *stand, const TbKeep *keep)
{
    TbStateSet wanted = (stand->keeps_of != NULL ? stand->keeps_of : stand->condition)->set;
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

/* ---- what all pairs of a stand go by, found once ---- */

typedef struct Ground {
    const TbStand *stand;
    size_t keeps, ports, joints;
    size_t words;            /* of 64 keeps */
    const TbKeepGap **value; /* of each keep in the stand's state; NULL: it says nothing about it */
    uint64_t *side[2];       /* by item, then word: bits of the keeps whose side names the item */
    bool *meets;             /* by item, then port */
    bool *joins;             /* by item: it meets a port */
    size_t *joint_port;      /* by joint: its ports a and b; `ports` where there is none */
} Ground;

/* Those of 64 keeps whose sides name both items, one way or the other. */
static uint64_t
that_name(const Ground *ground, size_t word, size_t i, size_t k)
{
    const uint64_t *const *side = (const uint64_t *const *)ground->side;
    size_t at_i = i * ground->words + word, at_k = k * ground->words + word;

    return (side[0][at_i] & side[1][at_k]) | (side[0][at_k] & side[1][at_i]);
}

static bool
fits_side(const Ground *ground, size_t keep, size_t item, int side)
{
    return ground->side[side][item * ground->words + keep / 64] >> keep % 64 & 1;
}

static bool
meets(const Ground *ground, size_t item, size_t port)
{
    return port < ground->ports && ground->meets[item * ground->ports + port];
}

/* Both are what the keep's two sides name. */
static bool
sides_fit(const Ground *ground, size_t index, size_t i, size_t k)
{
    return fits_side(ground, index, i, 0) && fits_side(ground, index, k, 1);
}

static bool
keep_fits(const Ground *ground, size_t index, size_t i, size_t k)
{
    const TbStand *stand = ground->stand;
    const TbKeep *keep = tb_bay_keep_at(stand->bay, index);
    const TbItem *a = stand->items[i].item, *b = stand->items[k].item;

    if (!sides_fit(ground, index, i, k))
        return false;
    return told(keep->same_casting, a->casting != NULL && g_strcmp0(a->casting, b->casting) == 0) &&
           told(keep->same_mount, g_strcmp0(a->mount, b->mount) == 0) &&
           told(keep->shielded, is_shielded(stand, b));
}

static size_t
port_index(const TbBay *bay, const char *id)
{
    const TbPort *port = tb_bay_port(bay, id);
    size_t count = tb_bay_count(bay, TB_LIST_PORTS);

    for (size_t i = 0; i < count && port != NULL; i++)
        if (tb_bay_port_at(bay, i) == port)
            return i;
    return count;
}

static void
find_sides(Ground *ground)
{
    const TbStand *stand = ground->stand;

    for (size_t i = 0; i < ground->keeps; i++) {
        const TbKeep *keep = tb_bay_keep_at(stand->bay, i);

        ground->value[i] = value_of(stand, keep);
        for (size_t k = 0; k < stand->count && ground->value[i] != NULL; k++) {
            const TbPlaced *placed = &stand->items[k];
            size_t at = k * ground->words + i / 64;

            if (placed->item == NULL)
                continue;
            ground->side[0][at] |= (uint64_t)side_fits(keep->item_a, keep->class_a, placed)
                                   << i % 64;
            ground->side[1][at] |= (uint64_t)side_fits(keep->item_b, keep->class_b, placed)
                                   << i % 64;
        }
    }
}

static Ground
ground_of(const TbStand *stand)
{
    const TbBay *bay = stand->bay;
    Ground ground = {.stand = stand,
                     .keeps = tb_bay_count(bay, TB_LIST_KEEPS),
                     .ports = tb_bay_count(bay, TB_LIST_PORTS),
                     .joints = tb_bay_count(bay, TB_LIST_JOINTS)};

    ground.value = g_new0(const TbKeepGap *, ground.keeps + 1);
    ground.words = (ground.keeps + 63) / 64;
    for (int s = 0; s < 2; s++)
        ground.side[s] = g_new0(uint64_t, ground.words * stand->count + 1);
    ground.joins = g_new0(bool, stand->count + 1);
    ground.meets = g_new0(bool, ground.ports * stand->count + 1);
    ground.joint_port = g_new0(size_t, 2 * ground.joints + 1);
    find_sides(&ground);
    for (size_t i = 0; i < stand->count; i++)
        for (size_t k = 0; k < ground.ports; k++) {
            bool here = tb_placed_meets(&stand->items[i], tb_bay_port_at(bay, k));

            ground.meets[i * ground.ports + k] = here;
            ground.joins[i] |= here;
        }
    for (size_t i = 0; i < ground.joints; i++) {
        const TbJoint *joint = tb_bay_joint_at(bay, i);

        ground.joint_port[2 * i] = port_index(bay, joint->a);
        ground.joint_port[2 * i + 1] = port_index(bay, joint->b);
    }
    return ground;
}

static void
ground_clear(Ground *ground)
{
    g_free(ground->value);
    g_free(ground->side[0]);
    g_free(ground->side[1]);
    g_free(ground->joins);
    g_free(ground->meets);
    g_free(ground->joint_port);
}

/* ---- which keep of a pair ---- */

static int
names_given(const TbKeep *keep)
{
    return (keep->item_a != NULL) + (keep->item_b != NULL);
}

/* The keep of two items; @p turned where its side a is the second one. Its number, or `keeps`. */
static size_t
keep_of(const Ground *ground, size_t a, size_t b, bool *turned)
{
    const TbBay *bay = ground->stand->bay;
    size_t best = ground->keeps;

    for (size_t w = 0; w < ground->words; w++)
        for (uint64_t left = that_name(ground, w, a, b); left != 0; left &= left - 1) {
            size_t i = 64 * w + (size_t)__builtin_ctzll(left);
            const TbKeep *keep = tb_bay_keep_at(bay, i);
            bool straight = keep_fits(ground, i, a, b);

            if (!straight && !keep_fits(ground, i, b, a))
                continue;
            if (best < ground->keeps && names_given(keep) <= names_given(tb_bay_keep_at(bay, best)))
                continue;
            best = i;
            *turned = !straight;
        }
    return best;
}

/* ---- leave-outs ---- */

static bool
is_left(const TbPair *pair, const char *port)
{
    for (size_t i = 0; i < pair->leave_count; i++)
        if (strcmp(pair->leave_port[i], port) == 0)
            return true;
    return false;
}

static void
add_leave_out(TbPair *pair, const char *port, TbLeaveOut out, TbLeaveOut rest)
{
    size_t count = pair->leave_count++;

    pair->leave_out = g_renew(TbLeaveOut, pair->leave_out, count + 1);
    pair->leave_rest = g_renew(TbLeaveOut, pair->leave_rest, count + 1);
    pair->leave_port = g_renew(const char *, pair->leave_port, count + 1);
    pair->leave_out[count] = out;
    pair->leave_rest[count] = rest;
    pair->leave_port[count] = port;
}

/* A port moves with its owner. */
static void
leave_out(const Ground *ground, size_t index, double radius, TbPair *pair)
{
    const TbStand *stand = ground->stand;
    TbPortPlace place;
    TbLeaveOut out, rest;
    const char *port;

    if (!(radius > 0) || index >= ground->ports)
        return;
    port = tb_bay_port_at(stand->bay, index)->record.id;
    if (is_left(pair, port) ||
        tb_bay_port_place(stand->bay, stand->variant, port, &place, NULL) != TB_OK)
        return;
    rest = out = (TbLeaveOut){.port = place.point, .radius = radius};
    out.port =
        tb_pose_point(tb_posed_mount(stand, place.mount), tb_warmth_port(stand, port, place.point));
    add_leave_out(pair, port, out, rest);
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

/* At the joints between the two. */
static void
leave_out_joined(const Ground *ground, TbPair *pair)
{
    const TbBay *bay = ground->stand->bay;
    size_t a = pair->a, b = pair->b;

    for (size_t i = 0; i < ground->joints; i++) {
        size_t at = ground->joint_port[2 * i], to = ground->joint_port[2 * i + 1];
        bool straight = meets(ground, a, at) && meets(ground, b, to);
        bool crossed = meets(ground, a, to) && meets(ground, b, at);

        if (straight || crossed)
            leave_out(ground, at, tb_bay_joint_at(bay, i)->leave_out, pair);
    }
}

static void
find_leave_outs(const Ground *ground, TbPair *pair)
{
    const TbBay *bay = ground->stand->bay;
    const TbKeep *keep = pair->keep;
    bool joined = ground->joins[pair->a] && ground->joins[pair->b];

    if (joined)
        leave_out_joined(ground, pair);
    for (size_t i = 0; i < keep->leave_out_count; i++)
        leave_out(ground, port_index(bay, keep->leave_outs[i].port), keep->leave_outs[i].radius,
                  pair);
    for (size_t i = 0; i < ground->ports && joined; i++)
        if (meets(ground, pair->a, i) && meets(ground, pair->b, i))
            leave_out(ground, i, port_size(tb_bay_port_at(bay, i)), pair);
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
    g_free(pair->leave_rest);
    g_free(pair->leave_port);
    g_free(pair);
}

static void
add_pair(const Ground *ground, size_t i, size_t k, GPtrArray *pairs)
{
    bool turned = false;
    size_t keep = keep_of(ground, i, k, &turned);
    const TbStand *stand = ground->stand;
    TbPair *pair;

    if (keep >= ground->keeps)
        return;
    pair = g_new0(TbPair, 1);
    pair->a = turned ? k : i;
    pair->b = turned ? i : k;
    pair->keep = tb_bay_keep_at(stand->bay, keep);
    pair->gap = ground->value[keep]->gap;
    pair->keep_state = ground->value[keep]->state;
    pair->margin = pair->keep->margin;
    pair->uncertainty = hypot(tb_keeps_uncertainty(stand->items[pair->a].item),
                              tb_keeps_uncertainty(stand->items[pair->b].item));
    pair->want = fmax(pair->margin, pair->uncertainty);
    find_leave_outs(ground, pair);
    g_ptr_array_add(pairs, pair);
}

GPtrArray *
tb_keeps_pairs(const TbStand *stand)
{
    GPtrArray *pairs = g_ptr_array_new_with_free_func(pair_free);
    Ground ground = ground_of(stand);

    for (size_t i = 0; i < stand->count; i++)
        for (size_t k = i + 1; k < stand->count; k++)
            if (stand->items[i].item != NULL && stand->items[k].item != NULL)
                add_pair(&ground, i, k, pairs);
    ground_clear(&ground);
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
