/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/snap_private.h"

#include "base/text.h"

#include <glib/gi18n.h>
#include <math.h>

/* mm. Finest grid: what a ruler and a calliper are read to. */
#define STEP_LEAST 0.1
#define INCH_LEAST (0.005 * TB_MM_PER_INCH)

/* deg. Pieces of an outline nearer to an angle's direction than this do not cross it anywhere that
 * a hand could mean. */
#define CROSSING_LEAST 8.0

#define RAD (G_PI / 180)

double
tb_snap_step(double ratio, TbLengthUnit unit)
{
    double one = tb_quantity_one(TB_QUANTITY_LENGTH, unit);
    double wanted =
        fmax(TB_SNAP_STEP / ratio, unit == TB_UNIT_INCH ? INCH_LEAST : STEP_LEAST) / one;
    /* 1e-9: a step that is asked for as it is, is not too small by rounding */
    double power = pow(10, floor(log10(wanted) + 1e-9));
    double over = wanted / power - 1e-9;

    return (over <= 1 ? 1 : over <= 2 ? 2 : over <= 5 ? 5 : 10) * power * one;
}

/** What is being looked for, and the best of each sort so far. */
typedef struct Search {
    const TbSnapAsk *ask;
    TbVec2 pointer;
    double radius; /* mm of the bay */
    double leg;    /* mm of the bay */
    TbSnap *snap;

    double point_off; /* of the best point */
    double edge_off;
    const TbSnapPiece *edge;
    TbVec2 edge_at;

    bool has_ray;
    TbVec2 ray; /* unit */
    double angle;
    double crossing_off;
    const TbSnapPiece *crossing;
    TbVec2 crossing_at;
} Search;

static double
distance(TbVec2 a, TbVec2 b)
{
    return tb_vec2_length(tb_vec2_sub(a, b));
}

/* ---- points ---- */

static void
try_points(Search *search)
{
    const TbSnapAsk *ask = search->ask;

    for (size_t i = 0; i < ask->point_count; i++) {
        const TbSnapPoint *point = &ask->points[i];
        TbVec2 at = tb_plane_project(ask->plane, point->at);
        double off = distance(at, search->pointer);

        if (off > search->radius || off >= search->point_off)
            continue;
        search->point_off = off;
        *search->snap = (TbSnap){.kind = TB_SNAP_POINT,
                                 .at = at,
                                 .height = tb_plane_height(ask->plane, point->at),
                                 .item = point->item,
                                 .port = point->port};
        g_strlcpy(search->snap->label, point->label, TB_SNAP_LABEL);
    }
}

static void
take_place(Search *search, const TbSnapIndex *index, const TbSnapPiece *piece, bool corner)
{
    double off = distance(piece->a, search->pointer);
    const char *label = tb_snap_index__label(index, piece->owner);

    /* a place of the document goes before its own picture */
    if (off > search->radius || off >= search->point_off)
        return;
    search->point_off = off;
    *search->snap = (TbSnap){.kind = TB_SNAP_POINT,
                             .at = piece->a,
                             .height = corner && piece->on_plane ? 0 : piece->height,
                             .item = tb_snap_index__tag(index, piece->owner)};
    if (corner)
        g_snprintf(search->snap->label, TB_SNAP_LABEL, _("corner of %s"), label);
    else
        g_strlcpy(search->snap->label, label, TB_SNAP_LABEL);
}

/* Whether the outline turns where a piece begins, between legs that one can see. */
static bool
is_corner(const Search *search, const TbSnapIndex *index, const TbSnapPiece *piece)
{
    const TbSnapPiece *before = tb_snap_index__piece(index, piece->before);
    TbVec2 in = tb_vec2_sub(before->b, before->a);
    TbVec2 out = tb_vec2_sub(piece->b, piece->a);

    if (tb_vec2_length(out) < search->leg)
        return false;
    if (before == piece)
        return true; /* an open chain begins here */
    return tb_vec2_length(in) >= search->leg &&
           fabs(atan2(tb_vec2_cross(in, out), tb_vec2_dot(in, out))) >= TB_SNAP_CORNER * RAD;
}

/* ---- edges ---- */

static TbVec2
nearest_on(const TbSnapPiece *piece, TbVec2 p)
{
    TbVec2 d = tb_vec2_sub(piece->b, piece->a);
    double length2 = tb_vec2_dot(d, d);
    double k = length2 > 0 ? tb_vec2_dot(tb_vec2_sub(p, piece->a), d) / length2 : 0;

    return tb_vec2_add(piece->a, tb_vec2_scale(d, CLAMP(k, 0, 1)));
}

/* Where the ray meets a piece, if it does. */
static void
try_crossing(Search *search, const TbSnapPiece *piece)
{
    TbVec2 d = tb_vec2_sub(piece->b, piece->a);
    double cross = tb_vec2_cross(search->ray, d);
    double length = tb_vec2_length(d);
    TbVec2 from = tb_vec2_sub(piece->a, search->ask->last);
    TbVec2 at;
    double k, off;

    if (fabs(cross) < sin(CROSSING_LEAST * RAD) * length)
        return;
    k = tb_vec2_cross(from, search->ray) / cross; /* last + t ray = a + k d */
    if (!(k >= 0 && k <= 1))
        return;
    at = tb_vec2_add(piece->a, tb_vec2_scale(d, k));
    off = distance(at, search->pointer);
    if (off <= search->radius && off < search->crossing_off &&
        tb_vec2_dot(tb_vec2_sub(at, search->ask->last), search->ray) > 0) {
        search->crossing_off = off;
        search->crossing = piece;
        search->crossing_at = at;
    }
}

static void
visit(void *user, const TbSnapIndex *index, const TbSnapPiece *piece)
{
    Search *search = user;
    TbVec2 at;
    double off;

    if (piece->is_place) {
        take_place(search, index, piece, false);
        return;
    }
    if (is_corner(search, index, piece))
        take_place(search, index, piece, true);
    at = nearest_on(piece, search->pointer);
    off = distance(at, search->pointer);
    if (off <= search->radius && off < search->edge_off) {
        search->edge_off = off;
        search->edge = piece;
        search->edge_at = at;
    }
    if (search->has_ray)
        try_crossing(search, piece);
}

/* ---- angles ---- */

static TbVec2
turned(double angle)
{
    /* the four main directions are exact */
    if (fmod(angle, 90) == 0) {
        int quarter = (int)(angle / 90 + 4) % 4;

        return tb_vec2((double[]){1, 0, -1, 0}[quarter], (double[]){0, 1, 0, -1}[quarter]);
    }
    return tb_vec2(cos(angle * RAD), sin(angle * RAD));
}

static void
find_ray(Search *search)
{
    TbVec2 d = tb_vec2_sub(search->pointer, search->ask->last);
    double length = tb_vec2_length(d);
    double angle = atan2(d.y, d.x) / RAD;

    /* so near to the last point every direction is near */
    if (!search->ask->has_last || length < 3 * search->radius)
        return;
    angle = TB_SNAP_ANGLE_STEP * round(angle / TB_SNAP_ANGLE_STEP);
    search->angle = angle <= -180 ? 180 : angle;
    search->ray = turned(search->angle);
    search->has_ray = fabs(tb_vec2_cross(search->ray, d)) <= search->radius;
}

/* ---- the answer ---- */

static TbVec2
unit_along(const TbSnapPiece *piece)
{
    TbVec2 d = tb_vec2_sub(piece->b, piece->a);
    double length = tb_vec2_length(d);

    return length > 0 ? tb_vec2_scale(d, 1 / length) : tb_vec2(0, 0);
}

static void
say_angle(double angle, char *label)
{
    char number[TB_TEXT_NUMBER];

    tb_text_shown(angle, 0, number);
    g_snprintf(label, TB_SNAP_LABEL, "%s°", number);
}

static void
say_edge(const Search *search, const TbSnapPiece *piece, TbSnap *snap)
{
    const TbSnapIndex *index = search->ask->index;

    snap->item = tb_snap_index__tag(index, piece->owner);
    snap->along = unit_along(piece);
    snap->height = piece->on_plane ? 0 : NAN;
    g_snprintf(snap->label, TB_SNAP_LABEL, _("edge of %s"),
               tb_snap_index__label(index, piece->owner));
}

static void
answer_crossing(const Search *search, TbSnap *snap)
{
    char angle[TB_SNAP_LABEL];
    char edge[TB_SNAP_LABEL];

    *snap = (TbSnap){.kind = TB_SNAP_CROSSING, .at = search->crossing_at};
    say_edge(search, search->crossing, snap);
    say_angle(search->angle, angle);
    g_strlcpy(edge, snap->label, sizeof edge);
    g_snprintf(snap->label, TB_SNAP_LABEL, "%s, %s", angle, edge);
}

static void
answer_angle(const Search *search, TbSnap *snap)
{
    double step = tb_snap_step(search->ask->ratio, search->ask->unit);
    TbVec2 d = tb_vec2_sub(search->pointer, search->ask->last);
    double length = fmax(step, step * round(tb_vec2_dot(d, search->ray) / step));

    *snap = (TbSnap){.kind = TB_SNAP_ANGLE,
                     .at = tb_vec2_add(search->ask->last, tb_vec2_scale(search->ray, length)),
                     .height = NAN,
                     .along = search->ray};
    say_angle(search->angle, snap->label);
}

static void
answer_grid(const Search *search, TbSnap *snap)
{
    double step = tb_snap_step(search->ask->ratio, search->ask->unit);
    char number[TB_QUANTITY_TEXT];

    *snap = (TbSnap){.kind = TB_SNAP_GRID,
                     .at = tb_vec2(step * round(search->pointer.x / step),
                                   step * round(search->pointer.y / step)),
                     .height = NAN};
    tb_quantity_say(step, TB_QUANTITY_LENGTH, search->ask->unit, 1, number);
    g_snprintf(snap->label, TB_SNAP_LABEL, _("grid %s"), number);
}

void
tb_snap(const TbSnapAsk *ask, TbVec2 pointer, TbSnap *snap)
{
    Search search = {.ask = ask,
                     .pointer = pointer,
                     .snap = snap,
                     .point_off = INFINITY,
                     .edge_off = INFINITY,
                     .crossing_off = INFINITY};

    g_assert(ask->ratio > 0);
    *snap = (TbSnap){.kind = TB_SNAP_NONE, .at = pointer, .height = NAN};
    if (ask->off)
        return;
    search.radius = TB_SNAP_RADIUS / ask->ratio;
    search.leg = TB_SNAP_LEG / ask->ratio;
    try_points(&search);
    find_ray(&search);
    if (ask->index != NULL)
        tb_snap_index__near(ask->index, pointer, search.radius, visit, &search);
    if (snap->kind == TB_SNAP_POINT)
        return;
    if (search.crossing != NULL) {
        answer_crossing(&search, snap);
    } else if (search.edge != NULL) {
        *snap = (TbSnap){.kind = TB_SNAP_EDGE, .at = search.edge_at};
        say_edge(&search, search.edge, snap);
    } else if (search.has_ray) {
        answer_angle(&search, snap);
    } else {
        answer_grid(&search, snap);
    }
}
