/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file dossier.h
 * @brief A dossier made by hand: as many gaps as wanted, names of a wanted length, findings of
 * every level, lists with rows, and the fixture's scene for every cut.
 */
#pragma once

#include "study/dossier.h"

#include "fixture.h"

#include <glib.h>
#include <math.h>

enum { HAND_ITEMS = 9, HAND_FINDINGS = 6, HAND_ROWS = 61 };

typedef struct Hand {
    TbDossier dossier;
    TbResults results;
    TbResultItem items[HAND_ITEMS];
    TbResultName states[2], variants[2];
    TbResultDuct duct;
    TbStationRow rows[HAND_ROWS];
    TbResultName named[1];
    double named_at[1];
    TbFinding findings[HAND_FINDINGS];
    TbResultGap *gaps;
    TbDossierGap *gap_rows;
    TbDossierFinding told[HAND_FINDINGS];
    const char *cells[TB_DOSSIER_LISTS][7 * 4];
    TbLevel levels[7];
    char *names[HAND_ITEMS];
    Fixture fixture;
    size_t cuts; /* that were asked for */
    bool cuts_fail;
} Hand;

static TbStatus
hand_cut(void *user, const TbDossierCut *cut, TbTask *task, TbScene **scene, TbFault *fault)
{
    Hand *hand = user;

    (void)cut;
    (void)task;
    hand->cuts++;
    if (hand->cuts_fail)
        return tb_fail(fault, TB_E_RANGE, "no cut at Y = 212 mm");
    *scene = tb_scene_ref(&hand->fixture.scene);
    return TB_OK;
}

static TbStatus
hand_strip(void *user,
           const char *item,
           const char *state,
           const char *variant,
           bool before,
           TbTask *task,
           TbSceneStrip **strip,
           TbFault *fault)
{
    (void)user;
    (void)item;
    (void)state;
    (void)variant;
    (void)before;
    (void)task;
    (void)strip;
    return tb_fail(fault, TB_E_RANGE, "no strip");
}

/** "Item 3 of a long name ..." of so many letters, without spaces in every second one. */
static char *
hand_name(int index, size_t letters)
{
    GString *name = g_string_new(NULL);

    g_string_printf(name, "Item %d", index);
    while ((size_t)g_utf8_strlen(name->str, -1) < letters)
        g_string_append(name, index % 2 == 0 ? "Ölrücklauf" : " oil drain");
    if ((size_t)g_utf8_strlen(name->str, -1) > letters && letters > 8)
        g_string_truncate(name,
                          (gsize)(g_utf8_offset_to_pointer(name->str, (glong)letters) - name->str));
    return g_string_free(name, FALSE);
}

static void
hand_gap(Hand *hand, size_t i)
{
    TbResultGap *gap = &hand->gaps[i];
    size_t a = i % HAND_ITEMS, b = (i + 1 + i / HAND_ITEMS % (HAND_ITEMS - 1)) % HAND_ITEMS;

    gap->a = hand->items[a].id;
    gap->b = hand->items[b].id;
    gap->state = hand->states[i % 2].id;
    gap->variant = hand->variants[i / 2 % 2].id;
    gap->reason = (char *)"";
    gap->keep = 12.5;
    gap->gap.lower = 9.37 + 0.113 * (double)i;
    gap->gap.upper = gap->gap.lower + 0.01;
    gap->margin = gap->gap.lower - gap->keep;
    gap->uncertainty = 1.3;
    gap->level = gap->margin < 0   ? TB_LEVEL_SHORT
                 : gap->margin < 1 ? TB_LEVEL_WATCH
                                   : TB_LEVEL_HOLDS;
    gap->gap.site_a = (TbSite){.on_sweep = true, .station = 117.3 + (double)i};
    hand->gap_rows[i] = (TbDossierGap){gap, gap->variant, "calliper"};
}

static void
hand_finding(Hand *hand, size_t i)
{
    static const TbLevel levels[HAND_FINDINGS] = {TB_LEVEL_SHORT, TB_LEVEL_SHORT, TB_LEVEL_OPEN,
                                                  TB_LEVEL_WATCH, TB_LEVEL_WATCH, TB_LEVEL_HOLDS};
    TbFinding *finding = &hand->findings[i];

    finding->rule = (char *)"bend-radius";
    finding->subject = hand->items[i].id;
    finding->id = g_strdup_printf("bend-radius/%s//", finding->subject);
    finding->state = finding->variant = finding->unit = finding->basis = (char *)"";
    finding->place.item = (char *)"";
    finding->value = 37.1 + (double)i;
    finding->limit = 43.7;
    finding->margin = -6.6 + (double)i;
    finding->level = levels[i];
}

static void
hand_list(Hand *hand, TbDossierList list, const char *title, size_t columns, size_t rows)
{
    static const char *const heads[] = {"Name", "Why it is so", "Number mm", "Source"};
    TbDossierTable *table = &hand->dossier.lists[list];

    table->title = title;
    table->column_count = columns;
    table->row_count = rows;
    table->cells = hand->cells[list];
    for (size_t c = 0; c < columns; c++)
        table->columns[c] = (TbDossierColumn){heads[c], c == 2};
    for (size_t r = 0; r < rows; r++)
        for (size_t c = 0; c < columns; c++)
            hand->cells[list][r * columns + c] =
                c == 0 ? hand->names[r]
                : c == 1
                    ? "a reason of some words, so that the column has to wrap where it is tight"
                : c == 2 ? "1234.5"
                         : "common practice, no source";
}

static void
hand_lists(Hand *hand)
{
    static const char *const titles[TB_DOSSIER_LISTS] = {
        "Ducts",  "Classes", "Rough",         "Unpaired", "Unjudged", "Items",   "Materials",
        "Mounts", "States",  "Variants",      "Keeps",    "Joints",   "Assumed", "Revisions",
        "Basis",  "Notes",   "Changed items", "Areas",    "Gaps",     "Levels"};

    for (int i = 0; i < TB_DOSSIER_LISTS; i++)
        hand_list(hand, (TbDossierList)i, titles[i], 4, 7);
    hand->dossier.lists[TB_DOSSIER_ROUGH].levels = hand->levels;
}

/** @param gaps how many; @param letters of every name */
static void
hand_make(Hand *hand, size_t gaps, size_t letters)
{
    TbMatterAsk ask = {.whole = &hand->results};
    TbDossier *d = &hand->dossier;

    memset(hand, 0, sizeof *hand);
    fixture_scene(&hand->fixture);
    hand->fixture.scene.references = 1000;
    for (int i = 0; i < HAND_ITEMS; i++) {
        hand->names[i] = hand_name(i, letters);
        hand->items[i] = (TbResultItem){g_strdup_printf("item-%d", i),
                                        hand->names[i],
                                        (char *)"duct",
                                        (char *)"hot",
                                        (char *)"engine",
                                        (char *)""};
    }
    hand->states[0] = (TbResultName){(char *)"cold", (char *)"cold"};
    hand->states[1] = (TbResultName){(char *)"hot-rocking", hand->names[3]};
    hand->variants[0] = (TbResultName){(char *)"std-s", (char *)"standard height"};
    hand->variants[1] = (TbResultName){(char *)"high-l", hand->names[4]};
    for (int i = 0; i < HAND_ROWS; i++)
        hand->rows[i] = (TbStationRow){.station = 5.0 * i,
                                       .point = {1177.8 + i, -218.2 + i, 735.0 - 7 * i},
                                       .area = 2642.1 + 31 * i,
                                       .hydraulic_diameter = 58.0,
                                       .width = 58.0,
                                       .height = 44.7,
                                       .wall = 4,
                                       .curvature = 0.01445,
                                       .growth = 6.2,
                                       .cone_angle = 3.4};
    hand->named[0].name = (char *)"lambda sensor";
    hand->named_at[0] = 152.4;
    hand->duct = (TbResultDuct){.id = hand->items[0].id,
                                .length = 300,
                                .volume_inner = 1.1e6,
                                .mass = 3.74,
                                .rows = hand->rows,
                                .row_count = HAND_ROWS,
                                .named = hand->named,
                                .named_at = hand->named_at,
                                .named_count = 1};
    hand->gaps = g_new0(TbResultGap, gaps + 1);
    hand->gap_rows = g_new0(TbDossierGap, gaps + 1);
    for (size_t i = 0; i < gaps; i++)
        hand_gap(hand, i);
    for (size_t i = 0; i < HAND_FINDINGS; i++)
        hand_finding(hand, i);
    hand->results = (TbResults){.references = 1000,
                                .bay = hand->names[0],
                                .revision = (char *)"C",
                                .items = hand->items,
                                .item_count = HAND_ITEMS,
                                .states = hand->states,
                                .state_count = 2,
                                .variants = hand->variants,
                                .variant_count = 2,
                                .ducts = &hand->duct,
                                .duct_count = 1,
                                .gaps = hand->gaps,
                                .gap_count = gaps,
                                .findings = hand->findings,
                                .finding_count = HAND_FINDINGS};
    d->references = 1000;
    d->title = (TbDossierTitle){.document = "hand-made",
                                .title = hand->names[0],
                                .revision = "C",
                                .change = "Section at station 255 opened.",
                                .owner = "",
                                .creator = "design",
                                .date = "2026-10-19",
                                .vehicle = "",
                                .program = "Tightbay"};
    d->results = &hand->results;
    d->matters = tb_matters_new(&ask);
    for (size_t i = 0; i < HAND_FINDINGS - 1; i++)
        hand->told[i] = (TbDossierFinding){.matter = &d->matters->matters[i],
                                           .number = i + 1,
                                           .what = hand->names[i],
                                           .where = "between stations 210 and 267 mm",
                                           .decided = i % 2 == 0 ? "Waived" : "Not decided",
                                           .owner = i % 2 == 0 ? "A. B." : "",
                                           .due = i % 2 == 0 ? "2027-01-31" : "",
                                           .reason = i % 2 == 0 ? hand->names[i] : ""};
    d->findings = hand->told;
    d->finding_count = HAND_FINDINGS - 1;
    d->gaps = hand->gap_rows;
    d->gap_count = gaps;
    d->subject = hand->items[0].id;
    d->state = "cold";
    d->variant = "std-s";
    d->maker = (TbDossierMaker){.cut = hand_cut, .strip = hand_strip, .user = hand};
    hand_lists(hand);
}

static void
hand_clear(Hand *hand)
{
    tb_matters_free(hand->dossier.matters);
    for (int i = 0; i < HAND_ITEMS; i++) {
        g_free(hand->names[i]);
        g_free(hand->items[i].id);
    }
    for (size_t i = 0; i < HAND_FINDINGS; i++)
        g_free(hand->findings[i].id);
    g_free(hand->gaps);
    g_free(hand->gap_rows);
}
