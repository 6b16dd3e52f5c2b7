/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file combine.h
 * @brief All states and variants in one table, the worst row first, and which effect eats how much.
 *
 * A row is a gap as judged. Its effects come on top of each other in a fixed order: what the pair
 * has cold, then warmth, then the rock, then tolerances. What one adds is the difference of two
 * gaps as they are told, by their lower ends, so cold less all that was added is the row's; and
 * each is told alone besides, against cold, for together they may eat more or less than one by one.
 * A pair's parts are measured whether a keep speaks of them or not.
 */
#pragma once

#include "study/case.h"

/**
 * Appends the table of a judged case to its results. What a row's causes need and the case has not
 * (states that the bay does not declare) is judged besides.
 *
 * @return TB_OK, TB_E_CANCELLED, TB_E_MEMORY
 */
TbStatus tb_combine(TbStudy *study,
                    const TbAsk *ask,
                    const TbCase *theirs,
                    TbTask *task,
                    TbResults *results,
                    TbFault *fault);
