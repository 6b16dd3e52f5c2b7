/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file check.h
 * @brief What a check is, and what it may read.
 *
 * A check is one file, check_*.c, with one function, and one line in the table of checks.c. It
 * reads a case, which is the document as asked with everything computed that the checks need, and
 * appends findings. It computes nothing long: what is long belongs into measure.h, where it is kept
 * and done in parallel.
 */
#pragma once

#include "study/keeps.h"
#include "study/measure.h"
#include "study/measure_facts.h"
#include "study/moves.h"
#include "study/results_build.h"
#include "study/spread.h"
#include "study/warmth.h"

/** The bay in one variant and state, with its pairs and their gaps. */
typedef struct TbCaseStand {
    TbStand *stand;
    GPtrArray *pairs;    /**< of TbPair; none where the state is not judged */
    TbEntry **gaps;      /**< one a pair: a TbMovingGap, which begins with its TbGap; NULL where a
                              shape is missing or a motion cannot be judged */
    TbMove *moves;       /**< two a pair where the state rocks or is warm, else NULL */
    TbTies *ties;        /**< one a pair where there are moves: what their warmths have in common */
    bool *blended;       /**< the same: a shape gives way, so moves are both sides' (blend.h) */
    TbSpreadSet *spread; /**< one a pair where the state is at tolerance, else NULL; its gaps are
                              then TbSpreadGap, but of what is blended along a motion */
    char **why;          /**< one a pair: why its motion cannot be judged, or NULL */
    TbEntry **facts;     /**< one an item: its TbSweepFacts as drawn; NULL where it has no path */
    TbSpreadChance chance; /**< how the gaps at tolerance were sampled */
    bool judged;           /**< false: only there so that shapes as drawn can be checked */
} TbCaseStand;

typedef struct TbCase {
    const TbBay *bay;
    const TbCatalogue *catalogue;
    GPtrArray *conditions; /**< of TbCondition, as asked */
    bool state_asked;      /**< one state was asked for by name */
    bool posed;            /**< its stands are at the numbers of TbAsk.pose */
    TbCaseStand *stands;   /**< by variant, then state */
    size_t count;
    size_t variants; /**< how many variants; the stands of one follow each other */
} TbCase;

enum {
    TB_NEEDS_FACTS = 1, /**< facts of sweeps */
    TB_NEEDS_GAPS = 2   /**< pairs and gaps */
};

typedef struct TbCheck {
    const char *name; /**< the rule of its findings, or what they begin with */
    unsigned needs;   /**< TB_NEEDS_... */
    void (*run)(const TbCase *theirs, TbResults *results);
} TbCheck;

extern const TbCheck tb_checks[];
extern const size_t tb_check_count;

/** What all checks together need. */
unsigned tb_checks_needs(void);

/** One item in one shape, as a check meets it. */
typedef struct TbCaseItem {
    const TbCase *theirs;
    const TbStand *stand; /**< the first one that it stands in, in this shape */
    const TbPlaced *placed;
    const TbForm *form;        /**< as drawn */
    const TbSweepFacts *facts; /**< NULL where it has none */
    const char *variant;       /**< "" where it is the same in all variants it stands in */
} TbCaseItem;

/**
 * Visit every item once for each shape, as drawn, that it has in the variants asked, in the
 * document's order.
 */
void tb_case_each_item(const TbCase *theirs,
                       void (*visit)(const TbCaseItem *item, TbResults *results),
                       TbResults *results);

/** Name for people of a port, or its id. Lent. */
const char *tb_check_port_name(const TbPort *port);

/** A duct whose area must never shrink and whose growth is limited: all but runners. */
bool tb_check_is_outlet(const TbItem *item);

/** The limits by which the facts of a path item are found. */
TbSweepLimits tb_check_limits(const TbCatalogue *catalogue, const TbBay *bay, const TbItem *item);

/** Level of a value that must stay below a limit, `watch` within @p margin of it. */
TbLevel tb_check_below(double value, double limit, double margin);

/** Level of a value that must stay above a limit. */
TbLevel tb_check_above(double value, double limit, double margin);

/** A definition with rule, subject, variant and the place of a worst station, angles deg. */
TbFindingDef tb_check_finding(const TbCaseItem *item, const char *rule, const TbSweepWorst *worst);

/* The checks, each in its own file. */
void tb_check_area(const TbCase *theirs, TbResults *results);
void tb_check_bend(const TbCase *theirs, TbResults *results);
void tb_check_class(const TbCase *theirs, TbResults *results);
void tb_check_fold(const TbCase *theirs, TbResults *results);
void tb_check_gap(const TbCase *theirs, TbResults *results);
void tb_check_growth(const TbCase *theirs, TbResults *results);
void tb_check_housing(const TbCase *theirs, TbResults *results);
void tb_check_port(const TbCase *theirs, TbResults *results);
void tb_check_joint(const TbCase *theirs, TbResults *results);
void tb_check_scan(const TbCase *theirs, TbResults *results);
void tb_check_self(const TbCase *theirs, TbResults *results);
void tb_check_shape(const TbCase *theirs, TbResults *results);
void tb_check_smooth(const TbCase *theirs, TbResults *results);
void tb_check_state(const TbCase *theirs, TbResults *results);
void tb_check_wall(const TbCase *theirs, TbResults *results);
void tb_check_warmth(const TbCase *theirs, TbResults *results);
