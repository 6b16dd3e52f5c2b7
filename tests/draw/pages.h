/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file pages.h
 * @brief What must hold of every page with texts and tables: nothing lies on anything else, and
 *        nothing beyond its room.
 */
#pragma once

#include "draw/labels.h"
#include "draw/picture.h"

#include <check.h>
#include <string.h>

/** mm by which boxes may touch: rounding of a sum of widths. */
#define PAGES_TOUCH 1e-6

static inline TbRectangle
pages_box(const TbPicture *picture, const TbMark *mark, TbMeasurer measurer)
{
    double width = 0;
    TbRectangle box;

    if (mark->kind == TB_MARK_TEXT)
        width = measurer.width(measurer.user, tb_picture_string(picture, mark->text), mark->size,
                               mark->bold);
    tb_picture_mark_box(picture, mark, width, &box.low, &box.high);
    if (mark->kind == TB_MARK_TEXT && mark->turn == 0) {
        /* letters fill three quarters of their size about their middle */
        double half = mark->size * TB_MM_PER_PT * 0.375;
        double left = mark->anchor == TB_ANCHOR_LEFT    ? 0
                      : mark->anchor == TB_ANCHOR_RIGHT ? -width
                                                        : -width / 2;

        box.low = tb_vec2(mark->at.x + left, mark->at.y - half);
        box.high = tb_vec2(box.low.x + width, mark->at.y + half);
    }
    return box;
}

static inline bool
pages_apart(TbRectangle a, TbRectangle b)
{
    return a.high.x <= b.low.x + PAGES_TOUCH || b.high.x <= a.low.x + PAGES_TOUCH ||
           a.high.y <= b.low.y + PAGES_TOUCH || b.high.y <= a.low.y + PAGES_TOUCH;
}

/** True for the rules of tables and the lines of frames and title blocks. */
static inline bool
pages_is_rule(const TbPicture *picture, const TbMark *mark)
{
    return mark->kind == TB_MARK_LINE && mark->loops == 1 &&
           picture->loops[mark->first_loop].count == 2 &&
           (mark->pen == TB_PEN_GRID || mark->pen == TB_PEN_FRAME || mark->pen == TB_PEN_BORDER);
}

/** True between the two ends of a clip: a drawing with its own rules. */
static inline void
pages_mark_drawing(const TbMark *mark, bool *inside)
{
    if (mark->kind == TB_MARK_CLIP)
        *inside = mark->loops > 0;
}

/** Every text lies in the room, on no other text and, outside of drawings, on no rule or level. */
static inline void
pages_assert_apart(const TbPicture *picture, TbRectangle room, TbMeasurer measurer)
{
    bool drawing = false;

    for (size_t i = 0; i < picture->mark_count; i++) {
        const TbMark *mark = &picture->marks[i];
        TbRectangle a = pages_box(picture, mark, measurer);
        bool other_drawing = false;

        pages_mark_drawing(mark, &drawing);
        if (mark->kind != TB_MARK_TEXT)
            continue;
        ck_assert_msg(
            a.low.x >= room.low.x - PAGES_TOUCH && a.high.x <= room.high.x + PAGES_TOUCH &&
                a.low.y >= room.low.y - PAGES_TOUCH && a.high.y <= room.high.y + PAGES_TOUCH,
            "\"%s\" lies beyond its room: %.2f %.2f to %.2f %.2f",
            tb_picture_string(picture, mark->text), a.low.x, a.low.y, a.high.x, a.high.y);
        for (size_t k = 0; k < picture->mark_count; k++) {
            const TbMark *other = &picture->marks[k];

            pages_mark_drawing(other, &other_drawing);
            if (k == i || (k < i && other->kind == TB_MARK_TEXT) ||
                (other->kind != TB_MARK_TEXT && (drawing || other_drawing)))
                continue;
            if (other->kind != TB_MARK_TEXT && other->kind != TB_MARK_DOT &&
                !pages_is_rule(picture, other))
                continue;
            ck_assert_msg(pages_apart(a, pages_box(picture, other, measurer)), "\"%s\" lies on %s",
                          tb_picture_string(picture, mark->text),
                          other->kind == TB_MARK_TEXT ? tb_picture_string(picture, other->text)
                                                      : "a line or a mark");
        }
    }
}

/** How many texts of a page are just these words. */
static inline size_t
pages_count(const TbPicture *picture, const char *text)
{
    size_t count = 0;

    for (size_t i = 0; i < picture->mark_count; i++)
        count += picture->marks[i].kind == TB_MARK_TEXT &&
                 strcmp(tb_picture_string(picture, picture->marks[i].text), text) == 0;
    return count;
}

/** How many texts of a page hold these words. */
static inline size_t
pages_mentions(const TbPicture *picture, const char *text)
{
    size_t count = 0;

    for (size_t i = 0; i < picture->mark_count; i++)
        count += picture->marks[i].kind == TB_MARK_TEXT &&
                 strstr(tb_picture_string(picture, picture->marks[i].text), text) != NULL;
    return count;
}
