/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file rim_private.h
 * @brief The rim of a mesh as a sum of edges: found, drawn together over cracks, cut into ways.
 */
#pragma once

#include "geom/mesh.h"

/** A directed edge that counts `times` times, at least once. */
typedef struct TbRimEdge {
    uint32_t from, to; /**< vertices of the rim */
    int32_t times;
} TbRimEdge;

typedef struct TbRim {
    TbRimEdge *edge;
    size_t edges, room;
    TbVec3 *own;  /**< the rim's vertices */
    size_t count; /**< of vertices */
    /* after tb_rim__draw_together(): */
    uint32_t *to;  /**< for each vertex, the place it is drawn to */
    TbVec3 *drawn; /**< places */
    size_t places;
    bool even; /**< every edge of the mesh is used an even number of times */
    bool many; /**< more than `most` edges; the list is not complete */
} TbRim;

/** @return TB_OK or TB_E_MEMORY; to be cleared in either case. */
TbStatus tb_rim__of_mesh(TbRim *rim, const TbMesh *mesh, size_t most);

/** Each vertex goes to the nearest earlier one that stays and is nearer than @p within, mm, else it
 * stays. */
TbStatus tb_rim__draw_together(TbRim *rim, double within);

/**
 * What is left of the drawn rim after cancelling, as simple closed ways: each vertex once a way. At
 * a vertex the way turns back as sharply as it can, so that a crack whose sides are divided
 * differently falls into slim ways and not into two long ones.
 *
 * @param take gets each way in its sense; a status other than TB_OK ends it
 */
TbStatus tb_rim__ways(const TbRim *rim,
                      TbStatus (*take)(void *user, const TbVec3 way[], size_t count),
                      void *user);

void tb_rim__clear(TbRim *rim);
