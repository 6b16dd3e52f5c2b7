/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/tables_macros.h"

/* The initialisers of a line may name a member twice on purpose: the later one holds. */
#pragma GCC diagnostic ignored "-Woverride-init"

TbNames tb_names_opening = {"round", "oval", "rectangle", NULL};
TbNames tb_names_face = {"flat", "v-band", "cone", "ball", "bead", "thread", NULL};
TbNames tb_names_joint = {"v-band",  "gasketed", "bare",   "slip", "ball",
                          "bellows", "hose",     "thread", "weld", NULL};
TbNames tb_names_tell = {"any", "yes", "no", NULL};
TbNames tb_names_state = {"cold", "hot", "rocking", "tolerance", "combined", NULL};
TbNames tb_names_disposition = {"open", "accepted", "change", "measure", "waived", NULL};
TbNames tb_names_view = {"side", "plan", "front", "station", "free", NULL};
TbNames tb_names_display_unit = {"mm", "inch", NULL};

const char *const tb_list_names[TB_LIST_COUNT] = {
    "revisions", "attitudes", "gas",      "mounts",    "materials", "ports",     "joints", "items",
    "keeps",     "states",    "variants", "fasteners", "steps",     "decisions", "views",
};

const TbField tb_identity[2] = {
    TEXT(TbRecord, id, "id", .kind = TB_FIELD_ID, NEEDED),
    TEXT(TbRecord, name, "name"),
};
const TbField tb_history[3] = {
    TEXT(TbRecord, who, "who"),
    DATE(TbRecord, when, "when"),
    TEXT(TbRecord, why, "why"),
};

/* A record that is not an item. */
#define RECORD(variable, tag, T, where, own, ...)                                                  \
    const TbElement variable = {.name = (tag),                                                     \
                                .size = sizeof(T),                                                 \
                                .is_record = true,                                                 \
                                .list = (where),                                                   \
                                .groups = {FIELDS(tb_identity), FIELDS(own), FIELDS(tb_history)},  \
                                .item_kind = -1,                                                   \
                                __VA_ARGS__}

#define PART(variable, tag, T, own)                                                                \
    static const TbElement variable = {                                                            \
        .name = (tag),                                                                             \
        .size = sizeof(T),                                                                         \
        .groups = {FIELDS(own)},                                                                   \
        .item_kind = -1,                                                                           \
    }

/* ---- the head ---- */

static const TbField note_fields[] = {BODY(TbNote, text, "text", NEEDED)};
PART(zero_element, "zero", TbNote, note_fields);
PART(note_element, "note", TbNote, note_fields);

static const TbField vehicle_fields[] = {
    TEXT(TbVehicle, name, "name"),
    TEXT(TbVehicle, serial, "serial"),
    DATE(TbVehicle, date, "date"),
    BODY(TbVehicle, text, "text"),
};
PART(vehicle_element, "vehicle", TbVehicle, vehicle_fields);

static const TbField fuel_fields[] = {
    TEXT(TbFuel, name, "name", NEEDED),
    NUMBER(TbFuel, stoichiometric, "stoichiometric", "", 1, 50, NEEDED),
    NUMBER(TbFuel, hydrogen, "hydrogen", "", 0, 4, NEEDED),
    NUMBER(TbFuel, oxygen, "oxygen", "", 0, 4, PRESET(0)),
};
PART(fuel_element, "fuel", TbFuel, fuel_fields);

#define NUMBERS .kind = TB_FIELD_NUMBERS, .counts = 0x1fe
static const TbField engine_fields[] = {
    NUMBER(TbEngine, cylinders, "cylinders", "", 1, 16, .kind = TB_FIELD_INTEGER, NEEDED),
    NUMBER(TbEngine, firing, "firing", "", 1, 16, NUMBERS),
    NUMBER(TbEngine, feeds, "feeds", "", 1, 16, NUMBERS),
    NUMBER(TbEngine, speeds, "speeds", "1/min", 1, 20000, NUMBERS),
    NUMBER(TbEngine, displacement, "displacement", "mm3", 0, 1e9, .above_low = true),
    NUMBER(TbEngine, oil_level, "oil-level", "mm", -TB_LIMIT_COORDINATE, TB_LIMIT_COORDINATE),
};
PART(engine_element, "engine", TbEngine, engine_fields);

static const TbField bay_fields[] = {
    NUMBER(TbHead, version, "version", "", 1, 1e6, .kind = TB_FIELD_INTEGER, NEEDED),
    TEXT(TbHead, title, "title", NEEDED),
    WORD(TbHead, revision, "revision"),
    CHOICE(TbHead, unit, "unit", tb_names_display_unit, TB_DISPLAY_MM),
    NUMBER(TbHead, ground, "ground", "mm", -TB_LIMIT_COORDINATE, TB_LIMIT_COORDINATE),
};
static const TbNest bay_children[] = {
    ONE(TbHead, zero_element, zero, 0),       MANY(TbHead, note_element, notes, note_count, 0),
    ONE(TbHead, vehicle_element, vehicle, 0), ONE(TbHead, fuel_element, fuel, 0),
    ONE(TbHead, engine_element, engine, 0),
};
const TbElement tb_element_bay = {
    .name = "bay",
    .size = sizeof(TbHead),
    .is_record = true,
    .list = TB_LIST_COUNT,
    .groups = {FIELDS(bay_fields)},
    CHILDREN(bay_children),
    .item_kind = -1,
};

/* ---- history, attitudes, gas ---- */

static const TbField revision_fields[] = {BODY(TbRevision, text, "text", NEEDED)};
/* who and when come first here: the text is the body */
const TbElement tb_element_revision = {
    .name = "revision",
    .size = sizeof(TbRevision),
    .is_record = true,
    .list = TB_LIST_REVISIONS,
    .groups = {FIELDS(tb_identity), FIELDS(tb_history), FIELDS(revision_fields)},
    .item_kind = -1,
};

static const TbField attitude_fields[] = {
    ANGLE(TbAttitude, pitch, "pitch", PRESET(0)),
    ANGLE(TbAttitude, roll, "roll", PRESET(0)),
};
static RECORD(attitude_element, "attitude", TbAttitude, TB_LIST_ATTITUDES, attitude_fields);

static const TbField point_fields[] = {
    NUMBER(TbGasPoint, speed, "speed", "1/min", 1, 20000, NEEDED),
    NUMBER(TbGasPoint, flow, "flow", "g/s", 0, 1e5, .above_low = true, NEEDED),
    NUMBER(TbGasPoint, bypass, "bypass", "", 0, 1, PRESET(0)),
    CELSIUS(TbGasPoint, temperature, "temperature", NEEDED),
    CELSIUS(TbGasPoint, inlet_temperature, "inlet-temperature"),
    NUMBER(TbGasPoint, pressure, "pressure", "kPa", 0, 1e5, .above_low = true, NEEDED),
    NUMBER(TbGasPoint, inlet_pressure, "inlet-pressure", "kPa", 0, 1e5, .above_low = true),
    NUMBER(TbGasPoint, lambda, "lambda", "", 0.3, 20, NEEDED),
};
static RECORD(point_element, "point", TbGasPoint, TB_LIST_GAS, point_fields);

/* ---- mounts and materials ---- */

#define FREEDOM(member, tag) ANGLE(TbMount, member, tag, .kind = TB_FIELD_SPREAD, PRESET(0, 0))
#define TRAVEL(member, tag)                                                                        \
    NUMBER(TbMount, member, tag, "mm", -TB_LIMIT_SIZE, TB_LIMIT_SIZE, .kind = TB_FIELD_SPREAD,     \
           PRESET(0, 0))
static const TbField mount_fields[] = {
    REF(TbMount, parent, "parent", TO(MOUNTS)),
    PLACE(TbMount, axis_point, "axis-point"),
    DIRECTION(TbMount, axis_direction, "axis-direction"),
    FREEDOM(rx, "rx"),
    FREEDOM(ry, "ry"),
    FREEDOM(rz, "rz"),
    TRAVEL(tx, "tx"),
    TRAVEL(ty, "ty"),
    TRAVEL(tz, "tz"),
    PLACE(TbMount, datum, "datum", PRESET(0, 0, 0)),
    CELSIUS(TbMount, reference, "reference", PRESET(20)),
    PLACE(TbMount, scatter_shift, "scatter-shift", PRESET(0, 0, 0), .low = 0),
    ANGLE(TbMount, scatter_turn, "scatter-turn", .kind = TB_FIELD_VEC3, PRESET(0, 0, 0), .low = 0),
    PLACE(TbMount, sag, "sag", PRESET(0, 0, 0)),
    PLACE(TbMount, lift, "lift", PRESET(0, 0, 0)),
};
RECORD(tb_element_mount, "mount", TbMount, TB_LIST_MOUNTS, mount_fields);

static const TbField mean_fields[] = {
    CELSIUS(TbMean, to, "to", NEEDED),
    NUMBER(TbMean, expansion, "expansion", "1e-6/K", -100, 1000, NEEDED),
};
PART(mean_element, "mean", TbMean, mean_fields);

static const TbField source_fields[] = {
    WORD(TbOrigin, of, "of", NEEDED),
    TEXT(TbOrigin, from, "from", NEEDED),
};
PART(source_element, "source", TbOrigin, source_fields);

static const TbField material_fields[] = {
    TEXT(TbMaterial, standard, "standard"),
    NUMBER(TbMaterial, density, "density", "kg/m3", 0, 30000, .above_low = true, NEEDED),
    NUMBER(TbMaterial, expansion, "expansion", "1e-6/K", -100, 1000, NEEDED),
    NUMBER(TbMaterial, emissivity, "emissivity", "", 0, 1),
    CELSIUS(TbMaterial, limit, "limit"),
    NUMBER(TbMaterial, modulus, "modulus", "GPa", 0, 1500, .above_low = true),
    NUMBER(TbMaterial, bend_ratio, "bend-ratio", "", 0, 100),
    NUMBER(TbMaterial, least_wall, "least-wall", "mm", 0, 100),
};
static const TbNest material_children[] = {
    MANY(TbMaterial, mean_element, means, mean_count, 0),
    MANY(TbMaterial, source_element, sources, source_count, 0),
};
RECORD(tb_element_material,
       "material",
       TbMaterial,
       TB_LIST_MATERIALS,
       material_fields,
       CHILDREN(material_children));

/* ---- ports and joints ---- */

static const TbField opening_fields[] = {
    CHOICE(TbOpening, kind, "kind", tb_names_opening, TB_OPENING_ROUND),
    SIZE(TbOpening, width, "width", NEEDED),
    SIZE(TbOpening, height, "height", NEEDED),
    LENGTH(TbOpening, corner, "corner"),
    PLACE2(TbOpening, offset, "offset", PRESET(0, 0), .mirror = TB_MIRROR_FIRST),
};
PART(opening_element, "opening", TbOpening, opening_fields);

static const TbField bolts_fields[] = {
    NUMBER(TbBolts, count, "count", "", 1, 100, .kind = TB_FIELD_INTEGER, NEEDED),
    SIZE(TbBolts, circle, "circle"),
    SIZE(TbBolts, across, "across"),
    ANGLE(TbBolts, turn, "turn", PRESET(0), .mirror = TB_MIRROR_ANGLE),
    TEXT(TbBolts, thread, "thread"),
};
PART(bolts_element, "bolts", TbBolts, bolts_fields);

static const TbField port_fields[] = {
    REF(TbPort, owner, "owner", TO(ITEMS)),
    CHOICE(TbPort, housing, "housing", tb_names_housing, -1),
    REF(TbPort, mount, "mount", TO(MOUNTS)),
    PLACE(TbPort, at, "at", NEEDED, .mirror = TB_MIRROR_Y),
    DIRECTION(TbPort, flow, "flow", NEEDED, .mirror = TB_MIRROR_Y),
    DIRECTION(TbPort, up, "up", .mirror = TB_MIRROR_Y),
    CHOICE(TbPort, face, "face", tb_names_face, TB_FACE_FLAT),
    SIZE(TbPort, face_diameter, "face-diameter"),
    TEXT(TbPort, gasket, "gasket"),
    TEXT(TbPort, thread_standard, "thread-standard"),
    TEXT(TbPort, thread_size, "thread-size"),
};
static const TbNest port_children[] = {
    MANY(TbPort, opening_element, openings, opening_count, 0),
    ONE(TbPort, bolts_element, bolts, 0),
};
RECORD(tb_element_port, "port", TbPort, TB_LIST_PORTS, port_fields, CHILDREN(port_children));

static const TbField joint_fields[] = {
    REF(TbJoint, a, "a", TO(PORTS), NEEDED),
    REF(TbJoint, b, "b", TO(PORTS), NEEDED),
    CHOICE(TbJoint, kind, "kind", tb_names_joint, TB_JOINT_BARE, NEEDED),
    PLACE(TbJoint, free_shift, "free-shift", PRESET(0, 0, 0), .low = 0),
    ANGLE(TbJoint, free_turn, "free-turn", .kind = TB_FIELD_VEC3, PRESET(0, 0, 0), .low = 0),
    NUMBER(TbJoint, torque, "torque", "N m", 0, 10000),
    LENGTH(TbJoint, leave_out, "leave-out", PRESET(0)),
};
static const TbNest joint_children[] = {
    MANY(TbJoint, tb_element_ring, rings, ring_count, 0),
    MANY(TbJoint, tb_element_bolt_box, boxes, box_count, 0),
};
static RECORD(
    joint_element, "joint", TbJoint, TB_LIST_JOINTS, joint_fields, CHILDREN(joint_children));

/* ---- keeps, states, variants ---- */

static const TbField gap_fields[] = {
    TEXT(TbKeepGap, state, "state", .kind = TB_FIELD_STATES, NEEDED),
    LENGTH(TbKeepGap, gap, "gap", NEEDED),
};
PART(gap_element, "wanted", TbKeepGap, gap_fields);

static const TbField leave_out_fields[] = {
    REF(TbOmit, port, "port", TO(PORTS), NEEDED),
    LENGTH(TbOmit, radius, "radius", NEEDED),
};
PART(leave_out_element, "leave-out", TbOmit, leave_out_fields);

static const TbField keep_fields[] = {
    REF(TbKeep, item_a, "item-a", TO(ITEMS)),
    WORD(TbKeep, class_a, "class-a"),
    REF(TbKeep, item_b, "item-b", TO(ITEMS)),
    WORD(TbKeep, class_b, "class-b"),
    CHOICE(TbKeep, same_casting, "same-casting", tb_names_tell, TB_TELL_ANY),
    CHOICE(TbKeep, same_mount, "same-mount", tb_names_tell, TB_TELL_ANY),
    CHOICE(TbKeep, shielded, "shielded", tb_names_tell, TB_TELL_ANY),
    LENGTH(TbKeep, margin, "margin", PRESET(0)),
    TEXT(TbKeep, reason, "reason"),
    TEXT(TbKeep, source, "source"),
};
static const TbNest keep_children[] = {
    MANY(TbKeep, gap_element, gaps, gap_count, 1),
    MANY(TbKeep, leave_out_element, leave_outs, leave_out_count, 0),
};
static RECORD(keep_element, "keep", TbKeep, TB_LIST_KEEPS, keep_fields, CHILDREN(keep_children));

static const TbField state_warm_fields[] = {
    WORD(TbStateWarm, klass, "class"),
    REF(TbStateWarm, mount, "mount", TO(MOUNTS)),
    CELSIUS(TbStateWarm, growth, "growth"),
    CELSIUS(TbStateWarm, skin, "skin"),
};
PART(state_warm_element, "warm", TbStateWarm, state_warm_fields);

static const TbField state_fields[] = {
    CHOICE(TbState, kind, "kind", tb_names_state, TB_STATE_COLD, NEEDED),
    TEXT(TbState, parts, "parts", .kind = TB_FIELD_STATES),
    REF(TbState, gas, "gas", TO(GAS)),
    CELSIUS(TbState, ambient, "ambient", PRESET(20)),
};
static const TbNest state_children[] = {
    MANY(TbState, state_warm_element, warm, warm_count, 0),
};
static RECORD(
    state_element, "state", TbState, TB_LIST_STATES, state_fields, CHILDREN(state_children));

static const TbField shift_fields[] = {
    REF(TbShift, mount, "mount", TO(MOUNTS), NEEDED),
    PLACE(TbShift, by, "by", NEEDED),
};
PART(shift_element, "shift", TbShift, shift_fields);

static const TbField swap_fields[] = {
    REF(TbSwap, item, "item", TO(ITEMS), NEEDED),
    REF(TbSwap, with, "with", TO(ITEMS), NEEDED),
};
PART(swap_element, "swap", TbSwap, swap_fields);

static const TbField mirror_fields[] = {
    REF(TbTarget, item, "item", TO(ITEMS) | TO(PORTS), NEEDED),
};
PART(mirror_element, "mirror", TbTarget, mirror_fields);

static const TbField hide_fields[] = {
    REF(TbTarget, item, "item", TO(ITEMS), NEEDED),
};
PART(hide_element, "hide", TbTarget, hide_fields);

static const TbNest variant_children[] = {
    MANY(TbVariant, shift_element, shifts, shift_count, 0),
    MANY(TbVariant, swap_element, swaps, swap_count, 0),
    MANY(TbVariant, mirror_element, mirrors, mirror_count, 0),
    MANY(TbVariant, hide_element, hides, hide_count, 0),
};
static const TbElement variant_element = {
    .name = "variant",
    .size = sizeof(TbVariant),
    .is_record = true,
    .list = TB_LIST_VARIANTS,
    .groups = {FIELDS(tb_identity), FIELDS(tb_history)},
    CHILDREN(variant_children),
    .item_kind = -1,
};

/* ---- fitting, decisions, views ---- */

static const TbField fastener_fields[] = {
    REF(TbFastener, joint, "joint", TO(JOINTS)),
    REF(TbFastener, mount, "mount", TO(MOUNTS)),
    PLACE(TbFastener, at, "at", NEEDED),
    DIRECTION(TbFastener, axis, "axis", NEEDED),
    TEXT(TbFastener, size, "size", NEEDED),
    TEXT(TbFastener, head, "head"),
    TEXT(TbFastener, tool, "tool"),
    SIZE(TbFastener, length, "length"),
    NUMBER(TbFastener, torque, "torque", "N m", 0, 10000),
};
static RECORD(fastener_element, "fastener", TbFastener, TB_LIST_FASTENERS, fastener_fields);

static const TbField place_fields[] = {
    PLACE(TbPlaceRow, by, "by", PRESET(0, 0, 0)),
    ANGLE(TbPlaceRow, turn, "turn", .kind = TB_FIELD_VEC3, PRESET(0, 0, 0)),
};
PART(place_element, "place", TbPlaceRow, place_fields);

static const TbField step_fields[] = {
    REF(TbStep, item, "item", TO(ITEMS)),
    REF(TbStep, fastener, "fastener", TO(FASTENERS)),
    REF(TbStep, lift, "lift", TO(MOUNTS)),
    PLACE(TbStep, lift_by, "lift-by", PRESET(0, 0, 0)),
    TEXT(TbStep, text, "text"),
};
static const TbNest step_children[] = {
    MANY(TbStep, place_element, way, way_count, 0),
};
static RECORD(step_element, "step", TbStep, TB_LIST_STEPS, step_fields, CHILDREN(step_children));

static const TbField decision_fields[] = {
    TEXT(TbDecision, finding, "finding", NEEDED),
    CHOICE(TbDecision, disposition, "disposition", tb_names_disposition, TB_DISPOSITION_OPEN),
    TEXT(TbDecision, owner, "owner"),
    DATE(TbDecision, due, "due"),
};
static const TbField decision_body[] = {BODY(TbDecision, text, "text")};
static const TbElement decision_element = {
    .name = "decision",
    .size = sizeof(TbDecision),
    .is_record = true,
    .list = TB_LIST_DECISIONS,
    .groups = {FIELDS(tb_identity), FIELDS(decision_fields), FIELDS(tb_history),
               FIELDS(decision_body)},
    .item_kind = -1,
};

static const TbField view_fields[] = {
    CHOICE(TbView, kind, "kind", tb_names_view, TB_VIEW_SIDE, NEEDED),
    NUMBER(TbView, at, "at", "mm", -TB_LIMIT_COORDINATE, TB_LIMIT_COORDINATE),
    REF(TbView, item, "item", TO(ITEMS)),
    PLACE(TbView, point, "point"),
    DIRECTION(TbView, look, "look"),
    DIRECTION(TbView, up, "up"),
    NUMBER(TbView, scale, "scale", "", 0, 1000, .above_low = true),
};
static RECORD(view_element, "view", TbView, TB_LIST_VIEWS, view_fields);

const TbElement *const tb_elements[] = {
    &tb_element_revision,
    &attitude_element,
    &point_element,
    &tb_element_mount,
    &tb_element_material,
    &tb_element_port,
    &joint_element,
    &tb_element_duct,
    &tb_element_line,
    &tb_element_turbo,
    &tb_element_block,
    &tb_element_rod,
    &tb_element_ball,
    &tb_element_outline,
    &tb_element_scan,
    &keep_element,
    &state_element,
    &variant_element,
    &fastener_element,
    &step_element,
    &decision_element,
    &view_element,
    NULL,
};
