/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/view_sheet.h"

#include "base/mem.h"
#include "base/save.h"
#include "draw/charts.h"
#include "draw/cut_view.h"
#include "draw/paint.h"

#include <glib/gi18n.h>
#include <string.h>

TbStatus
tb_view_sheet(TbSession *session, int pane, double ratio, TbPicture *picture, TbFault *fault)
{
    TbPaintMeasurer *measurer = tb_paint_measurer_new();
    const TbFault *why = NULL;
    TbScene *scene = pane == TB_SHEET_STRIP ? NULL : tb_session_scene(session, pane, &why);
    TbSceneStrip *strip = pane == TB_SHEET_STRIP ? tb_session_strip(session, &why) : NULL;
    TbStatus status;

    if (scene != NULL) {
        status = tb_cut_view(picture, scene, ratio, tb_paint_measurer(measurer), fault);
    } else if (strip != NULL) {
        status = tb_charts_view(picture, strip, tb_paint_measurer(measurer), fault);
    } else {
        tb_picture_init(picture, 1, 1);
        status = tb_fail(fault, TB_E_REFERENCE, "there is nothing to draw: %s",
                         why->text[0] != '\0' ? why->text : "the bay is not judged yet");
    }
    tb_paint_measurer_free(measurer);
    return status;
}

static const char *
word_of(TbSession *session, int pane)
{
    if (pane == TB_SHEET_STRIP)
        return _("along the path");
    switch (tb_session_view(session, pane)) {
    case TB_SCENE_SIDE:
        return _("side cut");
    case TB_SCENE_PLAN:
        return _("plan cut");
    case TB_SCENE_FRONT:
        return _("front cut");
    case TB_SCENE_ACROSS:
        return _("across the path");
    case TB_SCENE_FREE:
        break;
    }
    return _("free cut");
}

char *
tb_view_sheet_name(TbSession *session, int pane, const char *ending)
{
    GFile *file = tb_session_file(session);
    g_autofree char *name = file == NULL ? g_strdup(_("bay")) : g_file_get_basename(file);

    if (g_str_has_suffix(name, ".bay"))
        name[strlen(name) - strlen(".bay")] = '\0';
    return g_strdup_printf("%s %s.%s", name, word_of(session, pane), ending);
}

TbStatus
tb_view_sheet_write(const TbPicture *picture, const char *path, double dpi, TbFault *fault)
{
    TbExportFormat format = tb_export_format_of(path);
    unsigned char *bytes = NULL;
    size_t size = 0;
    TbStatus status;

    if (format == TB_EXPORT_UNKNOWN)
        return tb_fail(fault, TB_E_FORMAT, "%s ends in none of .svg, .pdf, .png", path);
    if (format == TB_EXPORT_PNG)
        status = tb_export_png(picture, TB_THEME_PRINT, dpi, &bytes, &size, fault);
    else
        status = tb_export_bytes(picture, format, TB_THEME_PRINT, &bytes, &size, fault);
    if (status == TB_OK)
        status = tb_save_bytes(path, bytes, size, fault);
    tb_free(bytes);
    return status;
}

TbStatus
tb_view_sheet_save(TbSession *session, int pane, const char *path, double dpi, TbFault *fault)
{
    TbPicture picture;
    TbStatus status = tb_view_sheet(session, pane, 0, &picture, fault);

    if (status == TB_OK)
        status = tb_view_sheet_write(&picture, path, dpi, fault);
    tb_picture_clear(&picture);
    return status;
}
