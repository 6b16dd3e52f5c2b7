/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/store_private.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

bool
tb_store__same_stamp(TbStamp a, TbStamp b)
{
    return a.device == b.device && a.file == b.file && a.size == b.size && a.written == b.written &&
           a.written_part == b.written_part && a.changed == b.changed &&
           a.changed_part == b.changed_part;
}

static void
say_missing(TbScanAnswer *answer, const char *path, int error)
{
    const char *why = strerrordesc_np(error);

    answer->state = TB_SCAN_MISSING;
    if (error == ENOENT || error == ENOTDIR)
        tb_fail(&answer->fault, TB_E_IO, "%s is not there", path);
    else if (error == EACCES || error == EPERM)
        tb_fail(&answer->fault, TB_E_IO, "%s may not be read", path);
    else
        tb_fail(&answer->fault, TB_E_IO, "%s cannot be read: %s", path,
                why != NULL ? why : "unknown reason");
}

static bool
is_plain_file(const struct stat *now, const char *path, TbStamp *stamp, TbScanAnswer *answer)
{
    answer->state = TB_SCAN_MISSING;
    if (S_ISDIR(now->st_mode)) {
        tb_fail(&answer->fault, TB_E_IO, "%s is a folder, not a mesh file", path);
        return false;
    }
    if (!S_ISREG(now->st_mode)) {
        tb_fail(&answer->fault, TB_E_IO, "%s is a device or the like, not a mesh file", path);
        return false;
    }
    *stamp = (TbStamp){.device = (uint64_t)now->st_dev,
                       .file = (uint64_t)now->st_ino,
                       .size = (uint64_t)now->st_size,
                       .written = now->st_mtim.tv_sec,
                       .written_part = now->st_mtim.tv_nsec,
                       .changed = now->st_ctim.tv_sec,
                       .changed_part = now->st_ctim.tv_nsec};
    return true;
}

bool
tb_store__look_at(const char *path, TbStamp *stamp, TbScanAnswer *answer)
{
    struct stat now;

    if (stat(path, &now) == 0)
        return is_plain_file(&now, path, stamp, answer);
    say_missing(answer, path, errno);
    if (errno == ENOENT && lstat(path, &now) == 0 && S_ISLNK(now.st_mode))
        tb_fail(&answer->fault, TB_E_IO, "%s is a link that leads to no file", path);
    return false;
}

int
tb_store__open(const char *path, TbStamp *stamp, TbScanAnswer *answer)
{
    int file = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
    struct stat now;

    if (file < 0) {
        say_missing(answer, path, errno);
        return -1;
    }
    if (fstat(file, &now) == 0 && is_plain_file(&now, path, stamp, answer))
        return file;
    close(file);
    return -1;
}

bool
tb_store__has_stamp(int file, TbStamp stamp)
{
    TbScanAnswer unheard;
    TbStamp found;
    struct stat now;

    return fstat(file, &now) == 0 && is_plain_file(&now, "", &found, &unheard) &&
           tb_store__same_stamp(found, stamp);
}
