/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file templates.h
 * @brief Sections and flanges to be printed at 1:1 and cut out as card gauges, as plain data.
 *
 * Shapes are as drawn, cold: what a maker holds a gauge to. Axes: u to the right, v up, looking
 * downstream; of a section W and H of its path's frame, of a port up and flow x up.
 */
#pragma once

#include "geom/polygon.h"
#include "study/study.h"

typedef enum TbTemplateRole {
    TB_TEMPLATE_OUTER, /**< outside of a wall, or rim of a flange's face */
    TB_TEMPLATE_INNER, /**< gas side, opening of a port */
    TB_TEMPLATE_HOLE,  /**< of a bolt: a circle */
} TbTemplateRole;

typedef struct TbTemplateLoop {
    TbTemplateRole role;
    TbLoopSpan span; /**< in the template's points */
} TbTemplateLoop;

/** One gauge. */
typedef struct TbTemplate {
    char *name;   /**< "Station 283 mm, flattest" */
    char *brief;  /**< "283": what stands on a piece that is cut out */
    char **lines; /**< sizes, one a line */
    size_t line_count;
    TbVec2 *points; /**< mm, within 0.01 mm of the true outline */
    size_t point_count;
    TbTemplateLoop *loops;
    size_t loop_count;
    TbVec2 *centres; /**< of holes, also of such as have no size */
    size_t centre_count;
} TbTemplate;

typedef struct TbTemplates {
    char *title;    /**< "Turbine outlet, section templates" */
    char *subject;  /**< "Turbine outlet, revision C": stands on each gauge */
    char *subtitle; /**< bay, revision, state, variant */
    char *caution;
    char *axis_u, *axis_v; /**< "W", "H" */
    TbTemplate *list;
    size_t count;
} TbTemplates;

void tb_templates_free(TbTemplates *templates); /**< NULL is fine */

/** So many sections at most, and so many evenly spread ones where nothing is asked. */
#define TB_TEMPLATES_LEAST 2
#define TB_TEMPLATES_MOST 200
#define TB_TEMPLATES_USUAL 8

/**
 * Sections of a duct or line across its path, cold, in one variant.
 *
 * @param stations  mm, in any order; NULL: evenly spread, both ends included
 * @param count     1 to TB_TEMPLATES_MOST (TB_TEMPLATES_LEAST or more where evenly spread)
 * @param[out] templates in the order of the stations given
 * @return TB_OK; TB_E_REFERENCE (no such item, no path); TB_E_RANGE (a station beside the path, a
 *         count); what an impossible shape says
 */
TbStatus tb_study_section_templates(TbStudy *study,
                                    const TbAsk *ask,
                                    const char *item,
                                    const double stations[],
                                    size_t count,
                                    TbTask *task,
                                    TbTemplates **templates,
                                    TbFault *fault);

/**
 * The flange of a port: rim of its face where its diameter is known, openings, holes of its bolts.
 *
 * @return TB_OK; TB_E_REFERENCE: no such port, or nothing of it to be drawn
 */
TbStatus tb_study_port_template(TbStudy *study,
                                const TbAsk *ask,
                                const char *port,
                                TbTask *task,
                                TbTemplates **templates,
                                TbFault *fault);
