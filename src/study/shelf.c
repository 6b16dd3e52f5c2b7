/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/shelf.h"

#include "base/save.h"
#include "base/sum.h"
#include "geom/tree_file.h"

#include <errno.h>
#include <fcntl.h>
#include <glib.h>
#include <glib/gstdio.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define ENDING ".scan"

/* s. What a process that was killed left half-written; a write takes a few seconds. */
#define LEFT_BEHIND 3600

/* A tree on its way to the disk. */
typedef struct Order {
    char *key;
    TbTree *tree;
    struct Order *next;
} Order;

struct TbShelf {
    char *folder;
    uint64_t limit;
    pthread_mutex_t lock;
    pthread_cond_t change; /* an order came, was done, or the end */
    Order *first, *last;   /* under the lock, as all below */
    bool writing;          /* an order was taken and is not done */
    bool ending;
    bool has_writer;
    pthread_t writer;
};

char *
tb_shelf_default_folder(void)
{
    return g_build_filename(g_get_user_cache_dir(), "tightbay", "scans", NULL);
}

static char *
path_of(const TbShelf *shelf, const char *key)
{
    char digest[TB_SHA256_TEXT];
    g_autofree char *name = NULL;
    TbSha256 sum;

    tb_sha256_init(&sum);
    tb_sha256_add(&sum, key, strlen(key));
    tb_sha256_text(&sum, digest);
    name = g_strconcat(digest, ENDING, NULL);
    return g_build_filename(shelf->folder, name, NULL);
}

/* ---- what is in the folder ---- */

typedef struct Kept {
    char *path;
    uint64_t size;
    gint64 used; /* ns */
} Kept;

static int
compare_kept(const void *a, const void *b)
{
    const Kept *p = a, *q = b;

    if (p->used != q->used)
        return p->used < q->used ? -1 : 1;
    return strcmp(p->path, q->path);
}

/* A digest and the ending, with whatever tb_save puts about the name of a file not yet whole. */
static bool
is_ours(const char *name, bool *half)
{
    size_t digits;

    *half = name[0] == '.';
    name += *half;
    digits = strspn(name, "0123456789abcdef");
    if (digits != TB_SHA256_TEXT - 1)
        return false;
    return *half ? g_str_has_prefix(name + digits, ENDING "-") : strcmp(name + digits, ENDING) == 0;
}

/* What was left behind half-written goes. */
static void
sweep_up(const char *path, const struct stat *now)
{
    if (g_get_real_time() / G_USEC_PER_SEC - now->st_mtim.tv_sec > LEFT_BEHIND)
        unlink(path);
}

/* Files of this shelf with their sizes, to be freed by the caller. */
static Kept *
list_folder(const TbShelf *shelf, size_t *count)
{
    GDir *folder = g_dir_open(shelf->folder, 0, NULL);
    Kept *all = NULL;
    const char *name;

    *count = 0;
    while (folder != NULL && (name = g_dir_read_name(folder)) != NULL) {
        g_autofree char *path = g_build_filename(shelf->folder, name, NULL);
        struct stat now;
        bool half;

        if (!is_ours(name, &half) || lstat(path, &now) != 0 || !S_ISREG(now.st_mode))
            continue;
        if (half) {
            sweep_up(path, &now);
            continue;
        }
        all = g_renew(Kept, all, *count + 1);
        all[(*count)++] =
            (Kept){g_steal_pointer(&path), (uint64_t)now.st_size,
                   now.st_mtim.tv_sec * G_GINT64_CONSTANT(1000000000) + now.st_mtim.tv_nsec};
    }
    if (folder != NULL)
        g_dir_close(folder);
    return all;
}

static void
throw_out(const TbShelf *shelf)
{
    size_t count;
    Kept *all = list_folder(shelf, &count);
    uint64_t held = 0;

    if (count > 0)
        qsort(all, count, sizeof *all, compare_kept);
    for (size_t i = 0; i < count; i++)
        held += all[i].size;
    for (size_t i = 0; i < count; i++) {
        if (held > shelf->limit) {
            unlink(all[i].path);
            held -= all[i].size;
        }
        g_free(all[i].path);
    }
    g_free(all);
}

/* ---- writing ---- */

static TbStatus
write_bytes(void *user, const void *bytes, size_t size, TbFault *fault)
{
    return tb_save_write(user, bytes, size, fault);
}

static void
write_order(const TbShelf *shelf, const Order *order)
{
    g_autofree char *path = path_of(shelf, order->key);
    TbSink sink = {.write = write_bytes};
    TbSave *save = NULL;
    struct stat now;

    if (tb_tree_file_size(order->tree, order->key) > shelf->limit)
        return;
    if (g_mkdir_with_parents(shelf->folder, 0700) != 0)
        return;
    /* a pipe or a device of this name is not ours to write into */
    if (lstat(path, &now) == 0 && !S_ISREG(now.st_mode))
        return;
    if (tb_save_open(path, &save, NULL) != TB_OK)
        return;
    tb_save_in_a_hurry(save); /* damage is found when it is read */
    sink.user = save;
    if (tb_tree_file_write(order->tree, order->key, &sink, NULL) != TB_OK)
        tb_save_drop(save);
    else if (tb_save_close(save, NULL) == TB_OK)
        throw_out(shelf);
}

static void *
writer(void *data)
{
    TbShelf *shelf = data;

    pthread_mutex_lock(&shelf->lock);
    for (;;) {
        Order *order = shelf->first;

        if (order == NULL && shelf->ending)
            break;
        if (order == NULL) {
            pthread_cond_wait(&shelf->change, &shelf->lock);
            continue;
        }
        shelf->first = order->next;
        if (shelf->first == NULL)
            shelf->last = NULL;
        shelf->writing = true;
        pthread_mutex_unlock(&shelf->lock);
        write_order(shelf, order);
        tb_tree_unref(order->tree);
        g_free(order->key);
        g_free(order);
        pthread_mutex_lock(&shelf->lock);
        shelf->writing = false;
        pthread_cond_broadcast(&shelf->change);
    }
    pthread_mutex_unlock(&shelf->lock);
    return NULL;
}

void
tb_shelf_keep(TbShelf *shelf, const char *key, TbTree *tree)
{
    Order *order;

    pthread_mutex_lock(&shelf->lock);
    if (!shelf->has_writer)
        shelf->has_writer = pthread_create(&shelf->writer, NULL, writer, shelf) == 0;
    if (shelf->has_writer) {
        order = g_new0(Order, 1);
        order->key = g_strdup(key);
        order->tree = tb_tree_ref(tree);
        if (shelf->last != NULL)
            shelf->last->next = order;
        else
            shelf->first = order;
        shelf->last = order;
        pthread_cond_broadcast(&shelf->change);
    }
    pthread_mutex_unlock(&shelf->lock);
}

void
tb_shelf_settle(TbShelf *shelf)
{
    pthread_mutex_lock(&shelf->lock);
    while (shelf->first != NULL || shelf->writing)
        pthread_cond_wait(&shelf->change, &shelf->lock);
    pthread_mutex_unlock(&shelf->lock);
}

/* ---- reading ---- */

static long
read_bytes(void *user, unsigned char *out, size_t room, TbFault *fault)
{
    const int *file = user;
    ssize_t got;

    do
        got = read(*file, out, room);
    while (got < 0 && errno == EINTR);
    if (got < 0)
        tb_fail(fault, TB_E_IO, "a kept tree cannot be read: %s", strerrordesc_np(errno));
    return (long)got;
}

TbTree *
tb_shelf_find(TbShelf *shelf, const char *key, TbWork *work, TbTask *task)
{
    g_autofree char *path = path_of(shelf, key);
    int file = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
    TbTree *tree = NULL;
    struct stat now;

    if (file < 0)
        return NULL;
    if (fstat(file, &now) == 0 && S_ISREG(now.st_mode) && now.st_size > 0) {
        TbSource source = {.read = read_bytes, .user = &file, .size = (uint64_t)now.st_size};

        if (tb_tree_file_read(&source, key, work, task, &tree, NULL) != TB_OK)
            tree = NULL;
        else
            futimens(file, NULL); /* used just now; who may not say so loses a place in the row */
    }
    close(file);
    return tree;
}

/* ---- the whole ---- */

TbShelf *
tb_shelf_new(const char *folder, uint64_t limit)
{
    TbShelf *shelf = g_new0(TbShelf, 1);

    shelf->folder = g_strdup(folder);
    shelf->limit = limit > 0 ? limit : TB_SHELF_LIMIT;
    pthread_mutex_init(&shelf->lock, NULL);
    pthread_cond_init(&shelf->change, NULL);
    return shelf;
}

void
tb_shelf_free(TbShelf *shelf)
{
    if (shelf == NULL)
        return;
    pthread_mutex_lock(&shelf->lock);
    shelf->ending = true;
    pthread_cond_broadcast(&shelf->change);
    pthread_mutex_unlock(&shelf->lock);
    if (shelf->has_writer)
        pthread_join(shelf->writer, NULL);
    pthread_cond_destroy(&shelf->change);
    pthread_mutex_destroy(&shelf->lock);
    g_free(shelf->folder);
    g_free(shelf);
}
