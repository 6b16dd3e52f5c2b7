/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file decisions.h
 * @brief What people decided about findings: found, told, recorded. No widget here.
 *
 * A decision is kept by a finding's id, for that state and variant alone, or by the matter's key
 * (rule/subject), for all of them; the particular one goes first.
 */
#pragma once

#include "app/session.h"
#include "study/dossier.h"

/** NULL: nothing was decided. Lent by the bay. @param wide set when it holds for all states and
 * variants; may be NULL */
const TbDecision *tb_decision_about(const TbBay *bay, const TbFinding *finding, bool *wide);

/**
 * "Waived by A. B. until 2027-01-31: reason", translated. Freed with g_free().
 *
 * @param today YYYY-MM-DD: what was due before is said to be overdue
 */
char *tb_decision_told(const TbDecision *decision, const char *today);

/** Today as YYYY-MM-DD, by the clock of the place. Freed with g_free(). */
char *tb_today(void);

/** What is recorded; texts may be NULL. */
typedef struct TbVerdict {
    int disposition; /**< TbDisposition */
    const char *owner, *due, *text;
    bool wide; /**< for every state and variant */
} TbVerdict;

/**
 * Record a decision in place of the one that held, as one step to undo. TB_DISPOSITION_OPEN
 * without owner, date and text takes it away.
 *
 * @param[out] fault why not: a waiver without a reason, a date that is none
 */
bool
tb_decide(TbSession *session, const TbFinding *finding, const TbVerdict *verdict, TbFault *fault);
