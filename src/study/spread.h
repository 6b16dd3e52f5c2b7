/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file spread.h
 * @brief Which tolerances bear on a gap: from the document to sources of scatter; and the gap at
 *        their edge.
 *
 * Placement: of the mounts that one item rides on and the other does not, and what an item's own
 * `tolerance` says. Size: the grade of a duct's process and of an item's tolerance by the item's
 * longest extent (or the size that is stated), the mismatch at the parting, and of a casting its
 * core shift or its wall, whichever is more, for a shifted core is what makes a wall uneven. Each
 * lets the surface stand off by its half band.
 *
 * How well an item is known is none of these: a measured part is where it is, and its uncertainty
 * is judged with the keep's margin (keeps.h). So no millimetre is counted twice.
 */
#pragma once

#include "gaps/moving.h"
#include "gaps/scatter.h"
#include "study/grades.h"
#include "study/measure.h"
#include "study/results_build.h"
#include "study/stand.h"

/** Of a pair's sources. Texts are lent by the document, grades by the document or the table. */
typedef struct TbSpreadSource {
    TbScatterSource scatter;
    const char *kind;    /**< placement, grade, core-shift, wall, mismatch */
    const char *item;    /**< id, or NULL: a mount's */
    const char *mount;   /**< id, or NULL */
    const char *freedom; /**< tx ... rz; or NULL */
    const char *grade;   /**< or NULL */
    double size;         /**< mm; NAN */
} TbSpreadSource;

typedef struct TbSpreadSet {
    TbSpreadSource source[TB_SCATTER_MOST];
    size_t count;
    bool blended; /**< an item rides on two mounts: what is said of it is not certified */
} TbSpreadSet;

/**
 * Of two items of a settled stand that have solids.
 *
 * @return TB_OK; TB_E_REFERENCE, TB_E_RANGE: a grade, size or band that cannot be judged; the
 *         fault names the item and the number
 */
TbStatus tb_spread_of(const TbStand *stand, size_t a, size_t b, TbSpreadSet *set, TbFault *fault);

/** No unit: how surely the interval of a probability holds it. */
#define TB_SPREAD_CONFIDENCE 0.95

/** What is asked by chance. */
typedef struct TbSpreadChance {
    uint64_t samples; /**< 0: none */
    uint64_t seed;
} TbSpreadChance;

/** A gap at the edge of tolerance, as it is kept. */
typedef struct TbSpreadGap {
    TbMovingGap moving; /**< the worst case as interval, points and numbers where the motion alone
                             brings them nearest; begins with its TbGap, as others' do */
    TbScatter scatter;
    TbStatus status; /**< TB_OK; or why it cannot be judged, with its fault */
    TbFault fault;
} TbSpreadGap;

/** The value is a TbSpreadGap. @param ask motions: what moves them besides
 * @param nominal tb_measure_gap() of the same, settled; NULL: it is asked again */
TbEntry *tb_spread_gap(TbCache *cache,
                       const TbPairAsk *ask,
                       const TbEntry *nominal,
                       const TbSpreadSet *set,
                       const TbSpreadChance *chance,
                       bool *is_new);

/** A question about a pair and its sources, both lent, with no keep and no samples. */
TbScatterAsk tb_spread_ask(const TbPairInput *pair, const TbScatterSource sources[], size_t count);

/** Adds what the sources are; NULL is fine. */
void tb_spread_key(TbKey *key, const TbSpreadSet *set);

/** An entry is of tb_spread_gap(). */
bool tb_spread_is_searched(const TbEntry *entry);

/** Takes all that the sources reach off a gap that is not searched with them (not certified). */
void tb_spread_take_off(const TbSpreadSet *set, TbGap *gap);

/** Puts what is known into a gap's result. */
void tb_spread_tell(const TbSpreadSet *set,
                    const TbSpreadGap *gap,
                    const TbSpreadChance *chance,
                    double keep,
                    TbResults *results,
                    TbResultGap *result);
