/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/picture.h"

#include "base/mem.h"
#include "base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void
tb_picture_init(TbPicture *picture, double width, double height)
{
    *picture = (TbPicture){.width = width, .height = height, .layer = TB_LAYER_FRAME};
}

void
tb_picture_clear(TbPicture *picture)
{
    tb_free(picture->marks);
    tb_free(picture->points);
    tb_free(picture->loops);
    tb_free(picture->texts);
    tb_free(picture->shares);
    tb_picture_init(picture, 0, 0);
}

const char *
tb_layer_name(TbLayer layer)
{
    static const char *const names[TB_LAYER_COUNT] = {
        [TB_LAYER_TITLE] = "title",
        [TB_LAYER_NOTES] = "notes",
        [TB_LAYER_BEYOND] = "beyond",
        [TB_LAYER_FILLS] = "fills",
        [TB_LAYER_HATCH] = "hatch",
        [TB_LAYER_OUTLINES] = "outlines",
        [TB_LAYER_ENVELOPES] = "envelopes",
        [TB_LAYER_CENTRE_LINES] = "centre-lines",
        [TB_LAYER_GAPS] = "gaps",
        [TB_LAYER_DIMENSIONS] = "dimensions",
        [TB_LAYER_PLANES] = "planes",
        [TB_LAYER_AXES] = "axes",
        [TB_LAYER_LABELS] = "labels",
        [TB_LAYER_CUT_LINES] = "cut-lines",
        [TB_LAYER_REGISTRATION] = "registration",
        [TB_LAYER_CHECK_BARS] = "check-bars",
        [TB_LAYER_GRID] = "grid",
        [TB_LAYER_FINDINGS] = "findings",
        [TB_LAYER_CURVES] = "curves",
        [TB_LAYER_LIMITS] = "limits",
        [TB_LAYER_FRAME] = "frame",
        [TB_LAYER_MAP] = "map",
    };

    return names[layer];
}

void
tb_picture_layer(TbPicture *picture, TbLayer layer)
{
    picture->layer = layer;
}

/** Room for one more of anything; false, and the picture's status set, when there is none. */
static bool
room(TbPicture *picture, void **array, size_t *capacity, size_t count, size_t size)
{
    if (picture->status != TB_OK)
        return false;
    if (tb_grow_array(array, capacity, count, size) == 0)
        return true;
    picture->status = TB_E_MEMORY;
    return false;
}

static size_t
keep_text(TbPicture *picture, const char *text)
{
    size_t bytes;
    size_t at;

    if (picture->status != TB_OK || text == NULL)
        return 0;
    /* offset 0 is the empty text */
    if (picture->text_used == 0)
        picture->text_used = 1;
    bytes = strlen(text) + 1;
    while (picture->texts == NULL || picture->text_used + bytes > picture->text_room) {
        void *texts = picture->texts;

        if (!room(picture, &texts, &picture->text_room, picture->text_room, 1))
            return 0;
        picture->texts = texts;
        picture->texts[0] = '\0';
    }
    at = picture->text_used;
    memcpy(picture->texts + at, text, bytes);
    picture->text_used += bytes;
    return at;
}

static bool
keep_point(TbPicture *picture, TbVec2 p)
{
    void *points = picture->points;

    if (!room(picture, &points, &picture->point_room, picture->point_count, sizeof p))
        return false;
    picture->points = points;
    picture->points[picture->point_count++] = p;
    return true;
}

static void
keep_loop(TbPicture *picture, const TbVec2 points[], size_t count)
{
    void *loops = picture->loops;
    TbLoopSpan span = {picture->point_count, count};

    if (!room(picture, &loops, &picture->loop_room, picture->loop_count, sizeof span))
        return;
    picture->loops = loops;
    for (size_t i = 0; i < count; i++)
        if (!keep_point(picture, points[i]))
            return;
    picture->loops[picture->loop_count++] = span;
}

static void
keep_mark(TbPicture *picture, TbMark mark)
{
    void *marks = picture->marks;

    if (!room(picture, &marks, &picture->mark_room, picture->mark_count, sizeof mark))
        return;
    mark.layer = picture->layer;
    picture->marks = marks;
    picture->marks[picture->mark_count++] = mark;
}

void
tb_picture_area(TbPicture *picture,
                const TbVec2 points[],
                const TbLoopSpan loops[],
                size_t loop_count,
                TbAreaStyle style,
                const char *tag)
{
    TbMark mark = {.kind = TB_MARK_AREA,
                   .fill = style.fill,
                   .ink = style.edge,
                   .pen = style.pen,
                   .hatch_angle = style.hatch_angle,
                   .hatch_step = style.hatch_step,
                   .hatch_dotted = style.hatch_dotted,
                   .first_loop = picture->loop_count,
                   .loops = loop_count,
                   .tag = keep_text(picture, tag)};

    for (size_t i = 0; i < loop_count; i++)
        keep_loop(picture, points + loops[i].first, loops[i].count);
    keep_mark(picture, mark);
}

void
tb_picture_rectangle(TbPicture *picture, TbVec2 a, TbVec2 b, TbAreaStyle style, const char *tag)
{
    TbVec2 corner[4] = {a, {b.x, a.y}, b, {a.x, b.y}};
    TbLoopSpan loop = {0, 4};

    tb_picture_area(picture, corner, &loop, 1, style, tag);
}

void
tb_picture_line(
    TbPicture *picture, const TbVec2 points[], size_t count, TbPen pen, TbInk ink, const char *tag)
{
    TbMark mark = {.kind = TB_MARK_LINE,
                   .ink = ink,
                   .pen = pen,
                   .first_loop = picture->loop_count,
                   .loops = 1,
                   .tag = keep_text(picture, tag)};

    if (count < 2)
        return;
    keep_loop(picture, points, count);
    keep_mark(picture, mark);
}

void
tb_picture_segment(TbPicture *picture, TbVec2 a, TbVec2 b, TbPen pen, TbInk ink)
{
    TbVec2 ends[2] = {a, b};

    tb_picture_line(picture, ends, 2, pen, ink, NULL);
}

void
tb_picture_dot(TbPicture *picture, TbVec2 at, double radius, TbInk fill)
{
    keep_mark(picture, (TbMark){.kind = TB_MARK_DOT, .fill = fill, .at = at, .size = radius});
}

void
tb_picture_text(TbPicture *picture, TbVec2 at, TbTextStyle style, const char *text)
{
    TbMark mark = {.kind = TB_MARK_TEXT,
                   .ink = style.ink,
                   .at = at,
                   .size = style.size,
                   .turn = style.turn,
                   .anchor = style.anchor,
                   .bold = style.bold,
                   .backed = style.backed,
                   .text = keep_text(picture, text)};

    keep_mark(picture, mark);
}

void
tb_picture_level(TbPicture *picture, TbVec2 at, double size, TbLevel level)
{
    TbInk ink = tb_style_level_ink(level);
    double r = size / 2;
    TbAreaStyle solid = {.fill = ink, .edge = ink, .pen = TB_PEN_NONE};
    TbAreaStyle hollow = {.fill = TB_INK_PAPER, .edge = ink, .pen = TB_PEN_GAP};
    TbVec2 triangle[3] = {{at.x, at.y - r}, {at.x + r, at.y + 0.8 * r}, {at.x - r, at.y + 0.8 * r}};
    TbVec2 diamond[4] = {{at.x, at.y - r}, {at.x + r, at.y}, {at.x, at.y + r}, {at.x - r, at.y}};

    switch (level) {
    case TB_LEVEL_SHORT:
        tb_picture_area(picture, triangle, &(TbLoopSpan){0, 3}, 1, solid, NULL);
        break;
    case TB_LEVEL_WATCH:
        tb_picture_rectangle(picture, tb_vec2(at.x - 0.8 * r, at.y - 0.8 * r),
                             tb_vec2(at.x + 0.8 * r, at.y + 0.8 * r), solid, NULL);
        break;
    case TB_LEVEL_HOLDS:
        tb_picture_dot(picture, at, 0.9 * r, ink);
        break;
    case TB_LEVEL_OPEN:
        tb_picture_area(picture, diamond, &(TbLoopSpan){0, 4}, 1, hollow, NULL);
        break;
    }
}

void
tb_picture_clip(TbPicture *picture, TbVec2 a, TbVec2 b)
{
    TbVec2 corner[4] = {a, {b.x, a.y}, b, {a.x, b.y}};
    TbMark mark = {.kind = TB_MARK_CLIP, .first_loop = picture->loop_count, .loops = 1};

    keep_loop(picture, corner, 4);
    keep_mark(picture, mark);
}

void
tb_picture_unclip(TbPicture *picture)
{
    keep_mark(picture, (TbMark){.kind = TB_MARK_CLIP});
}

void
tb_picture_raster(
    TbPicture *picture, TbVec2 low, TbVec2 high, const double share[], size_t columns, size_t rows)
{
    TbVec2 corner[4] = {low, {high.x, low.y}, high, {low.x, high.y}};
    TbMark mark = {.kind = TB_MARK_RASTER,
                   .first_loop = picture->loop_count,
                   .loops = 1,
                   .columns = columns,
                   .rows = rows,
                   .first_share = picture->share_count};

    for (size_t i = 0; i < columns * rows; i++) {
        void *shares = picture->shares;

        if (!room(picture, &shares, &picture->share_room, picture->share_count, sizeof *share))
            return;
        picture->shares = shares;
        picture->shares[picture->share_count++] = share[i];
    }
    keep_loop(picture, corner, 4);
    keep_mark(picture, mark);
}

const char *
tb_picture_string(const TbPicture *picture, size_t offset)
{
    return offset == 0 || picture->texts == NULL ? "" : picture->texts + offset;
}

/* ---- dump ---- */

typedef struct Dump {
    char *bytes;
    size_t used, room;
    bool failed;
} Dump;

static void __attribute__((format(printf, 2, 3))) put(Dump *dump, const char *format, ...)
{
    char line[512];
    va_list args;
    int length;

    va_start(args, format);
    length = vsnprintf(line, sizeof line, format, args);
    va_end(args);
    if (length > (int)sizeof line - 1)
        length = (int)sizeof line - 1;
    while (!dump->failed && dump->used + (size_t)length + 1 > dump->room) {
        void *bytes = dump->bytes;

        if (tb_grow_array(&bytes, &dump->room, dump->room, 1) != 0)
            dump->failed = true;
        dump->bytes = bytes;
    }
    if (dump->failed)
        return;
    memcpy(dump->bytes + dump->used, line, (size_t)length + 1);
    dump->used += (size_t)length;
}

static void
put_number(Dump *dump, double x)
{
    char text[TB_TEXT_NUMBER];

    tb_text_fixed(x, 2, text);
    put(dump, " %s", text);
}

static void
put_loops(Dump *dump, const TbPicture *picture, const TbMark *mark)
{
    for (size_t k = 0; k < mark->loops; k++) {
        TbLoopSpan loop = picture->loops[mark->first_loop + k];

        put(dump, " [");
        for (size_t i = 0; i < loop.count; i++) {
            put_number(dump, picture->points[loop.first + i].x);
            put_number(dump, picture->points[loop.first + i].y);
        }
        put(dump, " ]");
    }
}

/** Cells as digits of 36, a column a word: a 36th of the scale is what a golden sees. */
static void
put_shares(Dump *dump, const TbPicture *picture, const TbMark *mark)
{
    static const char digit[] = "0123456789abcdefghijklmnopqrstuvwxyz";

    for (size_t k = 0; k < mark->columns; k++) {
        put(dump, " ");
        for (size_t m = 0; m < mark->rows; m++) {
            double share = picture->shares[mark->first_share + k * mark->rows + m];

            put(dump, "%c", digit[(int)fmax(0, fmin(35, floor(share * 36)))]);
        }
    }
}

static void
put_mark(Dump *dump, const TbPicture *picture, const TbMark *mark)
{
    static const char *const anchor[] = {"left", "middle", "right"};

    switch (mark->kind) {
    case TB_MARK_AREA:
        put(dump, "area fill=%s edge=%s pen=%s", tb_style_ink_name(mark->fill),
            tb_style_ink_name(mark->ink), tb_style_pen_name(mark->pen));
        if (mark->hatch_step > 0) {
            put(dump, mark->hatch_dotted ? " dots" : " hatch");
            put_number(dump, mark->hatch_angle);
            put_number(dump, mark->hatch_step);
        }
        put_loops(dump, picture, mark);
        break;
    case TB_MARK_LINE:
        put(dump, "line ink=%s pen=%s", tb_style_ink_name(mark->ink), tb_style_pen_name(mark->pen));
        put_loops(dump, picture, mark);
        break;
    case TB_MARK_TEXT:
        put(dump, "text ink=%s %s%s%s", tb_style_ink_name(mark->ink), anchor[mark->anchor],
            mark->bold ? " bold" : "", mark->backed ? " backed" : "");
        put_number(dump, mark->size);
        put_number(dump, mark->at.x);
        put_number(dump, mark->at.y);
        put(dump, " \"%s\"", tb_picture_string(picture, mark->text));
        break;
    case TB_MARK_DOT:
        put(dump, "dot fill=%s", tb_style_ink_name(mark->fill));
        put_number(dump, mark->size);
        put_number(dump, mark->at.x);
        put_number(dump, mark->at.y);
        break;
    case TB_MARK_CLIP:
        put(dump, mark->loops > 0 ? "clip" : "unclip");
        put_loops(dump, picture, mark);
        break;
    case TB_MARK_RASTER:
        put(dump, "raster %zux%zu", mark->columns, mark->rows);
        put_loops(dump, picture, mark);
        put_shares(dump, picture, mark);
        break;
    }
    if (mark->tag != 0)
        put(dump, " tag=%s", tb_picture_string(picture, mark->tag));
    put(dump, "\n");
}

char *
tb_picture_dump(const TbPicture *picture)
{
    Dump dump = {0};

    put(&dump, "picture");
    put_number(&dump, picture->width);
    put_number(&dump, picture->height);
    put(&dump, "\n");
    for (size_t i = 0; i < picture->mark_count; i++)
        put_mark(&dump, picture, &picture->marks[i]);
    if (dump.failed)
        TB_CLEAR(dump.bytes);
    return dump.bytes;
}
