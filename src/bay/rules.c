/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/text.h"
#include "bay/check_private.h"
#include "geom/tol.h"

#include <stdio.h>
#include <string.h>

/* ---- rules of paths and sections ---- */

static TbStatus
rule_path(
    const Place *place, const TbPath *path, const TbEnd *start, const TbEnd *end, TbFault *fault)
{
    size_t ports = (start != NULL && start->port != NULL) + (end != NULL && end->port != NULL);

    if (path->knot_count + ports < 2)
        return FAIL(place, TB_E_DEGENERATE, "path has %zu knots and %zu ports, 2 are needed",
                    place->what, path->knot_count, ports);
    for (size_t i = 0; i < path->knot_count; i++) {
        const TbKnot *knot = &path->knots[i];
        bool inner = (i > 0 || (start != NULL && start->port != NULL)) &&
                     (i + 1 < path->knot_count || (end != NULL && end->port != NULL));

        if (path->kind == TB_PATH_BENT && inner && !tb_is_given(knot->radius))
            return tb_fail_at(fault, TB_E_RANGE, knot->part.line,
                              "knot %zu of %s: a corner of a bent path needs a radius", i + 1,
                              place->what);
        if (i > 0 && tb_vec3_distance(knot->at, path->knots[i - 1].at) < TB_TOL_PLACE)
            return tb_fail_at(fault, TB_E_DEGENERATE, knot->part.line,
                              "knot %zu of %s is in the same place as knot %zu", i + 1, place->what,
                              i);
    }
    return TB_OK;
}

/** Rings and bolt boxes reach from a lower to a higher place. @p what owns them. */
static TbStatus
rule_ring_shapes(const char *what,
                 const TbRing *rings,
                 size_t ring_count,
                 const TbBoltBox *boxes,
                 size_t box_count,
                 TbFault *fault)
{
    for (size_t i = 0; i < ring_count; i++)
        if (rings[i].from >= rings[i].to)
            return tb_fail_at(fault, TB_E_RANGE, rings[i].part.line,
                              "ring %zu of %s: from is not below to", i + 1, what);
    for (size_t i = 0; i < box_count; i++)
        if (boxes[i].from >= boxes[i].to)
            return tb_fail_at(fault, TB_E_RANGE, boxes[i].part.line,
                              "bolt-box %zu of %s: from is not below to", i + 1, what);
    return TB_OK;
}

static TbStatus
rule_end(const Place *place, const TbEnd *end, const char *which, TbFault *fault)
{
    char what[WHAT];

    if (end == NULL)
        return TB_OK;
    snprintf(what, WHAT, "%s of %.120s", which, place->what);
    if (end->port != NULL && tb_vec3_is_given(end->tangent))
        return tb_fail_at(fault, TB_E_FORMAT, end->part.line,
                          "%s: a tangent is for an end without a port", what);
    return rule_ring_shapes(what, end->rings, end->ring_count, end->boxes, end->box_count, fault);
}

static TbStatus
rule_row(const Place *place, const TbRow *row, size_t index, TbFault *fault)
{
    bool sides = tb_is_given(row->width) && tb_is_given(row->height);
    bool any_side = tb_is_given(row->width) || tb_is_given(row->height);

    if (row->half.count > 0 ? any_side : !sides)
        return tb_fail_at(fault, TB_E_FORMAT, row->part.line,
                          "section %zu of %s: needs either width and height or half", index + 1,
                          place->what);
    if (row->kind == TB_ROW_ROUNDED && row->corner.count == 0)
        return tb_fail_at(fault, TB_E_FORMAT, row->part.line,
                          "section %zu of %s: a rounded section needs a corner", index + 1,
                          place->what);
    if (row->kind == TB_ROW_SUPERELLIPSE && row->corner.count > 0)
        return tb_fail_at(fault, TB_E_FORMAT, row->part.line,
                          "section %zu of %s: a corner is for a rounded section", index + 1,
                          place->what);
    return TB_OK;
}

/** Stations rise: those from the start first, those from the end last and falling. */
static TbStatus
rule_row_order(
    const Place *place, const TbRow *before, const TbRow *row, size_t index, TbFault *fault)
{
    char a[TB_TEXT_NUMBER];
    char b[TB_TEXT_NUMBER];
    bool wrong;

    if (before->from_end != row->from_end)
        wrong = before->from_end;
    else
        wrong = row->from_end ? row->at >= before->at : row->at <= before->at;
    if (!wrong)
        return TB_OK;
    tb_text_from_double(before->at, a);
    tb_text_from_double(row->at, b);
    return tb_fail_at(fault, TB_E_RANGE, row->part.line,
                      "section %zu of %s: station %s%s does not come after %s%s", index + 1,
                      place->what, b, row->from_end ? " from the end" : "", a,
                      before->from_end ? " from the end" : "");
}

static TbStatus
rule_duct(const Place *place, const TbDuct *duct, TbFault *fault)
{
    TbStatus status = rule_path(place, duct->path, duct->start, duct->end, fault);

    if (status == TB_OK)
        status = rule_end(place, duct->start, "start", fault);
    if (status == TB_OK)
        status = rule_end(place, duct->end, "end", fault);
    for (size_t i = 0; status == TB_OK && i < duct->row_count; i++) {
        status = rule_row(place, &duct->rows[i], i, fault);
        if (status == TB_OK && i > 0)
            status = rule_row_order(place, &duct->rows[i - 1], &duct->rows[i], i, fault);
    }
    return status;
}

static TbStatus
rule_line(const Place *place, const TbLine *line, TbFault *fault)
{
    TbStatus status = rule_path(place, line->path, line->start, line->end, fault);

    if (status == TB_OK)
        status = rule_end(place, line->start, "start", fault);
    if (status == TB_OK)
        status = rule_end(place, line->end, "end", fault);
    if (status == TB_OK && tb_is_given(line->bore) && line->bore >= line->diameter) {
        char bore[TB_TEXT_NUMBER];
        char outside[TB_TEXT_NUMBER];

        tb_text_from_double(line->bore, bore);
        tb_text_from_double(line->diameter, outside);
        status = FAIL(place, TB_E_RANGE, "bore %s mm is not below its diameter %s mm", place->what,
                      bore, outside);
    }
    return status;
}

/* ---- rules of the other items ---- */

static TbStatus
need_box(const Place *place, int line, TbVec3 low, TbVec3 high, TbFault *fault)
{
    if (low.x < high.x && low.y < high.y && low.z < high.z)
        return TB_OK;
    return tb_fail_at(fault, TB_E_RANGE, line, "%s: low is not below high along %c", place->what,
                      low.x >= high.x   ? 'X'
                      : low.y >= high.y ? 'Y'
                                        : 'Z');
}

/** Two directions that make axes must not lie along each other. */
static TbStatus
need_square(const Place *place, TbVec3 a, TbVec3 b, const char *names, TbFault *fault)
{
    TbVec3 across = tb_vec3_cross(tb_vec3_unit(a), tb_vec3_unit(b));

    if (tb_vec3_length(across) > 1e-6) /* rad: below it the third axis is rounding */
        return TB_OK;
    return FAIL(place, TB_E_DEGENERATE, "%s lie along each other", place->what, names);
}

static TbStatus
rule_turbo(const Place *place, const TbTurbo *turbo, TbFault *fault)
{
    bool there[TB_HOUSING_COUNT] = {false, false, false};

    for (size_t i = 0; i < turbo->housing_count; i++) {
        const TbHousing *housing = &turbo->housings[i];

        if (there[housing->of])
            return tb_fail_at(fault, TB_E_REFERENCE, housing->part.line, "%s has two %s housings",
                              place->what, tb_name_of(tb_names_housing, housing->of));
        there[housing->of] = true;
    }
    for (size_t i = 0; i < turbo->rod_count; i++)
        if (turbo->rods[i].from == turbo->rods[i].to)
            return tb_fail_at(fault, TB_E_DEGENERATE, turbo->rods[i].part.line,
                              "rod %zu of %s has no length", i + 1, place->what);
    for (size_t i = 0; i < turbo->arm_count; i++)
        if (tb_vec3_distance(turbo->arms[i].a, turbo->arms[i].b) < TB_TOL_PLACE)
            return tb_fail_at(fault, TB_E_DEGENERATE, turbo->arms[i].part.line,
                              "arm %zu of %s has no length", i + 1, place->what);
    for (size_t i = 0; i < turbo->box_count; i++) {
        TbStatus status = need_box(place, turbo->boxes[i].part.line, turbo->boxes[i].low,
                                   turbo->boxes[i].high, fault);

        if (status != TB_OK)
            return status;
    }
    return need_square(place, turbo->shaft, turbo->up, "shaft and up", fault);
}

static TbStatus
rule_scan(const Place *place, const TbScanItem *scan, TbFault *fault)
{
    if (scan->file[0] == '/')
        return FAIL(place, TB_E_FORMAT, "file \"%.100s\" is not relative to the bay's folder",
                    place->what, scan->file);
    return need_square(place, scan->along, scan->up, "along and up", fault);
}

static TbStatus
rule_item(const Place *place, const TbItem *item, TbFault *fault)
{
    TbStatus status = TB_OK;

    switch (item->kind) {
    case TB_ITEM_DUCT:
        return rule_duct(place, tb_item_duct(item), fault);
    case TB_ITEM_LINE:
        return rule_line(place, tb_item_line(item), fault);
    case TB_ITEM_TURBO:
        return rule_turbo(place, tb_item_turbo(item), fault);
    case TB_ITEM_BLOCK:
        status = need_box(place, place->line, tb_item_block(item)->low, tb_item_block(item)->high,
                          fault);
        if (status == TB_OK)
            status = need_square(place, tb_item_block(item)->along, tb_item_block(item)->up,
                                 "along and up", fault);
        break;
    case TB_ITEM_ROD:
        if (tb_vec3_distance(tb_item_rod(item)->a, tb_item_rod(item)->b) < TB_TOL_PLACE)
            status = FAIL(place, TB_E_DEGENERATE, "a and b are in the same place", place->what);
        break;
    case TB_ITEM_OUTLINE:
        return need_square(place, tb_item_outline(item)->u, tb_item_outline(item)->v, "u and v",
                           fault);
    case TB_ITEM_SCAN:
        return rule_scan(place, tb_item_scan(item), fault);
    case TB_ITEM_BALL:
        break;
    }
    return status;
}

/* ---- rules of the rest ---- */

static TbStatus
rule_mount(const Place *place, const TbMount *mount, TbFault *fault)
{
    const TbMount *at = mount;

    if (tb_vec3_is_given(mount->axis_point) != tb_vec3_is_given(mount->axis_direction))
        return FAIL(place, TB_E_FORMAT, "axis-point and axis-direction go together", place->what);
    for (size_t steps = 0; at != NULL && at->parent != NULL; steps++) {
        at = tb_bay_mount(place->bay, at->parent);
        if (at == mount || steps > tb_bay_count(place->bay, TB_LIST_MOUNTS))
            return FAIL(place, TB_E_REFERENCE, "rides on itself through its parent \"%s\"",
                        place->what, mount->parent);
    }
    return TB_OK;
}

static TbStatus
rule_port(const Place *place, const TbPort *port, TbFault *fault)
{
    const TbItem *owner = tb_bay_item(place->bay, port->owner);

    if (owner == NULL && port->mount == NULL)
        return FAIL(place, TB_E_FORMAT, "needs an owner or a mount", place->what);
    if (owner != NULL && port->mount != NULL)
        return FAIL(place, TB_E_FORMAT, "has a mount, but its owner \"%s\" has one already",
                    place->what, port->owner);
    if (port->housing >= 0 && (owner == NULL || owner->kind != TB_ITEM_TURBO))
        return FAIL(place, TB_E_REFERENCE, "housing %s is for a port of a turbo", place->what,
                    tb_name_of(tb_names_housing, port->housing));
    if (tb_vec3_is_given(port->up))
        return need_square(place, port->flow, port->up, "flow and up", fault);
    return TB_OK;
}

static TbStatus
rule_keep(const Place *place, const TbKeep *keep, TbFault *fault)
{
    if ((keep->item_a != NULL) == (keep->class_a != NULL))
        return FAIL(place, TB_E_FORMAT, "needs one of item-a and class-a", place->what);
    if ((keep->item_b != NULL) == (keep->class_b != NULL))
        return FAIL(place, TB_E_FORMAT, "needs one of item-b and class-b", place->what);
    if (keep->item_a != NULL && keep->item_b != NULL && strcmp(keep->item_a, keep->item_b) == 0)
        return FAIL(place, TB_E_REFERENCE, "both sides are \"%s\"", place->what, keep->item_a);
    for (size_t i = 1; i < keep->gap_count; i++)
        for (size_t k = 0; k < i; k++)
            if (strcmp(keep->gaps[i].state, keep->gaps[k].state) == 0)
                return tb_fail_at(fault, TB_E_REFERENCE, keep->gaps[i].part.line,
                                  "%s has two gaps for state %s", place->what, keep->gaps[i].state);
    return TB_OK;
}

/** A combined state is made of plain ones, so that it cannot contain itself. */
static TbStatus
rule_state(const Place *place, const TbState *state, TbFault *fault)
{
    const char *text = state->parts;

    if ((state->kind == TB_STATE_COMBINED) != (text != NULL))
        return FAIL(place, TB_E_FORMAT, "parts are for a combined state, which needs them",
                    place->what);
    while (text != NULL) {
        const char *plus = strchrnul(text, '+');
        const TbState *part;
        char id[128];

        snprintf(id, sizeof id, "%.*s", (int)(plus - text), text);
        part = tb_bay_state(place->bay, id);
        if (part != NULL && part->kind == TB_STATE_COMBINED)
            return FAIL(place, TB_E_REFERENCE, "its part \"%s\" is itself a combined state",
                        place->what, id);
        text = *plus == '+' ? plus + 1 : NULL;
    }
    return TB_OK;
}

static TbStatus
rule_variant(const Place *place, const TbVariant *variant, TbFault *fault)
{
    for (size_t i = 0; i < variant->swap_count; i++) {
        const TbItem *item = tb_bay_item(place->bay, variant->swaps[i].item);
        const TbItem *with = tb_bay_item(place->bay, variant->swaps[i].with);

        if (item != NULL && with != NULL && item->kind != with->kind)
            return tb_fail_at(fault, TB_E_REFERENCE, variant->swaps[i].part.line,
                              "%s swaps %s \"%s\" with %s \"%s\", which is of another kind",
                              place->what, tb_item_kind_name(item->kind), variant->swaps[i].item,
                              tb_item_kind_name(with->kind), variant->swaps[i].with);
    }
    for (size_t i = 0; i < variant->mirror_count; i++) {
        const TbItem *item = tb_bay_item(place->bay, variant->mirrors[i].item);

        if (item != NULL && item->kind == TB_ITEM_SCAN)
            return tb_fail_at(fault, TB_E_REFERENCE, variant->mirrors[i].part.line,
                              "%s mirrors scan \"%s\": a mesh cannot be mirrored", place->what,
                              variant->mirrors[i].item);
    }
    return TB_OK;
}

static TbStatus
rule_view(const Place *place, const TbView *view, TbFault *fault)
{
    if ((view->kind == TB_VIEW_STATION) != (view->item != NULL))
        return FAIL(place, TB_E_FORMAT, "an item is for a view of kind station, which needs it",
                    place->what);
    if (view->kind == TB_VIEW_FREE) {
        if (!tb_vec3_is_given(view->point) || !tb_vec3_is_given(view->look) ||
            !tb_vec3_is_given(view->up))
            return FAIL(place, TB_E_FORMAT, "a free view needs point, look and up", place->what);
        return need_square(place, view->look, view->up, "look and up", fault);
    }
    if (!tb_is_given(view->at))
        return FAIL(place, TB_E_FORMAT, "needs at", place->what);
    return TB_OK;
}

static TbStatus
rule_head(const Place *place, const TbHead *head, TbFault *fault)
{
    const TbList *revisions = &place->bay->lists[TB_LIST_REVISIONS];

    if (head->revision == NULL || revisions->count == 0)
        return TB_OK;
    for (size_t i = 0; i < revisions->count; i++)
        if (strcmp(revisions->records[i]->id, head->revision) == 0)
            return TB_OK;
    return FAIL(place, TB_E_REFERENCE, "revision \"%s\" is not among its revisions", place->what,
                head->revision);
}

TbStatus
tb_check__rule(const Place *place, const TbRecord *record, TbFault *fault)
{
    switch (record->element->list) {
    case TB_LIST_MOUNTS:
        return rule_mount(place, (const TbMount *)record, fault);
    case TB_LIST_PORTS:
        return rule_port(place, (const TbPort *)record, fault);
    case TB_LIST_JOINTS:
        return rule_ring_shapes(
            place->what, ((const TbJoint *)record)->rings, ((const TbJoint *)record)->ring_count,
            ((const TbJoint *)record)->boxes, ((const TbJoint *)record)->box_count, fault);
    case TB_LIST_ITEMS:
        return rule_item(place, (const TbItem *)record, fault);
    case TB_LIST_KEEPS:
        return rule_keep(place, (const TbKeep *)record, fault);
    case TB_LIST_STATES:
        return rule_state(place, (const TbState *)record, fault);
    case TB_LIST_VARIANTS:
        return rule_variant(place, (const TbVariant *)record, fault);
    case TB_LIST_VIEWS:
        return rule_view(place, (const TbView *)record, fault);
    case TB_LIST_COUNT: /* the head */
        return rule_head(place, (const TbHead *)record, fault);
    case TB_LIST_REVISIONS:
    case TB_LIST_ATTITUDES:
    case TB_LIST_GAS:
    case TB_LIST_MATERIALS:
    case TB_LIST_FASTENERS:
    case TB_LIST_STEPS:
    case TB_LIST_DECISIONS:
        break;
    }
    return TB_OK;
}
