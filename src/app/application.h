/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file application.h
 * @brief The program: one instance, its windows, and what they share (scans, threads).
 */
#pragma once

#include "base/work.h"
#include "study/store.h"

#include <gtk/gtk.h>

#define TB_APPLICATION_ID "net.tightbay.Tightbay"

#define TB_TYPE_APPLICATION (tb_application_get_type())
G_DECLARE_FINAL_TYPE(TbApplication, tb_application, TB, APPLICATION, GtkApplication)

TbApplication *tb_application_new(void);

TbStore *tb_application_store(TbApplication *application);      /**< lent */
TbWork *tb_application_work(TbApplication *application);        /**< lent; may be NULL */
GSettings *tb_application_settings(TbApplication *application); /**< lent; from "startup" on */
