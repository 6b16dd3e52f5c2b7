/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/flow_private.h"

#include <string.h>

/** A sum of words' widths may differ from a line's by this: letters draw nearer across a space. */
#define SLACK 0.3

/** True after a byte at which a word may be cut in two. */
static bool
is_seam(char c)
{
    return c != '\0' && strchr("-/_|,;", c) != NULL;
}

/** Bytes of one character of UTF-8. */
static size_t
character(const char *text)
{
    size_t bytes = 1;

    while (((unsigned char)text[bytes] & 0xC0) == 0x80)
        bytes++;
    return bytes;
}

static double
measure(TbFlow *flow, const char *word, size_t bytes, bool bold)
{
    GHashTable *words = flow->words[bold];
    double *known;

    g_string_truncate(flow->scratch, 0);
    g_string_append_len(flow->scratch, word, (gssize)bytes);
    known = g_hash_table_lookup(words, flow->scratch->str);
    if (known == NULL) {
        known = g_new(double, 1);
        *known = flow->measurer.width(flow->measurer.user, flow->scratch->str, TB_PT_SMALL, bold);
        g_hash_table_insert(words, g_strdup(flow->scratch->str), known);
    }
    return *known;
}

/** Bytes up to the next space, line feed or end. */
static size_t
word_at(const char *text, size_t bytes)
{
    size_t length = 0;

    while (length < bytes && text[length] != ' ' && text[length] != '\n')
        length++;
    return length;
}

double
tb_flow__width(TbFlow *flow, const char *text, size_t bytes, bool bold)
{
    double width = 0;
    double space = measure(flow, " ", 1, bold);

    while (bytes > 0) {
        size_t word = word_at(text, bytes);

        if (word > 0)
            width += measure(flow, text, word, bold);
        if (word < bytes) {
            width += space;
            word++;
        }
        text += word;
        bytes -= word;
    }
    return width;
}

double
tb_flow__widest_word(TbFlow *flow, const char *text, bool bold)
{
    double widest = 0;

    while (*text != '\0') {
        size_t end = 0;

        while (text[end] != '\0' && text[end] != ' ' && text[end] != '\n' && !is_seam(text[end]))
            end++;
        if (is_seam(text[end]))
            end++;
        if (end > 0)
            widest = MAX(widest, measure(flow, text, end, bold));
        text += end;
        while (*text == ' ' || *text == '\n')
            text++;
    }
    return widest;
}

/** How much of one word fits: up to a seam, else up to any character, at least one of them. */
static size_t
part_of_word(TbFlow *flow, const char *word, size_t bytes, double scale, bool bold, double width)
{
    size_t best = character(word), seam = 0;

    for (size_t end = best; end < bytes; end += character(word + end)) {
        if (scale * flow->measurer.width(flow->measurer.user,
                                         (g_string_truncate(flow->scratch, 0),
                                          g_string_append_len(flow->scratch, word, (gssize)end))
                                             ->str,
                                         TB_PT_SMALL, bold) >
            width - SLACK)
            break;
        best = end;
        if (is_seam(word[end - 1]))
            seam = end;
    }
    return seam > 0 ? seam : best;
}

size_t
tb_flow__line(
    TbFlow *flow, const char **text, double size, bool bold, double width, const char **line)
{
    double scale = size / TB_PT_SMALL;
    double space = scale * measure(flow, " ", 1, bold);
    const char *from = *text;
    double used = 0;
    size_t end = 0;

    *line = from;
    for (;;) {
        size_t word = word_at(from + end, strlen(from + end));
        double wide = scale * (word == 0 ? 0 : measure(flow, from + end, word, bold));

        if (used + wide > width - SLACK && end > 0)
            break;
        if (wide > width - SLACK) {
            end = part_of_word(flow, from, word, scale, bold, width);
            *text = from + end;
            return end;
        }
        used += wide;
        end += word;
        if (from[end] != ' ')
            break;
        used += space;
        end++;
    }
    *text = from + end;
    if (**text == '\n')
        (*text)++;
    while (end > 0 && from[end - 1] == ' ')
        end--;
    return end;
}

size_t
tb_flow__lines(TbFlow *flow, const char *text, double size, bool bold, double width)
{
    size_t lines = 0;
    const char *line;

    while (*text != '\0') {
        tb_flow__line(flow, &text, size, bold, width, &line);
        lines++;
    }
    return lines;
}

void
tb_flow__put_lines(TbFlow *flow,
                   TbPicture *picture,
                   TbVec2 at,
                   const char *text,
                   TbTextStyle style,
                   double width,
                   size_t first,
                   size_t last,
                   double step)
{
    for (size_t k = 0; *text != '\0' && k < last; k++) {
        const char *line;
        size_t bytes = tb_flow__line(flow, &text, style.size, style.bold, width, &line);
        g_autofree char *copy = g_strndup(line, bytes);

        if (k >= first && bytes > 0)
            tb_picture_text(picture, tb_vec2(at.x, at.y + step * (double)(k - first)), style, copy);
    }
}
