/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/cut_view.h"
#include "draw/pack_pages.h"
#include "draw/sheet.h"
#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* What a reader with a minute needs: does it hold, what does not and what was decided about it,
 * the numbers, and a small drawing of where it all is. */

/** Of a sheet's width: the text beside the overview. */
#define TEXT_SHARE 0.44

/** Of a sheet's height: the first block. */
#define FRONT_SHARE 0.52

/** ... and at most, where its text needs it. */
#define FRONT_MOST 0.8

/** mm that the table of key numbers needs beside the overview. */
#define NUMBERS_WIDTH 140.0

/** mm between text and overview. */
#define APART 6.0

/** The chapter's own: the overview lives while the first sheet is drawn. */
typedef struct Own {
    TbPackChapter *chapter;
    TbFlow *front; /**< what stands beside the overview */
    TbScene *scene;
    double ratio;
    bool numbers_in_front;
    bool stacked; /**< the overview stands below the text, maybe on a later sheet */
} Own;

/* ---- verdict ---- */

static size_t
matters_at(const TbDossier *dossier, TbLevel level)
{
    return dossier->matters->levels[level];
}

static TbLevel
verdict_level(const TbDossier *dossier)
{
    static const TbLevel worst_first[] = {TB_LEVEL_SHORT, TB_LEVEL_OPEN, TB_LEVEL_WATCH};

    for (size_t i = 0; i < G_N_ELEMENTS(worst_first); i++)
        if (matters_at(dossier, worst_first[i]) > 0)
            return worst_first[i];
    return TB_LEVEL_HOLDS;
}

static const char *
verdict_text(TbLevel level)
{
    switch (level) {
    case TB_LEVEL_SHORT:
        return _("Does not hold");
    case TB_LEVEL_OPEN:
        return _("Holds as far as it is judged; not everything is");
    case TB_LEVEL_WATCH:
        return _("Holds, with points to watch");
    case TB_LEVEL_HOLDS:
        break;
    }
    return _("Holds");
}

static void
draw_verdict(void *user, TbPicture *picture, TbRectangle room)
{
    const Own *own = user;
    TbLevel level = verdict_level(own->chapter->dossier);

    tb_picture_level(picture, tb_vec2(room.low.x + 2.5, room.low.y + 4), 4.6, level);
    tb_picture_text(picture, tb_vec2(room.low.x + 7.5, room.low.y + 4),
                    (TbTextStyle){.size = 14, .ink = TB_INK_INK, .bold = true},
                    verdict_text(level));
}

static void
put_counts(TbFlow *flow, const TbDossier *dossier)
{
    const TbMatters *matters = dossier->matters;
    g_autofree char *text =
        g_strdup_printf(_("%zu short, %zu not judged, %zu to watch, %zu hold: each finding once, "
                          "where it is worst. "
                          "Counting every state and variant these are %zu results."),
                        matters_at(dossier, TB_LEVEL_SHORT), matters_at(dossier, TB_LEVEL_OPEN),
                        matters_at(dossier, TB_LEVEL_WATCH), matters_at(dossier, TB_LEVEL_HOLDS),
                        matters->judged[TB_LEVEL_SHORT] + matters->judged[TB_LEVEL_OPEN] +
                            matters->judged[TB_LEVEL_WATCH] + matters->judged[TB_LEVEL_HOLDS]);

    tb_flow_text(flow, text, (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK});
}

/* "State: cold, hot": the names of what was judged. */
static void
put_names(TbFlow *flow, const char *head, const TbResultName names[], size_t count)
{
    g_autoptr(GString) text = g_string_new(head);

    for (size_t i = 0; i < count; i++)
        g_string_append_printf(text, "%s%s", i > 0 ? "; " : " ", names[i].name);
    if (count > 0)
        tb_flow_text(flow, text->str, (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK});
}

static void
put_title(TbFlow *flow, const TbDossier *dossier)
{
    const TbDossierTitle *title = &dossier->title;
    g_autoptr(GString) line = g_string_new(NULL);

    tb_flow_text(flow, title->title,
                 (TbTextStyle){.size = TB_PT_HEAD, .ink = TB_INK_INK, .bold = true});
    if (title->revision[0] != '\0')
        g_string_append_printf(line, _("Revision %s"), title->revision);
    if (title->date[0] != '\0')
        g_string_append_printf(line, "%s%s", line->len > 0 ? ", " : "", title->date);
    if (title->change[0] != '\0')
        g_string_append_printf(line, "%s%s", line->len > 0 ? ": " : "", title->change);
    tb_flow_text(flow, line->str, (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK});
}

static void
put_front(Own *own, TbFlow *flow)
{
    const TbDossier *dossier = own->chapter->dossier;

    put_title(flow, dossier);
    tb_flow_space(flow, 2);
    tb_flow_drawing(flow, 9, draw_verdict, own);
    put_counts(flow, dossier);
    put_names(flow, _("States judged:"), dossier->results->states, dossier->results->state_count);
    put_names(flow, _("Variants judged:"), dossier->results->variants,
              dossier->results->variant_count);
    tb_flow_text(flow, tb_say_caution(false),
                 (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET});
    if (own->numbers_in_front)
        tb_pack__list(flow, dossier, TB_DOSSIER_NUMBERS);
}

/* ---- overview ---- */

/** The worst gap of the duct that the pack is about; NULL: it has none. */
static const TbResultGap *
worst_of_subject(const TbDossier *dossier)
{
    for (size_t i = 0; i < dossier->gap_count; i++) {
        const TbResultGap *gap = dossier->gaps[i].gap;

        if (gap->level != TB_LEVEL_OPEN && isfinite(gap->gap.point_a.y + gap->gap.point_b.y) &&
            (strcmp(gap->a, dossier->subject) == 0 || strcmp(gap->b, dossier->subject) == 0))
            return gap;
    }
    return NULL;
}

/** A side view through that gap, else through the middle of the duct. */
static TbDossierCut
overview_of(const TbDossier *dossier)
{
    const TbResultDuct *duct = tb_results_duct(dossier->results, dossier->subject);
    const TbResultGap *gap = worst_of_subject(dossier);
    TbDossierCut cut = {.view = TB_SCENE_SIDE};

    if (gap != NULL)
        cut.at = (gap->gap.point_a.y + gap->gap.point_b.y) / 2;
    else if (duct != NULL && duct->row_count > 0)
        cut.at = duct->rows[duct->row_count / 2].point.y;
    cut.at = round(cut.at);
    return cut;
}

/* "Side cut, Y = -202 mm, seen from the left; cold, std-s", as far as it fits. */
static void
put_view_title(const Own *own, TbPicture *picture, TbRectangle room)
{
    const TbDossier *dossier = own->chapter->dossier;
    g_autofree char *title =
        g_strdup_printf("%s; %s%s%s", own->scene->title, dossier->state,
                        dossier->variant[0] == '\0' ? "" : ", ", dossier->variant);
    char shown[TB_TEXT_SHORT];

    tb_text_shorten(own->chapter->measurer, title, TB_PT_SMALL, true, room.high.x - room.low.x,
                    shown);
    tb_picture_text(picture, tb_vec2(room.low.x, room.low.y + 2),
                    (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK, .bold = true}, shown);
}

static void
draw_overview(void *user, TbPicture *picture, TbRectangle room)
{
    Own *own = user;

    if (own->scene == NULL)
        return;
    put_view_title(own, picture, room);
    room.low.y += 5;
    own->ratio = tb_cut_overview(picture, own->scene, room, own->chapter->measurer);
}

static void
draw_front(void *user, TbPicture *picture, TbRectangle room)
{
    Own *own = user;
    double split = room.low.x + TEXT_SHARE * (room.high.x - room.low.x);

    tb_flow_draw(own->front, 0, picture, room.low);
    draw_overview(own, picture, (TbRectangle){{split + APART, room.low.y}, room.high});
}

/** Text beside the overview; where the text is too long for that, one below the other. */
static void
plan_front(Own *own)
{
    TbPackChapter *chapter = own->chapter;
    double width = TEXT_SHARE * chapter->size.x;
    double height = FRONT_SHARE * chapter->size.y;

    own->numbers_in_front = width > NUMBERS_WIDTH;
    own->front = tb_flow_new(chapter->measurer);
    put_front(own, own->front);
    if (tb_flow_plan(own->front, width, FRONT_MOST * chapter->size.y) == 1) {
        tb_flow_drawing(chapter->flow, fmax(height, tb_flow_height(own->front, 0)), draw_front,
                        own);
        return;
    }
    own->numbers_in_front = false;
    own->stacked = true;
    put_front(own, chapter->flow);
    tb_flow_drawing(chapter->flow, height, draw_overview, own);
}

/* ---- findings ---- */

enum {
    COLUMN_NUMBER,
    COLUMN_LEVEL,
    COLUMN_WHAT,
    COLUMN_WHERE,
    COLUMN_DECIDED,
    COLUMN_OWNER,
    COLUMN_DUE,
    COLUMN_REASON
};

static void
put_where(const TbDossierFinding *finding, GString *text)
{
    size_t others = finding->matter->others;

    g_string_append(text, finding->where);
    if (others > 0) {
        g_string_append(text, text->len > 0 ? "; " : "");
        g_string_append_printf(text,
                               ngettext("and in %zu more state or variant",
                                        "and in %zu more states or variants", others),
                               others);
    }
}

static void
finding_cell(const void *user, size_t row, size_t column, TbFlowCell *cell)
{
    const TbDossier *dossier = user;
    const TbDossierFinding *finding = &dossier->findings[row];

    switch (column) {
    case COLUMN_NUMBER:
        g_string_append_printf(cell->text, "%zu", finding->number);
        cell->bold = true;
        break;
    case COLUMN_LEVEL:
        g_string_append(cell->text, tb_say_level(finding->matter->worst->level));
        cell->marked = true;
        cell->level = finding->matter->worst->level;
        break;
    case COLUMN_WHAT:
        g_string_append(cell->text, finding->what);
        break;
    case COLUMN_WHERE:
        put_where(finding, cell->text);
        break;
    case COLUMN_DECIDED:
        g_string_append(cell->text, finding->decided);
        break;
    case COLUMN_OWNER:
        g_string_append(cell->text, finding->owner);
        break;
    case COLUMN_DUE:
        g_string_append(cell->text, finding->due);
        break;
    default:
        g_string_append(cell->text, finding->reason);
        break;
    }
}

static void
put_findings(TbPackChapter *chapter)
{
    const TbFlowColumn columns[] = {{_("No."), true},      {_("Level"), false},
                                    {_("Finding"), false}, {_("Where and when"), false},
                                    {_("Decided"), false}, {_("Who"), false},
                                    {_("Due"), false},     {_("Reason"), false}};

    tb_flow_heading(chapter->flow, _("What does not simply hold"));
    tb_flow_table(chapter->flow, &(TbFlowTable){.columns = columns,
                                                .column_count = G_N_ELEMENTS(columns),
                                                .row_count = chapter->dossier->finding_count,
                                                .cell = finding_cell,
                                                .user = chapter->dossier});
}

/* ---- contents ---- */

/** Sheets that the summary may have, for the width of the numbers while nothing has its place. */
#define MOST_SHEETS 99

static void
contents_cell(const void *user, size_t row, size_t column, TbFlowCell *cell)
{
    const TbPackChapter *summary = user;
    bool planning = summary->number == 0;
    /* while it is planned the summary itself is not among them */
    const TbPackChapter *one =
        planning && row == 0 ? summary : summary->all->pdata[row - (planning ? 1 : 0)];
    size_t first = planning ? MOST_SHEETS * 10 : one->first + 1;

    switch (column) {
    case 0:
        g_string_append_printf(cell->text, "%zu", row + 1);
        break;
    case 1:
        g_string_append(cell->text, _(one->kind->title));
        break;
    default:
        g_string_append_printf(cell->text, one->pages > 1 || planning ? "%zu–%zu" : "%zu", first,
                               first + one->pages - 1);
        break;
    }
}

static void
put_contents(TbPackChapter *chapter)
{
    const TbFlowColumn columns[] = {{_("No."), true}, {_("Chapter"), false}, {_("Sheets"), true}};

    tb_flow_heading(chapter->flow, _("Contents"));
    tb_flow_table(chapter->flow, &(TbFlowTable){.columns = columns,
                                                .column_count = G_N_ELEMENTS(columns),
                                                .row_count = chapter->all->len + 1,
                                                .cell = contents_cell,
                                                .user = chapter});
}

/* ---- the chapter ---- */

static size_t
plan(TbPackChapter *chapter)
{
    Own *own = g_new0(Own, 1);

    chapter->own = own;
    own->chapter = chapter;
    chapter->flow = tb_flow_new(chapter->measurer);
    plan_front(own);
    put_findings(chapter);
    if (!own->numbers_in_front)
        tb_pack__list(chapter->flow, chapter->dossier, TB_DOSSIER_NUMBERS);
    tb_pack__list(chapter->flow, chapter->dossier, TB_DOSSIER_CLASSES);
    if (chapter->all->len > 0)
        put_contents(chapter);
    return tb_pack__plan_flow(chapter);
}

static TbStatus
draw(TbPackChapter *chapter, size_t page, TbPackSheet *sheet, TbTask *task, TbFault *fault)
{
    Own *own = chapter->own;
    TbDossierCut cut = overview_of(chapter->dossier);
    TbStatus status = TB_OK;

    /* where its text is long, the overview comes on a later sheet */
    own->ratio = 0;
    if (page == 0 || own->stacked)
        status = tb_dossier_cut(chapter->dossier, &cut, task, &own->scene, fault);
    if (status == TB_OK)
        tb_flow_draw(chapter->flow, page, sheet->picture, sheet->room.low);
    if (status == TB_OK && own->ratio > 0) {
        tb_sheet_ratio_text(own->ratio, sheet->scale);
        sheet->has_views = true;
    }
    tb_scene_unref(own->scene);
    own->scene = NULL;
    return status;
}

static void
clear(TbPackChapter *chapter)
{
    Own *own = chapter->own;

    if (own != NULL)
        tb_flow_free(own->front);
    g_free(own);
}

const TbPackKind tb_pack_summary = {
    .name = "summary", .title = N_("Summary"), .plan = plan, .draw = draw, .clear = clear};
