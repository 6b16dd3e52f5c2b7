/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "scene.h"

#include <stdlib.h>

typedef enum Kind { BLOCK, BARREL, EGG, SHIELD } Kind;

/** A closed piece of the bay, made of patches: maps of the unit square. */
typedef struct Piece {
    Kind kind;
    TbVec3 centre, axis[3];
    double half[3];
    double bump; /**< mm, of the smooth noise */
} Piece;

enum { MOST_PIECES = 3 + SCENE_NEAR };

/** mm, wavelengths of bumps and of the scanner's noise, and the latter's height. */
static const double bump_wave = 35, scan_wave = 2.3, scan_noise = 0.12;

/* ---- noise ---- */

/** -1 to 1, by a place of the whole-number grid and a component. */
static double
hash(const int at[3], int component)
{
    uint64_t s = (uint64_t)(uint32_t)at[0] * 73856093u ^
                 ((uint64_t)(uint32_t)at[1] * 19349663u << 13) ^
                 ((uint64_t)(uint32_t)at[2] * 83492791u << 29) ^ ((uint64_t)component << 57);

    return 2 * scene_unit(&s) - 1;
}

/** Smooth value noise, three components, trilinear between the grid's values. */
static TbVec3
noise(TbVec3 p, double wave)
{
    double q[3] = {p.x / wave, p.y / wave, p.z / wave}, f[3], r[3] = {0, 0, 0};
    int low[3];

    for (int k = 0; k < 3; k++) {
        low[k] = (int)floor(q[k]);
        f[k] = q[k] - low[k];
        f[k] = f[k] * f[k] * (3 - 2 * f[k]);
    }
    for (int c = 0; c < 8; c++) {
        int at[3];
        double w = 1;

        for (int k = 0; k < 3; k++) {
            at[k] = low[k] + (c >> k & 1);
            w *= (c >> k & 1) ? f[k] : 1 - f[k];
        }
        for (int k = 0; k < 3; k++)
            r[k] += w * hash(at, k);
    }
    return tb_vec3(r[0], r[1], r[2]);
}

/* ---- patches ---- */

static int
patch_count(Kind kind)
{
    return kind == BARREL ? 3 : kind == SHIELD ? 2 : 6;
}

/** Of the cube of half size 1, or of the ball of radius 1. */
static TbVec3
cube_point(Kind kind, int patch, double u, double v)
{
    double c[3], a = 2 * u - 1, b = 2 * v - 1, side = patch % 2 == 1 ? 1 : -1;
    int k = patch / 2;

    c[k] = side;
    c[(k + 1) % 3] = side * a;
    c[(k + 2) % 3] = b;
    if (kind == EGG) {
        double l = sqrt(c[0] * c[0] + c[1] * c[1] + c[2] * c[2]);

        return tb_vec3(c[0] / l, c[1] / l, c[2] / l);
    }
    return tb_vec3(c[0], c[1], c[2]);
}

/** Round wall, bottom and top of the barrel of radius 1 and half height 1. */
static TbVec3
barrel_point(int patch, double u, double v)
{
    double angle = 2 * M_PI * u, r = patch == 0 ? 1 : v;
    double z = patch == 0 ? 2 * v - 1 : patch == 1 ? -1 : 1;

    /* the seam closes to the bit */
    return u == 1 ? tb_vec3(r, 0, z) : tb_vec3(r * cos(angle), r * sin(angle), z);
}

static TbVec3
mixed(TbVec3 a, TbVec3 b, double w)
{
    return tb_vec3_add(tb_vec3_scale(a, 1 - w), tb_vec3_scale(b, w));
}

/** A sheet that follows the duct from 15 to 85 % of its length, 1.5 mm thick. */
static TbVec3
shield_point(const SceneFrame *frames, int patch, double u, double v)
{
    double s = (0.15 + 0.7 * u) * (SCENE_RINGS - 1);
    double angle = (patch == 1 ? 1 - v : v) * 3.0 + 2.2, w, r;
    int i = (int)s;
    const SceneFrame *f, *g;
    TbVec3 c, across, up;

    if (i > SCENE_RINGS - 2)
        i = SCENE_RINGS - 2;
    w = s - i;
    f = &frames[i];
    g = &frames[i + 1];
    r = (f->a + f->b) / 2 + 22 + 8 * sin(6 * angle) * cos(17 * u) + (patch == 1 ? 1.5 : 0);
    if (f->a > f->b)
        r = fmax(r, f->a * 0.95 + 16);
    c = mixed(f->centre, g->centre, w);
    across = tb_vec3_unit(mixed(f->u, g->u, w));
    up = tb_vec3_unit(mixed(f->v, g->v, w));
    return tb_vec3_add(
        c, tb_vec3_add(tb_vec3_scale(across, r * cos(angle)), tb_vec3_scale(up, r * sin(angle))));
}

/** Before any noise. */
static TbVec3
smooth_point(const SceneFrame *frames, const Piece *p, int patch, double u, double v)
{
    TbVec3 q, x, y, z;

    if (p->kind == SHIELD)
        return shield_point(frames, patch, u, v);
    q = p->kind == BARREL ? barrel_point(patch, u, v) : cube_point(p->kind, patch, u, v);
    x = tb_vec3_scale(p->axis[0], q.x * p->half[0]);
    y = tb_vec3_scale(p->axis[1], q.y * p->half[1]);
    z = tb_vec3_scale(p->axis[2], q.z * p->half[2]);
    return tb_vec3_add(p->centre, tb_vec3_add(x, tb_vec3_add(y, z)));
}

static TbVec3
scanned_point(const SceneFrame *frames, const Piece *p, int patch, double u, double v)
{
    TbVec3 q = smooth_point(frames, p, patch, u, v);

    q = tb_vec3_add(q, tb_vec3_scale(noise(q, bump_wave), p->bump));
    return tb_vec3_add(q, tb_vec3_scale(noise(q, scan_wave), scan_noise));
}

/* ---- how near a piece is to the duct, roughly ---- */

static double
section_gap(const SceneFrame *f, TbVec3 p)
{
    TbVec3 d = tb_vec3_sub(p, f->centre);
    double x = tb_vec3_dot(d, f->u), y = tb_vec3_dot(d, f->v), z = tb_vec3_dot(d, f->t);
    double r = hypot(x, y), c = x / (r + 1e-12), s = y / (r + 1e-12);
    double rim = pow(pow(fabs(c) / f->a, f->n) + pow(fabs(s) / f->b, f->n), -1 / f->n);

    return r > rim ? hypot(r - rim, z) : -hypot(rim - r, 0);
}

static double
point_gap(const SceneFrame *frames, TbVec3 p)
{
    double best = 1e30, gap = 1e30;
    int nearest = 0;

    for (int i = 0; i < SCENE_RINGS; i += 4) {
        double q = tb_vec3_length(tb_vec3_sub(p, frames[i].centre)) - frames[i].a;

        if (q < best) {
            best = q;
            nearest = i;
        }
    }
    for (int i = nearest < 24 ? 0 : nearest - 24; i < SCENE_RINGS && i <= nearest + 24; i += 2)
        gap = fmin(gap, section_gap(&frames[i], p));
    return gap;
}

static double
piece_gap(const SceneFrame *frames, const Piece *p)
{
    double gap = 1e30;

    for (int patch = 0; patch < patch_count(p->kind); patch++)
        for (int i = 0; i <= 16; i++)
            for (int j = 0; j <= 16; j++) {
                TbVec3 q = scanned_point(frames, p, patch, i / 16., j / 16.);

                gap = fmin(gap, point_gap(frames, q));
            }
    return gap;
}

/* ---- pieces ---- */

/** Random axes and sizes; in the order that the seed's numbers have always been used in. */
static Piece
random_piece(const SceneFrame *frames, uint64_t *seed, SceneFrame *from, TbVec3 *way)
{
    Piece p = {.kind = (Kind)(scene_bits(seed) % 3), .bump = 1.0};
    double angle, size;
    TbVec3 d;

    *from = frames[(int)(scene_unit(seed) * (SCENE_RINGS - 1))];
    angle = scene_unit(seed) * 2 * M_PI;
    *way = tb_vec3_add(tb_vec3_scale(from->u, cos(angle)), tb_vec3_scale(from->v, sin(angle)));
    d.z = scene_unit(seed) - .5;
    d.y = scene_unit(seed) - .5;
    d.x = scene_unit(seed) - .5;
    p.axis[2] = tb_vec3_unit(d);
    p.axis[0] = tb_vec3_unit(tb_vec3_cross(p.axis[2], tb_vec3(.3, .5, .7)));
    p.axis[1] = tb_vec3_cross(p.axis[2], p.axis[0]);
    size = 6 + 30 * scene_unit(seed);
    p.half[0] = size;
    p.half[1] = p.kind == BARREL ? size : size * (.5 + scene_unit(seed));
    p.half[2] = size * (1 + 3 * scene_unit(seed));
    return p;
}

/** Number @p i, at its wanted distance from the duct by halving. */
static Piece
near_piece(const SceneBay *bay, int i, uint64_t *seed)
{
    SceneFrame from;
    TbVec3 way;
    Piece p = random_piece(bay->frames, seed, &from, &way);
    double wanted = bay->gap, low = 0, high = 500;

    if (i < 6) {
        wanted += 0.4 * i;
    } else {
        double far = 60 * scene_unit(seed);

        wanted += 2 + far * scene_unit(seed);
    }
    for (int k = 0; k < 22; k++) {
        double middle = .5 * (low + high);

        p.centre = tb_vec3_add(from.centre, tb_vec3_scale(way, middle));
        if (piece_gap(bay->frames, &p) < wanted)
            low = middle;
        else
            high = middle;
    }
    p.centre = tb_vec3_add(from.centre, tb_vec3_scale(way, high));
    return p;
}

static size_t
make_pieces(const SceneBay *bay, Piece pieces[MOST_PIECES])
{
    static const Piece shell = {
        BLOCK, {180, 70, 80}, {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, {600, 450, 350}, 6};
    static const Piece shield = {
        SHIELD, {0, 0, 0}, {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, {1, 1, 1}, 1.2};
    static const Piece engine = {
        BLOCK, {120, -190, -130}, {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, {175, 120, 110}, 4};
    uint64_t seed = bay->seed;
    size_t count = 0;

    if (bay->around == SCENE_ALL)
        pieces[count++] = shell;
    pieces[count++] = shield;
    if (bay->around == SCENE_ALL)
        pieces[count++] = engine;
    for (int i = 0; i < bay->near; i++)
        pieces[count++] = near_piece(bay, i, &seed);
    return count;
}

/* ---- triangles ---- */

/** Mean lengths of a patch along u and v. */
static void
patch_size(const SceneFrame *frames, const Piece *p, int patch, double *along_u, double *along_v)
{
    enum { CELLS = 12 };
    const double e = 1e-3;

    *along_u = *along_v = 0;
    for (int i = 0; i < CELLS; i++)
        for (int j = 0; j < CELLS; j++) {
            double u = (i + .5) / CELLS, v = (j + .5) / CELLS;
            TbVec3 du = tb_vec3_sub(smooth_point(frames, p, patch, u + e, v),
                                    smooth_point(frames, p, patch, u - e, v));
            TbVec3 dv = tb_vec3_sub(smooth_point(frames, p, patch, u, v + e),
                                    smooth_point(frames, p, patch, u, v - e));

            *along_u += tb_vec3_length(du) / (2 * e * CELLS * CELLS);
            *along_v += tb_vec3_length(dv) / (2 * e * CELLS * CELLS);
        }
}

static int
cells_of(double length, double edge, int least)
{
    int count = (int)ceil(length / edge);

    return count < least ? least : count;
}

/** Cells of a patch with edges of about @p edge; patches that share an edge share its points. */
static void
patch_cells(
    const SceneFrame *frames, const Piece *p, int patch, double edge, int *along_u, int *along_v)
{
    int k = patch / 2;
    double u, v;

    if (p->kind == BLOCK || p->kind == EGG) {
        *along_u = cells_of(2 * p->half[(k + 1) % 3], edge, 3);
        *along_v = cells_of(2 * p->half[(k + 2) % 3], edge, 3);
        return;
    }
    patch_size(frames, p, patch, &u, &v);
    *along_u = p->kind == BARREL ? cells_of(2 * M_PI * p->half[0], edge, 8) : cells_of(u, edge, 3);
    *along_v = cells_of(v, edge, 3);
}

/** The shortest edge that keeps the number of triangles within what is wanted. */
static double
find_edge(const SceneBay *bay, const Piece pieces[], size_t count)
{
    double low = .2, high = 60;

    for (int k = 0; k < 40; k++) {
        double edge = sqrt(low * high), triangles = 0;

        for (size_t i = 0; i < count; i++)
            for (int patch = 0; patch < patch_count(pieces[i].kind); patch++) {
                int u, v;

                patch_cells(bay->frames, &pieces[i], patch, edge, &u, &v);
                triangles += 2. * u * v;
            }
        if (triangles > bay->triangles)
            low = edge;
        else
            high = edge;
    }
    return high;
}

/** A row of points of a patch. */
static void
fill_row(const SceneBay *bay, const Piece *p, int patch, double v, int cells, TbVec3 row[])
{
    for (int k = 0; k <= cells; k++)
        row[k] = scanned_point(bay->frames, p, patch, k / (double)cells, v);
}

static bool
take_strip(const TbVec3 *last, const TbVec3 *row, int cells, SceneTake take, void *user)
{
    bool go = true;

    for (int k = 0; go && k < cells; k++) {
        TbVec3 first[3] = {last[k], last[k + 1], row[k + 1]};
        TbVec3 second[3] = {last[k], row[k + 1], row[k]};

        go = take(user, first) && take(user, second);
    }
    return go;
}

static bool
take_patch(const SceneBay *bay, const Piece *p, int patch, double edge, SceneTake take, void *user)
{
    int u, v;
    bool go;
    TbVec3 *row, *last;

    patch_cells(bay->frames, p, patch, edge, &u, &v);
    row = malloc((size_t)(u + 1) * sizeof *row);
    last = malloc((size_t)(u + 1) * sizeof *last);
    go = row != NULL && last != NULL;
    if (go)
        fill_row(bay, p, patch, 0, u, last);
    for (int j = 1; go && j <= v; j++) {
        TbVec3 *spare = last;

        fill_row(bay, p, patch, j / (double)v, u, row);
        go = take_strip(last, row, u, take, user);
        last = row;
        row = spare;
    }
    free(row);
    free(last);
    return go;
}

size_t
scene_bay(const SceneBay *bay, SceneTake take, void *user)
{
    Piece pieces[MOST_PIECES];
    size_t count = make_pieces(bay, pieces);
    double edge = find_edge(bay, pieces, count);

    for (size_t i = 0; i < count; i++)
        for (int patch = 0; patch < patch_count(pieces[i].kind); patch++)
            if (!take_patch(bay, &pieces[i], patch, edge, take, user))
                return 0;
    return count;
}
