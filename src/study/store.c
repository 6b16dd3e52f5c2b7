/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/store_private.h"

#include <math.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

/* s. A file that was changed so shortly before it was read may have been changed once more within
 * the same tick of its file system's clock, which is 2 s on the coarsest: its times do not tell. */
#define YOUNG 3

/* Placements of one file that are remembered, whatever they take: a scan that is dragged about
 * leaves a tree at every step. */
#define FEW_PLACES 4

/* Bytes that more of them may take: a small part scanned once stands in many places. */
#define PLACES_ROOM (UINT64_C(64) << 20)

/* ns. While another thread reads the file wanted, a cancel is looked for this often. */
#define LOOK_AROUND 20000000

/* One unit and placement of a file, read. */
typedef struct Made {
    TbScanAnswer answer; /* READY, BROKEN or LARGE; CHANGED depends on who asks */
    TbTree *source;      /* reference, or NULL */
    uint64_t used;       /* the store's count of questions when it was asked for */
} Made;

/* Never removed while the store lives: a thread may be waiting for it. */
typedef struct File {
    bool busy;  /* a thread is reading it, outside the lock */
    bool young; /* read so early that the stamp does not vouch for the bytes */
    TbStamp stamp;
    TbSums sums;      /* of the file of this stamp */
    GHashTable *made; /* unit and placement -> Made */
} File;

/* ---- the store ---- */

static void
made_free(gpointer data)
{
    Made *made = data;

    tb_tree_unref(made->answer.tree);
    tb_tree_unref(made->source);
    g_free(made);
}

static void
file_free(gpointer data)
{
    File *file = data;

    g_hash_table_unref(file->made);
    g_free(file);
}

static void
tree_free(gpointer data)
{
    tb_tree_unref(data);
}

uint64_t
tb_store_memory_default(void)
{
    long pages = sysconf(_SC_PHYS_PAGES), size = sysconf(_SC_PAGESIZE);
    double share = TB_SCAN_MEMORY_SHARE * (double)pages * (double)size;

    /* a system that does not say has room enough */
    if (pages <= 0 || size <= 0 || share > (double)TB_SCAN_MEMORY)
        return TB_SCAN_MEMORY;
    return (uint64_t)share;
}

TbStore *
tb_store_new_with(const TbStoreDef *def)
{
    TbStore *store = g_new0(TbStore, 1);

    store->references = 1;
    store->memory = def->memory > 0 ? def->memory : tb_store_memory_default();
    if (def->cache != NULL)
        store->shelf = tb_shelf_new(def->cache, def->cache_limit);
    pthread_mutex_init(&store->lock, NULL);
    pthread_cond_init(&store->change, NULL);
    store->files = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, file_free);
    store->trees = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, tree_free);
    return store;
}

TbStore *
tb_store_new(void)
{
    return tb_store_new_with(&(TbStoreDef){.cache = NULL});
}

TbStore *
tb_store_ref(TbStore *store)
{
    g_atomic_int_inc(&store->references);
    return store;
}

void
tb_store_unref(TbStore *store)
{
    if (store == NULL || !g_atomic_int_dec_and_test(&store->references))
        return;
    tb_shelf_free(store->shelf);
    g_hash_table_unref(store->files);
    g_hash_table_unref(store->trees);
    pthread_cond_destroy(&store->change);
    pthread_mutex_destroy(&store->lock);
    g_free(store);
}

void
tb_store_settle(TbStore *store)
{
    if (store->shelf != NULL)
        tb_shelf_settle(store->shelf);
}

TbStoreCounts
tb_store_counts(TbStore *store)
{
    TbStoreCounts counts;

    pthread_mutex_lock(&store->lock);
    counts = store->counts;
    pthread_mutex_unlock(&store->lock);
    return counts;
}

/* ---- what is remembered ---- */

static char *
numbers_of(double unit, TbPose placement)
{
    double numbers[] = {unit,
                        placement.x.x,
                        placement.x.y,
                        placement.x.z,
                        placement.y.x,
                        placement.y.y,
                        placement.y.z,
                        placement.z.x,
                        placement.z.y,
                        placement.z.z,
                        placement.origin.x,
                        placement.origin.y,
                        placement.origin.z,
                        placement.scale};
    GString *text = g_string_new(NULL);
    char one[G_ASCII_DTOSTR_BUF_SIZE];

    for (size_t i = 0; i < G_N_ELEMENTS(numbers); i++)
        g_string_append_printf(text, " %s", g_ascii_dtostr(one, sizeof one, numbers[i]));
    return g_string_free(text, FALSE);
}

static File *
file_at(TbStore *store, const char *path)
{
    File *file = g_hash_table_lookup(store->files, path);

    if (file != NULL)
        return file;
    file = g_new0(File, 1);
    file->made = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, made_free);
    g_hash_table_insert(store->files, g_strdup(path), file);
    return file;
}

static bool
is_used(TbStore *store, const TbTree *tree)
{
    GHashTableIter files, all;
    gpointer file, made;

    g_hash_table_iter_init(&files, store->files);
    while (g_hash_table_iter_next(&files, NULL, &file)) {
        g_hash_table_iter_init(&all, ((File *)file)->made);
        while (g_hash_table_iter_next(&all, NULL, &made))
            if (((Made *)made)->answer.tree == tree || ((Made *)made)->source == tree)
                return true;
    }
    return false;
}

/* Trees of no answer that is remembered go. Who holds one keeps it. */
static void
drop_unused(TbStore *store)
{
    GHashTableIter trees;
    gpointer tree;

    g_hash_table_iter_init(&trees, store->trees);
    while (g_hash_table_iter_next(&trees, NULL, &tree))
        if (!is_used(store, tree))
            g_hash_table_iter_remove(&trees);
}

static uint64_t
room_of(const Made *made)
{
    const TbTree *tree = made->answer.tree;

    /* 12 bytes of corners, 12 of vertices, 4 of numbers and 4 of boxes */
    return tree == NULL ? 0 : 32 * (uint64_t)tb_mesh_triangle_count(tb_tree_mesh(tree));
}

/* Lets placements go that were asked for longest ago, until the others are few or small. */
static void
trim_places(File *file)
{
    for (;;) {
        GHashTableIter all;
        gpointer numbers, made, oldest = NULL;
        uint64_t room = 0, first = UINT64_MAX;

        g_hash_table_iter_init(&all, file->made);
        while (g_hash_table_iter_next(&all, &numbers, &made)) {
            room += room_of(made);
            if (((Made *)made)->used < first) {
                first = ((Made *)made)->used;
                oldest = numbers;
            }
        }
        if (g_hash_table_size(file->made) <= FEW_PLACES || room <= PLACES_ROOM)
            return;
        g_hash_table_remove(file->made, oldest);
    }
}

/* Takes over what the import made. */
static void
remember(TbStore *store, File *file, TbImport *import, const char *numbers)
{
    Made *made;

    if (strcmp(file->sums.checksum, import->sums.checksum) != 0)
        g_hash_table_remove_all(file->made); /* the bytes are others now */
    file->stamp = import->stamp;
    file->sums = import->sums;
    file->young = import->began < import->stamp.changed + YOUNG;
    made = g_new0(Made, 1);
    made->answer = import->answer;
    made->source = import->source;
    made->used = store->questions;
    g_hash_table_replace(file->made, g_strdup(numbers), made);
    trim_places(file);
    drop_unused(store);
}

/* ---- asking ---- */

/* A caller's copy of an answer, judged against the checksum that the caller expects. */
static TbScanAnswer
answer_for(const TbScanAnswer *known, const char *path, const char *checksum)
{
    TbScanAnswer answer = *known;

    if (answer.tree != NULL)
        tb_tree_ref(answer.tree);
    if (answer.state == TB_SCAN_READY && checksum != NULL && checksum[0] != '\0' &&
        g_ascii_strcasecmp(checksum, answer.checksum) != 0) {
        answer.state = TB_SCAN_CHANGED;
        tb_fail(&answer.fault, TB_E_REFERENCE,
                "%s has changed: its checksum begins %.12s, the bay has %.12s", path,
                answer.checksum, checksum);
    }
    return answer;
}

/* Until nobody reads the file, under the lock; false when asked to stop. */
static bool
wait_for(TbStore *store, const File *file, const TbTask *task)
{
    while (file->busy) {
        struct timespec until;

        if (tb_task_is_cancelled(task))
            return false;
        clock_gettime(CLOCK_REALTIME, &until);
        until.tv_nsec += LOOK_AROUND;
        until.tv_sec += until.tv_nsec / 1000000000;
        until.tv_nsec %= 1000000000;
        pthread_cond_timedwait(&store->change, &store->lock, &until);
    }
    return true;
}

/* Read the file for the table; the lock is held before and after, not between. */
static TbScanAnswer
import_into(TbStore *store, File *file, TbImport *import, const char *numbers, const char *checksum)
{
    TbScanAnswer answer;

    import->stamp = file->stamp;
    if (!file->young)
        import->sums = file->sums;
    import->began = time(NULL);
    file->busy = true;
    pthread_mutex_unlock(&store->lock);
    tb_store__import(import);
    pthread_mutex_lock(&store->lock);
    file->busy = false;
    pthread_cond_broadcast(&store->change);
    if (!import->settled) {
        tb_tree_unref(import->source);
        drop_unused(store);
        return import->answer;
    }
    answer = answer_for(&import->answer, import->path, checksum);
    remember(store, file, import, numbers);
    return answer;
}

TbScanAnswer
tb_store_scan(TbStore *store,
              const char *path,
              const char *checksum,
              double unit,
              TbPose placement,
              TbWork *work,
              TbTask *task)
{
    g_autofree char *full = g_canonicalize_filename(path, NULL);
    g_autofree char *numbers = numbers_of(unit, placement);
    TbImport import = {.store = store,
                       .path = path,
                       .unit = unit,
                       .placement = placement,
                       .work = work,
                       .task = task};
    TbScanAnswer answer = {.state = TB_SCAN_MISSING};
    TbStamp stamp;
    File *file;
    Made *made;

    if (!tb_store__look_at(path, &stamp, &answer))
        return answer;
    pthread_mutex_lock(&store->lock);
    file = file_at(store, full);
    if (!wait_for(store, file, task)) {
        tb_fail(&answer.fault, TB_E_CANCELLED, "stopped while waiting for a scan");
    } else {
        store->questions++;
        made = g_hash_table_lookup(file->made, numbers);
        if (made != NULL && !file->young && tb_store__same_stamp(file->stamp, stamp)) {
            made->used = store->questions;
            answer = answer_for(&made->answer, path, checksum);
        } else {
            answer = import_into(store, file, &import, numbers, checksum);
        }
    }
    pthread_mutex_unlock(&store->lock);
    return answer;
}
