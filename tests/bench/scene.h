/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scene.h
 * @brief The scene of the benches: a duct in closed form, three plain obstacles near it, and a
 *        scanned engine bay around it. Deterministic; mm; z is up.
 *
 * Duct: a clamped cubic B-spline of six points, 0.42 m long, swept by superellipses that grow from
 * 60 x 50 to 100 x 100 mm, frames that do not turn (double reflection). As a mesh it is a lattice
 * of rings of points, ring by ring, each quad cut from its first corner.
 *
 * Bay: an outer shell, an engine block, a two-sided shield along the duct, and 70 blocks, barrels
 * and eggs near the duct, the six nearest at 8 to 10 mm; all closed, bent by smooth noise and
 * roughened by the noise of a scanner.
 */
#pragma once

#include "geom/plain.h"
#include "geom/sweep.h"

#include <stdint.h>

/** The duct's mesh in the benches: 400 stations between 401 rings. */
enum { SCENE_RINGS = 401, SCENE_COLUMNS = 64, SCENE_POINTS = SCENE_RINGS * SCENE_COLUMNS };

/** Triangles of a duct's mesh. */
enum { SCENE_TRIANGLES = 2 * (SCENE_RINGS - 1) * SCENE_COLUMNS };

/** splitmix64 (Steele, Lea, Flood, OOPSLA 2014): 64 random bits; and a number of 0 to 1. */
uint64_t scene_bits(uint64_t *state);
double scene_unit(uint64_t *state);

/** A station of a duct: axes u, v across and t along it; superellipse |x/a|^n + |y/b|^n = 1. */
typedef struct SceneFrame {
    TbVec3 centre, t, u, v;
    double place; /**< share of the length, 0 to 1 */
    double a, b, n;
} SceneFrame;

/** Clamped cubic B-spline of six points with even knots, at @p t of 0 to 1. */
TbVec3 scene_spline(const TbVec3 *point, double t);

/** The six points of the duct's axis, the fourth moved by @p drag mm along y. */
void scene_axis(double drag, TbVec3 point[6]);

/** The duct's axis, its fourth point moved by @p drag mm along y. */
TbVec3 scene_path(double t, double drag);

/** @p count stations, evenly apart; @return the length. */
double scene_frames(size_t count, double drag, SceneFrame frames[]);

/** Point of the outline at @p angle of the superellipse's own parameter. */
TbVec3 scene_point(const SceneFrame *frame, double angle);

/** Fills rings x columns points, ring by ring. */
void scene_points(size_t rings, size_t columns, double drag, TbVec3 points[]);

/** The six corners of the two triangles of a quad, as numbers of points. */
void scene_quad(size_t columns, size_t ring, size_t column, uint32_t corner[6]);

/** All triangles of a lattice, three corners each. */
void scene_indices(size_t rings, size_t columns, uint32_t index[]);

/** Block, rod and round line near the duct. */
typedef struct ScenePlain {
    TbBlock block;
    TbRod rod;
    TbVec3 line[6]; /**< points of a clamped cubic B-spline */
    double line_radius;
} ScenePlain;

void scene_plain(ScenePlain *plain);

/** Called for each triangle; @return false to stop. */
typedef bool (*SceneTake)(void *user, const TbVec3 corner[3]);

/** Which pieces a bay has besides the 70 near its duct. */
typedef enum SceneAround {
    SCENE_SHIELD, /**< the shield */
    SCENE_ALL     /**< outer shell, shield, engine block */
} SceneAround;

/** Pieces near the duct in the benches. */
enum { SCENE_NEAR = 70 };

typedef struct SceneBay {
    const SceneFrame *frames; /**< SCENE_RINGS stations of the duct that the bay is built around */
    double triangles;         /**< wanted; at most that many come */
    double gap;               /**< mm, of the nearest piece */
    uint64_t seed;
    int near; /**< pieces near the duct, up to SCENE_NEAR */
    SceneAround around;
} SceneBay;

/** @return pieces made, or 0 when @p take stopped it. */
size_t scene_bay(const SceneBay *bay, SceneTake take, void *user);

/** Writes the triangles to a binary STL; @return false with the reason on stderr. */
bool scene_write(const char *path, const SceneBay *bay);

/* ---- the same duct as the program has it ---- */

/** Points of the axis and given sections of the duct's sweep: so many that it keeps within
 * SCENE_SWEEP_ERROR of the closed form. */
enum { SCENE_KNOTS = 13, SCENE_ROWS = 9 };

/** mm. 0.061 mm was measured on 81 stations of 64 points. */
#define SCENE_SWEEP_ERROR 0.07

/** What the sweep is made from. */
typedef struct SceneDuct {
    TbVec3 knot[SCENE_KNOTS];
    TbVec3 start, end; /**< tangents */
    TbSectionRow row[SCENE_ROWS];
    double place[SCENE_ROWS]; /**< share of the length */
} SceneDuct;

void scene_duct(double drag, SceneDuct *duct);

/** The duct as a sweep of the program. */
TbStatus scene_sweep(const SceneDuct *duct, TbSweep **sweep, TbFault *fault);

/** The round line of the plain obstacles as a sweep. */
TbStatus scene_line(const ScenePlain *plain, TbSweep **sweep, TbFault *fault);
