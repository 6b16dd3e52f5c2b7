/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/fault.h"

#include "base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static TbStatus
fill(TbFault *fault, TbStatus status, int line, const char *format, va_list args)
{
    char text[TB_FAULT_TEXT];

    TB_ASSERT(status != TB_OK);
    if (fault != NULL) {
        /* apart first: the arguments may hold the fault's own text, to put a place before it */
        tb_text_format_list(text, sizeof text, format, args);
        strcpy(fault->text, text);
        fault->status = status;
        fault->line = line;
    }
    return status;
}

TbStatus
tb_fail(TbFault *fault, TbStatus status, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    fill(fault, status, 0, format, args);
    va_end(args);
    return status;
}

TbStatus
tb_fail_at(TbFault *fault, TbStatus status, int line, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    fill(fault, status, line, format, args);
    va_end(args);
    return status;
}

const char *
tb_status_name(TbStatus status)
{
    switch (status) {
    case TB_OK:
        return "ok";
    case TB_E_RANGE:
        return "range";
    case TB_E_DEGENERATE:
        return "degenerate";
    case TB_E_FORMAT:
        return "format";
    case TB_E_LIMIT:
        return "limit";
    case TB_E_REFERENCE:
        return "reference";
    case TB_E_MEMORY:
        return "memory";
    case TB_E_IO:
        return "io";
    case TB_E_CANCELLED:
        return "cancelled";
    case TB_E_NUMERIC:
        return "numeric";
    }
    return "unknown";
}

void
tb_assert_failed(const char *what, const char *file, int line)
{
    fprintf(stderr, "tightbay: %s:%d: this must hold: %s\n", file, line, what);
    abort();
}
