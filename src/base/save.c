/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/save.h"

#include "base/mem.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct TbSave {
    char *path;      /**< where it shall be, links resolved */
    char *temporary; /**< NULL when written straight through */
    int file;
    bool in_a_hurry; /**< what is written need not be on the disk yet */
    size_t written;
};

static TbStatus
system_said(TbFault *fault, const char *path, int error)
{
    const char *why = strerrordesc_np(error);

    return tb_fail(fault, TB_E_IO, "%s cannot be written: %s", path,
                   why != NULL ? why : "unknown reason");
}

/** Names tried for the temporary file before giving up: others may be saving here too. */
#define MOST_NAMES 100

/** What a link that points to nothing yet points to, or the path itself. */
static char *
link_target(const char *path)
{
    char target[PATH_MAX], joined[2 * PATH_MAX];
    const char *slash = strrchr(path, '/');
    ssize_t length = readlink(path, target, sizeof target - 1);

    if (length <= 0)
        return tb_copy_text(path);
    target[length] = '\0';
    if (target[0] == '/' || slash == NULL)
        return tb_copy_text(target);
    snprintf(joined, sizeof joined, "%.*s%s", (int)(slash - path) + 1, path, target);
    return tb_copy_text(joined);
}

/** The target of a link, or the path itself where nothing is there yet. */
static char *
resolved(const char *path)
{
    char room[PATH_MAX];

    return realpath(path, room) != NULL ? tb_copy_text(room) : link_target(path);
}

/** A new file beside the target, with the target's mode or what the process gives new files. */
static int
open_temporary(TbSave *save, const struct stat *old)
{
    const char *slash = strrchr(save->path, '/');
    int folder = slash != NULL ? (int)(slash - save->path) + 1 : 0;
    size_t room = strlen(save->path) + 32;

    save->temporary = tb_alloc(room);
    if (save->temporary == NULL) {
        errno = ENOMEM;
        return -1;
    }
    for (int i = 0; i < MOST_NAMES; i++) {
        snprintf(save->temporary, room, "%.*s.%s-%ld-%d", folder, save->path, save->path + folder,
                 (long)getpid(), i);
        save->file = open(save->temporary, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (save->file >= 0 || errno != EEXIST)
            break;
    }
    if (save->file < 0) {
        TB_CLEAR(save->temporary);
        return -1;
    }
    /* a file system without modes (a memory stick) refuses, and there is nothing to keep */
    if (old != NULL && fchmod(save->file, old->st_mode & 07777) != 0)
        errno = 0;
    return 0;
}

TbStatus
tb_save_open(const char *path, TbSave **out, TbFault *fault)
{
    TbSave *save = tb_alloc(sizeof *save);
    TbStatus status = TB_OK;
    struct stat old;
    bool exists;

    if (save == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room to write %s", path);
    save->file = -1;
    save->path = resolved(path);
    if (save->path == NULL) {
        status = tb_fail(fault, TB_E_MEMORY, "no room to write %s", path);
        goto fail;
    }
    exists = stat(save->path, &old) == 0;
    if (exists && S_ISDIR(old.st_mode)) {
        status = system_said(fault, path, EISDIR);
        goto fail;
    }
    if (exists && !S_ISREG(old.st_mode)) {
        save->file = open(save->path, O_WRONLY | O_CLOEXEC);
        if (save->file < 0)
            status = system_said(fault, path, errno);
    } else if (exists && access(save->path, W_OK) != 0) {
        status = system_said(fault, path, errno);
    } else if (open_temporary(save, exists ? &old : NULL) != 0) {
        status = system_said(fault, path, errno);
    }
    if (status != TB_OK)
        goto fail;
    *out = save;
    return TB_OK;

fail:
    tb_save_drop(save);
    return status;
}

TbStatus
tb_save_write(TbSave *save, const void *bytes, size_t size, TbFault *fault)
{
    const char *p = bytes;

    while (size > 0) {
        ssize_t done = write(save->file, p, size);

        if (done < 0) {
            if (errno == EINTR)
                continue;
            return tb_fail(fault, TB_E_IO, "%s cannot be written after %zu bytes: %s", save->path,
                           save->written, strerrordesc_np(errno));
        }
        p += done;
        size -= (size_t)done;
        save->written += (size_t)done;
    }
    return TB_OK;
}

/** Folders are synced so that the new name survives a power cut; trouble here loses nothing. */
static void
sync_folder(const char *path)
{
    const char *slash = strrchr(path, '/');
    char room[PATH_MAX];
    int folder;

    snprintf(room, sizeof room, "%.*s", slash != NULL ? (int)(slash - path) + 1 : 1,
             slash != NULL ? path : ".");
    folder = open(room, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (folder >= 0) {
        fsync(folder);
        close(folder);
    }
}

void
tb_save_in_a_hurry(TbSave *save)
{
    save->in_a_hurry = true;
}

TbStatus
tb_save_close(TbSave *save, TbFault *fault)
{
    int file = save->file;

    /* a device has nothing to sync and says so */
    if (save->temporary != NULL && !save->in_a_hurry && fsync(file) != 0)
        goto fail;
    save->file = -1;
    if (close(file) != 0)
        goto fail;
    if (save->temporary != NULL) {
        if (rename(save->temporary, save->path) != 0)
            goto fail;
        TB_CLEAR(save->temporary);
        if (!save->in_a_hurry)
            sync_folder(save->path);
    }
    tb_save_drop(save);
    return TB_OK;

fail:
    system_said(fault, save->path, errno);
    tb_save_drop(save);
    return TB_E_IO;
}

void
tb_save_drop(TbSave *save)
{
    if (save == NULL)
        return;
    if (save->file >= 0)
        close(save->file);
    if (save->temporary != NULL)
        unlink(save->temporary);
    tb_free(save->temporary);
    tb_free(save->path);
    tb_free(save);
}

TbStatus
tb_save_bytes(const char *path, const void *bytes, size_t size, TbFault *fault)
{
    TbSave *save;
    TbStatus status = tb_save_open(path, &save, fault);

    if (status != TB_OK)
        return status;
    status = tb_save_write(save, bytes, size, fault);
    if (status != TB_OK) {
        tb_save_drop(save);
        return status;
    }
    return tb_save_close(save, fault);
}
