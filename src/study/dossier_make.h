/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file dossier_make.h
 * @brief From a document to a dossier: for who has the document at hand.
 */
#pragma once

#include "study/dossier.h"
#include "study/study.h"

typedef struct TbDossierAsk {
    TbBay *bay;
    const char *folder;  /**< where relative scan paths start; NULL: the working folder */
    const char *name;    /**< identifies the document: its file's name, with or without ending */
    const char *state;   /**< id, or NULL: all that are judged */
    const char *variant; /**< id, or NULL: all */
    TbBay *against;      /**< an earlier document, or NULL */
    const char *against_folder, *against_name;
} TbDossierAsk;

/**
 * Judge a document (and the earlier one) and gather what a pack shows.
 *
 * @param study must outlive the dossier, which asks it for cuts and curves: by one thread at a
 *              time, as ever
 * @param[out] dossier a reference for the caller; untouched on failure
 * @return TB_OK, or as tb_study_judge()
 */
TbStatus tb_dossier_new(
    TbStudy *study, const TbDossierAsk *ask, TbTask *task, TbDossier **dossier, TbFault *fault);
