/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tool_facts.h
 * @brief What is asked beside a shape while it is drawn: name, class or role, mount, how it is
 *        known, of a line its diameter and its bends. Remembered for the next one.
 */
#pragma once

#include "app/session.h"

#include <gtk/gtk.h>

#define TB_TYPE_TOOL_FACTS (tb_tool_facts_get_type())
G_DECLARE_FINAL_TYPE(TbToolFacts, tb_tool_facts, TB, TOOL_FACTS, GtkBox)

GtkWidget *tb_tool_facts_new(TbSession *session);
