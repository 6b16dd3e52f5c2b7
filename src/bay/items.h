/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file items.h
 * @brief The items of a bay: ducts, lines, the turbo, plain shapes and scans.
 *
 * An item's coordinates are in the bay's axes (ISO 4130), unless the item stands `on` a port: they
 * are then in that port's axes (origin at the port's point, x along its flow, z along its up,
 * y = z x x), and the item follows the port. ports.h turns both into the bay's axes.
 */
#pragma once

#include "bay/record.h"

typedef enum TbItemKind {
    TB_ITEM_DUCT,
    TB_ITEM_LINE,
    TB_ITEM_TURBO,
    TB_ITEM_BLOCK,
    TB_ITEM_ROD,
    TB_ITEM_BALL,
    TB_ITEM_OUTLINE,
    TB_ITEM_SCAN
} TbItemKind;

typedef enum TbKnownBy {
    TB_KNOWN_DRAWING,
    TB_KNOWN_SCAN,
    TB_KNOWN_CALLIPER,
    TB_KNOWN_TAPE,
    TB_KNOWN_GUESS
} TbKnownBy;

/** How an item is known. */
typedef struct TbKnown {
    TbChild part;
    int by;             /**< TbKnownBy */
    double uncertainty; /**< mm, 95 %, 0 or more */
    char *datum;        /**< measured from what, or NULL */
    char *date;         /**< YYYY-MM-DD, or NULL */
} TbKnown;

/** How exactly an item is made and placed, beyond its mount's placement and its process. */
typedef struct TbTolerance {
    TbChild part;
    TbVec3 shift; /**< mm, half bands of its placement, vehicle axes; default 0 0 0 */
    TbVec3 turn;  /**< deg, half bands about vehicle X, Y, Z at its middle; default 0 0 0 */
    char *grade;  /**< general tolerance by its standard's name, e.g. ISO 13920-B; or NULL */
    double size;  /**< mm, the nominal size that the grade goes by; NaN: its longest extent */
} TbTolerance;

/** How warm an item is in one state. */
typedef struct TbWarm {
    TbChild part;
    char *state;   /**< id of a state */
    double growth; /**< degC that it grows by; NaN: as the state says */
    double skin;   /**< degC of its surface; NaN: as the state says */
} TbWarm;

/** Begins the struct of every item. */
typedef struct TbItem {
    TbRecord record;
    TbItemKind kind;
    char *mount;    /**< id */
    char *on;       /**< id of the port it stands on and whose axes it is given in, or NULL */
    char *klass;    /**< `class` in the file: hot, brake, harness, structure ... one word */
    char *material; /**< id in the bay or the catalogue, or NULL */
    char *casting;  /**< items of the same word are one casting, or NULL */
    char *shield;   /**< id of the item that shields it, or NULL */
    bool spare;     /**< only there where a variant swaps it in */
    double mass;    /**< kg in place of the computed one; NaN */
    TbVec3 centre;  /**< mm, centre of mass in place of the computed one; NaN */
    TbKnown *known; /**< or NULL */
    TbTolerance *tolerance; /**< or NULL */
    TbWarm *warm;
    size_t warm_count;
} TbItem;

/** One knot of a smooth path, or one corner of a bent one. */
typedef struct TbKnot {
    TbChild part;
    TbVec3 at;     /**< mm, item axes */
    double radius; /**< mm, bend radius of a corner; NaN at a knot and at an end */
} TbKnot;

typedef enum TbPathKind { TB_PATH_SMOOTH, TB_PATH_BENT } TbPathKind;

/**
 * Centre curve between the two ends. Only what is free is listed: an end that has a port gets its
 * point from there, ahead of the first knot or behind the last; see tb_bay_path().
 */
typedef struct TbPath {
    TbChild part;
    int kind; /**< TbPathKind */
    TbKnot *knots;
    size_t knot_count;
} TbPath;

typedef enum TbRingKind {
    TB_RING_FLANGE,
    TB_RING_V_BAND,
    TB_RING_CLAMP,
    TB_RING_FITTING
} TbRingKind;

/**
 * A disc about the path at an end, counted for gaps: flange, V-band flange, clamp envelope, hose
 * fitting. It reaches from `from` to `to` mm inwards from the end face (below 0: beyond it).
 */
typedef struct TbRing {
    TbChild part;
    int kind;        /**< TbRingKind */
    double diameter; /**< mm outside */
    double from, to; /**< mm, from < to; inwards along the path from the end face */
    double nominal;  /**< mm, nominal size of a V-band; NaN */
} TbRing;

/** The side of a clamp that sticks out: a box at a clocking angle. */
typedef struct TbBoltBox {
    TbChild part;
    double along;    /**< mm, along the path, centred on the end face plus `shift` */
    double across;   /**< mm, along the rim */
    double from, to; /**< mm from the path's centre outwards, from < to */
    double shift;    /**< mm inwards from the end face to the box's middle */
    double turn;     /**< deg, right-handed about the path from `height` (section zero) */
    bool free;       /**< the clocking is not fixed yet: any turn must be thought of */
} TbBoltBox;

/** Where a duct or line ends. */
typedef struct TbEnd {
    TbChild part;
    char *port;     /**< id, or NULL: then the first or last knot is the end */
    bool against;   /**< the port's direction runs against the path */
    TbVec3 tangent; /**< without a port: direction of the path there, item axes; NaN: free */
    TbRing *rings;
    size_t ring_count;
    TbBoltBox *boxes;
    size_t box_count;
} TbEnd;

/** A named place along a path. */
typedef struct TbStation {
    TbChild part;
    char *name;
    double at;     /**< mm from the start, or from the end */
    bool from_end; /**< `at` counts from the path's end */
    char *note;    /**< or NULL */
} TbStation;

typedef enum TbRowKind { TB_ROW_SUPERELLIPSE, TB_ROW_ROUNDED } TbRowKind;

/** One given section: inside sizes. Either width and height, or the four half-extents. */
typedef struct TbRow {
    TbChild part;
    double at;            /**< mm from the start, or from the end */
    bool from_end;        /**< `at` counts from the path's end */
    int kind;             /**< TbRowKind */
    double width, height; /**< mm; NaN where half is given */
    TbNumbers half;       /**< 0 or 4: mm to right, left, up, down (TB_SIDE_...) */
    double exponent;      /**< superellipse; 2 is an ellipse */
    TbNumbers corner;     /**< rounded: 1 or 4 radii, mm (TB_CORNER_...) */
    double turn;          /**< deg, right-handed about the path */
    TbVec2 offset;        /**< mm along (w, h) before the turn */
    double wall;          /**< mm; NaN: the duct's */
    bool hold_size;       /**< width and height monotone beside it, in place of area */
    bool lock;            /**< not to be changed by a tool that shapes the duct */
} TbRow;

typedef enum TbProcessKind { TB_PROCESS_CAST, TB_PROCESS_FORMED, TB_PROCESS_TUBE } TbProcessKind;

/** How a duct is made. NaN where not given. */
typedef struct TbProcess {
    TbChild part;
    int kind;          /**< TbProcessKind */
    char *grade;       /**< tolerance grade by its standard's name, e.g. DCTG 8; or NULL */
    double core_shift; /**< mm */
    double mismatch;   /**< mm at the parting */
    double draft;      /**< deg */
    TbVec3 draw;       /**< direction the pattern is drawn, item axes */
    double shrinkage;  /**< percent */
    double stock;      /**< mm of machining stock */
} TbProcess;

/** A part that carries gas. */
typedef struct TbDuct {
    TbItem item;
    double wall;        /**< mm */
    double least_wall;  /**< mm; NaN */
    double cone_limit;  /**< deg, full cone angle of equal area growth; NaN: the default */
    char *role;         /**< outlet, runner ... one word, or NULL */
    TbPath *path;       /**< never NULL */
    TbEnd *start, *end; /**< or NULL: free */
    TbStation *stations;
    size_t station_count;
    TbRow *rows; /**< at least 1 */
    size_t row_count;
    TbProcess *process; /**< or NULL */
} TbDuct;

typedef enum TbLineRole {
    TB_LINE_OIL_DRAIN,
    TB_LINE_OIL_FEED,
    TB_LINE_COOLANT,
    TB_LINE_BRAKE,
    TB_LINE_FUEL,
    TB_LINE_HOSE,
    TB_LINE_HARNESS
} TbLineRole;

typedef enum TbBendBasis { TB_BEND_MAKER, TB_BEND_STANDARD, TB_BEND_PRACTICE } TbBendBasis;

/** A round tube, hose or harness of one size. */
typedef struct TbLine {
    TbItem item;
    int role;          /**< TbLineRole */
    double diameter;   /**< mm outside */
    double bore;       /**< mm; NaN */
    double least_bend; /**< mm, smallest bend radius of the centre line; NaN */
    int bend_basis;    /**< TbBendBasis: where least_bend comes from */
    double slack;      /**< mm of length more than the path's, for movement; NaN */
    double flow;       /**< g/s of liquid; NaN */
    double pressure;   /**< kPa above ambient; NaN */
    char *end_mount;   /**< mount that the path's end rides on, when not `mount`; or NULL */
    TbPath *path;      /**< never NULL */
    TbEnd *start, *end;
    TbStation *stations;
    size_t station_count;
} TbLine;

typedef enum TbHousingPart {
    TB_HOUSING_TURBINE,
    TB_HOUSING_CENTRE,
    TB_HOUSING_COMPRESSOR
} TbHousingPart;
enum { TB_HOUSING_COUNT = 3 };

/** One of the three housings. */
typedef struct TbHousing {
    TbChild part;
    int of;               /**< TbHousingPart */
    double turn;          /**< deg about the shaft, right-handed, from the turbo's up */
    TbSpread limit;       /**< deg, how far it may turn; NaN */
    double throat_area;   /**< mm2; NaN */
    double throat_radius; /**< mm; NaN */
    double flow_number;   /**< kg/s sqrt(K)/kPa; NaN */
} TbHousing;

/** Round shape about the shaft (or beside it), a taper where the radii differ. */
typedef struct TbShaftRod {
    TbChild part;
    int of;           /**< TbHousingPart it turns with */
    double from, to;  /**< mm along the shaft from the turbo's centre, towards the turbine */
    double radius;    /**< mm at from */
    double radius_to; /**< mm at to; NaN: the same */
    TbVec2 beside;    /**< mm (y, z) from the shaft, housing axes */
} TbShaftRod;

/** Bar between two points of a housing's axes: a neck, a stub. */
typedef struct TbArm {
    TbChild part;
    int of;           /**< TbHousingPart */
    TbVec3 a, b;      /**< mm, housing axes */
    double radius;    /**< mm at a */
    double radius_to; /**< mm at b; NaN: the same */
} TbArm;

/** Block in a housing's axes: an actuator. */
typedef struct TbBox {
    TbChild part;
    int of;           /**< TbHousingPart */
    TbVec3 low, high; /**< mm, housing axes */
} TbBox;

/**
 * The turbo. Its axes: origin at its centre, x along the shaft from compressor to turbine, z its
 * `up` laid square to the shaft, y = z x x. A housing's axes are these turned about x by its turn.
 */
typedef struct TbTurbo {
    TbItem item;
    TbVec3 at;           /**< mm, centre of the centre housing, item axes */
    TbVec3 shaft;        /**< direction from compressor to turbine, need not be unit */
    TbVec3 up;           /**< zero of the turns, need not be square to the shaft; default +Z */
    TbSpread tilt;       /**< deg, lowest and highest shaft angle over level, turbine up; NaN */
    TbHousing *housings; /**< at most one of each */
    size_t housing_count;
    TbShaftRod *rods;
    size_t rod_count;
    TbArm *arms;
    size_t arm_count;
    TbBox *boxes;
    size_t box_count;
} TbTurbo;

/** Block from low to high corner; turned about its middle where `along` and `up` say so. */
typedef struct TbBlockItem {
    TbItem item;
    TbVec3 low, high; /**< mm, low < high in each axis */
    TbVec3 along;     /**< where the block's x side points; default +X */
    TbVec3 up;        /**< where its z side points, laid square to along; default +Z */
} TbBlockItem;

/** Straight bar, a taper where the radii differ. */
typedef struct TbRodItem {
    TbItem item;
    TbVec3 a, b;      /**< mm */
    double radius;    /**< mm at a, above 0 */
    double radius_to; /**< mm at b; NaN: the same */
} TbRodItem;

typedef struct TbBallItem {
    TbItem item;
    TbVec3 at;     /**< mm */
    double radius; /**< mm */
} TbBallItem;

typedef struct TbCorner {
    TbChild part;
    TbVec2 at; /**< mm along (u, v) */
} TbCorner;

/** Polygon in the plane origin + u, v; it reaches to depth along u x v. */
typedef struct TbOutlineItem {
    TbItem item;
    TbVec3 origin;   /**< mm */
    TbVec3 u, v;     /**< directions; v is laid square to u */
    double depth;    /**< mm, above 0 */
    double rounding; /**< mm, 0 or more */
    TbCorner *corners;
    size_t corner_count; /**< 3 or more */
} TbOutlineItem;

typedef enum TbScanUnit { TB_SCAN_MM, TB_SCAN_CM, TB_SCAN_M, TB_SCAN_INCH } TbScanUnit;

/** A mesh file. Its points p (in its unit, made mm) lie at `at` + p.x along + p.y (up x along) +
 * p.z up. */
typedef struct TbScanItem {
    TbItem item;
    char *file;      /**< path relative to the bay's folder, with '/' */
    char *sha256;    /**< 64 hexadecimal digits, lower case; NULL: not stated */
    int unit;        /**< TbScanUnit */
    TbVec3 at;       /**< mm, where the mesh's origin lies; default 0 0 0 */
    TbVec3 along;    /**< where its x axis points; default +X */
    TbVec3 up;       /**< where its z axis points, laid square to along; default +Z */
    double residual; /**< mm, of the registration; NaN */
    char *coverage;  /**< what it does not show, or NULL */
} TbScanItem;

/* The struct of an item by its kind; asserted. */
const TbDuct *tb_item_duct(const TbItem *item);
const TbLine *tb_item_line(const TbItem *item);
const TbTurbo *tb_item_turbo(const TbItem *item);
const TbBlockItem *tb_item_block(const TbItem *item);
const TbRodItem *tb_item_rod(const TbItem *item);
const TbBallItem *tb_item_ball(const TbItem *item);
const TbOutlineItem *tb_item_outline(const TbItem *item);
const TbScanItem *tb_item_scan(const TbItem *item);

/** The path and the ends of a duct or line; asserted. Ends may be NULL. */
const TbPath *tb_item_path(const TbItem *item);

/** True for ducts and lines: what has a path and ends. */
bool tb_item_has_path(const TbItem *item);
const TbEnd *tb_item_start(const TbItem *item);
const TbEnd *tb_item_end(const TbItem *item);

/** The housing of a turbo, or NULL where the file does not list it (turn 0 then). */
const TbHousing *tb_turbo_housing(const TbTurbo *turbo, int of);

/** "duct", "line", "turbo" ...: the word of the file. */
const char *tb_item_kind_name(TbItemKind kind);

/* Words of the file. */
extern TbNames tb_names_known, tb_names_path, tb_names_ring, tb_names_row, tb_names_process,
    tb_names_line_role, tb_names_bend_basis, tb_names_housing, tb_names_scan_unit;
