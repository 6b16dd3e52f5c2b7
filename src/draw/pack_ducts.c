/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/charts.h"
#include "draw/pack_views.h"
#include "draw/sheet.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* One sheet a duct: area, cone angle and bends along the station, with the findings' ranges shaded,
 * and below them its sections in a row at one scale. */

/** Sections in the row: as many as there is room for at the largest scale. */
#define MOST_SECTIONS 12
#define LEAST_SECTIONS 8

/** Of the room's height: the row of sections. */
#define ROW_SHARE 0.36

/** mm of paper between the charts and the row, and between two sections. */
#define APART 4.0
#define BETWEEN 6.0

/** mm of paper: a section's place is as wide as its words at least. */
#define LEAST_PLACE 19.0

typedef struct Own {
    const TbResultDuct **ducts;
    size_t count;
} Own;

static size_t
plan(TbPackChapter *chapter)
{
    const TbResults *results = chapter->dossier->results;
    Own *own = g_new0(Own, 1);

    chapter->own = own;
    own->ducts = g_new0(const TbResultDuct *, results->duct_count + 1);
    for (size_t i = 0; i < results->duct_count; i++)
        if (!results->ducts[i].is_line && results->ducts[i].row_count > 1)
            own->ducts[own->count++] = &results->ducts[i];
    return own->count;
}

/** The duct's own shape: neighbours are on the cuts. NULL: it is not cut there. */
static const TbSceneShape *
own_shape(const TbScene *scene, const char *item)
{
    for (size_t i = 0; i < scene->shape_count; i++)
        if (strcmp(scene->shapes[i].tag, item) == 0)
            return &scene->shapes[i];
    return NULL;
}

/** How wide and tall a section is in its plane, at most: its rectangle turned. */
static TbVec2
size_of(const TbStationRow *row)
{
    double turn = row->turn * G_PI / 180;
    double w = row->width + 2 * row->wall, h = row->height + 2 * row->wall;
    double c = fabs(cos(turn)), s = fabs(sin(turn));

    return tb_vec2(w * c + h * s, w * s + h * c);
}

/** Which sections stand in the row, and at what scale. */
typedef struct Row {
    size_t count;
    const TbStationRow *rows[MOST_SECTIONS];
    double ratio;
    double wide; /**< mm of paper, all places and what is between them */
} Row;

static double
place_width(const TbStationRow *row, double ratio)
{
    return fmax(LEAST_PLACE, ratio * size_of(row).x);
}

/** The rows nearest to evenly spaced stations, both ends included. */
static void
choose(const TbResultDuct *duct, size_t count, Row *row)
{
    row->count = count;
    for (size_t k = 0; k < count; k++) {
        double wanted = duct->length * (double)k / (double)(count - 1);
        size_t best = 0;

        for (size_t i = 0; i < duct->row_count; i++)
            if (fabs(duct->rows[i].station - wanted) < fabs(duct->rows[best].station - wanted))
                best = i;
        row->rows[k] = &duct->rows[best];
    }
}

static bool
fits(Row *row, double ratio, TbVec2 room)
{
    double tall = 0;

    row->ratio = ratio;
    row->wide = (double)(row->count - 1) * BETWEEN;
    for (size_t k = 0; k < row->count; k++) {
        row->wide += place_width(row->rows[k], ratio);
        tall = fmax(tall, ratio * size_of(row->rows[k]).y);
    }
    return row->wide <= room.x && tall <= room.y;
}

/** The largest standard scale first, then as many sections as it leaves room for. */
static Row
row_of(const TbResultDuct *duct, TbVec2 room)
{
    static const double ratios[] = {2, 1, 0.5, 0.2, 0.1, 0.05, 0.02};
    Row row;

    for (size_t i = 0; i < G_N_ELEMENTS(ratios); i++)
        for (size_t count = MOST_SECTIONS; count >= LEAST_SECTIONS; count--) {
            choose(duct, count, &row);
            if (fits(&row, ratios[i], room))
                return row;
        }
    return row;
}

static void
draw_words(TbPicture *picture, const TbStationRow *row, TbRectangle place)
{
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_INK, .anchor = TB_ANCHOR_MIDDLE};
    double middle = (place.low.x + place.high.x) / 2;
    g_autoptr(GString) station = g_string_new(NULL);
    g_autoptr(GString) area = g_string_new(NULL);

    tb_dossier_number(row->station, 0, station);
    g_string_append(station, " mm");
    tb_dossier_number(row->area, 0, area);
    g_string_append(area, " mm²");
    style.bold = true;
    tb_picture_text(picture, tb_vec2(middle, place.low.y + 2), style, station->str);
    style.bold = false;
    tb_picture_text(picture, tb_vec2(middle, place.high.y - 2), style, area->str);
}

/** A section's skin on paper, about the middle of its place. */
static void
draw_outline(TbPicture *picture, const TbCut *cut, TbVec2 middle, double ratio)
{
    const TbAreaStyle style = {.fill = TB_INK_NONE, .edge = TB_INK_INK, .pen = TB_PEN_CUT};

    for (size_t i = 0; i < cut->loop_count; i++) {
        size_t count = cut->loops[i].count;
        TbLoopSpan span = {0, count};
        TbVec2 *paper;

        if (cut->loops[i].role != TB_ROLE_SKIN)
            continue;
        paper = g_new(TbVec2, count + 1);
        for (size_t k = 0; k < count; k++) {
            TbVec2 p = cut->points[cut->loops[i].first + k];

            paper[k] = tb_vec2(middle.x + ratio * p.x, middle.y - ratio * p.y);
        }
        tb_picture_area(picture, paper, &span, 1, style, NULL);
        g_free(paper);
    }
}

static void
draw_middle(TbPicture *picture, TbVec2 at)
{
    const double tick = 1.5; /* mm of paper */

    tb_picture_segment(picture, tb_vec2(at.x - tick, at.y), tb_vec2(at.x + tick, at.y),
                       TB_PEN_FRAME, TB_INK_QUIET);
    tb_picture_segment(picture, tb_vec2(at.x, at.y - tick), tb_vec2(at.x, at.y + tick),
                       TB_PEN_FRAME, TB_INK_QUIET);
}

static TbStatus
draw_section(const TbPackChapter *chapter,
             const TbResultDuct *duct,
             const TbStationRow *row,
             TbRectangle place,
             double ratio,
             TbPicture *picture,
             TbTask *task,
             TbFault *fault)
{
    TbDossierCut cut = {.view = TB_SCENE_ACROSS, .at = row->station, .item = duct->id};
    TbScene *scene = NULL;
    TbStatus status = tb_dossier_cut(chapter->dossier, &cut, task, &scene, fault);

    if (status == TB_OK) {
        const TbSceneShape *shape = own_shape(scene, duct->id);
        TbVec2 middle = tb_vec2_scale(tb_vec2_add(place.low, place.high), 0.5);

        if (shape != NULL)
            draw_outline(picture, &shape->cut, middle, ratio);
        draw_middle(picture, middle);
        draw_words(picture, row, place);
    }
    tb_scene_unref(scene);
    return status;
}

static TbStatus
draw_row(const TbPackChapter *chapter,
         const TbResultDuct *duct,
         const Row *row,
         TbRectangle room,
         TbPicture *picture,
         TbTask *task,
         TbFault *fault)
{
    double spare = (room.high.x - room.low.x - row->wide) / (double)(row->count - 1);
    double left = room.low.x;
    TbStatus status = TB_OK;

    for (size_t k = 0; status == TB_OK && k < row->count; k++) {
        double wide = place_width(row->rows[k], row->ratio);
        TbRectangle place = {{left, room.low.y}, {left + wide, room.high.y}};

        status = draw_section(chapter, duct, row->rows[k], place, row->ratio, picture, task, fault);
        left += wide + BETWEEN + spare;
    }
    return status;
}

static void
draw_row_title(TbPicture *picture, TbVec2 at, double ratio)
{
    char scale[24];
    g_autofree char *text = NULL;

    tb_sheet_ratio_text(ratio, scale);
    text = g_strdup_printf(
        _("Sections square to the path, looking downstream, H up, all at %s; area inside"), scale);
    tb_picture_text(picture, at,
                    (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK, .bold = true}, text);
}

static TbStatus
draw(TbPackChapter *chapter, size_t page, TbPackSheet *sheet, TbTask *task, TbFault *fault)
{
    static const char *const charts[] = {"area", "cone", "bend", NULL};
    const TbResultDuct *duct = ((const Own *)chapter->own)->ducts[page];
    TbRectangle above = sheet->room, below = sheet->room;
    TbSceneStrip *strip = NULL;
    Row row;
    TbStatus status =
        tb_dossier_strip(chapter->dossier, duct->id, NULL, NULL, false, task, &strip, fault);

    if (status != TB_OK)
        return status;
    below.low.y = above.high.y - ROW_SHARE * (above.high.y - above.low.y);
    above.high.y = below.low.y - APART;
    above = tb_pack__strip_line(sheet->picture, strip, above);
    tb_charts_into(sheet->picture, strip, charts, above, chapter->measurer);
    tb_scene_strip_unref(strip);
    below.low.y += TB_FLOW_LINE + 2;
    row = row_of(
        duct, tb_vec2(below.high.x - below.low.x, below.high.y - below.low.y - 2 * TB_FLOW_LINE));
    status = draw_row(chapter, duct, &row, below, sheet->picture, task, fault);
    if (status != TB_OK)
        return status;
    draw_row_title(sheet->picture, tb_vec2(below.low.x, below.low.y - TB_FLOW_LINE), row.ratio);
    tb_sheet_ratio_text(row.ratio, sheet->scale);
    sheet->subject = g_strdup(tb_dossier_name(chapter->dossier, duct->id));
    return TB_OK;
}

static char *
label(const TbPackChapter *chapter, size_t page)
{
    const Own *own = chapter->own;

    return g_strdup(tb_dossier_name(chapter->dossier, own->ducts[page]->id));
}

static void
clear(TbPackChapter *chapter)
{
    Own *own = chapter->own;

    if (own != NULL)
        g_free(own->ducts);
    g_free(own);
}

const TbPackKind tb_pack_ducts = {.name = "ducts",
                                  .title = N_("Ducts along their paths"),
                                  .plan = plan,
                                  .draw = draw,
                                  .label = label,
                                  .clear = clear};
