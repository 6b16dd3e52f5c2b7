/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "batch/output.h"

#include "base/mem.h"
#include "draw/paint.h"

#include <glib/gi18n.h>
#include <string.h>

/** Standard output is SVG. */
static TbExportFormat
format_of(const char *path)
{
    return strcmp(path, "-") == 0 ? TB_EXPORT_SVG : tb_export_format_of(path);
}

bool
tb_output_check(const char *command, const char *path, double dpi)
{
    TbExportFormat format = format_of(path);

    if (format == TB_EXPORT_UNKNOWN)
        tb_job_complain(_("tightbay-batch %s: %s ends in none of .svg, .pdf, .png"), command, path);
    else if (dpi == TB_OUTPUT_NO_DPI)
        return true;
    else if (format != TB_EXPORT_PNG)
        tb_job_complain(_("tightbay-batch %s: --dpi is of a .png, and %s is none"), command, path);
    else if (!(dpi >= TB_EXPORT_DPI_LEAST && dpi <= TB_EXPORT_DPI_MOST))
        tb_job_complain(_("tightbay-batch %s: --dpi %g, %.0f to %.0f can be asked"), command, dpi,
                        TB_EXPORT_DPI_LEAST, TB_EXPORT_DPI_MOST);
    else
        return true;
    return false;
}

static bool
write_picture(const TbPicture *picture, const char *path, double dpi)
{
    unsigned char *bytes = NULL;
    size_t size = 0;
    TbFault fault = {0};
    TbStatus status;
    bool done;

    if (dpi == TB_OUTPUT_NO_DPI)
        status = tb_export_bytes(picture, format_of(path), TB_THEME_PRINT, &bytes, &size, &fault);
    else
        status = tb_export_png(picture, TB_THEME_PRINT, dpi, &bytes, &size, &fault);
    if (status != TB_OK) {
        tb_job_say(path, &fault);
        return false;
    }
    done = tb_job_write(path, bytes, size);
    tb_free(bytes);
    return done;
}

bool
tb_output_drawing(const TbJob *job, TbDrawing draw, const void *data, const char *path, double dpi)
{
    TbPaintMeasurer *measurer = tb_paint_measurer_new();
    TbPicture picture = {.width = 0};
    TbFault fault = {0};
    bool done = false;

    if (draw(&picture, data, tb_paint_measurer(measurer), &fault) != TB_OK)
        tb_job_say(job->file, &fault);
    else
        done = write_picture(&picture, path, dpi);
    tb_picture_clear(&picture);
    tb_paint_measurer_free(measurer);
    return done;
}
