/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/scene_cut_private.h"

#include "geom/tol.h"
#include "study/seen.h"
#include "study/study.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* ---- shapes ---- */

bool
tb_plot__is_subject(const TbPlot *plot, size_t index)
{
    const TbItem *item = plot->stand->items[index].item;

    if (plot->across)
        return index == plot->item;
    return item != NULL && tb_check_is_outlet(item);
}

static TbLook
look_of_line(const TbItem *item)
{
    switch ((TbLineRole)tb_item_line(item)->role) {
    case TB_LINE_BRAKE:
    case TB_LINE_FUEL:
        return TB_LOOK_BRAKE;
    case TB_LINE_HOSE:
    case TB_LINE_HARNESS:
        return TB_LOOK_HARNESS;
    case TB_LINE_OIL_DRAIN:
    case TB_LINE_OIL_FEED:
    case TB_LINE_COOLANT:
        break;
    }
    return TB_LOOK_LINE;
}

static TbLook
look_of(const TbItem *item)
{
    static const struct {
        const char *klass;
        TbLook look;
    } looks[] = {{"hot", TB_LOOK_HOT},      {"structure", TB_LOOK_STRUCTURE},
                 {"cover", TB_LOOK_COVER},  {"plastic", TB_LOOK_COVER},
                 {"panel", TB_LOOK_COVER},  {"brake", TB_LOOK_BRAKE},
                 {"fuel", TB_LOOK_BRAKE},   {"harness", TB_LOOK_HARNESS},
                 {"hose", TB_LOOK_HARNESS}, {"moving", TB_LOOK_MOVING}};

    if (item->kind == TB_ITEM_SCAN)
        return TB_LOOK_SCAN;
    for (size_t i = 0; i < G_N_ELEMENTS(looks); i++)
        if (g_strcmp0(looks[i].klass, item->klass) == 0)
            return looks[i].look;
    if (item->kind == TB_ITEM_LINE)
        return look_of_line(item);
    return item->kind == TB_ITEM_DUCT || item->kind == TB_ITEM_TURBO ? TB_LOOK_HOT
                                                                     : TB_LOOK_STRUCTURE;
}

/* Heights of a box over the plane, lowest first. */
static void
heights_of(TbPlane plane, TbBox3 box, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (int i = 0; i < 8; i++) {
        TbVec3 corner = {i & 1 ? box.high.x : box.low.x, i & 2 ? box.high.y : box.low.y,
                         i & 4 ? box.high.z : box.low.z};
        double height = tb_plane_height(plane, corner);

        *low = fmin(*low, height);
        *high = fmax(*high, height);
    }
}

/* What is to be seen of an item. */
typedef struct ToSee {
    double low, high;      /* heights over the plane */
    TbEntry *rings;        /* of its path, where it is seen beyond; else NULL */
    TbEntry *cut, *beyond; /* TbSeen; NULL: nothing */
} ToSee;

static bool
is_beyond(const TbPlot *plot, const ToSee *seen)
{
    /* Across a path the plane is local: what lies behind it hides more than it tells. */
    return seen->low < 0 && !plot->across;
}

/* Promises the rings that outlines are drawn by. */
static ToSee
look_at(const TbPlot *plot, size_t index)
{
    const TbEntry *entry = plot->stand->items[index].entry;
    const TbForm *form = entry->value;
    ToSee seen = {0};

    heights_of(plot->scene->plane, tb_solid_box(form->solid), &seen.low, &seen.high);
    if (is_beyond(plot, &seen) && form->sweep != NULL)
        seen.rings = tb_seen_rings(plot->study->cache, entry);
    return seen;
}

/* Promises what is seen of an item: another edit's drawing may have it already. */
static void
need_seen(const TbPlot *plot, size_t index, ToSee *seen)
{
    const TbEntry *form = plot->stand->items[index].entry;
    TbCache *cache = plot->study->cache;
    TbPlane plane = plot->scene->plane;

    if (seen->low <= 0 && seen->high >= 0)
        seen->cut = tb_seen_cut(cache, form, plane, plot->scene->coarse);
    if (is_beyond(plot, seen))
        seen->beyond = tb_seen_beyond(cache, form, seen->rings, plane, seen->high < -TB_TOL_PLACE,
                                      plot->scene->coarse);
    if (!plot->across && ((const TbForm *)form->value)->sweep != NULL)
        plot->traces[index] = tb_seen_trace(cache, form);
}

static TbStatus
copy_outline(TbCut *to, const TbEntry *entry, TbFault *fault)
{
    const TbSeen *seen = entry == NULL ? NULL : entry->value;

    if (seen == NULL)
        return TB_OK;
    if (seen->fault.status != TB_OK) {
        *fault = seen->fault;
        return fault->status;
    }
    return tb_cut_copy(to, &seen->cut, fault);
}

static TbStatus
add_shape(TbPlot *plot, size_t index, const ToSee *seen, TbFault *fault)
{
    const TbPlaced *placed = &plot->stand->items[index];
    TbScene *scene = plot->scene;
    TbSceneShape *shape = &scene->shapes[scene->shape_count];
    TbStatus status;

    if (seen->low > 0 && plot->envelopes[index] == NULL)
        return TB_OK; /* all of it between the reader and the plane */
    shape->tag = g_strdup(placed->id);
    shape->label = g_strdup(tb_placed_name(placed));
    shape->look = look_of(placed->item);
    shape->subject = tb_plot__is_subject(plot, index);
    shape->height = fmin(0, (seen->low + fmin(seen->high, 0)) / 2);
    tb_cut_init(&shape->cut);
    tb_cut_init(&shape->silhouette);
    tb_cut_init(&shape->envelope);
    scene->shape_count++;
    status = copy_outline(&shape->cut, seen->cut, fault);
    if (status == TB_OK)
        status = copy_outline(&shape->envelope, plot->envelopes[index], fault);
    return status == TB_OK ? copy_outline(&shape->silhouette, seen->beyond, fault) : status;
}

static bool
has_shape(const TbStand *stand, size_t index)
{
    const TbForm *form = tb_placed_form(&stand->items[index]);

    return form != NULL && form->solid != NULL;
}

static TbStatus
add_shapes(TbPlot *plot, TbTask *task, TbFault *fault)
{
    size_t count = plot->stand->count;
    g_autofree ToSee *seen = g_new0(ToSee, count + 1);
    TbStatus status;

    plot->scene->shapes = g_new0(TbSceneShape, count + 1);
    plot->traces = g_new0(TbEntry *, count + 1);
    for (size_t i = 0; i < count; i++)
        if (has_shape(plot->stand, i))
            seen[i] = look_at(plot, i);
    status = tb_cache_settle(plot->study->cache, plot->study->work, task, fault);
    if (status != TB_OK)
        return status;
    for (size_t i = 0; i < count; i++)
        if (has_shape(plot->stand, i))
            need_seen(plot, i, &seen[i]);
    tb_plot__need_envelopes(plot);
    status = tb_cache_settle(plot->study->cache, plot->study->work, task, fault);
    for (size_t i = 0; status == TB_OK && i < count; i++)
        if (has_shape(plot->stand, i))
            status = add_shape(plot, i, &seen[i], fault);
    return status;
}

/* ---- notes ---- */

void
tb_plot__note(TbScene *scene, char *text)
{
    scene->notes = g_renew(char *, scene->notes, scene->note_count + 1);
    scene->notes[scene->note_count++] = text;
}

/* ---- the whole ---- */

/* A plane beside everything is a slip of the pen more often than a wish. */
static void
note_emptiness(TbPlot *plot)
{
    for (size_t i = 0; i < plot->scene->shape_count; i++)
        if (plot->scene->shapes[i].cut.loop_count > 0)
            return;
    tb_plot__note(plot->scene, g_strdup(_("This plane cuts nothing.")));
}

static TbStatus
fill(TbPlot *plot, const TbCutAsk *ask, TbTask *task, TbFault *fault)
{
    TbCutAsk found = *ask, *cut = &found;
    TbStatus status = tb_plot__set_plane(plot, cut, fault);

    if (status != TB_OK)
        return status;
    tb_plot__set_head(plot, cut);
    tb_plot__note_pose(plot);
    tb_plot__set_window(plot);
    status = add_shapes(plot, task, fault);
    if (status != TB_OK)
        return status;
    tb_plot__add_lines(plot);
    if (plot->across)
        tb_plot__add_section(plot);
    note_emptiness(plot);
    tb_plot__note_left_out(plot);
    status = tb_plot__add_gaps(plot, task, fault);
    if (status == TB_OK && plot->across)
        tb_plot__add_flat_gaps(plot);
    return status;
}

TbStatus
tb_case_scene(TbStudy *study,
              const TbAsk *ask,
              const TbCase *theirs,
              const TbCutAsk *cut,
              TbTask *task,
              TbScene **scene,
              TbFault *fault)
{
    TbPlot plot = {.study = study,
                   .in = &theirs->stands[0],
                   .stand = theirs->stands[0].stand,
                   .scene = g_new0(TbScene, 1),
                   .across = cut->view == TB_SCENE_ACROSS,
                   .moving = ask->moving};
    TbStatus status;

    plot.scene->references = 1;
    plot.scene->coarse = ask->coarse;
    plot.scene->unit = ask->unit;
    status = fill(&plot, cut, task, fault);
    if (status == TB_OK)
        *scene = plot.scene;
    else
        tb_scene_unref(plot.scene);
    g_free(plot.traces);
    g_free(plot.envelopes);
    return status;
}

TbStatus
tb_study_scene(TbStudy *study,
               const TbAsk *ask,
               const TbCutAsk *cut,
               TbTask *task,
               TbScene **scene,
               TbFault *fault)
{
    TbCase *theirs = NULL;
    TbFault unheard = {0};
    TbFault *why = fault == NULL ? &unheard : fault;
    g_autofree char *state = NULL;
    TbAsk drawn = tb_ask_at_rest(ask, &state);
    TbStatus status = tb_case_new(study, &drawn, TB_NEEDS_GAPS, true, task, &theirs, why);

    if (status == TB_OK)
        status = tb_case_scene(study, &drawn, theirs, cut, task, scene, why);
    tb_case_free(theirs);
    return status;
}
