/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file make_scene.c
 * @brief Writes the benches' bay as a binary STL: make-scene OUT.stl TRIANGLES [SEED [GAP]]
 */

#include "scene.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

static bool
read_number(const char *text, double *out)
{
    return tb_text_to_double(text, strlen(text), out);
}

int
main(int argc, char **argv)
{
    SceneFrame frames[SCENE_RINGS];
    SceneBay bay = {.frames = frames, .gap = 8, .seed = 1, .near = SCENE_NEAR, .around = SCENE_ALL};
    double seed = 1;
    bool good = argc >= 3 && argc <= 5 && read_number(argv[2], &bay.triangles) &&
                (argc < 4 || read_number(argv[3], &seed)) &&
                (argc < 5 || read_number(argv[4], &bay.gap));

    if (!good) {
        fprintf(stderr, "usage: make-scene OUT.stl TRIANGLES [SEED [GAP]]\n");
        return 2;
    }
    bay.seed = (uint64_t)seed;
    scene_frames(SCENE_RINGS, 0, frames);
    return scene_write(argv[1], &bay) ? 0 : 1;
}
