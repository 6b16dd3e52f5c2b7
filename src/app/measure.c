/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/measure.h"

#include "base/quantity.h"

#include <glib/gi18n.h>
#include <math.h>

#define DEG (180 / G_PI)

/* deg. Edges nearer to parallel than this have a distance rather than an angle: outlines are drawn
 * to a thousandth of a millimetre, which is this over 10 mm. */
#define PARALLEL 0.01

TbMeasuring *
tb_measuring_new(void)
{
    return g_new0(TbMeasuring, 1);
}

void
tb_measuring_clear(TbMeasuring *measuring)
{
    for (int i = 0; i < 2; i++) {
        g_clear_pointer(&measuring->picks[i].item, g_free);
        g_clear_pointer(&measuring->picks[i].label, g_free);
    }
    measuring->count = 0;
    measuring->has_aim = false;
}

void
tb_measuring_free(TbMeasuring *measuring)
{
    if (measuring == NULL)
        return;
    tb_measuring_clear(measuring);
    g_free(measuring);
}

void
tb_measuring_pick(TbMeasuring *measuring, TbPlane plane, const TbPick *pick)
{
    TbPick *mine;

    if (measuring->count == 2)
        tb_measuring_clear(measuring);
    mine = &measuring->picks[measuring->count++];
    *mine = *pick;
    mine->item = g_strdup(pick->item);
    mine->label = g_strdup(pick->label);
    measuring->plane = plane;
    measuring->has_aim = false;
}

void
tb_measuring_aim(TbMeasuring *measuring, TbPlane plane, TbVec3 at)
{
    measuring->aim = at;
    measuring->has_aim = measuring->count == 1;
    if (measuring->count == 1)
        measuring->plane = plane;
}

bool
tb_measuring_wants_gap(const TbMeasuring *measuring)
{
    return measuring->count == 2 && measuring->picks[0].kind == TB_PICK_ITEM &&
           measuring->picks[1].kind == TB_PICK_ITEM &&
           g_strcmp0(measuring->picks[0].item, measuring->picks[1].item) != 0;
}

static bool
fits(const char *wanted, const char *there)
{
    return wanted == NULL || g_strcmp0(wanted, there) == 0;
}

const TbResultGap *
tb_measuring_gap(
    const TbResults *results, const char *a, const char *b, const char *state, const char *variant)
{
    for (size_t i = 0; results != NULL && i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];
        bool same = (g_strcmp0(gap->a, a) == 0 && g_strcmp0(gap->b, b) == 0) ||
                    (g_strcmp0(gap->a, b) == 0 && g_strcmp0(gap->b, a) == 0);

        if (same && fits(state, gap->state) && fits(variant, gap->variant))
            return gap;
    }
    return NULL;
}

/* ---- telling ---- */

static void
write_length(double mm, TbLengthUnit unit, char text[TB_TEXT_NUMBER])
{
    tb_length_write(mm, unit, 1, text);
}

/* The distance, its parts along the vehicle's axes, and its angle on the view. */
static void
tell_points(const TbMeasuring *measuring, TbVec3 a, TbVec3 b, TbLengthUnit unit, TbMeasured *told)
{
    TbVec3 d = tb_vec3_sub(b, a);
    TbVec2 seen = {tb_vec3_dot(d, measuring->plane.u), tb_vec3_dot(d, measuring->plane.v)};
    char length[TB_TEXT_NUMBER], x[TB_TEXT_NUMBER], y[TB_TEXT_NUMBER], z[TB_TEXT_NUMBER];
    char angle[TB_TEXT_NUMBER];

    *told = (TbMeasured){.is = true, .a = a, .b = b};
    write_length(tb_vec3_length(d), unit, length);
    write_length(d.x, unit, x);
    write_length(d.y, unit, y);
    write_length(d.z, unit, z);
    tb_text_shown(atan2(seen.y, seen.x) * DEG, 1, angle);
    g_strlcpy(told->label, length, sizeof told->label);
    /* Translators: a distance with its unit, its parts along the axes, its angle on the view */
    g_snprintf(told->text, sizeof told->text, _("%s %s (X %s, Y %s, Z %s), at %s° in this view"),
               length, tb_length_unit_name(unit), x, y, z, angle);
}

/* Square from a point to a line; both as the view shows them. */
static void
tell_point_edge(const TbMeasuring *measuring,
                TbVec3 point,
                const TbPick *edge,
                TbLengthUnit unit,
                TbMeasured *told)
{
    TbVec3 n = measuring->plane.n;
    TbVec3 off = tb_vec3_sub(point, edge->at);
    TbVec3 foot;
    char length[TB_TEXT_NUMBER];

    off = tb_vec3_add_scaled(off, -tb_vec3_dot(off, n), n);
    foot = tb_vec3_add_scaled(edge->at, tb_vec3_dot(off, edge->along), edge->along);
    *told = (TbMeasured){
        .is = true,
        .a = tb_vec3_add_scaled(point, tb_vec3_dot(tb_vec3_sub(edge->at, point), n), n),
        .b = foot};
    write_length(tb_vec3_distance(told->a, foot), unit, length);
    g_strlcpy(told->label, length, sizeof told->label);
    g_snprintf(told->text, sizeof told->text, _("%s %s square to the %s, in this view"), length,
               tb_length_unit_name(unit), edge->label);
}

static void
tell_edges(const TbMeasuring *measuring, TbLengthUnit unit, TbMeasured *told)
{
    const TbPick *a = &measuring->picks[0], *b = &measuring->picks[1];
    double angle = atan2(tb_vec3_length(tb_vec3_cross(a->along, b->along)),
                         fabs(tb_vec3_dot(a->along, b->along))) *
                   DEG;
    char text[TB_TEXT_NUMBER];

    if (angle < PARALLEL) {
        tell_point_edge(measuring, a->at, b, unit, told);
        return;
    }
    *told = (TbMeasured){.is = true, .a = a->at, .b = b->at};
    tb_text_shown(angle, 1, text);
    g_snprintf(told->label, sizeof told->label, "%s°", text);
    g_snprintf(told->text, sizeof told->text, _("%s° between the %s and the %s"), text, a->label,
               b->label);
}

static void
tell_gap(const TbMeasuring *measuring, const TbResultGap *gap, TbLengthUnit unit, TbMeasured *told)
{
    char lower[TB_TEXT_NUMBER], upper[TB_TEXT_NUMBER];

    *told = (TbMeasured){.is = true, .a = measuring->picks[0].at, .b = measuring->picks[1].at};
    if (gap == NULL || gap->gap.nothing) {
        told->is = false;
        g_snprintf(told->text, sizeof told->text,
                   gap == NULL ? _("measuring the gap from %s to %s ...")
                               : _("there is no gap from %s to %s to be measured"),
                   measuring->picks[0].label, measuring->picks[1].label);
        return;
    }
    told->a = gap->gap.point_a;
    told->b = gap->gap.point_b;
    /* an interval is told to a hundredth: it is certified to that */
    tb_gap_write(gap->gap.lower, unit, 2, lower);
    tb_gap_write_end(gap->gap.upper, unit, 2, upper);
    g_strlcpy(told->label, lower, sizeof told->label);
    g_snprintf(told->text, sizeof told->text, _("gap from %s to %s: between %s and %s %s"),
               measuring->picks[0].label, measuring->picks[1].label, lower, upper,
               tb_length_unit_name(unit));
}

TbMeasured
tb_measuring_tell(const TbMeasuring *measuring, const TbResultGap *gap, TbLengthUnit unit)
{
    const TbPick *a = &measuring->picks[0], *b = &measuring->picks[1];
    TbMeasured told = {0};

    if (measuring->count == 0 || (measuring->count == 1 && !measuring->has_aim))
        return told;
    if (measuring->count == 1) {
        if (a->kind == TB_PICK_EDGE)
            tell_point_edge(measuring, measuring->aim, a, unit, &told);
        else
            tell_points(measuring, a->at, measuring->aim, unit, &told);
    } else if (tb_measuring_wants_gap(measuring)) {
        tell_gap(measuring, gap, unit, &told);
    } else if (a->kind == TB_PICK_EDGE && b->kind == TB_PICK_EDGE) {
        tell_edges(measuring, unit, &told);
    } else if (a->kind == TB_PICK_EDGE || b->kind == TB_PICK_EDGE) {
        bool first = a->kind == TB_PICK_EDGE;

        tell_point_edge(measuring, first ? b->at : a->at, first ? a : b, unit, &told);
    } else {
        tell_points(measuring, a->at, b->at, unit, &told);
    }
    return told;
}

const char *
tb_measuring_hint(const TbMeasuring *measuring)
{
    return measuring->count == 1
               ? _("Measure: click the second point, edge or item; with Shift the item as a whole")
               : _("Measure: click a point, edge or item; with Shift the item as a whole");
}
