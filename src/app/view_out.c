/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/view_out.h"

#include "draw/paint.h"

#include <glib/gi18n.h>
#include <string.h>

/* ---- files ---- */

/** A dialog that is open. */
typedef struct Exporting {
    TbSession *session;
    int pane;
    bool made; /* the drawing is there already, and no pane's */
    TbPicture picture;
} Exporting;

static void
exporting_free(void *data, GClosure *closure)
{
    Exporting *exporting = data;

    (void)closure;
    g_object_unref(exporting->session);
    if (exporting->made)
        tb_picture_clear(&exporting->picture);
    g_free(exporting);
}

/* The ending goes by the filter that was chosen, where the name has none. */
static char *
path_with_ending(GtkFileChooser *chooser)
{
    g_autoptr(GFile) file = gtk_file_chooser_get_file(chooser);
    GtkFileFilter *filter = gtk_file_chooser_get_filter(chooser);
    char *path = file == NULL ? NULL : g_file_get_path(file);
    char *whole;

    if (path == NULL || tb_export_format_of(path) != TB_EXPORT_UNKNOWN || filter == NULL)
        return path;
    whole = g_strconcat(path, ".", gtk_file_filter_get_name(filter), NULL);
    for (char *c = whole + strlen(path); *c != '\0'; c++)
        *c = g_ascii_tolower(*c);
    g_free(path);
    return whole;
}

/* Ids of the choice of dots an inch. The usual one stands first: that is what the dialog shows. */
static const char *const dots[] = {"200", "300", "600", "100", NULL};

/* Dots an inch of a PNG, as chosen. */
static double
dots_of(GtkFileChooser *chooser)
{
    const char *chosen = gtk_file_chooser_get_choice(chooser, "dots");
    double dpi = chosen == NULL ? 0 : g_ascii_strtod(chosen, NULL);

    return dpi > 0 ? dpi : TB_EXPORT_DPI;
}

static void
add_dots(GtkFileChooser *chooser)
{
    /* the numbers are their own labels */
    gtk_file_chooser_add_choice(chooser, "dots", _("Dots an inch of a PNG"), (const char **)dots,
                                (const char **)dots);
    gtk_file_chooser_set_choice(chooser, "dots", dots[0]);
}

static TbStatus
write_out(const Exporting *exporting, const char *path, double dpi, TbFault *fault)
{
    if (exporting->made)
        return tb_view_sheet_write(&exporting->picture, path, dpi, fault);
    return tb_view_sheet_save(exporting->session, exporting->pane, path, dpi, fault);
}

static void
export_answered(GtkNativeDialog *dialog, int response, Exporting *exporting)
{
    g_autofree char *path = NULL;
    g_autofree char *said = NULL;
    TbFault fault = {0};

    if (response == GTK_RESPONSE_ACCEPT) {
        path = path_with_ending(GTK_FILE_CHOOSER(dialog));
        if (path == NULL)
            said = g_strdup(_("That place is not on this computer, so nothing was written."));
        else if (write_out(exporting, path, dots_of(GTK_FILE_CHOOSER(dialog)), &fault) == TB_OK)
            said = g_strdup_printf(_("Exported %s"), path);
        else
            said = g_strdup(fault.text);
        tb_session_tell(exporting->session, said);
    }
    gtk_native_dialog_destroy(dialog);
    g_object_unref(dialog);
}

static void
add_filter(GtkFileChooser *chooser, const char *name, const char *pattern)
{
    g_autoptr(GtkFileFilter) filter = gtk_file_filter_new();

    gtk_file_filter_set_name(filter, name);
    gtk_file_filter_add_pattern(filter, pattern);
    gtk_file_chooser_add_filter(chooser, filter);
}

/* Takes what is exported. */
static void
ask_where(GtkWindow *parent, const char *name, Exporting *exporting)
{
    GtkFileChooserNative *dialog = gtk_file_chooser_native_new(
        _("Export View"), parent, GTK_FILE_CHOOSER_ACTION_SAVE, _("_Export"), _("_Cancel"));

    add_filter(GTK_FILE_CHOOSER(dialog), "PDF", "*.pdf");
    add_filter(GTK_FILE_CHOOSER(dialog), "SVG", "*.svg");
    add_filter(GTK_FILE_CHOOSER(dialog), "PNG", "*.png");
    add_dots(GTK_FILE_CHOOSER(dialog));
    gtk_file_chooser_set_current_name(GTK_FILE_CHOOSER(dialog), name);
    g_signal_connect_data(dialog, "response", G_CALLBACK(export_answered), exporting,
                          exporting_free, 0);
    gtk_native_dialog_show(GTK_NATIVE_DIALOG(dialog));
}

void
tb_view_out_export(GtkWindow *parent, TbSession *session, int pane)
{
    g_autofree char *name = tb_view_sheet_name(session, pane, "pdf");
    Exporting *exporting = g_new0(Exporting, 1);

    exporting->session = g_object_ref(session);
    exporting->pane = pane;
    ask_where(parent, name, exporting);
}

void
tb_view_out_save(GtkWindow *parent, TbSession *session, const char *name, TbPicture *picture)
{
    Exporting *exporting = g_new0(Exporting, 1);

    exporting->session = g_object_ref(session);
    exporting->made = true;
    exporting->picture = *picture;
    *picture = (TbPicture){0};
    ask_where(parent, name, exporting);
}

/* ---- paper ---- */

typedef struct Printing {
    TbPicture picture;
} Printing;

static void
printing_free(void *data)
{
    Printing *printing = data;

    tb_picture_clear(&printing->picture);
    g_free(printing);
}

static void
draw_page(GtkPrintOperation *operation, GtkPrintContext *context, int page, Printing *printing)
{
    cairo_t *cairo = gtk_print_context_get_cairo_context(context);
    /* with the full page, the context is as wide as the paper, in its own unit */
    double width = gtk_print_context_get_width(context);
    double paper =
        gtk_page_setup_get_paper_width(gtk_print_context_get_page_setup(context), GTK_UNIT_MM);

    (void)operation, (void)page;
    cairo_save(cairo);
    cairo_scale(cairo, width / paper, width / paper);
    tb_paint_picture(cairo, &printing->picture, TB_THEME_PRINT);
    cairo_restore(cairo);
}

GtkPrintOperation *
tb_view_out_print_operation(TbSession *session, int pane)
{
    GtkPrintOperation *operation = gtk_print_operation_new();
    g_autoptr(GtkPageSetup) setup = gtk_page_setup_new();
    g_autoptr(GtkPaperSize) paper = gtk_paper_size_new(GTK_PAPER_NAME_A4);
    g_autofree char *name = tb_view_sheet_name(session, pane, "pdf");
    Printing *printing = g_new0(Printing, 1);
    TbFault fault = {0};

    g_object_set_data_full(G_OBJECT(operation), "picture", printing, printing_free);
    if (tb_view_sheet(session, pane, 0, &printing->picture, &fault) != TB_OK) {
        tb_session_tell(session, fault.text);
        g_object_unref(operation);
        return NULL;
    }
    gtk_page_setup_set_paper_size_and_default_margins(setup, paper);
    gtk_page_setup_set_orientation(setup, GTK_PAGE_ORIENTATION_LANDSCAPE);
    gtk_print_operation_set_default_page_setup(operation, setup);
    /* the sheet has margins of its own; a printer that adds its own would shrink the drawing */
    gtk_print_operation_set_use_full_page(operation, TRUE);
    gtk_print_operation_set_n_pages(operation, 1);
    gtk_print_operation_set_job_name(operation, name);
    g_signal_connect(operation, "draw-page", G_CALLBACK(draw_page), printing);
    return operation;
}

void
tb_view_out_print(GtkWindow *parent, TbSession *session, int pane)
{
    g_autoptr(GtkPrintOperation) operation = tb_view_out_print_operation(session, pane);
    g_autoptr(GError) error = NULL;

    if (operation != NULL &&
        gtk_print_operation_run(operation, GTK_PRINT_OPERATION_ACTION_PRINT_DIALOG, parent,
                                &error) == GTK_PRINT_OPERATION_RESULT_ERROR)
        tb_session_tell(session, error->message);
}
