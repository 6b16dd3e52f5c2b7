/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/tables_macros.h"

/* The initialisers of a line may name a member twice on purpose: the later one holds. */
#pragma GCC diagnostic ignored "-Woverride-init"

TbNames tb_names_known = {"drawing", "scan", "calliper", "tape", "guess", NULL};
TbNames tb_names_path = {"smooth", "bent", NULL};
TbNames tb_names_ring = {"flange", "v-band", "clamp", "fitting", NULL};
TbNames tb_names_row = {"superellipse", "rounded", NULL};
TbNames tb_names_process = {"cast", "formed", "tube", NULL};
TbNames tb_names_line_role = {"oil-drain", "oil-feed", "coolant", "brake",
                              "fuel",      "hose",     "harness", NULL};
TbNames tb_names_bend_basis = {"maker", "standard", "practice", NULL};
TbNames tb_names_housing = {"turbine", "centre", "compressor", NULL};
TbNames tb_names_scan_unit = {"mm", "cm", "m", "inch", NULL};

/* ---- parts of items ---- */

static const TbField known_fields[] = {
    CHOICE(TbKnown, by, "by", tb_names_known, 0, NEEDED),
    NUMBER(TbKnown, uncertainty, "uncertainty", "mm", 0, 1000, NEEDED),
    TEXT(TbKnown, datum, "datum"),
    DATE(TbKnown, date, "date"),
};
static const TbElement known_element = {
    .name = "known",
    .size = sizeof(TbKnown),
    .groups = {FIELDS(known_fields)},
};

static const TbField tolerance_fields[] = {
    PLACE(TbTolerance, shift, "shift", PRESET(0, 0, 0), .low = 0),
    ANGLE(TbTolerance, turn, "turn", .kind = TB_FIELD_VEC3, PRESET(0, 0, 0), .low = 0),
    TEXT(TbTolerance, grade, "grade"),
    SIZE(TbTolerance, size, "size"),
};
static const TbElement tolerance_element = {
    .name = "tolerance",
    .size = sizeof(TbTolerance),
    .groups = {FIELDS(tolerance_fields)},
};

static const TbField warm_fields[] = {
    TEXT(TbWarm, state, "state", .kind = TB_FIELD_STATES, NEEDED),
    CELSIUS(TbWarm, growth, "growth"),
    CELSIUS(TbWarm, skin, "skin"),
};
static const TbElement warm_element = {
    .name = "warm",
    .size = sizeof(TbWarm),
    .groups = {FIELDS(warm_fields)},
};

static const TbField item_fields[] = {
    WORD(TbItem, klass, "class", NEEDED),
    REF(TbItem, mount, "mount", TO(MOUNTS), NEEDED),
    REF(TbItem, on, "on", TO(PORTS)),
    TEXT(TbItem, material, "material", .kind = TB_FIELD_MATERIAL),
    WORD(TbItem, casting, "casting"),
    REF(TbItem, shield, "shield", TO(ITEMS)),
    FLAG(TbItem, spare, "spare"),
    NUMBER(TbItem, mass, "mass", "kg", 0, 10000),
    PLACE(TbItem, centre, "centre", .mirror = TB_MIRROR_Y),
};

#define ITEM_GROUPS(own)                                                                           \
    {                                                                                              \
        FIELDS(tb_identity), FIELDS(item_fields), FIELDS(own), FIELDS(tb_history)                  \
    }
#define ITEM_CHILDREN(T)                                                                           \
    ONE(T, known_element, item.known, 0), ONE(T, tolerance_element, item.tolerance, 0),            \
        MANY(T, warm_element, item.warm, item.warm_count, 0)

static const TbField knot_fields[] = {
    PLACE(TbKnot, at, "at", NEEDED, .mirror = TB_MIRROR_Y),
    NUMBER(TbKnot, radius, "radius", "mm", 0, TB_LIMIT_COORDINATE),
};
static const TbElement knot_element = {
    .name = "knot",
    .size = sizeof(TbKnot),
    .groups = {FIELDS(knot_fields)},
};

static const TbField path_fields[] = {
    CHOICE(TbPath, kind, "kind", tb_names_path, TB_PATH_SMOOTH),
};
static const TbNest path_children[] = {
    MANY(TbPath, knot_element, knots, knot_count, 0),
};
static const TbElement path_element = {
    .name = "path",
    .size = sizeof(TbPath),
    .groups = {FIELDS(path_fields)},
    CHILDREN(path_children),
};

static const TbField ring_fields[] = {
    CHOICE(TbRing, kind, "kind", tb_names_ring, TB_RING_FLANGE, NEEDED),
    SIZE(TbRing, diameter, "diameter", NEEDED),
    NUMBER(TbRing, from, "from", "mm", -TB_LIMIT_SIZE, TB_LIMIT_SIZE, PRESET(0)),
    NUMBER(TbRing, to, "to", "mm", -TB_LIMIT_SIZE, TB_LIMIT_SIZE, NEEDED),
    SIZE(TbRing, nominal, "nominal"),
};
const TbElement tb_element_ring = {
    .name = "ring",
    .size = sizeof(TbRing),
    .groups = {FIELDS(ring_fields)},
};

static const TbField bolt_box_fields[] = {
    SIZE(TbBoltBox, along, "along", NEEDED),
    SIZE(TbBoltBox, across, "across", NEEDED),
    LENGTH(TbBoltBox, from, "from", PRESET(0)),
    LENGTH(TbBoltBox, to, "to", NEEDED),
    NUMBER(TbBoltBox, shift, "shift", "mm", -TB_LIMIT_SIZE, TB_LIMIT_SIZE, PRESET(0)),
    ANGLE(TbBoltBox, turn, "turn", PRESET(0), .mirror = TB_MIRROR_ANGLE),
    FLAG(TbBoltBox, free, "free"),
};
const TbElement tb_element_bolt_box = {
    .name = "bolt-box",
    .size = sizeof(TbBoltBox),
    .groups = {FIELDS(bolt_box_fields)},
};

static const TbField end_fields[] = {
    REF(TbEnd, port, "port", TO(PORTS)),
    FLAG(TbEnd, against, "against"),
    DIRECTION(TbEnd, tangent, "tangent", .mirror = TB_MIRROR_Y),
};
static const TbNest end_children[] = {
    MANY(TbEnd, tb_element_ring, rings, ring_count, 0),
    MANY(TbEnd, tb_element_bolt_box, boxes, box_count, 0),
};
static const TbElement start_element = {
    .name = "start",
    .size = sizeof(TbEnd),
    .groups = {FIELDS(end_fields)},
    CHILDREN(end_children),
};
static const TbElement end_element = {
    .name = "end",
    .size = sizeof(TbEnd),
    .groups = {FIELDS(end_fields)},
    CHILDREN(end_children),
};

static const TbField station_fields[] = {
    TEXT(TbStation, name, "name", NEEDED),
    LENGTH(TbStation, at, "at", NEEDED),
    FLAG(TbStation, from_end, "from-end"),
    TEXT(TbStation, note, "note"),
};
static const TbElement station_element = {
    .name = "station",
    .size = sizeof(TbStation),
    .groups = {FIELDS(station_fields)},
};

static const TbField row_fields[] = {
    LENGTH(TbRow, at, "at", NEEDED),
    FLAG(TbRow, from_end, "from-end"),
    CHOICE(TbRow, kind, "kind", tb_names_row, TB_ROW_SUPERELLIPSE),
    SIZE(TbRow, width, "width"),
    SIZE(TbRow, height, "height"),
    SIZE(TbRow,
         half,
         "half",
         .kind = TB_FIELD_NUMBERS,
         .counts = 1u << 4,
         .mirror = TB_MIRROR_SIDES),
    NUMBER(TbRow, exponent, "exponent", "", 1.05, 50, PRESET(2)),
    SIZE(TbRow,
         corner,
         "corner",
         .kind = TB_FIELD_NUMBERS,
         .counts = 1u << 1 | 1u << 4,
         .mirror = TB_MIRROR_CORNERS),
    ANGLE(TbRow, turn, "turn", PRESET(0), .mirror = TB_MIRROR_ANGLE),
    PLACE2(TbRow, offset, "offset", PRESET(0, 0), .mirror = TB_MIRROR_FIRST),
    NUMBER(TbRow, wall, "wall", "mm", 0, 100),
    FLAG(TbRow, hold_size, "hold-size"),
    FLAG(TbRow, lock, "lock"),
};
static const TbElement row_element = {
    .name = "section",
    .size = sizeof(TbRow),
    .groups = {FIELDS(row_fields)},
};

static const TbField process_fields[] = {
    CHOICE(TbProcess, kind, "kind", tb_names_process, TB_PROCESS_CAST, NEEDED),
    TEXT(TbProcess, grade, "grade"),
    NUMBER(TbProcess, core_shift, "core-shift", "mm", 0, 50),
    NUMBER(TbProcess, mismatch, "mismatch", "mm", 0, 50),
    NUMBER(TbProcess, draft, "draft", "deg", 0, 45),
    DIRECTION(TbProcess, draw, "draw", .mirror = TB_MIRROR_Y),
    NUMBER(TbProcess, shrinkage, "shrinkage", "%", 0, 20),
    NUMBER(TbProcess, stock, "stock", "mm", 0, 50),
};
static const TbElement process_element = {
    .name = "process",
    .size = sizeof(TbProcess),
    .groups = {FIELDS(process_fields)},
};

/* ---- ducts and lines ---- */

static const TbField duct_fields[] = {
    NUMBER(TbDuct, wall, "wall", "mm", 0, 100, .above_low = true, NEEDED),
    NUMBER(TbDuct, least_wall, "least-wall", "mm", 0, 100),
    NUMBER(TbDuct, cone_limit, "cone-limit", "deg", 0, 180),
    WORD(TbDuct, role, "role"),
};
static const TbNest duct_children[] = {
    ITEM_CHILDREN(TbDuct),
    ONE(TbDuct, path_element, path, 1),
    ONE(TbDuct, start_element, start, 0),
    ONE(TbDuct, end_element, end, 0),
    MANY(TbDuct, station_element, stations, station_count, 0),
    MANY(TbDuct, row_element, rows, row_count, 1),
    ONE(TbDuct, process_element, process, 0),
};
const TbElement tb_element_duct = {
    .name = "duct",
    .size = sizeof(TbDuct),
    .is_record = true,
    .list = TB_LIST_ITEMS,
    .groups = ITEM_GROUPS(duct_fields),
    CHILDREN(duct_children),
    .item_kind = TB_ITEM_DUCT,
};

static const TbField line_fields[] = {
    CHOICE(TbLine, role, "role", tb_names_line_role, TB_LINE_HOSE, NEEDED),
    SIZE(TbLine, diameter, "diameter", NEEDED),
    SIZE(TbLine, bore, "bore"),
    LENGTH(TbLine, least_bend, "least-bend"),
    CHOICE(TbLine, bend_basis, "bend-basis", tb_names_bend_basis, TB_BEND_PRACTICE),
    LENGTH(TbLine, slack, "slack"),
    NUMBER(TbLine, flow, "flow", "g/s", 0, 1e5),
    NUMBER(TbLine, pressure, "pressure", "kPa", -101.4, 1e5),
    REF(TbLine, end_mount, "end-mount", TO(MOUNTS)),
};
static const TbNest line_children[] = {
    ITEM_CHILDREN(TbLine),
    ONE(TbLine, path_element, path, 1),
    ONE(TbLine, start_element, start, 0),
    ONE(TbLine, end_element, end, 0),
    MANY(TbLine, station_element, stations, station_count, 0),
};
const TbElement tb_element_line = {
    .name = "line",
    .size = sizeof(TbLine),
    .is_record = true,
    .list = TB_LIST_ITEMS,
    .groups = ITEM_GROUPS(line_fields),
    CHILDREN(line_children),
    .item_kind = TB_ITEM_LINE,
};

/* ---- the turbo ---- */

static const TbField housing_fields[] = {
    CHOICE(TbHousing, of, "of", tb_names_housing, 0, NEEDED),
    ANGLE(TbHousing, turn, "turn", PRESET(0), .mirror = TB_MIRROR_ANGLE),
    ANGLE(TbHousing, limit, "limit", .kind = TB_FIELD_SPREAD, .mirror = TB_MIRROR_ANGLE),
    NUMBER(TbHousing, throat_area, "throat-area", "mm2", 0, 1e6, .above_low = true),
    SIZE(TbHousing, throat_radius, "throat-radius"),
    NUMBER(TbHousing, flow_number, "flow-number", "", 0, 100),
};
static const TbElement housing_element = {
    .name = "housing",
    .size = sizeof(TbHousing),
    .groups = {FIELDS(housing_fields)},
};

static const TbField shaft_rod_fields[] = {
    CHOICE(TbShaftRod, of, "of", tb_names_housing, 0, NEEDED),
    NUMBER(TbShaftRod, from, "from", "mm", -TB_LIMIT_SIZE, TB_LIMIT_SIZE, NEEDED),
    NUMBER(TbShaftRod, to, "to", "mm", -TB_LIMIT_SIZE, TB_LIMIT_SIZE, NEEDED),
    SIZE(TbShaftRod, radius, "radius", NEEDED),
    LENGTH(TbShaftRod, radius_to, "radius-to"),
    PLACE2(TbShaftRod, beside, "beside", PRESET(0, 0), .mirror = TB_MIRROR_FIRST),
};
static const TbElement shaft_rod_element = {
    .name = "rod",
    .size = sizeof(TbShaftRod),
    .groups = {FIELDS(shaft_rod_fields)},
};

static const TbField arm_fields[] = {
    CHOICE(TbArm, of, "of", tb_names_housing, 0, NEEDED),
    PLACE(TbArm, a, "a", NEEDED, .mirror = TB_MIRROR_Y),
    PLACE(TbArm, b, "b", NEEDED, .mirror = TB_MIRROR_Y),
    SIZE(TbArm, radius, "radius", NEEDED),
    LENGTH(TbArm, radius_to, "radius-to"),
};
static const TbElement arm_element = {
    .name = "arm",
    .size = sizeof(TbArm),
    .groups = {FIELDS(arm_fields)},
};

static const TbField box_fields[] = {
    CHOICE(TbBox, of, "of", tb_names_housing, 0, NEEDED),
    PLACE(TbBox, low, "low", NEEDED),
    PLACE(TbBox, high, "high", NEEDED),
};
const TbElement tb_element_box = {
    .name = "box",
    .size = sizeof(TbBox),
    .groups = {FIELDS(box_fields)},
};

static const TbField turbo_fields[] = {
    PLACE(TbTurbo, at, "at", NEEDED, .mirror = TB_MIRROR_Y),
    DIRECTION(TbTurbo, shaft, "shaft", NEEDED, .mirror = TB_MIRROR_Y),
    DIRECTION(TbTurbo, up, "up", PRESET(0, 0, 1), .mirror = TB_MIRROR_Y),
    ANGLE(TbTurbo, tilt, "tilt", .kind = TB_FIELD_SPREAD),
};
static const TbNest turbo_children[] = {
    ITEM_CHILDREN(TbTurbo),
    MANY(TbTurbo, housing_element, housings, housing_count, 0),
    MANY(TbTurbo, shaft_rod_element, rods, rod_count, 0),
    MANY(TbTurbo, arm_element, arms, arm_count, 0),
    MANY(TbTurbo, tb_element_box, boxes, box_count, 0),
};
const TbElement tb_element_turbo = {
    .name = "turbo",
    .size = sizeof(TbTurbo),
    .is_record = true,
    .list = TB_LIST_ITEMS,
    .groups = ITEM_GROUPS(turbo_fields),
    CHILDREN(turbo_children),
    .item_kind = TB_ITEM_TURBO,
};

/* ---- plain shapes and scans ---- */

static const TbNest plain_children[] = {ITEM_CHILDREN(TbBlockItem)};

static const TbField block_fields[] = {
    PLACE(TbBlockItem, low, "low", NEEDED),
    PLACE(TbBlockItem, high, "high", NEEDED),
    DIRECTION(TbBlockItem, along, "along", PRESET(1, 0, 0), .mirror = TB_MIRROR_Y),
    DIRECTION(TbBlockItem, up, "up", PRESET(0, 0, 1), .mirror = TB_MIRROR_Y),
};
const TbElement tb_element_block = {
    .name = "block",
    .size = sizeof(TbBlockItem),
    .is_record = true,
    .list = TB_LIST_ITEMS,
    .groups = ITEM_GROUPS(block_fields),
    CHILDREN(plain_children),
    .item_kind = TB_ITEM_BLOCK,
};

static const TbField rod_fields[] = {
    PLACE(TbRodItem, a, "a", NEEDED, .mirror = TB_MIRROR_Y),
    PLACE(TbRodItem, b, "b", NEEDED, .mirror = TB_MIRROR_Y),
    SIZE(TbRodItem, radius, "radius", NEEDED),
    LENGTH(TbRodItem, radius_to, "radius-to"),
};
const TbElement tb_element_rod = {
    .name = "rod",
    .size = sizeof(TbRodItem),
    .is_record = true,
    .list = TB_LIST_ITEMS,
    .groups = ITEM_GROUPS(rod_fields),
    CHILDREN(plain_children),
    .item_kind = TB_ITEM_ROD,
};

static const TbField ball_fields[] = {
    PLACE(TbBallItem, at, "at", NEEDED, .mirror = TB_MIRROR_Y),
    SIZE(TbBallItem, radius, "radius", NEEDED),
};
const TbElement tb_element_ball = {
    .name = "ball",
    .size = sizeof(TbBallItem),
    .is_record = true,
    .list = TB_LIST_ITEMS,
    .groups = ITEM_GROUPS(ball_fields),
    CHILDREN(plain_children),
    .item_kind = TB_ITEM_BALL,
};

static const TbField corner_fields[] = {
    PLACE2(TbCorner, at, "at", NEEDED),
};
static const TbElement corner_element = {
    .name = "corner",
    .size = sizeof(TbCorner),
    .groups = {FIELDS(corner_fields)},
};

static const TbField outline_fields[] = {
    PLACE(TbOutlineItem, origin, "origin", NEEDED, .mirror = TB_MIRROR_Y),
    DIRECTION(TbOutlineItem, u, "u", NEEDED, .mirror = TB_MIRROR_Y),
    DIRECTION(TbOutlineItem, v, "v", NEEDED, .mirror = TB_MIRROR_Y),
    SIZE(TbOutlineItem, depth, "depth", NEEDED),
    NUMBER(TbOutlineItem, rounding, "rounding", "mm", 0, TB_LIMIT_SIZE, PRESET(0)),
};
static const TbNest outline_children[] = {
    ITEM_CHILDREN(TbOutlineItem),
    MANY(TbOutlineItem, corner_element, corners, corner_count, 3),
};
const TbElement tb_element_outline = {
    .name = "outline",
    .size = sizeof(TbOutlineItem),
    .is_record = true,
    .list = TB_LIST_ITEMS,
    .groups = ITEM_GROUPS(outline_fields),
    CHILDREN(outline_children),
    .item_kind = TB_ITEM_OUTLINE,
};

static const TbField scan_fields[] = {
    TEXT(TbScanItem, file, "file", NEEDED),
    TEXT(TbScanItem, sha256, "sha256", .kind = TB_FIELD_DIGEST),
    CHOICE(TbScanItem, unit, "unit", tb_names_scan_unit, TB_SCAN_MM),
    PLACE(TbScanItem, at, "at", PRESET(0, 0, 0)),
    DIRECTION(TbScanItem, along, "along", PRESET(1, 0, 0)),
    DIRECTION(TbScanItem, up, "up", PRESET(0, 0, 1)),
    NUMBER(TbScanItem, residual, "residual", "mm", 0, 1000),
    TEXT(TbScanItem, coverage, "coverage"),
};
const TbElement tb_element_scan = {
    .name = "scan",
    .size = sizeof(TbScanItem),
    .is_record = true,
    .list = TB_LIST_ITEMS,
    .groups = ITEM_GROUPS(scan_fields),
    CHILDREN(plain_children),
    .item_kind = TB_ITEM_SCAN,
};
