/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file number_entry.h
 * @brief How an entry looks that takes a number.
 */
#pragma once

#include <gtk/gtk.h>

/** Digits of one width, at the end of the entry; the sign before the number in every script. */
void tb_number_entry(GtkEntry *entry);
