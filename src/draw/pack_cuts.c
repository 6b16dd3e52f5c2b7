/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/pack_views.h"
#include "draw/sheet.h"
#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* Side, plan and front cut through the worst places, the whole kit in view. */

/** Sheets at most: what is further down the list has its own sheet at a large scale. */
#define MOST 6

/** mm. Places nearer than this to one that is shown already are seen on its sheet. */
#define SAME_PLACE 25.0

/** A place that is shown. */
typedef struct Place {
    const TbDossierFinding *finding; /**< NULL: none is about a gap, the middle of the kit's duct */
    TbVec3 at;
    const char *state, *variant;
} Place;

typedef struct Own {
    Place places[MOST];
    size_t count;
} Own;

static bool
is_shown(const Own *own, const Place *place)
{
    for (size_t i = 0; i < own->count; i++)
        if (tb_vec3_length(tb_vec3_sub(own->places[i].at, place->at)) < SAME_PLACE)
            return true;
    return false;
}

static bool
is_point(TbVec3 p)
{
    return isfinite(p.x) && isfinite(p.y) && isfinite(p.z);
}

static void
find_places(const TbDossier *dossier, Own *own)
{
    for (size_t i = 0; i < dossier->finding_count && own->count < MOST; i++) {
        const TbResultGap *gap = dossier->findings[i].gap;
        Place place = {.finding = &dossier->findings[i]};

        if (gap == NULL || gap->gap.nothing || !is_point(gap->gap.point_a))
            continue;
        place.at = tb_vec3_scale(tb_vec3_add(gap->gap.point_a, gap->gap.point_b), 0.5);
        place.state = gap->state;
        place.variant = gap->variant;
        if (!is_shown(own, &place))
            own->places[own->count++] = place;
    }
}

static size_t
plan(TbPackChapter *chapter)
{
    const TbDossier *dossier = chapter->dossier;
    const TbResultDuct *duct = tb_results_duct(dossier->results, dossier->subject);
    Own *own = g_new0(Own, 1);

    chapter->own = own;
    find_places(dossier, own);
    if (own->count == 0 && duct != NULL && duct->row_count > 0)
        own->places[own->count++] = (Place){.at = duct->rows[duct->row_count / 2].point};
    return own->count;
}

static char *
heading_of(const TbPackChapter *chapter, const Place *place)
{
    if (place->finding == NULL)
        return g_strdup_printf(_("Cuts through the middle of %s"),
                               tb_dossier_name(chapter->dossier, chapter->dossier->subject));
    return g_strdup_printf(_("Cuts through finding %zu"), place->finding->number);
}

/** How much of a finding is told beside its cuts. */
typedef enum Words { WORDS_NONE, WORDS_WHAT, WORDS_ALL } Words;

static TbFlow *
words_of(const TbPackChapter *chapter, const Place *place, Words words)
{
    const TbDossierFinding *finding = place->finding;
    TbFlow *flow = tb_flow_new(chapter->measurer);
    TbTextStyle plain = {.size = TB_PT_SMALL, .ink = TB_INK_INK};
    TbTextStyle quiet = {.size = TB_PT_SMALL, .ink = TB_INK_QUIET};
    g_autofree char *heading = heading_of(chapter, place);

    tb_flow_text(flow, heading, (TbTextStyle){.size = TB_PT_HEAD, .ink = TB_INK_INK, .bold = true});
    if (finding != NULL && words >= WORDS_WHAT) {
        g_autofree char *level =
            g_strdup_printf("%s: %s", tb_say_level(finding->matter->worst->level), finding->what);

        tb_flow_text(flow, level, plain);
    }
    if (finding != NULL)
        tb_flow_text(flow,
                     words == WORDS_ALL ? finding->where : _("Its words stand in the summary."),
                     plain);
    tb_flow_text(flow,
                 _("Numbers at dimensions are gaps in mm, short of the keep, inside the "
                   "margin or kept by their sign; thin outlines lie beyond the plane."),
                 quiet);
    return flow;
}

/** As much as has room; where names are too long for that, the summary tells it. */
static void
put_words(const TbPackChapter *chapter, const Place *place, TbPicture *picture, TbRectangle room)
{
    TbVec2 size = tb_vec2_sub(room.high, room.low);
    Words words = WORDS_ALL;
    TbFlow *flow = words_of(chapter, place, words);
    size_t pages = tb_flow_plan(flow, size.x, size.y);

    while (pages > 1 && words > WORDS_NONE) {
        tb_flow_free(flow);
        flow = words_of(chapter, place, --words);
        pages = tb_flow_plan(flow, size.x, size.y);
    }
    if (pages > 0)
        tb_flow_draw(flow, 0, picture, room.low);
    tb_flow_free(flow);
}

static TbStatus
draw(TbPackChapter *chapter, size_t page, TbPackSheet *sheet, TbTask *task, TbFault *fault)
{
    const Own *own = chapter->own;
    const Place *place = &own->places[page];
    TbPackViews views;
    TbRectangle rest;
    double ratio;
    TbStatus status = tb_pack__views_make(chapter->dossier, place->at, place->state, place->variant,
                                          false, task, &views, fault);

    if (status != TB_OK)
        return status;
    views.gap = place->finding == NULL ? NULL : place->finding->gap;
    ratio = tb_pack__views_draw(&views, sheet->picture, sheet->room, chapter->projection,
                                chapter->measurer, &rest);
    put_words(chapter, place, sheet->picture, rest);
    tb_sheet_ratio_text(ratio, sheet->scale);
    sheet->has_views = true;
    sheet->subject = heading_of(chapter, place);
    tb_pack__views_clear(&views);
    return TB_OK;
}

static char *
label(const TbPackChapter *chapter, size_t page)
{
    const Own *own = chapter->own;

    return heading_of(chapter, &own->places[page]);
}

const TbPackKind tb_pack_cuts = {.name = "cuts",
                                 .title = N_("Side, plan and front"),
                                 .plan = plan,
                                 .draw = draw,
                                 .label = label};
