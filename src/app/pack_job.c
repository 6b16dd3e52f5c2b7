/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/pack_job.h"

#include "app/latest.h"

/** What can be asked, the most urgent first. */
typedef enum Kind { PLAN, WRITE, PAGE, DRAW, KINDS } Kind;

struct TbPackJob {
    TbPackJobDef def;
    TbLatest *latest;
    TbPackMaker *maker; /**< the thread's */
};

typedef struct Letter {
    /* the question */
    TbPackWish *wish;
    size_t sheet;
    char *path;
    TbTheme theme;

    /* the answer */
    TbPackPlan *plan;
    bool has_picture;
    TbPicture picture;
} Letter;

static void
letter_free(void *data)
{
    Letter *letter = data;

    tb_pack_wish_free(letter->wish);
    g_free(letter->path);
    tb_pack_plan_free(letter->plan);
    if (letter->has_picture)
        tb_picture_clear(&letter->picture);
    g_free(letter);
}

/* ---- the thread ---- */

static void
begin(void *user)
{
    TbPackJob *job = user;

    job->maker = tb_pack_maker_new(job->def.store, job->def.work);
}

static void
end(void *user)
{
    TbPackJob *job = user;

    tb_pack_maker_free(job->maker);
}

/* Never of an older bay than the one that was wanted. */
static void
write_file(TbPackJob *job, const Letter *letter, TbTask *task, TbFault *fault)
{
    if (tb_latest_is_given_up(job->latest, PLAN))
        tb_fail(fault, TB_E_CANCELLED, "given up");
    else
        tb_pack_maker_write(job->maker, letter->path, letter->theme, task, fault);
}

static void
answer(void *user, unsigned kind, void *data, TbTask *task, TbFault *fault)
{
    TbPackJob *job = user;
    Letter *letter = data;

    if (kind == PLAN)
        tb_pack_maker_plan(job->maker, g_steal_pointer(&letter->wish), task, &letter->plan, fault);
    else if (kind == WRITE)
        write_file(job, letter, task, fault);
    else
        letter->has_picture =
            tb_pack_maker_draw(job->maker, letter->sheet, task, &letter->picture, fault) == TB_OK;
}

/* ---- the owner ---- */

/* The callee clears it. */
static TbPicture *
picture_of(Letter *letter)
{
    bool has = letter->has_picture;

    letter->has_picture = false;
    return has ? &letter->picture : NULL;
}

static void
deliver(void *user, unsigned kind, guint64 ticket, void *data, const TbFault *fault)
{
    const TbPackJobDef *def = &((TbPackJob *)user)->def;
    Letter *letter = data;

    (void)ticket;
    if (kind == PLAN && def->planned != NULL)
        def->planned(def->user, g_steal_pointer(&letter->plan), fault);
    else if (kind == DRAW && def->drawn != NULL)
        def->drawn(def->user, letter->sheet, picture_of(letter), fault);
    else if (kind == PAGE && def->paged != NULL)
        def->paged(def->user, letter->sheet, picture_of(letter), fault);
    else if (kind == WRITE && def->written != NULL)
        def->written(def->user, letter->path, fault);
}

static void
tell(void *user, const char *what, double share)
{
    TbPackJob *job = user;

    if (job->def.progress != NULL)
        job->def.progress(job->def.user, what, share);
}

TbPackJob *
tb_pack_job_new(const TbPackJobDef *def)
{
    TbPackJob *job = g_new0(TbPackJob, 1);

    job->def = *def;
    tb_store_ref(def->store);
    job->latest = tb_latest_new(&(TbLatestDef){.name = "pack",
                                               .kinds = KINDS,
                                               .only_newest = true,
                                               .free_letter = letter_free,
                                               .begin = begin,
                                               .end = end,
                                               .answer = answer,
                                               .deliver = deliver,
                                               .progress = tell,
                                               .user = job});
    return job;
}

static void
ask(TbPackJob *job, Kind kind, Letter letter)
{
    tb_latest_ask(job->latest, kind, g_memdup2(&letter, sizeof letter), true);
}

void
tb_pack_job_plan(TbPackJob *job, const TbPackWish *wish)
{
    ask(job, PLAN, (Letter){.wish = tb_pack_wish_copy(wish)});
    /* what is looked at is of the plan before */
    tb_latest_drop(job->latest, DRAW);
}

void
tb_pack_job_draw(TbPackJob *job, size_t sheet)
{
    ask(job, DRAW, (Letter){.sheet = sheet});
}

void
tb_pack_job_page(TbPackJob *job, size_t sheet)
{
    ask(job, PAGE, (Letter){.sheet = sheet});
}

void
tb_pack_job_write(TbPackJob *job, const char *path, TbTheme theme)
{
    ask(job, WRITE, (Letter){.path = g_strdup(path), .theme = theme});
}

void
tb_pack_job_hold(TbPackJob *job)
{
    tb_latest_hold(job->latest, PLAN);
}

void
tb_pack_job_release(TbPackJob *job)
{
    tb_latest_release(job->latest, PLAN);
}

void
tb_pack_job_cancel(TbPackJob *job)
{
    tb_latest_cancel(job->latest);
}

void
tb_pack_job_free(TbPackJob *job)
{
    if (job == NULL)
        return;
    tb_latest_free(job->latest);
    tb_store_unref(job->def.store);
    g_free(job);
}
