/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file detail_choices.h
 * @brief What an attribute may be chosen from: words, records of the right list, materials,
 * classes.
 */
#pragma once

#include "bay/fields.h"

#include <glib.h>

typedef struct TbDetailChoices {
    char **values; /**< texts of the file, "" for none; ends in NULL */
    char **labels; /**< for people, as many */
} TbDetailChoices;

/** Fills both; to be cleared by the caller. */
void tb_detail_choices(const TbBay *bay, const TbField *field, TbDetailChoices *choices);

/** Differs where the choices may do: cheap enough for every turn of a drag. */
guint tb_detail_choices_hash(const TbBay *bay, const TbField *field);

/** True for words that are usually one of those that others have: classes, castings. */
bool tb_detail_has_words(const TbField *field);

void tb_detail_choices_clear(TbDetailChoices *choices);
