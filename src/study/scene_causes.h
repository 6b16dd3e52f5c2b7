/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scene_causes.h
 * @brief How one gap comes about, as plain data to be drawn: what the two have cold, what warmth,
 *        the rock and tolerances take of it one on top of the other, what is left; and where
 *        tolerances count, their own drawing (scene_scatter.h).
 */
#pragma once

#include "study/scene.h"
#include "study/scene_scatter.h"

/** One effect, as a bar from the gap without it to the gap with it. */
typedef struct TbSceneCause {
    char *name;      /**< "warmth" */
    char *change;    /**< "-2.8 mm" */
    char *alone;     /**< "alone -3.1 mm", or "" where it is the only one */
    double from, to; /**< mm; NAN where it could not be judged */
} TbSceneCause;

typedef struct TbSceneCauses {
    char *title;    /**< "Gap from Turbine outlet to Brake line" */
    char *subtitle; /**< state and variant */
    TbLengthUnit unit;
    TbLevel level;
    double cold, gap, keep; /**< mm, lower ends; keep NAN: none */
    char *cold_text, *gap_text, *keep_text;
    TbSceneCause *causes;
    size_t cause_count; /**< 0: nothing but the state itself, or the table was not asked for */
    char **lines;       /**< what it comes to, in sentences */
    size_t line_count;
    const char *taken; /**< the line that says what each effect takes; lent; NULL: none does */
    TbSceneScatter *scatter; /**< or NULL */
} TbSceneCauses;

/**
 * @param gap of the results; both must live as long as the scene
 * @return never NULL
 */
TbSceneCauses *
tb_scene_causes_new(const TbResults *results, const TbResultGap *gap, TbLengthUnit unit);
void tb_scene_causes_free(TbSceneCauses *scene); /**< NULL is fine */

/** There is something to be drawn: effects, or tolerances. */
bool tb_scene_causes_tell(const TbResults *results, const TbResultGap *gap);

/** All that the drawing shows in words, a line each: who cannot see it hears this. To be freed with
 * g_free(). */
char *tb_scene_causes_words(const TbSceneCauses *scene);

/** The same as a table: what is cold, each effect, the gap, each tolerance; freed with
 * tb_scene_table_free(). */
TbSceneTable *tb_scene_causes_table(const TbSceneCauses *scene);
