/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file pack_window_private.h
 * @brief The pack's window and what its files share.
 */
#pragma once

#include "app/canvas.h"
#include "app/pack_choices.h"
#include "app/pack_job.h"
#include "app/pack_window.h"

/** What takes the pack's thread for long, asked by a button. */
typedef enum TbPackWork { TB_PACK_IDLE, TB_PACK_EXPORTS, TB_PACK_PRINTS } TbPackWork;

struct _TbPackWindow {
    GtkWindow parent;

    TbSession *session;
    GSettings *settings;
    TbPackJob *job;
    gulong document_changed, settings_changed;
    GSimpleActionGroup *actions;

    /* the plan */
    TbBay *bay; /**< that was asked for last */
    char *name; /**< its file then */
    TbPackPlan *plan;
    guint waiting; /**< source that will ask for one */
    bool planning; /**< one is asked for */
    bool stale;    /**< the plan is not of what was asked for last */
    TbPackWork work;
    bool tells_progress; /**< in the line below */

    /* the earlier bay */
    TbBay *against;
    char *earlier;
    TbFile *reading;
    GCancellable *cancel;

    /* the sheet that is looked at */
    size_t sheet;
    TbPicture picture;
    TbVec2 centre; /**< mm of the sheet, in the middle of the canvas */
    double ratio;  /**< mm of the canvas for one of the sheet */
    bool fitted;
    double told_ratio; /**< that the words below the sheet are of */
    guint telling;     /**< source that will tell another */
    bool updating;     /**< the list is put in order: what it says of its selection is no wish */

    /* paper */
    GtkPrintOperation *print;
    GtkPrintContext *page; /**< waits for its sheet */
    gint64 print_began;

    GtkLabel *subtitle_label, *empty_label, *place_label, *zoom_label, *message_label;
    GtkBox *notices, *canvas_box, *progress_box;
    GtkProgressBar *progress_bar;
    GtkDropDown *paper, *projection, *inks;
    GtkGrid *options;
    GtkButton *earlier_button, *no_earlier_button, *again_button;
    GtkLabel *earlier_label;
    GtkListBox *list;
    TbCanvas *canvas;
};

/* ---- pack_window.c ---- */

/** What the buttons can do now, and which words are shown. */
void tb_pack_window__update(TbPackWindow *window);

/** A short sentence in the line below. */
void tb_pack_window__say(TbPackWindow *window, const char *text);

/** A sentence that stays until it is closed: what went wrong. NULL takes it away. */
void tb_pack_window__complain(TbPackWindow *window, const char *text);

/** Ask for a plan after @p ms without another wish. */
void tb_pack_window__plan(TbPackWindow *window, guint ms);

/** Ask now for what is still waiting to be asked. */
void tb_pack_window__plan_now(TbPackWindow *window);

/** The bar; below 0 takes it away. */
void tb_pack_window__show_progress(TbPackWindow *window, const char *what, double share);

/* ---- pack_earlier.c: what it is compared with ---- */

void tb_pack_earlier__choose(TbPackWindow *window);
void tb_pack_earlier__stop(TbPackWindow *window); /**< reading one */
void tb_pack_earlier__update(TbPackWindow *window);

/* ---- pack_list.c: chapters and sheets on the left ---- */

void tb_pack_list__init(TbPackWindow *window);
void tb_pack_list__update(TbPackWindow *window); /**< after a plan */
void tb_pack_list__select(TbPackWindow *window, size_t sheet);
/** "Sheet 3 of 72: Summary"; freed with g_free(). */
char *tb_pack_list__name(TbPackWindow *window, size_t sheet);

/* ---- pack_view.c: the sheet in the middle ---- */

void tb_pack_view__init(TbPackWindow *window);
void tb_pack_view__show(TbPackWindow *window, TbPicture *picture); /**< taken; NULL: none */
void tb_pack_view__update(TbPackWindow *window);                   /**< words of place and zoom */
void tb_pack_view__add_actions(TbPackWindow *window);

/* ---- pack_out.c, pack_print.c ---- */

void tb_pack_out__export(TbPackWindow *window);
void tb_pack_out__written(TbPackWindow *window, const char *path, const TbFault *fault);
void tb_pack_print__print(TbPackWindow *window);
void tb_pack_print__paged(TbPackWindow *window, TbPicture *picture, const TbFault *fault);
/** Nobody waits for paper any more. */
void tb_pack_print__give_up(TbPackWindow *window);
