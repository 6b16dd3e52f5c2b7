/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Handles as they were asked for last: at every step of a drag three panes ask for the same ones.
 */

#include "app/session_private.h"

#include "base/mem.h"

static void
clear(TbSessionHandles *kept)
{
    tb_free(kept->handles);
    g_free(kept->variant);
    g_free(kept->item);
    tb_bay_unref(kept->bay);
    *kept = (TbSessionHandles){.bay = NULL};
}

void
tb_session__clear_handles(TbSession *session)
{
    for (size_t i = 0; i < TB_SESSION_HANDLES; i++)
        clear(&session->handles[i]);
}

static bool
is_of(const TbSessionHandles *kept, TbSession *session, const char *item)
{
    return kept->bay == tb_session_bay(session) && g_strcmp0(kept->item, item) == 0 &&
           g_strcmp0(kept->variant, tb_session_variant(session)) == 0;
}

const TbHandle *
tb_session_handles(TbSession *session, const char *item, size_t *count)
{
    TbSessionHandles *kept = session->handles;

    for (size_t i = 0; i < TB_SESSION_HANDLES; i++)
        if (is_of(&kept[i], session, item)) {
            *count = kept[i].count;
            return kept[i].handles;
        }
    clear(&kept[TB_SESSION_HANDLES - 1]);
    for (size_t i = TB_SESSION_HANDLES - 1; i > 0; i--)
        kept[i] = kept[i - 1];
    /* the bay is held, so that none that comes later can be mistaken for it */
    kept[0] = (TbSessionHandles){.bay = tb_bay_ref(tb_session_bay(session)),
                                 .item = g_strdup(item),
                                 .variant = g_strdup(tb_session_variant(session))};
    if (tb_bay_handles(kept[0].bay, kept[0].variant, item, &kept[0].handles, &kept[0].count,
                       NULL) != TB_OK) {
        kept[0].handles = NULL;
        kept[0].count = 0;
    }
    *count = kept[0].count;
    return kept[0].handles;
}
