/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file pack.h
 * @brief The review pack: chapters of sheets, each sheet a picture, made when it is asked for.
 *
 * A pack is planned once: which chapters there are and how many sheets each takes. Any sheet can
 * then be drawn, in any order: a preview draws the one that is looked at, the writer one after the
 * other, and neither holds more than one. Chapters with nothing to say are left out.
 */
#pragma once

#include "base/work.h"
#include "draw/labels.h"
#include "draw/picture.h"
#include "study/dossier.h"

typedef enum TbPaper {
    TB_PAPER_A4,
    TB_PAPER_A3,
    TB_PAPER_LETTER,
    TB_PAPER_TABLOID,
    TB_PAPER_COUNT
} TbPaper;

/** "A4", "A3", "Letter", "Tabloid". */
const char *tb_paper_name(TbPaper paper);

/** By its name, whatever the case; -1: there is none. */
int tb_paper_of(const char *name);

/** mm, lying. */
TbVec2 tb_paper_size(TbPaper paper);

/** How views are placed about each other. */
typedef enum TbProjection { TB_PROJECTION_FIRST, TB_PROJECTION_THIRD } TbProjection;

typedef struct TbPackDef {
    TbDossier *dossier; /**< referenced by the pack */
    TbPaper paper;
    TbProjection projection;
    const char *const *chapters; /**< their names, ending in NULL; NULL: all there are */
    TbMeasurer measurer;         /**< must outlive the pack */
} TbPackDef;

typedef struct TbPack TbPack;

/** The names of all chapters, in their order; NULL behind the last. Lent, for ever. */
const char *tb_pack_chapter_name(size_t index);

/** A chapter's title in the user's language. */
const char *tb_pack_chapter_title(size_t index);

/** Plan a pack. @return TB_OK; TB_E_REFERENCE: no such chapter, with those there are */
TbStatus tb_pack_new(const TbPackDef *def, TbPack **pack, TbFault *fault);
void tb_pack_free(TbPack *pack); /**< NULL is fine */

/** How many sheets there are. */
size_t tb_pack_count(const TbPack *pack);

/** mm of its sheets, lying. */
TbVec2 tb_pack_size(const TbPack *pack);

/** What it is made from. Lent. */
const TbDossier *tb_pack_dossier(const TbPack *pack);

/** One sheet's place in the pack. */
typedef struct TbPackPlace {
    size_t chapter;        /**< index as of tb_pack_chapter_name() */
    size_t chapter_number; /**< as printed, from 1 */
    size_t page, pages;    /**< within the chapter, from 0 */
} TbPackPlace;

TbPackPlace tb_pack_place(const TbPack *pack, size_t sheet);

/** What a sheet is called within its chapter, for a bookmark; NULL: it needs none. g_free(). */
char *tb_pack_label(const TbPack *pack, size_t sheet);

/**
 * Draw a sheet.
 *
 * @param[out] picture started here; the caller clears it, also on failure
 * @return TB_OK, TB_E_MEMORY, TB_E_CANCELLED, or why a cut cannot be made
 */
TbStatus
tb_pack_sheet(TbPack *pack, size_t sheet, TbTask *task, TbPicture *picture, TbFault *fault);

/** Takes a document's bytes as they come. */
typedef TbStatus (*TbPackSink)(void *user, const void *bytes, size_t size, TbFault *fault);

/**
 * Write all sheets as one PDF: text as text, fonts embedded, bookmarks, page labels, metadata. The
 * same dossier gives the same bytes.
 *
 * @return TB_OK, what the sink said, or as tb_pack_sheet()
 */
TbStatus tb_pack_write(
    TbPack *pack, TbTheme theme, TbPackSink sink, void *user, TbTask *task, TbFault *fault);

/** The same into a file, whole or not at all. */
TbStatus tb_pack_save(TbPack *pack, TbTheme theme, const char *path, TbTask *task, TbFault *fault);
