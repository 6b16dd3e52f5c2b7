/* SPDX-License-Identifier: GPL-3.0-or-later */

/* What long work is at, by the words that it reports (TbSort, tb_task_report() of the engine). */

#include "study/say.h"
#include "study/say_private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

static const char *const words[] = {
    N_("building a tree"),
    N_("cuts"),
    N_("envelopes"),
    N_("finding out what a mesh is"),
    N_("gap maps"),
    N_("gaps"),
    N_("gaps along the path"),
    N_("grown shapes"),
    N_("loading a tree"),
    N_("outlines"),
    N_("paths"),
    N_("placing a scan"),
    N_("reading a scan"),
    N_("reading and welding a mesh"),
    N_("rings"),
    N_("samples"),
    N_("sections"),
    N_("shapes"),
    N_("stations"),
};

const char *
tb_say_progress(const char *what)
{
    for (size_t i = 0; i < G_N_ELEMENTS(words); i++)
        if (strcmp(words[i], what) == 0)
            return tb_say__trans(false, what);
    return what;
}
