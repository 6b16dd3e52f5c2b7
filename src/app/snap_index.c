/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * The pieces of all outlines in the order of their loops, under a tree of boxes: piece after piece
 * of one outline lie beside each other, so that runs of them have small boxes without any sorting.
 * Level 0 has a box for each run of RUN pieces, every further level one for RUN boxes of the last.
 */

#include "app/snap_private.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

enum { RUN = 8, LEVELS = 16 };

typedef struct Box {
    TbVec2 low, high;
} Box;

typedef struct Owner {
    char *tag, *label;
} Owner;

struct TbSnapIndex {
    TbScene *scene;
    GArray *owners; /* of Owner */
    GArray *pieces; /* of TbSnapPiece */
    Box *levels[LEVELS];
    size_t counts[LEVELS];
    int level_count;
};

/* ---- pieces ---- */

static uint32_t
add_owner(TbSnapIndex *index, const char *tag, char *label)
{
    Owner owner = {g_strdup(tag), label};

    g_array_append_val(index->owners, owner);
    return index->owners->len - 1;
}

static void
add_loop(TbSnapIndex *index, const TbCut *cut, const TbLoop *loop, uint32_t owner, bool on_plane)
{
    uint32_t first = index->pieces->len;
    bool closed = loop->kind != TB_LOOP_OPEN && loop->count > 2;
    size_t count = closed ? loop->count : loop->count - 1;

    for (size_t i = 0; loop->count > 1 && i < count; i++) {
        TbSnapPiece piece = {.a = cut->points[loop->first + i],
                             .b = cut->points[loop->first + (i + 1) % loop->count],
                             .owner = owner,
                             .closed = closed,
                             .before = first + (uint32_t)(i > 0    ? i - 1
                                                          : closed ? count - 1
                                                                   : 0),
                             .height = NAN,
                             .on_plane = on_plane};

        g_array_append_val(index->pieces, piece);
    }
}

static void
add_cut(TbSnapIndex *index, const TbCut *cut, uint32_t owner, bool on_plane)
{
    for (size_t i = 0; i < cut->loop_count; i++)
        add_loop(index, cut, &cut->loops[i], owner, on_plane);
}

static void
add_shapes(TbSnapIndex *index, const char *without)
{
    const TbScene *scene = index->scene;

    for (size_t i = 0; i < scene->shape_count; i++) {
        const TbSceneShape *shape = &scene->shapes[i];
        uint32_t owner;

        if (g_strcmp0(shape->tag, without) == 0)
            continue;
        owner = add_owner(index, shape->tag, g_strdup(shape->label));
        add_cut(index, &shape->cut, owner, true);
        add_cut(index, &shape->silhouette, owner, false);
    }
}

static const char *
label_of(const TbScene *scene, const char *tag)
{
    for (size_t i = 0; i < scene->shape_count; i++)
        if (strcmp(scene->shapes[i].tag, tag) == 0)
            return scene->shapes[i].label;
    return tag;
}

/* Both ends of every gap that is drawn. */
static void
add_gaps(TbSnapIndex *index, const char *without)
{
    const TbScene *scene = index->scene;

    for (size_t i = 0; i < scene->gap_count; i++) {
        const TbSceneGap *gap = &scene->gaps[i];

        if (g_strcmp0(gap->tag_a, without) == 0 || g_strcmp0(gap->tag_b, without) == 0)
            continue;
        for (int end = 0; end < 2; end++) {
            TbVec2 at = end == 0 ? gap->a : gap->b;
            const char *mine = end == 0 ? gap->tag_a : gap->tag_b;
            const char *other = end == 0 ? gap->tag_b : gap->tag_a;
            TbSnapPiece piece = {.a = at,
                                 .b = at,
                                 .is_place = true,
                                 .before = index->pieces->len,
                                 .height = end == 0 ? gap->height_a : gap->height_b};

            /* Translators: the point of the first item where the gap to the second is smallest */
            piece.owner = add_owner(index, mine,
                                    g_strdup_printf(_("%s, nearest to %s"), label_of(scene, mine),
                                                    label_of(scene, other)));
            g_array_append_val(index->pieces, piece);
        }
    }
}

/* ---- boxes ---- */

static Box
no_box(void)
{
    return (Box){{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};
}

static void
take_in(Box *box, TbVec2 low, TbVec2 high)
{
    box->low = tb_vec2(fmin(box->low.x, low.x), fmin(box->low.y, low.y));
    box->high = tb_vec2(fmax(box->high.x, high.x), fmax(box->high.y, high.y));
}

static void
build_boxes(TbSnapIndex *index)
{
    size_t below = index->pieces->len;
    int level = 0;

    do {
        size_t count = (below + RUN - 1) / RUN;
        Box *boxes = g_new(Box, count > 0 ? count : 1);

        for (size_t i = 0; i < count; i++)
            boxes[i] = no_box();
        for (size_t i = 0; i < below; i++)
            if (level == 0) {
                const TbSnapPiece *piece = &g_array_index(index->pieces, TbSnapPiece, i);

                take_in(&boxes[i / RUN], piece->a, piece->a);
                take_in(&boxes[i / RUN], piece->b, piece->b);
            } else {
                take_in(&boxes[i / RUN], index->levels[level - 1][i].low,
                        index->levels[level - 1][i].high);
            }
        index->levels[level] = boxes;
        index->counts[level] = below = count;
        level++;
    } while (below > 1 && level < LEVELS);
    index->level_count = level;
}

static double
apart(const Box *box, TbVec2 at)
{
    double x = fmax(fmax(box->low.x - at.x, at.x - box->high.x), 0);
    double y = fmax(fmax(box->low.y - at.y, at.y - box->high.y), 0);

    return hypot(x, y);
}

typedef struct Walk {
    const TbSnapIndex *index;
    TbVec2 at;
    double radius;
    TbSnapVisit *visit;
    void *user;
} Walk;

static void
walk_box(const Walk *walk, int level, size_t k)
{
    const TbSnapIndex *index = walk->index;
    size_t below = level == 0 ? index->pieces->len : index->counts[level - 1];
    size_t end = MIN((k + 1) * RUN, below);

    if (apart(&index->levels[level][k], walk->at) > walk->radius)
        return;
    for (size_t i = k * RUN; i < end; i++)
        if (level == 0)
            walk->visit(walk->user, index, &g_array_index(index->pieces, TbSnapPiece, i));
        else
            walk_box(walk, level - 1, i);
}

void
tb_snap_index__near(
    const TbSnapIndex *index, TbVec2 at, double radius, TbSnapVisit *visit, void *user)
{
    Walk walk = {index, at, radius, visit, user};
    int top = index->level_count - 1;

    for (size_t k = 0; k < index->counts[top]; k++)
        walk_box(&walk, top, k);
}

/* ---- the index ---- */

static void
clear_owner(void *data)
{
    Owner *owner = data;

    g_free(owner->tag);
    g_free(owner->label);
}

TbSnapIndex *
tb_snap_index_new(TbScene *scene, const char *without)
{
    TbSnapIndex *index = g_new0(TbSnapIndex, 1);

    index->scene = tb_scene_ref(scene);
    index->owners = g_array_new(FALSE, FALSE, sizeof(Owner));
    g_array_set_clear_func(index->owners, clear_owner);
    index->pieces = g_array_new(FALSE, FALSE, sizeof(TbSnapPiece));
    add_shapes(index, without);
    add_gaps(index, without);
    build_boxes(index);
    return index;
}

void
tb_snap_index_free(TbSnapIndex *index)
{
    if (index == NULL)
        return;
    for (int i = 0; i < index->level_count; i++)
        g_free(index->levels[i]);
    g_array_unref(index->pieces);
    g_array_unref(index->owners);
    tb_scene_unref(index->scene);
    g_free(index);
}

const TbScene *
tb_snap_index_scene(const TbSnapIndex *index)
{
    return index->scene;
}

size_t
tb_snap_index_count(const TbSnapIndex *index)
{
    return index->pieces->len;
}

const TbSnapPiece *
tb_snap_index__piece(const TbSnapIndex *index, uint32_t k)
{
    return &g_array_index(index->pieces, TbSnapPiece, k);
}

const char *
tb_snap_index__tag(const TbSnapIndex *index, uint32_t owner)
{
    return g_array_index(index->owners, Owner, owner).tag;
}

const char *
tb_snap_index__label(const TbSnapIndex *index, uint32_t owner)
{
    return g_array_index(index->owners, Owner, owner).label;
}

/* ---- what lies under a point ---- */

/* Even-odd: how often the ray to the right crosses the loops, and how large the first one is. */
static bool
is_inside(const TbCut *cut, TbVec2 at, double *size)
{
    bool inside = false;
    Box box = no_box();

    for (size_t l = 0; l < cut->loop_count; l++) {
        const TbLoop *loop = &cut->loops[l];

        if (loop->kind == TB_LOOP_OPEN)
            continue;
        for (size_t i = 0; i < loop->count; i++) {
            TbVec2 a = cut->points[loop->first + i];
            TbVec2 b = cut->points[loop->first + (i + 1) % loop->count];

            take_in(&box, a, a);
            if ((a.y > at.y) != (b.y > at.y) &&
                at.x < a.x + (at.y - a.y) * (b.x - a.x) / (b.y - a.y))
                inside = !inside;
        }
    }
    *size = hypot(box.high.x - box.low.x, box.high.y - box.low.y);
    return inside;
}

const char *
tb_snap_item_at(const TbSnapIndex *index, TbVec2 at)
{
    const TbScene *scene = index->scene;
    const char *best = NULL;
    double least = INFINITY, size;

    /* what the plane cuts lies before what is seen beyond it */
    for (int pass = 0; pass < 2 && best == NULL; pass++)
        for (size_t i = 0; i < scene->shape_count; i++) {
            const TbSceneShape *shape = &scene->shapes[i];

            if (is_inside(pass == 0 ? &shape->cut : &shape->silhouette, at, &size) &&
                size < least) {
                least = size;
                best = shape->tag;
            }
        }
    return best;
}
