/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/sheet.h"

#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/** mm between the lines of the foot. */
#define LINE 4.2

/** Lines of a title and of what stands below it, the last one shortened; mm between a title's. */
#define MOST_TITLE 3
#define MOST_SUBTITLE 2
#define TITLE_LINE 5.5

/** mm that a title leaves for the scale. */
#define SCALE_ROOM 32.0

/** mm from the paper's edge of the head's first line. */
#define HEAD 15.0

static bool
said(const char *text)
{
    return text != NULL && text[0] != '\0';
}

/** Lines of a wrapped text; drawn from @p at downwards where @p picture is given. */
static size_t
put_wrapped(TbPicture *picture,
            TbVec2 at,
            double width,
            TbTextStyle style,
            const char *text,
            TbMeasurer measurer)
{
    size_t lines = 0;

    while (*text != '\0') {
        size_t bytes = tb_text_fit(measurer, text, style.size, style.bold, width);
        char line[512];

        snprintf(line, sizeof line, "%.*s", (int)bytes, text);
        if (picture != NULL)
            tb_picture_text(picture, tb_vec2(at.x, at.y + LINE * (double)lines), style, line);
        lines++;
        text += bytes;
        while (*text == ' ')
            text++;
    }
    return lines;
}

/** Notes side by side while they fit a line, then on the next one, a long one over several; returns
 * the lines used. */
static size_t
put_notes(TbPicture *picture, TbSheetTexts texts, TbMeasurer measurer, double bottom, bool draw)
{
    TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_INK};
    double x = TB_SHEET_BINDING;
    double right = picture->width - TB_SHEET_MARGIN;
    size_t line = 0;

    for (size_t i = 0; i < texts.note_count; i++) {
        double width = measurer.width(measurer.user, texts.notes[i], TB_PT_SMALL, false);
        size_t rows;

        if (x > TB_SHEET_BINDING && x + width > right) {
            x = TB_SHEET_BINDING;
            line++;
        }
        rows = put_wrapped(draw ? picture : NULL, tb_vec2(x, bottom + LINE * (double)line),
                           right - x, style, texts.notes[i], measurer);
        line += rows > 1 ? rows - 1 : 0;
        x += width + 6;
    }
    return texts.note_count > 0 ? line + 1 : 0;
}

/** A head's text in at most so many lines, none wider than it may be; returns mm below the first.
 */
static double
put_head(TbPicture *picture,
         TbVec2 at,
         double width,
         TbTextStyle style,
         const char *text,
         int most,
         TbMeasurer measurer)
{
    double step = style.size == TB_PT_HEAD ? TITLE_LINE : LINE;
    int lines = 0;

    for (; said(text) && lines < most; lines++) {
        size_t bytes = tb_text_fit(measurer, text, style.size, style.bold, width);
        bool last = lines == most - 1;
        char line[512], shown[TB_TEXT_SHORT];

        snprintf(line, sizeof line, "%.*s", (int)bytes, text);
        tb_text_shorten(measurer, last ? text : line, style.size, style.bold, width, shown);
        tb_picture_text(picture, tb_vec2(at.x, at.y + step * lines), style, shown);
        text += bytes;
        text += strspn(text, " ");
    }
    return lines > 1 ? step * (lines - 1) : 0;
}

double
tb_sheet_paragraph(TbPicture *picture,
                   TbVec2 at,
                   double width,
                   TbTextStyle style,
                   const char *text,
                   TbMeasurer measurer)
{
    size_t lines = put_wrapped(picture, at, width, style, text, measurer);

    return lines > 0 ? LINE * (double)(lines - 1) : 0;
}

TbRectangle
tb_sheet_frame(TbPicture *picture, TbSheetTexts texts, TbMeasurer measurer)
{
    double left = TB_SHEET_BINDING;
    double right = picture->width - TB_SHEET_MARGIN;
    double bottom = picture->height - TB_SHEET_MARGIN;
    double foot = bottom;
    double down = 0;
    size_t lines = put_notes(picture, texts, measurer, 0, false);

    tb_picture_layer(picture, TB_LAYER_TITLE);
    if (said(texts.title))
        down = put_head(picture, tb_vec2(left, HEAD), right - left - SCALE_ROOM,
                        (TbTextStyle){.size = TB_PT_HEAD, .ink = TB_INK_INK, .bold = true},
                        texts.title, MOST_TITLE, measurer);
    if (said(texts.subtitle))
        down += put_head(picture, tb_vec2(left, HEAD + down + TITLE_LINE), right - left,
                         (TbTextStyle){.size = TB_PT_SMALL, .ink = TB_INK_QUIET}, texts.subtitle,
                         MOST_SUBTITLE, measurer);
    if (said(texts.scale))
        tb_picture_text(
            picture, tb_vec2(right, HEAD),
            (TbTextStyle){
                .size = TB_PT_HEAD, .ink = TB_INK_INK, .anchor = TB_ANCHOR_RIGHT, .bold = true},
            texts.scale);
    tb_picture_layer(picture, TB_LAYER_NOTES);
    if (said(texts.caution)) {
        TbTextStyle style = {.size = TB_PT_SMALL, .ink = TB_INK_QUIET};
        size_t rows =
            put_wrapped(NULL, tb_vec2(0, 0), right - left, style, texts.caution, measurer);

        foot -= LINE * (double)(rows - 1);
        put_wrapped(picture, tb_vec2(left, foot), right - left, style, texts.caution, measurer);
        foot -= LINE + 0.8;
    }
    if (lines > 0) {
        foot -= LINE * (double)(lines - 1);
        put_notes(picture, texts, measurer, foot, true);
        foot -= LINE + 0.8;
    }
    return (TbRectangle){{left, HEAD + down + 10}, {right, foot}};
}

static double
largest(const double series[], size_t count, double wide, double tall, TbRectangle room)
{
    for (size_t i = 0; i < count; i++)
        if (wide * series[i] <= room.high.x - room.low.x &&
            tall * series[i] <= room.high.y - room.low.y)
            return series[i];
    return series[count - 1];
}

double
tb_sheet_standard_ratio(double wide, double tall, TbRectangle room)
{
    static const double series[] = {
        50, 20, 10, 5, 2, 1, 1 / 2.0, 1 / 5.0, 1 / 10.0, 1 / 20.0, 1 / 50.0, 1 / 100.0, 1 / 200.0};

    return largest(series, sizeof series / sizeof series[0], wide, tall, room);
}

double
tb_sheet_ratio(double wide, double tall, TbRectangle room)
{
    static const double series[] = {50,       20,       10,        5,        2,       1,
                                    1 / 2.0,  1 / 2.5,  1 / 3.0,   1 / 4.0,  1 / 5.0, 1 / 10.0,
                                    1 / 20.0, 1 / 50.0, 1 / 100.0, 1 / 200.0};

    return largest(series, sizeof series / sizeof series[0], wide, tall, room);
}

void
tb_sheet_ratio_text(double ratio, char text[24])
{
    double times = ratio >= 1 ? ratio : 1 / ratio;
    bool whole = ratio >= 1 || fabs(times - round(times)) < 0.01;
    char number[TB_TEXT_NUMBER];

    tb_text_shown(times, whole ? 0 : 1, number);
    snprintf(text, 24, ratio >= 1 ? "%.12s:1" : "1:%.12s", number);
}
