/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/detail_value.h"

#include "app/detail_words.h"
#include "app/shown_unit.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

TbLengthUnit
tb_value_unit(const TbBay *bay)
{
    return tb_shown_unit(bay);
}

TbPartPlace
tb_part_place_in(const TbPartPlace *place, const char *tag, size_t index)
{
    TbPartPlace inner = place != NULL ? *place : (TbPartPlace){.count = 0};

    TB_ASSERT(inner.count < TB_PART_DEPTH);
    inner.steps[inner.count++] = (TbPartStep){tag, index};
    return inner;
}

const char *
tb_value_complaint(const TbFault *fault)
{
    /* `section 3 of duct "outlet": height -2 mm is not above 0` */
    const char *colon = strstr(fault->text, "\": ");

    return colon != NULL ? colon + 3 : fault->text;
}

/* ---- showing ---- */

size_t
tb_value_cells(const TbField *field)
{
    size_t reals = 1;

    if (tb_field_store(field, &reals) == TB_STORE_REALS)
        return reals;
    return 1;
}

static bool
is_length(const TbField *field)
{
    return strcmp(field->unit, "mm") == 0;
}

/** mm to 1 µm, inches to a thou (below one inch to a tenth of it), other numbers to 6 decimals. */
static void
number_text(const TbField *field, double x, TbLengthUnit unit, char out[TB_TEXT_NUMBER])
{
    bool inch = is_length(field) && unit == TB_UNIT_INCH;
    double shown = inch ? x / TB_MM_PER_INCH : x;

    tb_text_fixed(shown, inch ? (fabs(shown) < 1 ? 4 : 3) : is_length(field) ? 3 : 6, out);
    tb_text_trim(out);
    if (x != 0 && strcmp(out, "0") == 0) /* smaller than what is shown: as it is */
        tb_text_from_double(shown, out);
    tb_text_localise(out);
}

char *
tb_value_text(const TbField *field, const void *owner, size_t cell, TbLengthUnit unit)
{
    double v[TB_NUMBERS_MAX];
    size_t count = tb_field_numbers(field, owner, v);
    char number[TB_TEXT_NUMBER];
    GString *text = g_string_new(NULL);

    switch (tb_field_store(field, NULL)) {
    case TB_STORE_TEXT:
        if (*(char *const *)tb_field_at(field, owner) != NULL)
            g_string_append(text, *(char *const *)tb_field_at(field, owner));
        break;
    case TB_STORE_REALS:
        if (cell < count && tb_is_given(v[cell])) {
            number_text(field, v[cell], unit, number);
            g_string_append(text, number);
        }
        break;
    case TB_STORE_NUMBERS:
        for (size_t i = 0; i < count; i++) {
            number_text(field, v[i], unit, number);
            g_string_append_printf(text, "%s%s", i > 0 ? " " : "", number);
        }
        break;
    case TB_STORE_INTEGER:
    case TB_STORE_FLAG:
        if (field->kind != TB_FIELD_CHOICE || *(const int *)tb_field_at(field, owner) >= 0)
            tb_field_write(field, owner, text);
        break;
    }
    return g_string_free(text, FALSE);
}

/* ---- typing ---- */

static TbStatus
read_number(const TbField *field, const char *typed, TbLengthUnit unit, double *x, TbFault *fault)
{
    if (is_length(field))
        return tb_length_read(typed, unit, x, fault);
    if (strcmp(field->unit, "deg") == 0)
        return tb_angle_read(typed, x, fault);
    return tb_number_read(typed, field->unit, x, fault);
}

/** All the numbers of a value in one text. */
static TbStatus
read_all(const TbField *field,
         const char *typed,
         TbLengthUnit unit,
         double v[],
         size_t count,
         TbFault *fault)
{
    /* other units are plain numbers there */
    return tb_lengths_read(typed, is_length(field) ? unit : TB_UNIT_MM, count, v, fault);
}

static char *
join(const double v[], size_t count)
{
    GString *text = g_string_new(NULL);
    char number[TB_TEXT_NUMBER];

    for (size_t i = 0; i < count; i++) {
        tb_text_from_double(v[i], number);
        g_string_append_printf(text, "%s%s", i > 0 ? " " : "", number);
    }
    return g_string_free(text, FALSE);
}

/** A list of numbers of any allowed count. */
static TbStatus
typed_list(const TbField *field, const char *typed, TbLengthUnit unit, char **text, TbFault *fault)
{
    double v[TB_NUMBERS_MAX];
    TbStatus status = TB_E_FORMAT;

    for (size_t count = 1; count <= TB_NUMBERS_MAX; count++) {
        if ((field->counts >> count & 1) == 0)
            continue;
        status = read_all(field, typed, unit, v, count, fault);
        if (status == TB_OK) {
            *text = join(v, count);
            break;
        }
    }
    return status;
}

static TbStatus
typed_reals(const TbField *field,
            const void *owner,
            size_t cell,
            const char *typed,
            TbLengthUnit unit,
            char **text,
            TbFault *fault)
{
    double v[TB_NUMBERS_MAX];
    size_t count = tb_field_numbers(field, owner, v);
    double x = 0;
    TbStatus status = read_number(field, typed, unit, &x, fault);

    if (status != TB_OK && count > 1 && read_all(field, typed, unit, v, count, NULL) == TB_OK) {
        *text = join(v, count);
        return TB_OK;
    }
    if (status != TB_OK)
        return status;
    for (size_t i = 0; i < count; i++)
        v[i] = tb_is_given(v[i]) ? v[i] : 0;
    v[cell] = x;
    *text = join(v, count);
    return TB_OK;
}

TbStatus
tb_value_typed(const TbField *field,
               const void *owner,
               size_t cell,
               const char *typed,
               TbLengthUnit unit,
               char **text,
               TbFault *fault)
{
    g_autofree char *plain = g_strstrip(g_strdup(typed));
    double x;
    TbStatus status;

    if (plain[0] == '\0' && !field->needed) {
        *text = NULL;
        return TB_OK;
    }
    switch (tb_field_store(field, NULL)) {
    case TB_STORE_REALS:
        return typed_reals(field, owner, cell, plain, unit, text, fault);
    case TB_STORE_NUMBERS:
        return typed_list(field, plain, unit, text, fault);
    case TB_STORE_INTEGER:
        if (field->kind == TB_FIELD_CHOICE)
            break;
        status = tb_number_read(plain, field->unit, &x, fault);
        if (status == TB_OK)
            *text = join(&x, 1);
        return status;
    case TB_STORE_TEXT:
    case TB_STORE_FLAG:
        break;
    }
    if (plain[0] == '\0')
        return tb_fail(fault, TB_E_FORMAT, "this is needed and cannot be empty");
    *text = g_steal_pointer(&plain);
    return TB_OK;
}

char *
tb_value_step(const TbField *field, const char *typed, TbLengthUnit unit, double steps)
{
    TbFieldStore store = tb_field_store(field, NULL);
    double step = is_length(field) && unit == TB_UNIT_INCH ? TB_MM_PER_INCH / 20 : 1;
    char text[TB_TEXT_NUMBER];
    double x = 0;

    if (store != TB_STORE_REALS && !(store == TB_STORE_INTEGER && field->kind == TB_FIELD_INTEGER))
        return NULL;
    if (typed[0] != '\0' && read_number(field, typed, unit, &x, NULL) != TB_OK)
        return NULL;
    number_text(field, x + steps * step, unit, text);
    return g_strdup(text);
}

/* ---- at a glance ---- */

static void
append_value(GString *text, const TbField *field, const void *part, TbLengthUnit unit)
{
    size_t cells = tb_value_cells(field);

    for (size_t i = 0; i < cells; i++) {
        g_autofree char *cell = tb_value_text(field, part, i, unit);

        if (cell[0] == '\0')
            return;
        if (i > 0)
            g_string_append_c(text, ' ');
        else if (text->len > 0)
            g_string_append(text, " · ");
        g_string_append(text, field->kind == TB_FIELD_CHOICE ? tb_detail_choice(cell) : cell);
    }
}

static char *
row_summary(const TbElement *element, const void *part, TbLengthUnit unit)
{
    const TbRow *row = part;
    g_autofree char *at = tb_value_text(tb_element_field_named(element, "at"), part, 0, unit);
    double w = row->half.count > 0 ? row->half.v[0] + row->half.v[1] : row->width;
    double h = row->half.count > 0 ? row->half.v[2] + row->half.v[3] : row->height;
    char width[TB_TEXT_NUMBER];
    char height[TB_TEXT_NUMBER];

    tb_length_write(w, unit, 1, width);
    tb_length_write(h, unit, 1, height);
    tb_text_trim(width);
    tb_text_trim(height);
    /* Translators: a section: its station, its width and its height */
    return row->from_end ? g_strdup_printf(_("%s from the end: %s × %s"), at, width, height)
                         : g_strdup_printf(_("at %s: %s × %s"), at, width, height);
}

char *
tb_value_summary(const TbElement *element, const void *part, TbLengthUnit unit)
{
    GString *text;
    const TbField *field;
    int shown = 0;

    if (strcmp(element->name, "section") == 0)
        return row_summary(element, part, unit);
    text = g_string_new(NULL);
    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL && shown < 3; i++) {
        if (field->kind == TB_FIELD_FLAG || tb_field_is_preset(field, part))
            continue;
        append_value(text, field, part, unit);
        shown++;
    }
    return g_string_free(text, FALSE);
}
