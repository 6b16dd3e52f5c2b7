/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * What a field's node stands for.
 */

#include "gaps/field_private.h"

const TbPart *
tb_field__part(const TbField *field, uint32_t node)
{
    return field->solid == NULL ? NULL : tb_solid_part(field->solid, field->node[node].part);
}

TbConvex
tb_field__body(const TbField *field, uint32_t index)
{
    const TbNode *node = &field->node[index];
    TbVec3 corner[3];

    switch (node->kind) {
    case TB_NODE_STRIP:
        return tb_strip_convex(&field->strip[node->index]->strip, true);
    case TB_NODE_TUBE:
        return tb_tube__convex(&field->tube[node->index]);
    case TB_NODE_PIECE:
        return field->body != NULL ? *field->body
                                   : tb_field__part(field, index)->pieces[node->index];
    case TB_NODE_TRIANGLE:
        tb_mesh_corners(tb_tree_mesh(tb_field__part(field, index)->tree), node->index, corner);
        return tb_convex_of_triangle(corner);
    case TB_NODE_GROUP:
    case TB_NODE_BOXES:
        break;
    }
    return tb_convex_of_box(node->box);
}

double
tb_field__leaf_reach(const TbField *field, uint32_t index, TbVec3 d)
{
    const TbNode *node = &field->node[index];
    TbConvex body;
    TbSupport support;

    if (node->kind == TB_NODE_STRIP)
        return tb_strip_furthest(tb_field__strip(field, index), d);
    if (node->kind == TB_NODE_TUBE)
        return tb_tube__reach(&field->tube[node->index], d);
    body = tb_field__body(field, index);
    support = tb_convex_support(&body, d);
    return support.reach + support.beyond;
}

TbVec3
tb_field__some_point(const TbField *field, uint32_t index, TbSite *site)
{
    const TbNode *node = &field->node[index];
    const TbTree *tree;
    uint32_t triangle;
    TbVec3 corner[3];

    *site = (TbSite){.triangle = UINT32_MAX};
    while (node->kind == TB_NODE_GROUP)
        node = &field->node[node->first];
    site->part = node->part;
    if (node->kind == TB_NODE_STRIP) {
        const TbDisc *disc = &field->strip[node->index]->strip.disc0;
        TbVec3 p = tb_disc_point(disc, 0, true, NULL);

        site->on_sweep = true;
        site->station = disc->station;
        site->angle = tb_disc_angle(disc, p);
        return p;
    }
    TB_ASSERT(node->kind != TB_NODE_TUBE); /* asked where there are none */
    if (node->kind == TB_NODE_PIECE) {
        TbConvex body = tb_field__body(field, (uint32_t)(node - field->node));

        return tb_convex_support(&body, tb_vec3(1, 0, 0)).point;
    }
    tree = tb_solid_part(field->solid, node->part)->tree;
    triangle = node->kind == TB_NODE_TRIANGLE ? node->index : 0;
    site->triangle = tb_tree_numbers(tree)[triangle];
    tb_mesh_corners(tb_tree_mesh(tree), triangle, corner);
    return corner[0];
}
