/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file form.h
 * @brief The shape of one item as the study's cache keeps it: as drawn, or grown and moved.
 */
#pragma once

#include "geom/lids.h"
#include "geom/solid.h"
#include "study/cache.h"
#include "study/store.h"

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

/** Copies @p facts but for solid and sweep; the solid is taken, and may be NULL. */
TbForm *tb_form_new(const TbForm *facts, TbSolid *solid);
void tb_form_free(gpointer form);

/** Makes forms from blueprints (shape.h), as drawn. */
extern const TbSort tb_sort_form;
