/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/check.h"
#include "study/opening.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* mm. Step between a duct's end and its port that a joint forgives: a gasket's overhang. */
#define STEP_LIMIT 1.0
#define STEP_MARGIN 0.5

/* deg. Angle between a path's end and its port: flanges are faced to better than this. */
#define TURN_LIMIT 1.0

const char *
tb_check_port_name(const TbPort *port)
{
    return port->record.name == NULL ? port->record.id : port->record.name;
}

static void
add(const TbCaseItem *item,
    TbResults *results,
    const char *rule,
    const char *where,
    double value,
    double limit,
    double margin,
    const char *unit,
    const TbDisc *disc,
    const char *port)
{
    TbFindingDef def = tb_finding_def(rule, item->placed->id);
    TbFinding *finding;

    def.part = where;
    def.variant = item->variant;
    def.place.item = (char *)item->placed->id;
    def.place.from = def.place.to = disc->station;
    def.place.point = disc->centre;
    def.value = value;
    def.limit = limit;
    def.margin = limit - value;
    def.unit = unit;
    def.level = tb_check_below(value, limit, margin);
    def.basis = N_("end of the path against the port that it ends on; a rule of practice");
    finding = tb_results_add_finding(results, &def);
    tb_finding_add_text(results, finding, "port", port);
    tb_finding_add_text(results, finding, "end", where);
}

static void
judge_end(const TbCaseItem *item, TbResults *results, const TbEnd *end, bool at_start)
{
    const TbSweep *sweep = item->form->sweep;
    const char *where = at_start ? "start" : "end";
    const TbPort *port;
    TbPortPlace place;
    TbDisc disc;
    double step, turn;

    if (end == NULL || end->port == NULL)
        return;
    port = tb_bay_port(item->stand->bay, end->port);
    if (port == NULL ||
        tb_bay_port_place(item->stand->bay, item->stand->variant, end->port, &place, NULL) != TB_OK)
        return;
    disc = tb_sweep_at(sweep, at_start ? 0 : tb_sweep_length(sweep));
    step = item->placed->item->kind == TB_ITEM_DUCT ? tb_opening_disc_step(&disc, port, place)
                                                    : (double)NAN;
    if (!isnan(step))
        add(item, results, "port-size", where, step, STEP_LIMIT, STEP_MARGIN, "mm", &disc,
            tb_check_port_name(port));
    turn = atan2(tb_vec3_length(tb_vec3_cross(disc.frame.t, place.flow)),
                 tb_vec3_dot(disc.frame.t, place.flow));
    if (end->against)
        turn = M_PI - turn;
    add(item, results, "port-direction", where, turn * 180 / M_PI, TURN_LIMIT, 0, "deg", &disc,
        tb_check_port_name(port));
}

static void
visit(const TbCaseItem *item, TbResults *results)
{
    if (item->form->sweep == NULL)
        return;
    judge_end(item, results, tb_item_start(item->placed->item), true);
    judge_end(item, results, tb_item_end(item->placed->item), false);
}

void
tb_check_port(const TbCase *theirs, TbResults *results)
{
    tb_case_each_item(theirs, visit, results);
}
