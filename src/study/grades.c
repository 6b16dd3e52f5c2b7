/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/grades.h"

#include "base/text.h"
#include "bay/data.h"

#include <glib.h>
#include <math.h>
#include <string.h>

/* Grades of one table, at most. */
#define MOST_GRADES 16

typedef struct Row {
    double to;
    double half[MOST_GRADES]; /* NAN: none */
} Row;

typedef struct Table {
    char *standard;
    double from;
    bool above; /* `from` itself is outside */
    bool band;  /* rows give whole bands */
    GStrv names;
    guint count;
    GArray *rows; /* Row */
} Table;

struct TbGrades {
    GPtrArray *tables; /* Table */
    TbFault broken;    /* why there are none; else no text */
};

static void
table_free(gpointer data)
{
    Table *table = data;

    g_free(table->standard);
    g_strfreev(table->names);
    g_array_unref(table->rows);
    g_free(table);
}

void
tb_grades_free(TbGrades *grades)
{
    if (grades == NULL)
        return;
    g_ptr_array_unref(grades->tables);
    g_free(grades);
}

/* ---- asking ---- */

static const Table *
find(const TbGrades *grades, const char *name, guint *column)
{
    for (guint i = 0; i < grades->tables->len; i++) {
        const Table *table = grades->tables->pdata[i];

        for (guint k = 0; k < table->count; k++)
            if (strcmp(table->names[k], name) == 0) {
                *column = k;
                return table;
            }
    }
    return NULL;
}

static TbStatus
no_grade(const TbGrades *grades, const char *name, TbFault *fault)
{
    g_autoptr(GString) known = g_string_new(NULL);

    if (grades->broken.text[0] != '\0')
        return tb_fail(fault, TB_E_FORMAT, "tolerance grade \"%s\": line %d of the table: %s", name,
                       grades->broken.line, grades->broken.text);
    for (guint i = 0; i < grades->tables->len; i++) {
        const Table *table = grades->tables->pdata[i];

        g_string_append_printf(known, "%s%s to %s", i == 0 ? "" : ", ", table->names[0],
                               table->names[table->count - 1]);
    }
    return tb_fail(fault, TB_E_REFERENCE, "there is no tolerance grade \"%s\"; there are: %s", name,
                   known->str);
}

static TbStatus
no_size(const Table *table, guint column, double size, TbFault *fault)
{
    double from = table->from, to = 0;
    bool above = table->above;

    for (guint i = 0; i < table->rows->len; i++) {
        const Row *row = &g_array_index(table->rows, Row, i);

        if (!isnan(row->half[column]))
            to = row->to;
        else if (to == 0) {
            from = row->to;
            above = true;
        }
    }
    return tb_fail(fault, TB_E_RANGE,
                   "%s (%s) has no tolerance for a size of %g mm, its range is %s%g to %g mm",
                   table->names[column], table->standard, size, above ? "above " : "", from, to);
}

TbStatus
tb_grades_half(const TbGrades *grades, const char *name, double size, double *half, TbFault *fault)
{
    guint column = 0, row = 0;
    const Table *table = find(grades, name, &column);

    if (table == NULL)
        return no_grade(grades, name, fault);
    while (row < table->rows->len && size > g_array_index(table->rows, Row, row).to)
        row++;
    if (!(table->above ? size > table->from : size >= table->from) || row == table->rows->len ||
        isnan(g_array_index(table->rows, Row, row).half[column]))
        return no_size(table, column, size, fault);
    *half = g_array_index(table->rows, Row, row).half[column];
    return TB_OK;
}

const char *
tb_grades_coarser(const TbGrades *grades, const char *name)
{
    guint column = 0;
    const Table *table = find(grades, name, &column);

    return table == NULL || column + 1 >= table->count ? NULL : table->names[column + 1];
}

/* ---- reading ---- */

typedef struct Reading {
    TbGrades *grades;
    Table *table; /* open; NULL between two */
    GMarkupParseContext *context;
    TbStatus status;
    TbFault *fault;
} Reading;

static void G_GNUC_PRINTF(4, 5)
    wrong(Reading *reading, TbStatus status, GError **error, const char *format, ...)
{
    int line, column;
    va_list args;
    g_autofree char *text = NULL;

    va_start(args, format);
    text = g_strdup_vprintf(format, args);
    va_end(args);
    g_markup_parse_context_get_position(reading->context, &line, &column);
    reading->status = tb_fail(reading->fault, status, "%s", text);
    if (reading->fault != NULL)
        reading->fault->line = line;
    g_set_error_literal(error, G_MARKUP_ERROR, G_MARKUP_ERROR_INVALID_CONTENT, text);
}

static const char *
attribute(const char **names, const char **values, const char *name)
{
    for (; *names != NULL; names++, values++)
        if (strcmp(*names, name) == 0)
            return *values;
    return NULL;
}

static bool
number_in(const char *text, double *number)
{
    return text != NULL && tb_text_to_double(text, strlen(text), number) && isfinite(*number);
}

static bool
are_known(Reading *reading,
          const char *element,
          const char **names,
          const char *const known[],
          GError **error)
{
    for (; *names != NULL; names++)
        if (!g_strv_contains(known, *names)) {
            wrong(reading, TB_E_FORMAT, error, "attribute \"%s\" is unknown in <%s>", *names,
                  element);
            return false;
        }
    return true;
}

static void
open_table(Reading *reading, const char **names, const char **values, GError **error)
{
    static const char *const known[] = {"standard", "from",   "above", "values",
                                        "grades",   "source", NULL};
    const char *standard = attribute(names, values, "standard");
    const char *kind = attribute(names, values, "values");
    const char *grades = attribute(names, values, "grades");
    const char *from = attribute(names, values, "from"), *above = attribute(names, values, "above");
    Table *table = g_new0(Table, 1);
    guint other;

    table->rows = g_array_new(FALSE, FALSE, sizeof(Row));
    table->standard = g_strdup(standard);
    table->names = g_strsplit(grades == NULL ? "" : grades, ",", -1);
    table->count = g_strv_length(table->names);
    table->above = above != NULL;
    table->band = g_strcmp0(kind, "band") == 0;
    g_ptr_array_add(reading->grades->tables, table);
    reading->table = table;
    if (!are_known(reading, "table", names, known, error))
        return;
    if (standard == NULL || attribute(names, values, "source") == NULL)
        wrong(reading, TB_E_FORMAT, error, "a table needs a standard and a source");
    else if (!table->band && g_strcmp0(kind, "half") != 0)
        wrong(reading, TB_E_FORMAT, error, "values are \"half\" or \"band\"");
    else if ((from == NULL) == (above == NULL) ||
             !number_in(from == NULL ? above : from, &table->from) || table->from < 0)
        wrong(reading, TB_E_RANGE, error, "a table begins `from` or `above` a size of 0 or more");
    else if (table->count < 1 || table->count > MOST_GRADES)
        wrong(reading, TB_E_RANGE, error, "a table has %u grades, 1 to %d can be", table->count,
              MOST_GRADES);
    for (guint i = 0; i < table->count && *error == NULL; i++) {
        const Table *before = find(reading->grades, g_strstrip(table->names[i]), &other);

        if (table->names[i][0] == '\0')
            wrong(reading, TB_E_FORMAT, error, "a grade has no name");
        else if (before != table || other != i)
            wrong(reading, TB_E_REFERENCE, error, "grade \"%s\" is there twice", table->names[i]);
    }
}

static bool
read_value(const char *text, bool band, double *half)
{
    *half = NAN;
    if (strcmp(text, "-") == 0)
        return true;
    if (!number_in(text, half) || !(*half > 0))
        return false;
    *half /= band ? 2 : 1;
    return true;
}

static void
add_row(Reading *reading, const char **names, const char **values, GError **error)
{
    static const char *const known[] = {"to", "values", NULL};
    Table *table = reading->table;
    const char *text = attribute(names, values, "values");
    g_auto(GStrv) parts = g_strsplit(text == NULL ? "" : text, " ", -1);
    double before = table->rows->len == 0
                        ? table->from
                        : g_array_index(table->rows, Row, table->rows->len - 1).to;
    Row row;

    if (!are_known(reading, "row", names, known, error))
        return;
    if (!number_in(attribute(names, values, "to"), &row.to) || !(row.to > before)) {
        wrong(reading, TB_E_RANGE, error, "a row must go to a size above %g mm", before);
        return;
    }
    if (g_strv_length(parts) != table->count) {
        wrong(reading, TB_E_FORMAT, error, "the row to %g mm has %u values for %u grades", row.to,
              g_strv_length(parts), table->count);
        return;
    }
    for (guint i = 0; i < table->count; i++)
        if (!read_value(parts[i], table->band, &row.half[i])) {
            wrong(reading, TB_E_RANGE, error,
                  "the row to %g mm has \"%s\" for %s: a number above 0 or \"-\"", row.to, parts[i],
                  table->names[i]);
            return;
        }
    g_array_append_val(table->rows, row);
}

static void
begin_element(GMarkupParseContext *context,
              const char *element,
              const char **names,
              const char **values,
              gpointer user,
              GError **error)
{
    Reading *reading = user;
    const GSList *stack = g_markup_parse_context_get_element_stack(context);
    const char *within = stack->next == NULL ? "" : stack->next->data;

    reading->context = context;
    if (strcmp(element, "tolerances") == 0 && within[0] == '\0')
        return;
    if (strcmp(element, "table") == 0 && strcmp(within, "tolerances") == 0)
        open_table(reading, names, values, error);
    else if (strcmp(element, "row") == 0 && strcmp(within, "table") == 0)
        add_row(reading, names, values, error);
    else
        wrong(reading, TB_E_FORMAT, error, "element <%s> is unknown here", element);
}

static void
end_element(GMarkupParseContext *context, const char *element, gpointer user, GError **error)
{
    Reading *reading = user;

    reading->context = context;
    if (strcmp(element, "table") != 0)
        return;
    if (reading->table->rows->len == 0)
        wrong(reading, TB_E_FORMAT, error, "the table of %s has no rows", reading->table->standard);
    reading->table = NULL;
}

static TbStatus
not_xml(Reading *reading, GMarkupParseContext *context, const GError *error)
{
    int line, column;

    if (reading->status != TB_OK)
        return reading->status;
    g_markup_parse_context_get_position(context, &line, &column);
    tb_fail(reading->fault, TB_E_FORMAT, "%s", error->message);
    if (reading->fault != NULL)
        reading->fault->line = line;
    return TB_E_FORMAT;
}

TbStatus
tb_grades_read(const char *bytes, size_t size, TbGrades **grades, TbFault *fault)
{
    static const GMarkupParser parser = {.start_element = begin_element,
                                         .end_element = end_element};
    TbGrades *made = g_new0(TbGrades, 1);
    Reading reading = {.grades = made, .fault = fault};
    g_autoptr(GMarkupParseContext) context =
        g_markup_parse_context_new(&parser, G_MARKUP_PREFIX_ERROR_POSITION, &reading, NULL);
    g_autoptr(GError) error = NULL;
    TbStatus status = TB_OK;

    made->tables = g_ptr_array_new_with_free_func(table_free);
    if (!g_markup_parse_context_parse(context, bytes, (gssize)size, &error) ||
        !g_markup_parse_context_end_parse(context, &error))
        status = not_xml(&reading, context, error);
    else if (made->tables->len == 0)
        status = tb_fail(fault, TB_E_FORMAT, "there is no table of tolerances");
    if (status == TB_OK)
        *grades = made;
    else
        tb_grades_free(made);
    return status;
}

TbGrades *
tb_grades_new(const char *bytes, size_t size)
{
    TbGrades *grades = NULL;
    TbFault fault = {0};

    if (tb_grades_read(bytes, size, &grades, &fault) == TB_OK)
        return grades;
    grades = g_new0(TbGrades, 1);
    grades->tables = g_ptr_array_new_with_free_func(table_free);
    grades->broken = fault;
    return grades;
}

const TbGrades *
tb_grades_usual(void)
{
    static gsize once;

    if (g_once_init_enter(&once))
        g_once_init_leave(
            &once, (gsize)tb_grades_new(tb_data_tolerances_xml, tb_data_tolerances_xml_size));
    return (const TbGrades *)once;
}
