/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"
#include "study/opening.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* Two ports of a joint meet within these, besides what the joint is free to move. */
#define PLACE_LIMIT 0.5 /* mm: a gasket */
#define TURN_LIMIT 1.0  /* deg */
#define STEP_LIMIT 1.0  /* mm of outline */
#define STEP_MARGIN 0.5 /* mm */

/* What is measured of a joint in one variant. */
typedef struct Meeting {
    bool known;
    double distance, turn, step;
    TbVec3 point;
    const char *port[2]; /* names, lent by the bay */
} Meeting;

static Meeting
meet(const TbStand *stand, const TbJoint *joint)
{
    const TbPort *a = tb_bay_port(stand->bay, joint->a), *b = tb_bay_port(stand->bay, joint->b);
    TbPortPlace at_a, at_b;
    Meeting meeting = {0};
    double turn;

    if (a == NULL || b == NULL || a == b ||
        tb_bay_port_place(stand->bay, stand->variant, joint->a, &at_a, NULL) != TB_OK ||
        tb_bay_port_place(stand->bay, stand->variant, joint->b, &at_b, NULL) != TB_OK)
        return meeting;
    meeting.known = true;
    meeting.point = at_a.point;
    meeting.distance = tb_vec3_distance(at_a.point, at_b.point);
    turn = atan2(tb_vec3_length(tb_vec3_cross(at_a.flow, at_b.flow)),
                 tb_vec3_dot(at_a.flow, at_b.flow));
    /* Gas ports point along the gas on both sides; lines and hand-made ports may face each other.
     */
    meeting.turn = fmin(turn, M_PI - turn) * 180 / M_PI;
    meeting.step = tb_opening_step(a, at_a, b, at_b);
    meeting.port[0] = tb_check_port_name(a);
    meeting.port[1] = tb_check_port_name(b);
    return meeting;
}

static bool
same_meeting(const Meeting *a, const Meeting *b)
{
    return a->known == b->known && a->distance == b->distance && a->turn == b->turn &&
           (a->step == b->step || (isnan(a->step) && isnan(b->step)));
}

static void
add(const TbJoint *joint,
    TbResults *results,
    const char *variant,
    const char *rule,
    double value,
    double limit,
    double margin,
    const char *unit,
    const Meeting *m)
{
    TbFindingDef def = tb_finding_def(rule, joint->record.id);
    TbFinding *finding;

    if (isnan(value))
        return;
    def.variant = variant;
    def.place.point = m->point;
    def.value = value;
    def.limit = limit;
    def.margin = limit - value;
    def.unit = unit;
    def.level = tb_check_below(value, limit, margin);
    def.basis = N_("the two ports of a joint against each other; a rule of practice");
    finding = tb_results_add_finding(results, &def);
    tb_finding_add_text(results, finding, "port_a", m->port[0]);
    tb_finding_add_text(results, finding, "port_b", m->port[1]);
}

static void
add_meeting(const TbJoint *joint, TbResults *results, const char *variant, const Meeting *m)
{
    if (!m->known)
        return;
    add(joint, results, variant, "joint-place", m->distance,
        PLACE_LIMIT + tb_vec3_length(joint->free_shift), 0, "mm", m);
    add(joint, results, variant, "joint-direction", m->turn,
        TURN_LIMIT + tb_vec3_length(joint->free_turn), 0, "deg", m);
    add(joint, results, variant, "joint-step", m->step, STEP_LIMIT, STEP_MARGIN, "mm", m);
}

/* Threads of two standards screw part-way into each other and leak. */
static void
judge_threads(const TbBay *bay, const TbJoint *joint, TbResults *results)
{
    const TbPort *a = tb_bay_port(bay, joint->a), *b = tb_bay_port(bay, joint->b);
    TbFindingDef def = tb_finding_def("joint-thread", joint->record.id);
    TbFinding *finding;
    bool same;

    if (a == NULL || b == NULL || a == b || a->thread_standard == NULL ||
        b->thread_standard == NULL)
        return;
    same = g_strcmp0(a->thread_standard, b->thread_standard) == 0 &&
           g_strcmp0(a->thread_size, b->thread_size) == 0;
    def.level = same ? TB_LEVEL_HOLDS : TB_LEVEL_SHORT;
    def.basis = N_("threads at both sides of a joint are of one standard and size");
    finding = tb_results_add_finding(results, &def);
    tb_finding_add_text(results, finding, "port_a", tb_check_port_name(a));
    tb_finding_add_text(results, finding, "port_b", tb_check_port_name(b));
    tb_finding_add_text(results, finding, "standard_a", a->thread_standard);
    tb_finding_add_text(results, finding, "size_a", a->thread_size);
    tb_finding_add_text(results, finding, "standard_b", b->thread_standard);
    tb_finding_add_text(results, finding, "size_b", b->thread_size);
}

static void
judge(const TbCase *theirs, const TbJoint *joint, TbResults *results)
{
    size_t states = theirs->count / theirs->variants;
    g_autofree Meeting *meetings = g_new0(Meeting, theirs->variants);
    bool same = true;

    for (size_t v = 0; v < theirs->variants; v++) {
        meetings[v] = meet(theirs->stands[v * states].stand, joint);
        same = same && same_meeting(&meetings[v], &meetings[0]);
    }
    for (size_t v = 0; v < (same ? 1 : theirs->variants); v++)
        add_meeting(joint, results, same ? "" : theirs->stands[v * states].stand->variant_id,
                    &meetings[v]);
    judge_threads(theirs->bay, joint, results);
}

void
tb_check_joint(const TbCase *theirs, TbResults *results)
{
    for (size_t i = 0; i < tb_bay_count(theirs->bay, TB_LIST_JOINTS); i++)
        judge(theirs, tb_bay_joint_at(theirs->bay, i), results);
}
