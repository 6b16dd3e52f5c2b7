/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file fixture.h
 * @brief A section plot and a strip made by hand, with awkward numbers: a hollow duct past a rail,
 *        a brake line, a cover half out of the window, an open scan, and gaps of every level.
 */
#pragma once

#include "study/scene.h"

#include <math.h>
#include <string.h>

/** Room for the fixture's points; the scene points into it. */
typedef struct Fixture {
    TbScene scene;
    TbSceneShape shapes[7];
    TbSceneLine line;
    TbSceneGap gaps[4];
    TbVec2 points[4000];
    TbLoop loops[40];
    size_t used_points, used_loops;
    TbVec2 ticks[12], directions[12];
    double stations[12];
    char *notes[2];
    TbSceneStrip strip;
    TbSceneChart charts[4];
    TbSceneCurve curves[9];
    TbSceneLimit limits[6];
    TbSceneBand bands[3];
    double station[121], values[9][121], lows[9][121];
    char *named[3];
    double named_at[3];
    TbSceneMap map;
    TbSceneNeighbour neighbours[2];
    TbSceneBasin basins[2];
    double room[28 * 24];
    unsigned char who[28 * 24];
    TbVec2 level[2][40];
    TbLoopSpan level_loop[2];
} Fixture;

static inline void
fixture_loop(
    Fixture *f, TbCut *cut, const TbVec2 p[], size_t count, TbLoopKind kind, int depth, int role)
{
    if (cut->points == NULL) {
        cut->points = f->points + f->used_points;
        cut->loops = f->loops + f->used_loops;
    }
    memcpy(cut->points + cut->point_count, p, count * sizeof *p);
    cut->loops[cut->loop_count++] = (TbLoop){cut->point_count, count, kind, depth, role};
    cut->point_count += count;
    f->used_points += count;
    f->used_loops++;
}

static inline void
fixture_box(Fixture *f, TbCut *cut, double x0, double y0, double x1, double y1, int role)
{
    TbVec2 p[4] = {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};

    fixture_loop(f, cut, p, 4, TB_LOOP_OUTER, 0, role);
}

static inline void
fixture_circle(Fixture *f, TbCut *cut, double x, double y, double r)
{
    TbVec2 p[48];

    for (int i = 0; i < 48; i++)
        p[i] = tb_vec2(x + r * cos(2 * M_PI * i / 48), y + r * sin(2 * M_PI * i / 48));
    fixture_loop(f, cut, p, 48, TB_LOOP_OUTER, 0, 0);
}

/** Centre of the bent duct at a share of its length, and its direction. */
static inline TbVec2
fixture_path(double k)
{
    return tb_vec2(1180 + 190 * k - 30 * sin(2 * M_PI * k), 735 - 430 * k);
}

static inline TbVec2
fixture_normal(double k)
{
    TbVec2 d = {190 - 60 * M_PI * cos(2 * M_PI * k), -430};
    double length = tb_vec2_length(d);

    return tb_vec2(-d.y / length, d.x / length);
}

static inline void
fixture_duct(Fixture *f, TbCut *cut, double half, TbLoopKind kind)
{
    enum { N = 40 };
    TbVec2 p[2 * N + 2];

    for (int i = 0; i <= N; i++) {
        double k = (double)i / N;
        TbVec2 n = fixture_normal(k);

        p[i] = tb_vec2_add(fixture_path(k), tb_vec2_scale(n, -half));
        p[2 * N + 1 - i] = tb_vec2_add(fixture_path(k), tb_vec2_scale(n, half));
    }
    fixture_loop(f, cut, p, 2 * N + 2, kind, kind == TB_LOOP_INNER, 0);
}

static inline void
fixture_scene(Fixture *f)
{
    static const struct {
        char *tag, *label;
        TbLook look;
    } what[7] = {{"outlet", "Turbine outlet", TB_LOOK_HOT},
                 {"rail", "Subframe cross rail", TB_LOOK_STRUCTURE},
                 {"brake", "Brake line", TB_LOOK_BRAKE},
                 {"cover", "Valve cover", TB_LOOK_COVER},
                 {"scan", "Bulkhead scan", TB_LOOK_SCAN},
                 {"harness", "Harness", TB_LOOK_HARNESS},
                 {"shaft", "Steering shaft", TB_LOOK_MOVING}};
    TbVec2 chain[60];

    memset(f, 0, sizeof *f);
    for (int i = 0; i < 7; i++)
        f->shapes[i] =
            (TbSceneShape){.tag = what[i].tag, .label = what[i].label, .look = what[i].look};
    f->shapes[0].subject = true;
    fixture_duct(f, &f->shapes[0].cut, 33.7, TB_LOOP_OUTER);
    fixture_duct(f, &f->shapes[0].cut, 29.7, TB_LOOP_INNER);
    fixture_box(f, &f->shapes[0].cut, 1165, 729, 1176, 790, TB_ROLE_CLAMP);
    fixture_box(f, &f->shapes[1].cut, 1311, 505, 1371, 580, 0);
    fixture_circle(f, &f->shapes[2].cut, 1318.3, 655.1, 2.375);
    fixture_box(f, &f->shapes[3].cut, 880, 682, 1045, 778, 0);
    for (int i = 0; i < 60; i++)
        chain[i] = tb_vec2(1398 + 3 * sin(0.9 * i), 480 + 5.3 * i);
    fixture_loop(f, &f->shapes[4].cut, chain, 60, TB_LOOP_OPEN, 0, 0);
    fixture_circle(f, &f->shapes[5].cut, 1100, 620, 8);
    fixture_box(f, &f->shapes[6].silhouette, 1330, 600, 1352, 770, 0);

    for (int i = 0; i < 11; i++) {
        double k = i / 10.0;

        f->ticks[i] = fixture_path(k);
        f->directions[i] = fixture_normal(k);
        f->stations[i] = 50.0 * i;
    }
    f->line = (TbSceneLine){.tag = "outlet",
                            .points = f->ticks,
                            .count = 11,
                            .tick = f->ticks,
                            .tick_direction = f->directions,
                            .tick_station = f->stations,
                            .tick_count = 11};
    f->gaps[0] = (TbSceneGap){"outlet", "rail", {1297, 548}, {1311, 553},    0,
                              0,        14.9,   12,          TB_LEVEL_WATCH, false};
    f->gaps[1] = (TbSceneGap){"outlet", "brake", {1287, 640}, {1316, 654},    0,
                              0,        26.04,   30,          TB_LEVEL_SHORT, false};
    f->gaps[2] = (TbSceneGap){"outlet", "harness", {1199, 640}, {1108, 621},    0,
                              0,        93.1,      50,          TB_LEVEL_HOLDS, false};
    f->gaps[3] = (TbSceneGap){"outlet", "scan", {1310, 500}, {1396, 498},   0,
                              0,        86.2,   NAN,         TB_LEVEL_OPEN, false};
    f->notes[0] = "Gaps: actual / keep, mm.";
    f->notes[1] = "Left out: turbine outlet within 40 mm of port turbine-out.";
    f->scene = (TbScene){.view = TB_SCENE_SIDE,
                         .title = "Side cut, Y = -187.3 mm",
                         .subtitle = "Small delivery van, revision B, cold, standard height",
                         .caution = "Estimates only: verify on the vehicle; the law on brakes and "
                                    "emission control comes first.",
                         .axis_u = "X",
                         .axis_v = "Z",
                         .axis_u_sign = 1,
                         .axis_v_sign = 1,
                         .front_u = -1,
                         .front = "front",
                         .axes = {{1, 0}, {0, 0}, {0, 1}},
                         .low = {1030, 290},
                         .high = {1420, 800},
                         .shapes = f->shapes,
                         .shape_count = 7,
                         .lines = &f->line,
                         .line_count = 1,
                         .gaps = f->gaps,
                         .gap_count = 4,
                         .notes = f->notes,
                         .note_count = 2};
}

static inline void
fixture_strip(Fixture *f)
{
    static char *const labels[9] = {"inside",     "full cone angle", "Subframe cross rail",
                                    "Brake line", "Steering joint",  "Bulkhead",
                                    "Harness",    "Floor beam",      "Collector"};

    memset(f, 0, sizeof *f);
    for (int i = 0; i < 121; i++) {
        double s = 536.3 * i / 120;

        f->station[i] = s;
        f->values[0][i] = 2642 + 5.9 * s - 90 * exp(-pow((s - 232) / 18, 2));
        f->values[1][i] = 3.2 + 1.7 * sin(s / 40) - (fabs(s - 225) < 12 ? 9 : 0);
        for (int k = 2; k < 9; k++) {
            f->values[k][i] = 15.5 * k + 0.0009 * k * pow(s - 60.0 * k, 2);
            f->lows[k][i] = f->values[k][i] - (k == 3 ? 4 : 0.01);
            if (i < 8 && k == 2)
                f->values[k][i] = NAN;
        }
    }
    for (int k = 0; k < 9; k++)
        f->curves[k] = (TbSceneCurve){.tag = "x",
                                      .label = labels[k],
                                      .station = f->station,
                                      .value = f->values[k],
                                      .low = k >= 2 ? f->lows[k] : NULL,
                                      .count = 121,
                                      .name = labels[k],
                                      .keep = k >= 2 ? 12.5 * k : (double)NAN};
    f->limits[0] = (TbSceneLimit){.value = 7, .label = "limit 7°", .tag = "x"};
    f->limits[1] = (TbSceneLimit){.value = 12, .label = "keep 12, structure", .tag = "x"};
    f->limits[2] = (TbSceneLimit){.value = 30, .label = "keep 30, brake", .tag = "x"};
    f->limits[3] = (TbSceneLimit){.value = 50, .label = "keep 50, harness", .tag = "x"};
    f->bands[0] = (TbSceneBand){.from = 210,
                                .to = 252.4,
                                .level = TB_LEVEL_SHORT,
                                .text = "shrinks 2.3 %",
                                .finding = "area-shrinks/x//"};
    f->bands[1] = (TbSceneBand){.from = 255,
                                .to = 283,
                                .level = TB_LEVEL_SHORT,
                                .text = "cone 10.0°, limit 7°",
                                .finding = "growth/x//"};
    f->bands[2] = (TbSceneBand){.from = 104,
                                .to = 140,
                                .level = TB_LEVEL_SHORT,
                                .text = "Brake line: 26.0 of 30 mm",
                                .finding = "gap/b//"};
    f->charts[0] = (TbSceneChart){.name = "area",
                                  .title = "Area",
                                  .unit = "mm²",
                                  .quantity = TB_QUANTITY_AREA,
                                  .ceiling = NAN,
                                  .curves = f->curves,
                                  .curve_count = 1,
                                  .bands = f->bands,
                                  .band_count = 1};
    f->charts[1] = (TbSceneChart){.name = "cone",
                                  .title = "Cone angle",
                                  .unit = "°",
                                  .quantity = TB_QUANTITY_ANGLE,
                                  .decimals = 1,
                                  .zero_matters = true,
                                  .ceiling = NAN,
                                  .curves = f->curves + 1,
                                  .curve_count = 1,
                                  .limits = f->limits,
                                  .limit_count = 1,
                                  .bands = f->bands + 1,
                                  .band_count = 1};
    f->charts[2] = (TbSceneChart){.name = "gap",
                                  .title = "Gap",
                                  .unit = "mm",
                                  .quantity = TB_QUANTITY_LENGTH,
                                  .decimals = 1,
                                  .zero_matters = true,
                                  .ceiling = 120,
                                  .curves = f->curves + 2,
                                  .curve_count = 7,
                                  .limits = f->limits + 1,
                                  .limit_count = 3,
                                  .bands = f->bands + 2,
                                  .band_count = 1};
    f->named[0] = "merge";
    f->named[1] = "lambda sensor";
    f->named[2] = "V-band";
    f->named_at[0] = 0;
    f->named_at[1] = 452;
    f->named_at[2] = 536.3;
    f->strip = (TbSceneStrip){.title = "Turbine outlet along its path",
                              .subtitle = "Small delivery van, revision B, cold, standard height",
                              .caution = "Estimates only: verify on the vehicle.",
                              .length = 536.3,
                              .charts = f->charts,
                              .chart_count = 3,
                              .named = f->named,
                              .named_at = f->named_at,
                              .named_count = 3};
}

/** A gap map as the strip's fourth chart, and what is allowed for its area: a bowl about station
 * 213 and 47 deg that is short within 1, in units of 60 mm and 40 deg; and one that holds. */
static inline void
fixture_map(Fixture *f)
{
    static double allowed[3][3] = {{0, 268, 536.3}, {2600, 2700, 5700}, {2600, 5000, 5900}};

    for (int k = 0; k < 28; k++)
        for (int m = 0; m < 24; m++) {
            double s = 536.3 * k / 27, a = -180 + (m + 0.5) * 15;
            double brake = -9 + 9 * (pow((s - 213) / 60, 2) + pow((a - 47) / 40, 2));
            double rail = 4 + 6 * (pow((s - 400) / 50, 2) + pow((a + 100) / 30, 2));

            f->room[k * 24 + m] = fmin(40, fmin(brake, rail));
            f->who[k * 24 + m] = fmin(brake, rail) >= 40 ? TB_SCENE_NOBODY : rail < brake;
        }
    for (int n = 0; n < 2; n++) {
        for (int i = 0; i < 40; i++)
            f->level[n][i] = tb_vec2(213 + (60 + 12 * n) * cos(2 * M_PI * i / 40),
                                     47 + (40 + 8 * n) * sin(2 * M_PI * i / 40));
        f->level_loop[n] = (TbLoopSpan){0, 40};
    }
    f->neighbours[0] = (TbSceneNeighbour){.tag = "brake", .name = "Brake line", .keep = 30};
    f->neighbours[1] = (TbSceneNeighbour){.tag = "rail", .name = "Subframe cross rail", .keep = 12};
    f->basins[0] = (TbSceneBasin){0, 213, 47, 21, TB_LEVEL_SHORT, "gap/brake|x/cold/"};
    f->basins[1] = (TbSceneBasin){1, 400, -100, 16, TB_LEVEL_HOLDS, "gap/rail|x/cold/"};
    f->map = (TbSceneMap){.columns = 28,
                          .rows = 24,
                          .room = f->room,
                          .who = f->who,
                          .neighbours = f->neighbours,
                          .neighbour_count = 2,
                          .least = -20,
                          .reach = 40,
                          .keep = {f->level[0], 40, &f->level_loop[0], 1},
                          .want = {f->level[1], 40, &f->level_loop[1], 1},
                          .basins = f->basins,
                          .basin_count = 2};
    f->charts[3] = (TbSceneChart){.name = "gap-map",
                                  .title = "Gap map",
                                  .unit = "°",
                                  .quantity = TB_QUANTITY_ANGLE,
                                  .ceiling = NAN,
                                  .map = &f->map};
    f->charts[0].allowed =
        (TbSceneAllowed){allowed[0], allowed[1], allowed[2], 3, "allowed: growth up to 7°"};
    f->charts[1].summary = "-5.8° at station 224 to 4.9° at station 63.";
    f->strip.chart_count = 4;
}

/** The strip as one who reads inches is given it: the numbers are in mm all the same. */
static inline void
fixture_inches(Fixture *f)
{
    f->strip.unit = TB_UNIT_INCH;
    f->strip.axis_title = "station in";
    f->charts[0].unit = "in²";
    f->charts[2].unit = "in";
    f->limits[1].label = "keep 0.472 in";
    f->limits[2].label = "keep 1.181 in";
    f->limits[3].label = "keep 1.969 in";
    f->bands[2].text = "Brake line: 1.023 of 1.181 in";
}
