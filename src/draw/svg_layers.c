/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/svg_private.h"

#include <math.h>

/** mm of paper: side of a cell of the grid that tells where ink lies. */
#define CELL 0.5

/** Cells along a side, at most: of a large sheet they grow. */
#define MOST_CELLS 1200

/** Columns and rows from and to, both within. */
typedef struct Cells {
    int x0, y0, x1, y1;
} Cells;

typedef struct Group {
    TbLayer layer;
    unsigned nth; /**< group of its layer, from 1 */
    unsigned clip;
    GString *body;
    guint8 *ink;
} Group;

struct TbSvgLayers {
    double cell; /**< mm */
    int columns, rows;
    guint8 *ink; /**< of the element to come */
    Cells used;  /**< its cells lie in here; x1 < x0: none yet */
    unsigned clip;
    Cells open; /**< what the clip lets through */
    GPtrArray *groups;
    unsigned count[TB_LAYER_COUNT];
};

static const Cells no_cells = {G_MAXINT, G_MAXINT, -1, -1};

static void
group_free(void *data)
{
    Group *group = data;

    g_string_free(group->body, TRUE);
    g_free(group->ink);
    g_free(group);
}

static Group *
new_group(TbSvgLayers *layers, TbLayer layer)
{
    Group *group = g_new0(Group, 1);

    *group = (Group){.layer = layer,
                     .nth = ++layers->count[layer],
                     .body = g_string_new(NULL),
                     .ink = g_malloc0((size_t)layers->columns * (size_t)layers->rows)};
    g_ptr_array_add(layers->groups, group);
    return group;
}

TbSvgLayers *
tb_svg_layers__new(double width, double height)
{
    TbSvgLayers *layers = g_new0(TbSvgLayers, 1);

    layers->cell = fmax(CELL, fmax(width, height) / MOST_CELLS);
    layers->columns = (int)ceil(width / layers->cell) + 1;
    layers->rows = (int)ceil(height / layers->cell) + 1;
    layers->ink = g_malloc0((size_t)layers->columns * (size_t)layers->rows);
    layers->used = no_cells;
    layers->open = (Cells){0, 0, layers->columns - 1, layers->rows - 1};
    layers->groups = g_ptr_array_new_with_free_func(group_free);
    /* the usual order first: what is not in anybody's way finds its place in it */
    for (int layer = 0; layer < TB_LAYER_COUNT; layer++)
        new_group(layers, (TbLayer)layer);
    return layers;
}

void
tb_svg_layers__free(TbSvgLayers *layers)
{
    g_ptr_array_unref(layers->groups);
    g_free(layers->ink);
    g_free(layers);
}

/* ---- ink ---- */

/** The cell of a length, held within the sheet so that what is far off stays a number. */
static int
cell_of(const TbSvgLayers *layers, double mm)
{
    return (int)floor(fmax(-2, fmin(MOST_CELLS + 2.0, mm / layers->cell)));
}

static Cells
within(Cells cells, Cells limit)
{
    return (Cells){MAX(cells.x0, limit.x0), MAX(cells.y0, limit.y0), MIN(cells.x1, limit.x1),
                   MIN(cells.y1, limit.y1)};
}

static void
ink_cells(TbSvgLayers *layers, Cells cells)
{
    cells = within(cells, layers->open);
    if (cells.x1 < cells.x0 || cells.y1 < cells.y0)
        return;
    for (int y = cells.y0; y <= cells.y1; y++)
        for (int x = cells.x0; x <= cells.x1; x++)
            layers->ink[y * layers->columns + x] = 1;
    layers->used = (Cells){MIN(layers->used.x0, cells.x0), MIN(layers->used.y0, cells.y0),
                           MAX(layers->used.x1, cells.x1), MAX(layers->used.y1, cells.y1)};
}

/** A cell and those about it: the width of any pen. */
static void
ink_about(TbSvgLayers *layers, TbVec2 p)
{
    int x = cell_of(layers, p.x), y = cell_of(layers, p.y);

    ink_cells(layers, (Cells){x - 1, y - 1, x + 1, y + 1});
}

static void
ink_segment(TbSvgLayers *layers, TbVec2 a, TbVec2 b)
{
    TbRectangle sheet = {{-layers->cell, -layers->cell},
                         {(layers->columns + 1) * layers->cell, (layers->rows + 1) * layers->cell}};
    int steps;

    if (!tb_rectangle_clip(sheet, &a, &b))
        return;
    steps = (int)ceil(tb_vec2_length(tb_vec2_sub(b, a)) / layers->cell) + 1;
    for (int i = 0; i <= steps; i++)
        ink_about(layers, tb_vec2_add(a, tb_vec2_scale(tb_vec2_sub(b, a), (double)i / steps)));
}

void
tb_svg_layers__ink_line(TbSvgLayers *layers, const TbVec2 points[], size_t count, bool closed)
{
    for (size_t i = 0; i + 1 < count; i++)
        ink_segment(layers, points[i], points[i + 1]);
    if (closed && count > 1)
        ink_segment(layers, points[count - 1], points[0]);
}

static int
by_line(const void *a, const void *b)
{
    const TbSvgCrossing *p = a, *q = b;

    if (p->line != q->line)
        return p->line < q->line ? -1 : 1;
    return (p->along > q->along) - (p->along < q->along);
}

/** Of a row of parallel lines the ones that are seen, and how far along them. */
typedef struct Rows {
    double c, s, step;
    double first, last; /**< lines */
    double low, high;   /**< along, mm */
} Rows;

/** A point along and across the lines. */
static TbVec2
on_rows(const Rows *rows, TbVec2 p)
{
    return tb_vec2(p.x * rows->c - p.y * rows->s, p.x * rows->s + p.y * rows->c);
}

static Rows
rows_over(TbRectangle seen, double angle, double step)
{
    Rows rows = {.c = cos(angle * G_PI / 180),
                 .s = sin(angle * G_PI / 180),
                 .step = step,
                 .first = INFINITY,
                 .last = -INFINITY,
                 .low = INFINITY,
                 .high = -INFINITY};

    for (int i = 0; i < 4; i++) {
        TbVec2 q = on_rows(&rows, tb_vec2(i % 2 == 0 ? seen.low.x : seen.high.x,
                                          i < 2 ? seen.low.y : seen.high.y));

        rows.first = fmin(rows.first, floor(q.y / step));
        rows.last = fmax(rows.last, ceil(q.y / step));
        rows.low = fmin(rows.low, q.x);
        rows.high = fmax(rows.high, q.x);
    }
    return rows;
}

/** Of an edge its lower end counts and its upper does not, so that each line enters and leaves. */
static void
cross_edge(GArray *crossings, const Rows *rows, TbVec2 a, TbVec2 b)
{
    double low = fmin(a.y, b.y), high = fmax(a.y, b.y);
    double first = fmax(rows->first, ceil(low / rows->step));

    for (double line = first; line * rows->step < high && line <= rows->last; line++) {
        double along = a.x + (b.x - a.x) * (line * rows->step - a.y) / (b.y - a.y);
        TbSvgCrossing crossing = {line, fmax(rows->low, fmin(rows->high, along))};

        g_array_append_val(crossings, crossing);
    }
}

GArray *
tb_svg__crossings(
    const TbPicture *picture, const TbMark *mark, double angle, double step, TbRectangle seen)
{
    GArray *crossings = g_array_new(FALSE, FALSE, sizeof(TbSvgCrossing));
    Rows rows = rows_over(seen, angle, step);

    for (size_t k = 0; k < mark->loops; k++) {
        TbLoopSpan loop = picture->loops[mark->first_loop + k];
        const TbVec2 *p = picture->points + loop.first;

        for (size_t i = 0; i < loop.count; i++) {
            TbVec2 a = p[i], b = p[(i + 1) % loop.count];

            cross_edge(crossings, &rows, on_rows(&rows, a), on_rows(&rows, b));
        }
    }
    g_array_sort(crossings, by_line);
    return crossings;
}

void
tb_svg_layers__ink_area(TbSvgLayers *layers, const TbPicture *picture, const TbMark *mark)
{
    TbRectangle sheet = {{0, 0}, {layers->columns * layers->cell, layers->rows * layers->cell}};
    g_autoptr(GArray) at = tb_svg__crossings(picture, mark, 0, layers->cell, sheet);

    /* the inside along the cells' edges; the outline fills the cells that these miss */
    for (size_t k = 0; k < mark->loops; k++) {
        TbLoopSpan loop = picture->loops[mark->first_loop + k];

        tb_svg_layers__ink_line(layers, picture->points + loop.first, loop.count, true);
    }
    for (guint i = 0; i + 1 < at->len; i += 2) {
        TbSvgCrossing from = g_array_index(at, TbSvgCrossing, i);
        TbSvgCrossing to = g_array_index(at, TbSvgCrossing, i + 1);
        int row = cell_of(layers, from.line * layers->cell);

        ink_cells(layers,
                  (Cells){cell_of(layers, from.along), row, cell_of(layers, to.along), row});
    }
}

void
tb_svg_layers__ink_box(TbSvgLayers *layers, TbVec2 low, TbVec2 high)
{
    ink_cells(layers, (Cells){cell_of(layers, low.x), cell_of(layers, low.y),
                              cell_of(layers, high.x), cell_of(layers, high.y)});
}

static void
forget_ink(TbSvgLayers *layers)
{
    for (int y = layers->used.y0; y <= layers->used.y1; y++)
        for (int x = layers->used.x0; x <= layers->used.x1; x++)
            layers->ink[y * layers->columns + x] = 0;
    layers->used = no_cells;
}

/* ---- groups ---- */

void
tb_svg_layers__clip(TbSvgLayers *layers, unsigned number, TbRectangle to)
{
    Cells all = {0, 0, layers->columns - 1, layers->rows - 1};

    layers->clip = number;
    layers->open = all;
    if (number > 0)
        layers->open = within((Cells){cell_of(layers, to.low.x), cell_of(layers, to.low.y),
                                      cell_of(layers, to.high.x), cell_of(layers, to.high.y)},
                              all);
}

static bool
lies_on(const TbSvgLayers *layers, const Group *group)
{
    for (int y = layers->used.y0; y <= layers->used.y1; y++)
        for (int x = layers->used.x0; x <= layers->used.x1; x++)
            if (layers->ink[y * layers->columns + x] && group->ink[y * layers->columns + x])
                return true;
    return false;
}

/** The last group of a layer that the element may go back to, or a new one. */
static Group *
group_for(TbSvgLayers *layers, TbLayer layer)
{
    for (guint i = layers->groups->len; i-- > 0;) {
        Group *group = g_ptr_array_index(layers->groups, i);

        if (group->layer == layer)
            return group;
        if (lies_on(layers, group))
            break;
    }
    return new_group(layers, layer);
}

static void
set_clip(Group *group, unsigned clip)
{
    if (group->clip == clip)
        return;
    if (group->clip > 0)
        g_string_append(group->body, "</g>\n");
    if (clip > 0)
        g_string_append_printf(group->body, "<g clip-path=\"url(#clip-%u)\">\n", clip);
    group->clip = clip;
}

void
tb_svg_layers__put(TbSvgLayers *layers, TbLayer layer, const char *element)
{
    Group *group = group_for(layers, layer);

    set_clip(group, layers->clip);
    g_string_append(group->body, element);
    for (int y = layers->used.y0; y <= layers->used.y1; y++)
        for (int x = layers->used.x0; x <= layers->used.x1; x++)
            group->ink[y * layers->columns + x] |= layers->ink[y * layers->columns + x];
    forget_ink(layers);
}

void
tb_svg_layers__write(const TbSvgLayers *layers, GString *svg)
{
    for (guint i = 0; i < layers->groups->len; i++) {
        Group *group = g_ptr_array_index(layers->groups, i);
        const char *name = tb_layer_name(group->layer);

        if (group->body->len == 0)
            continue;
        set_clip(group, 0);
        if (group->nth == 1)
            g_string_append_printf(svg, "<g id=\"%s\">\n", name);
        else
            g_string_append_printf(svg, "<g id=\"%s-%u\" class=\"%s\">\n", name, group->nth, name);
        g_string_append(svg, group->body->str);
        g_string_append(svg, "</g>\n");
    }
}
