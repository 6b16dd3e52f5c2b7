/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file template_card.h
 * @brief One card gauge: its size, and its drawing at a place.
 */
#pragma once

#include "draw/templates.h"

/** A gauge laid out about its own top left corner, y down, mm. */
typedef struct TbCard {
    const TbTemplates *templates;
    const TbTemplate *shape;
    TbTemplateSide side;
    TbVec2 size;
    TbVec2 origin;    /**< where the section's own origin lies */
    TbVec2 low, high; /**< of what is drawn of the shape, u and v */
    double text_top;
} TbCard;

TbCard tb_card_of(const TbTemplates *templates,
                  const TbTemplate *shape,
                  TbTemplateSide side,
                  TbMeasurer measurer);

/** Draw it with its corner at a place. */
void tb_card_draw(const TbCard *card, TbPicture *picture, TbVec2 corner, TbMeasurer measurer);
