/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/recovered_private.h"

#include "app/disk_mark.h"
#include "base/sum.h"
#include "bay/read.h"
#include "bay/write.h"

#include <errno.h>
#include <fcntl.h>
#include <glib/gstdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#define ENDING ".bay"
#define LOCK_ENDING ".lock"

char *
tb_autosave_folder(void)
{
    return g_build_filename(g_get_user_state_dir(), "tightbay", "recovered", NULL);
}

/* ---- locks ---- */

char *
tb_recovered__lock_path(const char *path)
{
    return g_strconcat(path, LOCK_ENDING, NULL);
}

/** Open a lock's file and hold it. @param[out] swept it was removed before we held it */
static int
try_lock(const char *lock_path, bool make, bool *swept)
{
    int lock = g_open(lock_path, O_RDWR | O_CLOEXEC | (make ? O_CREAT : 0), 0600);
    struct stat about;

    *swept = false;
    if (lock < 0)
        return -1;
    if (flock(lock, LOCK_EX | LOCK_NB) != 0) {
        close(lock);
        return -1;
    }
    *swept = fstat(lock, &about) != 0 || about.st_nlink == 0;
    if (*swept) {
        close(lock);
        return -1;
    }
    return lock;
}

int
tb_recovered__lock(const char *path, bool make)
{
    char *lock_path = tb_recovered__lock_path(path);
    bool swept;
    int lock;

    do
        lock = try_lock(lock_path, make, &swept);
    while (swept && make);
    g_free(lock_path);
    return lock;
}

void
tb_recovered__remove(const char *path)
{
    char *lock_path = tb_recovered__lock_path(path);

    /* the lock last: a copy without one would be taken for an owner's that is gone */
    g_unlink(path);
    g_unlink(lock_path);
    g_free(lock_path);
}

/* ---- the form ---- */

static void
append_value(GString *line, const char *name, const char *value)
{
    char *safe;

    if (value == NULL)
        return;
    /* no quote, no bracket, no question mark: nothing that could end the instruction */
    safe = g_uri_escape_string(value, "/: ", FALSE);
    g_string_append_printf(line, " %s=\"%s\"", name, safe);
    g_free(safe);
}

static char *
sum_of(const char *bytes, gsize size)
{
    TbSha256 sum;
    char *text = g_malloc(TB_SHA256_TEXT);

    tb_sha256_init(&sum);
    tb_sha256_add(&sum, bytes, size);
    tb_sha256_text(&sum, text);
    return text;
}

GString *
tb_recovered__text(const TbBay *bay, const TbRecoveredHead *head)
{
    GString *text = tb_bay_to_text(bay);
    GString *line = g_string_new("<?" TB_RECOVERED_MARK);
    char *sum = sum_of(text->str, text->len);
    const char *second = strchr(text->str, '\n');

    append_value(line, "uri", head->uri);
    append_value(line, "stamp", head->stamp);
    append_value(line, "title", head->title);
    g_string_append_printf(line, " time=\"%" G_GINT64_FORMAT "\" sum=\"%s\"?>\n", head->time, sum);
    g_string_insert(text, second - text->str + 1, line->str);
    g_string_free(line, TRUE);
    g_free(sum);
    return text;
}

/** A value of the head's line; NULL when it is not there. To be freed. */
static char *
value_of(const char *line, const char *end, const char *name)
{
    char *pattern = g_strdup_printf(" %s=\"", name);
    const char *at = g_strstr_len(line, end - line, pattern);
    const char *quote;
    char *value = NULL;

    if (at != NULL) {
        at += strlen(pattern);
        quote = memchr(at, '"', (size_t)(end - at));
        if (quote != NULL)
            value = g_uri_unescape_segment(at, quote, NULL);
    }
    g_free(pattern);
    return value;
}

/** Where the head's line begins and ends in a copy; false when there is none. */
static bool
find_head(const char *text, const char **begin, const char **end)
{
    *begin = strstr(text, "\n<?" TB_RECOVERED_MARK " ");
    if (*begin == NULL)
        return false;
    (*begin)++;
    *end = strchr(*begin, '\n');
    return *end != NULL;
}

static void
read_head(TbRecovered *recovered)
{
    char *text = NULL, *time;
    const char *begin, *end;

    if (g_file_get_contents(recovered->path, &text, NULL, NULL) && find_head(text, &begin, &end)) {
        recovered->uri = value_of(begin, end, "uri");
        recovered->stamp = value_of(begin, end, "stamp");
        recovered->title = value_of(begin, end, "title");
        time = value_of(begin, end, "time");
        recovered->time = time != NULL ? g_ascii_strtoll(time, NULL, 10) : 0;
        g_free(time);
    }
    if (recovered->title == NULL)
        recovered->title = g_strdup("");
    g_free(text);
}

/* ---- what is found ---- */

/** A copy whose lock we got, or NULL: its owner lives, or it is none. */
static TbRecovered *
take_hold(const char *folder, const char *name)
{
    TbRecovered *recovered = g_new0(TbRecovered, 1);

    recovered->path = g_build_filename(folder, name, NULL);
    /* a copy whose lock was lost is nobody's */
    recovered->lock = tb_recovered__lock(recovered->path, true);
    if (recovered->lock < 0 || g_access(recovered->path, R_OK) != 0) {
        tb_recovered_free(recovered);
        return NULL;
    }
    read_head(recovered);
    return recovered;
}

/** Sweep away a lock without a copy whose owner is gone. */
static void
sweep(const char *folder, const char *lock_name)
{
    char *name = g_strndup(lock_name, strlen(lock_name) - strlen(LOCK_ENDING));
    char *path = g_build_filename(folder, name, NULL);
    int lock;

    if (g_access(path, F_OK) != 0) {
        lock = tb_recovered__lock(path, false);
        if (lock >= 0) {
            tb_recovered__remove(path);
            close(lock);
        }
    }
    g_free(path);
    g_free(name);
}

static int
newest_first(const void *a, const void *b)
{
    const TbRecovered *x = *(TbRecovered *const *)a, *y = *(TbRecovered *const *)b;

    return x->time != y->time ? (x->time < y->time) - (x->time > y->time)
                              : strcmp(x->path, y->path);
}

static void
free_one(void *recovered)
{
    tb_recovered_free(recovered);
}

GPtrArray *
tb_recovered_list(const char *folder)
{
    GPtrArray *found = g_ptr_array_new_with_free_func(free_one);
    GDir *dir = g_dir_open(folder, 0, NULL);
    TbRecovered *one;

    if (dir == NULL)
        return found;
    for (const char *name = g_dir_read_name(dir); name != NULL; name = g_dir_read_name(dir)) {
        if (name[0] == '.')
            continue;
        if (g_str_has_suffix(name, ENDING)) {
            one = take_hold(folder, name);
            if (one != NULL)
                g_ptr_array_add(found, one);
        } else if (g_str_has_suffix(name, ENDING LOCK_ENDING)) {
            sweep(folder, name);
        }
    }
    g_dir_close(dir);
    g_ptr_array_sort(found, newest_first);
    return found;
}

TbStatus
tb_recovered_read(const TbRecovered *recovered, TbBay **bay, TbFault *fault)
{
    char *bytes = NULL, *said, *got;
    const char *begin, *end;
    GString *text;
    TbStatus status;

    if (!g_file_get_contents(recovered->path, &bytes, NULL, NULL))
        return tb_fail(fault, TB_E_IO, "the copy cannot be read");
    if (!find_head(bytes, &begin, &end)) {
        g_free(bytes);
        return tb_fail(fault, TB_E_FORMAT, "the copy is not whole: it does not say what it is of");
    }
    said = value_of(begin, end, "sum");
    text = g_string_new(bytes);
    g_string_erase(text, begin - bytes, end + 1 - begin);
    got = sum_of(text->str, text->len);
    if (g_strcmp0(said, got) != 0)
        status = tb_fail(fault, TB_E_FORMAT, "the copy is not whole: %zu bytes, of another sum",
                         text->len);
    else
        status = tb_bay_read_bytes(text->str, text->len, bay, fault);
    g_string_free(text, TRUE);
    g_free(got);
    g_free(said);
    g_free(bytes);
    return status;
}

bool
tb_recovered_is_overtaken(const TbRecovered *recovered)
{
    GFile *file;
    char *stamp;
    bool overtaken;

    if (recovered->uri == NULL)
        return false;
    file = g_file_new_for_uri(recovered->uri);
    stamp = tb_disk_stamp(file);
    overtaken = stamp != NULL && g_strcmp0(stamp, recovered->stamp) != 0;
    g_free(stamp);
    g_object_unref(file);
    return overtaken;
}

void
tb_recovered_discard(TbRecovered *recovered)
{
    tb_recovered__remove(recovered->path);
}

void
tb_recovered_free(TbRecovered *recovered)
{
    if (recovered == NULL)
        return;
    if (recovered->lock >= 0)
        close(recovered->lock);
    g_free(recovered->path);
    g_free(recovered->uri);
    g_free(recovered->stamp);
    g_free(recovered->title);
    g_free(recovered);
}
