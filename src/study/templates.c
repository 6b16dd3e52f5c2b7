/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/templates.h"

#include "base/text.h"
#include "study/opening.h"
#include "study/say.h"
#include "study/scene_build.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/** mm. Outlines are within this of the true ones: a tenth of what a knife does. */
#define CHORD 0.01

/** mm. A station this near to a named one is that one. */
#define SAME_STATION 0.05

/* ---- building ---- */

static void
template_clear(TbTemplate *one)
{
    for (size_t i = 0; i < one->line_count; i++)
        g_free(one->lines[i]);
    g_free(one->lines);
    g_free(one->name);
    g_free(one->brief);
    g_free(one->points);
    g_free(one->loops);
    g_free(one->centres);
}

void
tb_templates_free(TbTemplates *templates)
{
    if (templates == NULL)
        return;
    for (size_t i = 0; i < templates->count; i++)
        template_clear(&templates->list[i]);
    g_free(templates->list);
    g_free(templates->title);
    g_free(templates->subject);
    g_free(templates->subtitle);
    g_free(templates->caution);
    g_free(templates->axis_u);
    g_free(templates->axis_v);
    g_free(templates);
}

static TbVec2 *
add_loop(TbTemplate *one, TbTemplateRole role, size_t count)
{
    one->points = g_renew(TbVec2, one->points, one->point_count + count);
    one->loops = g_renew(TbTemplateLoop, one->loops, one->loop_count + 1);
    one->loops[one->loop_count++] = (TbTemplateLoop){role, {one->point_count, count}};
    one->point_count += count;
    return one->points + one->point_count - count;
}

static void
add_slice(TbTemplate *one, const TbSlice *slice, bool outer)
{
    size_t count = tb_slice_outline_count(slice, outer, CHORD);
    TbVec2 *points = add_loop(one, outer ? TB_TEMPLATE_OUTER : TB_TEMPLATE_INNER, count);

    tb_slice_outline(slice, outer, count, points);
}

static void
add_circle(TbTemplate *one, TbTemplateRole role, TbVec2 centre, double radius)
{
    /* a chord strays by r (1 - cos(pi / n)) */
    size_t count = (size_t)fmax(24, ceil(M_PI / acos(1 - fmin(1, CHORD / radius))));
    TbVec2 *points = add_loop(one, role, count);

    for (size_t i = 0; i < count; i++) {
        double angle = 2 * M_PI * (double)i / (double)count;

        points[i] = tb_vec2(centre.x + radius * sin(angle), centre.y + radius * cos(angle));
    }
}

static void
add_line(TbTemplate *one, char *text)
{
    one->lines = g_renew(char *, one->lines, one->line_count + 1);
    one->lines[one->line_count++] = text;
}

static TbTemplates *
templates_new(const TbStand *stand, const char *name, const char *axis_u, const char *axis_v)
{
    TbTemplates *templates = g_new0(TbTemplates, 1);
    const char *revision = stand->bay->head->revision;

    templates->subject = revision != NULL && revision[0] != '\0'
                             ? g_strdup_printf(_("%s, revision %s"), name, revision)
                             : g_strdup(name);
    templates->subtitle = tb_scene_subtitle(stand, stand->condition->name);
    templates->caution = g_strdup(tb_say_caution(false));
    templates->axis_u = g_strdup(axis_u);
    templates->axis_v = g_strdup(axis_v);
    return templates;
}

/* ---- sections ---- */

/** The name of a station of the item; NULL: it has none. Lent. */
static const char *
station_name(const TbItem *item, double length, double station)
{
    const TbStation *stations;
    size_t count;

    if (item->kind == TB_ITEM_DUCT) {
        stations = tb_item_duct(item)->stations;
        count = tb_item_duct(item)->station_count;
    } else {
        stations = tb_item_line(item)->stations;
        count = tb_item_line(item)->station_count;
    }
    for (size_t i = 0; i < count; i++) {
        double at = stations[i].from_end ? length - stations[i].at : stations[i].at;

        if (fabs(at - station) < SAME_STATION)
            return stations[i].name;
    }
    return NULL;
}

static void
say_slice(TbTemplate *one, const TbSlice *slice)
{
    g_autofree char *width = tb_scene_number(tb_slice_width(slice), 1);
    g_autofree char *height = tb_scene_number(tb_slice_height(slice), 1);
    g_autofree char *area = tb_scene_number(slice->area, 1);
    g_autofree char *wall = tb_scene_number(slice->wall, 1);
    g_autofree char *turn = tb_scene_number(slice->turn * 180 / M_PI, 1);

    add_line(one, g_strdup_printf(_("Inside %s x %s mm, area %s mm²"), width, height, area));
    if (slice->is_circle || strcmp(turn, "0") == 0)
        add_line(one, g_strdup_printf(_("wall %s mm"), wall));
    else
        add_line(one, g_strdup_printf(_("wall %s mm, turned %s° from H towards W"), wall, turn));
}

static void
fill_section(TbTemplate *one, const TbItem *item, const TbSweep *sweep, double station)
{
    TbDisc disc = tb_sweep_at(sweep, station);
    const char *name = station_name(item, tb_sweep_length(sweep), station);

    one->brief = tb_scene_number(station, 1);
    one->name = name != NULL ? g_strdup_printf(_("Station %s mm, %s"), one->brief, name)
                             : g_strdup_printf(_("Station %s mm"), one->brief);
    say_slice(one, &disc.slice);
    if (disc.slice.wall > 0)
        add_slice(one, &disc.slice, true);
    add_slice(one, &disc.slice, false);
}

static TbStatus
check_stations(
    const char *item, double length, const double stations[], size_t count, TbFault *fault)
{
    if (count < (stations == NULL ? TB_TEMPLATES_LEAST : 1) || count > TB_TEMPLATES_MOST)
        return tb_fail(fault, TB_E_RANGE, "%zu sections, %d to %d can be asked", count,
                       stations == NULL ? TB_TEMPLATES_LEAST : 1, TB_TEMPLATES_MOST);
    for (size_t i = 0; stations != NULL && i < count; i++)
        if (!(stations[i] >= 0 && stations[i] <= length))
            return tb_fail(fault, TB_E_RANGE,
                           "station %.1f mm is not on %s, whose path is %.1f mm long", stations[i],
                           item, length);
    return TB_OK;
}

static TbStatus
fill_sections(const TbStand *stand,
              const char *item,
              const double stations[],
              size_t count,
              TbTemplates **out,
              TbFault *fault)
{
    size_t index = 0;
    TbStatus status = tb_stand_want(stand, item, &index, fault);
    const TbPlaced *placed = &stand->items[index];
    const TbSweep *sweep;
    TbTemplates *templates;
    double length;

    if (status != TB_OK)
        return status;
    sweep = tb_placed_drawn(placed)->sweep;
    if (sweep == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "item %s has no path, so it has no sections", item);
    length = tb_sweep_length(sweep);
    status = check_stations(item, length, stations, count, fault);
    if (status != TB_OK)
        return status;
    templates = templates_new(stand, tb_placed_name(placed), "W", "H");
    templates->title = g_strdup_printf(_("%s, section templates"), tb_placed_name(placed));
    templates->list = g_new0(TbTemplate, count);
    templates->count = count;
    for (size_t i = 0; i < count; i++)
        fill_section(&templates->list[i], placed->item, sweep,
                     stations != NULL ? stations[i] : length * (double)i / (double)(count - 1));
    *out = templates;
    return TB_OK;
}

/* ---- flanges ---- */

/** mm of a metric thread, "M8" or "M12x1.5"; NAN for any other. */
static double
thread_diameter(const char *thread)
{
    double diameter;

    if (thread == NULL || (thread[0] != 'M' && thread[0] != 'm') ||
        !tb_text_to_double(thread + 1, strcspn(thread + 1, "x"), &diameter) ||
        !(diameter > 0 && diameter < 100))
        return (double)NAN;
    return diameter;
}

static void
say_bolts(TbTemplate *one, const TbBolts *bolts, double spread)
{
    g_autofree char *size = tb_scene_number(spread, 1);
    g_autofree char *turn = tb_scene_number(bolts->turn, 1);
    const char *thread = bolts->thread != NULL ? bolts->thread : "?";

    add_line(one, g_strdup_printf(isnan(bolts->circle)
                                      ? _("%d bolts %s, %s mm apart, first at %s° from up")
                                      : _("%d bolts %s on a circle of %s mm, first at %s° from up"),
                                  bolts->count, thread, size, turn));
}

static void
add_bolts(TbTemplate *one, const TbBolts *bolts)
{
    double spread = isnan(bolts->circle) ? bolts->across : bolts->circle;
    double hole = thread_diameter(bolts->thread);

    if (isnan(spread) || bolts->count < 1)
        return;
    say_bolts(one, bolts, spread);
    one->centres = g_new(TbVec2, (size_t)bolts->count);
    for (int i = 0; i < bolts->count; i++) {
        double angle = (bolts->turn + 360.0 * i / bolts->count) * M_PI / 180;
        TbVec2 centre = {spread / 2 * sin(angle), spread / 2 * cos(angle)};

        one->centres[one->centre_count++] = centre;
        if (!isnan(hole))
            add_circle(one, TB_TEMPLATE_HOLE, centre, hole / 2);
    }
}

static TbStatus
add_opening(TbTemplate *one, const TbOpening *opening, TbFault *fault)
{
    g_autofree char *width = tb_scene_number(opening->width, 1);
    g_autofree char *height = tb_scene_number(opening->height, 1);
    TbSectionRow row = {.section = tb_opening_section(opening)};
    TbLaw *law = NULL;
    TbStatus status;
    TbSlice slice;

    row.section.offset = opening->offset;
    /* a path of any length has the one section everywhere */
    status = tb_law_new(&row, 1, 1, &law, fault);
    if (status != TB_OK)
        return status;
    slice = tb_law_at(law, 0);
    add_slice(one, &slice, false);
    tb_law_unref(law);
    add_line(one, g_strdup_printf(_("Opening %s x %s mm"), width, height));
    return TB_OK;
}

static TbStatus
fill_port(TbTemplate *one, const TbPort *port, TbFault *fault)
{
    const char *name = port->record.name;
    TbStatus status = TB_OK;

    one->brief = g_strdup(port->record.id);
    one->name = name != NULL && name[0] != '\0'
                    ? g_strdup_printf(_("Port %s, %s"), port->record.id, name)
                    : g_strdup_printf(_("Port %s"), port->record.id);
    if (!isnan(port->face_diameter)) {
        g_autofree char *size = tb_scene_number(port->face_diameter, 1);

        add_circle(one, TB_TEMPLATE_OUTER, tb_vec2(0, 0), port->face_diameter / 2);
        add_line(one, g_strdup_printf(_("Face diameter %s mm"), size));
    }
    for (size_t i = 0; status == TB_OK && i < port->opening_count; i++)
        status = add_opening(one, &port->openings[i], fault);
    if (port->bolts != NULL)
        add_bolts(one, port->bolts);
    if (status == TB_OK && one->loop_count == 0 && one->centre_count == 0)
        return tb_fail(fault, TB_E_REFERENCE,
                       "port %s has neither an opening nor a face diameter nor bolts",
                       port->record.id);
    return status;
}

/** The item that the port is on, or the port itself. Lent. */
static const char *
owner_name(const TbStand *stand, const TbPort *port)
{
    size_t owner = port->owner == NULL ? stand->count : tb_stand_find(stand, port->owner);

    if (owner < stand->count)
        return tb_placed_name(&stand->items[owner]);
    return port->record.name != NULL ? port->record.name : port->record.id;
}

static TbStatus
fill_flange(const TbStand *stand, const char *id, TbTemplates **out, TbFault *fault)
{
    const TbPort *port = tb_bay_port(stand->bay, id);
    TbTemplates *templates;
    TbStatus status;

    if (port == NULL)
        return tb_fail(fault, TB_E_REFERENCE, "there is no port %s", id);
    templates = templates_new(stand, owner_name(stand, port), "", _("up"));
    templates->title = g_strdup_printf(_("Port %s, flange template"), id);
    templates->list = g_new0(TbTemplate, 1);
    templates->count = 1;
    status = fill_port(&templates->list[0], port, fault);
    if (status == TB_OK)
        *out = templates;
    else
        tb_templates_free(templates);
    return status;
}

/* ---- the two questions ---- */

/** The first cold state, whatever state was asked: gauges are as drawn. */
static TbStatus
cold_case(TbStudy *study, const TbAsk *ask, TbTask *task, TbCase **theirs, TbFault *fault)
{
    TbAsk cold = *ask;

    cold.state = NULL;
    return tb_case_new(study, &cold, 0, true, task, theirs, fault);
}

TbStatus
tb_study_section_templates(TbStudy *study,
                           const TbAsk *ask,
                           const char *item,
                           const double stations[],
                           size_t count,
                           TbTask *task,
                           TbTemplates **templates,
                           TbFault *fault)
{
    TbCase *theirs = NULL;
    TbFault unheard = {0};
    TbFault *why = fault == NULL ? &unheard : fault;
    TbStatus status = cold_case(study, ask, task, &theirs, why);

    if (status == TB_OK)
        status = fill_sections(theirs->stands[0].stand, item, stations, count, templates, why);
    tb_case_free(theirs);
    return status;
}

TbStatus
tb_study_port_template(TbStudy *study,
                       const TbAsk *ask,
                       const char *port,
                       TbTask *task,
                       TbTemplates **templates,
                       TbFault *fault)
{
    TbCase *theirs = NULL;
    TbFault unheard = {0};
    TbFault *why = fault == NULL ? &unheard : fault;
    TbStatus status = cold_case(study, ask, task, &theirs, why);

    if (status == TB_OK)
        status = fill_flange(theirs->stands[0].stand, port, templates, why);
    tb_case_free(theirs);
    return status;
}
