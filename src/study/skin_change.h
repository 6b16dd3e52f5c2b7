/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file skin_change.h
 * @brief How far a path's outer skin moved between two documents, square to the older skin.
 *
 * Points of the new skin are held against the old one: outwards counts above 0, inwards below.
 * Both skins are meshes within TB_SKIN_CHORD of the true ones, so a deviation is off by up to twice
 * that. Ends are part of the skin: a path that became longer shows at its end.
 */
#pragma once

#include "geom/mesh.h"
#include "study/results.h"

/** mm. How far the meshes of the skins may stray. */
#define TB_SKIN_CHORD 0.05

/** By the stations of the new path's table; arrays of `count`. */
typedef struct TbSkinChange {
    size_t count;
    double *station;                /**< mm */
    double *out;                    /**< mm, the largest outwards, 0 where all went inwards */
    double *in;                     /**< mm, the largest inwards, 0 or less */
    double most_out, most_in;       /**< mm */
    double station_out, station_in; /**< mm, where */
    double mean;                    /**< mm, of the sizes of all points */
} TbSkinChange;

/**
 * @param before,after outer skins of one item, closed and turned outwards
 * @param path         of the new one, with rows
 * @param[out] change  freed with tb_skin_change_free()
 * @return TB_OK, TB_E_MEMORY, TB_E_CANCELLED
 */
TbStatus tb_skin_change(TbMesh *before,
                        const TbMesh *after,
                        const TbResultDuct *path,
                        TbTask *task,
                        TbSkinChange **change,
                        TbFault *fault);
void tb_skin_change_free(TbSkinChange *change); /**< NULL is fine */
