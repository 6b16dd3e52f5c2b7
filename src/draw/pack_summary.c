/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/cut_view.h"
#include "draw/pack_pages.h"
#include "draw/sheet.h"
#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* What a reader with a minute needs: does it hold, what does not and what was decided about it,
 * the numbers, and a small drawing of where it all is. */

/** Of a sheet's width: the text beside the overview. */
#define TEXT_SHARE 0.44

/** Of a sheet's height: the first block. */
#define FRONT_SHARE 0.52

/** mm between text and overview. */
#define APART 6.0

/** The chapter's own: the overview lives while the first sheet is drawn. */
typedef struct Own {
    TbPackChapter *chapter;
    TbFlow *front; /**< what stands beside the overview */
    TbScene *scene;
    double ratio;
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
    g_autofree char *text = g_strdup_printf(
        _("%zu short, %zu not judged, %zu to watch, %zu hold: each matter once, where it is worst. "
          "Counting every state and variant these are %zu checks."),
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

static TbFlow *
front_of(Own *own)
{
    const TbDossier *dossier = own->chapter->dossier;
    TbFlow *flow = tb_flow_new(own->chapter->measurer);

    put_title(flow, dossier);
    tb_flow_space(flow, 2);
    tb_flow_drawing(flow, 9, draw_verdict, own);
    put_counts(flow, dossier);
    put_names(flow, _("States judged:"), dossier->results->states, dossier->results->state_count);
    put_names(flow, _("Variants judged:"), dossier->results->variants,
              dossier->results->variant_count);
    tb_flow_text(flow, tb_say_caution(false),
                 (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET});
    return flow;
}

/* ---- overview ---- */

/** A side view at the worst gap, else through the middle of the duct that the pack is about. */
static TbDossierCut
overview_of(const TbDossier *dossier)
{
    const TbResultDuct *duct = tb_results_duct(dossier->results, dossier->subject);
    TbDossierCut cut = {.view = TB_SCENE_SIDE};

    if (duct != NULL && duct->row_count > 0)
        cut.at = duct->rows[duct->row_count / 2].point.y;
    for (size_t i = 0; i < dossier->finding_count; i++) {
        const TbResultGap *gap = dossier->findings[i].gap;

        if (gap != NULL && gap->level != TB_LEVEL_OPEN && isfinite(gap->gap.point_a.y)) {
            cut.at = (gap->gap.point_a.y + gap->gap.point_b.y) / 2;
            break;
        }
    }
    cut.at = round(cut.at);
    return cut;
}

static void
draw_front(void *user, TbPicture *picture, TbRectangle room)
{
    Own *own = user;
    double split = room.low.x + TEXT_SHARE * (room.high.x - room.low.x);
    TbRectangle view = {{split + APART, room.low.y}, {room.high.x, room.high.y - 3}};

    tb_flow_draw(own->front, 0, picture, room.low);
    if (own->scene == NULL)
        return;
    tb_picture_text(picture, tb_vec2(view.low.x, view.low.y + 2),
                    (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK, .bold = true},
                    own->scene->title);
    view.low.y += 5;
    own->ratio = tb_cut_into(picture, own->scene, view, 0, own->chapter->measurer);
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
                                    {_("Decided"), false}, {_("By"), false},
                                    {_("Due"), false},     {_("Reason"), false}};

    tb_flow_heading(chapter->flow, _("What does not simply hold"));
    tb_flow_table(chapter->flow, &(TbFlowTable){.columns = columns,
                                                .column_count = G_N_ELEMENTS(columns),
                                                .row_count = chapter->dossier->finding_count,
                                                .cell = finding_cell,
                                                .user = chapter->dossier});
}

/* ---- the chapter ---- */

static size_t
plan(TbPackChapter *chapter)
{
    Own *own = g_new0(Own, 1);
    double height = FRONT_SHARE * chapter->size.y;

    chapter->own = own;
    own->chapter = chapter;
    own->front = front_of(own);
    tb_flow_plan(own->front, TEXT_SHARE * chapter->size.x, height);
    chapter->flow = tb_flow_new(chapter->measurer);
    tb_flow_drawing(chapter->flow, height, draw_front, own);
    put_findings(chapter);
    tb_pack__list(chapter, TB_DOSSIER_NUMBERS);
    tb_pack__list(chapter, TB_DOSSIER_CLASSES);
    return tb_flow_plan(chapter->flow, chapter->size.x, chapter->size.y);
}

static TbStatus
draw(TbPackChapter *chapter, size_t page, TbPackSheet *sheet, TbTask *task, TbFault *fault)
{
    Own *own = chapter->own;
    TbDossierCut cut = overview_of(chapter->dossier);
    TbStatus status = TB_OK;

    if (page == 0)
        status = tb_dossier_cut(chapter->dossier, &cut, task, &own->scene, fault);
    if (status == TB_OK)
        tb_flow_draw(chapter->flow, page, sheet->picture, sheet->room.low);
    if (status == TB_OK && own->scene != NULL) {
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
