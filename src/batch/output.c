/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/output.h"

#include "base/mem.h"
#include "batch/job.h"

#include <glib/gi18n.h>
#include <string.h>

TbExportFormat
tb_output_format(const char *command, const char *path)
{
    TbExportFormat format = strcmp(path, "-") == 0 ? TB_EXPORT_SVG : tb_export_format_of(path);

    if (format == TB_EXPORT_UNKNOWN)
        tb_job_complain(_("tightbay-batch %s: %s ends in none of .svg, .pdf, .png"), command, path);
    return format;
}

bool
tb_output_picture(const TbPicture *picture, const char *path)
{
    TbExportFormat format = strcmp(path, "-") == 0 ? TB_EXPORT_SVG : tb_export_format_of(path);
    unsigned char *bytes = NULL;
    size_t size = 0;
    TbFault fault = {0};
    bool done;

    if (tb_export_bytes(picture, format, TB_THEME_PRINT, &bytes, &size, &fault) != TB_OK) {
        tb_job_say(path, &fault);
        return false;
    }
    done = tb_job_write(path, bytes, size);
    tb_free(bytes);
    return done;
}
