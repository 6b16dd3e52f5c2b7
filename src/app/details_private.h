/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file details_private.h
 * @brief The pane's struct and what its files share.
 */
#pragma once

#include "app/detail_field.h"
#include "app/detail_gap.h"
#include "app/details.h"

struct _TbDetails {
    GtkBox parent;

    TbSession *session;
    gulong changed;
    guint idle; /* a look at the session that is due */

    GtkLabel *title_label, *subtitle_label;
    GtkScrolledWindow *scroller;
    GtkBox *content;
    GtkWidget *gap; /* TbDetailGap, or NULL */

    char *id;             /* of what is shown; "bay": the head */
    char *form;           /* its element, how many parts it has: what needs other widgets */
    GPtrArray *fields;    /* TbDetailField *, lent */
    GPtrArray *summaries; /* Summary *, of parts that are folded */
    GHashTable *open;     /* "section/3/": folds that are open */
    GHashTable *rows;     /* the same keys: the widgets of numbered parts, lent */
    char *picked;         /* key of the part whose handle is selected, or NULL */
};

/** Widgets for the record's attributes and parts, into `content`. */
void tb_details__build(TbDetails *details, const TbRecord *record);

/** The part whose handle is selected is marked, and brought into view when it is another one. */
void tb_details__update_picked(TbDetails *details);

/** Selects the handle of a part, where it has one. */
void tb_details__pick(TbDetails *details, const TbPartPlace *place);

/** "path/0/knot/3/"; freed by g_free(). */
char *tb_details__key(const TbPartPlace *place);

/** Texts of the folded parts again. */
void tb_details__update_summaries(TbDetails *details);
