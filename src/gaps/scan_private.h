/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scan_private.h
 * @brief The walk of one group of a lattice's rows over a scan's tree.
 *
 * The walk throws out, by boxes and then by float distances, what cannot come nearer than the
 * cut; what is left goes through `settle`, which alone lowers a bound, in doubles. Rows of a group
 * share the walk; each has its bound, or all share one.
 *
 * Allowance of the floats. Let L bound the differences of coordinates that a pair is made of: its
 * own cut, a patch's and a triangle's diagonal. A computed squared distance then exceeds the true
 * one of the float corners by at most TB_SCAN_SHARE * L^2: the sums of products lose 40 * 6e-8;
 * segments nearly in one direction lose what their discriminant loses, 1e-6; the distance from a
 * face loses the inexact normal of a slim triangle, 6e-8 / TB_SCAN_SLIM in direction, and slimmer
 * ones leave it to their edges, which is (TB_SCAN_SLIM / 2)^2 too far. The float corners themselves
 * are off by 2^-24 of the largest coordinate each.
 */
#pragma once

#include "gaps/lattice_private.h"
#include "geom/tree.h"

/** Relative to L^2; see above: 2.4e-6 + 1e-6 + 1.2e-5 + 6.3e-6, and twice that. */
#define TB_SCAN_SHARE 5e-5f

/** Height over longest side below which a triangle's face is left to its edges. */
#define TB_SCAN_SLIM 5e-3f

/** Of the largest coordinate: two corners' rounding, in three axes, twice. */
#define TB_SCAN_CORNER 5e-7f

/** Of the largest coordinate: places of a patch and of a triangle along a unit direction, each a
 * sum of three products, twice 3 * 6e-8 * sqrt(3), and three sums of places; and some more. */
#define TB_SCAN_ALONG 1.2e-6f

/** A pair that may still matter. */
typedef struct TbScanPair {
    float distance2; /**< mm^2: the flat triangles are no nearer than this, allowance taken off */
    float stray;     /**< mm: how far the patch may be from its flat triangles */
    uint32_t triangle;
    uint16_t column;
    uint8_t lane; /**< row of the group */
} TbScanPair;

/** Pairs kept for one row before they are settled. */
#define TB_SCAN_KEPT 512

/** Leaves that are listed for one row before they are tried. */
#define TB_SCAN_LISTED 128

/** Swept: a leaf that may be near a row. */
typedef struct TbScanListed {
    float apart; /**< mm: no triangle of it is nearer, rounding included */
    uint32_t leaf;
    uint32_t column; /**< whose tangent is next to it */
} TbScanListed;

typedef struct TbScanList {
    TbScanListed leaf[TB_SCAN_LISTED];
    float least; /**< mm: of all that have been listed */
    int count;
} TbScanList;

/** Pairs of one patch and one triangle, in eight lanes. */
typedef struct TbScanBatch {
    float patch[4][3][TB_LANES]; /**< a b f d */
    float corner[3][3][TB_LANES];
    TbScanPair pair[TB_LANES];
    float extra[TB_LANES]; /**< mm^2: allowance */
    int count;
} TbScanBatch;

/** Directions from the scan to each row, along which the rows were nearest so far, and where each
 * patch begins along its row's. */
typedef struct TbScanWays {
    float newest[3][TB_LANES]; /**< 0 where none is known: that tells nothing apart */
    float unit[3][TB_LANES];   /**< those that the following belong to */
    float patch[TB_LANES][TB_LATTICE_MOST_COLUMNS];            /**< mm, stray taken off */
    float block[TB_LATTICE_MOST_COLUMNS / TB_LANES][TB_LANES]; /**< least of eight patches */
    unsigned stale;                                            /**< rows of a newer way */
    float slack; /**< mm: rounding of two places along a way */
} TbScanWays;

typedef struct TbScan TbScan;

struct TbScan {
    const TbLattice *lattice;
    const TbTree *tree;
    size_t group;
    int together; /**< so many rows share a bound, kept in each of their lanes: 1 or all */
    double width; /**< mm: what is nearer than the bound by less than this need not be found */
    double slack; /**< mm: rounding of the float corners */
    double upper[TB_LANES];    /**< mm: witnessed */
    double foreseen[TB_LANES]; /**< mm: what floats have seen, allowance added */
    float cut[TB_LANES];       /**< mm: upper - width, but not below 0, slack added */
    float cut2[TB_LANES];      /**< its square, a little more; far below 0 where nothing matters */
    float most_cut;
    TbScanWays ways;             /**< none where one bound is shared */
    TbScanPair hint[TB_LANES];   /**< the pair of what was foreseen */
    size_t hint_group[TB_LANES]; /**< and the group whose row it is of */
    TbScanList list[TB_LANES];
    TbScanBatch batch;
    TbScanPair kept[TB_LANES][TB_SCAN_KEPT];
    int kept_count[TB_LANES];
    /** Exact: lowers `upper` by tb_scan__take() where the pair is nearer. */
    void (*settle)(TbScan *scan, const TbScanPair *pair);
    void *user;
};

/** A row is witnessed to meet the scan (or is not there): nothing is nearer, so nothing of it
 * matters any more. What crosses the scan all over would else be looked at all over. */
static inline bool
tb_scan__is_met(const TbScan *scan, int lane)
{
    return !(scan->upper[lane] > 0);
}

/** Whether a pair could still lower its row's bound. */
static inline bool
tb_scan__matters(const TbScan *scan, const TbScanPair *pair)
{
    float reach = scan->cut[pair->lane] + pair->stray;

    return !tb_scan__is_met(scan, pair->lane) && pair->distance2 < reach * reach;
}

/** A pair is no further than this, squared, as floats see it: the cut may be lowered already. */
void tb_scan__foresee(TbScan *scan, const TbScanPair *pair, float distance2);

/** First of the lanes that share a lane's bound. */
static inline int
tb_scan__first(const TbScan *scan, int lane)
{
    return lane - lane % scan->together;
}

/** Forget what does not matter any more; settle all that is kept where that is not enough. */
void tb_scan__make_room(TbScan *scan, int lane);

/** Settle all that is kept. */
void tb_scan__settle_kept(TbScan *scan, int lane);

/** Walk scan->group over the whole tree, and settle all that is kept. */
void tb_scan__walk_plain(TbScan *scan);
void tb_scan__walk_avx2(TbScan *scan);

/** A row's three patches about a column against one leaf, for a bound to begin with. Where all rows
 * share a bound, all that is left is settled. Of a flat row only the nearest is, and only where it
 * is nearer than what is witnessed; of a swept one nothing: the rest is kept for the walk's end. */
void tb_scan__near_plain(TbScan *scan, int lane, uint32_t column, uint32_t leaf);
void tb_scan__near_avx2(TbScan *scan, int lane, uint32_t column, uint32_t leaf);
