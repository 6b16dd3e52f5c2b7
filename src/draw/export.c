/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/export.h"

#include "base/mem.h"
#include "draw/paint.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <math.h>
#include <string.h>
#include <strings.h>

/** mm. A picture larger than this is a mistake, and cairo's PNG ends at 32767 dots. */
#define MOST_SIDE 3500.0

typedef struct Room {
    unsigned char *bytes;
    size_t used, room;
} Room;

static cairo_status_t
collect(void *user, const unsigned char *bytes, unsigned size)
{
    Room *room = user;

    while (room->used + size > room->room) {
        void *grown = room->bytes;

        if (tb_grow_array(&grown, &room->room, room->room, 1) != 0)
            return CAIRO_STATUS_WRITE_ERROR;
        room->bytes = grown;
    }
    memcpy(room->bytes + room->used, bytes, size);
    room->used += size;
    return CAIRO_STATUS_SUCCESS;
}

TbExportFormat
tb_export_format_of(const char *file_name)
{
    static const struct {
        const char *ending;
        TbExportFormat format;
    } known[] = {{".svg", TB_EXPORT_SVG}, {".pdf", TB_EXPORT_PDF}, {".png", TB_EXPORT_PNG}};
    size_t length = strlen(file_name);

    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++)
        if (length > 4 && strcasecmp(file_name + length - 4, known[i].ending) == 0)
            return known[i].format;
    return TB_EXPORT_UNKNOWN;
}

static cairo_surface_t *
surface_for(const TbPicture *picture, TbExportFormat format, Room *room, double *unit)
{
    double points = 72 / 25.4;

    *unit = points;
    if (format == TB_EXPORT_PDF)
        return cairo_pdf_surface_create_for_stream(collect, room, picture->width * points,
                                                   picture->height * points);
    if (format == TB_EXPORT_SVG) {
        cairo_surface_t *surface = cairo_svg_surface_create_for_stream(
            collect, room, picture->width * points, picture->height * points);

        cairo_svg_surface_set_document_unit(surface, CAIRO_SVG_UNIT_PT);
        return surface;
    }
    *unit = TB_EXPORT_DOTS;
    return cairo_image_surface_create(CAIRO_FORMAT_RGB24,
                                      (int)ceil(picture->width * TB_EXPORT_DOTS),
                                      (int)ceil(picture->height * TB_EXPORT_DOTS));
}

TbStatus
tb_export_bytes(const TbPicture *picture,
                TbExportFormat format,
                TbTheme theme,
                unsigned char **bytes,
                size_t *size,
                TbFault *fault)
{
    Room room = {0};
    cairo_surface_t *surface;
    cairo_t *cairo;
    cairo_status_t said;
    double unit;

    TB_ASSERT(format != TB_EXPORT_UNKNOWN);
    if (picture->status != TB_OK)
        return tb_fail(fault, picture->status, "no room for the drawing");
    if (!(picture->width > 0 && picture->width < MOST_SIDE && picture->height > 0 &&
          picture->height < MOST_SIDE))
        return tb_fail(fault, TB_E_LIMIT,
                       "a drawing of %.0f x %.0f mm, %.0f mm a side are the most", picture->width,
                       picture->height, MOST_SIDE);
    surface = surface_for(picture, format, &room, &unit);
    cairo = cairo_create(surface);
    /* the last row and column of dots lie only in part on the sheet */
    if (format == TB_EXPORT_PNG) {
        TbColour paper = tb_style_colour(theme, TB_INK_PAPER);

        cairo_set_source_rgb(cairo, paper.red, paper.green, paper.blue);
        cairo_paint(cairo);
    }
    cairo_scale(cairo, unit, unit);
    tb_paint_picture(cairo, picture, theme);
    said = cairo_status(cairo);
    cairo_destroy(cairo);
    if (said == CAIRO_STATUS_SUCCESS && format == TB_EXPORT_PNG)
        said = cairo_surface_write_to_png_stream(surface, collect, &room);
    cairo_surface_finish(surface);
    if (said == CAIRO_STATUS_SUCCESS)
        said = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    if (said != CAIRO_STATUS_SUCCESS) {
        tb_free(room.bytes);
        return tb_fail(fault, said == CAIRO_STATUS_NO_MEMORY ? TB_E_MEMORY : TB_E_IO,
                       "the drawing cannot be painted: %s", cairo_status_to_string(said));
    }
    *bytes = room.bytes;
    *size = room.used;
    return TB_OK;
}
