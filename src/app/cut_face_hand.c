/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What lies under the pointer of a cut. */

#include "app/cut_face_private.h"

#include "app/item_words.h"
#include "app/session_tool.h"
#include "app/shown_unit.h"

#include <glib/gi18n.h>
#include <math.h>

/* ---- what is under the pointer ---- */

int
tb_cut_face__grip_at(TbCutFace *face, TbVec2 at)
{
    TbScene *scene = tb_cut_face__scene(face);
    double least = TB_FACE_GRIP_REACH / TB_CANVAS_DOTS;
    int best = -1;

    for (size_t i = 0; scene != NULL && i < face->grip_count; i++) {
        TbVec2 p = tb_viewport_paper(tb_cut_face__port(face, scene), face->grips[i].mark.at);
        double off = tb_vec2_length(tb_vec2_sub(p, at));

        if (off < least) {
            least = off;
            best = (int)i;
        }
    }
    return best;
}

bool
tb_cut_face__is_on_cursor(TbCutFace *face, const TbScene *scene, TbVec2 at)
{
    const char *item = tb_session_cursor_item(face->session);
    TbViewport port = tb_cut_face__port(face, scene);
    double reach = TB_FACE_REACH / TB_CANVAS_DOTS;
    TbVec2 place, across, off;

    if (item == NULL ||
        !tb_scene_station(scene, item, tb_session_cursor(face->session), &place, &across))
        return false;
    off = tb_vec2_sub(at, tb_viewport_paper(port, place));
    across = tb_vec2(across.x, -across.y);
    /* the tick is 12 mm of paper long */
    return fabs(tb_vec2_dot(off, across)) <= 6 &&
           fabs(off.x * across.y - off.y * across.x) <= reach && tb_vec2_length(off) <= 6 + reach;
}

static const char *
name_of(TbCutFace *face, const char *item)
{
    const TbItem *found = tb_bay_item(tb_session_bay(face->session), item);

    return found == NULL || found->record.name == NULL ? item : found->record.name;
}

/* The gap of an item that matters most here: to the cursor's duct, else the one that is nearest to
 * its keep or furthest below it. */
static const TbResultGap *
telling_gap(TbCutFace *face, const char *item)
{
    const TbResults *results = tb_session_results(face->session);
    const char *subject = tb_session_cursor_item(face->session);
    const TbResultGap *best = NULL;

    for (size_t i = 0; results != NULL && i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];
        const char *other = strcmp(gap->a, item) == 0   ? gap->b
                            : strcmp(gap->b, item) == 0 ? gap->a
                                                        : NULL;

        if (other == NULL || gap->gap.nothing ||
            g_strcmp0(gap->state, tb_session_state(face->session)) != 0 ||
            g_strcmp0(gap->variant, tb_session_variant(face->session)) != 0)
            continue;
        if (g_strcmp0(other, subject) == 0)
            return gap;
        if (best == NULL || gap->margin < best->margin)
            best = gap;
    }
    return best;
}

static const char *
level_word(TbLevel level)
{
    switch (level) {
    case TB_LEVEL_SHORT:
        return _("short");
    case TB_LEVEL_WATCH:
        return _("watch");
    case TB_LEVEL_OPEN:
        return _("open");
    case TB_LEVEL_HOLDS:
        break;
    }
    return _("holds");
}

char *
tb_cut_face__item_words(TbCutFace *face, const char *item)
{
    const TbResultGap *gap = telling_gap(face, item);
    TbLengthUnit unit = tb_session_unit(face->session);
    char value[TB_TEXT_NUMBER], keep[TB_TEXT_NUMBER];
    const char *other;

    if (gap == NULL)
        return g_strdup(name_of(face, item));
    other = name_of(face, strcmp(gap->a, item) == 0 ? gap->b : gap->a);
    tb_gap_words(gap->gap.lower, gap->keep, unit, value, keep);
    if (isnan(gap->keep))
        /* Translators: name, gap, its unit, to what */
        return g_strdup_printf(_("%s\n%s %s to %s"), name_of(face, item), value,
                               tb_length_unit_name(unit), other);
    /* Translators: name, gap, wanted gap, their unit, to what, "holds" or "short" */
    return g_strdup_printf(_("%s\n%s of %s %s to %s: %s"), name_of(face, item), value, keep,
                           tb_length_unit_name(unit), other, level_word(gap->level));
}

/* The scene's gap that a tag "gap:K" names, or NULL. */
static const TbSceneGap *
gap_of_tag(const TbScene *scene, const char *tag)
{
    char *end = NULL;
    guint64 k;

    if (!g_str_has_prefix(tag, "gap:"))
        return NULL;
    k = g_ascii_strtoull(tag + strlen("gap:"), &end, 10);
    return *end == '\0' && k < scene->gap_count ? &scene->gaps[k] : NULL;
}

/* The item that a tag means to select, or NULL. */
static const char *
item_of_tag(TbCutFace *face, const TbScene *scene, const char *tag)
{
    const TbSceneGap *gap = gap_of_tag(scene, tag);
    const char *subject = tb_session_cursor_item(face->session);

    if (gap != NULL)
        return g_strcmp0(gap->tag_b, subject) == 0 ? gap->tag_a : gap->tag_b;
    return tb_bay_item(tb_session_bay(face->session), tag) != NULL ? tag : NULL;
}

static void
point_with(TbCutFace *face, const char *cursor)
{
    gtk_widget_set_cursor_from_name(GTK_WIDGET(face->canvas), cursor);
}

void
tb_cut_face__unhover(TbCutFace *face)
{
    bool aims = face->picking > 0 || tb_session_tool(face->session) != TB_TOOL_NONE;

    point_with(face, aims ? "crosshair" : NULL);
    if (face->hovered == NULL && face->says == NULL)
        return;
    g_clear_pointer(&face->hovered, g_free);
    g_clear_pointer(&face->says, g_free);
    tb_canvas_redraw_over(face->canvas);
}

void
tb_cut_face__tell_place(TbCutFace *face, const TbScene *scene, TbVec2 at)
{
    TbVec3 p = tb_plane_lift(scene->plane, tb_viewport_bay(tb_cut_face__port(face, scene), at));
    g_autofree char *text = NULL;

    text = tb_shown_place(p, tb_session_unit(face->session));
    tb_session_set_pointer(face->session, text);
}

/* What the pointer says, and what it looks like, over what it is; takes the texts. */
static void
set_hover(TbCutFace *face, const char *hovered, char *says, const char *cursor)
{
    point_with(face, cursor);
    if (g_strcmp0(face->hovered, hovered) == 0 && says == NULL && face->says == NULL)
        return;
    g_free(face->hovered);
    g_free(face->says);
    face->hovered = g_strdup(hovered);
    face->says = says;
    tb_canvas_redraw_over(face->canvas);
}

static void
hover_thing(TbCutFace *face, const TbScene *scene, TbVec2 at)
{
    const char *tags[TB_FACE_HITS];
    size_t count = tb_canvas_hits(face->canvas, at, TB_FACE_REACH, tags, TB_FACE_HITS);
    TbSceneView view;
    const char *item;

    if (count == 0) {
        set_hover(face, NULL, NULL, NULL);
        return;
    }
    if (tb_cut_face__plane_of_tag(tags[0], &view)) {
        set_hover(face, NULL, g_strdup(_("Drag this plane")), "grab");
        return;
    }
    item = item_of_tag(face, scene, tags[0]);
    set_hover(face, item, item == NULL ? NULL : tb_cut_face__item_words(face, item), NULL);
}

void
tb_cut_face__hover(TbCutFace *face, TbVec2 at)
{
    TbScene *scene = tb_cut_face__scene(face);
    int grip;

    face->pointer = at;
    if (scene == NULL)
        return;
    tb_cut_face__tell_place(face, scene, at);
    if (face->picking > 0) {
        set_hover(face, NULL, NULL, "crosshair");
        return;
    }
    grip = tb_cut_face__grip_at(face, at);
    if (grip >= 0)
        set_hover(face, NULL,
                  face->def.name == NULL ? NULL
                                         : face->def.name(face->def.user, face->grips[grip].number),
                  "move");
    else if (tb_cut_face__is_on_cursor(face, scene, at))
        set_hover(face, NULL, NULL, "grab");
    else
        hover_thing(face, scene, at);
}

/* ---- selecting ---- */

/* A click on a path's centre line puts the cursor there too. */
static void
cursor_at(TbCutFace *face, const TbScene *scene, const char *item, TbVec2 at)
{
    TbViewport port = tb_cut_face__port(face, scene);
    double station = tb_drag_station(scene, item, tb_viewport_bay(port, at));
    TbVec2 place, across;

    if (isnan(station) || !tb_scene_station(scene, item, station, &place, &across))
        return;
    place = tb_viewport_paper(port, place);
    if (tb_vec2_length(tb_vec2_sub(place, at)) * TB_CANVAS_DOTS <= TB_FACE_REACH)
        tb_session_set_cursor(face->session, item, tb_drag_stepped(station));
}

void
tb_cut_face__select_at(TbCutFace *face, TbVec2 at)
{
    TbScene *scene = tb_cut_face__scene(face);
    const char *tags[TB_FACE_HITS];
    const char *items[TB_FACE_HITS];
    size_t count = tb_canvas_hits(face->canvas, at, TB_FACE_REACH, tags, TB_FACE_HITS);
    size_t found = 0;
    g_autofree char *chosen = NULL;

    for (size_t i = 0; scene != NULL && i < count; i++) {
        const char *item = item_of_tag(face, scene, tags[i]);
        bool twice = item == NULL;

        for (size_t k = 0; k < found && !twice; k++)
            twice = strcmp(items[k], item) == 0;
        if (!twice)
            items[found++] = item;
    }
    /* the same place again: what lies below */
    if (tb_vec2_length(tb_vec2_sub(at, face->clicked)) * TB_CANVAS_DOTS < TB_FACE_REACH &&
        found > 0 && g_strcmp0(items[face->below % found], tb_session_selected(face->session)) == 0)
        face->below++;
    else
        face->below = 0;
    face->clicked = at;
    if (found == 0) {
        tb_session_select(face->session, NULL);
        return;
    }
    chosen = g_strdup(items[face->below % found]);
    tb_session_select(face->session, chosen);
    cursor_at(face, scene, chosen, at);
}

/* ---- picking ---- */

/* The knot, port, corner or edge near a place, in space; else the plane's own place. */
static TbVec3
picked_point(TbCutFace *face, const TbScene *scene, TbVec2 at)
{
    TbViewport port = tb_cut_face__port(face, scene);
    TbVec2 bay = tb_viewport_bay(port, at);
    TbSnap snap;

    if (!tb_session_snap(face->session, face->slot, port.ratio, bay, false, &snap))
        return tb_plane_lift(scene->plane, bay);
    return tb_vec3_add_scaled(tb_plane_lift(scene->plane, snap.at),
                              isnan(snap.height) ? 0 : snap.height, scene->plane.n);
}

void
tb_cut_face__take_pick(TbCutFace *face, const TbScene *scene, TbVec2 at)
{
    face->picks[face->picked++] = picked_point(face, scene, at);
    if (face->picked == face->picking) {
        size_t count = face->picked;

        tb_cut_face_pick(face, 0);
        if (face->def.picked != NULL)
            face->def.picked(face->def.user, face->picks, count);
    } else {
        g_autofree char *text =
            g_strdup_printf(_("Point %zu of %zu is picked"), face->picked, face->picking);

        tb_session_say(face->session, text);
    }
    tb_canvas_redraw_over(face->canvas);
}

void
tb_cut_face_pick(TbCutFace *face, size_t count)
{
    g_return_if_fail(count <= TB_FACE_PICKS);
    face->picking = count;
    face->picked = 0;
    point_with(face, count > 0 ? "crosshair" : NULL);
    if (count > 0) {
        gtk_widget_grab_focus(GTK_WIDGET(face->canvas));
        tb_session_say(face->session, count == 3 ? _("Pick three points of the plane")
                                                 : _("Pick two points of the line"));
    }
    tb_canvas_redraw_over(face->canvas);
}
