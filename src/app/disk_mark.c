/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/disk_mark.h"

#include "bay/read.h"

#include <string.h>

void
tb_disk_mark_clear(TbDiskMark *mark)
{
    g_clear_pointer(&mark->stamp, g_free);
    mark->sum[0] = '\0';
}

void
tb_disk_mark_copy(TbDiskMark *to, const TbDiskMark *from)
{
    char *stamp = g_strdup(from->stamp);

    g_free(to->stamp);
    to->stamp = stamp;
    memcpy(to->sum, from->sum, sizeof to->sum);
}

void
tb_disk_mark_sum(TbDiskMark *mark, const void *bytes, gsize size)
{
    TbSha256 sum;

    tb_sha256_init(&sum);
    tb_sha256_add(&sum, bytes, size);
    tb_sha256_text(&sum, mark->sum);
}

char *
tb_disk_stamp(GFile *place)
{
    GFileInfo *info =
        g_file_query_info(place,
                          G_FILE_ATTRIBUTE_ETAG_VALUE "," G_FILE_ATTRIBUTE_UNIX_INODE
                                                      "," G_FILE_ATTRIBUTE_STANDARD_SIZE,
                          G_FILE_QUERY_INFO_NONE, NULL, NULL);
    const char *etag;
    char *stamp;

    if (info == NULL)
        return NULL;
    etag = g_file_info_get_etag(info);
    stamp = g_strdup_printf("%s/%" G_GUINT64_FORMAT "/%" G_GOFFSET_FORMAT, etag != NULL ? etag : "",
                            g_file_info_get_attribute_uint64(info, G_FILE_ATTRIBUTE_UNIX_INODE),
                            g_file_info_get_size(info));
    g_object_unref(info);
    return stamp;
}

GByteArray *
tb_disk_bytes(GFile *place, GCancellable *cancel, GError **error)
{
    GFileInputStream *in = g_file_read(place, cancel, error);
    GByteArray *bytes;
    guint8 piece[65536];
    gssize got;

    if (in == NULL)
        return NULL;
    bytes = g_byte_array_new();
    do {
        got = g_input_stream_read(G_INPUT_STREAM(in), piece, sizeof piece, cancel, error);
        if (got > 0)
            g_byte_array_append(bytes, piece, (guint)got);
    } while (got > 0 && bytes->len <= TB_BAY_SIZE_LIMIT);
    g_object_unref(in);
    if (got < 0)
        g_clear_pointer(&bytes, g_byte_array_unref);
    return bytes;
}

void
tb_disk_mark_look(TbDiskMark *mark, GFile *place)
{
    GByteArray *bytes;

    tb_disk_mark_clear(mark);
    mark->stamp = tb_disk_stamp(place);
    if (mark->stamp == NULL)
        return;
    bytes = tb_disk_bytes(place, NULL, NULL);
    if (bytes == NULL) {
        tb_disk_mark_clear(mark);
        return;
    }
    tb_disk_mark_sum(mark, bytes->data, bytes->len);
    g_byte_array_unref(bytes);
}

bool
tb_disk_mark_is_alike(const TbDiskMark *a, const TbDiskMark *b)
{
    if (a->stamp == NULL || b->stamp == NULL)
        return a->stamp == b->stamp;
    if (a->sum[0] != '\0' && b->sum[0] != '\0')
        return strcmp(a->sum, b->sum) == 0;
    return strcmp(a->stamp, b->stamp) == 0;
}

/** What tells one file of this machine from another, or NULL. */
static char *
id_of(GFile *file)
{
    GFileInfo *info =
        g_file_query_info(file, G_FILE_ATTRIBUTE_ID_FILE, G_FILE_QUERY_INFO_NONE, NULL, NULL);
    char *id = info != NULL
                   ? g_strdup(g_file_info_get_attribute_string(info, G_FILE_ATTRIBUTE_ID_FILE))
                   : NULL;

    g_clear_object(&info);
    return id;
}

bool
tb_disk_is_same(GFile *a, GFile *b)
{
    char *id_a, *id_b;
    bool same;

    if (g_file_equal(a, b))
        return true;
    id_a = id_of(a);
    id_b = id_of(b);
    same = id_a != NULL && g_strcmp0(id_a, id_b) == 0;
    g_free(id_a);
    g_free(id_b);
    return same;
}
