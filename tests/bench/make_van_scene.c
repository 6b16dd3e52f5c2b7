/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file make_van_scene.c
 * @brief Writes a scan around the turbine outlet of a bay: make-van-scene OUT.stl IN.bay TRIANGLES
 *
 * The pieces of the benches' bay by the same recipe, 20 mm and more from the outlet (one variant
 * lifts the engine by 12 mm), and the shield along it; no shell and no engine block, for the bay
 * has its own parts and a duct inside a closed shell would lie inside the scan. The shield has no
 * rims, so the scan is open, as scans are.
 */

#include "scene.h"

#include "base/text.h"
#include "bay/read.h"
#include "study/form.h"
#include "study/shape.h"

#include <stdio.h>
#include <string.h>

/** mm: half size that stands for rings and clamps at the outlet's ends, and the shares of its
 * length that they take. */
static const double clamps = 90, first_share = 0.08, last_share = 0.92;

/** Exponent that stands for the outlet's rounded outlines: a little more than they fill. */
static const double rounded = 3;

static void
set_frames(const TbSweep *sweep, SceneFrame frames[])
{
    for (size_t i = 0; i < SCENE_RINGS; i++) {
        double place = (double)i / (SCENE_RINGS - 1);
        TbDisc disc = tb_sweep_at(sweep, place * tb_sweep_length(sweep));

        frames[i] = (SceneFrame){.centre = disc.centre,
                                 .t = disc.frame.t,
                                 .u = disc.w,
                                 .v = disc.h,
                                 .place = place,
                                 .a = disc.slice.a + disc.slice.wall,
                                 .b = disc.slice.b + disc.slice.wall,
                                 .n = rounded};
        if (place < first_share || place > last_share)
            frames[i].a = frames[i].b = clamps;
    }
}

static bool
find_frames(const char *path, SceneFrame frames[])
{
    TbShapeSources sources = {.store = tb_store_new()};
    TbBlueprint *blueprint = NULL;
    TbBay *bay = NULL;
    TbFault fault = {0};
    void *form = NULL;
    bool found = false;

    if (tb_bay_read_file(path, &bay, &fault) == TB_OK) {
        blueprint = tb_blueprint_new(bay, NULL, "outlet", &sources);
        tb_sort_form.make(blueprint, NULL, &form, &fault);
    }
    if (form != NULL && ((TbForm *)form)->sweep != NULL) {
        set_frames(((TbForm *)form)->sweep, frames);
        found = true;
    } else {
        fprintf(stderr, "%s: no outlet: %s\n", path, fault.text);
    }
    if (form != NULL)
        tb_sort_form.free_value(form);
    if (blueprint != NULL)
        tb_blueprint_free(blueprint);
    tb_bay_unref(bay);
    tb_store_unref(sources.store);
    return found;
}

int
main(int argc, char **argv)
{
    SceneFrame frames[SCENE_RINGS];
    SceneBay bay = {
        .frames = frames, .gap = 20, .seed = 1, .near = SCENE_NEAR, .around = SCENE_SHIELD};

    if (argc != 4 || !tb_text_to_double(argv[3], strlen(argv[3]), &bay.triangles)) {
        fprintf(stderr, "usage: make-van-scene OUT.stl IN.bay TRIANGLES\n");
        return 2;
    }
    return find_frames(argv[2], frames) && scene_write(argv[1], &bay) ? 0 : 1;
}
