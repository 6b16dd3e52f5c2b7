/* SPDX-License-Identifier: GPL-3.0-or-later */

/* The window's review pack without a window: its thread, what is chosen, what is remembered. */

#include "app/folders.h"
#include "app/pack_choices.h"
#include "app/pack_job.h"
#include "loop.h"
#include "scenes.h"

#include <sys/stat.h>

/** Another small bay. */
static const char small_kit[] =
    "<bay version='1' title='Small'><mounts><mount id='body'/></mounts><items>"
    "<block id='rail' name='Frame rail' class='structure' mount='body' low='103.7 -160 -117.3' "
    "high='587.9 -90 -21.9'/></items><states><state id='cold' kind='cold'/></states></bay>";

/** What the job told last. */
static TbPackPlan *plan;
static TbPicture picture;
static bool has_picture;
static size_t plans, drawings, pages, files;
static size_t drawn_sheet, paged_sheet;
static TbFault fault;

static TbPackJob *job;
static TbStore *store;
static TbBay *bay;
static char *folder;

static void
planned(void *user, TbPackPlan *fresh, const TbFault *why)
{
    (void)user;
    plans++;
    fault = *why;
    if (fresh == NULL)
        return;
    tb_pack_plan_free(plan);
    plan = fresh;
}

static void
take_picture(TbPicture *fresh)
{
    if (has_picture)
        tb_picture_clear(&picture);
    has_picture = fresh != NULL;
    if (has_picture)
        picture = *fresh;
}

static void
drawn(void *user, size_t sheet, TbPicture *fresh, const TbFault *why)
{
    (void)user;
    drawings++;
    drawn_sheet = sheet;
    fault = *why;
    take_picture(fresh);
}

static void
paged(void *user, size_t sheet, TbPicture *fresh, const TbFault *why)
{
    (void)user;
    pages++;
    paged_sheet = sheet;
    fault = *why;
    take_picture(fresh);
}

static void
written(void *user, const char *path, const TbFault *why)
{
    (void)user, (void)path;
    files++;
    fault = *why;
}

static void
begin_with(TbBay *about)
{
    plans = drawings = pages = files = 0;
    fault = (TbFault){0};
    folder = new_folder();
    store = tb_store_new();
    bay = about;
    job = tb_pack_job_new(&(TbPackJobDef){
        .store = store, .planned = planned, .drawn = drawn, .paged = paged, .written = written});
}

/* A bay that takes no time. */
static void
begin(void)
{
    begin_with(scene_bay(snap_kit));
}

static void
end(void)
{
    tb_pack_job_free(job);
    tb_pack_plan_free(plan);
    plan = NULL;
    take_picture(NULL);
    tb_bay_unref(bay);
    tb_store_unref(store);
    remove_folder(folder);
}

static void
wish(const char *const *left_out)
{
    char *beside = g_build_filename(g_getenv("TB_DATA"), "examples", NULL);
    TbPackWish one = {.bay = bay,
                      .folder = beside,
                      .name = "van-b.bay",
                      .paper = TB_PAPER_A4,
                      .left_out = left_out};

    tb_pack_job_plan(job, &one);
    g_free(beside);
}

static void
make(const char *const *left_out)
{
    size_t before = plans;

    wish(left_out);
    wait_until(plans > before);
    ck_assert_msg(fault.status == TB_OK, "%s", fault.text);
}

static char *
in_folder(const char *name)
{
    return g_build_filename(folder, name, NULL);
}

static void
write_to(const char *path)
{
    size_t before = files;

    tb_pack_job_write(job, path, TB_THEME_PRINT);
    wait_until(files > before);
}

/* What the command line writes of a saved file. */
static void
write_by_command(const char *path, const char *options)
{
    char *command = g_strdup_printf("'%s' pack '%s/examples/van-b.bay' --paper A4 %s -o '%s'",
                                    g_getenv("TB_BATCH"), g_getenv("TB_DATA"), options, path);

    ck_assert_int_eq(system(command), 0);
    g_free(command);
}

static void
ck_assert_same_file(const char *a, const char *b)
{
    char *x, *y;
    gsize n, m;

    ck_assert(g_file_get_contents(a, &x, &n, NULL));
    ck_assert(g_file_get_contents(b, &y, &m, NULL));
    ck_assert_uint_eq(n, m);
    ck_assert_mem_eq(x, y, n);
    g_free(x);
    g_free(y);
}

static size_t
chapter_named(const char *name)
{
    for (size_t i = 0; i < plan->chapter_count; i++)
        if (strcmp(tb_pack_chapter_name(plan->chapters[i].chapter), name) == 0)
            return i;
    ck_abort_msg("no chapter %s", name);
    return 0;
}

/* ---- files ---- */

START_TEST(the_windows_file_is_the_command_lines_byte_for_byte)
{
    static const char *const left_out[] = {"stations", "map", "ducts", "cuts", NULL};
    char *mine, *other;
    size_t count = 0;

    begin_with(example("van-b.bay"));
    make(left_out);
    mine = in_folder("mine.pdf");
    other = in_folder("other.pdf");
    for (size_t i = 0; i < plan->chapter_count; i++)
        count += plan->chapters[i].chosen ? plan->chapters[i].pages : 0;
    ck_assert_uint_eq(plan->sheet_count, count);
    ck_assert(!plan->chapters[chapter_named("map")].chosen);
    ck_assert_uint_gt(plan->chapters[chapter_named("map")].pages, 0);
    write_to(mine);
    ck_assert_msg(fault.status == TB_OK, "%s", fault.text);
    write_by_command(other, "--pages summary,findings,gaps,rough,register,basis");
    ck_assert_same_file(mine, other);
    g_free(mine);
    g_free(other);
    end();
}
END_TEST

START_TEST(a_target_that_cannot_be_written_is_one_sentence_and_leaves_nothing)
{
    char *missing, *closed;

    begin();
    make(NULL);
    missing = in_folder("none/pack.pdf");
    write_to(missing);
    ck_assert_int_eq(fault.status, TB_E_IO);
    ck_assert_ptr_nonnull(strstr(fault.text, "none/pack.pdf"));
    ck_assert_ptr_null(strchr(fault.text, '\n'));
    /* a folder stands there */
    closed = in_folder("folder.pdf");
    ck_assert_int_eq(mkdir(closed, 0755), 0);
    write_to(closed);
    ck_assert_int_eq(fault.status, TB_E_IO);
    ck_assert_uint_eq(count_files(closed), 0);
    ck_assert_uint_eq(count_files(folder), 1);
    g_free(missing);
    g_free(closed);
    end();
}
END_TEST

START_TEST(without_a_chapter_there_is_no_sheet_and_no_file)
{
    const char *all[30] = {0};
    char *path;

    begin();
    for (size_t i = 0; i + 1 < G_N_ELEMENTS(all) && tb_pack_chapter_name(i) != NULL; i++)
        all[i] = tb_pack_chapter_name(i);
    make(all);
    ck_assert_uint_eq(plan->sheet_count, 0);
    ck_assert_uint_gt(plan->chapter_count, 3);
    path = in_folder("pack.pdf");
    write_to(path);
    ck_assert_int_eq(fault.status, TB_E_RANGE);
    ck_assert_uint_eq(count_files(folder), 0);
    g_free(path);
    end();
}
END_TEST

/* ---- giving up, and the latest wish ---- */

START_TEST(a_file_that_is_given_up_leaves_nothing)
{
    char *path;

    begin();
    make(NULL);
    path = in_folder("pack.pdf");
    tb_pack_job_write(job, path, TB_THEME_PRINT);
    /* begun, or still waiting */
    tb_pack_job_cancel(job);
    wait_until(files == 1);
    ck_assert_int_eq(fault.status, TB_E_CANCELLED);
    ck_assert_uint_eq(count_files(folder), 0);
    /* the next one hears nothing of it */
    write_to(path);
    ck_assert_msg(fault.status == TB_OK, "%s", fault.text);
    ck_assert_uint_eq(count_files(folder), 1);
    g_free(path);
    end();
}
END_TEST

START_TEST(a_plan_that_is_given_up_leaves_the_pack_before_it_to_be_looked_at_not_written)
{
    TbBay *before;
    char *path;
    size_t count;

    begin();
    make(NULL);
    count = plan->sheet_count;
    before = bay;
    bay = example("van-c.bay");
    wish(NULL);
    tb_pack_job_cancel(job);
    wait_until(plans == 2);
    ck_assert_int_eq(fault.status, TB_E_CANCELLED);
    ck_assert_uint_eq(plan->sheet_count, count);
    tb_pack_job_draw(job, count - 1);
    wait_until(drawings == 1);
    ck_assert(has_picture);
    path = in_folder("pack.pdf");
    write_to(path);
    ck_assert_int_eq(fault.status, TB_E_CANCELLED);
    ck_assert_uint_eq(count_files(folder), 0);
    g_free(path);
    tb_bay_unref(before);
    end();
}
END_TEST

START_TEST(of_many_wishes_the_last_is_met_and_the_others_are_not_told)
{
    static const char *const left_out[] = {"summary", NULL};
    size_t whole;

    begin();
    make(NULL);
    whole = plan->sheet_count;
    for (int i = 0; i < 7; i++)
        wish(i % 2 == 0 ? NULL : left_out);
    wish(left_out);
    wait_until(plans > 1);
    ck_assert_uint_eq(plan->sheet_count, whole - plan->chapters[chapter_named("summary")].pages);
    let_pass(50);
    ck_assert_uint_eq(plans, 2);
    for (size_t i = 0; i < plan->sheet_count; i++)
        tb_pack_job_draw(job, i);
    wait_until(drawings > 0);
    ck_assert_uint_eq(drawn_sheet, plan->sheet_count - 1);
    let_pass(50);
    ck_assert_uint_eq(drawings, 1);
    end();
}
END_TEST

START_TEST(a_sheet_is_as_large_as_its_paper_and_one_too_many_is_refused)
{
    begin();
    make(NULL);
    ck_assert_double_eq(plan->size.x, 297);
    tb_pack_job_draw(job, 0);
    wait_until(drawings == 1);
    ck_assert(has_picture);
    ck_assert_double_eq(picture.width, 297);
    ck_assert_double_eq(picture.height, 210);
    ck_assert_uint_gt(picture.mark_count, 100);
    tb_pack_job_draw(job, plan->sheet_count);
    wait_until(drawings == 2);
    ck_assert(!has_picture);
    ck_assert_int_eq(fault.status, TB_E_RANGE);
    end();
}
END_TEST

START_TEST(while_sheets_are_printed_the_pack_stays_as_it_is)
{
    static const char *const left_out[] = {"summary", NULL};

    begin();
    make(NULL);
    tb_pack_job_hold(job);
    wish(left_out);
    tb_pack_job_page(job, 1);
    wait_until(pages == 1);
    ck_assert_uint_eq(paged_sheet, 1);
    ck_assert(has_picture);
    ck_assert_uint_eq(plans, 1);
    tb_pack_job_release(job);
    wait_until(plans == 2);
    end();
}
END_TEST

/* ---- the earlier bay ---- */

START_TEST(with_an_earlier_bay_there_is_a_chapter_of_changes)
{
    TbPackWish one = {.name = "now.bay", .earlier = "/before.bay", .paper = TB_PAPER_A4};

    begin();
    one.bay = bay;
    one.against = scene_bay(small_kit);
    tb_pack_job_plan(job, &one);
    wait_until(plans == 1);
    ck_assert_msg(fault.status == TB_OK, "%s", fault.text);
    ck_assert_uint_gt(plan->chapters[chapter_named("changes")].pages, 0);
    tb_bay_unref(one.against);
    end();
}
END_TEST

/* ---- what is remembered ---- */

START_TEST(chapters_left_out_are_remembered_by_name)
{
    GSettings *settings = tb_folders_settings();
    char **names;

    tb_pack_choices_leave_out(settings, "map", true);
    tb_pack_choices_leave_out(settings, "gaps", true);
    tb_pack_choices_leave_out(settings, "map", true);
    tb_pack_choices_leave_out(settings, "gaps", false);
    names = g_settings_get_strv(settings, TB_PACK_LEFT_OUT);
    ck_assert_uint_eq(g_strv_length(names), 1);
    ck_assert_str_eq(names[0], "map");
    g_strfreev(names);
    ck_assert_int_eq(tb_pack_choices_theme(settings), TB_THEME_PRINT);
    g_settings_set_string(settings, TB_PACK_INKS, "grey");
    ck_assert_int_eq(tb_pack_choices_theme(settings), TB_THEME_GREY);
    for (int paper = 0; paper < TB_PAPER_COUNT; paper++) {
        char *word;

        /* the schema's order is that of the papers */
        g_settings_set_enum(settings, TB_PACK_PAPER, paper);
        word = g_settings_get_string(settings, TB_PACK_PAPER);
        ck_assert_int_eq(tb_paper_of(word), paper);
        g_free(word);
    }
    g_object_unref(settings);
}
END_TEST

START_TEST(what_a_bay_was_compared_with_is_remembered_for_its_file_alone)
{
    GSettings *settings = tb_folders_settings();
    GFile *file = g_file_new_for_path("/bays/van-c.bay"), *other = g_file_new_for_path("/b.bay");
    TbBay *plain = titled("Plain");
    TbStore *scans = tb_store_new();
    TbSession *session = tb_session_new(plain, file, scans, NULL);
    char *path;

    ck_assert_ptr_null(tb_pack_choices_earlier(settings, session));
    tb_pack_choices_keep_earlier(settings, session, "/bays/van-b.bay");
    path = tb_pack_choices_earlier(settings, session);
    ck_assert_str_eq(path, "/bays/van-b.bay");
    g_free(path);
    tb_session_set_file(session, other);
    ck_assert_ptr_null(tb_pack_choices_earlier(settings, session));
    for (int i = 0; i < TB_PACK_EARLIER_MOST + 7; i++) {
        char *name = g_strdup_printf("/bays/%d.bay", i);
        GFile *one = g_file_new_for_path(name);

        tb_session_set_file(session, one);
        tb_pack_choices_keep_earlier(settings, session, "/old.bay");
        g_object_unref(one);
        g_free(name);
    }
    tb_session_set_file(session, file);
    ck_assert_ptr_null(tb_pack_choices_earlier(settings, session));
    g_object_unref(session);
    tb_store_unref(scans);
    tb_bay_unref(plain);
    g_object_unref(file);
    g_object_unref(other);
    g_object_unref(settings);
}
END_TEST

static void
add(Suite *suite, const char *name, const TTest *test)
{
    TCase *tests = tcase_create(name);

    tcase_set_timeout(tests, TB_TEST_LIMIT);
    tcase_add_test(tests, test);
    suite_add_tcase(suite, tests);
}

int
main(void)
{
    Suite *suite = suite_create("app/pack_job");

#define ADD(test) add(suite, #test, test)
    ADD(the_windows_file_is_the_command_lines_byte_for_byte);
    ADD(a_target_that_cannot_be_written_is_one_sentence_and_leaves_nothing);
    ADD(without_a_chapter_there_is_no_sheet_and_no_file);
    ADD(a_file_that_is_given_up_leaves_nothing);
    ADD(a_plan_that_is_given_up_leaves_the_pack_before_it_to_be_looked_at_not_written);
    ADD(of_many_wishes_the_last_is_met_and_the_others_are_not_told);
    ADD(a_sheet_is_as_large_as_its_paper_and_one_too_many_is_refused);
    ADD(while_sheets_are_printed_the_pack_stays_as_it_is);
    ADD(with_an_earlier_bay_there_is_a_chapter_of_changes);
    ADD(chapters_left_out_are_remembered_by_name);
    ADD(what_a_bay_was_compared_with_is_remembered_for_its_file_alone);
    return tb_test_main(suite);
}
