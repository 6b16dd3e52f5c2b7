/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/store.h"

#include <gio/gio.h>
#include <string.h>

/* Bytes asked of the file at a time while the rest is only summed. */
#define CHUNK (256 * 1024)

/* What a file looked like when it was read; another look means reading again. */
typedef struct Stamp {
    guint64 size, seconds;
    guint32 micro;
} Stamp;

typedef struct Entry {
    char *place; /* path, unit and placement */
    Stamp stamp;
    TbScanAnswer answer; /* READY or BROKEN; never CHANGED: that depends on who asks */
} Entry;

struct TbStore {
    int references;
    GMutex lock;       /* held while a file is read: two askers never read one file twice */
    GHashTable *files; /* place -> Entry */
    GHashTable *trees; /* checksum, unit and placement -> TbTree */
};

static void
entry_free(gpointer data)
{
    Entry *entry = data;

    tb_tree_unref(entry->answer.tree);
    g_free(entry->place);
    g_free(entry);
}

static void
tree_free(gpointer data)
{
    tb_tree_unref(data);
}

TbStore *
tb_store_new(void)
{
    TbStore *store = g_new0(TbStore, 1);

    store->references = 1;
    g_mutex_init(&store->lock);
    store->files = g_hash_table_new_full(g_str_hash, g_str_equal, NULL, entry_free);
    store->trees = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, tree_free);
    return store;
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
    g_hash_table_unref(store->files);
    g_hash_table_unref(store->trees);
    g_mutex_clear(&store->lock);
    g_free(store);
}

/* ---- reading ---- */

/* A file that is read and summed in one pass. */
typedef struct Stream {
    GInputStream *input;
    GChecksum *sum;
} Stream;

static long
read_some(void *user, unsigned char *out, size_t room, TbFault *fault)
{
    Stream *stream = user;
    g_autoptr(GError) error = NULL;
    gssize got = g_input_stream_read(stream->input, out, room, NULL, &error);

    if (got < 0) {
        tb_fail(fault, TB_E_IO, "%s", error->message);
        return -1;
    }
    g_checksum_update(stream->sum, out, got);
    return (long)got;
}

/* What the mesh reader left, so that the checksum is of the whole file. */
static TbStatus
read_rest(Stream *stream, TbTask *task, TbFault *fault)
{
    g_autofree unsigned char *room = g_malloc(CHUNK);
    long got;

    do {
        if (tb_task_is_cancelled(task))
            return tb_fail(fault, TB_E_CANCELLED, "stopped while reading a scan");
        got = read_some(stream, room, CHUNK, fault);
    } while (got > 0);
    return got < 0 ? TB_E_IO : TB_OK;
}

static TbStatus
read_mesh(GInputStream *input,
          const char *path,
          guint64 size,
          const TbMeshReadDef *def,
          char checksum[65],
          TbMesh **mesh,
          TbFault *fault)
{
    g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);
    Stream stream = {.input = input, .sum = sum};
    TbSource source = {.read = read_some, .user = &stream, .size = size};
    TbMeshFormat format = tb_mesh_format_of(path);
    TbFault rest = {0};
    TbStatus status;

    if (format == TB_MESH_UNKNOWN)
        status = tb_fail(fault, TB_E_FORMAT,
                         "its name ends in none of .stl, .ply and .obj, so its format is unknown");
    else
        status = tb_mesh_read(&source, format, def, mesh, fault);
    /* A broken file is summed to its end too: whether it changed is worth knowing. */
    if (status != TB_E_CANCELLED && read_rest(&stream, def->task, &rest) == TB_OK)
        g_strlcpy(checksum, g_checksum_get_string(sum), 65);
    else if (status == TB_OK) {
        tb_mesh_unref(*mesh);
        *mesh = NULL;
        *fault = rest;
        status = rest.status;
    }
    return status;
}

static char *
numbers_of(double unit, TbPose placement)
{
    double numbers[] = {
        unit,
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
        placement.scale,
    };
    GString *text = g_string_new(NULL);
    char one[G_ASCII_DTOSTR_BUF_SIZE];

    for (size_t i = 0; i < G_N_ELEMENTS(numbers); i++)
        g_string_append_printf(text, " %s", g_ascii_dtostr(one, sizeof one, numbers[i]));
    return g_string_free(text, FALSE);
}

/* The tree of a mesh just read, shared with an equal file read before. */
static TbStatus
tree_of(TbStore *store,
        TbMesh *mesh,
        char *key,
        TbWork *work,
        TbTask *task,
        TbTree **tree,
        TbFault *fault)
{
    TbTree *known = g_hash_table_lookup(store->trees, key);
    TbStatus status;

    if (known != NULL) {
        g_free(key);
        *tree = tb_tree_ref(known);
        return TB_OK;
    }
    status = tb_tree_new(mesh, work, task, tree, fault);
    if (status == TB_OK)
        g_hash_table_insert(store->trees, key, tb_tree_ref(*tree));
    else
        g_free(key);
    return status;
}

/* The system's sentence repeats the path and is in the user's language: the two common cases are
 * said in our own words. */
static void
say_missing(TbScanAnswer *answer, const char *path, const GError *error)
{
    answer->state = TB_SCAN_MISSING;
    if (g_error_matches(error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND))
        tb_fail(&answer->fault, TB_E_IO, "%s is not there", path);
    else if (g_error_matches(error, G_IO_ERROR, G_IO_ERROR_PERMISSION_DENIED))
        tb_fail(&answer->fault, TB_E_IO, "%s may not be read", path);
    else
        tb_fail(&answer->fault, TB_E_IO, "%s cannot be read: %s", path, error->message);
}

static void
read_file(TbStore *store,
          GFile *file,
          const char *path,
          guint64 size,
          const TbMeshReadDef *def,
          const char *numbers,
          TbScanAnswer *answer)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GFileInputStream) input = g_file_read(file, NULL, &error);
    TbMesh *mesh = NULL;
    TbStatus status;

    if (input == NULL) {
        say_missing(answer, path, error);
        return;
    }
    answer->state = TB_SCAN_READY;
    status =
        read_mesh(G_INPUT_STREAM(input), path, size, def, answer->checksum, &mesh, &answer->fault);
    if (status == TB_OK)
        status = tree_of(store, mesh, g_strconcat(answer->checksum, numbers, NULL), def->work,
                         def->task, &answer->tree, &answer->fault);
    tb_mesh_unref(mesh);
    if (status != TB_OK) {
        TbFault why = answer->fault;

        answer->state = TB_SCAN_BROKEN;
        tb_fail(&answer->fault, status, "%s cannot be read as a mesh: %s", path, why.text);
    }
}

/* ---- asking ---- */

/* False, with the reason, where there is no plain file. */
static bool
look_at(GFile *file, const char *path, Stamp *stamp, TbScanAnswer *answer)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GFileInfo) info =
        g_file_query_info(file,
                          G_FILE_ATTRIBUTE_STANDARD_TYPE "," G_FILE_ATTRIBUTE_STANDARD_SIZE
                                                         ",time::modified,time::modified-usec",
                          G_FILE_QUERY_INFO_NONE, NULL, &error);

    answer->state = TB_SCAN_MISSING;
    if (info == NULL) {
        say_missing(answer, path, error);
        return false;
    }
    if (g_file_info_get_file_type(info) == G_FILE_TYPE_DIRECTORY) {
        tb_fail(&answer->fault, TB_E_IO, "%s is a folder, not a mesh file", path);
        return false;
    }
    /* links are followed: one that is still there could not be */
    if (g_file_info_get_file_type(info) == G_FILE_TYPE_SYMBOLIC_LINK) {
        tb_fail(&answer->fault, TB_E_IO, "%s is a link that leads to no file", path);
        return false;
    }
    if (g_file_info_get_file_type(info) != G_FILE_TYPE_REGULAR) {
        tb_fail(&answer->fault, TB_E_IO, "%s is a device or the like, not a mesh file", path);
        return false;
    }
    stamp->size = (guint64)g_file_info_get_size(info);
    stamp->seconds = g_file_info_get_attribute_uint64(info, "time::modified");
    stamp->micro = g_file_info_get_attribute_uint32(info, "time::modified-usec");
    return true;
}

static bool
same_stamp(Stamp a, Stamp b)
{
    return a.size == b.size && a.seconds == b.seconds && a.micro == b.micro;
}

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

TbScanAnswer
tb_store_scan(TbStore *store,
              const char *path,
              const char *checksum,
              double unit,
              TbPose placement,
              TbWork *work,
              TbTask *task)
{
    g_autoptr(GFile) file = g_file_new_for_path(path);
    g_autofree char *full = g_file_get_path(file);
    g_autofree char *numbers = numbers_of(unit, placement);
    g_autofree char *place = g_strconcat(full, numbers, NULL);
    TbMeshReadDef def = {.unit = unit, .placement = placement, .work = work, .task = task};
    TbScanAnswer answer = {0};
    Stamp stamp = {0};
    Entry *entry;

    if (!look_at(file, path, &stamp, &answer))
        return answer;
    g_mutex_lock(&store->lock);
    entry = g_hash_table_lookup(store->files, place);
    if (entry == NULL || !same_stamp(entry->stamp, stamp)) {
        read_file(store, file, path, stamp.size, &def, numbers, &answer);
        if (answer.checksum[0] == '\0' || answer.fault.status == TB_E_MEMORY ||
            answer.fault.status == TB_E_CANCELLED) {
            /* Not read to its end: nothing to remember. */
            g_mutex_unlock(&store->lock);
            return answer;
        }
        entry = g_new0(Entry, 1);
        entry->place = g_steal_pointer(&place);
        entry->stamp = stamp;
        entry->answer = answer;
        g_hash_table_replace(store->files, entry->place, entry);
    }
    answer = answer_for(&entry->answer, path, checksum);
    g_mutex_unlock(&store->lock);
    return answer;
}
