/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/svg.h"

#include "base/mem.h"
#include "base/text.h"
#include "draw/paint.h"
#include "draw/svg_private.h"

#include <math.h>
#include <string.h>

/** Decimals of mm that are written: a thousandth of a mm of paper is finer than any printer. */
#define DECIMALS 3

/* Of the letter size, for the painter's usual letters (DejaVu Sans 2.37): ascent 0.928, descent
 * 0.236. The middle of a line stands at `at`. */
#define LINE 1.164
#define BASELINE 0.346

/** The painter's letters where they are there, then such as are as wide. */
#define LETTERS "'DejaVu Sans', Verdana, sans-serif"

/** mm. Width of a dot of a dotted hatch. */
#define HATCH_DOT 0.3

typedef struct Writer {
    const TbPicture *picture;
    TbTheme theme;
    TbMeasurer measurer;
    TbSvgLayers *layers;
    GString *clips; /**< definitions */
    unsigned clip_count;
    TbRectangle seen; /**< the sheet, or what the clip lets through */
    TbStatus status;
} Writer;

/* ---- parts of elements ---- */

static void
put_number(GString *out, double x)
{
    char text[TB_TEXT_NUMBER];
    size_t length;

    tb_text_fixed(x, DECIMALS, text);
    length = strlen(text);
    while (length > 0 && text[length - 1] == '0')
        length--;
    if (length > 0 && text[length - 1] == '.')
        length--;
    g_string_append_len(out, text, (gssize)length);
}

static void
put_attribute(GString *out, const char *name, double x)
{
    g_string_append_printf(out, " %s=\"", name);
    put_number(out, x);
    g_string_append_c(out, '"');
}

/** Text that any XML reader takes, whatever is in it. */
static void
put_escaped(GString *out, const char *text)
{
    g_autofree char *valid = g_utf8_make_valid(text, -1);
    g_autofree char *escaped = NULL;

    for (char *c = valid; *c != '\0'; c++)
        if ((unsigned char)*c < ' ')
            *c = ' ';
    escaped = g_markup_escape_text(valid, -1);
    g_string_append(out, escaped);
}

static void
put_ink(const Writer *writer, GString *out, const char *name, TbInk ink)
{
    TbColour c = tb_style_colour(writer->theme, ink);

    g_string_append_printf(out, " %s=\"#%02x%02x%02x\"", name, (unsigned)lround(c.red * 255),
                           (unsigned)lround(c.green * 255), (unsigned)lround(c.blue * 255));
    if (c.alpha < 1) {
        g_autofree char *opacity = g_strdup_printf("%s-opacity", name);

        put_attribute(out, opacity, c.alpha);
    }
}

static void
put_pen(const Writer *writer, GString *out, TbPen pen, TbInk ink)
{
    TbPenStyle style = tb_style_pen(pen);

    put_ink(writer, out, "stroke", ink);
    put_attribute(out, "stroke-width", style.width);
    if (style.dashes == 0) {
        g_string_append(out, " stroke-linecap=\"round\"");
        return;
    }
    g_string_append(out, " stroke-dasharray=\"");
    for (int i = 0; i < style.dashes; i++) {
        if (i > 0)
            g_string_append_c(out, ' ');
        put_number(out, style.dash[i]);
    }
    g_string_append_c(out, '"');
}

static void
put_path(const Writer *writer, GString *out, const TbMark *mark, bool closed)
{
    g_string_append(out, " d=\"");
    for (size_t k = 0; k < mark->loops; k++) {
        TbLoopSpan loop = writer->picture->loops[mark->first_loop + k];

        for (size_t i = 0; i < loop.count; i++) {
            TbVec2 p = writer->picture->points[loop.first + i];

            g_string_append_c(out, i == 0 ? 'M' : ' ');
            put_number(out, p.x);
            g_string_append_c(out, ' ');
            put_number(out, p.y);
        }
        if (closed)
            g_string_append_c(out, 'Z');
    }
    g_string_append_c(out, '"');
}

static TbRectangle
rectangle_of(const Writer *writer, const TbMark *mark)
{
    const TbVec2 *corner = writer->picture->points + writer->picture->loops[mark->first_loop].first;

    return (TbRectangle){{fmin(corner[0].x, corner[2].x), fmin(corner[0].y, corner[2].y)},
                         {fmax(corner[0].x, corner[2].x), fmax(corner[0].y, corner[2].y)}};
}

static void
put_rectangle(GString *out, TbRectangle r)
{
    put_attribute(out, "x", r.low.x);
    put_attribute(out, "y", r.low.y);
    put_attribute(out, "width", r.high.x - r.low.x);
    put_attribute(out, "height", r.high.y - r.low.y);
}

static GString *
begin(const Writer *writer, const char *name, const TbMark *mark)
{
    GString *out = g_string_new(NULL);

    g_string_append_printf(out, "<%s", name);
    if (mark->tag != 0) {
        g_string_append(out, " data-shows=\"");
        put_escaped(out, tb_picture_string(writer->picture, mark->tag));
        g_string_append_c(out, '"');
    }
    return out;
}

static void
end(Writer *writer, TbLayer layer, GString *out)
{
    g_string_append(out, "/>\n");
    tb_svg_layers__put(writer->layers, layer, out->str);
    g_string_free(out, TRUE);
}

static void
ink_loops(const Writer *writer, const TbMark *mark, bool closed)
{
    for (size_t k = 0; k < mark->loops; k++) {
        TbLoopSpan loop = writer->picture->loops[mark->first_loop + k];

        tb_svg_layers__ink_line(writer->layers, writer->picture->points + loop.first, loop.count,
                                closed);
    }
}

/* ---- hatches: the lines themselves, so that a program for cutting or drawing takes them ---- */

static void
put_hatch_line(GString *out, double from, double to, double across, double c, double s)
{
    g_string_append_c(out, 'M');
    put_number(out, from * c + across * s);
    g_string_append_c(out, ' ');
    put_number(out, -from * s + across * c);
    g_string_append_c(out, ' ');
    put_number(out, to * c + across * s);
    g_string_append_c(out, ' ');
    put_number(out, -to * s + across * c);
}

static void
put_hatch(Writer *writer, const TbMark *mark, TbLayer layer)
{
    double c = cos(mark->hatch_angle * G_PI / 180), s = sin(mark->hatch_angle * G_PI / 180);
    double step = mark->hatch_step;
    g_autoptr(GArray) crossings =
        tb_svg__crossings(writer->picture, mark, mark->hatch_angle, step, writer->seen);
    GString *out = begin(writer, "path", mark);

    put_ink(writer, out, "stroke", mark->ink);
    if (mark->hatch_dotted) {
        put_attribute(out, "stroke-width", HATCH_DOT);
        g_string_append(out, " stroke-linecap=\"round\" stroke-dasharray=\"0.01 ");
        put_number(out, step - 0.01);
        g_string_append_c(out, '"');
    } else {
        put_attribute(out, "stroke-width", tb_style_pen(TB_PEN_HATCH).width);
    }
    g_string_append(out, " d=\"");
    for (guint i = 0; i + 1 < crossings->len; i += 2) {
        TbSvgCrossing in = g_array_index(crossings, TbSvgCrossing, i);
        TbSvgCrossing to = g_array_index(crossings, TbSvgCrossing, i + 1);
        double from = mark->hatch_dotted ? ceil(in.along / step) * step : in.along;

        if (from < to.along)
            put_hatch_line(out, from, to.along, in.line * step, c, s);
    }
    g_string_append_c(out, '"');
    tb_svg_layers__ink_area(writer->layers, writer->picture, mark);
    end(writer, layer, out);
}

/* ---- marks ---- */

static void
put_area(Writer *writer, const TbMark *mark)
{
    bool apart = mark->layer == TB_LAYER_OUTLINES;
    GString *out;

    if (mark->fill != TB_INK_NONE) {
        out = begin(writer, "path", mark);
        put_ink(writer, out, "fill", mark->fill);
        g_string_append(out, " fill-rule=\"evenodd\"");
        put_path(writer, out, mark, true);
        tb_svg_layers__ink_area(writer->layers, writer->picture, mark);
        end(writer, apart ? TB_LAYER_FILLS : mark->layer, out);
    }
    if (mark->hatch_step > 0)
        put_hatch(writer, mark, apart ? TB_LAYER_HATCH : mark->layer);
    if (mark->pen == TB_PEN_NONE)
        return;
    out = begin(writer, "path", mark);
    put_pen(writer, out, mark->pen, mark->ink);
    put_path(writer, out, mark, true);
    ink_loops(writer, mark, true);
    end(writer, mark->layer, out);
}

static void
put_line(Writer *writer, const TbMark *mark)
{
    GString *out = begin(writer, "path", mark);

    put_pen(writer, out, mark->pen, mark->ink);
    put_path(writer, out, mark, false);
    ink_loops(writer, mark, false);
    end(writer, mark->layer, out);
}

static void
put_dot(Writer *writer, const TbMark *mark)
{
    GString *out = begin(writer, "circle", mark);
    TbVec2 r = {mark->size, mark->size};

    put_attribute(out, "cx", mark->at.x);
    put_attribute(out, "cy", mark->at.y);
    put_attribute(out, "r", mark->size);
    put_ink(writer, out, "fill", mark->fill);
    tb_svg_layers__ink_box(writer->layers, tb_vec2_sub(mark->at, r), tb_vec2_add(mark->at, r));
    end(writer, mark->layer, out);
}

static void
put_turn(GString *out, const TbMark *mark)
{
    if (mark->turn == 0)
        return;
    g_string_append(out, " transform=\"rotate(");
    put_number(out, -mark->turn);
    g_string_append_c(out, ' ');
    put_number(out, mark->at.x);
    g_string_append_c(out, ' ');
    put_number(out, mark->at.y);
    g_string_append(out, ")\"");
}

/** A line of text and the paper left free around it, before it is turned. */
static TbRectangle
box_of_text(const TbMark *mark, double width)
{
    double half = (LINE * mark->size * TB_MM_PER_PT - TB_PAINT_BACKING) / 2;
    double x = mark->at.x - (mark->anchor == TB_ANCHOR_LEFT    ? 0
                             : mark->anchor == TB_ANCHOR_RIGHT ? width
                                                               : width / 2);

    return (TbRectangle){{x - TB_PAINT_BACKING, mark->at.y - half},
                         {x + width + TB_PAINT_BACKING, mark->at.y + half}};
}

static void
ink_text(const Writer *writer, const TbMark *mark, double width)
{
    TbRectangle box = box_of_text(mark, width);

    if (mark->turn != 0)
        tb_picture_mark_box(writer->picture, mark, width, &box.low, &box.high);
    tb_svg_layers__ink_box(writer->layers, box.low, box.high);
}

/** The paper behind a text, as the painter lays it. */
static void
put_backing(Writer *writer, const TbMark *mark, double width)
{
    GString *out = g_string_new("<rect");

    put_rectangle(out, box_of_text(mark, width));
    put_ink(writer, out, "fill", TB_INK_PAPER);
    put_turn(out, mark);
    ink_text(writer, mark, width);
    end(writer, mark->layer, out);
}

static void
put_text(Writer *writer, const TbMark *mark)
{
    static const char *const anchor[] = {"", " text-anchor=\"middle\"", " text-anchor=\"end\""};
    const char *text = tb_picture_string(writer->picture, mark->text);
    double size = mark->size * TB_MM_PER_PT;
    double width = writer->measurer.width(writer->measurer.user, text, mark->size, mark->bold);
    GString *out;

    if (mark->backed)
        put_backing(writer, mark, width);
    out = begin(writer, "text", mark);
    put_attribute(out, "x", mark->at.x);
    put_attribute(out, "y", mark->at.y + BASELINE * size);
    put_attribute(out, "font-size", size);
    g_string_append(out, anchor[mark->anchor]);
    if (mark->bold)
        g_string_append(out, " font-weight=\"bold\"");
    put_ink(writer, out, "fill", mark->ink);
    put_turn(out, mark);
    g_string_append_c(out, '>');
    put_escaped(out, text);
    g_string_append(out, "</text>\n");
    ink_text(writer, mark, width);
    tb_svg_layers__put(writer->layers, mark->layer, out->str);
    g_string_free(out, TRUE);
}

static void
put_clip(Writer *writer, const TbMark *mark)
{
    TbRectangle r = {{0, 0}, {writer->picture->width, writer->picture->height}};

    if (mark->loops > 0) {
        r = rectangle_of(writer, mark);
        g_string_append_printf(writer->clips, "<clipPath id=\"clip-%u\"><rect",
                               ++writer->clip_count);
        put_rectangle(writer->clips, r);
        g_string_append(writer->clips, "/></clipPath>\n");
    }
    writer->seen = r;
    tb_svg_layers__clip(writer->layers, mark->loops > 0 ? writer->clip_count : 0, r);
}

static cairo_status_t
collect(void *user, const unsigned char *bytes, unsigned size)
{
    g_byte_array_append(user, bytes, size);
    return CAIRO_STATUS_SUCCESS;
}

static void
put_raster(Writer *writer, const TbMark *mark)
{
    cairo_surface_t *image = tb_paint_raster(writer->picture, mark, writer->theme);
    g_autoptr(GByteArray) png = g_byte_array_new();
    TbRectangle r = rectangle_of(writer, mark);
    g_autofree char *text = NULL;
    GString *out = begin(writer, "image", mark);

    if (cairo_surface_write_to_png_stream(image, collect, png) != CAIRO_STATUS_SUCCESS)
        writer->status = TB_E_MEMORY;
    cairo_surface_destroy(image);
    text = g_base64_encode(png->data, png->len);
    put_rectangle(out, r);
    g_string_append_printf(
        out, " preserveAspectRatio=\"none\" xlink:href=\"data:image/png;base64,%s\"", text);
    tb_svg_layers__ink_box(writer->layers, r.low, r.high);
    end(writer, mark->layer, out);
}

static void
put_mark(Writer *writer, const TbMark *mark)
{
    switch (mark->kind) {
    case TB_MARK_AREA:
        put_area(writer, mark);
        break;
    case TB_MARK_LINE:
        if (mark->pen != TB_PEN_NONE)
            put_line(writer, mark);
        break;
    case TB_MARK_TEXT:
        put_text(writer, mark);
        break;
    case TB_MARK_DOT:
        put_dot(writer, mark);
        break;
    case TB_MARK_CLIP:
        put_clip(writer, mark);
        break;
    case TB_MARK_RASTER:
        put_raster(writer, mark);
        break;
    }
}

/* ---- the whole ---- */

/** The first text of the head names the drawing. */
static void
put_title(const Writer *writer, GString *svg)
{
    for (size_t i = 0; i < writer->picture->mark_count; i++) {
        const TbMark *mark = &writer->picture->marks[i];

        if (mark->kind != TB_MARK_TEXT || mark->layer != TB_LAYER_TITLE)
            continue;
        g_string_append(svg, "<title>");
        put_escaped(svg, tb_picture_string(writer->picture, mark->text));
        g_string_append(svg, "</title>\n");
        return;
    }
}

static void
put_head(const Writer *writer, GString *svg)
{
    const TbPicture *picture = writer->picture;

    g_string_append(svg, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                         "<svg xmlns=\"http://www.w3.org/2000/svg\" "
                         "xmlns:xlink=\"http://www.w3.org/1999/xlink\" version=\"1.1\" width=\"");
    put_number(svg, picture->width);
    g_string_append(svg, "mm\" height=\"");
    put_number(svg, picture->height);
    g_string_append(svg, "mm\" viewBox=\"0 0 ");
    put_number(svg, picture->width);
    g_string_append_c(svg, ' ');
    put_number(svg, picture->height);
    g_string_append(svg,
                    "\" fill=\"none\" stroke-linejoin=\"round\" font-family=\"" LETTERS "\">\n");
    put_title(writer, svg);
    if (writer->clip_count > 0)
        g_string_append_printf(svg, "<defs>\n%s</defs>\n", writer->clips->str);
    g_string_append(svg, "<rect id=\"paper\"");
    put_rectangle(svg, (TbRectangle){{0, 0}, {picture->width, picture->height}});
    put_ink(writer, svg, "fill", TB_INK_PAPER);
    g_string_append(svg, "/>\n");
}

TbStatus
tb_svg_bytes(
    const TbPicture *picture, TbTheme theme, unsigned char **bytes, size_t *size, TbFault *fault)
{
    TbPaintMeasurer *measurer = tb_paint_measurer_new();
    Writer writer = {.picture = picture,
                     .theme = theme,
                     .measurer = tb_paint_measurer(measurer),
                     .layers = tb_svg_layers__new(picture->width, picture->height),
                     .clips = g_string_new(NULL),
                     .seen = {{0, 0}, {picture->width, picture->height}}};
    GString *svg = g_string_new(NULL);
    unsigned char *copy;

    for (size_t i = 0; i < picture->mark_count; i++)
        put_mark(&writer, &picture->marks[i]);
    put_head(&writer, svg);
    tb_svg_layers__write(writer.layers, svg);
    g_string_append(svg, "</svg>\n");
    tb_svg_layers__free(writer.layers);
    tb_paint_measurer_free(measurer);
    g_string_free(writer.clips, TRUE);

    copy = writer.status == TB_OK ? tb_alloc(svg->len) : NULL;
    if (copy != NULL) {
        memcpy(copy, svg->str, svg->len);
        *bytes = copy;
        *size = svg->len;
    }
    g_string_free(svg, TRUE);
    return copy != NULL ? TB_OK : tb_fail(fault, TB_E_MEMORY, "no room for the drawing");
}
