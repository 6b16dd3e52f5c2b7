/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/scatter_view.h"

#include "draw/gap_axis.h"
#include "draw/sheet.h"
#include "study/say.h"
#include "study/voice.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* mm of paper */
#define LINE TB_GAP_AXIS_LINE
#define BAR 5.6        /* between bars at most */
#define BAR_LEAST 20.0 /* the longest bar, however long the names */
#define BESIDE 16.0    /* right of a bar: its share */
#define APART 7.0      /* between bars and histogram */

#define LEAST_TALL 18.0           /* a histogram lower than this tells nothing */
#define ABOVE_PLOT (4 * LINE + 1) /* of a histogram: its title, three rows of names */

/** Room that is narrower than this has the histogram below the bars. */
#define LEAST_WIDE 130.0

/** Of the width, for bars beside a histogram: half of it, more where their names are long. */
#define BARS_SHARE 0.5
#define BARS_MOST 0.62

static const TbTextStyle small = {.size = TB_PT_SMALL, .ink = TB_INK_INK};

static TbTextStyle
anchored(TbTextStyle style, TbAnchor anchor)
{
    style.anchor = anchor;
    return style;
}

/* ---- bars ---- */

static double
band_of(const TbSceneBar *bar, TbMeasurer measurer)
{
    return measurer.width(measurer.user, bar->band, TB_PT_SMALL, false);
}

/* mm that the longest name takes with its band. */
static double
names_of(const TbSceneScatter *scene, TbMeasurer measurer)
{
    double widest = 0;

    for (size_t i = 0; i < scene->bar_count; i++)
        widest = fmax(widest,
                      band_of(&scene->bars[i], measurer) + 4 +
                          measurer.width(measurer.user, scene->bars[i].name, TB_PT_SMALL, false));
    return widest;
}

static void
draw_bar(TbPicture *picture,
         const TbSceneBar *bar,
         TbRectangle room,
         double y,
         double step,
         double names,
         TbMeasurer measurer)
{
    double from = room.low.x + names, most = room.high.x - BESIDE - from;
    g_autofree char *share = tb_voice_number((TbVoice){0}, 100 * bar->share, 1);
    g_autofree char *percent = g_strdup_printf("%s %%", share);
    char name[TB_TEXT_SHORT];

    tb_text_shorten_name(measurer, bar->name, bar->item, TB_PT_SMALL,
                         names - band_of(bar, measurer) - 4, name);
    tb_picture_text(picture, tb_vec2(room.low.x, y), small, name);
    tb_picture_text(
        picture, tb_vec2(from - 2, y),
        anchored((TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET}, TB_ANCHOR_RIGHT),
        bar->band);
    tb_picture_rectangle(
        picture, tb_vec2(from, y - 0.32 * step),
        tb_vec2(from + fmax(0.2, most * bar->share), y + 0.32 * step),
        (TbAreaStyle){.fill = TB_INK_LINE, .edge = TB_INK_LINE_EDGE, .pen = TB_PEN_FRAME}, NULL);
    tb_picture_text(picture, tb_vec2(from + fmax(0.2, most * bar->share) + 1.5, y), small, percent);
}

static void
draw_bars(TbPicture *picture, const TbSceneScatter *scene, TbRectangle room, TbMeasurer measurer)
{
    size_t most = (size_t)fmax(1, floor((room.high.y - room.low.y - 2 * LINE) / (0.75 * BAR)));
    size_t shown = scene->bar_count < most ? scene->bar_count : most;
    double step =
        shown == 0 ? BAR : fmin(BAR, (room.high.y - room.low.y - 2 * LINE) / (double)shown);
    double y = room.low.y + LINE / 2;
    size_t rest = scene->bar_count - shown + scene->still_count;
    double names =
        fmin(names_of(scene, measurer) + 0.1, room.high.x - room.low.x - BESIDE - BAR_LEAST);

    tb_picture_text(picture, tb_vec2(room.low.x, y),
                    (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK, .bold = true},
                    _("Share of the variance"));
    y += LINE / 2 + step / 2;
    for (size_t i = 0; i < shown; i++, y += step)
        draw_bar(picture, &scene->bars[i], room, y, step, names, measurer);
    if (rest > 0) {
        g_autofree char *text = g_strdup_printf(_("and %zu more with less or no effect"), rest);

        tb_picture_text(picture, tb_vec2(room.low.x, y),
                        (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET}, text);
    }
}

/* ---- histogram ---- */

typedef struct Plot {
    TbPicture *picture;
    const TbSceneScatter *scene;
    TbGapAxis axis;
} Plot;

static void
draw_bins(const Plot *plot)
{
    const TbSceneScatter *scene = plot->scene;
    uint64_t most = 1;

    for (size_t i = 0; i < scene->bin_count; i++)
        most = MAX(most, scene->bins[i]);
    for (size_t i = 0; i < scene->bin_count; i++) {
        double from = scene->bin_from + (double)i * scene->bin_width;
        double tall = (plot->axis.frame.high.y - plot->axis.frame.low.y) * (double)scene->bins[i] /
                      (double)most;
        bool broken = from + scene->bin_width / 2 < scene->keep;

        if (scene->bins[i] > 0)
            tb_picture_rectangle(
                plot->picture,
                tb_vec2(tb_gap_axis_x(&plot->axis, from), plot->axis.frame.high.y - tall),
                tb_vec2(tb_gap_axis_x(&plot->axis, from + scene->bin_width),
                        plot->axis.frame.high.y),
                (TbAreaStyle){.fill = broken ? TB_INK_BAND : TB_INK_LINE,
                              .edge = broken ? TB_INK_SHORT : TB_INK_LINE_EDGE,
                              .pen = TB_PEN_FRAME},
                NULL);
    }
}

static char *
named(const Plot *plot, const char *format, double gap)
{
    const TbSceneScatter *scene = plot->scene;
    g_autofree char *value =
        tb_voice_gap((TbVoice){.unit = scene->unit}, gap, tb_scene_scatter_decimals(scene, gap));
    g_auto(GStrv) parts = g_strsplit(format, "%s", 2);

    return g_strjoinv(value, parts);
}

static void
draw_values(const Plot *plot)
{
    const TbSceneScatter *scene = plot->scene;
    g_autofree char *keep = named(plot, _("keep %s"), scene->keep);
    g_autofree char *worst = named(plot, _("worst case %s"), scene->worst);
    g_autofree char *nominal = named(plot, _("nominal %s"), scene->nominal);

    tb_gap_axis_line(plot->picture, &plot->axis, scene->worst, TB_PEN_ENVELOPE, TB_INK_INK, 2);
    tb_gap_axis_line(plot->picture, &plot->axis, scene->keep, TB_PEN_LIMIT, TB_INK_SHORT, 1);
    tb_gap_axis_line(plot->picture, &plot->axis, scene->nominal, TB_PEN_CENTRE, TB_INK_INK, 0);
    tb_gap_axis_name(plot->picture, &plot->axis, scene->worst, worst, TB_INK_INK, 2);
    tb_gap_axis_name(plot->picture, &plot->axis, scene->keep, keep, TB_INK_SHORT, 1);
    tb_gap_axis_name(plot->picture, &plot->axis, scene->nominal, nominal, TB_INK_INK, 0);
}

/* Everything that is drawn in it, and some air. */
static void
set_range(Plot *plot)
{
    const TbSceneScatter *scene = plot->scene;
    double values[] = {scene->nominal, scene->worst, scene->keep};
    double air;

    plot->axis.low = scene->bin_from;
    plot->axis.high = scene->bin_from + (double)scene->bin_count * scene->bin_width;
    for (size_t i = 0; i < G_N_ELEMENTS(values); i++)
        if (isfinite(values[i])) {
            plot->axis.low = fmin(plot->axis.low, values[i]);
            plot->axis.high = fmax(plot->axis.high, values[i]);
        }
    air = 0.03 * (plot->axis.high - plot->axis.low);
    plot->axis.low -= air;
    plot->axis.high += air;
}

static void
draw_histogram(TbPicture *picture, const TbSceneScatter *scene, TbRectangle room)
{
    Plot plot = {.picture = picture, .scene = scene};
    g_autofree char *title = NULL;

    plot.axis.frame = (TbRectangle){{room.low.x, room.low.y + ABOVE_PLOT},
                                    {room.high.x, room.high.y - TB_GAP_AXIS_BELOW}};
    if (scene->bin_count == 0 || plot.axis.frame.high.y - plot.axis.frame.low.y < LEAST_TALL)
        return;
    title = g_strdup_printf(_("%zu sampled gaps"), (size_t)scene->samples);
    tb_picture_text(picture, tb_vec2(room.low.x, room.low.y + LINE / 2),
                    (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK, .bold = true}, title);
    set_range(&plot);
    draw_bins(&plot);
    tb_gap_axis_draw(picture, &plot.axis, scene->unit);
    draw_values(&plot);
}

/* ---- both ---- */

/* Draws the sentences; where they end. */
static double
draw_lines(
    TbPicture *picture, const TbSceneScatter *scene, TbVec2 at, double width, TbMeasurer measurer)
{
    double y = at.y;

    for (size_t i = 0; i < scene->line_count; i++)
        y += LINE + tb_sheet_paragraph(picture, tb_vec2(at.x, y + LINE / 2), width, small,
                                       scene->lines[i], measurer);
    return y + LINE / 2;
}

double
tb_scatter_least_height(const TbSceneScatter *scene, double width, TbMeasurer measurer)
{
    double bars = 2 * LINE + BAR, histogram = ABOVE_PLOT + LEAST_TALL + TB_GAP_AXIS_BELOW;
    TbPicture unseen;
    double lines;

    tb_picture_init(&unseen, TB_SHEET_WIDTH, TB_SHEET_HEIGHT);
    lines = draw_lines(&unseen, scene, tb_vec2(0, 0), width, measurer);
    tb_picture_clear(&unseen);
    if (scene->bin_count == 0)
        return lines + bars;
    /* below each other both have half of the room */
    return lines + (width < LEAST_WIDE ? 2 * histogram : fmax(bars, histogram));
}

void
tb_scatter_into(TbPicture *picture,
                const TbSceneScatter *scene,
                TbRectangle room,
                TbMeasurer measurer)
{
    double wide = room.high.x - room.low.x, y;
    double bars = names_of(scene, measurer) + 0.1 + BAR_LEAST + BESIDE + APART / 2;
    double middle = room.low.x + fmin(fmax(bars, BARS_SHARE * wide), BARS_MOST * wide);
    TbRectangle left, right;

    tb_picture_layer(picture, TB_LAYER_LABELS);
    y = draw_lines(picture, scene, room.low, room.high.x - room.low.x, measurer);
    if (scene->bin_count == 0) {
        left = right = (TbRectangle){{room.low.x, y}, room.high};
    } else if (room.high.x - room.low.x < LEAST_WIDE) {
        left = (TbRectangle){{room.low.x, y}, {room.high.x, (y + room.high.y) / 2 - LINE}};
        right = (TbRectangle){{room.low.x, (y + room.high.y) / 2}, room.high};
    } else {
        left = (TbRectangle){{room.low.x, y}, {middle - APART / 2, room.high.y}};
        right = (TbRectangle){{middle + APART / 2, y}, room.high};
    }
    draw_bars(picture, scene, left, measurer);
    draw_histogram(picture, scene, right);
}

TbStatus
tb_scatter_view(TbPicture *picture,
                const TbSceneScatter *scene,
                TbMeasurer measurer,
                TbFault *fault)
{
    TbSheetTexts texts = {
        .title = scene->title, .subtitle = scene->subtitle, .caution = tb_say_caution(false)};
    TbRectangle frame;

    tb_picture_init(picture, TB_SHEET_WIDTH, TB_SHEET_HEIGHT);
    frame = tb_sheet_frame(picture, texts, measurer);
    tb_scatter_into(picture, scene, frame, measurer);
    if (picture->status != TB_OK)
        return tb_fail(fault, picture->status, "no room for the drawing");
    return TB_OK;
}
