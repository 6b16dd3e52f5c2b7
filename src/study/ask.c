/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/ask.h"

#include "geom/tol.h"
#include "study/posed.h"

#include <math.h>

/* ---- what is usual ---- */

/* mm between rows of tables and profiles when nothing is asked. */
#define STEP 5.0

double
tb_ask_step(const TbAsk *ask)
{
    return ask->station_step > 0 ? ask->station_step : STEP;
}

double
tb_ask_width(const TbAsk *ask)
{
    return ask->width > 0 ? fmax(ask->width, TB_GAP_WIDTH_LEAST) : TB_GAP_WIDTH;
}

/* ---- states ---- */

const char *
tb_ask_cold_state(const TbBay *bay)
{
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_STATES); i++)
        if (tb_bay_state_at(bay, i)->kind == TB_STATE_COLD)
            return tb_bay_state_at(bay, i)->record.id;
    return "cold";
}

char *
tb_ask_state_at_rest(const TbBay *bay, const char *id)
{
    const TbState *state = tb_bay_state(bay, id);
    g_auto(GStrv) parts = NULL;
    const char *still = NULL;
    bool rocks = false;

    if (id == NULL)
        return NULL;
    parts = g_strsplit(state != NULL && state->parts != NULL ? state->parts : id, "+", -1);
    for (int i = 0; parts[i] != NULL; i++) {
        const TbState *part = tb_bay_state(bay, parts[i]);

        if (part != NULL && part->kind == TB_STATE_ROCKING)
            rocks = true;
        else if (part != NULL && still == NULL)
            still = part->record.id;
    }
    return g_strdup(!rocks ? id : still != NULL ? still : tb_ask_cold_state(bay));
}

TbAsk
tb_ask_at_rest(const TbAsk *ask, char **state)
{
    TbAsk drawn = *ask;

    *state = NULL;
    if (ask->pose != NULL && tb_posed_can(ask->pose))
        return drawn;
    drawn.pose = NULL;
    *state = tb_ask_state_at_rest(ask->bay, ask->state);
    if (ask->moving == NULL && g_strcmp0(*state, ask->state) != 0) {
        drawn.moving = ask->state;
        drawn.state = *state;
    }
    return drawn;
}
