/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file inside_private.h
 * @brief Is one part wholly inside a closed mesh? Asked once two surfaces are known not to meet.
 */
#pragma once

#include "gaps/field_private.h"

/** Every sweep and plain shape has an inside; a mesh when it is closed. */
bool tb_inside__has(const TbPart *part);

/** A point inside a closed mesh, either way round; for points that are not on it. */
bool tb_inside__mesh(const TbTree *tree, TbVec3 p);

/** A point inside any of the closed meshes of a field's solid that are left in. */
bool tb_inside__any_mesh(const TbField *field, TbVec3 p);

/**
 * A pair of parts, one of which has a point inside the other that is a closed mesh. A sweep or a
 * plain shape that holds a mesh is filled, so the gap search has seen it already.
 *
 * @param[out] found such a pair exists
 * @param[out] point the point inside
 * @return TB_OK, TB_E_MEMORY
 */
TbStatus tb_inside__find(const TbField *a,
                         const TbField *b,
                         bool *found,
                         uint32_t *part_a,
                         uint32_t *part_b,
                         TbVec3 *point);
