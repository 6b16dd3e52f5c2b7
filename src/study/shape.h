/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file shape.h
 * @brief From the document to shapes: a blueprint says everything that an item's shape depends on.
 *
 * Degrees of the document become rad here, and nowhere above.
 */
#pragma once

#include "bay/ports.h"
#include "geom/solid.h"
#include "study/cache.h"
#include "study/store.h"

/** Clamp of a joint, counted with the item that ends there. */
typedef struct TbClamp {
    const TbJoint *joint; /**< reference */
    TbPortPlace place;    /**< of the joint's port a */
} TbClamp;

/** All that the shape of one item in one variant, as drawn, depends on. */
typedef struct TbBlueprint {
    const TbItem *item; /**< what stands there: reference */
    TbPlacedPath path;  /**< duct or line */
    /** From the item's axes to the bay's; of a turbo by TbHousingPart, the last its own. */
    TbPose pose[TB_HOUSING_COUNT + 1];
    TbScanAnswer scan; /**< a scan's file */
    TbClamp *clamps;
    size_t clamp_count;
    TbStatus status; /**< why it cannot be placed; TB_OK */
    TbFault fault;
} TbBlueprint;

/** Where scans come from, and who helps reading. */
typedef struct TbShapeSources {
    TbStore *store;
    const char *folder; /**< or NULL */
    TbWork *work;
    TbTask *task;
} TbShapeSources;

/**
 * @param variant or NULL
 * @param id an item that is there in the variant
 * @return never NULL; what cannot be placed says so in its status
 */
TbBlueprint *tb_blueprint_new(const TbBay *bay,
                              const char *variant,
                              const char *id,
                              const TbShapeSources *sources);
void tb_blueprint_free(TbBlueprint *blueprint);

/** Its words: two blueprints of the same words give the same form, bit for bit. */
TbKey *tb_blueprint_key(const TbBlueprint *blueprint);

/**
 * The shape, as drawn.
 *
 * @param print one whose status is TB_OK
 * @param[out] solid a reference for the caller, or NULL; to be let go on failure too
 * @return TB_OK, or why there is none
 */
TbStatus tb_blueprint_build(const TbBlueprint *print, TbSolid **solid, TbFault *fault);
