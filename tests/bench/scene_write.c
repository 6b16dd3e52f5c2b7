/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "scene.h"

#include <stdio.h>
#include <string.h>

typedef struct Out {
    FILE *file;
    uint32_t count;
} Out;

static void
put_u32(unsigned char *at, uint32_t word)
{
    for (int k = 0; k < 4; k++)
        at[k] = (unsigned char)(word >> 8 * k);
}

static void
put_float(unsigned char *at, double value)
{
    float number = (float)value;
    uint32_t word;

    memcpy(&word, &number, sizeof word);
    put_u32(at, word);
}

static bool
write_triangle(void *user, const TbVec3 corner[3])
{
    Out *out = user;
    unsigned char bytes[50] = {0}; /* no normal: readers make their own */

    for (int k = 0; k < 3; k++) {
        put_float(bytes + 12 + 12 * k, corner[k].x);
        put_float(bytes + 16 + 12 * k, corner[k].y);
        put_float(bytes + 20 + 12 * k, corner[k].z);
    }
    out->count++;
    return fwrite(bytes, sizeof bytes, 1, out->file) == 1;
}

static bool
write_head(Out *out)
{
    unsigned char head[84] = "an invented engine bay as if scanned";

    put_u32(head + 80, out->count);
    return fseek(out->file, 0, SEEK_SET) == 0 && fwrite(head, sizeof head, 1, out->file) == 1;
}

bool
scene_write(const char *path, const SceneBay *bay)
{
    Out out = {.file = fopen(path, "wb")};
    bool good;

    if (out.file == NULL) {
        perror(path);
        return false;
    }
    /* the count is known at the end */
    good = write_head(&out) && scene_bay(bay, write_triangle, &out) > 0 && write_head(&out);
    good = fclose(out.file) == 0 && good;
    if (!good)
        fprintf(stderr, "%s cannot be written\n", path);
    return good;
}
