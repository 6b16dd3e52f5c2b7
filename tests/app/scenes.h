/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file scenes.h
 * @brief Cuts of small bays, for what is done on cuts.
 */
#pragma once

#include "bay/read.h"
#include "study/study.h"
#include "tap.h"

#include <string.h>

/** A rail, a round bar along Y and two ports: what there is to snap to. The rail's corners on a
 * side cut lie at X 103.7 and 611.2, Z -117.3 and -21.9. */
static const char snap_kit[] =
    "<bay version='1' title='Snap'>"
    "<mounts><mount id='body'/><mount id='engine' parent='body'/></mounts>"
    "<ports><port id='tap' name='Tap' mount='engine' at='250.3 -140 80.6' flow='0 0 1'>"
    "<opening width='12' height='12'/></port>"
    "<port id='drain' name='Drain' mount='engine' at='420 -90 140' flow='1 0 0'>"
    "<opening width='16' height='16'/></port></ports>"
    "<items>"
    "<block id='rail' name='Frame rail' class='structure' mount='body' low='103.7 -160 -117.3' "
    "high='611.2 -90 -21.9'/>"
    "<rod id='bar' name='Round bar' class='hot' mount='engine' a='300 -200 60' b='300 100 60' "
    "radius='33.3'/>"
    "</items>"
    "<keeps><keep id='k' class-a='hot' class-b='structure'><wanted state='cold' gap='12'/></keep>"
    "</keeps>"
    "<states><state id='cold' kind='cold'/></states>"
    "<variants><variant id='low'/><variant id='tall'><shift mount='engine' by='0 0 12'/></variant>"
    "</variants></bay>";

static inline TbBay *
scene_bay(const char *text)
{
    TbBay *bay = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_bay_read_bytes(text, strlen(text), &bay, &fault) == TB_OK, "line %d: %s",
                  fault.line, fault.text);
    return bay;
}

/** A cut of a bay, cold. */
static inline TbScene *
scene_of(const char *text, TbCutAsk cut)
{
    TbBay *bay = scene_bay(text);
    TbStore *store = tb_store_new();
    TbStudy *study = tb_study_new(store, NULL);
    TbAsk ask = {.bay = bay, .state = "cold"};
    TbScene *scene = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_study_scene(study, &ask, &cut, NULL, &scene, &fault) == TB_OK, "%s",
                  fault.text);
    tb_study_free(study);
    tb_store_unref(store);
    tb_bay_unref(bay);
    return scene;
}

/** Planes of the usual views, as study's cuts have them. */
static inline TbPlane
side_plane(double y)
{
    return tb_plane_of(tb_vec3(0, y, 0), tb_vec3(1, 0, 0), tb_vec3(0, 0, 1));
}

static inline TbPlane
plan_plane(double z)
{
    return tb_plane_of(tb_vec3(0, 0, z), tb_vec3(1, 0, 0), tb_vec3(0, 1, 0));
}

static inline TbPlane
front_plane(double x)
{
    return tb_plane_of(tb_vec3(x, 0, 0), tb_vec3(0, -1, 0), tb_vec3(0, 0, 1));
}
