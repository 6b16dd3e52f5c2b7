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
    GHashTable *open;     /* "section/3": folds that are open */
};

/** Widgets for the record's attributes and parts, into `content`. */
void tb_details__build(TbDetails *details, const TbRecord *record);

/** Texts of the folded parts again. */
void tb_details__update_summaries(TbDetails *details);
