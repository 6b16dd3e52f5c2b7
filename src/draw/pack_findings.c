/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/charts.h"
#include "draw/pack_views.h"
#include "draw/scatter_view.h"
#include "draw/sheet.h"
#include "geom/plane.h"
#include "study/posed.h"
#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* One sheet for each gap that is short or to be watched: two cuts square to each other through the
 * points where it is measured, at a large scale; the gap along the station; what it is about. */

/** Of the room's height: the two cuts. */
#define CUTS_SHARE 0.58

/** The same where tolerances are shown too. */
#define CUTS_SHARE_SCATTER 0.42

/** mm of paper between blocks. */
#define APART 5.0

/** Of the room's width: the words beside the chart. */
#define WORDS_SHARE 0.38

/** mm of paper that the gap itself should be long, so that it can be measured with a rule. */
#define GAP_ON_PAPER 8.0

/** mm. A gap shorter than this has no direction of its own: the cuts then stand as the vehicle. */
#define NO_DIRECTION 1e-3

/** A sheet: the first of a finding has its drawings, further ones the rest of its words, the last
 * one what tolerances do where the first has no room for it. */
typedef struct Leaf {
    const TbDossierFinding *finding; /**< lent by the dossier */
    size_t part;
    bool beside; /**< what tolerances do stands on the first sheet */
    bool scatter;
} Leaf;

typedef struct Own {
    GArray *leaves; /**< of Leaf */
} Own;

static bool
is_point(TbVec3 p)
{
    return isfinite(p.x) && isfinite(p.y) && isfinite(p.z);
}

/* ---- the two planes ---- */

/** The duct or line among the two whose path the place is on; NULL: neither has one. */
static const TbResultDuct *
path_of(const TbDossier *dossier, const TbResultGap *gap, double *station)
{
    const TbSite *sites[] = {&gap->gap.site_a, &gap->gap.site_b};
    const char *ids[] = {gap->a, gap->b};
    const TbResultDuct *best = NULL;

    for (int s = 0; s < 2; s++) {
        const TbResultDuct *duct = tb_results_duct(dossier->results, ids[s]);

        if (!sites[s]->on_sweep || duct == NULL || duct->row_count == 0 ||
            (best != NULL && (duct->is_line || !best->is_line)))
            continue;
        best = duct;
        *station = sites[s]->station;
    }
    return best;
}

static TbVec3
tangent_at(const TbResultDuct *duct, double station)
{
    size_t best = 0;

    for (size_t i = 0; i < duct->row_count; i++)
        if (fabs(duct->rows[i].station - station) < fabs(duct->rows[best].station - station))
            best = i;
    return duct->rows[best].tangent;
}

/** Directions of look of both cuts: square to the gap and to each other, the first also square to
 * the path, so that it shows the path's length; the second runs along it. */
static void
looks_of(const TbDossier *dossier, const TbResultGap *gap, TbVec3 look[2])
{
    double station = 0;
    const TbResultDuct *duct = path_of(dossier, gap, &station);
    TbVec3 across = tb_vec3_sub(gap->gap.point_b, gap->gap.point_a);
    TbVec3 along = duct == NULL ? (TbVec3){1, 0, 0} : tangent_at(duct, station);

    if (tb_vec3_length(across) < NO_DIRECTION)
        across = (TbVec3){0, 0, 1};
    across = tb_vec3_unit(across);
    look[0] = tb_vec3_cross(across, along);
    /* the gap runs along the path: any direction square to it does */
    if (tb_vec3_length(look[0]) < 0.1 * tb_vec3_length(along))
        look[0] =
            tb_vec3_cross(across, fabs(across.z) < 0.9 ? (TbVec3){0, 0, 1} : (TbVec3){1, 0, 0});
    look[0] = tb_vec3_unit(look[0]);
    look[1] = tb_vec3_cross(look[0], across);
}

/** The largest standard ratio at which both parts still show about the gap. */
static double
ratio_of(const TbResultGap *gap)
{
    static const double series[] = {1, 2, 5, 10};
    double ratio = series[0];

    for (size_t i = 0; i < G_N_ELEMENTS(series); i++) {
        ratio = series[i];
        if (fabs(gap->gap.upper) * ratio >= GAP_ON_PAPER)
            break;
    }
    return ratio;
}

/* ---- drawing ---- */

static TbStatus
draw_cut(const TbPackChapter *chapter,
         const TbResultGap *gap,
         TbVec3 look,
         const char *title,
         TbRectangle place,
         TbPicture *picture,
         TbTask *task,
         TbFault *fault)
{
    TbVec3 middle = tb_vec3_scale(tb_vec3_add(gap->gap.point_a, gap->gap.point_b), 0.5);
    TbSight sight = tb_sight_onto(middle, look);
    TbDossierCut cut = {.view = TB_SCENE_FREE,
                        .point = sight.point,
                        .look = sight.look,
                        .up = sight.up,
                        .state = gap->state,
                        .variant = gap->variant,
                        .pose = gap};
    double ratio = ratio_of(gap);
    TbScene *scene = NULL;
    TbStatus status = tb_dossier_cut(chapter->dossier, &cut, task, &scene, fault);

    if (status == TB_OK) {
        TbVec2 half = tb_vec2_scale(tb_vec2_sub(place.high, place.low), 0.5 / ratio);
        TbVec2 at = tb_plane_project(scene->plane, middle);
        TbSceneGap shown_gap = tb_pack__gap(scene, gap);
        TbScene shown = tb_pack__window(scene, tb_vec2_sub(at, half), tb_vec2_add(at, half));

        shown.gaps = &shown_gap;
        shown.gap_count = 1;
        tb_pack__view(picture, &shown, title, place, ratio, chapter->measurer);
    }
    tb_scene_unref(scene);
    return status;
}

static TbStatus
draw_cuts(const TbPackChapter *chapter,
          const TbResultGap *gap,
          TbRectangle room,
          TbPicture *picture,
          TbTask *task,
          TbFault *fault)
{
    double middle = (room.low.x + room.high.x) / 2;
    TbRectangle left = {room.low, {middle - APART / 2, room.high.y}};
    TbRectangle right = {{middle + APART / 2, room.low.y}, room.high};
    TbVec3 look[2];
    TbStatus status;

    looks_of(chapter->dossier, gap, look);
    status = draw_cut(chapter, gap, look[0], _("Through both points, along the path"), left,
                      picture, task, fault);
    if (status == TB_OK)
        status = draw_cut(chapter, gap, look[1], _("Through both points, square to the first cut"),
                          right, picture, task, fault);
    return status;
}

static TbStatus
draw_profile(const TbPackChapter *chapter,
             const TbResultGap *gap,
             TbRectangle room,
             TbPicture *picture,
             TbTask *task,
             TbFault *fault)
{
    static const char *const charts[] = {"gap", NULL};
    double station = 0;
    const TbResultDuct *duct = path_of(chapter->dossier, gap, &station);
    TbSceneStrip *strip = NULL;
    TbStatus status;

    if (duct == NULL)
        return TB_OK;
    status = tb_dossier_strip(chapter->dossier, duct->id, gap->state, gap->variant, false, task,
                              &strip, fault);
    if (status == TB_OK)
        tb_charts_into(picture, strip, charts, room, chapter->measurer);
    tb_scene_strip_unref(strip);
    return status;
}

/** Of a gap at tolerance below its profile: what contributes, and the samples. */
static void
draw_scatter(const TbPackChapter *chapter,
             const TbResultGap *gap,
             TbRectangle room,
             TbPicture *picture)
{
    TbSceneScatter *scene = tb_scene_scatter_new(chapter->dossier->results, gap, TB_UNIT_MM);

    tb_scatter_into(picture, scene, room, chapter->measurer);
    tb_scene_scatter_free(scene);
}

static void
put_numbers(TbFlow *flow, const TbResultGap *gap)
{
    g_autoptr(GString) lower = g_string_new(NULL);
    g_autoptr(GString) upper = g_string_new(NULL);
    g_autoptr(GString) keep = g_string_new(NULL);
    g_autofree char *line = NULL;

    tb_dossier_gap_number(gap->gap.lower, lower);
    tb_dossier_gap_end(gap->gap.upper, upper);
    tb_dossier_keep_number(gap->keep, keep);
    if (isnan(gap->keep))
        line = g_strdup_printf(_("Gap %s … %s mm"), lower->str, upper->str);
    else
        line = g_strdup_printf(_("Gap %s … %s mm, keep %s mm"), lower->str, upper->str, keep->str);
    tb_flow_text(flow, line, (TbTextStyle){.size = TB_PT_HEAD, .ink = TB_INK_INK});
}

/** "engine rx 2.5 deg, engine ty 3.0 mm" */
static void
put_motion(TbFlow *flow, const TbResultGap *gap)
{
    g_autoptr(GString) line = g_string_new(NULL);

    for (size_t i = 0; i < gap->move_count; i++) {
        const TbResultMove *move = &gap->moves[i];

        g_string_append_printf(line, "%s%s %s ", i > 0 ? ", " : "", move->mount, move->freedom);
        tb_dossier_number(move->at, 2, line);
        g_string_append(line, move->freedom[0] == 'r' ? "°" : " mm");
    }
    if (gap->move_count > 0) {
        g_autofree char *worst = g_strdup_printf(_("Worst at %s"), line->str);

        tb_flow_text(flow, worst, (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK});
        tb_flow_text(flow,
                     tb_posed_can(gap)
                         ? _("The parts are drawn there.")
                         : _("The parts are drawn at rest; the dimension stands between the "
                             "points as they are at the worst place of the motion."),
                     (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET});
    }
    if (gap->scatter != NULL)
        tb_flow_text(flow,
                     _("Tolerances are not drawn: the gap is told with them, less than what is "
                       "drawn"),
                     (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET});
}

/** What eats the gap, one effect on top of the other. */
static void
put_causes(TbFlow *flow, const TbResults *results, const TbResultGap *gap)
{
    for (size_t i = 0; i < results->combination_count; i++) {
        const TbResultCombination *row = &results->combinations[i];
        g_autofree char *causes = NULL;

        if (strcmp(row->a, gap->a) != 0 || strcmp(row->b, gap->b) != 0 ||
            strcmp(row->state, gap->state) != 0 || strcmp(row->variant, gap->variant) != 0)
            continue;
        causes = tb_say_causes(row, (TbVoice){.unit = TB_UNIT_MM});
        tb_flow_text(flow, causes, (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK});
        return;
    }
}

static void
put_decision(TbFlow *flow, const TbDossierFinding *finding)
{
    g_autoptr(GString) line = g_string_new(finding->decided);

    if (finding->owner[0] != '\0')
        g_string_append_printf(line, ", %s", finding->owner);
    if (finding->due[0] != '\0')
        g_string_append_printf(line, ", %s", finding->due);
    if (finding->reason[0] != '\0')
        g_string_append_printf(line, ": %s", finding->reason);
    tb_flow_text(flow, line->str, (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK});
}

static TbFlow *
words_of(const TbPackChapter *chapter, const TbDossierFinding *finding)
{
    TbFlow *flow = tb_flow_new(chapter->measurer);
    TbTextStyle plain = {.size = TB_PT_SMALL, .ink = TB_INK_INK};
    g_autofree char *what = g_strdup_printf(
        "%zu  %s: %s", finding->number, tb_say_level(finding->matter->worst->level), finding->what);

    tb_flow_text(flow, what, (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK, .bold = true});
    put_numbers(flow, finding->gap);
    tb_flow_text(flow, finding->where, plain);
    put_motion(flow, finding->gap);
    put_causes(flow, chapter->dossier->results, finding->gap);
    put_decision(flow, finding);
    return flow;
}

static double
cuts_share(bool beside)
{
    return beside ? CUTS_SHARE_SCATTER : CUTS_SHARE;
}

/** Of a sheet's room: the chart beside the words, and within it what tolerances do. */
static TbRectangle
chart_room(TbRectangle room, bool beside)
{
    double split = room.low.x + WORDS_SHARE * (room.high.x - room.low.x);
    double cuts = room.low.y + cuts_share(beside) * (room.high.y - room.low.y);

    return (TbRectangle){{split, cuts + APART}, room.high};
}

static TbRectangle
scatter_room(TbRectangle chart)
{
    return (TbRectangle){{chart.low.x, chart.low.y + 0.46 * (chart.high.y - chart.low.y)},
                         chart.high};
}

/** Whether bars and histogram have room beside a finding's words and below its profile. */
static bool
scatter_fits(const TbPackChapter *chapter, const TbDossierFinding *finding)
{
    TbRectangle sheet = {{0, 0}, chapter->size};
    TbRectangle room = scatter_room(chart_room(sheet, true));
    TbSceneScatter *scene;
    double least;

    if (finding->gap->scatter == NULL)
        return false;
    scene = tb_scene_scatter_new(chapter->dossier->results, finding->gap, TB_UNIT_MM);
    least = tb_scatter_least_height(scene, room.high.x - room.low.x, chapter->measurer);
    tb_scene_scatter_free(scene);
    return least <= room.high.y - room.low.y;
}

/** How many sheets the words need; drawings stand on the first. */
static size_t
plan_words(const TbPackChapter *chapter, bool beside, TbFlow *flow)
{
    size_t pages = tb_flow_plan(flow, WORDS_SHARE * chapter->size.x - APART,
                                (1 - cuts_share(beside)) * chapter->size.y - APART);

    return pages > 0 ? pages : 1;
}

static void
draw_words(const TbPackChapter *chapter, const Leaf *leaf, TbPicture *picture, TbVec2 at)
{
    TbFlow *flow = words_of(chapter, leaf->finding);

    plan_words(chapter, leaf->beside, flow);
    tb_flow_draw(flow, leaf->part, picture, at);
    tb_flow_free(flow);
}

static size_t
plan(TbPackChapter *chapter)
{
    const TbDossier *dossier = chapter->dossier;
    Own *own = g_new0(Own, 1);

    chapter->own = own;
    own->leaves = g_array_new(FALSE, FALSE, sizeof(Leaf));
    for (size_t i = 0; i < dossier->finding_count; i++) {
        Leaf leaf = {.finding = &dossier->findings[i]};
        const TbResultGap *gap = leaf.finding->gap;
        TbFlow *flow;
        size_t parts;

        if (gap == NULL || gap->gap.nothing || !is_point(gap->gap.point_a) ||
            !is_point(gap->gap.point_b))
            continue;
        flow = words_of(chapter, leaf.finding);
        leaf.beside = scatter_fits(chapter, leaf.finding);
        parts = plan_words(chapter, leaf.beside, flow);
        tb_flow_free(flow);
        for (; leaf.part < parts; leaf.part++)
            g_array_append_val(own->leaves, leaf);
        leaf.scatter = gap->scatter != NULL && !leaf.beside;
        if (leaf.scatter)
            g_array_append_val(own->leaves, leaf);
    }
    return own->leaves->len;
}

static const Leaf *
leaf_at(const TbPackChapter *chapter, size_t page)
{
    return &g_array_index(((const Own *)chapter->own)->leaves, Leaf, page);
}

static char *
subject_of(const TbPackChapter *chapter, const TbDossierFinding *finding)
{
    return g_strdup_printf(_("Finding %zu: %s to %s"), finding->number,
                           tb_dossier_name(chapter->dossier, finding->gap->a),
                           tb_dossier_name(chapter->dossier, finding->gap->b));
}

static TbStatus
draw(TbPackChapter *chapter, size_t page, TbPackSheet *sheet, TbTask *task, TbFault *fault)
{
    const Leaf *leaf = leaf_at(chapter, page);
    const TbDossierFinding *finding = leaf->finding;
    TbRectangle room = sheet->room, chart = chart_room(room, leaf->beside);
    TbRectangle cuts = {room.low, {room.high.x, chart.low.y - APART}};
    TbStatus status;

    sheet->subject = subject_of(chapter, finding);
    if (leaf->scatter) {
        draw_scatter(chapter, finding->gap, room, sheet->picture);
        return TB_OK;
    }
    if (leaf->part > 0) {
        draw_words(chapter, leaf, sheet->picture, room.low);
        return TB_OK;
    }
    status = draw_cuts(chapter, finding->gap, cuts, sheet->picture, task, fault);
    if (leaf->beside) {
        draw_scatter(chapter, finding->gap, scatter_room(chart), sheet->picture);
        chart.high.y = scatter_room(chart).low.y - APART / 2;
    }

    if (status == TB_OK)
        status = draw_profile(chapter, finding->gap, chart, sheet->picture, task, fault);
    if (status != TB_OK)
        return status;
    draw_words(chapter, leaf, sheet->picture, tb_vec2(room.low.x, cuts.high.y + APART));
    tb_sheet_ratio_text(ratio_of(finding->gap), sheet->scale);
    sheet->has_views = true;
    return TB_OK;
}

static char *
label(const TbPackChapter *chapter, size_t page)
{
    const Leaf *leaf = leaf_at(chapter, page);

    return leaf->part > 0 ? NULL : subject_of(chapter, leaf->finding);
}

static void
clear(TbPackChapter *chapter)
{
    Own *own = chapter->own;

    if (own != NULL)
        g_array_unref(own->leaves);
    g_free(own);
}

const TbPackKind tb_pack_findings = {.name = "findings",
                                     .title = N_("Gaps that are short or to be watched"),
                                     .plan = plan,
                                     .draw = draw,
                                     .label = label,
                                     .clear = clear};
