/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Trilateration in the plane of the three points. With e1 along AB, e2 square to it towards C, e3
 * their normal, AB = (d, 0) and AC = (i, j) in the plane, a point (x, y, z) at r1, r2, r3 has
 *
 *     x = (r1^2 - r2^2 + d^2) / (2 d)
 *     y = (r1^2 - r3^2 + i^2 + j^2 - 2 i x) / (2 j)
 *     z = +- sqrt(r1^2 - x^2 - y^2)
 *
 * by subtracting the spheres' equations from each other (D. E. Manolakis, "Efficient solution and
 * performance analysis of 3-D position estimation by trilateration", IEEE Transactions on Aerospace
 * and Electronic Systems 32(4), 1996, section II).
 */

#include "bay/datum.h"

#include "base/mem.h"
#include "base/text.h"
#include "geom/tol.h"

/* ---- the points there are ---- */

typedef struct Datums {
    TbDatum *all;
    size_t count, room;
    bool full;
} Datums;

static void
add(Datums *list, const TbRecord *record, TbVec3 point)
{
    void *room = list->all;

    if (list->full || tb_grow_array(&room, &list->room, list->count, sizeof *list->all) != 0) {
        list->full = true;
        return;
    }
    list->all = room;
    list->all[list->count++] =
        (TbDatum){record->id, record->name != NULL ? record->name : record->id, point};
}

static TbStatus
add_ports(Datums *list, const TbBay *bay, const char *variant, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_PORTS) && status == TB_OK; i++) {
        const TbPort *port = tb_bay_port_at(bay, i);
        TbPortPlace place;

        if (port->owner != NULL && tb_bay_item_in(bay, variant, port->owner) == NULL)
            continue; /* its owner is hidden */
        status = tb_bay_port_place(bay, variant, port->record.id, &place, fault);
        if (status == TB_OK)
            add(list, &port->record, place.point);
    }
    return status;
}

static TbStatus
add_balls(Datums *list, const TbBay *bay, const char *variant, TbFault *fault)
{
    TbStatus status = TB_OK;

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS) && status == TB_OK; i++) {
        const char *id = tb_bay_item_at(bay, i)->record.id;
        const TbItem *item = tb_bay_item_in(bay, variant, id);
        TbPose pose;

        if (item == NULL || item->kind != TB_ITEM_BALL)
            continue;
        status = tb_bay_item_pose(bay, variant, id, &pose, fault);
        if (status == TB_OK)
            add(list, &tb_bay_item(bay, id)->record, tb_pose_point(pose, tb_item_ball(item)->at));
    }
    return status;
}

TbStatus
tb_bay_datums(
    const TbBay *bay, const char *variant, TbDatum **datums, size_t *count, TbFault *fault)
{
    Datums list = {NULL, 0, 0, false};
    TbStatus status = add_ports(&list, bay, variant, fault);

    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_FASTENERS) && status == TB_OK; i++) {
        const TbFastener *fastener = tb_bay_fastener_at(bay, i);

        add(&list, &fastener->record,
            tb_vec3_add(fastener->at, tb_bay_mount_shift(bay, variant, fastener->mount)));
    }
    if (status == TB_OK)
        status = add_balls(&list, bay, variant, fault);
    if (status == TB_OK && list.full)
        status = tb_fail(fault, TB_E_MEMORY, "no room for the points to measure from");
    if (status != TB_OK) {
        tb_free(list.all);
        return status;
    }
    *datums = list.all;
    *count = list.count;
    return TB_OK;
}

/* ---- three distances ---- */

/** What is asked, in the plane of the three points. */
typedef struct Ask {
    TbVec3 from[3], e1, e2, e3;
    double d, i, j; /**< mm: AB = (d, 0), AC = (i, j) */
    const double *r;
    const char *const *names;
} Ask;

static TbStatus
lay_out(Ask *ask, TbFault *fault)
{
    TbVec3 ab = tb_vec3_sub(ask->from[1], ask->from[0]);
    TbVec3 ac = tb_vec3_sub(ask->from[2], ask->from[0]);
    TbVec3 up;
    char beside[TB_TEXT_NUMBER];

    ask->d = tb_vec3_length(ab);
    ask->e1 = tb_vec3_unit(ab);
    ask->i = tb_vec3_dot(ac, ask->e1);
    up = tb_vec3_across(ac, ask->e1);
    ask->j = tb_vec3_length(up);
    if (ask->d < TB_TOL_PLACE)
        return tb_fail(fault, TB_E_DEGENERATE, "%s and %s are in the same place", ask->names[0],
                       ask->names[1]);
    /* mm. Below, a tape's millimetre moves the plane through them by more than a radian */
    if (ask->j < 1) {
        tb_text_fixed(ask->j, 2, beside);
        return tb_fail(fault, TB_E_DEGENERATE,
                       "the three points lie on one line: %s is only %s mm beside it",
                       ask->names[2], beside);
    }
    ask->e2 = tb_vec3_unit(up);
    ask->e3 = tb_vec3_cross(ask->e1, ask->e2);
    return TB_OK;
}

static TbStatus
check_distances(const Ask *ask, TbFault *fault)
{
    for (int k = 0; k < 3; k++)
        if (!isfinite(ask->r[k]) || ask->r[k] <= 0 || ask->r[k] > 2 * TB_LIMIT_COORDINATE) {
            char text[TB_TEXT_NUMBER];

            tb_text_from_double(ask->r[k], text);
            return tb_fail(fault, TB_E_RANGE,
                           "the distance from %s, %s mm, is not above 0 or too "
                           "large",
                           ask->names[k], text);
        }
    return TB_OK;
}

/** Two spheres that do not meet, and by how much. */
static TbStatus
check_pair(const Ask *ask, int a, int b, TbFault *fault)
{
    double apart = tb_vec3_distance(ask->from[a], ask->from[b]);
    double miss = apart - (ask->r[a] + ask->r[b]);
    double inside = fabs(ask->r[a] - ask->r[b]) - apart;
    char texts[4][TB_TEXT_NUMBER];

    if (miss <= TB_TOL_ROUND && inside <= TB_TOL_ROUND)
        return TB_OK;
    tb_text_fixed(ask->r[a], 1, texts[0]);
    tb_text_fixed(ask->r[b], 1, texts[1]);
    tb_text_fixed(apart, 1, texts[2]);
    tb_text_fixed(miss > 0 ? miss : inside, 1, texts[3]);
    return tb_fail(fault, TB_E_DEGENERATE,
                   "%s and %s mm from %s and %s, which are %s mm apart, do not meet: %s mm %s",
                   texts[0], texts[1], ask->names[a], ask->names[b], texts[2], texts[3],
                   miss > 0 ? "are missing" : "are too much between them");
}

/** The third distance does not meet the circle of the first two: which ones would. */
static TbStatus
no_meeting(const Ask *ask, double x, TbFault *fault)
{
    double ring = sqrt(fmax(ask->r[0] * ask->r[0] - x * x, 0)); /* radius of the circle, mm */
    double least = hypot(ask->i - x, ask->j - ring);
    double most = hypot(ask->i - x, ask->j + ring);
    double off = ask->r[2] < least ? least - ask->r[2] : ask->r[2] - most;
    char texts[4][TB_TEXT_NUMBER];

    tb_text_fixed(ask->r[2], 1, texts[0]);
    tb_text_fixed(off, 1, texts[1]);
    tb_text_fixed(least, 1, texts[2]);
    tb_text_fixed(most, 1, texts[3]);
    return tb_fail(fault, TB_E_DEGENERATE,
                   "%s mm from %s do not meet the other two distances, by %s mm: those need %s to "
                   "%s mm",
                   texts[0], ask->names[2], texts[1], texts[2], texts[3]);
}

/**
 * Moved by dp, a point's distances change by u_k . dp with u_k the unit vectors from the three
 * points: dp is that matrix's inverse times the errors, whose columns are (u_l x u_m) / det.
 */
static double
spread_at(const Ask *ask, TbVec3 p)
{
    TbVec3 u[3];
    double det;
    double sum = 0;

    for (int k = 0; k < 3; k++)
        u[k] = tb_vec3_unit(tb_vec3_sub(p, ask->from[k]));
    det = tb_vec3_dot(u[0], tb_vec3_cross(u[1], u[2]));
    if (fabs(det) < TB_TOL_UNIT)
        return INFINITY;
    for (int k = 0; k < 3; k++)
        sum += tb_vec3_length2(tb_vec3_cross(u[(k + 1) % 3], u[(k + 2) % 3]));
    return sqrt(sum) / fabs(det);
}

TbStatus
tb_point_by_distances(const TbVec3 from[3],
                      const char *const names[3],
                      const double r[3],
                      TbVec3 towards,
                      TbVec3 *point,
                      double *spread,
                      TbFault *fault)
{
    static const char *const plain[3] = {"the first point", "the second point", "the third point"};
    Ask ask = {.from = {from[0], from[1], from[2]}, .r = r, .names = names ? names : plain};
    TbStatus status = check_distances(&ask, fault);
    double x;
    double y;
    double above;
    TbVec3 p;

    if (status == TB_OK)
        status = lay_out(&ask, fault);
    for (int k = 0; k < 3 && status == TB_OK; k++)
        status = check_pair(&ask, k < 2 ? 0 : 1, k == 0 ? 1 : 2, fault);
    if (status != TB_OK)
        return status;
    x = (r[0] * r[0] - r[1] * r[1] + ask.d * ask.d) / (2 * ask.d);
    y = (r[0] * r[0] - r[2] * r[2] + ask.i * ask.i + ask.j * ask.j - 2 * ask.i * x) / (2 * ask.j);
    above = r[0] * r[0] - x * x - y * y;
    /* mm2. A point in the plane of the three: squares of up to 4e8 mm2 are rounded to 1e-7 */
    if (above < -1e-6)
        return no_meeting(&ask, x, fault);
    above = sqrt(fmax(above, 0));
    if (tb_vec3_dot(towards, ask.e3) < 0)
        above = -above;
    p = tb_vec3_add_scaled(from[0], x, ask.e1);
    p = tb_vec3_add_scaled(p, y, ask.e2);
    p = tb_vec3_add_scaled(p, above, ask.e3);
    if (spread != NULL)
        *spread = spread_at(&ask, p);
    *point = p;
    return TB_OK;
}
