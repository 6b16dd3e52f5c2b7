/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file document.h
 * @brief The user's document: everything a `.bay` file says, immutable and shared.
 *
 * A TbBay never changes once built. edit.h makes a new one that shares every record it did not
 * touch; any thread may read one it holds a reference to. Ids are unique over the whole document
 * (items, ports, mounts, states ... share one set of names), revisions apart.
 */
#pragma once

#include "base/length.h"
#include "bay/items.h"

/** The version of the file format that this program writes. */
enum { TB_BAY_VERSION = 1 };

/** A paragraph of the user's. */
typedef struct TbNote {
    TbChild part;
    char *text;
} TbNote;

/** One entry of the revision history; its id is the letter, who and when are the record's. */
typedef struct TbRevision {
    TbRecord record;
    char *text; /**< what changed and why */
} TbRevision;

/** The vehicle that was measured. */
typedef struct TbVehicle {
    TbChild part;
    char *name, *serial; /**< or NULL */
    char *date;          /**< when it was measured, or NULL */
    char *text;          /**< state it was in: load, tyres, what was removed */
} TbVehicle;

/** How the car stands: nose up, left side up. */
typedef struct TbAttitude {
    TbRecord record;
    double pitch; /**< deg, nose up */
    double roll;  /**< deg, right-handed about +X (rearward): the left side down */
} TbAttitude;

typedef struct TbFuel {
    TbChild part;
    char *name;
    double stoichiometric; /**< kg air a kg fuel */
    double hydrogen;       /**< H atoms a C atom */
    double oxygen;         /**< O atoms a C atom */
} TbFuel;

/** A working point of the engine, as the turbine outlet sees it. */
typedef struct TbGasPoint {
    TbRecord record;
    double speed;             /**< engine, 1/min */
    double flow;              /**< exhaust of all cylinders that feed this bay's turbo, g/s */
    double bypass;            /**< share past the turbine wheel, 0 to 1; default 0 */
    double temperature;       /**< total, at the turbine outlet, degC */
    double inlet_temperature; /**< total, ahead of the turbine, degC; NaN */
    double pressure;          /**< absolute static, downstream of the turbine, kPa */
    double inlet_pressure;    /**< absolute static, ahead of the turbine, kPa; NaN */
    double lambda;            /**< air over stoichiometric */
} TbGasPoint;

typedef struct TbEngine {
    TbChild part;
    int cylinders;
    TbNumbers firing;    /**< order of cylinder numbers; 0 when not given */
    TbNumbers feeds;     /**< the cylinders that feed this bay's turbo; 0 numbers: all */
    TbNumbers speeds;    /**< 1/min at which pulses are judged */
    double displacement; /**< mm3; NaN */
    double oil_level;    /**< Z of the sump's oil when hot, mm, engine at rest; NaN */
} TbEngine;

/**
 * What items ride on. Its axes for the six freedoms: origin at the axis point, x along the axis,
 * z vehicle +Z laid square to it (vehicle -X where the axis is within 18 deg of vertical),
 * y = z x x. rx is the rock about the axis. Without an axis, the
 * vehicle's axes at the datum, for shifts: turns are then not judged.
 */
typedef struct TbMount {
    TbRecord record;
    char *parent;          /**< id of the mount it moves on; NULL: fixed to the vehicle */
    TbVec3 axis_point;     /**< mm; NaN: no rock */
    TbVec3 axis_direction; /**< need not be unit; NaN: no rock */
    TbSpread rx, ry, rz;   /**< deg, ranges of motion; 0 0 where not given */
    TbSpread tx, ty, tz;   /**< mm */
    TbVec3 datum;          /**< mm, point from which its items grow; default 0 0 0 */
    double reference;      /**< degC at which sizes hold; default 20 */
    TbVec3 scatter_shift;  /**< mm, half bands of its placement, vehicle axes; default 0 0 0 */
    TbVec3 scatter_turn;   /**< deg, half bands about vehicle X, Y, Z at the datum; default 0 0 0 */
    TbVec3 sag;            /**< mm, shift when its rubbers are aged, vehicle axes; default 0 0 0 */
    TbVec3 lift;           /**< mm, how far it may be lifted for fitting; default 0 0 0 */
} TbMount;

/** Mean expansion from 20 degC to a temperature. */
typedef struct TbMean {
    TbChild part;
    double to;        /**< degC */
    double expansion; /**< 1e-6/K */
} TbMean;

/** Where a value comes from. */
typedef struct TbOrigin {
    TbChild part;
    char *of;   /**< the attribute it is about */
    char *from; /**< standard, handbook, or "from memory" */
} TbOrigin;

typedef struct TbMaterial {
    TbRecord record;
    char *standard;    /**< or NULL */
    double density;    /**< kg/m3 */
    double expansion;  /**< 1e-6/K, mean from 20 degC to working temperature; see means */
    double emissivity; /**< 0 to 1; NaN */
    double limit;      /**< degC, longest-time working limit; NaN */
    double modulus;    /**< GPa at 20 degC; NaN */
    double bend_ratio; /**< smallest centre-line radius over outside diameter by practice; NaN */
    double least_wall; /**< mm, by practice of its process; NaN */
    TbMean *means;     /**< by rising temperature; linear between, ends held; may be empty */
    size_t mean_count;
    TbOrigin *sources;
    size_t source_count;
} TbMaterial;

typedef enum TbOpeningKind {
    TB_OPENING_ROUND,
    TB_OPENING_OVAL,
    TB_OPENING_RECTANGLE
} TbOpeningKind;

/** Opening of a port; height lies along the port's up, width along flow x up. */
typedef struct TbOpening {
    TbChild part;
    int kind;             /**< TbOpeningKind */
    double width, height; /**< mm; a round one has both the same */
    double corner;        /**< mm, of a rectangle; NaN */
    TbVec2 offset;        /**< mm (w, h) from the port's point: one of twin openings */
} TbOpening;

typedef struct TbBolts {
    TbChild part;
    int count;
    double circle; /**< mm, diameter of the bolt circle; NaN */
    double across; /**< mm, spacing of a two-bolt flange; NaN */
    double turn;   /**< deg of the first bolt from up, right-handed about flow */
    char *thread;  /**< M8 ... or NULL */
} TbBolts;

typedef enum TbFaceKind {
    TB_FACE_FLAT,
    TB_FACE_V_BAND,
    TB_FACE_CONE,
    TB_FACE_BALL,
    TB_FACE_BEAD,
    TB_FACE_THREAD
} TbFaceKind;

/**
 * A place where items join. Its point and directions are in the bay's axes, or in those of its
 * owner: the housing of a turbo, or the item's own axes. See ports.h for where it then is.
 */
typedef struct TbPort {
    TbRecord record;
    char *owner; /**< id of an item, or NULL */
    int housing; /**< TbHousingPart where the owner is a turbo; -1: the turbo's own axes */
    char *mount; /**< id; without an owner only. NULL: the owner's */
    TbVec3 at;   /**< mm */
    TbVec3 flow; /**< direction of the gas or of the line, need not be unit */
    TbVec3 up;   /**< roll; NaN: vehicle +Z, or -X where flow is within 18 deg of vertical */
    int face;    /**< TbFaceKind */
    double face_diameter;                /**< mm; NaN */
    char *gasket;                        /**< or NULL */
    char *thread_standard, *thread_size; /**< metric, M12x1.5 ...; or NULL */
    TbOpening *openings;
    size_t opening_count;
    TbBolts *bolts; /**< or NULL */
} TbPort;

typedef enum TbJointKind {
    TB_JOINT_V_BAND,
    TB_JOINT_GASKETED,
    TB_JOINT_BARE,
    TB_JOINT_SLIP,
    TB_JOINT_BALL,
    TB_JOINT_BELLOWS,
    TB_JOINT_HOSE,
    TB_JOINT_THREAD,
    TB_JOINT_WELD
} TbJointKind;

/** Two ports that meet (or one port that two items end on: a and b are then the same). */
typedef struct TbJoint {
    TbRecord record;
    char *a, *b;       /**< ids of ports */
    int kind;          /**< TbJointKind */
    TbVec3 free_shift; /**< mm, half ranges along the port's x (flow), y, z; default 0 */
    TbVec3 free_turn;  /**< deg, half ranges about them; default 0 */
    double torque;     /**< N m; NaN */
    double leave_out; /**< mm: within this distance of the port the pair is not judged; default 0 */
    TbRing *rings;    /**< clamp envelope, along port a's flow from its point */
    size_t ring_count;
    TbBoltBox *boxes; /**< bolt box, turned from port a's up */
    size_t box_count;
} TbJoint;

/** One gap that must be kept. */
typedef struct TbKeepGap {
    TbChild part;
    char *state; /**< id of a state, or ids joined by '+' */
    double gap;  /**< mm */
} TbKeepGap;

/** Where a keep is not judged: about a port. */
typedef struct TbOmit {
    TbChild part;
    char *port;
    double radius; /**< mm */
} TbOmit;

typedef enum TbTell { TB_TELL_ANY, TB_TELL_YES, TB_TELL_NO } TbTell;

/**
 * A gap wanted between two sides, each an item or a class. Between two items the keep that names
 * more items goes first; of equals the first in the file.
 */
typedef struct TbKeep {
    TbRecord record;
    char *item_a, *class_a; /**< exactly one of the two is given */
    char *item_b, *class_b;
    int same_casting;      /**< TbTell: only pairs of one casting, only others, or any */
    int same_mount;        /**< TbTell */
    int shielded;          /**< TbTell: side b has a shield */
    char *reason, *source; /**< or NULL */
    double margin;         /**< mm: `watch` where the gap is above the keep by less; default 0 */
    TbKeepGap *gaps;       /**< at least 1 */
    size_t gap_count;
    TbOmit *leave_outs;
    size_t leave_out_count;
} TbKeep;

typedef enum TbStateKind {
    TB_STATE_COLD,
    TB_STATE_HOT,
    TB_STATE_ROCKING,
    TB_STATE_TOLERANCE,
    TB_STATE_COMBINED
} TbStateKind;

/** Temperatures by class and mount in a state; the most particular one goes, then the first. */
typedef struct TbStateWarm {
    TbChild part;
    char *klass;   /**< or NULL: any */
    char *mount;   /**< or NULL: any */
    double growth; /**< degC; NaN */
    double skin;   /**< degC; NaN */
} TbStateWarm;

typedef struct TbState {
    TbRecord record;
    int kind;       /**< TbStateKind */
    char *parts;    /**< combined: ids of states joined by '+'; else NULL */
    char *gas;      /**< id of the gas point it stands for, or NULL */
    double ambient; /**< degC; default 20 */
    TbStateWarm *warm;
    size_t warm_count;
} TbState;

typedef struct TbShift {
    TbChild part;
    char *mount;
    TbVec3 by; /**< mm, vehicle axes */
} TbShift;

typedef struct TbSwap {
    TbChild part;
    char *item; /**< its place, its ports and its keeps go to ... */
    char *with; /**< ... this one, usually a spare of the same kind */
} TbSwap;

/** Mirrors or hides one thing. */
typedef struct TbTarget {
    TbChild part;
    char *item; /**< id of an item; mirror: or of a port without an owner */
} TbTarget;

/** One member of the kit's family: overrides by id. */
typedef struct TbVariant {
    TbRecord record;
    TbShift *shifts;
    size_t shift_count;
    TbSwap *swaps;
    size_t swap_count;
    TbTarget *mirrors; /**< Y becomes -Y */
    size_t mirror_count;
    TbTarget *hides;
    size_t hide_count;
} TbVariant;

typedef struct TbFastener {
    TbRecord record;
    TbVec3 at;     /**< mm, under the head, bay axes */
    TbVec3 axis;   /**< from the head into the thread */
    char *size;    /**< M8 ... */
    char *head;    /**< hex, socket, twelve-point ... or NULL */
    char *tool;    /**< or NULL */
    char *joint;   /**< id, or NULL */
    char *mount;   /**< id, or NULL */
    double length; /**< mm; NaN */
    double torque; /**< N m; NaN */
} TbFastener;

/** One place of a part on its way in, away from where it ends. */
typedef struct TbPlaceRow {
    TbChild part;
    TbVec3 by;   /**< mm from its final place */
    TbVec3 turn; /**< deg about vehicle X, then Y, then Z at the item's first port or centre */
} TbPlaceRow;

/** What is fitted when. */
typedef struct TbStep {
    TbRecord record;
    char *item;      /**< id that is fitted, or NULL */
    char *fastener;  /**< id that is tightened, or NULL */
    char *lift;      /**< mount that is lifted meanwhile, or NULL */
    TbVec3 lift_by;  /**< mm; default 0 0 0 */
    char *text;      /**< or NULL */
    TbPlaceRow *way; /**< from outside to the final place; may be empty */
    size_t way_count;
} TbStep;

typedef enum TbDisposition {
    TB_DISPOSITION_OPEN,
    TB_DISPOSITION_ACCEPTED,
    TB_DISPOSITION_CHANGE,
    TB_DISPOSITION_MEASURE,
    TB_DISPOSITION_WAIVED
} TbDisposition;

/** What people decided about a finding. */
typedef struct TbDecision {
    TbRecord record;
    char *finding;   /**< the finding's stable key */
    int disposition; /**< TbDisposition */
    char *owner;     /**< or NULL */
    char *due;       /**< YYYY-MM-DD, or NULL */
    char *text;      /**< the waiver's or the decision's wording; NULL */
} TbDecision;

typedef enum TbViewKind {
    TB_VIEW_SIDE,
    TB_VIEW_PLAN,
    TB_VIEW_FRONT,
    TB_VIEW_STATION,
    TB_VIEW_FREE
} TbViewKind;

/** A named cut. */
typedef struct TbView {
    TbRecord record;
    int kind;   /**< TbViewKind */
    double at;  /**< mm: Y of a side cut, Z of a plan, X of a front, station; NaN for free */
    char *item; /**< station: id of the duct or line */
    TbVec3 point, look, up; /**< free: bay axes; NaN */
    double scale;           /**< 2 means 1 : 2; NaN: fit */
} TbView;

/** What a record of the document is, and which list it is in. */
typedef enum TbListKind {
    TB_LIST_REVISIONS,
    TB_LIST_ATTITUDES,
    TB_LIST_GAS,
    TB_LIST_MOUNTS,
    TB_LIST_MATERIALS,
    TB_LIST_PORTS,
    TB_LIST_JOINTS,
    TB_LIST_ITEMS,
    TB_LIST_KEEPS,
    TB_LIST_STATES,
    TB_LIST_VARIANTS,
    TB_LIST_FASTENERS,
    TB_LIST_STEPS,
    TB_LIST_DECISIONS,
    TB_LIST_VIEWS,
    TB_LIST_COUNT
} TbListKind;

/** Everything at the head of the document that is not in a list: one record of its own. */
typedef struct TbHead {
    TbRecord record; /**< its id is "bay" */
    int version;     /**< of the file it was read from */
    char *title;
    char *revision; /**< id of the current revision, or NULL */
    int unit;       /**< TbDisplayUnit */
    double ground;  /**< mm, Z of the ground at design load; NaN */
    TbNote *zero;   /**< note on the zero planes, or NULL */
    TbNote *notes;
    size_t note_count;
    TbVehicle *vehicle; /**< or NULL */
    TbFuel *fuel;       /**< or NULL */
    TbEngine *engine;   /**< or NULL */
} TbHead;

typedef enum TbDisplayUnit { TB_DISPLAY_MM, TB_DISPLAY_INCH } TbDisplayUnit;

/** Something in the file that was kept but not understood. */
typedef struct TbWarning {
    int line;
    char *text; /**< a sentence without a full stop */
} TbWarning;

typedef struct TbIndex TbIndex;

/** The document. Read it; only bay/ itself writes to one while it is built. */
typedef struct TbBay {
    int references; /**< atomic */
    uint64_t node;  /**< never given twice */
    const TbHead *head;
    TbList lists[TB_LIST_COUNT];
    TbIndex *index;      /**< ids to records */
    TbWarning *warnings; /**< of reading; edits carry them on */
    size_t warning_count;
} TbBay;

/** A document with a title and the mount `body`, nothing else; NULL when there is no room. */
TbBay *tb_bay_new(const char *title);

/** One more owner; returns @p bay. Any thread. */
TbBay *tb_bay_ref(TbBay *bay);

/** One owner fewer; the last one frees. NULL is fine. Any thread. */
void tb_bay_unref(TbBay *bay);

/** The record of an id in any list but the revisions, or NULL. Lends. Hashed. */
const TbRecord *tb_bay_find(const TbBay *bay, const char *id);

/** Which list a record belongs into. */
TbListKind tb_record_list(const TbRecord *record);

/* By place in their list; asserted. Lend. */
const TbItem *tb_bay_item_at(const TbBay *bay, size_t index);
const TbPort *tb_bay_port_at(const TbBay *bay, size_t index);
const TbMount *tb_bay_mount_at(const TbBay *bay, size_t index);
const TbMaterial *tb_bay_material_at(const TbBay *bay, size_t index);
const TbJoint *tb_bay_joint_at(const TbBay *bay, size_t index);
const TbKeep *tb_bay_keep_at(const TbBay *bay, size_t index);
const TbState *tb_bay_state_at(const TbBay *bay, size_t index);
const TbVariant *tb_bay_variant_at(const TbBay *bay, size_t index);
const TbGasPoint *tb_bay_gas_at(const TbBay *bay, size_t index);
const TbView *tb_bay_view_at(const TbBay *bay, size_t index);
const TbDecision *tb_bay_decision_at(const TbBay *bay, size_t index);
const TbFastener *tb_bay_fastener_at(const TbBay *bay, size_t index);
const TbStep *tb_bay_step_at(const TbBay *bay, size_t index);
const TbAttitude *tb_bay_attitude_at(const TbBay *bay, size_t index);
const TbRevision *tb_bay_revision_at(const TbBay *bay, size_t index);

/* By id; NULL when there is none of that sort (a NULL id too). Lend. */
const TbItem *tb_bay_item(const TbBay *bay, const char *id);
const TbPort *tb_bay_port(const TbBay *bay, const char *id);
const TbMount *tb_bay_mount(const TbBay *bay, const char *id);
const TbMaterial *tb_bay_material(const TbBay *bay, const char *id);
const TbJoint *tb_bay_joint(const TbBay *bay, const char *id);
const TbKeep *tb_bay_keep(const TbBay *bay, const char *id);
const TbState *tb_bay_state(const TbBay *bay, const char *id);
const TbVariant *tb_bay_variant(const TbBay *bay, const char *id);

/** The unit that the bay wants its lengths shown in. */
TbLengthUnit tb_bay_unit(const TbBay *bay);
const TbGasPoint *tb_bay_gas(const TbBay *bay, const char *id);
const TbView *tb_bay_view(const TbBay *bay, const char *id);

/** How many records a list has. */
static inline size_t
tb_bay_count(const TbBay *bay, TbListKind list)
{
    return bay->lists[list].count;
}

/** Same content, record by record and in the same order (lines, node ids and warnings apart). */
bool tb_bay_equal(const TbBay *a, const TbBay *b);

/** Same content of two records of any sort. */
bool tb_record_equal(const TbRecord *a, const TbRecord *b);

/* Words of the file. */
extern TbNames tb_names_opening, tb_names_face, tb_names_joint, tb_names_tell, tb_names_state,
    tb_names_disposition, tb_names_view, tb_names_display_unit;
