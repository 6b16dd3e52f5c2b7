/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/judged.h"

TbMatterAsk
tb_session_judged(TbSession *session)
{
    const TbShown *shown = tb_session_shown(session);
    TbMatterAsk ask = {.whole = tb_session_whole_results(session),
                       .live = tb_session_results(session),
                       .state = tb_session_state(session),
                       .variant = tb_session_variant(session)};

    /* of a motion the newer answer judges the part that stands still */
    if (shown != NULL)
        ask.state = shown->ask.state;

    /* the newest answer covers everything, or nothing newer is known than what does */
    if (ask.live == ask.whole || tb_session_is_settled(session))
        ask.live = NULL;
    return ask;
}
