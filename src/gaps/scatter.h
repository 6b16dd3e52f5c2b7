/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scatter.h
 * @brief What tolerances do to a gap: the worst case as a certified interval, root-sum-square, and
 *        how often a keep is broken by chance.
 *
 * A source of scatter shifts one solid along a direction, turns it about an axis, or lets its whole
 * surface stand off (a casting's or wall's size). Turns come first, in their order (the first is
 * the outermost), shifts last; a surface that stands off by t makes the gap t less. By chance a
 * source is normal with its half band at three deviations, not cut off there, or even within its
 * band. The worst case goes to the bands' ends. An open mesh that is crossed breaks any keep, one
 * of 0 and where surfaces stand off by less than nothing too.
 *
 * Sampling is decided, not estimated: every sample's gap is proved to be at least the keep or shown
 * to be below it. Most samples are let go by bounds of the pairs of surface parts that are near at
 * all: along the direction that parts them nominally, less what the sample moves. What these leave
 * is separated anew, and what that leaves is searched as any gap. Numbers are a function of seed
 * and sample, so any number of threads gives the same answer.
 *
 * The two may move besides (`base_a`, `base_b`: a rock, a warming): sources act on what has moved.
 * The worst case is then over the motion and the bands together; slopes, shares and samples are at
 * the pose at which the motion alone brings the two nearest.
 */
#pragma once

#include "base/work.h"
#include "gaps/moving.h"

typedef enum TbScatterKind { TB_SCATTER_SHIFT, TB_SCATTER_TURN, TB_SCATTER_SIZE } TbScatterKind;

typedef struct TbScatterSource {
    int side; /**< 0: a, 1: b */
    TbScatterKind kind;
    TbVec3 point;     /**< on a turn's axis */
    TbVec3 direction; /**< of a shift, or a turn's axis; need not be unit */
    double half;      /**< mm, rad, mm: half of the band, 0 or more */
    bool even;        /**< by chance anywhere in its band alike; else normal */
} TbScatterSource;

#define TB_SCATTER_MOST 48

/** Samples at most: some minutes. */
#define TB_SCATTER_SAMPLES_MOST 10000000

/** mm above what is enough. A worst case that is plainly so far off is nobody's concern, and a wide
 * interval tells as much; nearer ones are read, compared and dimensioned, so they are searched. */
#define TB_SCATTER_ROOMY 20.0

typedef struct TbScatterAsk {
    const TbSolid *a, *b; /**< as nominal */
    const TbScatterSource *sources;
    size_t count;
    const TbMotion *base_a, *base_b; /**< what moves them besides; NULL: nothing */
    const TbMovingTie *tie;          /**< what the two have in common, see moving.h */
    int ties;
    const TbMovingGap *nominal; /**< the gap of the same two without the sources, asked to the same
                                     width: tb_moving_gap(), of what stands still tb_gap(); NULL:
                                     it is asked here */
    double keep;                /**< mm, 0 or more: a gap below it is broken */
    double width;               /**< mm, of the nominal and the worst gap */
    double enough; /**< mm: a worst case that is plainly at least this and TB_SCATTER_ROOMY more is
                      not searched closer, and one that leaves this or the keep undecided as close
                      as can be; 0 or less: it is always searched to the width asked */
    const TbLeaveOut *leave_out;
    size_t leave_out_count;
    uint64_t seed, samples; /**< 0 samples: no chance is asked */
    double confidence;      /**< 0 to 1, e.g. 0.95 */
} TbScatterAsk;

/** Bins of a histogram. */
#define TB_SCATTER_BINS 36

/** Samples of a histogram where no band could break the keep and none is judged. */
#define TB_SCATTER_FAR_SAMPLES 2000

typedef struct TbScatter {
    TbGap nominal; /**< over the motion besides, if there is one */
    double at_a[TB_MOTION_MOST], at_b[TB_MOTION_MOST]; /**< its numbers where that is nearest */
    double slope[TB_SCATTER_MOST]; /**< mm: what a source's half band changes the nominal gap by, to
                                        the first order */
    double share[TB_SCATTER_MOST]; /**< of the gap's variance, sum 1; 0 where nothing scatters */
    size_t most;                   /**< which source has the largest share */
    double rss; /**< mm, root of the sum of squared slopes: half band of the gap */
    double worst_lower, worst_upper; /**< mm: the least gap within all bands lies between */
    bool worst_exhausted;            /**< that interval is wider than asked */
    bool worst_plain;                /**< the same, for it was plain that it is enough */
    TbContact worst_contact; /**< where the bands bring the two nearest. crosses: the interval is 0,
                                  for what an open mesh crosses has no depth */
    TbInner worst_inner;     /**< the same; of what is clear as nominal, with doubt and enclosed */
    TbDoubt worst_doubt;
    double worst_enclosed;
    uint64_t samples, broken;
    uint64_t undecided; /**< within TB_SCATTER_WIDTH of the keep: counted as broken */
    uint64_t separated; /**< samples that the screen did not let go */
    uint64_t searched;  /**< samples that took a whole search */
    double low, high;   /**< the probability of a broken keep, with the confidence asked */
    /** How often sampled gaps, to the first order about the nominal one, lay where: within
     * TB_SCATTER_SPAN deviations of it, the outermost bins hold what lies beyond. Nothing is
     * decided by it. Width 0: nothing scatters. */
    double bin_from, bin_width; /**< mm */
    uint64_t bins[TB_SCATTER_BINS];
    uint64_t binned; /**< their sum: `samples`, or TB_SCATTER_FAR_SAMPLES */
} TbScatter;

/** Deviations of the gap that a histogram shows to each side. */
#define TB_SCATTER_SPAN 4.5

/** mm. A sample's gap is searched to this width around the keep. */
#define TB_SCATTER_WIDTH 1e-4

/**
 * @param work threads, or NULL
 * @param task polled; told how far the samples are where there are 100,000 or more
 * @return TB_OK; TB_E_RANGE: a keep, band, confidence or count out of range, a band larger than the
 *         solid it moves; TB_E_DEGENERATE: no direction; TB_E_LIMIT: turns about more directions
 *         than a motion has; TB_E_CANCELLED; TB_E_MEMORY
 */
TbStatus
tb_scatter(const TbScatterAsk *ask, TbWork *work, TbTask *task, TbScatter *scatter, TbFault *fault);

/** The bands as a motion of the two, what moves them besides within it: what is asked in another
 * way than tb_scatter() does, such as section by section. A gap over it, less both numbers, is the
 * least within all bands or below; one that was seen there, less `off` and with `slack` more, is
 * not below it. */
typedef struct TbScatterMotion {
    TbMovingAsk moving; /**< lends from the question; its width */
    double off;         /**< mm: surfaces stand off by so much together */
    double slack;       /**< mm: what else the bands do that no motion says, at most */
} TbScatterMotion;

/** Sources and bands as tb_scatter() has taken them. @return TB_OK; TB_E_LIMIT: what moves them
 * besides has too many freedoms */
TbStatus tb_scatter_motion(const TbScatterAsk *ask, TbScatterMotion *motion, TbFault *fault);

/** Poses of both solids in one sample, after what moves them besides, and by how much their
 * surfaces stand off together, mm. */
void tb_scatter_sample(const TbScatterAsk *ask, uint64_t sample, TbPose pose[2], double *off);
