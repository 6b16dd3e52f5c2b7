/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/export.h"

#include "base/mem.h"
#include "draw/paint.h"
#include "draw/svg.h"

#include <cairo-pdf.h>
#include <math.h>
#include <stdint.h>
#include <string.h>
#include <strings.h>

/** mm. A picture larger than this is a mistake. */
#define MOST_SIDE 5000.0

/** Dots a side: cairo's images end at 32767. */
#define MOST_DOTS 30000.0

/** PDF's unit in a mm. */
#define POINTS (72 / 25.4)

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

/** Status, size and what cairo cannot do; the caller goes on only with TB_OK. */
static TbStatus
check(const TbPicture *picture, double dots, TbFault *fault)
{
    if (picture->status != TB_OK)
        return tb_fail(fault, picture->status, "no room for the drawing");
    if (!(picture->width > 0 && picture->width < MOST_SIDE && picture->height > 0 &&
          picture->height < MOST_SIDE))
        return tb_fail(fault, TB_E_LIMIT,
                       "a drawing of %.0f x %.0f mm, %.0f mm a side are the most", picture->width,
                       picture->height, MOST_SIDE);
    if (fmax(picture->width, picture->height) * dots > MOST_DOTS)
        return tb_fail(fault, TB_E_LIMIT, "%.0f dots a side, %.0f are the most",
                       fmax(picture->width, picture->height) * dots, MOST_DOTS);
    return TB_OK;
}

/** What was collected, or why there is nothing. */
static TbStatus
hand_over(Room *room, cairo_status_t said, unsigned char **bytes, size_t *size, TbFault *fault)
{
    if (said != CAIRO_STATUS_SUCCESS) {
        tb_free(room->bytes);
        return tb_fail(fault, said == CAIRO_STATUS_NO_MEMORY ? TB_E_MEMORY : TB_E_IO,
                       "the drawing cannot be painted: %s", cairo_status_to_string(said));
    }
    *bytes = room->bytes;
    *size = room->used;
    return TB_OK;
}

/* ---- PDF ---- */

static cairo_status_t
paint_page(cairo_surface_t *surface, const TbPicture *picture, TbTheme theme)
{
    cairo_t *cairo = cairo_create(surface);
    cairo_status_t said;

    cairo_scale(cairo, POINTS, POINTS);
    tb_paint_picture(cairo, picture, theme);
    cairo_show_page(cairo);
    said = cairo_status(cairo);
    cairo_destroy(cairo);
    return said;
}

TbStatus
tb_export_pages(const TbPicture pages[],
                size_t count,
                TbTheme theme,
                const char *title,
                unsigned char **bytes,
                size_t *size,
                TbFault *fault)
{
    Room room = {0};
    cairo_surface_t *surface;
    cairo_status_t said = CAIRO_STATUS_SUCCESS;

    TB_ASSERT(count > 0);
    for (size_t i = 0; i < count; i++) {
        TbStatus status = check(&pages[i], 0, fault);

        if (status != TB_OK)
            return status;
    }
    surface = cairo_pdf_surface_create_for_stream(collect, &room, pages[0].width * POINTS,
                                                  pages[0].height * POINTS);
    /* the same drawing is the same file: it says no time of its own */
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "");
    if (title != NULL)
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title);
    for (size_t i = 0; i < count && said == CAIRO_STATUS_SUCCESS; i++) {
        cairo_pdf_surface_set_size(surface, pages[i].width * POINTS, pages[i].height * POINTS);
        said = paint_page(surface, &pages[i], theme);
    }
    cairo_surface_finish(surface);
    if (said == CAIRO_STATUS_SUCCESS)
        said = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    return hand_over(&room, said, bytes, size, fault);
}

/** The first text of the head. */
static const char *
title_of(const TbPicture *picture)
{
    for (size_t i = 0; i < picture->mark_count; i++)
        if (picture->marks[i].kind == TB_MARK_TEXT && picture->marks[i].layer == TB_LAYER_TITLE)
            return tb_picture_string(picture, picture->marks[i].text);
    return NULL;
}

/* ---- PNG ---- */

/* Of a PNG's bytes: the signature and the head, which always comes first. */
#define PNG_HEAD (8 + 25)

/** CRC-32 of ISO 3309, as PNG wants it. */
static uint32_t
crc_of(const unsigned char *bytes, size_t size)
{
    uint32_t crc = UINT32_MAX;

    for (size_t i = 0; i < size; i++) {
        crc ^= bytes[i];
        for (int bit = 0; bit < 8; bit++)
            crc = (crc & 1) != 0 ? crc >> 1 ^ 0xEDB88320u : crc >> 1;
    }
    return ~crc;
}

static void
put_word(unsigned char *to, uint32_t word)
{
    for (int i = 0; i < 4; i++)
        to[i] = (unsigned char)(word >> (24 - 8 * i));
}

/** Say in the file how many dots a metre has, so that it is as large as the sheet wherever it is
 * put: a chunk pHYs after the head. False when there is no room. */
static bool
say_dots(Room *room, double dots)
{
    unsigned char chunk[21] = "\0\0\0\11pHYs";

    put_word(chunk + 8, (uint32_t)lround(dots * 1000));
    put_word(chunk + 12, (uint32_t)lround(dots * 1000));
    chunk[16] = 1; /* the unit is the metre */
    put_word(chunk + 17, crc_of(chunk + 4, 13));
    if (room->used < PNG_HEAD || collect(room, chunk, sizeof chunk) != CAIRO_STATUS_SUCCESS)
        return false;
    memmove(room->bytes + PNG_HEAD + sizeof chunk, room->bytes + PNG_HEAD,
            room->used - sizeof chunk - PNG_HEAD);
    memcpy(room->bytes + PNG_HEAD, chunk, sizeof chunk);
    return true;
}

TbStatus
tb_export_png(const TbPicture *picture,
              TbTheme theme,
              double dpi,
              unsigned char **bytes,
              size_t *size,
              TbFault *fault)
{
    TbColour paper = tb_style_colour(theme, TB_INK_PAPER);
    double dots = dpi / 25.4;
    Room room = {0};
    cairo_surface_t *surface;
    cairo_t *cairo;
    cairo_status_t said;
    TbStatus status;

    if (!(dpi >= TB_EXPORT_DPI_LEAST && dpi <= TB_EXPORT_DPI_MOST))
        return tb_fail(fault, TB_E_RANGE, "%g dpi, %.0f to %.0f can be asked", dpi,
                       TB_EXPORT_DPI_LEAST, TB_EXPORT_DPI_MOST);
    status = check(picture, dots, fault);
    if (status != TB_OK)
        return status;
    /* what exceeds a whole dot by less than a thousandth of one is rounding */
    surface =
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)ceil(picture->width * dots - 1e-3),
                                   (int)ceil(picture->height * dots - 1e-3));
    cairo = cairo_create(surface);
    /* the last row and column of dots lie only in part on the sheet */
    cairo_set_source_rgb(cairo, paper.red, paper.green, paper.blue);
    cairo_paint(cairo);
    cairo_scale(cairo, dots, dots);
    tb_paint_picture(cairo, picture, theme);
    said = cairo_status(cairo);
    cairo_destroy(cairo);
    if (said == CAIRO_STATUS_SUCCESS)
        said = cairo_surface_write_to_png_stream(surface, collect, &room);
    cairo_surface_destroy(surface);
    if (said == CAIRO_STATUS_SUCCESS && !say_dots(&room, dots))
        said = CAIRO_STATUS_NO_MEMORY;
    return hand_over(&room, said, bytes, size, fault);
}

/* ---- all together ---- */

TbStatus
tb_export_bytes(const TbPicture *picture,
                TbExportFormat format,
                TbTheme theme,
                unsigned char **bytes,
                size_t *size,
                TbFault *fault)
{
    TbStatus status;

    TB_ASSERT(format != TB_EXPORT_UNKNOWN);
    if (format == TB_EXPORT_PDF)
        return tb_export_pages(picture, 1, theme, title_of(picture), bytes, size, fault);
    if (format == TB_EXPORT_PNG)
        return tb_export_png(picture, theme, TB_EXPORT_DPI, bytes, size, fault);
    status = check(picture, 0, fault);
    return status == TB_OK ? tb_svg_bytes(picture, theme, bytes, size, fault) : status;
}
