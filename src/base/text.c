/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/text.h"

#include "base/fault.h"

#include <langinfo.h>
#include <locale.h>
#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/** Longest number text accepted; longer ones are no numbers that a person or a program wrote. */
#define LONGEST 400

static locale_t plain;
static pthread_once_t plain_once = PTHREAD_ONCE_INIT;

static void
make_plain(void)
{
    plain = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    TB_ASSERT(plain != (locale_t)0);
}

static locale_t
plain_locale(void)
{
    pthread_once(&plain_once, make_plain);
    return plain;
}

static double
read_plain(const char *text, char **end)
{
    return strtod_l(text, end, plain_locale());
}

void
tb_text_from_double(double x, char out[TB_TEXT_NUMBER])
{
    locale_t before;

    if (isnan(x)) {
        strcpy(out, "nan");
        return;
    }
    if (isinf(x)) {
        strcpy(out, x > 0 ? "inf" : "-inf");
        return;
    }
    before = uselocale(plain_locale());
    for (int digits = 1; digits <= 17; digits++) {
        snprintf(out, TB_TEXT_NUMBER, "%.*g", digits, x);
        if (read_plain(out, NULL) == x)
            break;
    }
    /* a long whole number reads better without an exponent */
    if (strchr(out, 'e') != NULL && fabs(x) >= 1 && fabs(x) < 1e15)
        snprintf(out, TB_TEXT_NUMBER, "%.0f", x);
    uselocale(before);
}

void
tb_text_fixed(double x, int decimals, char out[TB_TEXT_NUMBER])
{
    locale_t before;
    const char *p;

    TB_ASSERT(decimals >= 0 && decimals <= 12);
    if (!isfinite(x) || fabs(x) > 1e15) {
        tb_text_from_double(x, out);
        return;
    }
    before = uselocale(plain_locale());
    snprintf(out, TB_TEXT_NUMBER, "%.*f", decimals, x);
    uselocale(before);
    /* no minus before nothing but zeros */
    if (out[0] == '-') {
        for (p = out + 1; *p == '0' || *p == '.'; p++)
            ;
        if (*p == '\0')
            memmove(out, out + 1, strlen(out));
    }
}

bool
tb_text_to_double(const char *text, size_t length, double *out)
{
    char room[LONGEST + 1];
    char *end;
    double x;

    while (length > 0 && strchr(" \t\r\n", text[0]) != NULL && text[0] != '\0') {
        text++;
        length--;
    }
    while (length > 0 && strchr(" \t\r\n", text[length - 1]) != NULL && text[length - 1] != '\0')
        length--;
    if (length == 0 || length > LONGEST)
        return false;
    for (size_t i = 0; i < length; i++)
        if (strchr("0123456789+-.eE", text[i]) == NULL || text[i] == '\0')
            return false;
    memcpy(room, text, length);
    room[length] = '\0';
    x = read_plain(room, &end);
    if (end != room + length)
        return false;
    *out = x;
    return true;
}

/** Drop the bytes of a last character that was cut. */
static void
drop_cut_character(char *text)
{
    size_t end = strlen(text);
    size_t lead = end;
    size_t whole;

    /* back over the continuation bytes 10xxxxxx to the byte that leads them */
    while (lead > 0 && ((unsigned char)text[lead - 1] & 0xC0) == 0x80)
        lead--;
    if (lead == 0)
        return;
    lead--;
    if (((unsigned char)text[lead] & 0xE0) == 0xC0)
        whole = 2;
    else if (((unsigned char)text[lead] & 0xF0) == 0xE0)
        whole = 3;
    else if (((unsigned char)text[lead] & 0xF8) == 0xF0)
        whole = 4;
    else
        return;
    if (end - lead < whole)
        text[lead] = '\0';
}

size_t
tb_text_format_list(char *out, size_t size, const char *format, va_list args)
{
    locale_t before = uselocale(plain_locale());
    int bytes = vsnprintf(out, size, format, args);

    uselocale(before);
    TB_ASSERT(bytes >= 0);
    if ((size_t)bytes >= size)
        drop_cut_character(out);
    return (size_t)bytes;
}

size_t
tb_text_format(char *out, size_t size, const char *format, ...)
{
    va_list args;
    size_t bytes;

    va_start(args, format);
    bytes = tb_text_format_list(out, size, format, args);
    va_end(args);
    return bytes;
}

/* ---- for people ---- */

/** Bytes of the longest decimal mark that is shown: two of Arabic script, some to spare. */
#define MARK_MOST 4

const char *
tb_text_mark(void)
{
    const char *mark = nl_langinfo(RADIXCHAR);
    size_t length = strlen(mark);

    return length == 0 || length > MARK_MOST ? "." : mark;
}

void
tb_text_localise(char number[TB_TEXT_NUMBER])
{
    const char *mark = tb_text_mark();
    char *point = strchr(number, '.');
    size_t wide = strlen(mark);

    /* the longest number of this file and a long mark: as machines have it */
    if (point == NULL || strlen(number) + wide > TB_TEXT_NUMBER)
        return;
    memmove(point + wide, point + 1, strlen(point + 1) + 1);
    memcpy(point, mark, wide);
}

void
tb_text_shown(double x, int decimals, char out[TB_TEXT_NUMBER])
{
    tb_text_fixed(x, decimals, out);
    tb_text_localise(out);
}

void
tb_text_trim(char number[TB_TEXT_NUMBER])
{
    const char *mark = strchr(number, '.') != NULL ? "." : tb_text_mark();
    char *at = strstr(number, mark);
    char *end = number + strlen(number);

    if (at == NULL || strpbrk(number, "en") != NULL)
        return;
    while (end[-1] == '0')
        end--;
    if (end == at + strlen(mark))
        end = at;
    *end = '\0';
}
