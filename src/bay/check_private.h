/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file check_private.h
 * @brief Where a check is, and how it says what is wrong. For check.c and rules.c only.
 */
#pragma once

#include "bay/build.h"

/* Room for "ring 1 of end of duct "..."". */
enum { WHAT = 160 };

/** Where a check is: the record, the innermost element and its name for faults. */
typedef struct Place {
    const TbBay *bay;
    const TbRecord *record;
    const void *owner;
    int line;
    char what[WHAT];
} Place;

/** A fault at a place; the format begins with what is there: "%s: ...", place->what. */
#define FAIL(place, status, ...) tb_fail_at(fault, status, (place)->line, "%s: " __VA_ARGS__)

/** rules.c: the rules that tie the attributes of one record together. */
TbStatus tb_check__rule(const Place *place, const TbRecord *record, TbFault *fault);
