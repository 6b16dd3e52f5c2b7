/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/templates.h"

#include "base/mem.h"
#include "draw/sheet.h"
#include "draw/template_card.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <stdio.h>

/* mm of paper */
#define LEFT 22.0   /* from the paper's edge to the window: the upright bar stands there */
#define RIGHT 11.0  /* printers leave 5 mm white; a registration mark needs 4 more */
#define TOP 26.0    /* head */
#define BOTTOM 33.0 /* lying bar and cautions */
#define GAP 4.0     /* between gauges */
#define BAR 100.0   /* of a check bar: the whole purpose */
#define BAR_TICK 2.0
#define BAR_TEXT 25.0 /* from the lying bar's end to the cautions, its own length told between */
#define CLEAR 5.0     /* of whole gauges from the window, whose corners have marks */
#define MARK 2.5      /* radius of a registration mark */
#define MARK_ARM 4.0

typedef struct Place {
    TbTemplatePlace where;
    size_t card;
    size_t column, row, columns, rows; /**< of the parts of a large one; 1 x 1 else */
} Place;

struct TbTemplateSheets {
    const TbTemplates *templates;
    TbPaper paper;
    TbMeasurer measurer;
    TbCard *cards; /**< one a template */
    Place *places;
    size_t place_count, place_room;
    TbTemplatePlace *told; /**< the places as tests are told them */
    size_t count;
};

TbRectangle
tb_template_window(TbPaper paper)
{
    TbVec2 size = tb_paper_size(paper);

    return (TbRectangle){{LEFT, TOP}, {size.x - RIGHT, size.y - BOTTOM}};
}

/* ---- planning ---- */

static bool
add_place(TbTemplateSheets *sheets, Place place)
{
    void *places = sheets->places;

    if (tb_grow_array(&places, &sheets->place_room, sheets->place_count, sizeof place) != 0)
        return false;
    sheets->places = places;
    sheets->places[sheets->place_count++] = place;
    return true;
}

/** A gauge larger than the window: a sheet for each part, row by row. */
static bool
add_parts(TbTemplateSheets *sheets, size_t card, TbRectangle window)
{
    TbVec2 size = sheets->cards[card].size;
    TbVec2 room = tb_vec2_sub(window.high, window.low);
    size_t columns = (size_t)ceil(size.x / room.x - 1e-9);
    size_t rows = (size_t)ceil(size.y / room.y - 1e-9);

    for (size_t i = 0; i < columns * rows; i++) {
        Place place = {.card = card,
                       .column = i % columns,
                       .row = i / columns,
                       .columns = columns,
                       .rows = rows};
        TbVec2 corner = {window.low.x - room.x * (double)place.column,
                         window.low.y - room.y * (double)place.row};

        place.where = (TbTemplatePlace){sheets->count++, {corner, tb_vec2_add(corner, size)}};
        if (!add_place(sheets, place))
            return false;
    }
    return true;
}

/** Where the next gauge goes. */
typedef struct Cursor {
    TbVec2 at;
    double tall; /**< of the row, mm */
    bool begun;  /**< the sheet has something */
} Cursor;

/** Side by side while they fit, then a new row, then a new sheet. */
static bool
add_whole(TbTemplateSheets *sheets, size_t card, TbRectangle clear, Cursor *cursor)
{
    TbVec2 size = sheets->cards[card].size;

    if (cursor->begun && cursor->at.x + size.x > clear.high.x) {
        cursor->at = tb_vec2(clear.low.x, cursor->at.y + cursor->tall + GAP);
        cursor->tall = 0;
    }
    if (!cursor->begun || cursor->at.y + size.y > clear.high.y) {
        *cursor = (Cursor){.at = clear.low, .begun = true};
        sheets->count++;
    }
    if (!add_place(sheets, (Place){.where = {sheets->count - 1,
                                             {cursor->at, tb_vec2_add(cursor->at, size)}},
                                   .card = card,
                                   .columns = 1,
                                   .rows = 1}))
        return false;
    cursor->at.x += size.x + GAP;
    cursor->tall = fmax(cursor->tall, size.y);
    return true;
}

static bool
plan(TbTemplateSheets *sheets)
{
    TbRectangle window = tb_template_window(sheets->paper);
    TbRectangle clear = {{window.low.x + CLEAR, window.low.y + CLEAR},
                         {window.high.x - CLEAR, window.high.y - CLEAR}};
    Cursor cursor = {.begun = false};
    bool done = true;

    for (size_t i = 0; done && i < sheets->templates->count; i++) {
        TbVec2 size = sheets->cards[i].size;

        if (size.x > clear.high.x - clear.low.x || size.y > clear.high.y - clear.low.y) {
            done = add_parts(sheets, i, window);
            cursor.begun = false;
        } else {
            done = add_whole(sheets, i, clear, &cursor);
        }
    }
    sheets->told = tb_alloc_array(sheets->place_count + 1, sizeof *sheets->told);
    for (size_t i = 0; sheets->told != NULL && i < sheets->place_count; i++)
        sheets->told[i] = sheets->places[i].where;
    return done && sheets->told != NULL;
}

TbTemplateSheets *
tb_template_sheets_new(const TbTemplates *templates,
                       TbPaper paper,
                       TbTemplateSide side,
                       TbMeasurer measurer)
{
    TbTemplateSheets *sheets = tb_alloc(sizeof *sheets);

    if (sheets == NULL)
        return NULL;
    *sheets = (TbTemplateSheets){.templates = templates, .paper = paper, .measurer = measurer};
    sheets->cards = tb_alloc_array(templates->count + 1, sizeof *sheets->cards);
    for (size_t i = 0; sheets->cards != NULL && i < templates->count; i++)
        sheets->cards[i] = tb_card_of(templates, &templates->list[i], side, measurer);
    if (sheets->cards == NULL || !plan(sheets)) {
        tb_template_sheets_free(sheets);
        return NULL;
    }
    return sheets;
}

void
tb_template_sheets_free(TbTemplateSheets *sheets)
{
    if (sheets == NULL)
        return;
    tb_free(sheets->cards);
    tb_free(sheets->places);
    tb_free(sheets->told);
    tb_free(sheets);
}

size_t
tb_template_sheets_count(const TbTemplateSheets *sheets)
{
    return sheets->count;
}

size_t
tb_template_sheets_places(const TbTemplateSheets *sheets, const TbTemplatePlace **places)
{
    *places = sheets->told;
    return sheets->place_count;
}

/* ---- what is on every sheet ---- */

static void
draw_mark(TbPicture *picture, TbVec2 at)
{
    TbVec2 ring[48];

    for (int i = 0; i < 48; i++)
        ring[i] =
            tb_vec2(at.x + MARK * cos(2 * M_PI * i / 48), at.y + MARK * sin(2 * M_PI * i / 48));
    tb_picture_area(picture, ring, &(TbLoopSpan){0, 48}, 1,
                    (TbAreaStyle){.fill = TB_INK_NONE, .edge = TB_INK_INK, .pen = TB_PEN_FRAME},
                    NULL);
    tb_picture_segment(picture, tb_vec2(at.x - MARK_ARM, at.y), tb_vec2(at.x + MARK_ARM, at.y),
                       TB_PEN_FRAME, TB_INK_INK);
    tb_picture_segment(picture, tb_vec2(at.x, at.y - MARK_ARM), tb_vec2(at.x, at.y + MARK_ARM),
                       TB_PEN_FRAME, TB_INK_INK);
}

static void
draw_marks(TbPicture *picture, TbRectangle window)
{
    tb_picture_layer(picture, TB_LAYER_REGISTRATION);
    draw_mark(picture, window.low);
    draw_mark(picture, tb_vec2(window.high.x, window.low.y));
    draw_mark(picture, window.high);
    draw_mark(picture, tb_vec2(window.low.x, window.high.y));
}

/** A bar of 100 mm from a point along a unit direction, a tick every 10 mm. */
static void
draw_bar(TbPicture *picture, TbVec2 from, TbVec2 along)
{
    TbVec2 across = {-along.y, along.x};

    tb_picture_segment(picture, from, tb_vec2_add(from, tb_vec2_scale(along, BAR)), TB_PEN_FRAME,
                       TB_INK_INK);
    for (int i = 0; i <= 10; i++) {
        double tick = i % 5 == 0 ? BAR_TICK : BAR_TICK / 2;
        TbVec2 at = tb_vec2_add(from, tb_vec2_scale(along, 10 * i));

        tb_picture_segment(picture, tb_vec2_sub(at, tb_vec2_scale(across, tick)),
                           tb_vec2_add(at, tb_vec2_scale(across, tick)), TB_PEN_FRAME, TB_INK_INK);
    }
}

static void
draw_bars(TbPicture *picture, TbRectangle window)
{
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_INK};
    TbVec2 lying = {window.low.x, window.high.y + 10};
    TbVec2 upright = {13, window.low.y + BAR + 6};

    tb_picture_layer(picture, TB_LAYER_CHECK_BARS);
    draw_bar(picture, lying, tb_vec2(1, 0));
    draw_bar(picture, upright, tb_vec2(0, -1));
    tb_picture_text(picture, tb_vec2(lying.x + BAR + 4, lying.y), style, "100 mm");
    style.anchor = TB_ANCHOR_MIDDLE;
    style.turn = 90;
    tb_picture_text(picture, tb_vec2(upright.x - 4.6, upright.y - BAR / 2), style, "100 mm");
}

static void
draw_cautions(TbPicture *picture, const TbTemplates *templates, TbRectangle window, TbMeasurer m)
{
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_INK, .bold = true};
    TbVec2 at = {window.low.x + BAR + BAR_TEXT, window.high.y + 5.6};
    double wide = window.high.x - at.x;

    tb_picture_layer(picture, TB_LAYER_NOTES);
    at.y += 4.2 + tb_sheet_paragraph(
                      picture, at, wide, style,
                      _("Print at 100 %, not fitted to the page, and measure both bars: where one "
                        "is not 100 mm long, the sheet is no gauge."),
                      m);
    style.bold = false;
    style.ink = TB_INK_QUIET;
    tb_sheet_paragraph(picture, at, wide, style, templates->caution, m);
}

static double
width_of(TbMeasurer measurer, const char *text)
{
    return measurer.width(measurer.user, text, TB_PT_SMALL, false);
}

static void
draw_head(TbPicture *picture, const TbTemplateSheets *sheets, size_t sheet, const char *part)
{
    const TbTemplates *templates = sheets->templates;
    double right = picture->width - RIGHT;
    char title[TB_TEXT_SHORT], subtitle[TB_TEXT_SHORT];
    char number[80];

    snprintf(number, sizeof number, _("1:1, sheet %zu of %zu"), sheet + 1, sheets->count);
    tb_text_shorten(sheets->measurer, templates->title, TB_PT_HEAD, true,
                    right - LEFT - 6 -
                        sheets->measurer.width(sheets->measurer.user, number, TB_PT_HEAD, true),
                    title);
    tb_picture_layer(picture, TB_LAYER_TITLE);
    tb_picture_text(picture, tb_vec2(LEFT, 11),
                    (TbTextStyle){.size = TB_PT_HEAD, .ink = TB_INK_INK, .bold = true}, title);
    tb_picture_text(
        picture, tb_vec2(right, 11),
        (TbTextStyle){
            .size = TB_PT_HEAD, .ink = TB_INK_INK, .anchor = TB_ANCHOR_RIGHT, .bold = true},
        number);
    tb_text_shorten(sheets->measurer, templates->subtitle, TB_PT_SMALL, false,
                    right - LEFT - 4 - width_of(sheets->measurer, part), subtitle);
    tb_picture_text(picture, tb_vec2(LEFT, 16.5),
                    (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET}, subtitle);
    if (part[0] != '\0')
        tb_picture_text(
            picture, tb_vec2(right, 16.5),
            (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_INK, .anchor = TB_ANCHOR_RIGHT}, part);
}

/** Which part of a gauge a sheet shows; "" where it shows whole ones. */
static void
tell_part(const Place *place, char part[160])
{
    part[0] = '\0';
    if (place->columns * place->rows > 1)
        snprintf(part, 160,
                 _("part %zu.%zu of %zu x %zu: trim along the window, lay marks on marks"),
                 place->row + 1, place->column + 1, place->rows, place->columns);
}

/** A large gauge's window has a rim, to be trimmed along. */
static void
draw_part(const TbTemplateSheets *sheets, const Place *place, TbPicture *picture)
{
    TbRectangle window = tb_template_window(sheets->paper);

    tb_picture_clip(picture, window.low, window.high);
    tb_card_draw(&sheets->cards[place->card], picture, place->where.at.low, sheets->measurer);
    tb_picture_unclip(picture);
    tb_picture_layer(picture, TB_LAYER_CUT_LINES);
    tb_picture_rectangle(
        picture, window.low, window.high,
        (TbAreaStyle){.fill = TB_INK_NONE, .edge = TB_INK_QUIET, .pen = TB_PEN_GRID}, NULL);
}

TbStatus
tb_template_sheet(const TbTemplateSheets *sheets, size_t sheet, TbPicture *picture, TbFault *fault)
{
    TbRectangle window = tb_template_window(sheets->paper);
    TbVec2 size = tb_paper_size(sheets->paper);
    char part[160] = "";

    tb_picture_init(picture, size.x, size.y);
    for (size_t i = 0; i < sheets->place_count; i++) {
        const Place *place = &sheets->places[i];

        if (place->where.sheet != sheet)
            continue;
        tell_part(place, part);
        if (part[0] != '\0')
            draw_part(sheets, place, picture);
        else
            tb_card_draw(&sheets->cards[place->card], picture, place->where.at.low,
                         sheets->measurer);
    }
    draw_head(picture, sheets, sheet, part);
    draw_marks(picture, window);
    draw_bars(picture, window);
    draw_cautions(picture, sheets->templates, window, sheets->measurer);
    if (picture->status != TB_OK)
        return tb_fail(fault, picture->status, "no room for the drawing");
    return TB_OK;
}
