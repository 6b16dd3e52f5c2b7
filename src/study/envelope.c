/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/envelope.h"

#include "geom/cut_passed.h"
#include "study/blend.h"

#include <math.h>

/* Poses of all cells' corners together: a second of one processor for a long duct. */
#define MOST_POSES 2048

/* ---- who moves ---- */

TbEnvelopeKind
tb_envelope_of(const TbStand *stand, size_t item, TbMove *move)
{
    TbFault fault = {0};

    *move = (TbMove){.motion = {.count = 0}};
    if (stand->items[item].item == NULL)
        return TB_ENVELOPE_NONE;
    if (tb_blend_rides_on_two(stand, item))
        return TB_ENVELOPE_BLENDS;
    if (tb_moves_alone(stand, item, move, &fault) != TB_OK)
        return TB_ENVELOPE_MANY;
    if (move->motion.count > TB_ENVELOPE_FREEDOMS)
        return TB_ENVELOPE_MANY;
    return move->motion.count == 0 ? TB_ENVELOPE_NONE : TB_ENVELOPE_DRAWN;
}

/* ---- cells ---- */

typedef struct EnvelopeInput {
    TbSolid *solid;
    TbMotion motion;
    TbPlane plane;
} EnvelopeInput;

static void
input_free(gpointer data)
{
    EnvelopeInput *input = data;

    tb_solid_unref(input->solid);
    g_free(input);
}

/* Steps of a turn, so that neither its arcs leave their chords by more than half of the step nor
 * the hull of two places what is between by more than the other half. Shifts need none. */
static double
steps_of(const EnvelopeInput *input, int freedom, TbBox3 box, double size)
{
    const TbFreedom *f = &input->motion.freedom[freedom];
    double radius = tb_box3_diagonal(box) / 2, range = f->high - f->low;
    double rho;

    if (f->kind == TB_FREEDOM_SHIFT || range <= 0)
        return 1;
    rho = tb_motion_speed(&input->motion, freedom, tb_box3_centre(box), radius);
    return fmax(
        1, ceil(range * fmax(size / (2 * TB_ENVELOPE_STEP), sqrt(rho / (4 * TB_ENVELOPE_STEP)))));
}

/* How many steps each freedom is cut into; fewer where all together would be too many. */
static void
set_steps(const EnvelopeInput *input, int steps[TB_ENVELOPE_FREEDOMS])
{
    TbBox3 box = tb_solid_box(input->solid);
    double size = tb_cut_passed_size(input->solid);
    double want[TB_ENVELOPE_FREEDOMS];
    double poses = (double)(1 << input->motion.count), share = 1;
    int turns = 0;

    for (int i = 0; i < input->motion.count; i++) {
        want[i] = steps_of(input, i, box, size);
        poses *= want[i];
        turns += want[i] > 1;
    }
    if (poses > MOST_POSES)
        share = pow(MOST_POSES / poses, 1.0 / turns);
    for (int i = 0; i < input->motion.count; i++)
        steps[i] = (int)fmax(1, floor(share * want[i]));
}

/* Poses at the corners of all cells. */
static TbPose *
make_poses(const EnvelopeInput *input, TbPassing *passing)
{
    int count = input->motion.count, steps[TB_ENVELOPE_FREEDOMS] = {0};
    TbPose *pose;

    set_steps(input, steps);
    passing->corners = (size_t)1 << count;
    passing->cells = 1;
    for (int i = 0; i < count; i++)
        passing->cells *= (size_t)steps[i];
    pose = g_new(TbPose, passing->cells * passing->corners);
    for (size_t c = 0; c < passing->cells; c++)
        for (size_t k = 0; k < passing->corners; k++) {
            double q[TB_MOTION_MOST] = {0};
            size_t rest = c;

            for (int i = 0; i < count; i++) {
                const TbFreedom *f = &input->motion.freedom[i];
                size_t at = rest % (size_t)steps[i] + (k >> i & 1);

                q[i] = f->low + (f->high - f->low) * (double)at / steps[i];
                rest /= (size_t)steps[i];
            }
            pose[c * passing->corners + k] = tb_motion_pose(&input->motion, q);
        }
    passing->pose = pose;
    return pose;
}

/* ---- the outline ---- */

static void
seen_free(gpointer data)
{
    TbSeen *seen = data;

    tb_cut_clear(&seen->cut);
    g_free(seen);
}

static TbStatus
make_envelope(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const EnvelopeInput *input = data;
    g_autofree TbPose *poses = NULL;
    TbPassing passing;
    TbSeen *seen;
    TbStatus status;

    if (tb_task_is_cancelled(task))
        return tb_fail(fault, TB_E_CANCELLED, "stopped while drawing envelopes");
    poses = make_poses(input, &passing);
    seen = g_new0(TbSeen, 1);
    status = tb_cut_add_passed(&seen->cut, input->solid, &passing, input->plane, TB_ENVELOPE_CHORD,
                               &seen->fault);
    if (status == TB_E_MEMORY) {
        *fault = seen->fault;
        seen_free(seen);
        return status;
    }
    *value = seen;
    return TB_OK;
}

static const TbSort sort_envelope = {
    .what = "envelopes", .make = make_envelope, .free_value = seen_free, .free_input = input_free};

TbEntry *
tb_envelope_need(TbCache *cache, const TbEntry *form, const TbMotion *motion, TbPlane plane)
{
    EnvelopeInput *input = g_new0(EnvelopeInput, 1);
    TbKey *key = tb_key_new(form->serial);

    input->solid = tb_solid_ref(((const TbForm *)form->value)->solid);
    input->motion = *motion;
    input->plane = plane;
    tb_key_add_vec3(key, plane.origin);
    tb_key_add_vec3(key, plane.u);
    tb_key_add_vec3(key, plane.v);
    for (int i = 0; i < motion->count; i++) {
        tb_key_add_word(key, motion->freedom[i].kind);
        tb_key_add_vec3(key, motion->freedom[i].point);
        tb_key_add_vec3(key, motion->freedom[i].direction);
        tb_key_add_number(key, motion->freedom[i].low);
        tb_key_add_number(key, motion->freedom[i].high);
    }
    return tb_cache_need(cache, key, &sort_envelope, input, NULL);
}
