/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/fields.h"

#include "base/mem.h"
#include "base/text.h"

#include <stdlib.h>
#include <string.h>

/* XML's white space. */
static bool
is_space(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

/** Next word of a list; its length is 0 at the end. */
static const char *
next_word(const char *text, size_t *length)
{
    while (is_space(*text))
        text++;
    *length = 0;
    while (text[*length] != '\0' && !is_space(text[*length]))
        (*length)++;
    return text;
}

/** Shows a bad text in a fault without flooding it. */
#define SHOWN(text) (int)(strlen(text) > 60 ? 60 : strlen(text)), (text)

static TbStatus
read_number(const TbField *field,
            const char *word,
            size_t length,
            double *out,
            const char *what,
            int line,
            TbFault *fault)
{
    double x = 0;
    int shown = (int)(length > 60 ? 60 : length);

    if (!tb_text_to_double(word, length, &x))
        return tb_fail_at(fault, TB_E_FORMAT, line, "%s: %s \"%.*s\" is not a number", what,
                          field->name, shown, word);
    if (!isfinite(x))
        return tb_fail_at(fault, TB_E_RANGE, line, "%s: %s %.*s is too large for a number", what,
                          field->name, shown, word);
    *out = x;
    return TB_OK;
}

/** Reads up to @p room numbers; says how many there are. */
static TbStatus
read_numbers(const TbField *field,
             const char *text,
             double *out,
             size_t room,
             size_t *count,
             const char *what,
             int line,
             TbFault *fault)
{
    size_t n = 0;
    size_t length;

    for (text = next_word(text, &length); length > 0; text = next_word(text + length, &length)) {
        if (n < room) {
            TbStatus status = read_number(field, text, length, &out[n], what, line, fault);

            if (status != TB_OK)
                return status;
        }
        n++;
    }
    *count = n;
    return TB_OK;
}

static TbStatus
read_fixed(const TbField *field,
           const char *text,
           double *out,
           size_t wanted,
           const char *what,
           int line,
           TbFault *fault)
{
    size_t count = 0;
    TbStatus status = read_numbers(field, text, out, wanted, &count, what, line, fault);

    if (status == TB_OK && count != wanted && wanted == 1)
        status = tb_fail_at(fault, TB_E_FORMAT, line,
                            "%s: %s \"%.60s\" is not one number without a unit", what, field->name,
                            text);
    else if (status == TB_OK && count != wanted)
        status = tb_fail_at(fault, TB_E_FORMAT, line, "%s: %s has %zu numbers, %zu are needed",
                            what, field->name, count, wanted);
    return status;
}

static TbStatus
read_list(const TbField *field,
          TbNumbers *numbers,
          const char *text,
          const char *what,
          int line,
          TbFault *fault)
{
    TbNumbers read = {{0}, 0};
    TbStatus status =
        read_numbers(field, text, read.v, TB_NUMBERS_MAX, &read.count, what, line, fault);

    if (status != TB_OK)
        return status;
    if (read.count > TB_NUMBERS_MAX || (field->counts >> read.count & 1) == 0)
        return tb_fail_at(fault, TB_E_FORMAT, line, "%s: %s cannot have %zu numbers", what,
                          field->name, read.count);
    *numbers = read;
    return TB_OK;
}

static TbStatus
read_integer(
    const TbField *field, int *out, const char *text, const char *what, int line, TbFault *fault)
{
    double x;
    TbStatus status = read_fixed(field, text, &x, 1, what, line, fault);

    if (status != TB_OK)
        return status;
    if (x != rint(x) || fabs(x) > 1e9)
        return tb_fail_at(fault, TB_E_FORMAT, line, "%s: %s \"%.*s\" is not a whole number", what,
                          field->name, SHOWN(text));
    *out = (int)x;
    return TB_OK;
}

/** "drawing, scan, calliper" for a fault. */
static TbStatus
unknown_word(const TbField *field,
             const char *const names[],
             const char *text,
             const char *what,
             int line,
             TbFault *fault)
{
    char list[200] = "";

    for (size_t i = 0; names[i] != NULL && strlen(list) + strlen(names[i]) + 3 < sizeof list; i++) {
        if (i > 0)
            strcat(list, ", ");
        strcat(list, names[i]);
    }
    return tb_fail_at(fault, TB_E_FORMAT, line, "%s: %s \"%.*s\" is not one of: %s", what,
                      field->name, SHOWN(text), list);
}

static TbStatus
read_choice(
    const TbField *field, int *out, const char *text, const char *what, int line, TbFault *fault)
{
    int value = tb_name_value(field->names, text, strlen(text));

    if (value < 0)
        return unknown_word(field, field->names, text, what, line, fault);
    *out = value;
    return TB_OK;
}

static TbStatus
read_flag(
    const TbField *field, bool *out, const char *text, const char *what, int line, TbFault *fault)
{
    static const char *const names[] = {"no", "yes", NULL};
    int value = tb_name_value(names, text, strlen(text));

    if (value < 0)
        return unknown_word(field, names, text, what, line, fault);
    *out = value == 1;
    return TB_OK;
}

/* ---- texts ---- */

static bool
is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static bool
is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/** Letters, digits and _ . - ; the first one no mark. */
static bool
is_word(const char *text, size_t length)
{
    if (length == 0 || !(is_letter(text[0]) || is_digit(text[0]) || text[0] == '_'))
        return false;
    for (size_t i = 0; i < length; i++)
        if (!is_letter(text[i]) && !is_digit(text[i]) && strchr("_.-", text[i]) == NULL)
            return false;
    return true;
}

/** Words joined by '+'. */
static bool
is_joined(const char *text)
{
    for (;;) {
        const char *plus = strchrnul(text, '+');

        if (!is_word(text, (size_t)(plus - text)))
            return false;
        if (*plus == '\0')
            return true;
        text = plus + 1;
    }
}

static bool
is_date(const char *text)
{
    static const int days[] = {31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    int month;
    int day;

    if (strlen(text) != 10)
        return false;
    for (int i = 0; i < 10; i++)
        if (i == 4 || i == 7 ? text[i] != '-' : !is_digit(text[i]))
            return false;
    month = 10 * (text[5] - '0') + text[6] - '0';
    day = 10 * (text[8] - '0') + text[9] - '0';
    return month >= 1 && month <= 12 && day >= 1 && day <= days[month - 1];
}

static bool
is_digest(const char *text)
{
    return strlen(text) == 64 && strspn(text, "0123456789abcdef") == 64;
}

/** NULL when the text will do, else what it should be. */
static const char *
text_trouble(const TbField *field, const char *text)
{
    if (field->kind == TB_FIELD_TEXT || field->kind == TB_FIELD_BODY)
        return text[strspn(text, " \t\r\n")] != '\0' ? NULL : "a text";
    if (field->kind == TB_FIELD_STATES)
        return is_joined(text) ? NULL : "a state, or states joined by '+'";
    if (field->kind == TB_FIELD_DATE)
        return is_date(text) ? NULL : "a date like 2031-04-09";
    if (field->kind == TB_FIELD_DIGEST)
        return is_digest(text) ? NULL : "64 hexadecimal digits in lower case";
    return is_word(text, strlen(text)) ? NULL : "one word of letters, digits, '_', '.' and '-'";
}

static TbStatus
read_text(
    const TbField *field, char **out, const char *text, const char *what, int line, TbFault *fault)
{
    const char *wanted = text_trouble(field, text);
    char *copy;

    if (wanted != NULL)
        return tb_fail_at(fault, TB_E_FORMAT, line, "%s: %s \"%.*s\" is not %s", what, field->name,
                          SHOWN(text), wanted);
    copy = tb_copy_text(text);
    if (copy == NULL)
        return tb_fail_at(fault, TB_E_MEMORY, line, "%s: no room for %s of %zu bytes", what,
                          field->name, strlen(text));
    tb_free(*out);
    *out = copy;
    return TB_OK;
}

TbStatus
tb_field_read(
    const TbField *field, void *owner, const char *text, const char *what, int line, TbFault *fault)
{
    void *at = tb_field_at(field, owner);
    double v[3] = {0, 0, 0};
    TbStatus status;
    size_t reals;

    switch (tb_field_store(field, &reals)) {
    case TB_STORE_REALS:
        status = read_fixed(field, text, v, reals, what, line, fault);
        if (status == TB_OK)
            memcpy(at, v, reals * sizeof v[0]);
        return status;
    case TB_STORE_NUMBERS:
        return read_list(field, at, text, what, line, fault);
    case TB_STORE_INTEGER:
        return field->kind == TB_FIELD_CHOICE ? read_choice(field, at, text, what, line, fault)
                                              : read_integer(field, at, text, what, line, fault);
    case TB_STORE_FLAG:
        return read_flag(field, at, text, what, line, fault);
    case TB_STORE_TEXT:
        break;
    }
    return read_text(field, at, text, what, line, fault);
}

/* ---- writing ---- */

size_t
tb_field_numbers(const TbField *field, const void *owner, double out[TB_NUMBERS_MAX])
{
    const void *at = tb_field_at(field, owner);
    size_t count = 0;

    switch (tb_field_store(field, &count)) {
    case TB_STORE_REALS:
        memcpy(out, at, count * sizeof out[0]);
        break;
    case TB_STORE_NUMBERS:
        count = ((const TbNumbers *)at)->count;
        memcpy(out, ((const TbNumbers *)at)->v, count * sizeof out[0]);
        break;
    case TB_STORE_INTEGER:
        if (field->kind == TB_FIELD_INTEGER) {
            out[0] = *(const int *)at;
            count = 1;
        }
        break;
    case TB_STORE_TEXT:
    case TB_STORE_FLAG:
        break;
    }
    return count;
}

/** The same value, the sign of zero included. */
static bool
same_bits(double a, double b)
{
    return (a == b && signbit(a) == signbit(b)) || (isnan(a) && isnan(b));
}

bool
tb_field_is_preset(const TbField *field, const void *owner)
{
    const void *at = tb_field_at(field, owner);
    double v[TB_NUMBERS_MAX];
    size_t count = tb_field_numbers(field, owner, v);

    if (field->needed)
        return false;
    switch (tb_field_store(field, NULL)) {
    case TB_STORE_TEXT:
        return *(char *const *)at == NULL;
    case TB_STORE_NUMBERS:
        return count == 0;
    case TB_STORE_FLAG:
        return !*(const bool *)at;
    case TB_STORE_INTEGER:
        return *(const int *)at == (int)field->preset[0];
    case TB_STORE_REALS:
        break;
    }
    for (size_t i = 0; i < count; i++)
        if (!same_bits(v[i], field->preset[i]))
            return false;
    return true;
}

void
tb_field_write(const TbField *field, const void *owner, GString *out)
{
    const void *at = tb_field_at(field, owner);
    double v[TB_NUMBERS_MAX];
    size_t count = tb_field_numbers(field, owner, v);
    char text[TB_TEXT_NUMBER];

    if (field->kind == TB_FIELD_FLAG)
        g_string_append(out, *(const bool *)at ? "yes" : "no");
    else if (field->kind == TB_FIELD_CHOICE)
        g_string_append(out, tb_name_of(field->names, *(const int *)at));
    else if (count == 0)
        g_string_append(out, *(char *const *)at);
    for (size_t i = 0; i < count; i++) {
        tb_text_from_double(v[i], text);
        if (i > 0)
            g_string_append_c(out, ' ');
        g_string_append(out, text);
    }
}
