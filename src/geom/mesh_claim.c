/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "geom/mesh_read.h"

#include "base/text.h"

#include <string.h>

void
tb_mesh_bytes_text(double bytes, char out[TB_TEXT_NUMBER])
{
    bool many = bytes >= 1024.0 * 1024 * 1024;

    tb_text_format(out, TB_TEXT_NUMBER, "%.1f %s",
                   bytes / (many ? 1024.0 * 1024 * 1024 : 1024 * 1024), many ? "GiB" : "MiB");
}

/** Of a binary STL: 80 bytes, the count, and 50 bytes a triangle. */
#define STL_HEADER 84
#define STL_RECORD 50

static uint64_t
claimed_by_stl(const unsigned char *head, size_t have, uint64_t size)
{
    uint64_t count;

    if (have < STL_HEADER)
        return 0;
    count = tb_bytes__u32(head + 80);
    return size == STL_HEADER + STL_RECORD * count ? count : 0;
}

/** Whether a line begins with words; @p line is then what follows them. */
static bool
begins_with(TbWord *line, const char *first, const char *second)
{
    TbWord rest = *line;

    if (!tb_word__is(tb_word__cut(&rest), first) || !tb_word__is(tb_word__cut(&rest), second))
        return false;
    *line = rest;
    return true;
}

static uint64_t
claimed_by_ply(const unsigned char *head, size_t have)
{
    const char *at = (const char *)head;
    const char *end = at + have;

    if (have < 3 || memcmp(head, "ply", 3) != 0)
        return 0;
    while (at < end) {
        const char *stop = memchr(at, '\n', (size_t)(end - at));
        TbWord line = {at, (size_t)((stop != NULL ? stop : end) - at)};
        double count;

        if (begins_with(&line, "element", "face"))
            return tb_word__number(tb_word__cut(&line), &count) && count >= 1 &&
                           count <= (double)UINT32_MAX
                       ? (uint64_t)count
                       : 0;
        at = stop != NULL ? stop + 1 : end;
    }
    return 0;
}

uint64_t
tb_mesh_claimed(TbMeshFormat format, const unsigned char *head, size_t have, uint64_t size)
{
    switch (format) {
    case TB_MESH_STL:
        return claimed_by_stl(head, have, size);
    case TB_MESH_PLY:
        return claimed_by_ply(head, have);
    case TB_MESH_OBJ:
    case TB_MESH_UNKNOWN:
        break;
    }
    return 0;
}
