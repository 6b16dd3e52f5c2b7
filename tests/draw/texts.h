/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file texts.h
 * @brief The texts of a picture by the plain measurer: what it says, where, and that none overlap.
 */
#pragma once

#include "draw/labels.h"
#include "draw/picture.h"

#include <check.h>
#include <math.h>
#include <string.h>

/** Rectangle of a text mark. */
static inline TbRectangle
text_box(const TbPicture *picture, const TbMark *mark)
{
    TbMeasurer m = tb_measurer_plain();
    double width = m.width(m.user, tb_picture_string(picture, mark->text), mark->size, mark->bold);
    double height = mark->size * TB_MM_PER_PT;
    double x = mark->anchor == TB_ANCHOR_LEFT    ? mark->at.x
               : mark->anchor == TB_ANCHOR_RIGHT ? mark->at.x - width
                                                 : mark->at.x - width / 2;

    /* turned by 90 deg about the middle: what runs along the sheet's edge */
    if (fabs(mark->turn) == 90 && mark->anchor == TB_ANCHOR_MIDDLE)
        return (TbRectangle){{mark->at.x - height / 2, mark->at.y - width / 2},
                             {mark->at.x + height / 2, mark->at.y + width / 2}};
    return (TbRectangle){{x, mark->at.y - height / 2}, {x + width, mark->at.y + height / 2}};
}

/** @param margin mm from the picture's edges that stay free: at the sides, above and below */
static inline void
assert_texts_are_apart(const TbPicture *picture, TbVec2 margin)
{
    for (size_t i = 0; i < picture->mark_count; i++) {
        TbRectangle a;

        if (picture->marks[i].kind != TB_MARK_TEXT)
            continue;
        a = text_box(picture, &picture->marks[i]);
        ck_assert_double_ge(a.low.x, margin.x);
        ck_assert_double_le(a.high.x, picture->width - margin.x);
        ck_assert_double_ge(a.low.y, margin.y);
        ck_assert_double_le(a.high.y, picture->height - margin.y);
        for (size_t k = i + 1; k < picture->mark_count; k++) {
            TbRectangle b;

            if (picture->marks[k].kind != TB_MARK_TEXT)
                continue;
            b = text_box(picture, &picture->marks[k]);
            ck_assert_msg(a.high.x <= b.low.x || b.high.x <= a.low.x || a.high.y <= b.low.y ||
                              b.high.y <= a.low.y,
                          "\"%s\" lies on \"%s\"",
                          tb_picture_string(picture, picture->marks[i].text),
                          tb_picture_string(picture, picture->marks[k].text));
        }
    }
}

/** One of the texts is this one. */
static inline bool
picture_says(const TbPicture *picture, const char *text)
{
    for (size_t i = 0; i < picture->mark_count; i++)
        if (picture->marks[i].kind == TB_MARK_TEXT &&
            strcmp(tb_picture_string(picture, picture->marks[i].text), text) == 0)
            return true;
    return false;
}
