/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file dossier_build.h
 * @brief A dossier while it is made: for the files that fill it.
 */
#pragma once

#include "bay/catalogue.h"
#include "study/dossier.h"
#include "study/dossier_make.h"

/** Where texts and cells of a dossier live. */
typedef struct TbDossierStock {
    GStringChunk *texts;
    GPtrArray *cells[TB_DOSSIER_LISTS];
    GArray *levels[TB_DOSSIER_LISTS]; /**< of TbLevel */
} TbDossierStock;

/** A copy that belongs to the dossier; NULL gives "". */
const char *tb_dossier__keep(TbDossier *dossier, const char *text);

/**
 * Start a list.
 *
 * @param kinds one letter a column: n number, t text
 * @param heads of the columns
 */
void tb_dossier__begin(TbDossier *dossier,
                       TbDossierList list,
                       const char *title,
                       const char *kinds,
                       const char *const heads[]);

/** Append a row: as many texts as the list has columns, copied; NULL is "". */
void tb_dossier__row(TbDossier *dossier, TbDossierList list, const char *const cells[]);

/** The level of the row that was appended last: all rows of a list have one, or none. */
void tb_dossier__level(TbDossier *dossier, TbDossierList list, TbLevel level);

/** End all lists: cells may move no more. */
void tb_dossier__end(TbDossier *dossier);

/** "calliper, ±0.7 mm, from cross rail, 2026-09-14"; "not said". Freed with g_free(). */
char *tb_dossier__known(const TbKnown *known);

/** By what an item is known, alone; translated. */
const char *tb_dossier__known_by(const TbKnown *known);

/** True when an item is known by tape, by a guess, or nobody says how. */
bool tb_dossier__is_rough(const TbItem *item);

/** tb_dossier_keep_number() alone. Freed with g_free(). */
char *tb_dossier__keep_text(double keep);

/** "+0.7"-like numbers for texts: fixed decimals without zeros behind. */
char *tb_dossier__number(double x, int decimals);

/** Makes cuts, curves and skins by a study: what the ask names is referenced and copied. */
TbDossierMaker tb_dossier__maker(TbStudy *study, const TbDossierAsk *ask);

/* What fills a dossier, each in its own file. */
void tb_dossier__fill_findings(TbDossier *dossier, const TbBay *bay); /**< what was decided */
void tb_dossier__fill_gaps(TbDossier *dossier, const TbBay *bay);     /**< rows, rough */
void tb_dossier__fill_unpaired(TbDossier *dossier, const TbBay *bay); /**< no keep, not judged */
void tb_dossier__fill_numbers(TbDossier *dossier, const TbBay *bay);  /**< ducts, classes */
void tb_dossier__fill_items(TbDossier *dossier, const TbBay *bay, const TbCatalogue *catalogue);
void tb_dossier__fill_changes(TbDossier *dossier); /**< nothing without an earlier one */
void tb_dossier__fill_rules(TbDossier *dossier, const TbBay *bay); /**< mounts, states, keeps ... */
void tb_dossier__fill_basis(TbDossier *dossier, const TbBay *bay); /**< assumptions, basis */
