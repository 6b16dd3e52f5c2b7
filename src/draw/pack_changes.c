/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/charts.h"
#include "draw/pack_views.h"
#include "draw/sheet.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* What changed since an earlier document: both in the same cuts, areas and skins of changed ducts
 * along the station, and lists. */

/** Names of this document and the earlier one. */
typedef struct Own {
    char *now, *before;
    TbVec3 at; /**< where the cuts pass */
    bool has_cuts;
    const TbResultDuct **ducts; /**< that changed, in both documents */
    size_t duct_count;
} Own;

/* ---- planning ---- */

static char *
name_of(const TbDossierTitle *title)
{
    return title->revision[0] != '\0' ? g_strdup_printf(_("revision %s"), title->revision)
                                      : g_strdup(title->document);
}

static void
find_ducts(const TbDossier *dossier, Own *own)
{
    const TbResults *results = dossier->results;

    own->ducts = g_new0(const TbResultDuct *, results->duct_count + 1);
    for (size_t i = 0; i < results->duct_count; i++) {
        const TbResultDuct *duct = &results->ducts[i];
        const TbResultDuct *old = tb_results_duct(dossier->before, duct->id);

        if (!duct->is_line && duct->row_count > 1 && old != NULL && old->row_count > 1 &&
            tb_dossier_duct_changed(dossier, duct->id))
            own->ducts[own->duct_count++] = duct;
    }
}

/** Where a duct's area changed most; its middle where none did. */
static TbVec3
place_on(const TbDossier *dossier, const TbResultDuct *duct)
{
    const TbResultDuct *old = tb_results_duct(dossier->before, duct->id);
    g_autoptr(GArray) stretches = tb_compare_stretches(old, duct);
    double station = duct->length / 2, worst = 0;
    size_t best = 0;

    for (guint i = 0; i < stretches->len; i++) {
        const TbStretch *stretch = &g_array_index(stretches, TbStretch, i);

        if (fabs(stretch->worst) > worst) {
            worst = fabs(stretch->worst);
            station = stretch->at;
        }
    }
    for (size_t i = 0; i < duct->row_count; i++)
        if (fabs(duct->rows[i].station - station) < fabs(duct->rows[best].station - station))
            best = i;
    return duct->rows[best].point;
}

/** On the duct that changed, the pack's subject first; else at the gap that changed to the least
 * margin. */
static void
find_place(const TbDossier *dossier, Own *own)
{
    g_autoptr(GHashTable) olds = NULL;
    double least = INFINITY;

    for (size_t i = 0; i < own->duct_count; i++)
        if (!own->has_cuts || g_str_equal(own->ducts[i]->id, dossier->subject)) {
            own->at = place_on(dossier, own->ducts[i]);
            own->has_cuts = true;
        }
    if (own->has_cuts)
        return;
    olds = tb_compare_gaps(dossier->before);
    for (size_t i = 0; i < dossier->results->gap_count; i++) {
        const TbResultGap *gap = &dossier->results->gaps[i];
        g_autofree char *key = tb_compare_gap_key(gap);
        const TbResultGap *old = g_hash_table_lookup(olds, key);

        if (old == NULL || gap->gap.nothing || !isfinite(gap->gap.point_a.x) ||
            !tb_compare_gap_changed(old, gap) || !(gap->margin < least))
            continue;
        least = gap->margin;
        own->at = gap->gap.point_a;
        own->has_cuts = true;
    }
}

static TbFlow *
flow_of(const TbPackChapter *chapter, const Own *own)
{
    static const TbDossierList lists[] = {TB_DOSSIER_CHANGED_ITEMS, TB_DOSSIER_CHANGED_AREAS,
                                          TB_DOSSIER_CHANGED_GAPS, TB_DOSSIER_CHANGED_FINDINGS};
    TbFlow *flow = tb_flow_new(chapter->measurer);
    g_autofree char *text = g_strdup_printf(
        _("Compared: %s with %s. Cuts are through the same planes of the vehicle; areas are "
          "compared "
          "at named stations, for station numbers shift when a path's length changes."),
        own->now, own->before);

    tb_pack__text(flow, text);
    for (size_t i = 0; i < G_N_ELEMENTS(lists); i++)
        tb_pack__list(flow, chapter->dossier, lists[i]);
    return flow;
}

static size_t
plan(TbPackChapter *chapter)
{
    const TbDossier *dossier = chapter->dossier;
    Own *own;

    if (dossier->before == NULL)
        return 0;
    chapter->own = own = g_new0(Own, 1);
    own->now = name_of(&dossier->title);
    own->before = name_of(&dossier->before_title);
    find_ducts(dossier, own);
    find_place(dossier, own);
    chapter->flow = flow_of(chapter, own);
    return tb_pack__plan_flow(chapter) + (own->has_cuts ? 1 : 0) + own->duct_count;
}

/* ---- cuts ---- */

static bool
has_changed(const void *user, const char *tag)
{
    const TbDossier *dossier = user;
    const TbResultItem *now = tb_results_item(dossier->results, tag);
    const TbResultItem *old = tb_results_item(dossier->before, tag);

    return now == NULL || old == NULL || !g_str_equal(now->shape, old->shape);
}

static void
put_legend(const TbPackChapter *chapter, TbPicture *picture, TbRectangle room)
{
    const Own *own = chapter->own;
    TbFlow *flow = tb_flow_new(chapter->measurer);
    g_autofree char *text =
        g_strdup_printf(_("Full lines: %s. Dashed: what of %s lay elsewhere or had another shape, "
                          "in the same plane and beyond it."),
                        own->now, own->before);

    tb_pack__text(flow, text);
    if (tb_flow_plan(flow, room.high.x - room.low.x, room.high.y - room.low.y) > 0)
        tb_flow_draw(flow, 0, picture, room.low);
    tb_flow_free(flow);
}

static TbStatus
draw_cuts(TbPackChapter *chapter, TbPackSheet *sheet, TbTask *task, TbFault *fault)
{
    const TbDossier *dossier = chapter->dossier;
    const Own *own = chapter->own;
    TbPackViews now = {0}, before = {0};
    TbRectangle rest;
    TbStatus status = tb_pack__views_make(dossier, own->at, NULL, NULL, false, task, &now, fault);

    if (status == TB_OK)
        status = tb_pack__views_make(dossier, own->at, NULL, NULL, true, task, &before, fault);
    if (status == TB_OK) {
        double ratio;

        now.before = &before;
        now.has_changed = has_changed;
        now.user = dossier;
        ratio = tb_pack__views_draw(&now, sheet->picture, sheet->room, chapter->projection,
                                    chapter->measurer, &rest);
        put_legend(chapter, sheet->picture, rest);
        tb_sheet_ratio_text(ratio, sheet->scale);
        sheet->has_views = true;
        sheet->subject = g_strdup_printf(_("Cuts: %s and %s"), own->now, own->before);
    }
    tb_pack__views_clear(&before);
    tb_pack__views_clear(&now);
    return status;
}

/* ---- curves ---- */

/** The skin's chart lends its numbers from the change. */
static TbSceneChart
skin_chart(const TbSkinChange *change, TbSceneCurve curves[2])
{
    curves[0] = (TbSceneCurve){.tag = (char *)"out",
                               .label = _("outwards"),
                               .name = _("outwards"),
                               .station = change->station,
                               .value = change->out,
                               .count = change->count,
                               .keep = NAN};
    curves[1] = curves[0];
    curves[1].tag = (char *)"in";
    curves[1].label = curves[1].name = _("inwards");
    curves[1].value = change->in;
    return (TbSceneChart){.title = _("Skin, square to the earlier one"),
                          .unit = (char *)"mm",
                          .zero_matters = true,
                          .ceiling = NAN,
                          .curves = curves,
                          .curve_count = 2,
                          .name = "skin",
                          .decimals = 1};
}

/** Both areas in one chart: curves lent by the strips, named by their documents. */
static bool
area_chart(const Own *own,
           const TbSceneStrip *now,
           const TbSceneStrip *before,
           TbSceneCurve curves[2],
           TbSceneChart *chart)
{
    const TbSceneChart *one = tb_scene_strip_chart(now, "area");
    const TbSceneChart *other = tb_scene_strip_chart(before, "area");

    if (one == NULL || other == NULL || one->curve_count == 0 || other->curve_count == 0)
        return false;
    curves[0] = one->curves[0];
    curves[0].label = own->now;
    curves[1] = other->curves[0];
    curves[1].label = own->before;
    *chart = *one;
    chart->curves = curves;
    chart->curve_count = 2;
    chart->band_count = 0;
    return true;
}

static char *
number(double x, int decimals)
{
    GString *text = g_string_new(NULL);

    tb_dossier_number(x, decimals, text);
    return g_string_free(text, FALSE);
}

static void
put_skin(TbPackChapter *chapter, const TbSkinChange *change, TbPicture *picture, TbRectangle room)
{
    TbFlow *flow = tb_flow_new(chapter->measurer);
    g_autofree char *out = number(change->most_out, 2);
    g_autofree char *out_at = number(change->station_out, 0);
    g_autofree char *in = number(-change->most_in, 2);
    g_autofree char *in_at = number(change->station_in, 0);
    g_autofree char *mean = number(change->mean, 2);
    g_autofree char *text =
        g_strdup_printf(_("Outer skin: up to %s mm outwards at station %s, up to %s mm inwards at "
                          "station %s; mean of sizes %s mm. A longer path shows at its end, a "
                          "shorter one in its length alone."),
                        out, out_at, in, in_at, mean);

    tb_pack__text(flow, text);
    if (tb_flow_plan(flow, room.high.x - room.low.x, room.high.y - room.low.y) > 0)
        tb_flow_draw(flow, 0, picture, room.low);
    tb_flow_free(flow);
}

static void
draw_curves(TbPackChapter *chapter,
            const TbSceneStrip *now,
            const TbSceneStrip *before,
            const TbSkinChange *change,
            TbPicture *picture,
            TbRectangle room)
{
    TbSceneCurve areas[2], skins[2];
    TbSceneChart charts[2];
    TbSceneStrip strip = *now;
    TbRectangle words = room;
    const double words_height = 2 * TB_FLOW_LINE; /* two lines of words */

    strip.charts = charts;
    strip.chart_count = area_chart(chapter->own, now, before, areas, &charts[0]) ? 1 : 0;
    charts[strip.chart_count++] = skin_chart(change, skins);
    strip.length = fmax(now->length, before->length);
    room.high.y -= words_height + 2;
    words.low.y = room.high.y + 2;
    tb_charts_into(picture, &strip, NULL, room, chapter->measurer);
    put_skin(chapter, change, picture, words);
}

static TbStatus
draw_duct(TbPackChapter *chapter,
          const TbResultDuct *duct,
          TbPackSheet *sheet,
          TbTask *task,
          TbFault *fault)
{
    const TbDossier *dossier = chapter->dossier;
    TbSceneStrip *now = NULL, *before = NULL;
    TbSkinChange *change = NULL;
    TbStatus status = tb_dossier_strip(dossier, duct->id, NULL, NULL, false, task, &now, fault);

    if (status == TB_OK)
        status = tb_dossier_strip(dossier, duct->id, NULL, NULL, true, task, &before, fault);
    if (status == TB_OK)
        status = tb_dossier_skin(dossier, duct->id, task, &change, fault);
    if (status == TB_OK) {
        draw_curves(chapter, now, before, change, sheet->picture, sheet->room);
        sheet->subject = g_strdup_printf(_("Changes of %s"), tb_dossier_name(dossier, duct->id));
    }
    tb_skin_change_free(change);
    tb_scene_strip_unref(before);
    tb_scene_strip_unref(now);
    return status;
}

/* ---- the chapter ---- */

/** Cuts, then ducts, then lists. */
static TbStatus
draw(TbPackChapter *chapter, size_t page, TbPackSheet *sheet, TbTask *task, TbFault *fault)
{
    const Own *own = chapter->own;
    size_t cuts = own->has_cuts ? 1 : 0;

    if (page < cuts)
        return draw_cuts(chapter, sheet, task, fault);
    page -= cuts;
    if (page < own->duct_count)
        return draw_duct(chapter, own->ducts[page], sheet, task, fault);
    tb_flow_draw(chapter->flow, page - own->duct_count, sheet->picture, sheet->room.low);
    return TB_OK;
}

static char *
label(const TbPackChapter *chapter, size_t page)
{
    const Own *own = chapter->own;
    size_t cuts = own->has_cuts ? 1 : 0;

    if (page < cuts)
        return g_strdup_printf(_("Cuts: %s and %s"), own->now, own->before);
    page -= cuts;
    if (page >= own->duct_count)
        return NULL;
    return g_strdup_printf(_("Changes of %s"),
                           tb_dossier_name(chapter->dossier, own->ducts[page]->id));
}

static void
clear(TbPackChapter *chapter)
{
    Own *own = chapter->own;

    if (own == NULL)
        return;
    g_free(own->ducts);
    g_free(own->now);
    g_free(own->before);
    g_free(own);
}

const TbPackKind tb_pack_changes = {.name = "changes",
                                    .title = N_("Changes"),
                                    .plan = plan,
                                    .draw = draw,
                                    .label = label,
                                    .clear = clear};
