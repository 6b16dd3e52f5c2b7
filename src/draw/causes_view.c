/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/causes_view.h"

#include "draw/gap_axis.h"
#include "draw/scatter_view.h"
#include "draw/sheet.h"
#include "study/say.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* mm of paper */
#define LINE TB_GAP_AXIS_LINE
#define STEP 5.6   /* between bars */
#define BESIDE 2.0 /* between a bar and its words */
#define MARK 2.2   /* a level's mark */

/** A bar is no narrower than this: an effect of nothing is seen to be one. */
#define LEAST_BAR 0.2

static const TbTextStyle small = {.size = TB_PT_SMALL, .ink = TB_INK_INK};

/* A stair in the making. */
typedef struct Stair {
    TbPicture *picture;
    const TbSceneCauses *scene;
    TbGapAxis axis;
    TbMeasurer measurer;
    double names; /* where they begin */
    double y;     /* the next bar's middle */
} Stair;

/* ---- room ---- */

static double
width_of(const Stair *stair, const char *text)
{
    return stair->measurer.width(stair->measurer.user, text, TB_PT_SMALL, false);
}

static char *
words_of(const TbSceneCause *cause)
{
    return cause->alone[0] == '\0' ? g_strdup(cause->change)
                                   : g_strdup_printf("%s, %s", cause->change, cause->alone);
}

/* The widest word on either side of the bars; each bar's words stand right of all bars. */
static void
set_sides(Stair *stair, TbRectangle room)
{
    const TbSceneCauses *scene = stair->scene;
    double left = fmax(width_of(stair, _("cold")), width_of(stair, _("gap")));
    double right =
        fmax(width_of(stair, scene->cold_text), MARK + 1 + width_of(stair, scene->gap_text));

    for (size_t i = 0; i < scene->cause_count; i++) {
        g_autofree char *words = words_of(&scene->causes[i]);

        left = fmax(left, width_of(stair, scene->causes[i].name));
        right = fmax(right, width_of(stair, words));
    }
    stair->names = room.low.x;
    stair->axis.frame.low.x = room.low.x + left + BESIDE;
    stair->axis.frame.high.x = room.high.x - right - BESIDE;
}

static void
reach(TbGapAxis *axis, double gap)
{
    if (isfinite(gap)) {
        axis->low = fmin(axis->low, gap);
        axis->high = fmax(axis->high, gap);
    }
}

/* Bars stand on 0. */
static void
set_range(Stair *stair)
{
    const TbSceneCauses *scene = stair->scene;
    TbGapAxis *axis = &stair->axis;
    double air;

    axis->low = axis->high = 0;
    reach(axis, scene->cold);
    reach(axis, scene->gap);
    reach(axis, scene->keep);
    for (size_t i = 0; i < scene->cause_count; i++)
        reach(axis, scene->causes[i].to);
    if (!(axis->high > axis->low))
        axis->high = axis->low + 1;
    air = 0.02 * (axis->high - axis->low);
    axis->high += air;
    if (axis->low < 0)
        axis->low -= air;
}

/* ---- bars ---- */

static void
draw_bar(Stair *stair, const char *name, double from, double to, TbAreaStyle style)
{
    const TbGapAxis *axis = &stair->axis;
    double a = tb_gap_axis_x(axis, fmin(from, to)), b = tb_gap_axis_x(axis, fmax(from, to));

    tb_picture_text(stair->picture, tb_vec2(stair->names, stair->y), small, name);
    if (isfinite(from) && isfinite(to))
        tb_picture_rectangle(stair->picture, tb_vec2(a, stair->y - 0.32 * STEP),
                             tb_vec2(fmax(b, a + LEAST_BAR), stair->y + 0.32 * STEP), style, NULL);
}

/* The step from one bar's end to the next bar. */
static void
draw_step(Stair *stair, double at)
{
    double x = tb_gap_axis_x(&stair->axis, at);

    if (isfinite(at))
        tb_picture_segment(stair->picture, tb_vec2(x, stair->y - 0.68 * STEP),
                           tb_vec2(x, stair->y - 0.32 * STEP), TB_PEN_FRAME, TB_INK_QUIET);
}

static void
draw_words(const Stair *stair, double indent, const char *words)
{
    tb_picture_text(stair->picture, tb_vec2(stair->axis.frame.high.x + BESIDE + indent, stair->y),
                    small, words);
}

static void
draw_cause(Stair *stair, const TbSceneCause *cause)
{
    g_autofree char *words = words_of(cause);

    draw_step(stair, cause->from);
    draw_bar(stair, cause->name, cause->from, cause->to,
             (TbAreaStyle){.fill = TB_INK_HOT,
                           .edge = TB_INK_HOT_EDGE,
                           .pen = TB_PEN_FRAME,
                           .hatch_angle = 45,
                           .hatch_step = 1.6});
    draw_words(stair, 0, words);
    stair->y += STEP;
}

static void
draw_bars(Stair *stair)
{
    const TbSceneCauses *scene = stair->scene;
    TbInk ink = tb_style_level_ink(scene->level);

    draw_bar(stair, _("cold"), 0, scene->cold,
             (TbAreaStyle){
                 .fill = TB_INK_STRUCTURE, .edge = TB_INK_STRUCTURE_EDGE, .pen = TB_PEN_FRAME});
    draw_words(stair, 0, scene->cold_text);
    stair->y += STEP;
    for (size_t i = 0; i < scene->cause_count; i++)
        draw_cause(stair, &scene->causes[i]);
    draw_step(stair, scene->gap);
    /* Translators: what is left of it, beside the bar "cold" */
    draw_bar(stair, _("gap"), 0, scene->gap,
             (TbAreaStyle){.fill = TB_INK_INTERVAL, .edge = ink, .pen = TB_PEN_GAP});
    if (!isnan(scene->keep))
        tb_picture_level(stair->picture,
                         tb_vec2(stair->axis.frame.high.x + BESIDE + MARK / 2, stair->y), MARK,
                         scene->level);
    draw_words(stair, isnan(scene->keep) ? 0 : MARK + 1, scene->gap_text);
}

/* @return mm of paper that it takes */
static double
draw_stair(TbPicture *picture, const TbSceneCauses *scene, TbRectangle room, TbMeasurer measurer)
{
    Stair stair = {.picture = picture, .scene = scene, .measurer = measurer};
    double tall = STEP * (double)(scene->cause_count + 2);
    g_autofree char *keep = g_strdup_printf(_("keep %s"), scene->keep_text);

    tb_picture_text(picture, tb_vec2(room.low.x, room.low.y + LINE / 2),
                    (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK, .bold = true},
                    /* Translators: a heading: warmth, rock and tolerances eat of a gap */
                    _("What eats the gap"));
    stair.axis.frame.low.y = room.low.y + 2 * LINE + 1;
    stair.axis.frame.high.y = stair.axis.frame.low.y + tall;
    stair.y = stair.axis.frame.low.y + STEP / 2;
    set_sides(&stair, room);
    set_range(&stair);
    draw_bars(&stair);
    tb_gap_axis_draw(picture, &stair.axis, scene->unit);
    tb_gap_axis_line(picture, &stair.axis, scene->keep, TB_PEN_LIMIT, TB_INK_SHORT, 0);
    tb_gap_axis_name(picture, &stair.axis, scene->keep, keep, TB_INK_SHORT, 0);
    return 2 * LINE + 1 + tall + TB_GAP_AXIS_BELOW;
}

/* ---- all of it ---- */

void
tb_causes_into(TbPicture *picture,
               const TbSceneCauses *scene,
               TbRectangle room,
               TbMeasurer measurer)
{
    TbRectangle rest = room;

    tb_picture_layer(picture, TB_LAYER_LABELS);
    for (size_t i = 0; i < scene->line_count; i++)
        rest.low.y +=
            LINE + tb_sheet_paragraph(picture, tb_vec2(room.low.x, rest.low.y + LINE / 2),
                                      room.high.x - room.low.x, small, scene->lines[i], measurer);
    rest.low.y += LINE / 2;
    if (scene->cause_count > 0)
        rest.low.y += draw_stair(picture, scene, rest, measurer) + LINE / 2;
    if (scene->scatter != NULL)
        tb_scatter_into(picture, scene->scatter, rest, measurer);
}

TbStatus
tb_causes_view(TbPicture *picture, const TbSceneCauses *scene, TbMeasurer measurer, TbFault *fault)
{
    TbSheetTexts texts = {
        .title = scene->title, .subtitle = scene->subtitle, .caution = tb_say_caution(false)};
    TbRectangle frame;

    tb_picture_init(picture, TB_SHEET_WIDTH, TB_SHEET_HEIGHT);
    frame = tb_sheet_frame(picture, texts, measurer);
    tb_causes_into(picture, scene, frame, measurer);
    if (picture->status != TB_OK)
        return tb_fail(fault, picture->status, "no room for the drawing");
    return TB_OK;
}
