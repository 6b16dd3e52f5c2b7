/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file detail_field.h
 * @brief One attribute of a record or of a part of it: a label, what it is typed or chosen in, and,
 *        where the typed text will not do, why.
 *
 * A text that is no value stays in its cell, marked, with one sentence under it; the document is
 * then as it was. A good one becomes one undo step.
 */
#pragma once

#include "app/detail_value.h"
#include "app/session.h"

#include <gtk/gtk.h>

#define TB_TYPE_DETAIL_FIELD (tb_detail_field_get_type())
G_DECLARE_FINAL_TYPE(TbDetailField, tb_detail_field, TB, DETAIL_FIELD, GtkBox)

/** What a field is about. Everything is lent and lasts, but `id`, which is copied. */
typedef struct TbDetailWhat {
    TbSession *session; /**< must outlive the field */
    const char *id;     /**< of the record; "bay": the head */
    TbPartPlace place;
    const TbElement *element;
    const TbField *field;
    bool compact; /**< cells alone, in a row of a list: no label */
} TbDetailWhat;

GtkWidget *tb_detail_field_new(const TbDetailWhat *what);

/** Show what the document says now; a text that is being typed stays. */
void tb_detail_field_update(TbDetailField *field);

/** Take over what was typed and not yet confirmed; where it is no value, the session says why. */
void tb_detail_field_settle(TbDetailField *field);

/** The record, the head for "bay"; NULL: gone. Lent. */
const TbRecord *tb_detail_record(TbSession *session, const char *id);

/** The name of a record for people. Lent. */
const char *tb_detail_name(const TbRecord *record);

/** "section 3 of Turbine outlet"; freed by g_free(). */
char *tb_detail_place_name(const TbRecord *record, const TbPartPlace *place);
