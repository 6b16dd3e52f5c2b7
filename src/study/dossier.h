/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file dossier.h
 * @brief Everything that a review pack shows of a bay, as plain data without a pointer into the
 *        document.
 *
 * A dossier holds what every page needs: results, findings with what people decided, and lists of
 * what stands in the document as tables of text, translated. What is large is not in it: cuts and
 * curves are made when a page asks for them, one at a time, so that a pack of any length needs the
 * room of one page. Texts are UTF-8, belong to the dossier and are never NULL.
 *
 * Nothing here comes from a clock: dates are the document's.
 */
#pragma once

#include "base/work.h"
#include "study/compare.h"
#include "study/matters.h"
#include "study/scene.h"
#include "study/skin_change.h"

#include <glib.h>

/** Fields of a title block. "" where the document does not say. */
typedef struct TbDossierTitle {
    const char *document; /**< identification: the file's name without its ending */
    const char *title;
    const char *revision; /**< id of the current revision */
    const char *change;   /**< what that revision changed */
    const char *owner;    /**< who the document says it belongs to */
    const char *creator;  /**< who made the revision */
    const char *date;     /**< YYYY-MM-DD of the revision, else of the newest one */
    const char *vehicle;  /**< the vehicle that was measured */
    const char *program;  /**< "Tightbay 0.1.0" */
} TbDossierTitle;

/** A matter that does not simply hold: short, open or watch, worst first. */
typedef struct TbDossierFinding {
    const TbMatter *matter; /**< lent by the dossier's matters */
    size_t number;          /**< from 1; the same on every page */
    const char *what, *where;
    const char *decided; /**< "waived", "to be measured" ..., translated; "not decided" */
    const char *owner, *due, *reason;
    const TbResultGap *gap; /**< what it is about, or NULL; lent by the results */
} TbDossierFinding;

/** One gap in one state; variants in which it is the same stand in one row. */
typedef struct TbDossierGap {
    const TbResultGap *gap; /**< of the first of them; lent by the results */
    const char *variants;   /**< their ids, or "all"; "" in a bay without variants */
    const char *known;      /**< by what the rougher of the two is known */
} TbDossierGap;

/** A column of a table. */
typedef struct TbDossierColumn {
    const char *head;
    bool is_number; /**< set to the right */
} TbDossierColumn;

/** mm to spare. A gap that holds with as much is told only where its pair is worst: in the van
 * example nine rows of ten, which nobody reads on paper. */
#define TB_DOSSIER_NEAR 10.0

/** Room for the columns of a table. */
enum { TB_DOSSIER_COLUMNS = 12 };

/** Rows of cells, by row, then column. */
typedef struct TbDossierTable {
    const char *title;
    TbDossierColumn columns[TB_DOSSIER_COLUMNS];
    size_t column_count;
    const char **cells;
    const TbLevel *levels; /**< of the rows; NULL: they have none */
    size_t row_count;
} TbDossierTable;

/** Which tables there are, in the order in which they are read. */
typedef enum TbDossierList {
    TB_DOSSIER_NUMBERS,  /**< key numbers of ducts: area in and out, length, mass */
    TB_DOSSIER_CLASSES,  /**< the smallest gap of each pair of classes */
    TB_DOSSIER_ROUGH,    /**< gaps that rest on rough measurements, the most doubtful first */
    TB_DOSSIER_UNPAIRED, /**< pairs without a keep, by class */
    TB_DOSSIER_UNJUDGED, /**< items that no gap is about */
    TB_DOSSIER_ITEMS,
    TB_DOSSIER_MATERIALS,
    TB_DOSSIER_MOUNTS,
    TB_DOSSIER_STATES,
    TB_DOSSIER_VARIANTS,
    TB_DOSSIER_KEEPS,
    TB_DOSSIER_JOINTS, /**< what is left out at ports */
    TB_DOSSIER_ASSUMPTIONS,
    TB_DOSSIER_REVISIONS,
    TB_DOSSIER_BASIS,            /**< rules that judged something, and what they rest on */
    TB_DOSSIER_CAUTIONS,         /**< what the reader and the study warn of */
    TB_DOSSIER_CHANGED_ITEMS,    /**< since the earlier document; with one only, as the next */
    TB_DOSSIER_CHANGED_AREAS,    /**< of changed ducts at stations that both documents name */
    TB_DOSSIER_CHANGED_GAPS,     /**< won and lost, the least margin first */
    TB_DOSSIER_CHANGED_FINDINGS, /**< whose level is another */
    TB_DOSSIER_LISTS
} TbDossierList;

/** A plane that a page wants to show. */
typedef struct TbDossierCut {
    TbSceneView view;
    double at;                   /**< Y, Z or X of the plane, mm; station for TB_SCENE_ACROSS */
    const char *item;            /**< TB_SCENE_ACROSS: the duct or line */
    TbVec3 point, look, up;      /**< TB_SCENE_FREE */
    const char *state, *variant; /**< ids; NULL: cold, the first */
    bool before;                 /**< of the earlier document */
    const TbResultGap *pose;     /**< at whose worst numbers, where they can be drawn (posed.h);
                                      NULL: at rest */
} TbDossierCut;

typedef struct TbDossier TbDossier;

/** Who makes what is too large to keep; tests bring their own. */
typedef struct TbDossierMaker {
    TbStatus (*cut)(
        void *user, const TbDossierCut *cut, TbTask *task, TbScene **scene, TbFault *fault);
    TbStatus (*strip)(void *user,
                      const char *item,
                      const char *state,
                      const char *variant,
                      bool before,
                      TbTask *task,
                      TbSceneStrip **strip,
                      TbFault *fault);
    TbStatus (*skin)(void *user,
                     const TbResultDuct *path,
                     const char *variant,
                     TbTask *task,
                     TbSkinChange **change,
                     TbFault *fault);
    void (*free)(void *user); /**< or NULL */
    void *user;
} TbDossierMaker;

struct TbDossier {
    int references;
    TbDossierTitle title;
    TbResults *results; /**< of everything asked, with profiles */
    TbMatters *matters; /**< of them */
    TbDossierFinding *findings;
    size_t finding_count;
    /** Worst first: short, open, watch, holds, each by margin. Every pair where it is worst, and
     * besides all that does not simply hold or has less than TB_DOSSIER_NEAR to spare. */
    TbDossierGap *gaps;
    size_t gap_count;
    size_t further_gaps;  /**< rows of these pairs that are left out */
    double further_spare; /**< mm that the least of those has to spare; infinite: there are none */
    TbDossierTable lists[TB_DOSSIER_LISTS];
    const char *subject;         /**< id of the duct that the pack is about, or "" */
    const char *state, *variant; /**< what overviews show: cold and the first, or what was asked */
    TbDossierTitle before_title; /**< of the earlier document */
    TbResults *before;           /**< its results; NULL: there is none */
    TbDossierMaker maker;
    struct TbDossierStock *stock; /**< owns the texts */
};

/** "Waived", "To be measured" ..., translated; @p disposition is TbDisposition. */
const char *tb_disposition_name(int disposition);

TbDossier *tb_dossier_ref(TbDossier *dossier);
void tb_dossier_unref(TbDossier *dossier); /**< NULL is fine */

/**
 * A cut, made now: the caller's to unref. With no name of a state or variant it shows the
 * dossier's.
 */
TbStatus tb_dossier_cut(const TbDossier *dossier,
                        const TbDossierCut *cut,
                        TbTask *task,
                        TbScene **scene,
                        TbFault *fault);

/** The curves along a path, made now: the caller's to unref. */
TbStatus tb_dossier_strip(const TbDossier *dossier,
                          const char *item,
                          const char *state,
                          const char *variant,
                          bool before,
                          TbTask *task,
                          TbSceneStrip **strip,
                          TbFault *fault);

/** How a path's skin moved since the earlier document, made now: the caller's to free. */
TbStatus tb_dossier_skin(const TbDossier *dossier,
                         const char *item,
                         TbTask *task,
                         TbSkinChange **change,
                         TbFault *fault);

/** True where both documents have a duct or line, and its shape is another. */
bool tb_dossier_duct_changed(const TbDossier *dossier, const char *item);

/** An item's name by its id, in either document; the id itself when unknown. */
const char *tb_dossier_name(const TbDossier *dossier, const char *item);

/** A number for people: fixed decimals, the language's decimal mark, "–" when unknown. */
void tb_dossier_number(double x, int decimals, GString *text);

/** A gap, or what it has to spare, rounded down to a hundredth of a millimetre, so that it never
 * looks larger than it is. */
void tb_dossier_gap_number(double gap, GString *text);

/** The upper end of a gap's interval, rounded up, so that what is told holds the gap. */
void tb_dossier_gap_end(double gap, GString *text);

/** A keep as it is given, with as many decimals as tell it from a gap; "–" when unknown. */
void tb_dossier_keep_number(double keep, GString *text);

/** "120 mm of Turbine outlet", both sides where both have a path; where neither has, the point. */
void tb_dossier_gap_place(const TbDossier *dossier, const TbResultGap *gap, GString *text);

/** The same where both names stand beside it: "120 | 229" mm, "120 | –"; the point, "1037, -138,
 * 747". */
void tb_dossier_gap_stations(const TbResultGap *gap, GString *text);
