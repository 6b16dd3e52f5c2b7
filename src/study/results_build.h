/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file results_build.h
 * @brief Results while they are being made: for the study and its checks, not for readers.
 *
 * Whoever makes results owns them alone until they are handed out; afterwards nobody writes.
 * Pointers that the add functions lend hold until the next thing of the same kind is added.
 */
#pragma once

#include "study/results.h"

/** Empty results with one reference; texts are copied, NULL is "". */
TbResults *tb_results_new(const char *bay, const char *revision);

/** Each appends one record whose texts are "" and whose numbers are NAN or 0, and lends it. */
TbResultItem *tb_results_add_item(TbResults *results);
TbResultDuct *tb_results_add_duct(TbResults *results);
TbResultGap *tb_results_add_gap(TbResults *results);
TbResultCombination *tb_results_add_combination(TbResults *results);
/** Its stations and gaps are for the caller to fill. */
TbResultProfile *tb_results_add_profile(TbResults *results, size_t count);
void tb_results_add_state(TbResults *results, const char *id, const char *name);
void tb_results_add_variant(TbResults *results, const char *id, const char *name);
void tb_results_add_warning(TbResults *results, const char *text);

void
tb_result_gap_add_excluded(TbResults *results, TbResultGap *gap, const char *port, double radius);
/** A number of the gap's motion; its values are for the caller to fill. */
TbResultMove *tb_result_gap_add_move(
    TbResults *results, TbResultGap *gap, const char *item, const char *mount, const char *freedom);
/** The warmth of an item at the gap; what is there of the same item goes on. */
void tb_result_gap_add_warmth(
    TbResults *results, TbResultGap *gap, const char *item, double share, double effect);
/** What tolerances do to the gap, with so many sources whose texts are "". Once a gap. */
TbResultScatter *tb_result_gap_add_scatter(TbResults *results, TbResultGap *gap, size_t sources);
void tb_result_combination_add_cause(
    TbResults *results, TbResultCombination *row, const char *cause, double alone, double added);
void
tb_result_duct_add_named(TbResults *results, TbResultDuct *duct, const char *name, double station);

/** Give a text of a record another one; NULL is "". */
void tb_results_set_text(TbResults *results, char **place, const char *text);

/** Room that the results own, with a copy of @p size bytes: for rows. */
void *tb_results_copy(TbResults *results, const void *from, size_t size);

/** What a check says about one finding; texts are copied, NULL is "". */
typedef struct TbFindingDef {
    const char *rule, *subject;
    const char *part; /**< tells several findings of one rule and subject apart: "start"; or NULL */
    const char *state, *variant;
    double value, limit, margin;
    const char *unit;
    TbLevel level;
    const char *basis;
    TbResultPlace place; /**< its item is copied */
} TbFindingDef;

/** A definition whose numbers and place are NAN. */
TbFindingDef tb_finding_def(const char *rule, const char *subject);

/** Appends a finding; its id is rule/subject[#part]/state/variant. */
TbFinding *tb_results_add_finding(TbResults *results, const TbFindingDef *def);

void tb_finding_add_number(TbResults *results, TbFinding *finding, const char *name, double number);
void
tb_finding_add_text(TbResults *results, TbFinding *finding, const char *name, const char *text);
