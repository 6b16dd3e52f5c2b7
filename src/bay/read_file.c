/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/read.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static TbStatus
system_said(TbFault *fault, const char *what)
{
    return tb_fail(fault, TB_E_IO, "%s: %s", what, strerrordesc_np(errno));
}

/** All bytes of an open file, up to one above the limit. */
static TbStatus
read_all(int file, GByteArray *bytes, TbFault *fault)
{
    guint8 piece[65536];
    ssize_t got;

    do {
        got = read(file, piece, sizeof piece);
        if (got < 0 && errno != EINTR)
            return system_said(fault, "cannot be read");
        if (got > 0)
            g_byte_array_append(bytes, piece, (guint)got);
    } while (got != 0 && bytes->len <= TB_BAY_SIZE_LIMIT);
    return TB_OK;
}

static TbStatus
read_open_file(int file, TbBay **bay, TbFault *fault)
{
    struct stat about;
    GByteArray *bytes;
    TbStatus status;

    if (fstat(file, &about) == 0 && S_ISREG(about.st_mode) &&
        (uintmax_t)about.st_size > TB_BAY_SIZE_LIMIT)
        return tb_fail(fault, TB_E_LIMIT, "it is %jd bytes, at most %zu are read",
                       (intmax_t)about.st_size, TB_BAY_SIZE_LIMIT);
    bytes = g_byte_array_new();
    status = read_all(file, bytes, fault);
    if (status == TB_OK)
        status = tb_bay_read_bytes((const char *)bytes->data, bytes->len, bay, fault);
    g_byte_array_unref(bytes);
    return status;
}

TbStatus
tb_bay_read_file(const char *path, TbBay **bay, TbFault *fault)
{
    int file = strcmp(path, "-") == 0 ? dup(STDIN_FILENO) : open(path, O_RDONLY | O_CLOEXEC);
    TbStatus status;

    if (file < 0)
        return system_said(fault, "cannot be opened");
    status = read_open_file(file, bay, fault);
    close(file);
    return status;
}

/* ---- faults as GError ---- */

GQuark
tb_error_quark(void)
{
    return g_quark_from_static_string("tightbay");
}

void
tb_set_error(GError **error, const TbFault *fault, const char *place)
{
    if (fault->line > 0)
        g_set_error(error, TB_ERROR, (int)fault->status, "%s:%d: %s", place, fault->line,
                    fault->text);
    else
        g_set_error(error, TB_ERROR, (int)fault->status, "%s: %s", place, fault->text);
}
