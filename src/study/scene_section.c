/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/scene_cut_private.h"

#include "geom/tol.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* mm. A neighbour further off within the plane is not dimensioned: see GAP_FAR of scene_gaps. */
#define FLAT_FAR 60.0

/* mm. Nearer than this the two are one body here: a joint, or a crossing that the findings tell. */
#define FLAT_TOUCH 0.05

/* ---- what the section measures ---- */

static void
say_inside(TbScene *scene, char *text)
{
    scene->inside = g_renew(char *, scene->inside, scene->inside_count + 1);
    scene->inside[scene->inside_count++] = text;
}

void
tb_plot__add_section(TbPlot *plot)
{
    TbSlice slice = plot->disc.slice;
    double perimeter = tb_slice_perimeter(&slice, false);
    TbLengthUnit unit = plot->scene->unit;
    g_autofree char *area = tb_scene_quantity(slice.area, TB_QUANTITY_AREA, unit, 1);
    g_autofree char *diameter =
        tb_scene_quantity(4 * slice.area / perimeter, TB_QUANTITY_LENGTH, unit, 1);
    g_autofree char *width = tb_scene_length(tb_slice_width(&slice), unit, 1);
    g_autofree char *height =
        tb_scene_quantity(tb_slice_height(&slice), TB_QUANTITY_LENGTH, unit, 1);
    g_autofree char *wall = tb_scene_quantity(slice.wall, TB_QUANTITY_LENGTH, unit, 1);
    g_autofree char *turn = tb_scene_quantity(slice.turn * 180 / G_PI, TB_QUANTITY_ANGLE, unit, 1);

    tb_plot__note(plot->scene,
                  g_strdup_printf(_("Inside %s x %s, area %s, hydraulic diameter %s, wall %s"),
                                  width, height, area, diameter, wall));
    /* "A" and "Dh": the trade's letters for area and hydraulic diameter */
    say_inside(plot->scene, g_strdup_printf(_("A %s"), area));
    say_inside(plot->scene, g_strdup_printf(_("Dh %s"), diameter));
    say_inside(plot->scene, g_strdup_printf(_("wall %s"), wall));
    if (!slice.is_circle || strcmp(turn, "0°") != 0)
        say_inside(plot->scene, g_strdup_printf(_("turned %s"), turn));
    if (plot->stand->condition->scatters) /* on a screen too, which has no notes */
        say_inside(plot->scene, g_strdup(_("nominal parts")));
}

/* ---- distances within the plane ---- */

/* Two places of two outlines, as near as any found yet. */
typedef struct Nearest {
    TbVec2 a, b;
    double distance;
} Nearest;

typedef struct Box {
    TbVec2 low, high;
} Box;

static Box
box_of(const TbVec2 p[], size_t count)
{
    Box box = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};

    for (size_t i = 0; i < count; i++) {
        box.low = tb_vec2(fmin(box.low.x, p[i].x), fmin(box.low.y, p[i].y));
        box.high = tb_vec2(fmax(box.high.x, p[i].x), fmax(box.high.y, p[i].y));
    }
    return box;
}

/* A closed outline with boxes about its edges, so that most need not be looked at. */
typedef struct Outline {
    const TbVec2 *points;
    size_t count;
    Box box;
    Box *chunks;
} Outline;

static double
box_distance(Box a, Box b)
{
    double x = fmax(0, fmax(a.low.x - b.high.x, b.low.x - a.high.x));
    double y = fmax(0, fmax(a.low.y - b.high.y, b.low.y - a.high.y));

    return hypot(x, y);
}

static TbVec2
nearest_on_edge(TbVec2 p, TbVec2 a, TbVec2 b)
{
    TbVec2 along = tb_vec2_sub(b, a);
    double length2 = tb_vec2_dot(along, along);
    double k = length2 > 0 ? tb_vec2_dot(along, tb_vec2_sub(p, a)) / length2 : 0;

    return tb_vec2_add(a, tb_vec2_scale(along, fmin(1, fmax(0, k))));
}

static void
try_pair(Nearest *best, TbVec2 a, TbVec2 b)
{
    double distance = tb_vec2_length(tb_vec2_sub(b, a));

    if (distance < best->distance)
        *best = (Nearest){a, b, distance};
}

/* Edges of an outline that share a box. */
#define CHUNK 12

/* One edge of the other outline against all of this one: of edges that do not cross, an end of one
 * is nearest. */
static void
try_edge(Nearest *best, const Outline *own, TbVec2 from, TbVec2 to)
{
    TbVec2 ends[2] = {from, to};
    Box box = box_of(ends, 2);

    for (size_t first = 0; first < own->count; first += CHUNK) {
        size_t end = MIN(first + CHUNK, own->count);

        if (box_distance(own->chunks[first / CHUNK], box) >= best->distance)
            continue;
        for (size_t i = first; i < end; i++) {
            TbVec2 a = own->points[i], b = own->points[(i + 1) % own->count];

            try_pair(best, a, nearest_on_edge(a, from, to));
            try_pair(best, nearest_on_edge(from, a, b), from);
            try_pair(best, nearest_on_edge(to, a, b), to);
        }
    }
}

/* The nearest places of a closed outline and a loop; 0 where one holds a point of the other. */
static void
try_loop(Nearest *best, const Outline *own, const TbCut *cut, const TbLoop *loop)
{
    const TbVec2 *q = cut->points + loop->first;
    size_t edges = loop->kind == TB_LOOP_OPEN ? loop->count - 1 : loop->count;

    if (box_distance(own->box, box_of(q, loop->count)) >= best->distance)
        return;
    if (tb_polygon_holds(own->points, own->count, q[0]) ||
        (loop->kind != TB_LOOP_OPEN && tb_polygon_holds(q, loop->count, own->points[0]))) {
        *best = (Nearest){q[0], q[0], 0};
        return;
    }
    for (size_t i = 0; i < edges; i++)
        try_edge(best, own, q[i], q[(i + 1) % loop->count]);
}

static const TbSceneShape *
subject_of(const TbScene *scene)
{
    for (size_t i = 0; i < scene->shape_count; i++)
        if (scene->shapes[i].subject)
            return &scene->shapes[i];
    return NULL;
}

static Outline
outline_of(const TbCut *cut, const TbLoop *loop)
{
    Outline own = {.points = cut->points + loop->first, .count = loop->count};

    own.box = box_of(own.points, own.count);
    own.chunks = g_new(Box, own.count / CHUNK + 1);
    for (size_t first = 0; first < own.count; first += CHUNK) {
        size_t end = MIN(first + CHUNK, own.count);
        Box box = box_of(own.points + first, end - first);
        TbVec2 next = own.points[end % own.count];

        box.low = tb_vec2(fmin(box.low.x, next.x), fmin(box.low.y, next.y));
        box.high = tb_vec2(fmax(box.high.x, next.x), fmax(box.high.y, next.y));
        own.chunks[first / CHUNK] = box;
    }
    return own;
}

static Nearest
nearest_of(const TbCut *own, const TbCut *other)
{
    Nearest best = {.distance = FLAT_FAR};

    for (size_t i = 0; i < own->loop_count; i++) {
        const TbLoop *loop = &own->loops[i];
        Outline outline;

        if (loop->kind != TB_LOOP_OUTER || loop->role == TB_ROLE_BOLT)
            continue;
        outline = outline_of(own, loop);
        for (size_t k = 0; k < other->loop_count; k++)
            if (other->loops[k].kind != TB_LOOP_INNER && other->loops[k].count >= 2)
                try_loop(&best, &outline, other, &other->loops[k]);
        g_free(outline.chunks);
    }
    return best;
}

/* Whether a third thing lies between two places: then they are no neighbours here. */
static bool
is_blocked(const TbScene *scene, const TbSceneShape *other, const Nearest *nearest)
{
    enum { SAMPLES = 16 };

    for (size_t i = 0; i < scene->shape_count; i++) {
        const TbSceneShape *third = &scene->shapes[i];

        if (third == other || third->subject)
            continue;
        for (size_t k = 0; k < third->cut.loop_count; k++) {
            const TbLoop *loop = &third->cut.loops[k];

            if (loop->kind != TB_LOOP_OUTER)
                continue;
            for (int n = 1; n < SAMPLES; n++) {
                TbVec2 d = tb_vec2_sub(nearest->b, nearest->a);
                TbVec2 at = tb_vec2_add(nearest->a, tb_vec2_scale(d, (double)n / SAMPLES));

                if (tb_polygon_holds(third->cut.points + loop->first, loop->count, at))
                    return true;
            }
        }
    }
    return false;
}

static bool
is_dimensioned(const TbScene *scene, const char *tag)
{
    for (size_t i = 0; i < scene->gap_count; i++)
        if (strcmp(scene->gaps[i].tag_a, tag) == 0 || strcmp(scene->gaps[i].tag_b, tag) == 0)
            return true;
    return false;
}

static int
by_gap(const void *a, const void *b)
{
    const TbSceneGap *one = a, *two = b;

    return (one->gap > two->gap) - (one->gap < two->gap);
}

void
tb_plot__add_flat_gaps(TbPlot *plot)
{
    TbScene *scene = plot->scene;
    const TbSceneShape *subject = subject_of(scene);
    g_autoptr(GArray) found = g_array_new(FALSE, TRUE, sizeof(TbSceneGap));

    if (subject == NULL)
        return;
    for (size_t i = 0; i < scene->shape_count; i++) {
        const TbSceneShape *other = &scene->shapes[i];
        Nearest nearest;
        TbSceneGap gap;

        if (other->subject || is_dimensioned(scene, other->tag))
            continue;
        nearest = nearest_of(&subject->cut, &other->cut);
        if (nearest.distance < FLAT_TOUCH || nearest.distance >= FLAT_FAR ||
            is_blocked(scene, other, &nearest))
            continue;
        gap = (TbSceneGap){.tag_a = subject->tag,
                           .tag_b = other->tag,
                           .a = nearest.a,
                           .b = nearest.b,
                           .gap = nearest.distance,
                           .keep = NAN,
                           .level = TB_LEVEL_OPEN,
                           .flat = true};
        g_array_append_val(found, gap);
    }
    g_array_sort(found, by_gap);
    for (guint i = 0; i < found->len && i < TB_PLOT_FLAT_GAPS; i++) {
        TbSceneGap gap = g_array_index(found, TbSceneGap, i);

        gap.tag_a = g_strdup(gap.tag_a);
        gap.tag_b = g_strdup(gap.tag_b);
        scene->gaps[scene->gap_count++] = gap;
    }
    if (found->len > 0)
        tb_plot__note(scene, g_strdup_printf(_("Thin dimensions: distance within this plane, %s"),
                                             tb_length_unit_name(scene->unit)));
}
