/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file shape.h
 * @brief From the document to shapes: a blueprint says everything that an item's shape depends on,
 *        a form is the shape made from it.
 *
 * Degrees of the document become rad here, and nowhere above.
 */
#pragma once

#include "bay/ports.h"
#include "geom/lids.h"
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

/** The shape of one item. */
typedef struct TbForm {
    TbSolid *solid;     /**< NULL where it could not be built */
    TbSweep *sweep;     /**< of a duct or line, else NULL */
    TbFault fault;      /**< why there is no solid */
    bool is_scan;       /**< then the next holds */
    TbScanState scan;   /**< how its file was found */
    TbFault scan_fault; /**< what is to be said about it */
    TbMeshFacts mesh;   /**< of a scan that could be read */
    TbMeshBody body;    /**< of a scan that could be read */
    bool room;          /**< it is closed and its normals point in */
    char digest[65];    /**< of the shape's numbers, the same on every run; "" without one */
    TbPose grown;       /**< from as drawn to here; of a path that keeps its joints only about, but
                             for the scale */
} TbForm;

/** What an entry of the cache holds that is a form's and settled (asserted). */
static inline const TbForm *
tb_form_of(const TbEntry *entry)
{
    TB_ASSERT(entry->value != NULL);
    return entry->value;
}

/** Makes forms from blueprints, as drawn. */
extern const TbSort tb_sort_form;

struct TbWarming;

/** An item as drawn, and how it grows. */
typedef struct TbGrowInput {
    TbSolid *solid; /**< reference; NULL stays NULL */
    TbForm drawn;   /**< everything but solid and sweep is copied from it */
    TbPose pose;
    bool drifts;     /**< its path is drawn out between its ends */
    TbVec3 shift[2]; /**< of the start and the end, mm */
    TbPose moved;    /**< after it has grown: where its mount takes it */
} TbGrowInput;

TbGrowInput *tb_grow_input_new(const TbForm *drawn, const struct TbWarming *warming, TbPose moved);

/** Makes forms from grow inputs. */
extern const TbSort tb_sort_grown;

/** The path's sweep in a solid, lent; NULL where it has none. */
TbSweep *tb_solid_sweep(const TbSolid *solid);
