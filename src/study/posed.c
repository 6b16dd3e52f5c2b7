/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/posed.h"

#include "study/blend.h"
#include "study/moves.h"
#include "study/voice.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#define RAD (G_PI / 180)

/* No unit. Shares of warmth nearer than this to an end are told as that. */
#define ALMOST 0.005

bool
tb_posed_can(const TbResultGap *gap)
{
    if (gap->gap.nothing || (gap->move_count > 0 && !gap->gap.certified))
        return false;
    return gap->move_count > 0 || gap->warmth_count > 0;
}

double
tb_posed_share(const TbResultGap *gap, const char *item)
{
    for (size_t i = 0; i < gap->warmth_count; i++)
        if (g_strcmp0(gap->warmth[i].item, item) == 0)
            return gap->warmth[i].share;
    return 1;
}

static double
number_of(const TbResultGap *gap, const char *mount, const char *freedom)
{
    for (size_t i = 0; i < gap->move_count; i++) {
        const TbResultMove *move = &gap->moves[i];

        if (g_strcmp0(move->mount, mount) == 0 && g_strcmp0(move->freedom, freedom) == 0)
            return freedom[0] == 'r' ? move->at * RAD : move->at;
    }
    return 0;
}

TbPose
tb_posed_mount(const TbStand *stand, const char *mount)
{
    double q[TB_MOTION_MOST] = {0};
    TbFault fault = {0};
    TbMove move;

    if (stand->pose == NULL || tb_moves_on(stand, mount, &move, &fault) != TB_OK)
        return tb_pose_identity();
    for (int i = 0; i < move.motion.count; i++)
        q[i] = number_of(stand->pose, move.mount[i], move.freedom[i]);
    return tb_motion_pose(&move.motion, q);
}

TbPose
tb_posed_item(const TbStand *stand, size_t item)
{
    const char *mount[2];

    if (stand->pose == NULL || tb_blend_rides_on_two(stand, item))
        return tb_pose_identity();
    tb_moves_ends(stand, item, mount);
    return tb_posed_mount(stand, mount[0]);
}

/* ---- words ---- */

static const char *
name_of(const TbBay *bay, const char *id)
{
    const TbItem *item = tb_bay_item(bay, id);

    return item == NULL || item->record.name == NULL ? id : item->record.name;
}

static char *
tell_warmth(const TbBay *bay, const TbResultWarmth *warmth)
{
    const char *name = name_of(bay, warmth->item);

    if (warmth->share >= 1 - ALMOST)
        return g_strdup_printf(_("%s hot"), name);
    if (warmth->share <= ALMOST)
        return g_strdup_printf(_("%s cold"), name);
    /* Translators: an item, and how far it has warmed from cold to hot */
    return g_strdup_printf(_("%s %.0f %% warm"), name, 100 * warmth->share);
}

char *
tb_posed_tell(const TbBay *bay, const TbResultGap *gap, TbLengthUnit unit)
{
    TbVoice voice = {.unit = unit};
    g_autoptr(GPtrArray) parts = g_ptr_array_new_with_free_func(g_free);

    for (size_t i = 0; i < gap->move_count; i++) {
        const TbResultMove *move = &gap->moves[i];
        g_autofree char *at = tb_voice_quantity(
            voice, move->at, move->freedom[0] == 'r' ? TB_QUANTITY_ANGLE : TB_QUANTITY_LENGTH, 2);

        g_ptr_array_add(parts, g_strdup_printf("%s %s %s", move->mount, move->freedom, at));
    }
    for (size_t i = 0; i < gap->warmth_count; i++)
        g_ptr_array_add(parts, tell_warmth(bay, &gap->warmth[i]));
    g_ptr_array_add(parts, NULL);
    return g_strjoinv(", ", (char **)parts->pdata);
}
