/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/places.h"

#include <math.h>

#define KEY "places"

static char *
address_of(TbSession *session)
{
    GFile *file = tb_session_file(session);

    return file == NULL ? NULL : g_file_get_uri(file);
}

/* ---- keeping ---- */

static GVariant *
hidden_items(TbSession *session)
{
    const TbBay *bay = tb_session_bay(session);
    GVariantBuilder ids;

    g_variant_builder_init(&ids, G_VARIANT_TYPE_STRING_ARRAY);
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++) {
        const char *id = tb_bay_item_at(bay, i)->record.id;

        if (tb_session_is_hidden(session, id))
            g_variant_builder_add(&ids, "s", id);
    }
    return g_variant_builder_end(&ids);
}

static void
add_text(GVariantBuilder *place, const char *name, const char *text)
{
    if (text != NULL)
        g_variant_builder_add(place, "{sv}", name, g_variant_new_string(text));
}

/* Of the free cut none: its plane is not kept. */
static const TbSceneView zoomed[] = {TB_SCENE_SIDE, TB_SCENE_PLAN, TB_SCENE_FRONT, TB_SCENE_ACROSS};

static GVariant *
zooms_of(TbSession *session)
{
    GVariantBuilder zooms;

    g_variant_builder_init(&zooms, G_VARIANT_TYPE("a(iiddd)"));
    for (int slot = 0; slot < TB_SLOT_COUNT; slot++)
        for (size_t i = 0; i < G_N_ELEMENTS(zoomed); i++) {
            TbSessionZoom zoom = tb_session_zoom(session, slot, zoomed[i]);

            if (zoom.ratio > 0)
                g_variant_builder_add(&zooms, "(iiddd)", slot, (int)zoomed[i], zoom.centre.x,
                                      zoom.centre.y, zoom.ratio);
        }
    return g_variant_builder_end(&zooms);
}

static GVariant *
stretch_of(TbSession *session)
{
    double from, to;

    tb_session_stretch(session, &from, &to);
    return g_variant_new("(dd)", from, to);
}

static GVariant *
place_of(TbSession *session)
{
    GVariantBuilder place;

    g_variant_builder_init(&place, G_VARIANT_TYPE_VARDICT);
    g_variant_builder_add(&place, "{sv}", "views",
                          g_variant_new("(ii)", (int)tb_session_view(session, TB_SLOT_LEFT),
                                        (int)tb_session_view(session, TB_SLOT_MIDDLE)));
    g_variant_builder_add(&place, "{sv}", "planes",
                          g_variant_new("(ddd)", tb_session_cut(session, TB_SCENE_SIDE).at,
                                        tb_session_cut(session, TB_SCENE_PLAN).at,
                                        tb_session_cut(session, TB_SCENE_FRONT).at));
    add_text(&place, "path", tb_session_cursor_item(session));
    g_variant_builder_add(&place, "{sv}", "station",
                          g_variant_new_double(tb_session_cursor(session)));
    g_variant_builder_add(&place, "{sv}", "zooms", zooms_of(session));
    g_variant_builder_add(&place, "{sv}", "stretch", stretch_of(session));
    add_text(&place, "selected", tb_session_selected(session));
    add_text(&place, "state", tb_session_state(session));
    add_text(&place, "variant", tb_session_variant(session));
    g_variant_builder_add(&place, "{sv}", "hidden", hidden_items(session));
    return g_variant_builder_end(&place);
}

void
tb_places_keep(GSettings *settings, TbSession *session)
{
    g_autofree char *address = address_of(session);
    g_autoptr(GVariant) old = g_settings_get_value(settings, KEY);
    GVariantBuilder places;
    GVariantIter iter;
    const char *other;
    GVariant *place;
    int count = 1;

    if (address == NULL)
        return;
    g_variant_builder_init(&places, G_VARIANT_TYPE("a(sa{sv})"));
    g_variant_builder_add(&places, "(s@a{sv})", address, place_of(session));
    g_variant_iter_init(&iter, old);
    while (g_variant_iter_loop(&iter, "(&s@a{sv})", &other, &place))
        if (g_strcmp0(other, address) != 0 && count++ < TB_PLACES_MOST)
            g_variant_builder_add(&places, "(s@a{sv})", other, place);
    g_settings_set_value(settings, KEY, g_variant_builder_end(&places));
}

/* ---- restoring ---- */

/* The place of an address; NULL where it is not remembered. */
static GVariant *
remembered(GSettings *settings, const char *address)
{
    g_autoptr(GVariant) places = g_settings_get_value(settings, KEY);
    GVariantIter iter;
    const char *other;
    GVariant *place;

    g_variant_iter_init(&iter, places);
    while (g_variant_iter_next(&iter, "(&s@a{sv})", &other, &place)) {
        if (g_strcmp0(other, address) == 0)
            return place;
        g_variant_unref(place);
    }
    return NULL;
}

/* Only views that can stand in the two free slots. */
static bool
is_view(int view)
{
    return view == TB_SCENE_SIDE || view == TB_SCENE_PLAN || view == TB_SCENE_FRONT;
}

static void
restore_views(GVariant *place, TbSession *session)
{
    int left, middle;
    double side, plan, front;

    if (g_variant_lookup(place, "views", "(ii)", &left, &middle)) {
        if (is_view(left))
            tb_session_set_view(session, TB_SLOT_LEFT, left);
        if (is_view(middle))
            tb_session_set_view(session, TB_SLOT_MIDDLE, middle);
    }
    /* the session refuses what is not finite */
    if (g_variant_lookup(place, "planes", "(ddd)", &side, &plan, &front)) {
        tb_session_set_plane(session, TB_SCENE_SIDE, side);
        tb_session_set_plane(session, TB_SCENE_PLAN, plan);
        tb_session_set_plane(session, TB_SCENE_FRONT, front);
    }
}

static void
restore_zooms(GVariant *place, TbSession *session)
{
    g_autoptr(GVariant) zooms = g_variant_lookup_value(place, "zooms", G_VARIANT_TYPE("a(iiddd)"));
    GVariantIter iter;
    TbSessionZoom zoom;
    int slot, view;

    if (zooms == NULL)
        return;
    g_variant_iter_init(&iter, zooms);
    while (g_variant_iter_next(&iter, "(iiddd)", &slot, &view, &zoom.centre.x, &zoom.centre.y,
                               &zoom.ratio))
        for (size_t i = 0; i < G_N_ELEMENTS(zoomed); i++)
            if (slot >= 0 && slot < TB_SLOT_COUNT && view == (int)zoomed[i])
                tb_session_set_zoom(session, slot, zoomed[i], zoom);
}

static void
restore_cursor(GVariant *place, TbSession *session)
{
    const char *path;
    double station, from, to;
    const TbItem *item;

    if (!g_variant_lookup(place, "path", "&s", &path) ||
        !g_variant_lookup(place, "station", "d", &station))
        return;
    item = tb_bay_item(tb_session_bay(session), path);
    if (item == NULL || !tb_item_has_path(item))
        return;
    tb_session_set_cursor(session, path, station);
    if (g_variant_lookup(place, "stretch", "(dd)", &from, &to))
        tb_session_set_stretch(session, from, to);
}

void
tb_places_restore(GSettings *settings, TbSession *session)
{
    g_autofree char *address = address_of(session);
    g_autoptr(GVariant) place = address == NULL ? NULL : remembered(settings, address);
    const TbBay *bay = tb_session_bay(session);
    g_autofree const char **hidden = NULL;
    const char *text;

    if (place == NULL)
        return;
    restore_views(place, session);
    restore_zooms(place, session);
    /* first: a duct that is selected takes the cursor */
    if (g_variant_lookup(place, "selected", "&s", &text) && tb_bay_find(bay, text) != NULL)
        tb_session_select(session, text);
    restore_cursor(place, session);
    if (g_variant_lookup(place, "state", "&s", &text) && tb_bay_state(bay, text) != NULL)
        tb_session_set_state(session, text);
    if (g_variant_lookup(place, "variant", "&s", &text) && tb_bay_variant(bay, text) != NULL)
        tb_session_set_variant(session, text);
    if (g_variant_lookup(place, "hidden", "^a&s", &hidden))
        for (size_t i = 0; hidden[i] != NULL; i++)
            if (tb_bay_item(bay, hidden[i]) != NULL)
                tb_session_set_hidden(session, hidden[i], true);
}
