/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The pack on paper: each sheet is made when the printer asks for it, by the pack's thread; the
 * toolkit waits for it without standing still. */

#include "app/pack_window_private.h"

#include "draw/paint.h"

#include <glib/gi18n.h>

/** Printing below this is not worth a bar, us. */
#define PROGRESS_AFTER (500 * 1000)

static GtkPageSetup *
page_setup(TbPackWindow *window)
{
    static const char *const names[TB_PAPER_COUNT] = {
        [TB_PAPER_A4] = GTK_PAPER_NAME_A4,
        [TB_PAPER_A3] = GTK_PAPER_NAME_A3,
        [TB_PAPER_LETTER] = GTK_PAPER_NAME_LETTER,
        [TB_PAPER_TABLOID] = "na_ledger",
    };
    int paper = g_settings_get_enum(window->settings, TB_PACK_PAPER);
    g_autoptr(GtkPaperSize) size = gtk_paper_size_new(names[paper]);
    GtkPageSetup *setup = gtk_page_setup_new();

    gtk_page_setup_set_paper_size_and_default_margins(setup, size);
    gtk_page_setup_set_orientation(setup, GTK_PAGE_ORIENTATION_LANDSCAPE);
    return setup;
}

/* ---- sheet after sheet ---- */

static void
show_progress(TbPackWindow *window, int page)
{
    int pages = 0;
    g_autofree char *what = NULL;

    g_object_get(window->print, "n-pages", &pages, NULL);
    if (g_get_monotonic_time() - window->print_began < PROGRESS_AFTER || pages < 1)
        return;
    what = g_strdup_printf(_("printing sheet %d of %d"), page + 1, pages);
    tb_pack_window__show_progress(window, what, (double)page / pages);
}

static void
draw_page(GtkPrintOperation *operation, GtkPrintContext *context, int page, TbPackWindow *window)
{
    gtk_print_operation_set_defer_drawing(operation);
    g_set_object(&window->page, context);
    show_progress(window, page);
    tb_pack_job_page(window->job, (size_t)page);
}

static void
paint(TbPackWindow *window, const TbPicture *picture)
{
    GtkPrintContext *context = window->page;
    cairo_t *cairo = gtk_print_context_get_cairo_context(context);
    /* with the full page, the context is as wide as the paper, in its own unit */
    double width = gtk_print_context_get_width(context);
    double paper =
        gtk_page_setup_get_paper_width(gtk_print_context_get_page_setup(context), GTK_UNIT_MM);

    cairo_save(cairo);
    cairo_scale(cairo, width / paper, width / paper);
    tb_paint_marks(cairo, picture, tb_pack_choices_theme(window->settings));
    cairo_restore(cairo);
}

void
tb_pack_print__paged(TbPackWindow *window, TbPicture *picture, const TbFault *fault)
{
    g_autoptr(GtkPrintOperation) operation =
        window->print == NULL ? NULL : g_object_ref(window->print);

    if (operation != NULL && window->page != NULL) {
        if (picture != NULL) {
            paint(window, picture);
        } else {
            if (fault->status != TB_E_CANCELLED)
                tb_pack_window__complain(window, fault->text);
            gtk_print_operation_cancel(operation);
        }
        g_clear_object(&window->page);
        gtk_print_operation_draw_page_finish(operation);
    }
    if (picture != NULL)
        tb_picture_clear(picture);
}

/* ---- begin and end ---- */

static void
end(TbPackWindow *window)
{
    if (window->print == NULL)
        return;
    g_signal_handlers_disconnect_by_data(window->print, window);
    g_clear_object(&window->page);
    g_clear_object(&window->print);
    if (window->work == TB_PACK_PRINTS)
        window->work = TB_PACK_IDLE;
    tb_pack_job_release(window->job);
}

static void
done(GtkPrintOperation *operation, GtkPrintOperationResult result, TbPackWindow *window)
{
    g_autoptr(GError) error = NULL;

    if (result == GTK_PRINT_OPERATION_RESULT_ERROR) {
        gtk_print_operation_get_error(operation, &error);
        tb_pack_window__complain(window, error->message);
    }
    end(window);
    tb_pack_window__show_progress(window, "", -1);
    tb_pack_window__update(window);
}

void
tb_pack_print__give_up(TbPackWindow *window)
{
    g_autoptr(GtkPrintOperation) operation =
        window->print == NULL ? NULL : g_object_ref(window->print);
    bool waits = window->page != NULL;

    if (operation == NULL)
        return;
    end(window);
    gtk_print_operation_cancel(operation);
    /* the toolkit hears of it only when the page that it waits for is done */
    if (waits)
        gtk_print_operation_draw_page_finish(operation);
}

GtkPrintOperation *
tb_pack_window_print_operation(TbPackWindow *window)
{
    GtkPrintOperation *operation = gtk_print_operation_new();
    g_autoptr(GtkPageSetup) setup = page_setup(window);

    gtk_print_operation_set_default_page_setup(operation, setup);
    /* the sheet has margins of its own; a printer that adds its own would shrink the drawing */
    gtk_print_operation_set_use_full_page(operation, TRUE);
    gtk_print_operation_set_n_pages(operation, (int)tb_pack_window_count(window));
    gtk_print_operation_set_job_name(operation, tb_session_title(window->session));
    gtk_print_operation_set_allow_async(operation, TRUE);
    g_signal_connect(operation, "draw-page", G_CALLBACK(draw_page), window);
    g_signal_connect(operation, "done", G_CALLBACK(done), window);
    tb_pack_job_hold(window->job);
    window->print = g_object_ref(operation);
    window->print_began = g_get_monotonic_time();
    window->work = TB_PACK_PRINTS;
    tb_pack_window__update(window);
    return operation;
}

void
tb_pack_print__print(TbPackWindow *window)
{
    g_autoptr(GtkPrintOperation) operation = tb_pack_window_print_operation(window);
    g_autoptr(GError) error = NULL;

    tb_pack_window__complain(window, NULL);
    if (gtk_print_operation_run(operation, GTK_PRINT_OPERATION_ACTION_PRINT_DIALOG,
                                GTK_WINDOW(window), &error) == GTK_PRINT_OPERATION_RESULT_ERROR) {
        tb_pack_window__complain(window, error->message);
        tb_pack_print__give_up(window);
        tb_pack_window__update(window);
    }
}
