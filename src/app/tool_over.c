/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/tool_over.h"

#include "app/item_words.h"

#include <math.h>

/* mm of paper */
#define POINT 1.1    /* half a side of a set point's square */
#define MARK 1.5     /* half a side of the mark where the pointer snaps */
#define EDGE 3.0     /* half length of the bar along an edge */
#define LINE 4.4     /* from line to line of the words at the pointer */
#define AIR 1.3      /* round them */
#define OFF 5.0      /* from the pointer */
#define SHORTEST 1.5 /* a dimension shorter than this has no room for its dots */
#define BESIDE 3.2   /* from a dimension to its words */
#define RAY 400.0    /* how far a held angle is drawn */

/** What is drawn into, and how. */
typedef struct Over {
    TbSession *session;
    const TbScene *scene;
    TbViewport port;
    TbMeasurer measurer;
    TbPicture *picture;
    TbLengthUnit unit;
} Over;

static TbVec2
paper(const Over *over, TbVec2 bay)
{
    return tb_viewport_paper(over->port, bay);
}

static TbVec2
paper_of(const Over *over, TbVec3 p)
{
    return paper(over, tb_plane_project(over->scene->plane, p));
}

/* ---- dimensions ---- */

/* Words beside the middle of a line, on the side that looks away from @p inside. */
static void
put_beside(const Over *over, TbVec2 a, TbVec2 b, TbVec2 inside, TbInk ink, const char *text)
{
    double half = over->measurer.width(over->measurer.user, text, TB_PT_TEXT, true) / 2;
    TbVec2 d = tb_vec2_sub(b, a);
    double length = tb_vec2_length(d);
    TbVec2 across = length > 0 ? tb_vec2(d.y / length, -d.x / length) : tb_vec2(0, -1);
    TbVec2 at = tb_vec2_scale(tb_vec2_add(a, b), 0.5);

    /* what lies off the pane is told in its own view */
    if (at.x < 0 || at.y < 0 || at.x > over->port.width || at.y > over->port.height)
        return;
    if (tb_vec2_dot(across, tb_vec2_sub(at, inside)) < 0)
        across = tb_vec2_scale(across, -1);
    /* level words reach further along a steep line than along a level one */
    at = tb_vec2_add(at, tb_vec2_scale(across, BESIDE + fabs(across.x) * half));
    at.x = CLAMP(at.x, half + 1, fmax(half + 1, over->port.width - half - 1));
    at.y = CLAMP(at.y, 3, fmax(3, over->port.height - 3));
    tb_picture_text(over->picture, at,
                    (TbTextStyle){.size = TB_PT_TEXT,
                                  .ink = ink,
                                  .anchor = TB_ANCHOR_MIDDLE,
                                  .bold = true,
                                  .backed = true},
                    text);
}

/* A line with dots at its ends, its words above or right of it. */
static void
put_dimension(const Over *over, TbVec2 a, TbVec2 b, TbInk ink, const char *text)
{
    TbVec2 middle = tb_vec2_scale(tb_vec2_add(a, b), 0.5);

    tb_picture_segment(over->picture, a, b, TB_PEN_GAP, ink);
    if (tb_vec2_length(tb_vec2_sub(b, a)) >= SHORTEST) {
        tb_picture_dot(over->picture, a, 0.6, ink);
        tb_picture_dot(over->picture, b, 0.6, ink);
    }
    put_beside(over, a, b, tb_vec2(middle.x - 3, middle.y + 10), ink, text);
}

/* ---- the sketch ---- */

static void
draw_points(const Over *over, const TbSketch *sketch)
{
    for (guint i = 0; i < sketch->points->len; i++) {
        TbVec2 at = paper_of(over, g_array_index(sketch->points, TbSketchPoint, i).at);

        tb_picture_rectangle(
            over->picture, tb_vec2(at.x - POINT, at.y - POINT), tb_vec2(at.x + POINT, at.y + POINT),
            (TbAreaStyle){.fill = TB_INK_PAPER, .edge = TB_INK_SELECT, .pen = TB_PEN_GAP}, NULL);
    }
}

static void
draw_sketch(const Over *over, const TbSketch *sketch)
{
    g_autoptr(GArray) strokes = tb_sketch_strokes(sketch, over->scene->plane);
    g_autoptr(GArray) sizes = tb_sketch_sizes(sketch, over->scene->plane, over->unit);

    for (guint i = 0; i < strokes->len; i++) {
        const TbSketchStroke *stroke = &g_array_index(strokes, TbSketchStroke, i);

        tb_picture_segment(over->picture, paper(over, stroke->a), paper(over, stroke->b),
                           TB_PEN_SCALE, TB_INK_SELECT);
    }
    draw_points(over, sketch);
    for (guint i = 0; i < sizes->len; i++) {
        const TbSketchSize *size = &g_array_index(sizes, TbSketchSize, i);
        put_beside(over, paper(over, size->a), paper(over, size->b), paper(over, size->inside),
                   TB_INK_SELECT, size->text);
    }
}

/* Whether the drawing itself dimensions a gap. */
static bool
is_dimensioned(const TbScene *scene, const TbResultGap *gap)
{
    for (size_t i = 0; i < scene->gap_count; i++) {
        const TbSceneGap *there = &scene->gaps[i];

        if ((strcmp(there->tag_a, gap->a) == 0 && strcmp(there->tag_b, gap->b) == 0) ||
            (strcmp(there->tag_a, gap->b) == 0 && strcmp(there->tag_b, gap->a) == 0))
            return true;
    }
    return false;
}

/* The smallest gaps of what is drawn, where this view shows their length. */
static void
draw_nearby(const Over *over)
{
    enum { MOST = 2 };
    /* a gap drawn shorter than this share of its length runs into the paper */
    const double flat = 0.75;
    TbNearby nearby[MOST];
    size_t count = tb_session_nearby(over->session, nearby, MOST);

    for (size_t i = 0; i < count; i++) {
        const TbGap *gap = &nearby[i].gap->gap;
        TbVec2 a = paper_of(over, gap->point_a), b = paper_of(over, gap->point_b);
        double seen = tb_vec2_length(tb_vec2_sub(b, a)) / over->port.ratio;
        char text[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];

        if (gap->upper <= 0 || seen < flat * gap->upper ||
            is_dimensioned(over->scene, nearby[i].gap))
            continue;
        tb_gap_words(gap->lower, nearby[i].gap->keep, over->unit, text, keep);
        put_dimension(over, a, b, tb_style_level_ink(nearby[i].gap->level), text);
    }
}

/* ---- measuring ---- */

static void
draw_picks(const Over *over, const TbMeasuring *measuring)
{
    for (int i = 0; i < measuring->count; i++) {
        const TbPick *pick = &measuring->picks[i];
        TbVec2 at = paper_of(over, pick->at);
        TbVec3 end = tb_vec3_add_scaled(pick->at, EDGE / over->port.ratio, pick->along);

        if (pick->kind == TB_PICK_EDGE) {
            TbVec2 d = tb_vec2_sub(paper_of(over, end), at);

            tb_picture_segment(over->picture, tb_vec2_sub(at, d), tb_vec2_add(at, d), TB_PEN_DOUBLE,
                               TB_INK_SELECT);
        }
        tb_picture_dot(over->picture, at, 0.8, TB_INK_SELECT);
    }
}

static void
draw_measure(const Over *over, const TbMeasuring *measuring)
{
    TbMeasured told = tb_session_measured(over->session);

    draw_picks(over, measuring);
    if (told.is)
        put_dimension(over, paper_of(over, told.a), paper_of(over, told.b), TB_INK_SELECT,
                      told.label);
}

/* ---- the pointer ---- */

static void
draw_cross(const Over *over, TbVec2 at, double half, TbPen pen, TbInk ink)
{
    tb_picture_segment(over->picture, tb_vec2(at.x - half, at.y), tb_vec2(at.x + half, at.y), pen,
                       ink);
    tb_picture_segment(over->picture, tb_vec2(at.x, at.y - half), tb_vec2(at.x, at.y + half), pen,
                       ink);
}

/* A held angle is drawn from the last point on, so that one sees what is held. */
static void
draw_ray(const Over *over, const TbSnap *snap)
{
    const TbSketch *sketch = tb_session_sketch(over->session);
    TbVec2 last, d;

    if ((snap->kind != TB_SNAP_ANGLE && snap->kind != TB_SNAP_CROSSING) || sketch->points->len == 0)
        return;
    last = paper_of(over, g_array_index(sketch->points, TbSketchPoint, sketch->points->len - 1).at);
    d = tb_vec2_sub(paper(over, snap->at), last);
    if (tb_vec2_length(d) > 0)
        tb_picture_segment(over->picture, last,
                           tb_vec2_add(last, tb_vec2_scale(d, RAY / tb_vec2_length(d))),
                           TB_PEN_CENTRE, TB_INK_SELECT);
}

static void
draw_snap(const Over *over, const TbSnap *snap)
{
    TbVec2 at = paper(over, snap->at);
    TbVec2 along = {snap->along.x * EDGE, -snap->along.y * EDGE};
    TbAreaStyle open = {.fill = TB_INK_NONE, .edge = TB_INK_SELECT, .pen = TB_PEN_SCALE};

    draw_ray(over, snap);
    switch (snap->kind) {
    case TB_SNAP_POINT:
        tb_picture_rectangle(over->picture, tb_vec2(at.x - MARK, at.y - MARK),
                             tb_vec2(at.x + MARK, at.y + MARK), open, NULL);
        break;
    case TB_SNAP_EDGE:
    case TB_SNAP_CROSSING:
        tb_picture_segment(over->picture, tb_vec2_sub(at, along), tb_vec2_add(at, along),
                           TB_PEN_DOUBLE, TB_INK_SELECT);
        break;
    case TB_SNAP_GRID:
    case TB_SNAP_ANGLE:
    case TB_SNAP_NONE:
        break;
    }
    draw_cross(over, at, MARK, TB_PEN_FRAME, TB_INK_SELECT);
}

/* What is snapped to, below and right of the pointer or where there is room. */
static void
say(const Over *over, TbVec2 pointer, const char *text)
{
    double width = over->measurer.width(over->measurer.user, text, TB_PT_SMALL, false) + 2 * AIR;
    double height = LINE + AIR;
    TbVec2 low = {pointer.x + OFF, pointer.y + OFF};

    if (text[0] == '\0')
        return;
    if (low.x + width > over->port.width)
        low.x = pointer.x - OFF - width;
    if (low.y + height > over->port.height)
        low.y = pointer.y - OFF - height;
    low = tb_vec2(fmax(0.5, low.x), fmax(0.5, low.y));
    tb_picture_rectangle(
        over->picture, low, tb_vec2(low.x + width, low.y + height),
        (TbAreaStyle){.fill = TB_INK_PAPER, .edge = TB_INK_QUIET, .pen = TB_PEN_FRAME}, NULL);
    tb_picture_text(over->picture, tb_vec2(low.x + AIR, low.y + height / 2),
                    (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK, .anchor = TB_ANCHOR_LEFT},
                    text);
}

static void
draw_crosshair(const Over *over, TbVec2 at)
{
    tb_picture_segment(over->picture, tb_vec2(0, at.y), tb_vec2(over->port.width, at.y),
                       TB_PEN_FRAME, TB_INK_SELECT);
    tb_picture_segment(over->picture, tb_vec2(at.x, 0), tb_vec2(at.x, over->port.height),
                       TB_PEN_FRAME, TB_INK_SELECT);
}

void
tb_tool_over_draw(TbSession *session,
                  const TbScene *scene,
                  TbViewport port,
                  const TbToolOver *over,
                  TbMeasurer measurer,
                  TbPicture *picture)
{
    Over to = {session, scene, port, measurer, picture, tb_session_unit(session)};
    TbTool tool = tb_session_tool(session);

    if (tool == TB_TOOL_NONE)
        return;
    if (over->here && over->crosshair)
        draw_crosshair(&to, over->pointer);
    if (tool == TB_TOOL_MEASURE) {
        draw_measure(&to, tb_session_measuring(session));
    } else {
        draw_sketch(&to, tb_session_sketch(session));
        draw_nearby(&to);
    }
    if (over->here && over->snap != NULL) {
        draw_snap(&to, over->snap);
        say(&to, over->pointer, over->snap->label);
    }
}
