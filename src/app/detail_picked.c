/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * A handle that is selected in a cut and its part's row are one thing: each marks the other.
 */

#include "app/details_private.h"

#include "bay/handles.h"

#include <string.h>

char *
tb_details__key(const TbPartPlace *place)
{
    GString *key = g_string_new(NULL);

    for (size_t i = 0; i < place->count; i++)
        g_string_append_printf(key, "%s/%zu/", place->steps[i].tag, place->steps[i].index);
    return g_string_free(key, FALSE);
}

/** Which of a turbo's listed housings; -1: it is not listed. */
static int
listed_housing(const TbRecord *record, size_t of)
{
    const TbTurbo *turbo = (const TbTurbo *)record;

    for (size_t i = 0; i < turbo->housing_count; i++)
        if (turbo->housings[i].of == (int)of)
            return (int)i;
    return -1;
}

/** The part that a handle is of; NULL: of none that has a row. */
static char *
key_of_handle(const TbRecord *record, const TbHandle *handle)
{
    TbPartPlace path = tb_part_place_in(NULL, "path", 0);
    TbPartPlace place;
    int housing;

    switch (handle->kind) {
    case TB_HANDLE_KNOT:
        place = tb_part_place_in(&path, "knot", handle->index);
        break;
    case TB_HANDLE_SECTION:
        place = tb_part_place_in(NULL, "section", handle->index);
        break;
    case TB_HANDLE_OUTLINE_CORNER:
        place = tb_part_place_in(NULL, "corner", handle->index);
        break;
    case TB_HANDLE_TANGENT:
        place = tb_part_place_in(NULL, handle->index == 0 ? "start" : "end", 0);
        break;
    case TB_HANDLE_HOUSING:
        housing = listed_housing(record, handle->index);
        if (housing < 0)
            return NULL;
        place = tb_part_place_in(NULL, "housing", (size_t)housing);
        break;
    case TB_HANDLE_ITEM:
    case TB_HANDLE_PORT:
    case TB_HANDLE_FLOW:
    case TB_HANDLE_SHAFT:
    case TB_HANDLE_BLOCK_FACE:
    case TB_HANDLE_BLOCK_CORNER:
    case TB_HANDLE_ROD_END:
    case TB_HANDLE_ROD_RADIUS:
    case TB_HANDLE_BALL_RADIUS:
    case TB_HANDLE_OUTLINE_DEPTH:
    case TB_HANDLE_TURN:
    case TB_HANDLE_BOLTS:
    case TB_HANDLE_CLAMP:
    default:
        return NULL;
    }
    return tb_details__key(&place);
}

/** The handles of what is shown; none where it is no item, or not there in the variant. */
static const TbHandle *
handles_of(TbDetails *details, size_t *count)
{
    *count = 0;
    return tb_bay_item(tb_session_bay(details->session), details->id) == NULL
               ? NULL
               : tb_session_handles(details->session, details->id, count);
}

static char *
selected_key(TbDetails *details)
{
    int number = tb_session_handle(details->session);
    const TbRecord *record = tb_detail_record(details->session, details->id);
    const TbHandle *handles;
    size_t count = 0;
    char *key = NULL;

    if (number < 0 || record == NULL)
        return NULL;
    handles = handles_of(details, &count);
    if ((size_t)number < count)
        key = key_of_handle(record, &handles[number]);
    return key;
}

static void
mark(TbDetails *details, bool on)
{
    GtkWidget *row =
        details->picked != NULL ? g_hash_table_lookup(details->rows, details->picked) : NULL;

    if (row != NULL && on)
        gtk_widget_add_css_class(row, "picked");
    else if (row != NULL)
        gtk_widget_remove_css_class(row, "picked");
}

static void
show_row(TbDetails *details)
{
    GtkWidget *row = g_hash_table_lookup(details->rows, details->picked);
    GtkAdjustment *adjustment = gtk_scrolled_window_get_vadjustment(details->scroller);
    double x;
    double y;

    if (row != NULL && gtk_widget_get_height(row) > 0 &&
        gtk_widget_translate_coordinates(row, GTK_WIDGET(details->content), 0, 0, &x, &y))
        gtk_adjustment_clamp_page(adjustment, y, y + gtk_widget_get_height(row));
}

void
tb_details__update_picked(TbDetails *details)
{
    char *key = selected_key(details);
    bool other = g_strcmp0(key, details->picked) != 0;

    mark(details, false);
    g_free(details->picked);
    details->picked = key;
    mark(details, true);
    if (other && key != NULL)
        show_row(details);
}

void
tb_details__pick(TbDetails *details, const TbPartPlace *place)
{
    const TbRecord *record = tb_detail_record(details->session, details->id);
    g_autofree char *wanted = tb_details__key(place);
    const TbHandle *handles;
    size_t count = 0;

    if (record == NULL || g_strcmp0(tb_session_selected(details->session), details->id) != 0 ||
        g_strcmp0(wanted, details->picked) == 0)
        return;
    handles = handles_of(details, &count);
    for (size_t i = 0; i < count; i++) {
        g_autofree char *key = key_of_handle(record, &handles[i]);

        if (g_strcmp0(key, wanted) == 0) {
            tb_session_select_handle(details->session, (int)i);
            break;
        }
    }
}
