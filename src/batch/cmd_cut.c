/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "base/text.h"
#include "batch/options.h"
#include "batch/output.h"
#include "draw/cut_view.h"
#include "geom/plane.h"

#include <math.h>
#include <string.h>

/** The planes that can be asked, each by its option. */
typedef struct Planes {
    char *side, *plan, *front, *station, *free;
} Planes;

static bool
number(const char *option, const char *text, double *out)
{
    if (tb_text_to_double(text, strlen(text), out) && isfinite(*out))
        return true;
    tb_job_complain(_("tightbay-batch cut: --%s %s is not a number of mm"), option, text);
    return false;
}

/** "outlet:184", "outlet:flattest": everything before the last colon is the item; what is no number
 * is a named station. */
static bool
item_station(char *text, TbCutAsk *ask)
{
    char *colon = strrchr(text, ':');

    if (colon == NULL || colon == text) {
        tb_job_complain(_("tightbay-batch cut: --station %s, wanted is ITEM:STATION"), text);
        return false;
    }
    *colon = '\0';
    ask->view = TB_SCENE_ACROSS;
    ask->item = text;
    if (tb_text_to_double(colon + 1, strlen(colon + 1), &ask->at))
        return number("station", colon + 1, &ask->at); /* not "nan" */
    ask->named = colon + 1;
    return true;
}

/** "x y z; x y z; x y z": a plane through three points. */
static bool
three_points(const char *text, TbCutAsk *ask)
{
    g_auto(GStrv) points = g_strsplit(text, ";", -1);
    TbVec3 p[3];
    TbSight sight;
    TbFault fault = {0};
    bool read = g_strv_length(points) == 3;

    for (size_t i = 0; read && i < 3; i++) {
        g_auto(GStrv) words = g_regex_split_simple("[\\s,]+", g_strstrip(points[i]), 0, 0);
        double x[3] = {0};

        read = g_strv_length(words) == 3;
        for (size_t k = 0; read && k < 3; k++)
            read = tb_text_to_double(words[k], strlen(words[k]), &x[k]);
        p[i] = tb_vec3(x[0], x[1], x[2]);
    }
    if (!read) {
        tb_job_complain(_("tightbay-batch cut: --free %s, wanted are three points in mm: "
                          "X Y Z; X Y Z; X Y Z"),
                        text);
        return false;
    }
    if (tb_sight_through(p[0], p[1], p[2], &sight, &fault) != TB_OK) {
        tb_job_complain(_("tightbay-batch cut: --free: %s"), fault.text);
        return false;
    }
    ask->view = TB_SCENE_FREE;
    ask->point = sight.point;
    ask->look = sight.look;
    ask->up = sight.up;
    return true;
}

static bool
which_plane(Planes *planes, TbCutAsk *ask)
{
    int given = (planes->side != NULL) + (planes->plan != NULL) + (planes->front != NULL) +
                (planes->station != NULL) + (planes->free != NULL);

    if (given != 1) {
        tb_job_complain(_("tightbay-batch cut: %d planes given, one of --side, --plan, --front, "
                          "--station and --free is wanted"),
                        given);
        return false;
    }
    if (planes->station != NULL)
        return item_station(planes->station, ask);
    if (planes->free != NULL)
        return three_points(planes->free, ask);
    ask->view = planes->side != NULL   ? TB_SCENE_SIDE
                : planes->plan != NULL ? TB_SCENE_PLAN
                                       : TB_SCENE_FRONT;
    if (planes->side != NULL)
        return number("side", planes->side, &ask->at);
    if (planes->plan != NULL)
        return number("plan", planes->plan, &ask->at);
    return number("front", planes->front, &ask->at);
}

/** "1:2" or "2:1" as paper over bay; 0 when @p text is NULL. */
static bool
read_scale(const char *text, double *ratio)
{
    const char *colon = text != NULL ? strchr(text, ':') : NULL;
    double paper, bay;

    *ratio = 0;
    if (text == NULL)
        return true;
    if (colon != NULL && tb_text_to_double(text, (size_t)(colon - text), &paper) &&
        tb_text_to_double(colon + 1, strlen(colon + 1), &bay) && paper > 0 && bay > 0 &&
        paper / bay >= 1e-3 && paper / bay <= 100) {
        *ratio = paper / bay;
        return true;
    }
    tb_job_complain(_("tightbay-batch cut: --scale %s, wanted is 1:2 or 5:1, 1:1000 to 100:1"),
                    text);
    return false;
}

/** A scene, and the ratio that it is drawn in. */
typedef struct Drawn {
    TbScene *scene;
    double ratio;
} Drawn;

static TbStatus
draw_scene(TbPicture *picture, const void *data, TbMeasurer measurer, TbFault *fault)
{
    const Drawn *drawn = data;

    return tb_cut_view(picture, drawn->scene, drawn->ratio, measurer, fault);
}

static bool
draw(TbJob *job, const TbCutAsk *ask, double ratio, const char *out, double dpi)
{
    Drawn drawn = {.ratio = ratio};
    TbFault fault = {0};
    TbStatus status = tb_study_scene(job->study, &job->ask, ask, &job->task, &drawn.scene, &fault);
    bool done = tb_job_answered(job, status, &fault) &&
                tb_output_drawing(job, draw_scene, &drawn, out, dpi);

    tb_scene_unref(drawn.scene);
    return done;
}

static int
run(const TbCommand *command, int argc, char **argv)
{
    Planes planes = {0};
    g_autofree char *out = NULL;
    g_autofree char *state = NULL;
    g_autofree char *variant = NULL;
    g_autofree char *scale = NULL;
    double dpi = TB_OUTPUT_NO_DPI;
    const GOptionEntry entries[] = {
        {"side", 0, 0, G_OPTION_ARG_STRING, &planes.side, N_("Side cut at this Y, mm"), "Y"},
        {"plan", 0, 0, G_OPTION_ARG_STRING, &planes.plan, N_("Plan cut at this Z, mm"), "Z"},
        {"front", 0, 0, G_OPTION_ARG_STRING, &planes.front, N_("Front cut at this X, mm"), "X"},
        {"station", 0, 0, G_OPTION_ARG_STRING, &planes.station,
         N_("Cut across a duct or line at a station, mm or its name"), "ITEM:S"},
        {"free", 0, 0, G_OPTION_ARG_STRING, &planes.free, N_("Cut through three points, mm"),
         "'X Y Z; X Y Z; X Y Z'"},
        TB_OPTION_DRAWING(&out),
        {"scale", 0, 0, G_OPTION_ARG_STRING, &scale, N_("Ratio (default: the largest that fits)"),
         "1:2"},
        TB_OPTION_DPI(&dpi),
        TB_OPTION_STATE(&state),
        TB_OPTION_VARIANT(&variant),
        G_OPTION_ENTRY_NULL};
    TbCutAsk ask = {0};
    double ratio = 0;
    TbJob job;
    int status = TB_EXIT_WRONG;

    if (!tb_job_arguments(command, entries, &argc, &argv, 1, 1, &status))
        goto done;
    status = TB_EXIT_WRONG;
    if (out == NULL) {
        tb_job_complain(_("tightbay-batch cut: -o is needed"));
        goto done;
    }
    if (!tb_output_check("cut", out, dpi) || !which_plane(&planes, &ask) ||
        !read_scale(scale, &ratio) || !tb_job_open(&job, argv[1], state, variant))
        goto done;
    if (draw(&job, &ask, ratio, out, dpi))
        status = TB_EXIT_OK;
    tb_job_close(&job);

done:
    g_free(planes.side);
    g_free(planes.plan);
    g_free(planes.front);
    g_free(planes.station);
    g_free(planes.free);
    return status;
}

const TbCommand tb_command_cut = {
    "cut",
    "FILE --side Y | --plan Z | --front X | --station ITEM:S | --free \"X Y Z; X Y Z; X Y Z\" -o "
    "OUT.svg|.pdf|.png [--scale 1:2] [--dpi N] "
    "[--variant V] [--state S]",
    N_("Draw one section plot."), run};
