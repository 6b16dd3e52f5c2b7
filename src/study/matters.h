/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file matters.h
 * @brief Findings gathered for people: each matter once, where it is worst, worst first.
 *
 * A *matter* is one rule on one thing, in whatever state and variant. The same pair of items is
 * judged in ten or a hundred of them; people read it once, at its worst. Gaps that are open for one
 * reason (a scan that is not there) are one matter together.
 *
 * While something is dragged there are two results: those of everything, from before the drag, and
 * newer ones of the state and variant that are shown. Each is gathered by itself and then both
 * together; what only the older ones say is marked stale.
 */
#pragma once

#include "study/results.h"

/** Margins nearer than this read alike: the one of what is shown, else the first, is told. Of the
 * finding's unit; a hundredth of the last digit that is shown. */
#define TB_MATTER_ALIKE 1e-3

/** So many levels. */
enum { TB_LEVEL_COUNT = TB_LEVEL_OPEN + 1 };

/** How bad a level is: 3 short, 2 open, 1 watch, 0 holds. */
int tb_level_rank(TbLevel level);

/**
 * The order in which people are told findings, in text, window and pack: short, open, watch, holds;
 * in each gaps before what is said of shapes, for margins of other units do not compare with theirs
 * and a brake line does not wait (of what is open rather the shape, for it is why gaps are); then
 * the least margin first, and those without one last.
 *
 * @return below 0: @p a first; 0: alike, which stay in the order of the checks
 */
int tb_finding_order(const TbFinding *a, const TbFinding *b);

typedef struct TbMatterAsk {
    const TbResults *whole; /**< of every state and variant; or NULL */
    const TbResults *live;  /**< newer, of what is shown only; NULL: whole is up to date */
    const char *item;       /**< only what is about this item; NULL: everything */
    const char *state;      /**< shown: told where margins are alike; or NULL */
    const char *variant;
} TbMatterAsk;

typedef struct TbMatter {
    char *key;                /**< rule/subject[#part]; "gap/?reason" of open gaps */
    const TbFinding *worst;   /**< lent by results */
    const TbResults *results; /**< what names it; lent by the matters */
    size_t others;            /**< further findings of this matter at the same level */
    bool stale;               /**< the worst is of the older document */
    bool is_gap;              /**< it is about the gap of a pair */
    bool key_lent;            /**< the key is that of what the older results say */
} TbMatter;

/** By tb_finding_order() of the worst. */
typedef struct TbMatters {
    TbMatter *matters;
    size_t count;
    size_t levels[TB_LEVEL_COUNT]; /**< matters at each level */
    size_t judged[TB_LEVEL_COUNT]; /**< findings at each level, counting every state and variant */
    TbResults *whole, *live;       /**< referenced; or NULL */
    struct TbOlderMatters *older;  /**< what the older results alone say */
} TbMatters;

/** Never NULL; without results there are no matters. */
TbMatters *tb_matters_new(const TbMatterAsk *ask);

/** The same, and sooner where @p before is of the same older results and of the same shown state
 * and variant, as at every turn of a drag. @p before is only read, and may be NULL. */
TbMatters *tb_matters_again(const TbMatterAsk *ask, const TbMatters *before);
void tb_matters_free(TbMatters *matters); /**< NULL is fine */

/** The matter's key of a finding alone: rule/subject[#part]. Freed by the caller with g_free(). */
char *tb_finding_matter(const TbFinding *finding);

/** The key that findings are gathered by, that of TbMatter. Freed by the caller with g_free(). */
char *tb_matter_key(const TbFinding *finding);

/** It is about the gap of a pair. */
bool tb_finding_is_gap(const TbFinding *finding);

/** A gap that cannot be judged: one broken shape or missing scan leaves dozens of them open. */
bool tb_finding_is_open_gap(const TbFinding *finding);

/** Worse by more than reads alike; a margin that is not there is not worse. */
bool tb_margin_is_worse(double margin, double than);

/** True when a finding is about an item: it or one of its pair is the subject, or its place. */
bool tb_finding_is_about(const TbFinding *finding, const char *item);

/** How one item stands. */
typedef struct TbStanding {
    const char *item;       /**< id, lent by the results */
    bool judged;            /**< false: no finding is about it */
    TbLevel level;          /**< the worst of all findings about it */
    const TbFinding *worst; /**< the one that says so; NULL when nothing was judged */
    const TbResults *results;
    bool stale;
    const TbResultGap *gap; /**< the one furthest below its keep, or nearest to it; NULL: none */
    const TbResults
        *gap_results; /**< that hold the gap: others than `results` while one is dragged */
    bool gap_stale;
} TbStanding;

typedef struct TbStandings TbStandings;

/** How every item stands over all states and variants. With ask->item only what is said about that
 * one holds: for who asks at every turn of a drag. */
TbStandings *tb_standings_new(const TbMatterAsk *ask);
/** The same, and sooner after @p before: see tb_matters_again(). */
TbStandings *tb_standings_again(const TbMatterAsk *ask, const TbStandings *before);
void tb_standings_free(TbStandings *standings); /**< NULL is fine */

/** Lent; NULL when nothing is known of the item. */
const TbStanding *tb_standings_find(const TbStandings *standings, const char *item);
