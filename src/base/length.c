/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/length.h"

#include <math.h>
#include <string.h>
#include <strings.h>

/** A name of a unit and what one of it is in the base unit. */
typedef struct Unit {
    const char *name;
    double factor;
} Unit;

/* Longer names first: the first one that fits is taken. */
static const Unit lengths[] = {
    {"millimetres", 1},
    {"millimeters", 1},
    {"inches", TB_MM_PER_INCH},
    {"inch", TB_MM_PER_INCH},
    {"zoll", TB_MM_PER_INCH},
    {"pulg", TB_MM_PER_INCH},
    {"thou", TB_MM_PER_INCH / 1000},
    {"feet", 12 * TB_MM_PER_INCH},
    {"foot", 12 * TB_MM_PER_INCH},
    {"mm", 1},
    {"cm", 10},
    {"dm", 100},
    {"um", 1e-3},
    {"\xc2\xb5m", 1e-3}, /* micro sign */
    {"\xce\xbcm", 1e-3}, /* Greek mu */
    {"in", TB_MM_PER_INCH},
    {"ft", 12 * TB_MM_PER_INCH},
    {"\xe2\x80\xb3", TB_MM_PER_INCH}, /* double prime */
    {"\xe2\x80\x9d", TB_MM_PER_INCH}, /* closing quotation marks, as some keyboards have it */
    {"''", TB_MM_PER_INCH},
    {"\"", TB_MM_PER_INCH},
    {"\xe2\x80\xb2", 12 * TB_MM_PER_INCH}, /* prime */
    {"'", 12 * TB_MM_PER_INCH},
    {"m", 1000},
    {NULL, 0},
};

static const Unit angles[] = {
    {"degrees", 1},      {"degree", 1}, {"deg", 1}, {"\xc2\xb0", 1}, /* degree sign */
    {"\xc2\xba", 1}, /* the ordinal sign of Spanish keyboards */
    {"rad", 180 / M_PI}, {NULL, 0},
};

/** What is being read: for the sentences. */
typedef struct Sort {
    const Unit *units;
    double usual; /**< factor of a number without a unit */
    const char *noun, *write, *names;
} Sort;

static Sort
length_sort(TbLengthUnit usual)
{
    return (Sort){lengths, usual == TB_UNIT_INCH ? TB_MM_PER_INCH : 1, "length",
                  "write 12.5, 2.5 cm or 3/4 in", "mm, cm, m or in"};
}

/* Shows a typed text in a fault without flooding it. */
#define SHOWN(text) (int)(strlen(text) > 60 ? 60 : strlen(text)), (text)

static TbStatus
not_one(const Sort *sort, const char *text, TbFault *fault)
{
    return tb_fail(fault, TB_E_FORMAT, "\"%.*s\" is not %s %s; %s", SHOWN(text),
                   sort->noun[0] == 'a' ? "an" : "a", sort->noun, sort->write);
}

/* ---- scanning ---- */

static const char *
skip_spaces(const char *at)
{
    for (;;) {
        if (*at == ' ' || *at == '\t' || *at == '\n' || *at == '\r')
            at++;
        else if (strncmp(at, "\xc2\xa0", 2) == 0) /* no-break space */
            at += 2;
        else if (strncmp(at, "\xe2\x80\xaf", 3) == 0) /* narrow no-break space */
            at += 3;
        else
            return at;
    }
}

static bool
is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool
is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static const char *
skip_digits(const char *at)
{
    while (is_digit(*at))
        at++;
    return at;
}

/** Longest number read: no person types more digits. */
enum { DIGITS_MOST = 64 };

/** Digits and at most one mark as a number; the mark becomes a point. */
static bool
convert(const char *from, const char *to, double *out)
{
    char room[DIGITS_MOST + 1];
    size_t length = (size_t)(to - from);
    char *comma;

    if (length > DIGITS_MOST)
        return false;
    memcpy(room, from, length);
    room[length] = '\0';
    comma = strchr(room, ',');
    if (comma != NULL)
        *comma = '.';
    return tb_text_to_double(room, length, out) && isfinite(*out);
}

/** `1,243` is twelve hundred to some and one and a quarter to others, and so is `1.243` to those
 * who write a comma. The language's own mark, which is what they are shown, is never doubted. */
static bool
is_doubtful(const char *from, const char *mark, const char *end)
{
    char other = strcmp(tb_text_mark(), ",") == 0 ? '.' : ',';

    return *mark == other && mark - from >= 1 && mark - from <= 3 && from[0] != '0' &&
           end - mark == 4;
}

/** An unsigned decimal. *at moves behind it. */
static TbStatus
scan_decimal(const char **at, const char *text, const Sort *sort, double *out, TbFault *fault)
{
    const char *from = *at;
    const char *mark = skip_digits(from);
    const char *end = mark;

    if ((*mark == '.' || *mark == ',') && is_digit(mark[1])) {
        end = skip_digits(mark + 1);
        if ((*end == '.' || *end == ',') && is_digit(end[1]))
            return tb_fail(fault, TB_E_FORMAT,
                           "\"%.*s\" has a mark of thousands; write the number without it",
                           SHOWN(text));
        if (is_doubtful(from, mark, end))
            return tb_fail(fault, TB_E_FORMAT,
                           "\"%.*s\" may mean %.*s%.3s or %.*s%s%.3s; write one of these",
                           SHOWN(text), (int)(mark - from), from, mark + 1, (int)(mark - from),
                           from, tb_text_mark(), mark + 1);
    } else if (*mark == '.' && mark > from) {
        end = mark + 1; /* "12." */
    }
    if (end == from)
        return not_one(sort, text, fault);
    if ((*end == 'e' || *end == 'E') &&
        (is_digit(end[1]) || ((end[1] == '-' || end[1] == '+') && is_digit(end[2]))))
        end = skip_digits(end + 2);
    if (!convert(from, end, out))
        return tb_fail(fault, TB_E_FORMAT, "\"%.*s\" is too large for a number", SHOWN(text));
    *at = end;
    return TB_OK;
}

/** Whole digits and a slash: the start of "3/4". */
static bool
is_fraction(const char *at)
{
    const char *slash = skip_digits(at);

    return slash > at && *slash == '/' && is_digit(slash[1]);
}

static TbStatus
scan_fraction(const char **at, const char *text, double *out, TbFault *fault)
{
    const char *slash = skip_digits(*at);
    const char *end = skip_digits(slash + 1);
    double above = 0;
    double below = 0;

    if (!convert(*at, slash, &above) || !convert(slash + 1, end, &below))
        return tb_fail(fault, TB_E_FORMAT, "\"%.*s\" is too large for a number", SHOWN(text));
    if (below == 0)
        return tb_fail(fault, TB_E_FORMAT, "\"%.*s\" divides by zero", SHOWN(text));
    *out = above / below;
    *at = end;
    return TB_OK;
}

/** A sign, then 12,5 or 3/4 or, where @p mixed, 1 1/2 and 1-1/2. */
static TbStatus
scan_number(
    const char **at, const char *text, const Sort *sort, bool mixed, double *out, TbFault *fault)
{
    double sign = 1;
    double part = 0;
    double value = 0;
    TbStatus status;

    if (**at == '-' || **at == '+') {
        sign = **at == '-' ? -1 : 1;
        *at = skip_spaces(*at + 1);
    } else if (strncmp(*at, "\xe2\x88\x92", 3) == 0) { /* minus sign */
        sign = -1;
        *at = skip_spaces(*at + 3);
    }
    if (is_fraction(*at)) {
        status = scan_fraction(at, text, &value, fault);
    } else {
        const char *behind = NULL;
        bool whole = *skip_digits(*at) == ' ' || *skip_digits(*at) == '-';

        status = scan_decimal(at, text, sort, &value, fault);
        if (status == TB_OK && mixed && whole)
            behind = skip_spaces(**at == '-' ? *at + 1 : *at);
        if (behind != NULL && is_fraction(behind)) {
            *at = behind;
            status = scan_fraction(at, text, &part, fault);
        }
    }
    if (status == TB_OK)
        *out = sign * (value + part);
    return status;
}

/** The unit at a place, or the usual one where none is. *at moves behind it. */
static TbStatus
scan_unit(const char **at, const char *text, const Sort *sort, double *factor, TbFault *fault)
{
    const char *word = skip_spaces(*at);
    int length = 0;

    for (const Unit *unit = sort->units; unit->name != NULL; unit++) {
        size_t n = strlen(unit->name);

        if (strncasecmp(word, unit->name, n) != 0 ||
            (is_letter(unit->name[n - 1]) && is_letter(word[n])))
            continue;
        *at = word + n;
        *factor = unit->factor;
        return TB_OK;
    }
    while (is_letter(word[length]))
        length++;
    if (length > 0)
        return tb_fail(fault, TB_E_FORMAT, "\"%.*s\" in \"%.*s\" is not a unit of %s; write %s",
                       length > 20 ? 20 : length, word, SHOWN(text), sort->noun, sort->names);
    *factor = sort->usual;
    return TB_OK;
}

/**
 * 3/16 in is 4.7625 mm, not 4.762499999999999: what multiplying adds is taken off again, to a tenth
 * of what one distance is rounded to (TB_TOL_ROUND). A number in the base unit keeps its bits.
 */
static double
product(double value, double factor)
{
    double x = value * factor;

    /* beyond 1e5 mm doubles do not have such places */
    return factor == 1 || fabs(x) > 1e5 ? x : round(x * 1e10) / 1e10;
}

static TbStatus
read_one(const char *text, const Sort *sort, double *out, TbFault *fault)
{
    const char *at = skip_spaces(text);
    double value = 0;
    double factor = 1;
    TbStatus status;

    if (*at == '\0')
        return tb_fail(fault, TB_E_FORMAT, "no %s is given; %s", sort->noun, sort->write);
    status = scan_number(&at, text, sort, true, &value, fault);
    if (status == TB_OK)
        status = scan_unit(&at, text, sort, &factor, fault);
    if (status == TB_OK && *skip_spaces(at) != '\0')
        status = not_one(sort, text, fault);
    if (status == TB_OK && !isfinite(value * factor))
        status = tb_fail(fault, TB_E_FORMAT, "\"%.*s\" is too large for a number", SHOWN(text));
    if (status == TB_OK)
        *out = product(value, factor);
    return status;
}

/* ---- reading ---- */

TbStatus
tb_length_read(const char *text, TbLengthUnit usual, double *mm, TbFault *fault)
{
    Sort sort = length_sort(usual);

    return read_one(text, &sort, mm, fault);
}

TbStatus
tb_angle_read(const char *text, double *degrees, TbFault *fault)
{
    Sort sort = {angles, 1, "angle", "write 12.5 or 12.5 deg", "deg"};

    return read_one(text, &sort, degrees, fault);
}

TbStatus
tb_number_read(const char *text, const char *unit, double *number, TbFault *fault)
{
    char write[80] = "write 12.5";
    /* what people write for the units of the file */
    static const struct {
        const char *unit, *other;
    } also[] = {
        {"degC", "\xc2\xb0"
                 "C"},
        {"degC", "C"},
        {"1/min", "rpm"},
        {"N m", "Nm"},
        {"mm2", "mm\xc2\xb2"},
        {"mm3", "mm\xc2\xb3"},
        {"kg/m3", "kg/m\xc2\xb3"},
    };
    Unit units[5] = {{unit, 1}, {NULL, 0}};
    size_t count = unit[0] != '\0' ? 1 : 0;
    Sort sort = {units, 1, "number", write, unit};

    for (size_t i = 0; count > 0 && i < sizeof also / sizeof also[0]; i++)
        if (strcmp(also[i].unit, unit) == 0 && count < 4)
            units[count++] = (Unit){also[i].other, 1};
    units[count] = (Unit){NULL, 0};
    if (unit[0] != '\0')
        tb_text_format(write, sizeof write, "write 12.5 or 12.5 %s", unit);
    return read_one(text, &sort, number, fault);
}

/** Between two lengths: spaces, a semicolon, or a comma before a space. */
static const char *
skip_parting(const char *at)
{
    at = skip_spaces(at);
    if (*at == ';' || (*at == ',' && skip_spaces(at + 1) > at + 1))
        at = skip_spaces(at + 1);
    return at;
}

TbStatus
tb_lengths_read(const char *text, TbLengthUnit usual, size_t count, double mm[], TbFault *fault)
{
    Sort sort = length_sort(usual);
    const char *at = skip_spaces(text);
    double read[8];
    size_t n = 0;

    TB_ASSERT(count <= sizeof read / sizeof read[0]);
    while (*at != '\0') {
        double value = 0;
        double factor = 1;
        TbStatus status = scan_number(&at, text, &sort, false, &value, fault);

        if (status == TB_OK)
            status = scan_unit(&at, text, &sort, &factor, fault);
        if (status != TB_OK)
            return status;
        if (n < count)
            read[n] = product(value, factor);
        n++;
        at = skip_parting(at);
    }
    if (n != count)
        return tb_fail(fault, TB_E_FORMAT, "\"%.*s\" has %zu lengths, %zu are needed", SHOWN(text),
                       n, count);
    memcpy(mm, read, count * sizeof read[0]);
    return TB_OK;
}

/* ---- writing ---- */

void
tb_length_write_whole(double mm, TbLengthUnit unit, char out[TB_TEXT_NUMBER])
{
    double back;

    if (unit == TB_UNIT_INCH) {
        /* 1e-9 mm: the rounding of a distance, see TB_TOL_ROUND */
        for (int decimals = 0; decimals <= 12; decimals++) {
            tb_text_fixed(mm / TB_MM_PER_INCH, decimals, out);
            if (tb_text_to_double(out, strlen(out), &back) &&
                fabs(back * TB_MM_PER_INCH - mm) <= 1e-9) {
                tb_text_localise(out);
                return;
            }
        }
        mm /= TB_MM_PER_INCH;
    }
    tb_text_from_double(mm, out);
    tb_text_localise(out);
}

const char *
tb_length_unit_name(TbLengthUnit unit)
{
    return unit == TB_UNIT_INCH ? "in" : "mm";
}
