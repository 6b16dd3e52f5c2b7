/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * A study without memory at any request of the engine below it: an answer or TB_E_MEMORY, no crash,
 * nothing left, and the same study then answers as a fresh one does.
 */

#include "tap.h"

#include "base/mem.h"
#include "bays.h"

#include <glib.h>

/** More than any question here asks for. */
#define MOST_REQUESTS 20000

/** A question to a study; what it answers is given back. */
typedef TbStatus Question(TbStudy *study, TbBay *bay, TbFault *fault);

static TbStatus
judge(TbStudy *study, TbBay *bay, TbFault *fault)
{
    TbAsk ask = {.bay = bay, .profiles = true, .station_step = 47};
    TbResults *results = NULL;
    TbStatus status = tb_study_judge(study, &ask, NULL, &results, fault);

    ck_assert_int_eq(results != NULL, status == TB_OK);
    tb_results_unref(results);
    return status;
}

static TbStatus
cut(TbStudy *study, TbBay *bay, TbFault *fault)
{
    TbAsk ask = {.bay = bay};
    TbCutAsk plane = {.view = TB_SCENE_PLAN, .at = 3.7};
    TbScene *scene = NULL;
    TbStatus status = tb_study_scene(study, &ask, &plane, NULL, &scene, fault);

    ck_assert_int_eq(scene != NULL, status == TB_OK);
    tb_scene_unref(scene);
    return status;
}

static TbStatus
strip_of(TbStudy *study, TbBay *bay, TbFault *fault)
{
    TbAsk ask = {.bay = bay, .station_step = 47};
    TbSceneStrip *strip = NULL;
    TbStatus status = tb_study_strip(study, &ask, "tube", NULL, &strip, fault);

    ck_assert_int_eq(strip != NULL, status == TB_OK);
    tb_scene_strip_unref(strip);
    return status;
}

static TbStatus
stations(TbStudy *study, TbBay *bay, TbFault *fault)
{
    TbAsk ask = {.bay = bay, .station_step = 47};
    char *csv = NULL;
    TbStatus status = tb_study_stations(study, &ask, "tube", &csv, fault);

    ck_assert_int_eq(csv != NULL, status == TB_OK);
    g_free(csv);
    return status;
}

static TbStatus
surface(TbStudy *study, TbBay *bay, TbFault *fault)
{
    TbAsk ask = {.bay = bay};
    TbMesh *mesh = NULL;
    TbStatus status = tb_study_mesh(study, &ask, "tube", false, 2, NULL, &mesh, fault);

    ck_assert_int_eq(mesh != NULL, status == TB_OK);
    tb_mesh_unref(mesh);
    return status;
}

static Question *const questions[] = {judge, cut, strip_of, stations, surface};

START_TEST(question_without_room_is_refused_and_asked_again_is_answered)
{
    TbBay *bay = bay_of(BAY_TUBE);
    TbStatus status = TB_E_MEMORY;
    long n = 0;

    while (status != TB_OK) {
        TbStudy *study = study_alone();
        TbFault fault = {0};

        /* the first five, then ever rarer: thousands are searches of the same few kinds */
        n += 1 + n / 5;
        tb_mem_fail_at(n);
        status = questions[_i](study, bay, &fault);
        tb_mem_fail_at(0);
        ck_assert_msg(status == TB_OK || status == TB_E_MEMORY, "request %ld: %s", n, fault.text);
        ck_assert_msg((fault.text[0] == '\0') == (status == TB_OK), "request %ld: %s", n,
                      fault.text);
        if (status != TB_OK)
            ck_assert_int_eq(questions[_i](study, bay, NULL), TB_OK);
        tb_study_free(study);
        ck_assert_int_lt(n, MOST_REQUESTS);
    }
    ck_assert_int_gt(n, 10);
    tb_bay_unref(bay);
}
END_TEST

static char *
report_of(TbStudy *study, TbBay *bay)
{
    TbResults *results = judged(study, bay);
    char *json = tb_report_json(results);

    tb_results_unref(results);
    return json;
}

START_TEST(report_after_failures_is_the_same_to_the_byte)
{
    TbBay *bay = bay_of(BAY_TUBE);
    TbStudy *study = study_alone(), *fresh = study_alone();
    g_autofree char *after = NULL, *want = NULL;
    TbStatus status = TB_E_MEMORY;

    /* one study goes through all failures: each leaves something more in its cache */
    for (long n = 1; status != TB_OK; n += 1 + n / 20) {
        tb_mem_fail_at(n);
        status = judge(study, bay, NULL);
        tb_mem_fail_at(0);
        ck_assert_int_lt(n, MOST_REQUESTS);
    }
    after = report_of(study, bay);
    want = report_of(fresh, bay);
    ck_assert_str_eq(after, want);
    tb_study_free(fresh);
    tb_study_free(study);
    tb_bay_unref(bay);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("study/memory");
    TCase *c = tcase_create("memory");

    tcase_set_timeout(c, 120);
    tcase_add_loop_test(c, question_without_room_is_refused_and_asked_again_is_answered, 0,
                        (int)(sizeof questions / sizeof questions[0]));
    tcase_add_test(c, report_after_failures_is_the_same_to_the_byte);
    suite_add_tcase(suite, c);
    return tb_test_main(suite);
}
