/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/save.h"
#include "draw/pack_pages.h"
#include "draw/paint.h"

#include <cairo-pdf.h>
#include <glib/gi18n-lib.h>
#include <string.h>

/** Points of PDF in one mm. */
#define POINTS (72 / 25.4)

/** What is written, and what became of it. */
typedef struct Writing {
    TbPackSink sink;
    void *user;
    TbStatus status;
    TbFault *fault;
} Writing;

/** A failure is kept here and not told to cairo: version 1.16 reads through a NULL pointer when it
 * ends a PDF whose stream failed while fonts were written. What comes after it is dropped. */
static cairo_status_t
pass_on(void *user, const unsigned char *bytes, unsigned size)
{
    Writing *writing = user;

    if (writing->status == TB_OK)
        writing->status = writing->sink(writing->user, bytes, size, writing->fault);
    return CAIRO_STATUS_SUCCESS;
}

static void
set(cairo_surface_t *surface, cairo_pdf_metadata_t what, const char *text)
{
    cairo_pdf_surface_set_metadata(surface, what, text);
}

/** Dates are the document's, or there are none: a clock would make two packs of one bay differ. */
static void
put_metadata(cairo_surface_t *surface, const TbDossier *dossier)
{
    const TbDossierTitle *title = &dossier->title;
    g_autofree char *subject =
        title->revision[0] == '\0'
            ? g_strdup(_("Design review pack"))
            : g_strdup_printf(_("Design review pack, revision %s"), title->revision);
    g_autofree char *date =
        strlen(title->date) == 10 ? g_strconcat(title->date, "T00:00:00Z", NULL) : g_strdup("");

    set(surface, CAIRO_PDF_METADATA_TITLE, title->title);
    set(surface, CAIRO_PDF_METADATA_AUTHOR,
        title->creator[0] != '\0' ? title->creator : title->owner);
    set(surface, CAIRO_PDF_METADATA_SUBJECT, subject);
    set(surface, CAIRO_PDF_METADATA_KEYWORDS, title->document);
    set(surface, CAIRO_PDF_METADATA_CREATOR, title->program);
    set(surface, CAIRO_PDF_METADATA_CREATE_DATE, date);
    set(surface, CAIRO_PDF_METADATA_MOD_DATE, date);
}

/** A bookmark for a chapter's first sheet, and one below it for each sheet that has a label. */
static void
put_bookmarks(cairo_surface_t *surface, const TbPack *pack, size_t sheet, int *chapter)
{
    TbPackPlace place = tb_pack_place(pack, sheet);
    g_autofree char *target = g_strdup_printf("page=%zu", sheet + 1);
    g_autofree char *number = g_strdup_printf("%zu.%zu", place.chapter_number, place.page + 1);
    g_autofree char *label = tb_pack_label(pack, sheet);

    if (place.page == 0) {
        g_autofree char *name =
            g_strdup_printf("%zu  %s", place.chapter_number, tb_pack_chapter_title(place.chapter));

        *chapter = cairo_pdf_surface_add_outline(surface, CAIRO_PDF_OUTLINE_ROOT, name, target,
                                                 CAIRO_PDF_OUTLINE_FLAG_OPEN);
    }
    if (label != NULL)
        cairo_pdf_surface_add_outline(surface, *chapter, label, target, 0);
    cairo_pdf_surface_set_page_label(surface, number);
}

/** Who hears of a pack while one of its sheets is drawn. */
typedef struct Listener {
    void (*report)(void *user, const char *what, double share);
    void *user;
    double done, whole; /**< sheets */
} Listener;

/** How far a sheet is, as a share of the pack. */
static void
pass_report(void *user, const char *what, double share)
{
    const Listener *listener = user;

    (void)what;
    listener->report(listener->user, _("drawing the pack"),
                     (listener->done + share) / listener->whole);
}

static TbStatus
draw_sheet(TbPack *pack, size_t sheet, TbTask *task, TbPicture *picture, TbFault *fault)
{
    Listener listener = {.done = (double)sheet, .whole = (double)tb_pack_count(pack)};
    TbStatus status;

    if (task == NULL || task->report == NULL)
        return tb_pack_sheet(pack, sheet, task, picture, fault);
    listener.report = task->report;
    listener.user = task->user;
    task->report = pass_report;
    task->user = &listener;
    status = tb_pack_sheet(pack, sheet, task, picture, fault);
    task->report = listener.report;
    task->user = listener.user;
    return status;
}

static TbStatus
write_sheet(cairo_t *cairo, TbPack *pack, size_t sheet, TbTheme theme, TbTask *task, TbFault *fault)
{
    TbPicture picture;
    TbStatus status = draw_sheet(pack, sheet, task, &picture, fault);

    if (status == TB_OK) {
        cairo_save(cairo);
        cairo_scale(cairo, POINTS, POINTS);
        tb_paint_marks(cairo, &picture, theme);
        cairo_restore(cairo);
        cairo_show_page(cairo);
    }
    tb_picture_clear(&picture);
    return status;
}

TbStatus
tb_pack_write(
    TbPack *pack, TbTheme theme, TbPackSink sink, void *user, TbTask *task, TbFault *fault)
{
    Writing writing = {sink, user, TB_OK, fault};
    TbVec2 size = tb_pack_size(pack);
    cairo_surface_t *surface =
        cairo_pdf_surface_create_for_stream(pass_on, &writing, size.x * POINTS, size.y * POINTS);
    cairo_t *cairo = cairo_create(surface);
    TbStatus status = TB_OK;
    cairo_status_t said;
    int chapter = CAIRO_PDF_OUTLINE_ROOT;

    put_metadata(surface, tb_pack_dossier(pack));
    for (size_t i = 0; status == TB_OK && i < tb_pack_count(pack); i++) {
        tb_task_report(task, _("drawing the pack"), (double)i / (double)tb_pack_count(pack));
        if (tb_task_is_cancelled(task)) {
            status = tb_fail(fault, TB_E_CANCELLED, "cancelled");
            break;
        }
        put_bookmarks(surface, pack, i, &chapter);
        status = write_sheet(cairo, pack, i, theme, task, fault);
        if (status == TB_OK)
            status = writing.status;
    }
    said = cairo_status(cairo);
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    if (said == CAIRO_STATUS_SUCCESS)
        said = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    if (status == TB_OK)
        status = writing.status;
    if (status == TB_OK && said != CAIRO_STATUS_SUCCESS)
        status = tb_fail(fault, said == CAIRO_STATUS_NO_MEMORY ? TB_E_MEMORY : TB_E_IO,
                         "the pack cannot be painted: %s", cairo_status_to_string(said));
    return status;
}

static TbStatus
to_file(void *user, const void *bytes, size_t size, TbFault *fault)
{
    return tb_save_write(user, bytes, size, fault);
}

TbStatus
tb_pack_save(TbPack *pack, TbTheme theme, const char *path, TbTask *task, TbFault *fault)
{
    TbSave *save = NULL;
    TbStatus status = tb_save_open(path, &save, fault);

    if (status != TB_OK)
        return status;
    status = tb_pack_write(pack, theme, to_file, save, task, fault);
    if (status == TB_OK)
        return tb_save_close(save, fault);
    tb_save_drop(save);
    return status;
}
