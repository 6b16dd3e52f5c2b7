/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/pack_views.h"

#include "draw/cut_view.h"
#include "draw/sheet.h"

#include <glib.h>
#include <math.h>

TbScene
tb_pack__window(const TbScene *scene, TbVec2 low, TbVec2 high)
{
    TbScene shown = *scene;

    shown.low = low;
    shown.high = high;
    return shown;
}

TbSceneGap
tb_pack__gap(const TbScene *scene, const TbResultGap *gap)
{
    TbVec3 a = gap->gap.point_a, b = gap->gap.point_b;

    return (TbSceneGap){.tag_a = gap->a,
                        .tag_b = gap->b,
                        .a = tb_plane_project(scene->plane, a),
                        .b = tb_plane_project(scene->plane, b),
                        .height_a = tb_plane_height(scene->plane, a),
                        .height_b = tb_plane_height(scene->plane, b),
                        .gap = gap->gap.upper,
                        .keep = gap->keep,
                        .level = gap->level};
}

TbRectangle
tb_pack__strip_line(TbPicture *picture, const TbSceneStrip *strip, TbRectangle room)
{
    tb_picture_layer(picture, TB_LAYER_TITLE);
    tb_picture_text(picture, tb_vec2(room.low.x, room.low.y + 2),
                    (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET}, strip->subtitle);
    room.low.y += TB_PACK_VIEW_TITLE;
    return room;
}

double
tb_pack__view(TbPicture *picture,
              const TbScene *scene,
              const char *title,
              TbRectangle place,
              double ratio,
              TbMeasurer measurer)
{
    tb_picture_layer(picture, TB_LAYER_TITLE);
    tb_picture_text(picture, tb_vec2(place.low.x, place.low.y + 2),
                    (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK, .bold = true}, title);
    place.low.y += TB_PACK_VIEW_TITLE;
    return tb_cut_into(picture, scene, place, ratio, measurer);
}

/** A scale counts as large enough while at least this share of the kit's length, width and height
 * is in view. */
#define SEEN_LEAST 0.7

/* ---- three views ---- */

void
tb_pack__views_clear(TbPackViews *views)
{
    tb_scene_unref(views->side);
    tb_scene_unref(views->plan);
    tb_scene_unref(views->front);
    *views = (TbPackViews){0};
}

TbStatus
tb_pack__views_make(const TbDossier *dossier,
                    TbVec3 at,
                    const char *state,
                    const char *variant,
                    bool before,
                    TbTask *task,
                    TbPackViews *views,
                    TbFault *fault)
{
    /* whole millimetres: that is what a title says, and what is asked for again by hand */
    const struct {
        TbSceneView view;
        double at;
        TbScene **scene;
    } wanted[] = {{TB_SCENE_SIDE, round(at.y), &views->side},
                  {TB_SCENE_PLAN, round(at.z), &views->plan},
                  {TB_SCENE_FRONT, round(at.x), &views->front}};
    TbStatus status = TB_OK;

    *views = (TbPackViews){.at = at};
    for (size_t i = 0; status == TB_OK && i < sizeof wanted / sizeof wanted[0]; i++) {
        TbDossierCut cut = {.view = wanted[i].view,
                            .at = wanted[i].at,
                            .state = state,
                            .variant = variant,
                            .before = before};

        status = tb_dossier_cut(dossier, &cut, task, wanted[i].scene, fault);
    }
    if (status != TB_OK)
        tb_pack__views_clear(views);
    return status;
}

/** What all three show, in axes of the bay but Y of the front view, which runs to the left. */
static TbBox3
common_window(const TbPackViews *views)
{
    const TbScene *side = views->side, *plan = views->plan, *front = views->front;

    return (TbBox3){{fmin(side->low.x, plan->low.x), fmin(plan->low.y, -front->high.x),
                     fmin(side->low.y, front->low.y)},
                    {fmax(side->high.x, plan->high.x), fmax(plan->high.y, -front->low.x),
                     fmax(side->high.y, front->high.y)}};
}

/** A part of a range, about a place but within the range. */
static void
part_of(double *low, double *high, double share, double at)
{
    double half = share * (*high - *low) / 2;
    double middle = fmin(fmax(at, *low + half), *high - half);

    *low = middle - half;
    *high = middle + half;
}

/** The window and its scale: the whole kit, or a little less where that makes the scale larger. */
static double
choose_window(TbVec3 at, TbVec2 room, TbBox3 *box)
{
    TbVec3 size = tb_vec3_sub(box->high, box->low);
    TbVec2 both = {size.x + size.y, size.z + size.y};
    double ratio = tb_sheet_standard_ratio(SEEN_LEAST * both.x, SEEN_LEAST * both.y,
                                           (TbRectangle){{0, 0}, room});
    double share = fmin(1, fmin(room.x / (ratio * both.x), room.y / (ratio * both.y)));

    part_of(&box->low.x, &box->high.x, share, at.x);
    part_of(&box->low.y, &box->high.y, share, at.y);
    part_of(&box->low.z, &box->high.z, share, at.z);
    return ratio;
}

/** Where the views stand: the two columns and the two rows. */
typedef struct Grid {
    TbRectangle side, plan, front, rest;
} Grid;

static TbRectangle
cell(double x0, double x1, double y0, double y1)
{
    return (TbRectangle){{x0, y0}, {x1, y1}};
}

static Grid
grid_of(TbRectangle room, TbVec3 size, TbProjection projection)
{
    double wide = room.high.x - room.low.x - TB_PACK_VIEW_APART;
    double tall = room.high.y - room.low.y - TB_PACK_VIEW_APART - 2 * TB_PACK_VIEW_TITLE;
    double long_column = wide * size.x / (size.x + size.y);
    double high_row = tall * size.z / (size.z + size.y) + TB_PACK_VIEW_TITLE;
    double left = room.low.x, right = room.high.x, top = room.low.y, bottom = room.high.y;
    double x, y;

    if (projection == TB_PROJECTION_FIRST) {
        x = left + long_column;
        y = top + high_row;
        return (Grid){.side = cell(left, x, top, y),
                      .plan = cell(left, x, y + TB_PACK_VIEW_APART, bottom),
                      .front = cell(x + TB_PACK_VIEW_APART, right, top, y),
                      .rest = cell(x + TB_PACK_VIEW_APART, right, y + TB_PACK_VIEW_APART, bottom)};
    }
    x = right - long_column;
    y = bottom - high_row;
    return (Grid){.side = cell(x, right, y, bottom),
                  .plan = cell(x, right, top, y - TB_PACK_VIEW_APART),
                  .front = cell(left, x - TB_PACK_VIEW_APART, y, bottom),
                  .rest = cell(left, x - TB_PACK_VIEW_APART, top, y - TB_PACK_VIEW_APART)};
}

/** The sheet's own gap, then those of the scene that are of other pairs. */
static TbSceneGap *
gaps_of(const TbScene *scene, const TbResultGap *own, size_t *count)
{
    TbSceneGap *gaps = g_new(TbSceneGap, scene->gap_count + 1);

    *count = 0;
    if (own != NULL)
        gaps[(*count)++] = tb_pack__gap(scene, own);
    for (size_t i = 0; i < scene->gap_count; i++) {
        const TbSceneGap *gap = &scene->gaps[i];
        bool same =
            own != NULL && ((g_str_equal(gap->tag_a, own->a) && g_str_equal(gap->tag_b, own->b)) ||
                            (g_str_equal(gap->tag_a, own->b) && g_str_equal(gap->tag_b, own->a)));

        if (!same)
            gaps[(*count)++] = *gap;
    }
    return gaps;
}

/** Loops of a cut, dashed. */
static void
draw_dashed(TbPicture *picture, const TbCut *cut, TbVec2 paper, TbVec2 bay, double ratio)
{
    for (size_t i = 0; i < cut->loop_count; i++) {
        size_t count = cut->loops[i].count;
        g_autofree TbVec2 *line = g_new(TbVec2, count + 1);
        bool open = cut->loops[i].kind == TB_LOOP_OPEN;

        for (size_t k = 0; k < count; k++) {
            TbVec2 p = cut->points[cut->loops[i].first + k];

            line[k] = tb_vec2(paper.x + ratio * (p.x - bay.x), paper.y - ratio * (p.y - bay.y));
        }
        line[count] = line[0];
        tb_picture_line(picture, line, open ? count : count + 1, TB_PEN_HIDDEN, TB_INK_SELECT,
                        NULL);
    }
}

static void
draw_before(const TbPackViews *views,
            TbPicture *picture,
            const TbScene *scene,
            const TbScene *shown,
            TbRectangle place,
            double ratio)
{
    TbVec2 bay = tb_vec2_scale(tb_vec2_add(shown->low, shown->high), 0.5);
    TbVec2 paper;

    place.low.y += TB_PACK_VIEW_TITLE;
    paper = tb_vec2_scale(tb_vec2_add(place.low, place.high), 0.5);
    tb_picture_layer(picture, TB_LAYER_BEYOND);
    tb_picture_clip(picture, place.low, place.high);
    for (size_t i = 0; i < scene->shape_count; i++) {
        if (!views->has_changed(views->user, scene->shapes[i].tag))
            continue;
        draw_dashed(picture, &scene->shapes[i].silhouette, paper, bay, ratio);
        draw_dashed(picture, &scene->shapes[i].cut, paper, bay, ratio);
    }
    tb_picture_unclip(picture);
}

static void
draw_one(const TbPackViews *views,
         TbPicture *picture,
         const TbScene *scene,
         const TbScene *before,
         TbRectangle window,
         TbRectangle place,
         double ratio,
         TbMeasurer measurer)
{
    TbScene shown = tb_pack__window(scene, window.low, window.high);
    g_autofree TbSceneGap *gaps = gaps_of(scene, views->gap, &shown.gap_count);

    shown.gaps = gaps;
    tb_pack__view(picture, &shown, scene->title, place, ratio, measurer);
    if (before != NULL)
        draw_before(views, picture, before, &shown, place, ratio);
}

double
tb_pack__views_draw(const TbPackViews *views,
                    TbPicture *picture,
                    TbRectangle room,
                    TbProjection projection,
                    TbMeasurer measurer,
                    TbRectangle *rest)
{
    TbVec2 both = {room.high.x - room.low.x - TB_PACK_VIEW_APART,
                   room.high.y - room.low.y - TB_PACK_VIEW_APART - 2 * TB_PACK_VIEW_TITLE};
    TbBox3 box = common_window(views);
    double ratio = choose_window(views->at, both, &box);
    Grid grid = grid_of(room, tb_vec3_sub(box.high, box.low), projection);

    draw_one(views, picture, views->side, views->before == NULL ? NULL : views->before->side,
             (TbRectangle){{box.low.x, box.low.z}, {box.high.x, box.high.z}}, grid.side, ratio,
             measurer);
    draw_one(views, picture, views->plan, views->before == NULL ? NULL : views->before->plan,
             (TbRectangle){{box.low.x, box.low.y}, {box.high.x, box.high.y}}, grid.plan, ratio,
             measurer);
    draw_one(views, picture, views->front, views->before == NULL ? NULL : views->before->front,
             (TbRectangle){{-box.high.y, box.low.z}, {-box.low.y, box.high.z}}, grid.front, ratio,
             measurer);
    *rest = grid.rest;
    return ratio;
}
