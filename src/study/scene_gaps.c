/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/scene_cut_private.h"

#include "geom/tol.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* Gaps told in a note: one line. */
#define MOST_TOLD 5

/* A gap drawn shorter than this share of its length runs into the paper: its end would hang in the
 * air beside what it means, and it is told in a note instead. Across a path neighbours run
 * through the paper at all angles, so there it must lie nearly flat. */
#define FLAT_ENOUGH 0.75
#define FLAT_ENOUGH_ACROSS 0.93

/* mm. An end this far before the plane is cut away: no use pointing at it. */
#define CUT_AWAY 12.0

/* mm. Gaps this far above their keep are neither dimensioned nor told. */
#define GAP_FAR 45.0

/* ---- which gaps ---- */

typedef struct Candidate {
    const char *a, *b;
    TbVec3 point_a, point_b;
    double gap, keep, margin;
    TbLevel level;
} Candidate;

/* The worst first; of equals the first of the document. */
static int
by_margin(const void *a, const void *b)
{
    const Candidate *one = a, *two = b;

    return (one->margin > two->margin) - (one->margin < two->margin);
}

/* True where both things are on the drawing. */
static bool
is_drawn(const TbScene *scene, const char *id)
{
    for (size_t i = 0; i < scene->shape_count; i++)
        if (strcmp(scene->shapes[i].tag, id) == 0)
            return true;
    return false;
}

static bool
is_inside(const TbScene *scene, TbVec2 p)
{
    return p.x >= scene->low.x && p.x <= scene->high.x && p.y >= scene->low.y &&
           p.y <= scene->high.y;
}

/* Whether a dimension would show what it means. */
static bool
is_seen(const TbPlot *plot, const Candidate *candidate)
{
    const TbScene *scene = plot->scene;
    TbVec2 a = tb_plane_project(scene->plane, candidate->point_a);
    TbVec2 b = tb_plane_project(scene->plane, candidate->point_b);
    double flat = plot->across ? FLAT_ENOUGH_ACROSS : FLAT_ENOUGH;

    return is_inside(scene, a) && is_inside(scene, b) && is_drawn(scene, candidate->a) &&
           is_drawn(scene, candidate->b) &&
           tb_plane_height(scene->plane, candidate->point_a) <= CUT_AWAY &&
           tb_plane_height(scene->plane, candidate->point_b) <= CUT_AWAY &&
           tb_vec2_length(tb_vec2_sub(a, b)) >= flat * fabs(candidate->gap);
}

/* What is at tolerance is told as it was judged: its tolerances are not drawn. */
static void
tell_judged(const TbPlot *plot, Candidate *candidate)
{
    const TbResultGap *pose = plot->stand->pose;

    if (!plot->stand->condition->scatters)
        return;
    candidate->gap = pose->gap.lower;
    candidate->margin = pose->margin;
    candidate->level = pose->level;
}

/* Smallest gaps of the subjects; at a pose the one that it is of. */
static void
find_gaps(const TbPlot *plot, GArray *candidates)
{
    const TbCaseStand *in = plot->in;

    for (guint i = 0; i < in->pairs->len; i++) {
        const TbPair *pair = in->pairs->pdata[i];
        TbGap gap;
        const char *reason;
        Candidate candidate;

        if (!tb_case_gap(in, i, &gap) || gap.upper > pair->gap + GAP_FAR ||
            (plot->stand->pose == NULL && !tb_plot__is_subject(plot, pair->a) &&
             !tb_plot__is_subject(plot, pair->b)))
            continue;
        candidate = (Candidate){.a = plot->stand->items[pair->a].id,
                                .b = plot->stand->items[pair->b].id,
                                .point_a = gap.point_a,
                                .point_b = gap.point_b,
                                .gap = gap.lower,
                                .keep = pair->gap,
                                .margin = gap.lower - pair->gap,
                                .level = tb_keeps_level(&gap, pair->gap, pair->want, &reason)};
        if (plot->stand->pose != NULL)
            tell_judged(plot, &candidate);
        g_array_append_val(candidates, candidate);
    }
}

/* Nothing of the solid is near enough to the section to be told. */
static bool
is_far(const TbPlot *plot, const TbSolid *other, double keep)
{
    double near = keep + GAP_FAR + tb_slice_reach(&plot->disc.slice, true);

    return tb_box3_point_distance2(tb_solid_box(other), plot->disc.centre) > near * near;
}

/* Across a path: this one section against each neighbour. */
static TbStatus
find_section_gaps(const TbPlot *plot, GArray *candidates, TbTask *task, TbFault *fault)
{
    const TbForm *form = tb_placed_form(&plot->stand->items[plot->item]);
    double station = plot->disc.station;

    for (guint i = 0; i < plot->in->pairs->len; i++) {
        const TbPair *pair = plot->in->pairs->pdata[i];
        size_t other = pair->a == plot->item ? pair->b : pair->a;
        const TbForm *others = tb_placed_form(&plot->stand->items[other]);
        TbProfileAsk ask = {.sweep = form->sweep,
                            .other = others->solid,
                            .stations = &station,
                            .count = 1,
                            .width = TB_GAP_WIDTH,
                            .leave_out = pair->leave_out,
                            .leave_out_count = pair->leave_count};
        TbProfilePoint point;
        TbStatus status;
        TbGap gap = {0};
        const char *reason;
        Candidate candidate;

        if ((pair->a != plot->item && pair->b != plot->item) || others->solid == NULL ||
            is_far(plot, others->solid, pair->gap))
            continue;
        status = tb_profile(&ask, task, &point, fault);
        if (status != TB_OK)
            return status;
        if (point.left_out || point.upper > pair->gap + GAP_FAR)
            continue;
        gap.lower = point.lower;
        gap.upper = point.upper;
        candidate = (Candidate){.a = plot->stand->items[plot->item].id,
                                .b = plot->stand->items[other].id,
                                .point_a = point.point_a,
                                .point_b = point.point_b,
                                .gap = point.lower,
                                .keep = pair->gap,
                                .margin = point.lower - pair->gap,
                                .level = tb_keeps_level(&gap, pair->gap, pair->want, &reason)};
        g_array_append_val(candidates, candidate);
    }
    return TB_OK;
}

/* A section of nominal parts has no gap that a keep at tolerance is held by: what is judged stands
 * beside it. */
static bool
is_nominal(const TbPlot *plot)
{
    return plot->across && plot->stand->condition->scatters;
}

/* ---- on the drawing and beside it ---- */

static void
add_gap(TbScene *scene, const Candidate *candidate)
{
    scene->gaps[scene->gap_count++] =
        (TbSceneGap){.tag_a = g_strdup(candidate->a),
                     .tag_b = g_strdup(candidate->b),
                     .a = tb_plane_project(scene->plane, candidate->point_a),
                     .b = tb_plane_project(scene->plane, candidate->point_b),
                     .height_a = tb_plane_height(scene->plane, candidate->point_a),
                     .height_b = tb_plane_height(scene->plane, candidate->point_b),
                     .gap = candidate->gap,
                     .keep = candidate->keep,
                     .level = candidate->level};
}

/* A gap that the drawing cannot show: its neighbour, value and keep. */
static void
tell_gap(const TbPlot *plot, const Candidate *candidate, GString *text)
{
    size_t a = tb_stand_find(plot->stand, candidate->a);
    size_t other = tb_plot__is_subject(plot, a) ? tb_stand_find(plot->stand, candidate->b) : a;
    g_autofree char *gap = tb_scene_gap(candidate->gap, candidate->keep, plot->scene->unit);

    g_string_append_printf(text, "%s%s %s", text->len == 0 ? "" : "; ",
                           tb_placed_name(&plot->stand->items[other]), gap);
}

/* What the gaps are that the drawing cannot show. */
static char *
tell_unseen(const TbPlot *plot, const char *gaps)
{
    const char *unit = tb_length_unit_name(plot->scene->unit);

    if (is_nominal(plot))
        /* Translators: their unit, then neighbours with gap and keep */
        return g_strdup_printf(_("Worst case at tolerance, of the whole path (gap / keep, %s): %s"),
                               unit, gaps);
    return g_strdup_printf(plot->across ? _("Nearest outside this plane (gap / keep, %s): %s")
                                        : _("Gaps elsewhere (gap / keep, %s): %s"),
                           unit, gaps);
}

TbStatus
tb_plot__add_gaps(TbPlot *plot, TbTask *task, TbFault *fault)
{
    g_autoptr(GArray) candidates = g_array_new(FALSE, TRUE, sizeof(Candidate));
    g_autoptr(GString) unseen = g_string_new(NULL);
    const char *unit = tb_length_unit_name(plot->scene->unit);
    size_t told = 0;
    TbStatus status = TB_OK;

    if (plot->across && !is_nominal(plot))
        status = find_section_gaps(plot, candidates, task, fault);
    else
        find_gaps(plot, candidates);
    if (status != TB_OK)
        return status;
    g_array_sort(candidates, by_margin);
    plot->scene->gaps = g_new0(TbSceneGap, TB_PLOT_GAPS + TB_PLOT_FLAT_GAPS);
    for (guint i = 0; i < candidates->len; i++) {
        const Candidate *candidate = &g_array_index(candidates, Candidate, i);

        if (!is_nominal(plot) && is_seen(plot, candidate) && plot->scene->gap_count < TB_PLOT_GAPS)
            add_gap(plot->scene, candidate);
        else if (told++ < MOST_TOLD)
            tell_gap(plot, candidate, unseen);
    }
    if (plot->scene->gap_count > 0)
        tb_plot__note(plot->scene,
                      g_strdup_printf(_("Dimensions: gap / keep, %s, rounded down"), unit));
    if (unseen->len > 0)
        tb_plot__note(plot->scene, tell_unseen(plot, unseen->str));
    return TB_OK;
}

void
tb_plot__note_left_out(TbPlot *plot)
{
    g_autoptr(GHashTable) said = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    g_autoptr(GString) text = g_string_new(NULL);

    for (guint i = 0; i < plot->in->pairs->len; i++) {
        const TbPair *pair = plot->in->pairs->pdata[i];

        if (!tb_plot__is_subject(plot, pair->a) && !tb_plot__is_subject(plot, pair->b))
            continue;
        for (size_t k = 0; k < pair->leave_count; k++) {
            g_autofree char *radius = tb_scene_quantity(pair->leave_out[k].radius,
                                                        TB_QUANTITY_LENGTH, plot->scene->unit, 0);
            char *one = g_strdup_printf(_("%s about port %s"), radius, pair->leave_port[k]);

            if (g_hash_table_contains(said, one)) {
                g_free(one);
                continue;
            }
            g_string_append_printf(text, "%s%s", text->len == 0 ? "" : ", ", one);
            g_hash_table_add(said, one);
        }
    }
    if (text->len > 0)
        tb_plot__note(plot->scene,
                      g_strdup_printf(_("Gaps leave out pairs that join within %s"), text->str));
}
