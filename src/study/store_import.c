/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * One file on its way into the store: opened once, summed, then found among the trees known, loaded
 * from the disk, or read and built; and put where it stands. All reading goes through one
 * descriptor, so that a file that is replaced meanwhile is read as it was; one that is written to
 * meanwhile is seen by its times and sums, and read again.
 */

#include "study/store_private.h"

#include "base/sum.h"
#include "base/text.h"
#include "geom/tol.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

/* Bytes asked of the file at a time. */
#define CHUNK (256 * 1024)

/* Times that a file is read when it is being written to. */
#define MOST_TRIES 3

/* ---- its bytes ---- */

/* A file read through from its start, summed quickly on the way. */
typedef struct Stream {
    int file;
    TbSum64 quick;
} Stream;

static long
read_some(void *user, unsigned char *out, size_t room, TbFault *fault)
{
    Stream *stream = user;
    ssize_t got;

    do
        got = read(stream->file, out, room);
    while (got < 0 && errno == EINTR);
    if (got < 0) {
        tb_fail(fault, TB_E_IO, "%s", strerrordesc_np(errno));
        return -1;
    }
    tb_sum64_add(&stream->quick, out, (size_t)got);
    return (long)got;
}

static void
begin(Stream *stream, int file)
{
    stream->file = file;
    tb_sum64_init(&stream->quick);
    lseek(file, 0, SEEK_SET);
}

/* What is left of a stream, into @p sum where it is not NULL. */
static TbStatus
read_rest(Stream *stream, TbSha256 *sum, uint64_t size, TbTask *task, TbFault *fault)
{
    g_autofree unsigned char *room = g_malloc(CHUNK);
    uint64_t done = 0;
    long got;

    do {
        if (tb_task_is_cancelled(task))
            return tb_fail(fault, TB_E_CANCELLED, "stopped while reading a scan");
        got = read_some(stream, room, CHUNK, fault);
        if (got > 0 && sum != NULL) {
            tb_sha256_add(sum, room, (size_t)got);
            done += (uint64_t)got;
            tb_task_report(task, "reading a scan", MIN(1, (double)done / (double)MAX(size, 1)));
        }
    } while (got > 0);
    return got < 0 ? TB_E_IO : TB_OK;
}

static void
count(TbStore *store, size_t *counter)
{
    pthread_mutex_lock(&store->lock);
    ++*counter;
    pthread_mutex_unlock(&store->lock);
}

static TbStatus
sum_file(TbImport *import, int file, TbFault *fault)
{
    TbSha256 sum;
    Stream stream;
    TbStatus status;

    tb_sha256_init(&sum);
    begin(&stream, file);
    status = read_rest(&stream, &sum, import->stamp.size, import->task, fault);
    if (status != TB_OK)
        return status;
    tb_sha256_text(&sum, import->sums.checksum);
    import->sums.quick = tb_sum64(&stream.quick);
    count(import->store, &import->store->counts.summed);
    return TB_OK;
}

/* ---- memory ---- */

/* Before anything is made: what the file's first bytes claim. A closed mesh has a vertex for two
 * triangles, an open one more; what needs more than that is given up while it is read. */
static TbStatus
check_claim(const TbImport *import, int file, TbMeshFormat format, TbFault *fault)
{
    char needed[TB_TEXT_NUMBER], most[TB_TEXT_NUMBER];
    unsigned char head[TB_MESH_HEAD];
    ssize_t got = pread(file, head, sizeof head, 0);
    uint64_t claimed = tb_mesh_claimed(format, head, got > 0 ? (size_t)got : 0, import->stamp.size);
    uint64_t need = tb_mesh_need(claimed / 2, claimed);

    if (need <= import->store->memory)
        return TB_OK;
    tb_mesh_bytes_text((double)need, needed);
    tb_mesh_bytes_text((double)import->store->memory, most);
    return tb_fail(fault, TB_E_LIMIT,
                   "a mesh of %llu triangles needs about %s of memory, %s are the most",
                   (unsigned long long)claimed, needed, most);
}

/* ---- trees ---- */

/* Tree of the words that say what it is made from; a reference. */
static TbTree *
known_tree(TbStore *store, const char *key)
{
    TbTree *tree;

    pthread_mutex_lock(&store->lock);
    tree = g_hash_table_lookup(store->trees, key);
    if (tree != NULL)
        tb_tree_ref(tree);
    pthread_mutex_unlock(&store->lock);
    return tree;
}

/* Makes a tree known. Where another thread was first, its tree takes the place of this one. */
static void
make_known(TbStore *store, const char *key, TbTree **tree, size_t *counter)
{
    TbTree *first;

    pthread_mutex_lock(&store->lock);
    ++*counter;
    first = g_hash_table_lookup(store->trees, key);
    if (first == NULL) {
        g_hash_table_insert(store->trees, g_strdup(key), tb_tree_ref(*tree));
    } else {
        tb_tree_unref(*tree);
        *tree = tb_tree_ref(first);
    }
    pthread_mutex_unlock(&store->lock);
}

/* What a tree is made from. The program's version is part of it: another one may read otherwise. */
static char *
key_of(const TbImport *import, TbMeshFormat format, TbPose placement)
{
    double numbers[] = {import->unit,       placement.x.x,  placement.x.y,      placement.x.z,
                        placement.y.x,      placement.y.y,  placement.y.z,      placement.z.x,
                        placement.z.y,      placement.z.z,  placement.origin.x, placement.origin.y,
                        placement.origin.z, placement.scale};
    GString *text = g_string_new("tightbay " TB_VERSION " scan ");

    g_string_append_printf(text, "%s format %d at", import->sums.checksum, (int)format);
    for (size_t i = 0; i < G_N_ELEMENTS(numbers); i++) {
        char one[TB_TEXT_NUMBER];

        tb_text_from_double(numbers[i], one);
        g_string_append_printf(text, " %s", one);
    }
    return g_string_free(text, FALSE);
}

/* The bytes met are not those that were summed: the file is being written to. */
static TbStatus
other_bytes(TbImport *import, TbFault *fault)
{
    import->sums = (TbSums){.quick = 0};
    return tb_fail(fault, TB_E_REFERENCE, "it is being written to");
}

/* A mesh from the file's bytes, as it lies there or, in a hurry, where it stands. */
static TbStatus
read_mesh(TbImport *import,
          int file,
          TbMeshFormat format,
          TbPose placement,
          TbMesh **mesh,
          TbFault *fault)
{
    TbMeshReadDef def = {.unit = import->unit,
                         .placement = placement,
                         .most_bytes = import->store->memory,
                         .work = import->work,
                         .task = import->task};
    Stream stream;
    TbSource source = {.read = read_some, .user = &stream, .size = import->stamp.size};
    TbFault rest = {0};
    TbStatus status;

    begin(&stream, file);
    status = tb_mesh_read(&source, format, &def, mesh, fault);
    if (status == TB_E_MEMORY || status == TB_E_CANCELLED || status == TB_E_LIMIT)
        return status;
    /* broken or not, it is said of the bytes that were summed or of none */
    if (read_rest(&stream, NULL, 0, import->task, &rest) != TB_OK) {
        status = rest.status;
        *fault = rest;
    } else if (tb_sum64(&stream.quick) != import->sums.quick) {
        status = other_bytes(import, fault);
    }
    if (status != TB_OK) {
        tb_mesh_unref(*mesh);
        *mesh = NULL;
    }
    return status;
}

static TbStatus
build_tree(TbImport *import,
           int file,
           TbMeshFormat format,
           TbPose placement,
           const char *key,
           TbTree **tree,
           TbFault *fault)
{
    TbStore *store = import->store;
    TbMesh *mesh = NULL;
    TbStatus status = read_mesh(import, file, format, placement, &mesh, fault);

    if (status == TB_OK)
        status = tb_tree_new(mesh, import->work, import->task, tree, fault);
    tb_mesh_unref(mesh);
    if (status != TB_OK)
        return status;
    make_known(store, key, tree, &store->counts.built);
    import->fresh[import->fresh_count++] = (TbFresh){g_strdup(key), tb_tree_ref(*tree)};
    return TB_OK;
}

/* A tree kept on the disk, unless it is of a scan that may no longer be read: then the reader says
 * why. */
static TbTree *
load_tree(TbImport *import, const char *key)
{
    TbStore *store = import->store;
    TbTree *tree = NULL;
    TbMeshFacts facts;

    if (store->shelf != NULL)
        tree = tb_shelf_find(store->shelf, key, import->work, import->task);
    if (tree == NULL)
        return NULL;
    facts = tb_mesh_facts(tb_tree_mesh(tree));
    if (tb_mesh_need(facts.vertices_read, facts.triangles_read) > store->memory) {
        tb_tree_unref(tree);
        return NULL;
    }
    make_known(store, key, &tree, &store->counts.loaded);
    return tree;
}

/* The tree of the file's mesh with one placement applied while it is read. */
static TbStatus
find_tree(TbImport *import,
          int file,
          TbMeshFormat format,
          TbPose placement,
          TbTree **tree,
          TbFault *fault)
{
    g_autofree char *key = key_of(import, format, placement);

    *tree = known_tree(import->store, key);
    if (*tree == NULL)
        *tree = load_tree(import, key);
    if (*tree != NULL)
        return TB_OK;
    if (tb_task_is_cancelled(import->task))
        return tb_fail(fault, TB_E_CANCELLED, "stopped while loading a scan");
    return build_tree(import, file, format, placement, key, tree, fault);
}

/* ---- places ---- */

static bool
is_within(TbBox3 box)
{
    double most = TB_LIMIT_COORDINATE;

    return box.low.x >= -most && box.low.y >= -most && box.low.z >= -most && box.high.x <= most &&
           box.high.y <= most && box.high.z <= most;
}

/* A tree as it lies in the file, put where it stands. */
static TbStatus
move_tree(TbImport *import, TbMeshFormat format, TbFault *fault)
{
    g_autofree char *as_read = key_of(import, format, import->placement);
    g_autofree char *key = g_strconcat("moved ", as_read, NULL);
    TbStore *store = import->store;
    TbStatus status;

    import->answer.tree = known_tree(store, key);
    if (import->answer.tree != NULL)
        return TB_OK;
    tb_task_report(import->task, "placing a scan", 0);
    status = tb_tree_moved(import->source, import->placement, import->work, import->task,
                           &import->answer.tree, fault);
    if (status == TB_OK)
        make_known(store, key, &import->answer.tree, &store->counts.moved);
    return status;
}

/*
 * A file in the axes of a survey may lie beyond what a mesh may hold and be brought near by its
 * placement; what it drops, and whether anything is left, is then known only where it stands. Such
 * a file is read with its placement, and so is one that its placement takes beyond.
 */
static TbStatus
place_tree(TbImport *import, int file, TbMeshFormat format, TbFault *fault)
{
    bool stays = tb_pose_is_identity(import->placement);
    TbStatus status = find_tree(import, file, format, tb_pose_identity(), &import->source, fault);

    if (stays && status == TB_OK)
        import->answer.tree = tb_tree_ref(import->source);
    if (stays || (status != TB_OK && status != TB_E_FORMAT))
        return status;
    if (status == TB_OK && tb_mesh_facts(tb_tree_mesh(import->source)).dropped_not_finite == 0) {
        status = move_tree(import, format, fault);
        if (status != TB_OK || is_within(tb_mesh_box(tb_tree_mesh(import->answer.tree))))
            return status;
        g_clear_pointer(&import->answer.tree, tb_tree_unref);
    }
    return find_tree(import, file, format, import->placement, &import->answer.tree, fault);
}

/* ---- the import ---- */

static TbStatus
read_opened(TbImport *import, int file, TbFault *fault)
{
    TbMeshFormat format = tb_mesh_format_of(import->path);
    TbStatus status = TB_OK;

    if (import->sums.checksum[0] == '\0')
        status = sum_file(import, file, fault);
    if (status == TB_OK && format == TB_MESH_UNKNOWN)
        status = tb_fail(fault, TB_E_FORMAT,
                         "its name ends in none of .stl, .ply and .obj, so its format is unknown");
    if (status == TB_OK)
        status = check_claim(import, file, format, fault);
    if (status == TB_OK)
        status = place_tree(import, file, format, fault);
    return status;
}

static void
drop(TbImport *import)
{
    g_clear_pointer(&import->answer.tree, tb_tree_unref);
    g_clear_pointer(&import->source, tb_tree_unref);
}

/* What was built goes to the disk, where the import went well, or is let go. */
static void
hand_over(TbImport *import, bool keep)
{
    for (size_t i = 0; i < import->fresh_count; i++) {
        if (keep && import->store->shelf != NULL)
            tb_shelf_keep(import->store->shelf, import->fresh[i].key, import->fresh[i].tree);
        tb_tree_unref(import->fresh[i].tree);
        g_free(import->fresh[i].key);
    }
    import->fresh_count = 0;
}

/* The answer of a file that was read to its end, whatever came of it. */
static void
settle(TbImport *import, TbStatus status, const TbFault *why)
{
    TbScanAnswer *answer = &import->answer;

    if (status != TB_OK)
        drop(import);
    answer->state = TB_SCAN_READY;
    answer->fault = *why;
    if (status == TB_E_LIMIT) {
        answer->state = TB_SCAN_LARGE;
        tb_fail(&answer->fault, status, "%s is too large: %s", import->path, why->text);
    } else if (status != TB_OK) {
        answer->state = TB_SCAN_BROKEN;
        tb_fail(&answer->fault, status, "%s cannot be read as a mesh: %s", import->path, why->text);
    }
    g_strlcpy(answer->checksum, import->sums.checksum, sizeof answer->checksum);
    import->settled = status != TB_E_MEMORY && status != TB_E_CANCELLED && status != TB_E_IO;
}

/* False where it must be read again. */
static bool
try_import(TbImport *import)
{
    TbFault why = {0};
    TbStamp stamp;
    int file = tb_store__open(import->path, &stamp, &import->answer);
    TbStatus status;
    bool same;

    if (file < 0)
        return true;
    if (!tb_store__same_stamp(stamp, import->stamp))
        import->sums = (TbSums){.quick = 0};
    import->stamp = stamp;
    status = read_opened(import, file, &why);
    same = tb_store__has_stamp(file, stamp) && import->sums.checksum[0] != '\0';
    close(file);
    settle(import, status, &why);
    hand_over(import, same && status == TB_OK);
    if (same || status == TB_E_MEMORY || status == TB_E_CANCELLED || status == TB_E_IO)
        return true;
    import->settled = false;
    return false;
}

void
tb_store__import(TbImport *import)
{
    for (int i = 0; i < MOST_TRIES; i++) {
        drop(import);
        import->answer = (TbScanAnswer){.state = TB_SCAN_MISSING};
        if (try_import(import))
            return;
    }
    drop(import);
    import->answer = (TbScanAnswer){.state = TB_SCAN_BROKEN};
    tb_fail(&import->answer.fault, TB_E_IO, "%s is being written to while it is read",
            import->path);
}
