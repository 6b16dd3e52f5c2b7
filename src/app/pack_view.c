/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The sheet in the pack's middle: white paper on a desk, as it will be printed in any theme. */

#include "app/pack_window_private.h"

#include "draw/paint.h"

#include <glib/gi18n.h>
#include <math.h>

/** mm of the canvas around a sheet that is fitted. */
#define AIR 4.0

/** A sheet is shown at no less than a tenth of the canvas, and at most 16 times its size. */
#define LEAST 0.05
#define MOST 16.0

/** Zoom of one press of a button. */
#define STEP 1.25

/* ---- where the sheet lies ---- */

static TbVec2
size_of_sheet(TbPackWindow *window)
{
    if (window->picture.width > 0)
        return tb_vec2(window->picture.width, window->picture.height);
    return window->plan == NULL ? tb_vec2(1, 1) : window->plan->size;
}

static void
fit(TbPackWindow *window)
{
    TbVec2 room = tb_canvas_size(window->canvas), sheet = size_of_sheet(window);

    window->ratio = fmin((room.x - 2 * AIR) / sheet.x, (room.y - 2 * AIR) / sheet.y);
    window->ratio = fmax(window->ratio, LEAST);
    window->centre = tb_vec2_scale(sheet, 0.5);
}

/* No further than the sheet's edge; what fits stands in the middle. */
static double
within(double at, double sheet, double room, double ratio)
{
    double half = (room / 2 - AIR) / ratio;

    return sheet <= 2 * half ? sheet / 2 : fmin(fmax(at, half), sheet - half);
}

static void
settle(TbPackWindow *window)
{
    TbVec2 room = tb_canvas_size(window->canvas), sheet = size_of_sheet(window);

    if (window->fitted || !(window->ratio > 0))
        fit(window);
    window->centre.x = within(window->centre.x, sheet.x, room.x, window->ratio);
    window->centre.y = within(window->centre.y, sheet.y, room.y, window->ratio);
}

static void
desk(cairo_t *cairo, TbTheme theme)
{
    if (theme == TB_THEME_DARK || theme == TB_THEME_DARK_CONTRAST)
        cairo_set_source_rgb(cairo, 0.13, 0.14, 0.15);
    else
        cairo_set_source_rgb(cairo, 0.78, 0.78, 0.77);
    cairo_paint(cairo);
}

/* A sheet that is fitted has another zoom in a window of another size: told when it is painted. */
static gboolean
tell_zoom(void *data)
{
    TbPackWindow *window = data;

    window->telling = 0;
    tb_pack_view__update(window);
    return G_SOURCE_REMOVE;
}

static void
paint(void *user, cairo_t *cairo, TbVec2 size)
{
    TbPackWindow *window = user;
    TbVec2 sheet = size_of_sheet(window);

    desk(cairo, tb_canvas_theme(window->canvas));
    if (window->picture.width <= 0)
        return;
    settle(window);
    if (window->ratio != window->told_ratio && window->telling == 0)
        window->telling = g_idle_add(tell_zoom, window);
    cairo_translate(cairo, size.x / 2, size.y / 2);
    cairo_scale(cairo, window->ratio, window->ratio);
    cairo_translate(cairo, -window->centre.x, -window->centre.y);
    cairo_rectangle(cairo, 0, 0, sheet.x, sheet.y);
    cairo_clip(cairo);
    tb_paint_picture(cairo, &window->picture, tb_pack_choices_theme(window->settings));
}

/* ---- zoom and pan ---- */

static void
moved(TbPackWindow *window)
{
    tb_canvas_redraw(window->canvas);
    tb_pack_view__update(window);
}

static void
set_ratio(TbPackWindow *window, double ratio)
{
    window->ratio = fmin(fmax(ratio, LEAST), MOST);
    window->fitted = false;
}

static void
zoom(void *user, TbVec2 at, double factor)
{
    TbPackWindow *window = user;
    TbVec2 off = tb_vec2_sub(at, tb_vec2_scale(tb_canvas_size(window->canvas), 0.5));
    double before;

    settle(window);
    before = window->ratio;
    set_ratio(window, before * factor);
    /* what is under the pointer stays there */
    window->centre =
        tb_vec2_add(window->centre, tb_vec2_scale(off, 1 / before - 1 / window->ratio));
    settle(window);
    moved(window);
}

static void
pan(void *user, TbVec2 by)
{
    TbPackWindow *window = user;

    settle(window);
    window->centre = tb_vec2_sub(window->centre, tb_vec2_scale(by, 1 / window->ratio));
    settle(window);
    tb_canvas_redraw(window->canvas);
}

static void
fit_sheet(void *user)
{
    TbPackWindow *window = user;

    window->fitted = true;
    fit(window);
    moved(window);
}

static void
true_size(void *user, double ratio)
{
    TbPackWindow *window = user;

    settle(window);
    set_ratio(window, ratio);
    settle(window);
    moved(window);
}

/* ---- from sheet to sheet ---- */

static void
step(TbPackWindow *window, int by)
{
    size_t count = tb_pack_window_count(window);
    size_t sheet = window->sheet;

    if (by < 0 ? sheet > 0 : sheet + 1 < count)
        tb_pack_list__select(window, by < 0 ? sheet - 1 : sheet + 1);
}

static bool
key(void *user, guint key, GdkModifierType state)
{
    TbPackWindow *window = user;
    size_t count = tb_pack_window_count(window);

    if ((state & (GDK_CONTROL_MASK | GDK_ALT_MASK | GDK_SUPER_MASK)) || count == 0)
        return false;
    switch (key) {
    case GDK_KEY_Page_Up:
    case GDK_KEY_KP_Page_Up:
        step(window, -1);
        return true;
    case GDK_KEY_Page_Down:
    case GDK_KEY_KP_Page_Down:
        step(window, 1);
        return true;
    case GDK_KEY_Home:
    case GDK_KEY_KP_Home:
        tb_pack_list__select(window, 0);
        return true;
    case GDK_KEY_End:
    case GDK_KEY_KP_End:
        tb_pack_list__select(window, count - 1);
        return true;
    default:
        return false;
    }
}

/* ---- actions ---- */

static void
act(GSimpleAction *action, GVariant *parameter, void *data)
{
    TbPackWindow *window = data;
    const char *name = g_action_get_name(G_ACTION(action));
    TbVec2 middle = tb_vec2_scale(tb_canvas_size(window->canvas), 0.5);

    (void)parameter;
    if (g_str_equal(name, "zoom-in"))
        zoom(window, middle, STEP);
    else if (g_str_equal(name, "zoom-out"))
        zoom(window, middle, 1 / STEP);
    else if (g_str_equal(name, "fit"))
        fit_sheet(window);
    else if (g_str_equal(name, "true-size"))
        true_size(window, tb_canvas_true_ratio(window->canvas));
    else
        step(window, g_str_equal(name, "next-sheet") ? 1 : -1);
}

void
tb_pack_view__add_actions(TbPackWindow *window)
{
    static const GActionEntry entries[] = {
        {.name = "fit", .activate = act},          {.name = "next-sheet", .activate = act},
        {.name = "sheet-before", .activate = act}, {.name = "true-size", .activate = act},
        {.name = "zoom-in", .activate = act},      {.name = "zoom-out", .activate = act},
    };

    g_action_map_add_action_entries(G_ACTION_MAP(window->actions), entries, G_N_ELEMENTS(entries),
                                    window);
}

/* ---- what is shown ---- */

void
tb_pack_view__update(TbPackWindow *window)
{
    g_autofree char *name = NULL;
    g_autofree char *place = NULL;
    g_autofree char *share = NULL;
    size_t count = tb_pack_window_count(window);

    settle(window);
    window->told_ratio = window->ratio;
    if (count > 0)
        place = g_strdup_printf(_("%zu of %zu"), window->sheet + 1, count);
    name = tb_pack_list__name(window, window->sheet);
    share = g_strdup_printf("%.0f %%", 100 * window->ratio / tb_canvas_true_ratio(window->canvas));
    gtk_label_set_text(window->place_label, place == NULL ? "" : place);
    gtk_label_set_text(window->zoom_label, window->picture.width > 0 ? share : "");
    tb_canvas_describe(window->canvas, count > 0 ? name : _("No sheet"), share);
}

void
tb_pack_view__show(TbPackWindow *window, TbPicture *picture)
{
    tb_picture_clear(&window->picture);
    if (picture != NULL)
        window->picture = *picture;
    else
        tb_picture_init(&window->picture, 0, 0);
    moved(window);
}

void
tb_pack_view__init(TbPackWindow *window)
{
    TbCanvasDef def = {.paint = paint,
                       .zoom = zoom,
                       .pan = pan,
                       .fit = fit_sheet,
                       .true_size = true_size,
                       .key = key,
                       .user = window};

    tb_picture_init(&window->picture, 0, 0);
    window->fitted = true;
    window->canvas = TB_CANVAS(tb_canvas_new(&def));
    gtk_box_append(window->canvas_box, GTK_WIDGET(window->canvas));
}
