/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/pack_pages.h"
#include "draw/pack_sheet.h"

#include <glib/gi18n-lib.h>
#include <string.h>

/** The chapters in their order. A new one is a file and a line here; see pack_pages.h. */
const TbPackKind *const tb_pack_kinds[] = {
    &tb_pack_summary,  &tb_pack_changes,  &tb_pack_cuts,  &tb_pack_ducts,
    &tb_pack_findings, &tb_pack_map,      &tb_pack_gaps,  &tb_pack_rough,
    &tb_pack_stations, &tb_pack_register, &tb_pack_basis,
};

const size_t tb_pack_kind_count = sizeof tb_pack_kinds / sizeof tb_pack_kinds[0];

struct TbPack {
    TbDossier *dossier;
    TbPaper paper;
    TbProjection projection;
    TbMeasurer measurer;
    GPtrArray *chapters; /**< of TbPackChapter, those that have something to say */
    size_t sheets;
};

const char *
tb_pack_chapter_name(size_t index)
{
    return index < tb_pack_kind_count ? tb_pack_kinds[index]->name : NULL;
}

const char *
tb_pack_chapter_title(size_t index)
{
    return _(tb_pack_kinds[index]->title);
}

/* ---- planning ---- */

static void
free_chapter(void *data)
{
    TbPackChapter *chapter = data;

    if (chapter->kind->clear != NULL)
        chapter->kind->clear(chapter);
    else
        g_free(chapter->own);
    tb_flow_free(chapter->flow);
    g_free(chapter);
}

static bool
is_wanted(const TbPackDef *def, const char *name)
{
    if (def->chapters == NULL)
        return true;
    for (size_t i = 0; def->chapters[i] != NULL; i++)
        if (strcmp(def->chapters[i], name) == 0)
            return true;
    return false;
}

static TbStatus
check_names(const TbPackDef *def, TbFault *fault)
{
    g_autoptr(GString) known = g_string_new(NULL);

    for (size_t k = 0; k < tb_pack_kind_count; k++)
        g_string_append_printf(known, "%s%s", k > 0 ? ", " : "", tb_pack_kinds[k]->name);
    for (size_t i = 0; def->chapters != NULL && def->chapters[i] != NULL; i++) {
        bool found = false;

        for (size_t k = 0; k < tb_pack_kind_count; k++)
            found = found || strcmp(tb_pack_kinds[k]->name, def->chapters[i]) == 0;
        if (!found)
            return tb_fail(fault, TB_E_REFERENCE, "no pages '%s', there are: %s", def->chapters[i],
                           known->str);
    }
    return TB_OK;
}

static void
plan_chapter(TbPack *pack, const TbPackKind *kind)
{
    TbRectangle room = tb_pack_sheet_room(pack->paper);
    TbPackChapter *chapter = g_new0(TbPackChapter, 1);

    *chapter = (TbPackChapter){.kind = kind,
                               .dossier = pack->dossier,
                               .measurer = pack->measurer,
                               .projection = pack->projection,
                               .size = tb_vec2_sub(room.high, room.low),
                               .all = pack->chapters};
    chapter->pages = kind->plan(chapter);
    if (chapter->pages == 0) {
        free_chapter(chapter);
        return;
    }
    g_ptr_array_insert(pack->chapters, 0, chapter);
}

static void
number_chapters(TbPack *pack)
{
    for (guint i = 0; i < pack->chapters->len; i++) {
        TbPackChapter *chapter = pack->chapters->pdata[i];

        chapter->number = i + 1;
        chapter->first = pack->sheets;
        pack->sheets += chapter->pages;
    }
}

TbStatus
tb_pack_new(const TbPackDef *def, TbPack **pack, TbFault *fault)
{
    TbStatus status = check_names(def, fault);
    TbPack *made;

    if (status != TB_OK)
        return status;
    made = g_new0(TbPack, 1);
    made->dossier = tb_dossier_ref(def->dossier);
    made->paper = def->paper;
    made->projection = def->projection;
    made->measurer = def->measurer;
    made->chapters = g_ptr_array_new_with_free_func(free_chapter);
    /* the first chapter tells the contents, so the others are planned before it */
    for (size_t i = tb_pack_kind_count; i-- > 0;)
        if (is_wanted(def, tb_pack_kinds[i]->name))
            plan_chapter(made, tb_pack_kinds[i]);
    number_chapters(made);
    *pack = made;
    return TB_OK;
}

void
tb_pack_free(TbPack *pack)
{
    if (pack == NULL)
        return;
    g_ptr_array_unref(pack->chapters);
    tb_dossier_unref(pack->dossier);
    g_free(pack);
}

size_t
tb_pack_count(const TbPack *pack)
{
    return pack->sheets;
}

TbVec2
tb_pack_size(const TbPack *pack)
{
    return tb_paper_size(pack->paper);
}

const TbDossier *
tb_pack_dossier(const TbPack *pack)
{
    return pack->dossier;
}

/* ---- sheets ---- */

static TbPackChapter *
chapter_of(const TbPack *pack, size_t sheet, size_t *page)
{
    for (guint i = 0; i < pack->chapters->len; i++) {
        TbPackChapter *chapter = pack->chapters->pdata[i];

        if (sheet < chapter->pages) {
            *page = sheet;
            return chapter;
        }
        sheet -= chapter->pages;
    }
    TB_ASSERT(false);
    return NULL;
}

static size_t
index_of(const TbPackKind *kind)
{
    size_t index = 0;

    while (tb_pack_kinds[index] != kind)
        index++;
    return index;
}

TbPackPlace
tb_pack_place(const TbPack *pack, size_t sheet)
{
    TbPackPlace place = {0};
    const TbPackChapter *chapter = chapter_of(pack, sheet, &place.page);

    place.chapter = index_of(chapter->kind);
    place.chapter_number = chapter->number;
    place.pages = chapter->pages;
    return place;
}

char *
tb_pack_label(const TbPack *pack, size_t sheet)
{
    size_t page;
    const TbPackChapter *chapter = chapter_of(pack, sheet, &page);

    return chapter->kind->label == NULL ? NULL : chapter->kind->label(chapter, page);
}

static char *
subject_of(const TbPackChapter *chapter, const TbPackSheet *sheet)
{
    return g_strdup_printf("%zu  %s", chapter->number,
                           sheet->subject != NULL ? sheet->subject : _(chapter->kind->title));
}

TbStatus
tb_pack_sheet(TbPack *pack, size_t number, TbTask *task, TbPicture *picture, TbFault *fault)
{
    TbVec2 size = tb_paper_size(pack->paper);
    size_t page;
    TbPackChapter *chapter = chapter_of(pack, number, &page);
    TbPackSheet sheet = {.picture = picture, .room = tb_pack_sheet_room(pack->paper)};
    TbStatus status = TB_OK;

    tb_picture_init(picture, size.x, size.y);
    if (chapter->kind->draw != NULL)
        status = chapter->kind->draw(chapter, page, &sheet, task, fault);
    else
        tb_flow_draw(chapter->flow, page, picture, sheet.room.low);
    if (status == TB_OK) {
        g_autofree char *subject = subject_of(chapter, &sheet);
        TbSheetTitle title = {.title = &pack->dossier->title,
                              .subject = subject,
                              .scale = sheet.scale,
                              .has_views = sheet.has_views,
                              .projection = pack->projection,
                              .sheet = number + 1,
                              .sheets = pack->sheets};

        tb_pack_sheet_frame(picture, pack->paper, &title, pack->measurer);
        if (picture->status != TB_OK)
            status = tb_fail(fault, picture->status, "no room for the drawing");
    }
    g_free(sheet.subject);
    return status;
}
