/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Lines on dots. A line is straight pieces; a dot's share of a piece is by how much the piece's
 * width overlaps the dot along the way to its nearest point: exact for level and upright lines, and
 * off by some hundredths for slanted ones. Of the pieces that touch a dot the largest share counts,
 * so joints are round by themselves and nothing is painted twice.
 */

#include "draw/paint_dots_private.h"

#include <glib.h>
#include <math.h>
#include <string.h>

/** Dots from a dot's middle to its side. */
#define HALF 0.5F

/** Shares are of 255; in whole numbers a dot is 255 of this, so that lengths are shares. */
#define UNIT 65536

typedef struct Stroke {
    TbDotsBox box;
    unsigned char *shares; /* of the box's dots, row by row */
    ptrdiff_t stride;
    TbDotsRow *rows; /* of the box: where there are shares */
    const TbPenStyle *pen;
} Stroke;

/* From a to b, a unit along it, and what its ends are like. */
typedef struct Piece {
    TbVec2 a, b, along;
    double length;
    bool flat_start, flat_end;
} Piece;

static Piece
piece_of(TbVec2 a, TbVec2 b)
{
    double length = tb_vec2_length(tb_vec2_sub(b, a));
    TbVec2 along = length > 0 ? tb_vec2_scale(tb_vec2_sub(b, a), 1 / length) : tb_vec2(1, 0);

    return (Piece){.a = a, .b = b, .along = along, .length = length};
}

/* ---- one piece ---- */

static gint64
units(double dots)
{
    return (gint64)(dots * 255 * UNIT);
}

/* A piece as its dots see it. */
typedef struct Shape {
    gint64 most, edge;        /* units: share of the widest place, and of one of a wide piece */
    gint64 body, body_length; /* units: so far along it no end matters */
    float length;             /* dots */
    bool flat_start, flat_end;
} Shape;

static Shape
shape_of(const Piece *piece, double width)
{
    double start = piece->flat_start ? 0.5 : 0;
    double length = piece->length - start - (piece->flat_end ? 0.5 : 0);

    return (Shape){.most = units(MIN(1, width)) + UNIT / 2,
                   .edge = units(width / 2 + 0.5) + UNIT / 2,
                   /* none: where nothing is */
                   .body = length > 0 ? units(start) : G_MAXINT64 / 2,
                   .body_length = length > 0 ? units(length) : 0,
                   .length = (float)piece->length,
                   .flat_start = piece->flat_start,
                   .flat_end = piece->flat_end};
}

/* The share of a dot beside an end, in units, if the piece is wide enough. */
static gint64
share_at_end(const Shape *shape, gint64 along_units, gint64 beside_units)
{
    float along = (float)along_units / (255.F * UNIT), beside = (float)beside_units;
    float past = MAX(-along, along - shape->length) * (255.F * UNIT), share = 1;

    if (shape->flat_start)
        share = MIN(share, along + HALF);
    if (shape->flat_end)
        share = MIN(share, shape->length - along + HALF);
    if (shape->flat_start && shape->flat_end)
        share = MIN(share, shape->length);
    if (past > 0 && !(along < 0 ? shape->flat_start : shape->flat_end))
        beside = sqrtf(beside * beside + past * past);
    return (gint64)(MIN((float)shape->most, (float)shape->edge - fabsf(beside)) * MAX(share, 0));
}

static void
put_row(unsigned char share[], int count, const Piece *piece, const Shape *shape, TbVec2 way)
{
    gint64 along = units(tb_vec2_dot(way, piece->along)), right = units(piece->along.x);
    gint64 beside = units(tb_vec2_cross(way, piece->along)), down = units(piece->along.y);

    for (int x = 0; x < count; x++) {
        gint64 here = (guint64)(along - shape->body) <= (guint64)shape->body_length
                          ? shape->edge - ABS(beside)
                          : share_at_end(shape, along, beside);

        here = MIN(here, shape->most);
        if (here >= (share[x] + 1) * UNIT)
            share[x] = (unsigned char)(here / UNIT);
        along += right;
        beside += down;
    }
}

static void
put_piece(Stroke *stroke, const Piece *piece)
{
    double reach = stroke->pen->width / 2 + 0.5;
    Shape shape = shape_of(piece, stroke->pen->width);
    TbVec2 a = piece->a, b = piece->b, along = piece->along;
    /* of the line in a row: from the middle to its side; a level one takes all of the row */
    double wide = along.y != 0 ? reach / fabs(along.y) : HUGE_VAL;
    double slant = along.y != 0 ? along.x / along.y : 0;
    TbDotsBox box = stroke->box;

    tb_dots__cut(MIN(a.x, b.x) - reach, MAX(a.x, b.x) + reach, &box.left, &box.right);
    tb_dots__cut(MIN(a.y, b.y) - reach, MAX(a.y, b.y) + reach, &box.top, &box.bottom);
    for (int y = box.top; y < box.bottom; y++) {
        double middle = a.x + (y + 0.5 - a.y) * slant;
        TbDotsRow *row = &stroke->rows[y - stroke->box.top];
        unsigned char *shares = stroke->shares + (y - stroke->box.top) * stroke->stride;
        int from = box.left, to = box.right;

        tb_dots__cut(middle - wide, middle + wide, &from, &to);
        if (from >= to)
            continue;
        row->from = MIN(row->from, from - stroke->box.left);
        row->to = MAX(row->to, to - stroke->box.left);
        put_row(shares + from - stroke->box.left, to - from, piece, &shape,
                tb_vec2_sub(tb_vec2(from + 0.5, y + 0.5), a));
    }
}

/* ---- dashes ---- */

typedef struct Dashing {
    const TbPenStyle *pen;
    int k;       /* of the pen's dashes; even: ink */
    double left; /* of it */
    bool begins; /* the next piece is the dash's first */
} Dashing;

static void
next_dash(Dashing *dashing)
{
    dashing->k = (dashing->k + 1) % dashing->pen->dashes;
    dashing->left = dashing->pen->dash[dashing->k];
    dashing->begins = true;
}

static void
skip_dashes(Dashing *dashing, double way)
{
    double all = 0;

    if (way == 0)
        return;
    for (int i = 0; i < dashing->pen->dashes; i++)
        all += dashing->pen->dash[i];
    for (way = fmod(way, all); way >= dashing->left; next_dash(dashing))
        way -= dashing->left;
    dashing->left -= way;
    dashing->begins &= way == 0;
}

/* @p last nothing follows this piece */
static void
put_dashed(Stroke *stroke, Dashing *dashing, const Piece *whole, bool last)
{
    TbDotsBox box = stroke->box;
    TbVec2 middle = tb_vec2((box.left + box.right) / 2.0, (box.top + box.bottom) / 2.0);
    /* what is further along or back cannot lie in the box */
    double near = tb_vec2_dot(tb_vec2_sub(middle, whole->a), whole->along);
    double reach = box.right - box.left + box.bottom - box.top + stroke->pen->width;
    double end = MIN(whole->length, near + reach), at = CLAMP(near - reach, 0, whole->length);

    skip_dashes(dashing, at);
    while (at < end) {
        double to = MIN(at + dashing->left, whole->length);
        bool ends = at + dashing->left <= whole->length;

        if (dashing->k % 2 == 0) {
            Piece piece = *whole;

            piece.a = tb_vec2_add(whole->a, tb_vec2_scale(whole->along, at));
            piece.b = tb_vec2_add(whole->a, tb_vec2_scale(whole->along, to));
            piece.length = to - at;
            piece.flat_start = dashing->begins;
            piece.flat_end = ends || (last && to == whole->length);
            put_piece(stroke, &piece);
            dashing->begins = false;
        }
        dashing->left -= to - at;
        at = to;
        if (ends)
            next_dash(dashing);
    }
    skip_dashes(dashing, whole->length - at);
}

/* ---- a line ---- */

static void
put_line(Stroke *stroke, const TbVec2 points[], size_t count, bool closed)
{
    Dashing dashing = {.pen = stroke->pen, .left = stroke->pen->dash[0], .begins = true};

    for (size_t i = 1; i < count + closed; i++) {
        Piece piece = piece_of(points[i - 1], points[i < count ? i : 0]);

        if (stroke->pen->dashes > 0)
            put_dashed(stroke, &dashing, &piece, !closed && i + 1 == count);
        else
            put_piece(stroke, &piece);
    }
}

/* Where the line has left its shares, which are cleared. */
static void
blend_row(TbDots *dots, const Stroke *stroke, int y, uint32_t colour)
{
    TbDotsRow row = stroke->rows[y - stroke->box.top];
    unsigned char *share = stroke->shares + (y - stroke->box.top) * stroke->stride;
    uint32_t *to = dots->first + (size_t)y * dots->stride + stroke->box.left;

    for (int x = row.from; x < row.to; x++) {
        guint64 eight;

        /* much of the row may be beside the line; rows end with eight more */
        memcpy(&eight, share + x, sizeof eight);
        if (eight == 0) {
            x += 7;
        } else if (share[x] > 0) {
            uint32_t whole = tb_dots__widened(share[x]);

            to[x] = tb_dots__mixed(colour, whole, to[x], tb_dots__left_by(colour >> 24, whole));
            share[x] = 0;
        }
    }
}

void
tb_dots_stroke(TbDots *dots,
               const TbVec2 points[],
               size_t count,
               bool closed,
               const TbPenStyle *pen,
               TbColour colour)
{
    TbDotsBox box = tb_dots__box(dots, points, count, pen->width / 2 + 0.5);
    Stroke stroke = {.box = box, .stride = box.right - box.left + 8, .pen = pen};
    size_t height = (size_t)(box.bottom - box.top);
    uint32_t ink = tb_dots_colour(colour).colour;

    if (tb_dots__is_empty(box))
        return;
    if ((size_t)stroke.stride * height > dots->shares_room) {
        g_free(dots->shares);
        dots->shares_room = (size_t)stroke.stride * height;
        dots->shares = g_new0(unsigned char, dots->shares_room);
    }
    if (height > dots->rows_room) {
        dots->rows = g_renew(TbDotsRow, dots->rows, height);
        dots->rows_room = height;
    }
    stroke.shares = dots->shares;
    stroke.rows = dots->rows;
    for (size_t i = 0; i < height; i++)
        stroke.rows[i] = (TbDotsRow){.from = box.right};
    put_line(&stroke, points, count, closed);
    tb_dots__enter(dots);
    for (int y = box.top; y < box.bottom; y++)
        blend_row(dots, &stroke, y, ink);
    tb_dots__leave(dots);
}
