/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/pack_sheet.h"

#include "draw/sheet.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* mm */
#define ZONE_BORDER 5.0 /* of the zones' border outside the frame */
#define ZONE 50.0       /* of a field */
#define CENTRING 5.0    /* of a centring mark inside the frame */
#define INSET 6.0       /* from the frame to the room */
#define BLOCK_WIDTH 180.0
#define ROW 9.6 /* of a title block's row: two lines of the smallest letters */
#define BLOCK_HEIGHT (3 * ROW)
#define FIELD_AIR 1.2 /* from a field's edge to its text */

static const struct {
    const char *name;
    TbVec2 size;
} papers[TB_PAPER_COUNT] = {
    [TB_PAPER_A4] = {"A4", {297, 210}},
    [TB_PAPER_A3] = {"A3", {420, 297}},
    [TB_PAPER_LETTER] = {"Letter", {279.4, 215.9}},
    [TB_PAPER_TABLOID] = {"Tabloid", {431.8, 279.4}},
};

const char *
tb_paper_name(TbPaper paper)
{
    return papers[paper].name;
}

int
tb_paper_of(const char *name)
{
    for (int i = 0; i < TB_PAPER_COUNT; i++)
        if (g_ascii_strcasecmp(papers[i].name, name) == 0)
            return i;
    return -1;
}

TbVec2
tb_paper_size(TbPaper paper)
{
    return papers[paper].size;
}

/** The frame: the drawing space, title block included. */
static TbRectangle
frame_of(TbPaper paper)
{
    TbVec2 size = papers[paper].size;

    return (TbRectangle){{TB_SHEET_BINDING, TB_SHEET_MARGIN},
                         {size.x - TB_SHEET_MARGIN, size.y - TB_SHEET_MARGIN}};
}

TbRectangle
tb_pack_sheet_room(TbPaper paper)
{
    TbRectangle frame = frame_of(paper);

    return (TbRectangle){{frame.low.x + INSET, frame.low.y + INSET},
                         {frame.high.x - INSET, frame.high.y - BLOCK_HEIGHT - INSET + 1}};
}

static void
box(TbPicture *picture, TbRectangle r, TbPen pen)
{
    tb_picture_rectangle(picture, r.low, r.high,
                         (TbAreaStyle){.fill = TB_INK_NONE, .edge = TB_INK_INK, .pen = pen}, NULL);
}

/* ---- zones and centring marks ---- */

/** How many fields lie between a middle and an end of the frame. */
static int
fields(double half)
{
    return (int)ceil(half / ZONE - 1e-9);
}

/** Letters run past I and O. */
static void
zone_name(int index, bool letter, char out[16])
{
    static const char letters[] = "ABCDEFGHJKLMNPQRSTUVWXYZ";

    if (letter)
        snprintf(out, 16, "%c", letters[index % (int)(sizeof letters - 1)]);
    else
        snprintf(out, 16, "%d", index + 1);
}

/** Zones along one direction of the frame, on both sides of the sheet. */
static void
zones(TbPicture *picture, TbRectangle frame, bool down)
{
    double low = down ? frame.low.y : frame.low.x;
    double high = down ? frame.high.y : frame.high.x;
    double middle = (down ? picture->height : picture->width) / 2;
    int before = fields(middle - low);
    int count = before + fields(high - middle);
    double sides[2] = {down ? frame.low.x : frame.low.y, down ? frame.high.x : frame.high.y};
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_INK, .anchor = TB_ANCHOR_MIDDLE};

    for (int i = 0; i < count; i++) {
        double from = fmax(low, middle + ZONE * (i - before));
        double to = fmin(high, middle + ZONE * (i + 1 - before));

        for (int side = 0; side < 2; side++) {
            double out = sides[side] + (side == 0 ? -ZONE_BORDER : ZONE_BORDER);
            double at = (sides[side] + out) / 2;
            char name[16];

            zone_name(i, down, name);
            tb_picture_text(picture,
                            down ? tb_vec2(at, (from + to) / 2) : tb_vec2((from + to) / 2, at),
                            style, name);
            if (i > 0)
                tb_picture_segment(
                    picture, down ? tb_vec2(sides[side], from) : tb_vec2(from, sides[side]),
                    down ? tb_vec2(out, from) : tb_vec2(from, out), TB_PEN_GAP, TB_INK_INK);
        }
    }
}

static void
centring_marks(TbPicture *picture, TbRectangle frame)
{
    TbVec2 middle = {picture->width / 2, picture->height / 2};
    /* where the title block lies, the mark ends at the frame */
    bool over_block = middle.x > frame.high.x - BLOCK_WIDTH;
    double bottom = frame.high.y - (over_block ? 0 : CENTRING);

    tb_picture_segment(picture, tb_vec2(middle.x, 0), tb_vec2(middle.x, frame.low.y + CENTRING),
                       TB_PEN_BORDER, TB_INK_INK);
    tb_picture_segment(picture, tb_vec2(middle.x, picture->height), tb_vec2(middle.x, bottom),
                       TB_PEN_BORDER, TB_INK_INK);
    tb_picture_segment(picture, tb_vec2(0, middle.y), tb_vec2(frame.low.x + CENTRING, middle.y),
                       TB_PEN_BORDER, TB_INK_INK);
    tb_picture_segment(picture, tb_vec2(picture->width, middle.y),
                       tb_vec2(frame.high.x - CENTRING, middle.y), TB_PEN_BORDER, TB_INK_INK);
}

/* ---- the projection's symbol ---- */

/**
 * A truncated cone from the side, and from its narrow end at the left. Seen from the left, the
 * second view stands at the right in first angle, at the left in third angle.
 */
static void
projection_symbol(TbPicture *picture, TbVec2 middle, TbProjection projection)
{
    enum { STEPS = 48 };
    const double large = 4, small = 2, apart = 6.2, half_length = 4;
    double way = projection == TB_PROJECTION_FIRST ? -1 : 1;
    TbVec2 cone = {middle.x + way * apart, middle.y};
    TbVec2 rings = {middle.x - way * apart, middle.y};
    TbVec2 side[5] = {{cone.x - half_length, cone.y - small},
                      {cone.x + half_length, cone.y - large},
                      {cone.x + half_length, cone.y + large},
                      {cone.x - half_length, cone.y + small},
                      {cone.x - half_length, cone.y - small}};

    tb_picture_line(picture, side, 5, TB_PEN_GAP, TB_INK_INK, NULL);
    for (int k = 0; k < 2; k++) {
        double r = k == 0 ? large : small;
        TbVec2 ring[STEPS + 1];

        for (int i = 0; i <= STEPS; i++)
            ring[i] = tb_vec2(rings.x + r * cos(2 * M_PI * i / STEPS),
                              rings.y + r * sin(2 * M_PI * i / STEPS));
        tb_picture_line(picture, ring, STEPS + 1, TB_PEN_GAP, TB_INK_INK, NULL);
    }
    tb_picture_segment(picture, tb_vec2(cone.x - half_length - 1.2, middle.y),
                       tb_vec2(cone.x + half_length + 1.2, middle.y), TB_PEN_CENTRE, TB_INK_INK);
    tb_picture_segment(picture, tb_vec2(rings.x - large - 1, middle.y),
                       tb_vec2(rings.x + large + 1, middle.y), TB_PEN_CENTRE, TB_INK_INK);
    tb_picture_segment(picture, tb_vec2(rings.x, middle.y - large - 1),
                       tb_vec2(rings.x, middle.y + large + 1), TB_PEN_CENTRE, TB_INK_INK);
}

/* ---- title block ---- */

/** A title block while it is drawn. */
typedef struct Block {
    TbPicture *picture;
    TbMeasurer measurer;
    TbVec2 at; /**< top left */
} Block;

static void
fitted(const Block *block, TbVec2 at, double width, bool bold, const char *text)
{
    char shown[TB_TEXT_SHORT];

    if (text == NULL || text[0] == '\0')
        return;
    tb_text_shorten(block->measurer, text, TB_PT_SMALL, bold, width, shown);
    tb_picture_text(
        block->picture, at,
        (TbTextStyle){.size = TB_PT_SMALL, .ink = bold ? TB_INK_INK : TB_INK_QUIET, .bold = bold},
        shown);
}

/** A box with its name, and its value below. */
static void
field(const Block *block, TbRectangle place, const char *name, const char *value)
{
    TbVec2 low = tb_vec2_add(block->at, place.low), high = tb_vec2_add(block->at, place.high);
    double width = high.x - low.x - 2 * FIELD_AIR;

    box(block->picture, (TbRectangle){low, high}, TB_PEN_FRAME);
    fitted(block, tb_vec2(low.x + FIELD_AIR, low.y + 2.6), width, false, name);
    fitted(block, tb_vec2(low.x + FIELD_AIR, low.y + 6.9), width, true, value);
}

/** Title on two lines at most, the second title below. */
static void
titles(const Block *block, TbRectangle place, const char *title, const char *subject)
{
    TbVec2 low = tb_vec2_add(block->at, place.low), high = tb_vec2_add(block->at, place.high);
    double width = high.x - low.x - 2 * FIELD_AIR;
    size_t first = tb_text_fit(block->measurer, title, TB_PT_SMALL, true, width);
    char head[TB_TEXT_SHORT * 2];

    box(block->picture, (TbRectangle){low, high}, TB_PEN_FRAME);
    fitted(block, tb_vec2(low.x + FIELD_AIR, low.y + 2.6), width, false, _("Title"));
    if (first >= sizeof head)
        first = 0;
    snprintf(head, sizeof head, "%.*s", (int)first, title);
    title += first;
    while (*title == ' ')
        title++;
    fitted(block, tb_vec2(low.x + FIELD_AIR, low.y + 6.9), width, true, head);
    fitted(block, tb_vec2(low.x + FIELD_AIR, low.y + 11.1), width, true, title);
    fitted(block, tb_vec2(low.x + FIELD_AIR, low.y + 15.6), width, true, subject);
}

static void
title_block(const Block *block, const TbSheetTitle *title)
{
    const TbDossierTitle *t = title->title;
    char sheet[64];

    snprintf(sheet, sizeof sheet, "%zu / %zu", title->sheet, title->sheets);
    field(block, (TbRectangle){{0, 0}, {38, ROW}}, _("Created by"), t->creator);
    field(block, (TbRectangle){{38, 0}, {76, ROW}}, _("Approved by"), "");
    field(block, (TbRectangle){{76, 0}, {124, ROW}}, _("Document type"), _("Design review pack"));
    field(block, (TbRectangle){{124, 0}, {155, ROW}}, _("Status"), _("for review"));
    field(block, (TbRectangle){{155, 0}, {180, ROW}}, _("Sheet"), sheet);
    field(block, (TbRectangle){{0, ROW}, {38, 3 * ROW}}, _("Legal owner"), t->owner);
    titles(block, (TbRectangle){{38, ROW}, {126, 3 * ROW}}, t->title, title->subject);
    field(block, (TbRectangle){{126, ROW}, {180, 2 * ROW}}, _("Identification number"),
          t->document);
    field(block, (TbRectangle){{126, 2 * ROW}, {138, 3 * ROW}}, _("Rev."), t->revision);
    field(block, (TbRectangle){{138, 2 * ROW}, {166, 3 * ROW}}, _("Date of issue"), t->date);
    /* Translators: the code of this language after ISO 639 */
    field(block, (TbRectangle){{166, 2 * ROW}, {180, 3 * ROW}}, _("Lang."), _("en"));
}

/** Lines of the side block. */
#define SIDE_LINE 4.2

/** A text on as many lines as it needs, from @p line on; returns the line behind it. */
static size_t
side_text(const Block *block, double left, double width, size_t line, const char *text)
{
    const size_t most = (size_t)((BLOCK_HEIGHT - 2.6) / SIDE_LINE);

    while (*text != '\0' && line < most) {
        size_t bytes = tb_text_fit(block->measurer, text, TB_PT_SMALL, false, width);
        g_autofree char *part = g_strndup(text, bytes);

        fitted(block, tb_vec2(block->at.x + left, block->at.y + 2.6 + SIDE_LINE * (double)line++),
               width, false, part);
        text += bytes;
        while (*text == ' ')
            text++;
    }
    return line;
}

/** Beside the title block: scale, projection, axes, and what this is not. */
static void
side_block(const Block *block, double width, TbPaper paper, const TbSheetTitle *title)
{
    const double left = 27 + FIELD_AIR;
    double room = width - left - FIELD_AIR;
    g_autofree char *format = g_strdup_printf(_("%s, lengths in mm"), tb_paper_name(paper));
    size_t line = 0;

    box(block->picture, (TbRectangle){block->at, {block->at.x + width, block->at.y + BLOCK_HEIGHT}},
        TB_PEN_FRAME);
    if (title->scale[0] != '\0') {
        fitted(block, tb_vec2(block->at.x + FIELD_AIR, block->at.y + 2.6), left, false, _("Scale"));
        fitted(block, tb_vec2(block->at.x + FIELD_AIR, block->at.y + 6.9), left, true,
               title->scale);
    }
    if (title->has_views)
        projection_symbol(block->picture, tb_vec2(block->at.x + 13.5, block->at.y + 18),
                          title->projection);
    line = side_text(block, left, room, line, format);
    line = side_text(block, left, room, line, _("X rearward, Y right, Z up"));
    line = side_text(block, left, room, line, _("Estimates: verify on the vehicle"));
    side_text(block, left, room, line, title->title->program);
}

void
tb_pack_sheet_frame(TbPicture *picture,
                    TbPaper paper,
                    const TbSheetTitle *title,
                    TbMeasurer measurer)
{
    TbRectangle frame = frame_of(paper);
    TbRectangle border = {{frame.low.x - ZONE_BORDER, frame.low.y - ZONE_BORDER},
                          {frame.high.x + ZONE_BORDER, frame.high.y + ZONE_BORDER}};
    double top = frame.high.y - BLOCK_HEIGHT;
    Block block = {picture, measurer, {frame.high.x - BLOCK_WIDTH, top}};
    Block side = {picture, measurer, {frame.low.x, top}};

    side_block(&side, frame.high.x - BLOCK_WIDTH - frame.low.x, paper, title);
    title_block(&block, title);
    zones(picture, frame, false);
    zones(picture, frame, true);
    box(picture, border, TB_PEN_GAP);
    box(picture, frame, TB_PEN_BORDER);
    centring_marks(picture, frame);
}
