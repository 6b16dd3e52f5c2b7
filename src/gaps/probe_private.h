/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file probe_private.h
 * @brief Signed distance of points to one part, negative inside, as an interval; and what follows
 *        from it for everything near the point.
 */
#pragma once

#include "gaps/search_private.h"
#include "gaps/skin_private.h"

typedef struct TbProbe {
    TbSkin *skin; /**< of the same part */
    TbKept kept;
    TbBox3 box;     /**< holds the part */
    double deepest; /**< mm: no point of the part is deeper inside it */
    /* a sweep: is the point in it, and how far is it from it */
    TbField point, sweep;
    TbConvex body;
    TbSearch search;
    /* a sweep: cells still to be looked at */
    struct TbNear {
        double lower;
        uint32_t cell;
        bool fine;
    } * heap;
    size_t count, room;
} TbProbe;

/** What is known of a point. */
typedef struct TbSigned {
    double lower, upper; /**< mm; the signed distance lies between them */
    bool has_point;
    TbVec3 point; /**< of the surface, evaluated: near the nearest */
    TbSite site;
    uint32_t place; /**< of the site's triangle in its tree's mesh, or in that of the lids */
    bool on_lid;    /**< of a mesh: nearest is what would close it */
    bool has_normal;
    TbVec3 normal; /**< unit, outwards; any would be sound, this one is nearly the best */
} TbSigned;

/** @return TB_OK or TB_E_MEMORY; to be cleared in either case. */
TbStatus tb_probe__of(TbProbe *probe, TbSkin *skin, TbKept kept, TbBox3 box);
void tb_probe__clear(TbProbe *probe);

/** @param width how narrow the interval need be; inside a sweep it is searched for */
TbStatus tb_probe__at(TbProbe *probe, TbVec3 p, double width, TbSigned *out);

/**
 * The signed distance of every point of a cell is at least `lower`.
 *
 * @param slack how much of the bound may be given away, mm
 */
TbStatus
tb_probe__over(TbProbe *probe, const TbSigned *at, const TbCell *cell, double slack, double *lower);
