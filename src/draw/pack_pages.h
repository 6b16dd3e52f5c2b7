/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file pack_pages.h
 * @brief What a chapter of the pack is, and the table of all of them.
 *
 * A chapter is one file, pack_<name>.c, with one TbPackKind, and one line in `tb_pack_kinds` of
 * pack.c. Its `plan` says how many sheets it takes, without making anything large (0: it is left
 * out), and keeps what it needs in `own` or, for headings, texts and tables, in a `flow`. Its
 * `draw` fills the room of one sheet: cuts and curves it asks for there, and lets go there. With a
 * flow and no `draw` the flow is drawn. Frame, title block and numbers are not its concern.
 *
 * A chapter of drawings:
 *
 *     static size_t plan(TbPackChapter *c)   { return c->dossier->finding_count; }
 *     static TbStatus draw(TbPackChapter *c, size_t page, TbPackSheet *sheet, TbTask *task,
 *                          TbFault *fault)
 *     {
 *         TbDossierCut cut = {.view = TB_SCENE_PLAN, .at = 640};
 *         TbScene *scene = NULL;
 *         TbStatus status = tb_dossier_cut(c->dossier, &cut, task, &scene, fault);
 *
 *         if (status == TB_OK) {
 *             double ratio = tb_cut_into(sheet->picture, scene, sheet->room, 0, c->measurer);
 *
 *             tb_sheet_ratio_text(ratio, sheet->scale);
 *             sheet->has_views = true;
 *         }
 *         tb_scene_unref(scene);
 *         return status;
 *     }
 *     const TbPackKind tb_pack_plans = {.name = "plans", .title = "Plans", .plan = plan,
 *                                       .draw = draw};
 */
#pragma once

#include "draw/flow.h"
#include "draw/pack.h"

typedef struct TbPackKind TbPackKind;

/** A chapter of one pack. */
typedef struct TbPackChapter {
    const TbPackKind *kind;
    const TbDossier *dossier;
    TbMeasurer measurer;
    TbProjection projection;
    TbVec2 size;  /**< mm of a sheet's room */
    TbFlow *flow; /**< made by plan, freed with the chapter; or NULL */
    void *own;    /**< plan's; freed with g_free(), or by `clear` */
    size_t pages;
    size_t number;        /**< as printed, from 1; 0 while chapters are planned */
    size_t first;         /**< its first sheet, from 0; likewise */
    const GPtrArray *all; /**< of TbPackChapter: while one is planned, those behind it */
} TbPackChapter;

/** A sheet that is being drawn. */
typedef struct TbPackSheet {
    TbPicture *picture;
    TbRectangle room; /**< mm: what is the chapter's */
    char scale[24];   /**< "1:2" for the title block; "" for none */
    char *subject;    /**< second title, freed with g_free(); NULL: the chapter's title */
    bool has_views;   /**< the projection's symbol is shown */
} TbPackSheet;

struct TbPackKind {
    const char *name;  /**< of --pages */
    const char *title; /**< N_() */
    size_t (*plan)(TbPackChapter *chapter);
    TbStatus (*draw)(
        TbPackChapter *chapter, size_t page, TbPackSheet *sheet, TbTask *task, TbFault *fault);
    char *(*label)(const TbPackChapter *chapter, size_t page); /**< of a bookmark; or NULL */
    void (*clear)(TbPackChapter *chapter);                     /**< frees `own`; or NULL */
};

extern const TbPackKind *const tb_pack_kinds[];
extern const size_t tb_pack_kind_count;

/* The chapters, each in its own file. */
extern const TbPackKind tb_pack_summary, tb_pack_changes, tb_pack_cuts, tb_pack_ducts,
    tb_pack_findings, tb_pack_map, tb_pack_gaps, tb_pack_rough, tb_pack_stations, tb_pack_register,
    tb_pack_basis;

/** Put one of the dossier's lists into a flow, with its title as heading. */
void tb_pack__list(TbFlow *flow, const TbDossier *dossier, TbDossierList list);

/** The same without its title. */
void tb_pack__table(TbFlow *flow, const TbDossier *dossier, TbDossierList list);

/** A paragraph of a flow in small plain letters. */
void tb_pack__text(TbFlow *flow, const char *text);

/** Plan a chapter's flow for its sheets. @return how many */
size_t tb_pack__plan_flow(TbPackChapter *chapter);
