/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bench_drag_window.c
 * @brief drag-window: what a person sees of a drag: the same knot as in `drag`, in the window.
 *
 * Opens the program's own window on each example, takes hold of a knot of the outlet as the panes
 * do, and moves it at every frame to a new place, for 300 frames. Counted are frames that drew
 * another answer than the frame before: different results a second of the clock on the wall, with
 * all that the window does besides (lists, findings, details, status line) and with the toolkit
 * that draws without a graphics card. Lines for people tell what the window's thread needs of the
 * processor for an answer, how long each pane takes to be made and painted, and how many frames a
 * second a cursor that is scrubbed and a drawing that is dragged get.
 *
 * bench-drag-window VAN.bay PICKUP.bay; needs a display of its own (tests/window/display)
 */

#include "bench.h"

#include "app/canvas_private.h"
#include "app/drag.h"
#include "app/open.h"
#include "app/window.h"
#include "base/mem.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <time.h>

enum { STEPS = 300, EXAMPLES = 2, ROUNDS = 15, PANES = 4 };

/** s. Longest wait for the first answer. */
#define LONGEST 120

static const BenchRow rows[EXAMPLES] = {{"drag-window-van", 50, 60, false},
                                        {"drag-window-pickup", 25, 60, false}};

static const char *const pane_names[PANES] = {"side", "plan", "across", "strip"};

/** Which knot is dragged in the plan, from and to about its own place, mm; where the cursor is. */
typedef struct Example {
    size_t knot;
    TbVec2 from, to;
    double station;
} Example;

static const Example examples[EXAMPLES] = {
    {.knot = 2, .from = {-3, -9}, .to = {3, 11}, .station = 283},
    {.knot = 1, .from = {-2, -8}, .to = {3, 9}, .station = 243}};

typedef struct Run Run;

/** Something that is done at every frame. */
typedef void (*Step)(Run *run, double share);

struct Run {
    const Example *example;
    TbWindow *window;
    TbSession *session;
    GPtrArray *canvases;
    TbDrag drag;

    Step step;
    int frames;
    TbResults *drawn; /**< of the frame before */
    size_t different;
    double cpu, began; /**< ms */
    double frame_began, frame[STEPS];
};

/* ---- clocks, ms ---- */

/** Of the processor, for the window's thread. */
static double
thread_clock(void)
{
    struct timespec t;

    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

static double
wall_clock(void)
{
    return (double)g_get_monotonic_time() / 1e3;
}

/* ---- the window ---- */

static void
gather(GtkWidget *widget, GPtrArray *all)
{
    if (TB_IS_CANVAS(widget))
        g_ptr_array_add(all, widget);
    for (GtkWidget *child = gtk_widget_get_first_child(widget); child != NULL;
         child = gtk_widget_get_next_sibling(child))
        gather(child, all);
}

static gboolean
tick(void *data)
{
    (void)data;
    return G_SOURCE_CONTINUE;
}

static bool
is_ready(TbSession *session)
{
    return session != NULL && tb_session_is_settled(session) &&
           tb_session_shown(session)->ask.whole && tb_session_strip(session, NULL) != NULL;
}

/** Until all is judged for half a second. */
static bool
wait_for(TbWindow *window)
{
    double end = wall_clock() + LONGEST * 1e3, settled = 0;
    guint source = g_timeout_add(20, tick, NULL);

    while (wall_clock() < end && (settled == 0 || wall_clock() < settled + 500)) {
        g_main_context_iteration(NULL, TRUE);
        if (!is_ready(tb_window_session(window)))
            settled = 0;
        else if (settled == 0)
            settled = wall_clock();
    }
    g_source_remove(source);
    return settled != 0;
}

static TbWindow *
open_window(TbApplication *application, const char *path)
{
    g_autoptr(GFile) file = g_file_new_for_path(path);
    GList *windows;

    tb_open_file(application, file);
    windows = gtk_application_get_windows(GTK_APPLICATION(application));
    return windows != NULL && TB_IS_WINDOW(windows->data) && wait_for(windows->data) ? windows->data
                                                                                     : NULL;
}

/* ---- frames ---- */

/** Whether an answer tells anything else of the gaps than the one before. */
static bool
is_different(const TbResults *a, const TbResults *b)
{
    if (a->gap_count != b->gap_count)
        return true;
    for (size_t i = 0; i < a->gap_count; i++)
        if (a->gaps[i].gap.upper != b->gaps[i].gap.upper)
            return true;
    return false;
}

static void
note_drawn(Run *run)
{
    TbResults *now = tb_session_shown(run->session)->results;

    if (now == run->drawn)
        return;
    run->different += is_different(now, run->drawn);
    tb_results_unref(run->drawn);
    run->drawn = tb_results_ref(now);
}

static gboolean
at_frame(GtkWidget *widget, GdkFrameClock *clock, void *data)
{
    Run *run = data;

    (void)widget, (void)clock;
    run->frame_began = thread_clock();
    if (run->frames < STEPS)
        run->step(run, (double)run->frames / (STEPS - 1));
    return G_SOURCE_CONTINUE;
}

static void
after_paint(GdkFrameClock *clock, Run *run)
{
    (void)clock;
    if (run->frames < STEPS)
        run->frame[run->frames] = thread_clock() - run->frame_began;
    note_drawn(run);
    run->frames++;
}

/** 300 frames; @return s that they took. */
static double
run_frames(Run *run, Step step)
{
    GdkFrameClock *clock = gtk_widget_get_frame_clock(GTK_WIDGET(run->window));
    gulong painted = g_signal_connect(clock, "after-paint", G_CALLBACK(after_paint), run);
    guint ticking;

    run->step = step;
    run->frames = 0;
    run->different = 0;
    run->drawn = tb_results_ref(tb_session_shown(run->session)->results);
    ticking = gtk_widget_add_tick_callback(GTK_WIDGET(run->window), at_frame, run, NULL);
    run->cpu = thread_clock();
    run->began = wall_clock();
    while (run->frames < STEPS)
        g_main_context_iteration(NULL, TRUE);
    run->began = wall_clock() - run->began;
    run->cpu = thread_clock() - run->cpu;
    gtk_widget_remove_tick_callback(GTK_WIDGET(run->window), ticking);
    g_signal_handler_disconnect(clock, painted);
    tb_results_unref(run->drawn);
    return run->began / 1e3;
}

/* ---- what is done at a frame ---- */

static void
drag_knot(Run *run, double share)
{
    TbVec2 at = tb_vec2_add(tb_vec2_scale(run->example->from, 1 - share),
                            tb_vec2_scale(run->example->to, share));

    tb_drag_move(&run->drag, at, 1, false, NULL);
}

static void
scrub_cursor(Run *run, double share)
{
    tb_session_set_cursor(run->session, "outlet", 20 + 400 * share);
}

static void
pan_side(Run *run, double share)
{
    TbCanvas *canvas = run->canvases->pdata[0];

    canvas->def.pan(canvas->def.user, tb_vec2(share < 0.5 ? 0.3 : -0.3, 0.1));
}

/* ---- the rows ---- */

/** What it takes to make and to paint each pane as it is now. */
static void
tell_panes(Run *run, const char *name)
{
    for (guint i = 0; i < run->canvases->len && i < PANES; i++) {
        TbCanvas *canvas = run->canvases->pdata[i];
        int width = gtk_widget_get_width(GTK_WIDGET(canvas));
        int height = gtk_widget_get_height(GTK_WIDGET(canvas));
        double dots = tb_canvas_dots(canvas);
        double made[ROUNDS], painted[ROUNDS], making, painting;

        for (int k = 0; k < ROUNDS; k++) {
            cairo_surface_t *image = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
            cairo_t *cairo = cairo_create(image);
            TbPicture picture;

            made[k] = thread_clock();
            canvas->def.draw(canvas->def.user, &picture, tb_canvas_size(canvas));
            painted[k] = thread_clock();
            made[k] = painted[k] - made[k];
            cairo_scale(cairo, dots, dots);
            tb_paint_again(cairo, &picture, tb_canvas_theme(canvas), canvas->measurer);
            painted[k] = thread_clock() - painted[k];
            cairo_destroy(cairo);
            cairo_surface_destroy(image);
            tb_picture_clear(&picture);
        }
        making = bench_median(made, ROUNDS);
        painting = bench_median(painted, ROUNDS);
        bench_note("%s, %s, %d x %d: made in %.2f ms (least %.2f), painted in %.2f ms (least %.2f)",
                   name, pane_names[i], width, height, making, made[0], painting, painted[0]);
    }
}

static void
tell_frames(Run *run, const char *name, const char *what, double seconds)
{
    double median = bench_median(run->frame, STEPS); /* sorts: the least comes first */

    bench_note("%s, %s: %d frames in %.2f s, %.1f a second; the window's thread %.2f ms a frame in "
               "all, %.2f ms from frame to paint (least %.2f, 99 %%: %.2f)",
               name, what, STEPS, seconds, STEPS / seconds, run->cpu / STEPS, median, run->frame[0],
               bench_quantile(run->frame, STEPS, 0.99));
}

/** Takes hold of the knot; false when there is none. */
static bool
press(Run *run)
{
    TbPlane plan = tb_plane_of(tb_vec3(0, 0, 0), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
    TbHandle *handles = NULL;
    size_t count = 0;
    bool found = false;

    tb_bay_handles(tb_session_bay(run->session), tb_session_variant(run->session), "outlet",
                   &handles, &count, NULL);
    for (size_t i = 0; i < count && !found; i++)
        found = handles[i].kind == TB_HANDLE_KNOT && handles[i].index == run->example->knot &&
                tb_drag_press_handle(&run->drag, "outlet", i, plan, tb_vec2(0, 0));
    tb_free(handles);
    return found;
}

/** Different results drawn a second; 0 when nothing could be dragged. */
static double
run_example(Run *run, const char *name)
{
    double seconds, rate, all;
    guint64 answers = tb_session_answers(run->session);

    if (!press(run))
        return 0;
    all = bench_clock();
    seconds = run_frames(run, drag_knot);
    all = bench_clock() - all;
    answers = tb_session_answers(run->session) - answers;
    rate = (double)run->different / seconds;
    bench_note("%s: %zu different results drawn in %.2f s, %.1f a second, of %llu answers; the "
               "window's thread %.2f ms for each, all threads %.2f ms",
               name, run->different, seconds, rate, (unsigned long long)answers,
               run->cpu / (double)run->different, all / (double)run->different);
    tell_frames(run, name, "dragged", seconds);
    tb_drag_release(&run->drag);
    return rate;
}

static double
measure(TbApplication *application, const Example *example, const char *name, const char *path)
{
    Run *run = g_new0(Run, 1);
    double rate = 0;

    run->example = example;
    run->window = open_window(application, path);
    run->canvases = g_ptr_array_new();
    if (run->window != NULL) {
        run->session = tb_window_session(run->window);
        gather(GTK_WIDGET(run->window), run->canvases);
        tb_session_select(run->session, "outlet");
        tb_session_set_cursor(run->session, "outlet", example->station);
        tb_drag_init(&run->drag, run->session);
        wait_for(run->window);
        rate = run_example(run, name);
        wait_for(run->window);
        tell_panes(run, name);
        tell_frames(run, name, "cursor scrubbed", run_frames(run, scrub_cursor));
        tell_frames(run, name, "side cut panned", run_frames(run, pan_side));
        tb_drag_clear(&run->drag);
        gtk_window_destroy(GTK_WINDOW(run->window));
    }
    g_ptr_array_unref(run->canvases);
    g_free(run);
    return rate;
}

int
main(int argc, char **argv)
{
    TbApplication *application;
    double worst = INFINITY;
    bool failed = false;

    if (argc < 2)
        return bench_miss("drag-window", "no examples given");
    gsl_set_error_handler_off();
    tb_mem_keep();
    g_set_prgname("tightbay");
    application = tb_application_new();
    if (!g_application_register(G_APPLICATION(application), NULL, NULL) ||
        gdk_display_get_default() == NULL)
        return bench_miss("drag-window", "there is no display");
    g_application_hold(G_APPLICATION(application));
    for (int i = 0; i < EXAMPLES && i + 1 < argc; i++) {
        double rate = measure(application, &examples[i], rows[i].id, argv[1 + i]);

        failed |= bench_result_of(&rows[i], rate);
        worst = fmin(worst, rate / rows[i].must);
    }
    g_object_unref(application);
    return bench_result("drag-window", worst) | failed;
}
