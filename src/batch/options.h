/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file options.h
 * @brief Options that several commands have, each worded once, and what is wrong with them.
 *
 * An entry takes the address of its value. Functions say what is wrong themselves, with the
 * command's name, and are false then.
 */
#pragma once

#include "draw/pack.h"

#include <glib/gi18n.h>
#include <stdbool.h>

#define TB_OPTION_ITEM(to)                                                                         \
    {                                                                                              \
        "item", 0, 0, G_OPTION_ARG_STRING, to, N_("The duct or line"), "ID"                        \
    }

#define TB_OPTION_DRAWING(to)                                                                      \
    {                                                                                              \
        "output", 'o', 0, G_OPTION_ARG_FILENAME, to, N_("Where the drawing goes"),                 \
            "OUT.svg|.pdf|.png"                                                                    \
    }

#define TB_OPTION_DPI(to)                                                                          \
    {                                                                                              \
        "dpi", 0, 0, G_OPTION_ARG_DOUBLE, to, N_("Dots an inch of a .png (default: 200)"), "N"     \
    }

/** Of commands that show one state and variant. */
#define TB_OPTION_STATE(to)                                                                        \
    {                                                                                              \
        "state", 0, 0, G_OPTION_ARG_STRING, to, N_("In this state (default: cold)"), "S"           \
    }
#define TB_OPTION_VARIANT(to)                                                                      \
    {                                                                                              \
        "variant", 0, 0, G_OPTION_ARG_STRING, to, N_("Of this variant (default: the first)"), "V"  \
    }

/** Of commands that judge all of them. */
#define TB_OPTION_STATE_ONLY(to)                                                                   \
    {                                                                                              \
        "state", 0, 0, G_OPTION_ARG_STRING, to, N_("Judge this state only"), "S"                   \
    }
#define TB_OPTION_VARIANT_ONLY(to)                                                                 \
    {                                                                                              \
        "variant", 0, 0, G_OPTION_ARG_STRING, to, N_("Judge this variant only"), "V"               \
    }

/** @param to gint64 */
#define TB_OPTION_SEED(to)                                                                         \
    {                                                                                              \
        "seed", 0, 0, G_OPTION_ARG_INT64, to,                                                      \
            N_("Which samples: the same seed gives the same ones; without this 1"), "S"            \
    }

/** Seeds at most: whole numbers that a double, and so a report, holds exactly. */
#define TB_OPTION_SEED_MOST ((gint64)1 << 53)

/** Whether both an option named @p name and an output are given. */
bool tb_options_have(const char *command, const char *name, const char *value, const char *output);

bool
tb_options_is_count(const char *command, const char *name, gint64 value, gint64 least, gint64 most);

/** @param text as it was given, or NULL: @p otherwise */
bool tb_options_paper(const char *command, const char *text, TbPaper otherwise, TbPaper *paper);
