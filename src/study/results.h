/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file results.h
 * @brief What a study found, as plain values in the user's units: what reports, drawings and the
 *        window show. No pointer into the document.
 *
 * Units are those of the report: mm, mm2, mm3, kg, deg, degC, g/s, kPa, 1/mm. Unknown numbers are
 * NAN here and null in JSON. Texts are UTF-8, belong to the results, and are never NULL.
 * Results are immutable and reference-counted.
 */
#pragma once

#include "gaps/gap.h"
#include "geom/vec3.h"

#include <stdbool.h>
#include <stddef.h>

typedef enum TbLevel {
    TB_LEVEL_HOLDS, /**< does hold */
    TB_LEVEL_WATCH, /**< holds, but inside the margin or the uncertainty */
    TB_LEVEL_SHORT, /**< does not hold */
    TB_LEVEL_OPEN   /**< cannot be judged, with the reason */
} TbLevel;

/** "holds", "watch", "short", "open". */
const char *tb_level_name(TbLevel level);

typedef struct TbResultItem {
    char *id, *name, *kind, *item_class, *mount;
    char *shape; /**< digest of its shape as drawn: differs when the item moved or changed */
} TbResultItem;

typedef struct TbResultName {
    char *id, *name;
} TbResultName;

/** One row of a station table. Angles deg, curvature 1/mm. */
typedef struct TbStationRow {
    double station;
    TbVec3 point, tangent;
    double area, perimeter, hydraulic_diameter;
    double width, height, turn, wall;
    double curvature, growth, cone_angle;
} TbStationRow;

/** A duct or line along its path, in the first state asked (sizes as drawn: cold). */
typedef struct TbResultDuct {
    char *id;
    bool is_line;
    double length, volume_inner, volume_wall, mass;
    TbVec3 centre; /**< of mass */
    TbStationRow *rows;
    size_t row_count;
    TbResultName *named; /**< named stations: id unused, name */
    double *named_at;
    size_t named_count;
} TbResultDuct;

typedef struct TbResultExcluded {
    char *port;
    double radius;
} TbResultExcluded;

/** One number of a motion, where the gap is least. */
typedef struct TbResultMove {
    char *item, *mount;   /**< ids: which item it moves, and whose freedom it is */
    char *freedom;        /**< rx ry rz (deg), tx ty tz (mm) */
    double at, low, high; /**< deg or mm */
} TbResultMove;

/** How warm an item is where the gap is least: what it is anywhere between is free. */
typedef struct TbResultWarmth {
    char *item;    /**< id: of the two, or of what carries one of their ends */
    double share;  /**< 0 cold, 1 hot */
    double effect; /**< mm: by how much its whole warming opens the gap there, to the first order */
} TbResultWarmth;
/** One tolerance at a gap. */
typedef struct TbResultSource {
    char *name;    /**< English: "engine: placement ty", "outlet: DCTG 8, size 512 mm"; else see
                        tb_say_source() */
    char *kind;    /**< placement, grade, core-shift, wall, mismatch */
    char *item;    /**< id of the item that is made or placed so, or "" */
    char *mount;   /**< id of the mount that is placed so, or "" */
    char *freedom; /**< of a placement: tx ty tz rx ry rz; else "" */
    char *grade;   /**< of a grade or a wall: its name; else "" */
    double size;   /**< mm, nominal, that the grade goes by; NAN */
    double half;   /**< half band, in its unit */
    char *unit;    /**< mm or deg */
    double slope;  /**< mm: what the half band changes the gap by, to the first order */
    double share;  /**< of the gap's variance, 0 to 1; all together 1, or 0 where nothing counts */
} TbResultSource;

/** What tolerances do to a gap: the worst case is proved and decides, the rest tells how likely. */
typedef struct TbResultScatter {
    double nominal; /**< mm, over the motion but without tolerances: its upper end */
    double worst_lower, worst_upper; /**< mm: the least gap within all bands lies between */
    bool plain; /**< it was plain that the worst case is enough, and it was not searched: the gap is
                     at least `worst_lower`, and how much more is not known */
    double rss; /**< mm, root-sum-square: half band of the gap, to the first order */
    double keep;
    uint64_t samples;   /**< 0: none were asked, or the pair cannot be sampled */
    uint64_t broken;    /**< of them, those below the keep */
    uint64_t undecided; /**< of those, within a tenth of a micrometre of it */
    uint64_t seed;
    double confidence; /**< 0.95 */
    double low, high;  /**< the probability of a broken keep lies between, so surely; NAN */
    TbResultSource *sources;
    size_t source_count;
    size_t most; /**< which source has the largest share */
    /** Sampled gaps to the first order at the motion's worst pose: nothing is decided by them. The
     * outermost bins hold what lies beyond. None: bin_count 0. */
    double bin_from, bin_width; /**< mm */
    uint64_t *bins;
    size_t bin_count;
} TbResultScatter;

typedef struct TbResultGap {
    char *a, *b, *state, *variant;
    TbGap gap;          /**< angles of its sites in rad, as the engine has them */
    double keep;        /**< NAN where no keep applies */
    double margin;      /**< lower - keep */
    double want_margin; /**< inside this above the keep it is `watch` */
    double uncertainty; /**< how well both are known, mm, 0 where nothing is said */
    TbLevel level;
    char *reason; /**< why it is open; else "" */
    TbResultExcluded *excluded;
    size_t excluded_count;
    TbResultMove
        *moves; /**< of a state that rocks; none where the two do not move against each other */
    size_t move_count;
    TbResultWarmth *warmth; /**< of a state that is warm; none where nothing of both changes */
    size_t warmth_count;
    TbResultScatter *scatter; /**< of a state at tolerance, else NULL; the gap's interval is then
                                 the worst case, its points are the nominal ones */
} TbResultGap;

typedef struct TbResultProfile {
    char *a, *b, *state, *variant;
    double *station, *gap, *lower; /**< gap = upper; NAN where left out at a port */
    size_t count;
    double keep;
    bool certified; /**< false: between the poses of a motion not all is proved */
} TbResultProfile;

/** What one effect does to a gap. */
typedef struct TbResultCause {
    char *cause;  /**< warmth, rock, tolerance */
    double alone; /**< mm that it eats of the cold gap if nothing else is; NAN */
    double added; /**< mm that it eats on top of those before it; NAN */
} TbResultCause;

/** A row of the table of all states and variants: cold less all that was added is `lower`. */
typedef struct TbResultCombination {
    char *a, *b, *state, *variant;
    double cold;       /**< mm, the pair's gap cold, lower end; NAN */
    double gap, lower; /**< mm: its interval's ends; NAN */
    double keep, margin;
    TbLevel level;
    bool certified;
    bool exact; /**< else it was only tested that it holds: the gap is at least `lower` */
    TbResultCause *causes;
    size_t cause_count;
} TbResultCombination;

typedef struct TbResultPlace {
    char *item;      /**< id, or "" */
    double from, to; /**< station range, mm; NAN */
    double angle;    /**< deg; NAN */
    TbVec3 point;    /**< NAN where there is none */
} TbResultPlace;

/** A word or number that a sentence about a finding needs besides value and limit. */
typedef struct TbFact {
    char *name, *text; /**< text "" when it is a number */
    double number;
} TbFact;

typedef struct TbFinding {
    char *id;      /**< stable key: rule/subject[#part]/state/variant */
    char *rule;    /**< "area-shrinks", "gap", ... the check's name */
    char *subject; /**< item id, or tb_results_pair() */
    TbResultPlace place;
    char *state, *variant;       /**< "" where they do not matter */
    double value, limit, margin; /**< margin above 0 holds; NAN where there is none */
    char *unit;
    TbLevel level;
    char *basis; /**< equation and source, usual scatter */
    TbFact *facts;
    size_t fact_count;
} TbFinding;

typedef struct TbResults {
    int references;
    struct TbRoom *room; /**< where its texts, rows and facts are; given back with it */
    char *bay, *revision;
    TbResultItem *items;
    size_t item_count;
    TbResultName *states, *variants;
    size_t state_count, variant_count;
    TbResultDuct *ducts;
    size_t duct_count;
    TbResultGap *gaps;
    size_t gap_count;
    TbResultProfile *profiles;
    size_t profile_count;
    TbResultCombination *combinations; /**< worst first; where they were asked for */
    size_t combination_count;
    TbFinding *findings; /**< in the order of the checks, then of the document */
    size_t finding_count;
    char **warnings; /**< of the file: kept elements of a newer version, and so on */
    size_t warning_count;
} TbResults;

TbResults *tb_results_ref(TbResults *results);
void tb_results_unref(TbResults *results); /**< NULL is fine */

/**
 * The name of a pair, "a|b" in the order of their ids: the same whichever of the two stands first
 * in the file or in its keep, so that what is noted about a finding stays with it. Freed by the
 * caller.
 */
char *tb_results_pair(const char *a, const char *b);

/** An item or a station table by id; NULL when there is none. Lent. */
const TbResultItem *tb_results_item(const TbResults *results, const char *id);
const TbResultDuct *tb_results_duct(const TbResults *results, const char *id);

/** The row of a gap in the table of all states and variants; NULL where that was not asked for. */
const TbResultCombination *tb_results_combination(const TbResults *results, const TbResultGap *gap);

/** A fact of a finding by its name; NAN or "" when it has none. */
double tb_finding_number(const TbFinding *finding, const char *name);
const char *tb_finding_text(const TbFinding *finding, const char *name);

/**
 * True when two ids are of one finding, told of one variant or of all: what is found in a single
 * variant has an id without it where the others have the same.
 */
bool tb_finding_id_alike(const char *a, const char *b);

/** The finding of an id, else the first one alike; NULL when there is none. Lent. */
const TbFinding *tb_results_finding(const TbResults *results, const char *id);

/** Worst level of all findings; TB_LEVEL_OPEN counts above WATCH and below SHORT. */
TbLevel tb_results_worst(const TbResults *results);
