/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bays.h"

#include "base/mem.h"
#include "bay/edit.h"
#include "bay/handles.h"

#include <math.h>

/* mm. Steps of a dragged place in three axes, a mirror and a shift of the mount between. */
#define NEAR 2e-3

static const TbVec3 delta = {3.7, -2.2, 1.6};

static TbBay *
read_example(const char *name)
{
    char *path = g_build_filename(g_getenv("TB_DATA"), "examples", name, NULL);
    TbBay *bay = NULL;
    TbFault fault = {0};

    ck_assert_msg(tb_bay_read_file(path, &bay, &fault) == TB_OK, "%s", fault.text);
    g_free(path);
    return bay;
}

static TbHandle *
handles_of(const TbBay *bay, const char *variant, const char *item, size_t *count)
{
    TbHandle *handles = NULL;
    TbFault fault = {0};

    *count = 0;
    ck_assert_msg(tb_bay_handles(bay, variant, item, &handles, count, &fault) == TB_OK, "%s: %s",
                  item, fault.text);
    return handles;
}

static const TbHandle *
find(const TbHandle *handles, size_t count, TbHandleKind kind, size_t index)
{
    for (size_t i = 0; i < count; i++)
        if (handles[i].kind == kind && handles[i].index == index)
            return &handles[i];
    ck_abort_msg("no handle %d %zu", (int)kind, index);
    return NULL;
}

static bool
slides(TbHandleKind kind)
{
    return kind == TB_HANDLE_BLOCK_FACE || kind == TB_HANDLE_ROD_RADIUS ||
           kind == TB_HANDLE_BALL_RADIUS || kind == TB_HANDLE_OUTLINE_DEPTH;
}

/** Where a handle that was let go at point + delta should be then. */
static TbVec3
expected(const TbHandle *h, const TbHandle *all, size_t count)
{
    TbVec3 to = tb_vec3_add(h->point, delta);
    double by = tb_vec3_dot(delta, h->direction);

    if (slides(h->kind)) {
        by = fmax(by, TB_DRAG_LEAST - h->size);
        return tb_vec3_add_scaled(h->point, by, h->direction);
    }
    if (h->kind == TB_HANDLE_BLOCK_CORNER) { /* three faces at once */
        to = h->point;
        for (size_t k = 0; k < 3; k++) {
            const TbHandle *face =
                find(all, count, TB_HANDLE_BLOCK_FACE, 2 * k + (h->index >> k & 1));

            by = fmax(tb_vec3_dot(delta, face->direction), TB_DRAG_LEAST - face->size);
            to = tb_vec3_add_scaled(to, by, face->direction);
        }
        return to;
    }
    if (h->kind == TB_HANDLE_OUTLINE_CORNER) {
        TbVec3 n = find(all, count, TB_HANDLE_OUTLINE_DEPTH, 0)->direction;

        return tb_vec3_add_scaled(to, -tb_vec3_dot(delta, n), n);
    }
    return to;
}

static bool
turns(TbHandleKind kind)
{
    return kind == TB_HANDLE_TURN || kind == TB_HANDLE_BOLTS || kind == TB_HANDLE_CLAMP;
}

/** What a turn goes about. */
static TbVec3
centre_of(const TbBay *bay, const char *variant, const TbHandle *h, const TbHandle *all, size_t n)
{
    TbPortPlace place;

    if (h->kind == TB_HANDLE_TURN)
        return find(all, n, TB_HANDLE_ITEM, 0)->point;
    ck_assert_int_eq(
        tb_bay_port_place(bay, variant,
                          h->kind == TB_HANDLE_BOLTS ? h->id : tb_bay_joint(bay, h->id)->a, &place,
                          NULL),
        TB_OK);
    return place.point;
}

/** A handle of a direction looks towards the place it was let go. */
static void
check_direction(
    const TbHandle *before, const TbHandle *after, const TbHandle *all, size_t count, TbVec3 centre)
{
    TbVec3 to = tb_vec3_add(before->point, delta);
    TbVec3 way =
        tb_vec3_sub(to, tb_vec3_add_scaled(before->point, -TB_HANDLE_REACH, before->direction));

    if (before->kind == TB_HANDLE_SHAFT || before->kind == TB_HANDLE_HOUSING)
        way = tb_vec3_sub(to, find(all, count, TB_HANDLE_ITEM, 0)->point);
    if (before->kind == TB_HANDLE_HOUSING)
        way = tb_vec3_across(way, find(all, count, TB_HANDLE_SHAFT, 0)->direction);
    if (turns(before->kind))
        way = tb_vec3_across(tb_vec3_sub(to, centre), before->axis);
    way = tb_vec3_unit(way);
    /* rad: half a step of a turn, or of three numbers of a direction */
    ck_assert_double_lt(tb_vec3_distance(way, after->direction),
                        0.5 * TB_DRAG_STEP_ANGLE * M_PI / 180 + 1.8e-5);
}

static void
check_drag(const TbBay *bay,
           const char *variant,
           const char *item,
           const TbHandle *all,
           size_t count,
           size_t index)
{
    const TbHandle *h = &all[index];
    TbBay *edited = NULL;
    TbFault fault = {0};
    TbHandle *moved;
    size_t then;
    TbStatus status =
        tb_edit_drag_handle(bay, variant, item, h, tb_vec3_add(h->point, delta), &edited, &fault);

    ck_assert_msg(status == TB_OK, "%s handle %d %zu: %s", item, (int)h->kind, h->index,
                  fault.text);
    moved = handles_of(edited, variant, item, &then);
    ck_assert_uint_eq(then, count);
    ck_assert_int_eq(moved[index].kind, h->kind);
    if (h->kind == TB_HANDLE_TANGENT || h->kind == TB_HANDLE_FLOW || h->kind == TB_HANDLE_SHAFT ||
        h->kind == TB_HANDLE_HOUSING || turns(h->kind)) {
        TbVec3 centre = turns(h->kind) ? centre_of(bay, variant, h, all, count) : tb_vec3(0, 0, 0);

        check_direction(h, &moved[index], all, count, centre);
    } else if (h->kind != TB_HANDLE_SECTION) {
        double off = tb_vec3_distance(moved[index].point, expected(h, all, count));

        ck_assert_msg(off < NEAR, "%s in %s: handle %d %zu is %g mm off", item,
                      variant != NULL ? variant : "no variant", (int)h->kind, h->index, off);
    }
    tb_free(moved);
    tb_bay_unref(edited);
}

static void
check_item(const TbBay *bay, const char *variant, const char *item, bool seen[])
{
    size_t count;
    TbHandle *handles = handles_of(bay, variant, item, &count);

    for (size_t i = 0; i < count; i++) {
        seen[handles[i].kind] = true;
        check_drag(bay, variant, item, handles, count, i);
    }
    tb_free(handles);
}

static void
check_bay(const TbBay *bay, bool seen[])
{
    for (size_t v = 0; v <= tb_bay_count(bay, TB_LIST_VARIANTS); v++)
        for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++)
            check_item(bay, v > 0 ? tb_bay_variant_at(bay, v - 1)->record.id : NULL,
                       tb_bay_item_at(bay, i)->record.id, seen);
}

START_TEST(every_handle_of_every_item_in_every_variant_lands_where_it_is_put)
{
    bool seen[TB_HANDLE_CLAMP + 1] = {false};
    TbBay *bay = read_small();

    check_bay(bay, seen);
    for (int kind = 0; kind <= TB_HANDLE_CLAMP; kind++)
        ck_assert_msg(seen[kind], "small.bay has no handle of kind %d", kind);
    tb_bay_unref(bay);
    bay = read_example("van-c.bay");
    check_bay(bay, seen);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(drag_in_a_shifted_variant_writes_the_place_without_the_shift)
{
    TbBay *bay = read_example("van-c.bay");
    TbBay *edited = NULL;
    size_t count;
    TbHandle *handles = handles_of(bay, "high-l", "outlet", &count);
    const TbHandle *knot = find(handles, count, TB_HANDLE_KNOT, 2);

    /* the file has 1259 -148 542; the engine stands 12 mm higher */
    ck_assert_double_eq(knot->point.z, 554);
    ck_assert_int_eq(tb_edit_drag_handle(bay, "high-l", "outlet", knot,
                                         tb_vec3(1260.25, -147.5, 560.125), &edited, NULL),
                     TB_OK);
    knot = NULL;
    ck_assert_double_eq(tb_item_path(tb_bay_item(edited, "outlet"))->knots[2].at.z, 548.125);
    ck_assert_double_eq(tb_item_path(tb_bay_item(edited, "outlet"))->knots[2].at.x, 1260.25);
    tb_free(handles);
    tb_bay_unref(edited);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(drag_of_a_mirrored_item_writes_the_other_side)
{
    TbBay *bay = read_example("van-c.bay");
    TbBay *edited = NULL;
    size_t count;
    TbHandle *handles = handles_of(bay, "std-s-right", "steering-joint", &count);
    const TbHandle *whole = find(handles, count, TB_HANDLE_ITEM, 0);

    ck_assert_double_eq(whole->point.y, 252);
    ck_assert_int_eq(tb_edit_drag_handle(bay, "std-s-right", "steering-joint", whole,
                                         tb_vec3(1325, 262.5, 610), &edited, NULL),
                     TB_OK);
    ck_assert_double_eq(tb_item_ball(tb_bay_item(edited, "steering-joint"))->at.y, -262.5);
    tb_free(handles);
    tb_bay_unref(edited);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(what_ends_on_a_turbo_follows_it)
{
    TbBay *bay = read_example("van-c.bay");
    TbBay *edited = NULL;
    TbPlacedPath before = {0};
    TbPlacedPath after = {0};
    size_t count;
    TbHandle *handles = handles_of(bay, NULL, "turbo", &count);
    const TbHandle *whole = find(handles, count, TB_HANDLE_ITEM, 0);

    ck_assert_int_eq(tb_edit_drag_handle(bay, NULL, "turbo", whole,
                                         tb_vec3_add(whole->point, delta), &edited, NULL),
                     TB_OK);
    ck_assert_int_eq(tb_bay_path(bay, NULL, "outlet", &before, NULL), TB_OK);
    ck_assert_int_eq(tb_bay_path(edited, NULL, "outlet", &after, NULL), TB_OK);
    ck_assert_double_lt(tb_vec3_distance(after.knots[0], tb_vec3_add(before.knots[0], delta)),
                        1e-9);
    ck_assert_double_eq(after.knots[1].x, before.knots[1].x);
    tb_placed_path_clear(&before);
    tb_placed_path_clear(&after);
    tb_free(handles);
    tb_bay_unref(edited);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(section_slides_along_the_path_between_its_neighbours)
{
    TbBay *bay = read_example("van-c.bay");
    TbBay *edited = NULL;
    size_t count;
    TbHandle *handles = handles_of(bay, NULL, "outlet", &count);
    const TbHandle *row = find(handles, count, TB_HANDLE_SECTION, 5);
    const TbHandle *far = find(handles, count, TB_HANDLE_SECTION, 8);
    TbVec3 to = tb_vec3_add_scaled(row->point, 7.3, row->direction);

    /* the path is straight to 1 in 2000 there: 7.3 mm along the tangent are 7.3 mm of path */
    ck_assert_double_eq(row->size, 210);
    ck_assert_int_eq(tb_edit_drag_handle(bay, NULL, "outlet", row, to, &edited, NULL), TB_OK);
    ck_assert_double_eq_tol(tb_item_duct(tb_bay_item(edited, "outlet"))->rows[5].at, 217.3, 0.05);
    tb_bay_unref(edited);
    edited = NULL;
    /* beyond the next row at 255 it stops short of it */
    ck_assert_int_eq(tb_edit_drag_handle(bay, NULL, "outlet", row, far->point, &edited, NULL),
                     TB_OK);
    ck_assert_double_eq_tol(tb_item_duct(tb_bay_item(edited, "outlet"))->rows[5].at,
                            255 - TB_DRAG_LEAST, 1e-9);
    tb_bay_unref(edited);
    edited = NULL;
    /* the last row counts from the end: 3.2 mm back from it */
    row = find(handles, count, TB_HANDLE_SECTION, 12);
    ck_assert_int_eq(tb_edit_drag_handle(bay, NULL, "outlet", row,
                                         tb_vec3_add_scaled(row->point, -3.2, row->direction),
                                         &edited, NULL),
                     TB_OK);
    ck_assert_double_eq_tol(tb_item_duct(tb_bay_item(edited, "outlet"))->rows[12].at, 3.2, 0.05);
    tb_free(handles);
    tb_bay_unref(edited);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(face_of_a_block_moves_and_the_opposite_one_stays)
{
    TbBay *bay = read_small();
    TbBay *edited = NULL;
    const TbBlockItem *rail;
    size_t count;
    TbHandle *handles = handles_of(bay, NULL, "rail", &count);
    const TbHandle *top = find(handles, count, TB_HANDLE_BLOCK_FACE, 5);
    TbVec3 to = tb_vec3(0, 0, 593.4567);

    ck_assert_double_eq(top->size, 75);
    ck_assert_int_eq(tb_edit_drag_handle(bay, NULL, "rail", top, to, &edited, NULL), TB_OK);
    rail = tb_item_block(tb_bay_item(edited, "rail"));
    ck_assert_double_eq(rail->high.z, 593.457);
    ck_assert_double_eq(rail->low.z, 505);
    ck_assert_double_eq(rail->low.x, 1311);
    tb_bay_unref(edited);
    edited = NULL;
    /* pushed through the other side it keeps a rest */
    ck_assert_int_eq(tb_edit_drag_handle(bay, NULL, "rail", top, tb_vec3(0, 0, 100), &edited, NULL),
                     TB_OK);
    ck_assert_double_eq_tol(tb_item_block(tb_bay_item(edited, "rail"))->high.z, 505 + TB_DRAG_LEAST,
                            1e-9);
    tb_bay_unref(edited);
    edited = NULL;
    tb_free(handles);
    /* a block that is turned: the far face of `pan` stays where it was */
    handles = handles_of(bay, NULL, "pan", &count);
    ck_assert_int_eq(tb_edit_drag_handle(bay, NULL, "pan",
                                         find(handles, count, TB_HANDLE_BLOCK_FACE, 1),
                                         tb_vec3(1100, 50, 300), &edited, NULL),
                     TB_OK);
    {
        size_t then;
        TbHandle *moved = handles_of(edited, NULL, "pan", &then);
        const TbHandle *far = find(handles, count, TB_HANDLE_BLOCK_FACE, 0);

        ck_assert_double_lt(
            tb_vec3_distance(far->point, find(moved, then, TB_HANDLE_BLOCK_FACE, 0)->point), 1e-9);
        tb_free(moved);
    }
    tb_free(handles);
    tb_bay_unref(edited);
    tb_bay_unref(bay);
}
END_TEST

/* By 23.5 degrees about Z, from X: the sides keep their lengths and the middle its place. */
START_TEST(a_block_turns_about_its_middle)
{
    TbBay *bay = read_text("<bay version='1' title='t'><mounts><mount id='body'/></mounts><items>"
                           "<block id='box' class='structure' mount='body' low='100 -37 20' "
                           "high='331 44 96'/></items></bay>");
    TbVec3 middle = {215.5, 3.5, 58};
    double angle = 23.5 * M_PI / 180;
    TbBay *edited = NULL;
    const TbBlockItem *box;
    size_t count;
    TbHandle *handles = handles_of(bay, NULL, "box", &count);
    const TbHandle *turn = find(handles, count, TB_HANDLE_TURN, 2);

    ck_assert_double_eq_tol(turn->point.x, 331 + TB_HANDLE_REACH / 2, 1e-9);
    ck_assert_double_eq_tol(turn->point.y, middle.y, 1e-9);
    ck_assert_double_eq_tol(turn->axis.z, 1, 1e-12);
    ck_assert_int_eq(
        tb_edit_drag_handle(bay, NULL, "box", turn,
                            tb_vec3(middle.x + 71 * cos(angle), middle.y + 71 * sin(angle), 1234.5),
                            &edited, NULL),
        TB_OK);
    box = tb_item_block(tb_bay_item(edited, "box"));
    ck_assert_double_eq_tol(box->along.x, cos(angle), 1e-5);
    ck_assert_double_eq_tol(box->along.y, sin(angle), 1e-5);
    ck_assert_double_eq_tol(box->along.z, 0, 1e-12);
    ck_assert_double_eq_tol(box->up.z, 1, 1e-12);
    ck_assert_double_eq(box->low.x, 100);
    ck_assert_double_eq(box->high.y, 44);
    tb_bay_unref(edited);
    /* onto the axis there is no angle */
    edited = NULL;
    ck_assert_int_eq(
        tb_edit_drag_handle(bay, NULL, "box", turn, tb_vec3(215.5, 3.5, 90), &edited, NULL),
        TB_E_DEGENERATE);
    tb_free(handles);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(a_rod_turns_about_its_middle_and_keeps_its_length)
{
    TbBay *bay =
        read_text("<bay version='1' title='t'><mounts><mount id='body'/></mounts><items>"
                  "<rod id='bar' class='structure' mount='body' a='40 -12 7' b='240 -12 7' "
                  "radius='9.5'/></items></bay>");
    TbBay *edited = NULL;
    const TbRodItem *bar;
    size_t count;
    TbHandle *handles = handles_of(bay, NULL, "bar", &count);

    /* the first of the two is upright: seen square in the plan */
    ck_assert_double_eq_tol(fabs(find(handles, count, TB_HANDLE_TURN, 0)->axis.z), 1, 1e-12);
    ck_assert_int_eq(tb_edit_drag_handle(bay, NULL, "bar", find(handles, count, TB_HANDLE_TURN, 0),
                                         tb_vec3(140, 500, 7), &edited, NULL),
                     TB_OK);
    bar = tb_item_rod(tb_bay_item(edited, "bar"));
    ck_assert_double_eq_tol(bar->b.x, 140, 1e-9);
    ck_assert_double_eq_tol(bar->b.y, 88, 1e-9);
    ck_assert_double_eq_tol(bar->a.y, -112, 1e-9);
    tb_bay_unref(edited);
    tb_free(handles);
    tb_bay_unref(bay);
}
END_TEST

/* Bolts count from up, right-handed about the flow; seen against it that is anticlockwise. */
START_TEST(bolts_and_clamps_are_clocked_to_the_place)
{
    TbBay *bay = read_text(
        "<bay version='1' title='t'><mounts><mount id='body'/></mounts><ports>"
        "<port id='p' mount='body' at='10 20 30' flow='1 0 0'><opening width='40' height='40'/>"
        "<bolts count='3' circle='77' turn='15'/></port></ports><joints>"
        "<joint id='j' a='p' b='p' kind='v-band'><bolt-box along='20' across='50' from='40' "
        "to='62' shift='3' turn='-35'/></joint></joints><items>"
        "<duct id='d' class='hot' mount='body' wall='2'><path><knot at='200 20 30'/></path>"
        "<start port='p'/><section at='0' width='40' height='40'/></duct></items></bay>");
    double bolts = 15 * M_PI / 180, box = -35 * M_PI / 180;
    TbBay *edited = NULL, *both = NULL;
    size_t count;
    TbHandle *handles = handles_of(bay, NULL, "d", &count);
    const TbHandle *of_bolts = find(handles, count, TB_HANDLE_BOLTS, 0);
    const TbHandle *of_box = find(handles, count, TB_HANDLE_CLAMP, 0);

    ck_assert_str_eq(of_bolts->id, "p");
    ck_assert_double_eq_tol(of_bolts->size, 15, 1e-12);
    /* flow x up is -Y */
    ck_assert_double_eq_tol(of_bolts->point.y, 20 - 38.5 * sin(bolts), 1e-9);
    ck_assert_double_eq_tol(of_bolts->point.z, 30 + 38.5 * cos(bolts), 1e-9);
    ck_assert_str_eq(of_box->id, "j");
    ck_assert_double_eq_tol(of_box->point.x, 13, 1e-9);
    ck_assert_double_eq_tol(of_box->point.y, 20 - 62 * sin(box), 1e-9);
    ck_assert_double_eq_tol(of_box->point.z, 30 + 62 * cos(box), 1e-9);
    ck_assert_int_eq(
        tb_edit_drag_handle(bay, NULL, "d", of_bolts, tb_vec3(99, -13, 30), &edited, NULL), TB_OK);
    ck_assert_double_eq(tb_bay_port(edited, "p")->bolts->turn, 90);
    ck_assert_int_eq(
        tb_edit_drag_handle(edited, NULL, "d", of_box, tb_vec3(0, 20 + 7, 30 - 7), &both, NULL),
        TB_OK);
    ck_assert_double_eq(tb_bay_joint(both, "j")->boxes[0].turn, -135);
    ck_assert_double_eq(tb_bay_port(both, "p")->bolts->turn, 90);
    tb_free(handles);
    tb_bay_unref(both);
    tb_bay_unref(edited);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(hidden_and_spare_items_have_no_handles_and_cannot_be_dragged)
{
    TbBay *bay = read_example("van-c.bay");
    TbBay *edited = NULL;
    TbHandle handle = {.kind = TB_HANDLE_ITEM};
    TbHandle knot = {.kind = TB_HANDLE_KNOT, .index = 17};
    TbFault fault = {0};
    size_t count;
    TbHandle *handles = handles_of(bay, NULL, "turbo-l", &count);

    ck_assert_uint_eq(count, 0);
    ck_assert_ptr_null(handles);
    ck_assert_int_eq(tb_edit_drag_handle(bay, NULL, "turbo-l", &handle, delta, &edited, &fault),
                     TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "\"turbo-l\" is not there in this variant");
    ck_assert_int_eq(tb_edit_drag_handle(bay, NULL, "outlet", &knot, delta, &edited, &fault),
                     TB_E_RANGE);
    ck_assert_str_eq(fault.text, "\"outlet\" has no knot 18 to drag");
    ck_assert_int_eq(tb_edit_drag_handle(bay, NULL, "head", &knot, delta, &edited, &fault),
                     TB_E_RANGE);
    handle.kind = TB_HANDLE_BALL_RADIUS;
    ck_assert_int_eq(tb_edit_drag_handle(bay, NULL, "head", &handle, delta, &edited, &fault),
                     TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "\"head\" is a block, not a ball");
    ck_assert_int_eq(tb_edit_drag_handle(bay, "no", "head", &handle, delta, &edited, &fault),
                     TB_E_REFERENCE);
    ck_assert_ptr_null(edited);
    tb_bay_unref(bay);
}
END_TEST

/* ---- sections ---- */

static TbRow
row_after(const TbBay *bay, size_t row, TbSectionPart part, double value)
{
    TbBay *edited = NULL;
    TbFault fault = {0};
    TbRow copy;

    ck_assert_msg(tb_edit_drag_section(bay, NULL, "outlet", row, part, value, &edited, &fault) ==
                      TB_OK,
                  "%s", fault.text);
    copy = tb_item_duct(tb_bay_item(edited, "outlet"))->rows[row];
    tb_bay_unref(edited);
    return copy;
}

START_TEST(stadium_stays_a_stadium_when_its_height_is_dragged)
{
    TbBay *bay = read_example("van-c.bay");
    TbRow row = row_after(bay, 5, TB_SECTION_PART_HEIGHT, 47.8); /* 95 x 44, corner 22 */

    ck_assert_double_eq(row.height, 47.8);
    ck_assert_double_eq(row.corner.v[0], 23.9);
    row = row_after(bay, 5, TB_SECTION_PART_RIGHT, 40.55);
    ck_assert_double_eq(row.width, 81.1);
    ck_assert_double_eq(row.corner.v[0], 22);
    row = row_after(bay, 5, TB_SECTION_PART_CORNER, 17.3);
    ck_assert_double_eq(row.corner.v[0], 17.3);
    row = row_after(bay, 5, TB_SECTION_PART_CORNER, 60); /* more than fits */
    ck_assert_double_eq(row.corner.v[0], 22);
    row = row_after(bay, 5, TB_SECTION_PART_TURN, 7.12345);
    ck_assert_double_eq(row.turn, 7.12);
    row = row_after(bay, 5, TB_SECTION_PART_STATION, 1000);
    ck_assert_double_eq_tol(row.at, 255 - TB_DRAG_LEAST, 1e-9);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(sections_of_four_halves_and_four_corners_keep_their_proportions)
{
    TbBay *bay = read_small();
    TbBay *edited = NULL;
    TbFault fault = {0};
    TbRow row = row_after(bay, 2, TB_SECTION_PART_WIDTH, 105.05); /* half 52 43.5 23 21 */

    ck_assert_double_eq_tol(row.half.v[0], 105.05 * 52 / 95.5, 1e-9);
    ck_assert_double_eq_tol(row.half.v[0] + row.half.v[1], 105.05, 1e-9);
    row = row_after(bay, 2, TB_SECTION_PART_LEFT, 39.7);
    ck_assert_double_eq(row.half.v[0], 52);
    ck_assert_double_eq(row.half.v[1], 39.7);
    row = row_after(bay, 2, TB_SECTION_PART_EXPONENT, 2.65);
    ck_assert_double_eq(row.exponent, 2.65);
    row = row_after(bay, 1, TB_SECTION_PART_HEIGHT, 33); /* corners 24 22 20 18 on 76 x 48 */
    ck_assert_double_le(row.corner.v[1] + row.corner.v[2], 33 + 1e-9);
    ck_assert_double_eq_tol(row.corner.v[0] / row.corner.v[3], 24.0 / 18, 1e-12);
    ck_assert_int_eq(
        tb_edit_drag_section(bay, NULL, "outlet", 2, TB_SECTION_PART_CORNER, 12, &edited, &fault),
        TB_E_REFERENCE);
    ck_assert_str_eq(fault.text, "section 3 of \"outlet\" is a superellipse and has no corners");
    ck_assert_int_eq(
        tb_edit_drag_section(bay, NULL, "rail", 0, TB_SECTION_PART_WIDTH, 12, &edited, &fault),
        TB_E_RANGE);
    ck_assert_ptr_null(edited);
    tb_bay_unref(bay);
}
END_TEST

START_TEST(every_failed_request_of_a_drag_is_survived)
{
    TbBay *bay = read_small();
    TbHandle handle = {.kind = TB_HANDLE_HOUSING, .index = TB_HOUSING_CENTRE};
    long needed;

    tb_mem_fail_at(0);
    {
        TbBay *edited = NULL;
        TbHandle *handles = NULL;
        size_t count;

        ck_assert_int_eq(tb_bay_handles(bay, NULL, "outlet", &handles, &count, NULL), TB_OK);
        tb_free(handles);
        ck_assert_int_eq(tb_edit_drag_handle(bay, NULL, "turbo", &handle, tb_vec3(1080, -180, 800),
                                             &edited, NULL),
                         TB_OK);
        tb_bay_unref(edited);
    }
    needed = tb_mem_requests();
    for (long i = 1; i <= needed; i++) {
        TbBay *edited = NULL;
        TbHandle *handles = NULL;
        size_t count;
        TbStatus one;
        TbStatus two;

        tb_mem_fail_at(i);
        one = tb_bay_handles(bay, NULL, "outlet", &handles, &count, NULL);
        if (one == TB_OK)
            tb_free(handles);
        two = tb_edit_drag_handle(bay, NULL, "turbo", &handle, tb_vec3(1080, -180, 800), &edited,
                                  NULL);
        tb_mem_fail_at(0);
        ck_assert(one == TB_OK || one == TB_E_MEMORY);
        ck_assert(two == TB_OK || two == TB_E_MEMORY);
        if (two == TB_OK)
            tb_bay_unref(edited);
    }
    tb_bay_unref(bay);
}
END_TEST

int
main(void)
{
    Suite *suite = suite_create("bay/handles");
    TCase *tcase = tcase_create("handles");

    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, every_handle_of_every_item_in_every_variant_lands_where_it_is_put);
    tcase_add_test(tcase, drag_in_a_shifted_variant_writes_the_place_without_the_shift);
    tcase_add_test(tcase, drag_of_a_mirrored_item_writes_the_other_side);
    tcase_add_test(tcase, what_ends_on_a_turbo_follows_it);
    tcase_add_test(tcase, section_slides_along_the_path_between_its_neighbours);
    tcase_add_test(tcase, face_of_a_block_moves_and_the_opposite_one_stays);
    tcase_add_test(tcase, a_block_turns_about_its_middle);
    tcase_add_test(tcase, a_rod_turns_about_its_middle_and_keeps_its_length);
    tcase_add_test(tcase, bolts_and_clamps_are_clocked_to_the_place);
    tcase_add_test(tcase, hidden_and_spare_items_have_no_handles_and_cannot_be_dragged);
    tcase_add_test(tcase, stadium_stays_a_stadium_when_its_height_is_dragged);
    tcase_add_test(tcase, sections_of_four_halves_and_four_corners_keep_their_proportions);
    tcase_add_test(tcase, every_failed_request_of_a_drag_is_survived);
    suite_add_tcase(suite, tcase);
    return tb_test_main(suite);
}
