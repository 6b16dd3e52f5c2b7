/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Records turned into their mirror images at Y = 0, by what the tables say of each attribute. */

#include "bay/fields.h"

static void
swap_numbers(double *a, double *b)
{
    double kept = *a;

    *a = *b;
    *b = kept;
}

/** Minus, without making -0 of 0: that would be written. */
static double
minus(double x)
{
    return x == 0 ? x : -x;
}

static void
mirror_angle(const TbField *field, void *at)
{
    if (field->kind == TB_FIELD_SPREAD) {
        TbSpread *spread = at;

        *spread = (TbSpread){minus(spread->high), minus(spread->low)};
    } else {
        *(double *)at = minus(*(double *)at);
    }
}

static void
mirror_field(const TbField *field, void *owner)
{
    void *at = tb_field_at(field, owner);
    TbNumbers *numbers = at;

    switch (field->mirror) {
    case TB_MIRROR_KEEP:
        break;
    case TB_MIRROR_Y:
        ((TbVec3 *)at)->y = minus(((TbVec3 *)at)->y);
        break;
    case TB_MIRROR_FIRST:
        ((TbVec2 *)at)->x = minus(((TbVec2 *)at)->x);
        break;
    case TB_MIRROR_ANGLE:
        mirror_angle(field, at);
        break;
    case TB_MIRROR_SIDES: /* right, left, up, down */
        if (numbers->count == 4)
            swap_numbers(&numbers->v[0], &numbers->v[1]);
        break;
    case TB_MIRROR_CORNERS: /* right-up, left-up, left-down, right-down */
        if (numbers->count == 4) {
            swap_numbers(&numbers->v[0], &numbers->v[1]);
            swap_numbers(&numbers->v[2], &numbers->v[3]);
        }
        break;
    }
}

/** Low and high corner of a box: the two y values change sign and places. */
static void
mirror_corners(TbVec3 *low, TbVec3 *high)
{
    double y = low->y;

    low->y = minus(high->y);
    high->y = minus(y);
}

/**
 * An outline's depth goes along u x v, which a mirror turns round: u and v change places with their
 * coordinates, and the depth points right again.
 */
static void
mirror_outline(TbOutlineItem *outline)
{
    TbVec3 u = outline->u;

    outline->u = outline->v;
    outline->v = u;
    for (size_t i = 0; i < outline->corner_count; i++)
        outline->corners[i].at = (TbVec2){outline->corners[i].at.y, outline->corners[i].at.x};
}

void
tb_element_mirror(const TbElement *element, void *owner)
{
    const TbField *field;

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++)
        mirror_field(field, owner);
    for (size_t c = 0; c < element->child_count; c++) {
        const TbNest *nest = &element->children[c];
        size_t count;
        char *array = tb_nest_array(nest, owner, &count);

        for (size_t k = 0; k < count; k++)
            tb_element_mirror(nest->element, array + k * nest->element->size);
    }
    if (element == &tb_element_block)
        mirror_corners(&((TbBlockItem *)owner)->low, &((TbBlockItem *)owner)->high);
    else if (element == &tb_element_outline)
        mirror_outline(owner);
    else if (element == &tb_element_box)
        mirror_corners(&((TbBox *)owner)->low, &((TbBox *)owner)->high);
}
