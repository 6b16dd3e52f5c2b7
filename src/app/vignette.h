/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file vignette.h
 * @brief The small pictures of the welcome page's guide, in the inks of the drawings.
 */
#pragma once

#include <gtk/gtk.h>

/** What a picture shows; the property "subject" of a TbVignette. */
typedef enum TbVignetteSubject {
    TB_VIGNETTE_BAY,      /**< what stands in the bay */
    TB_VIGNETTE_PATH,     /**< a duct laid past it */
    TB_VIGNETTE_ACROSS,   /**< its section at a station */
    TB_VIGNETTE_CURVES,   /**< area and gap along it */
    TB_VIGNETTE_FINDINGS, /**< what is short */
    TB_VIGNETTE_COUNT
} TbVignetteSubject;

#define TB_TYPE_VIGNETTE (tb_vignette_get_type())
G_DECLARE_FINAL_TYPE(TbVignette, tb_vignette, TB, VIGNETTE, GtkWidget)
