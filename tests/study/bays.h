/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file bays.h
 * @brief Small bays as texts, and a study that answers about one.
 */
#pragma once

#include "bay/edit.h"
#include "bay/read.h"
#include "study/report.h"
#include "study/say.h"
#include "study/study.h"

#include <check.h>
#include <stdio.h>
#include <string.h>

/** A document from its text; the test fails with the reader's sentence otherwise. */
static inline TbBay *
bay_of(const char *text)
{
    TbBay *bay = NULL;
    TbFault fault = {0};
    TbStatus status = tb_bay_read_bytes(text, strlen(text), &bay, &fault);

    ck_assert_msg(status == TB_OK, "line %d: %s", fault.line, fault.text);
    return bay;
}

/** A study with its own store and no pool. */
static inline TbStudy *
study_alone(void)
{
    TbStore *store = tb_store_new();
    TbStudy *study = tb_study_new(store, NULL);

    tb_store_unref(store);
    ck_assert_ptr_nonnull(study);
    return study;
}

/** Judge all states and variants of a bay; the test fails otherwise. */
static inline TbResults *
judged(TbStudy *study, TbBay *bay)
{
    TbAsk ask = {.bay = bay, .profiles = true, .station_step = 11};
    TbResults *results = NULL;
    TbFault fault = {0};
    TbStatus status = tb_study_judge(study, &ask, NULL, &results, &fault);

    ck_assert_msg(status == TB_OK, "%s", fault.text);
    return results;
}

/** The results of a text in one go. */
static inline TbResults *
results_of(const char *text)
{
    TbBay *bay = bay_of(text);
    TbStudy *study = study_alone();
    TbResults *results = judged(study, bay);

    tb_study_free(study);
    tb_bay_unref(bay);
    return results;
}

/** The finding of an id, or NULL. */
static inline const TbFinding *
finding(const TbResults *results, const char *id)
{
    for (size_t i = 0; i < results->finding_count; i++)
        if (strcmp(results->findings[i].id, id) == 0)
            return &results->findings[i];
    return NULL;
}

/** The same; the test fails, telling what there is, when it is missing. */
static inline const TbFinding *
want_finding(const TbResults *results, const char *id)
{
    const TbFinding *found = finding(results, id);

    for (size_t i = 0; found == NULL && i < results->finding_count; i++)
        fprintf(stderr, "# there is %s\n", results->findings[i].id);
    ck_assert_msg(found != NULL, "no finding %s", id);
    return found;
}

static inline const TbResultGap *
want_gap(const TbResults *results, const char *a, const char *b, const char *state)
{
    for (size_t i = 0; i < results->gap_count; i++) {
        const TbResultGap *gap = &results->gaps[i];

        if (strcmp(gap->a, a) == 0 && strcmp(gap->b, b) == 0 && strcmp(gap->state, state) == 0)
            return gap;
    }
    ck_abort_msg("no gap of %s and %s in %s", a, b, state);
    return NULL;
}

/** A straight round tube along X, bore 46, wall 3.7, and a block 17.3 mm beside it. */
#define BAY_TUBE                                                                                   \
    "<bay version='1' title='Tube' revision='B'>"                                                  \
    "<revisions><revision id='B' who='t' when='2026-01-02'>made</revision></revisions>"            \
    "<mounts><mount id='body'/>"                                                                   \
    "<mount id='engine' parent='body' datum='100 0 0' reference='20'/></mounts>"                   \
    "<materials><material id='iron' density='7000' expansion='13.5'/></materials>"                 \
    "<items>"                                                                                      \
    "<duct id='tube' name='Tube' class='hot' mount='engine' material='iron' wall='3.7'>"           \
    "<path><knot at='0 0 0'/><knot at='300 0 0'/></path>"                                          \
    "<section at='0' width='46' height='46'/>"                                                     \
    "</duct>"                                                                                      \
    "<block id='rail' name='Rail' class='structure' mount='body' low='-50 44 -20'"                 \
    " high='350 90 20'/>"                                                                          \
    "</items>"                                                                                     \
    "<keeps><keep id='k' class-a='hot' class-b='structure' margin='1'>"                            \
    "<wanted state='cold' gap='12'/><wanted state='hot' gap='8'/></keep></keeps>"                  \
    "<states><state id='cold' kind='cold'/>"                                                       \
    "<state id='hot' kind='hot'><warm class='hot' mount='engine' growth='620'/></state></states>"  \
    "</bay>"
