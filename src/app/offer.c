/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Copies that a killed program left are offered, one bar each; never over the user's file. */

#include "app/notice.h"
#include "app/open.h"
#include "app/toast.h"
#include "app/window.h"
#include "bay/read.h"

#include <glib/gi18n.h>

enum { OPEN = 1, DISCARD };

/** A copy on offer. */
typedef struct Offer {
    TbApplication *application;
    TbRecovered *recovered; /**< NULL once it was taken */
    GtkOverlay *overlay;    /**< of the window that offers it */
    GtkBox *notices;
} Offer;

static void
free_offer(void *data)
{
    Offer *offer = data;

    tb_recovered_free(offer->recovered);
    g_free(offer);
}

/* ---- what is said ---- */

static char *
name_of(const TbRecovered *recovered)
{
    g_autoptr(GFile) file = NULL;
    g_autofree char *name = NULL;

    if (recovered->uri == NULL)
        return g_strdup(recovered->title[0] != '\0' ? recovered->title : _("Untitled bay"));
    file = g_file_new_for_uri(recovered->uri);
    name = g_file_get_basename(file);
    if (recovered->title[0] == '\0')
        return g_steal_pointer(&name);
    return g_strdup_printf(_("%s (%s)"), recovered->title, name);
}

static char *
sentence_for(const TbRecovered *recovered)
{
    g_autofree char *name = name_of(recovered);
    g_autoptr(GDateTime) time = g_date_time_new_from_unix_local(recovered->time);
    /* Translators: day and time at which a copy was written, for g_date_time_format() */
    g_autofree char *when = time == NULL ? NULL : g_date_time_format(time, _("%d %b %Y, %H:%M"));
    TbFault fault = {0};
    TbBay *bay = NULL;

    if (tb_recovered_read(recovered, &bay, &fault) != TB_OK)
        /* Translators: name of a bay, what is wrong */
        return g_strdup_printf(_("The recovered copy of %s is not readable: %s"), name, fault.text);
    tb_bay_unref(bay);
    if (tb_recovered_is_overtaken(recovered))
        /* Translators: name of a bay, day and time */
        return g_strdup_printf(_("Unsaved changes of %s were recovered, as of %s. The file was "
                                 "saved again later; opening them leaves it as it is."),
                               name, when);
    /* Translators: name of a bay, day and time */
    return g_strdup_printf(_("Unsaved changes of %s were recovered, as of %s"), name, when);
}

/* ---- what is done ---- */

static void
open_recovered(Offer *offer)
{
    TbRecovered *recovered = offer->recovered;
    g_autoptr(GFile) place = recovered->uri == NULL ? NULL : g_file_new_for_uri(recovered->uri);
    TbFault fault = {0};
    TbBay *bay = NULL;

    if (tb_recovered_read(recovered, &bay, &fault) != TB_OK)
        return; /* its bar says so and has no button for it */
    offer->recovered = NULL;
    tb_open_recovered(offer->application, bay, place, recovered);
    tb_bay_unref(bay);
}

/* Only now is it removed: unless it was taken back, or another window offers it again. */
static void
toast_gone(void *user)
{
    Offer *offer = user;

    if (offer->recovered != NULL)
        tb_recovered_discard(offer->recovered);
    free_offer(offer);
}

static void offer_one(TbApplication *application, TbWindow *window, TbRecovered *recovered);

/* Undo: it is offered again. */
static void
offer_again(void *user)
{
    Offer *offer = user;
    TbRecovered *recovered = g_steal_pointer(&offer->recovered);
    GtkRoot *root = gtk_widget_get_root(GTK_WIDGET(offer->notices));

    if (TB_IS_WINDOW(root))
        offer_one(offer->application, TB_WINDOW(root), recovered);
    else
        tb_recovered_free(recovered);
}

static void
discard(Offer *offer)
{
    g_autofree char *name = name_of(offer->recovered);
    g_autofree char *text = g_strdup_printf(_("Recovered changes of %s discarded"), name);
    Offer *last = g_new0(Offer, 1);

    *last = *offer;
    offer->recovered = NULL;
    tb_toast_show(last->overlay, &(TbToastDef){.text = text,
                                               .button = _("_Undo"),
                                               .pressed = offer_again,
                                               .gone = toast_gone,
                                               .user = last});
}

static void
answered(void *user, int answer)
{
    if (answer == OPEN)
        open_recovered(user);
    else
        discard(user);
}

static void
offer_one(TbApplication *application, TbWindow *window, TbRecovered *recovered)
{
    const TbNoticeButton whole[] = {{_("_Open Recovered"), OPEN}, {_("_Discard"), DISCARD}, {0}};
    const TbNoticeButton broken[] = {{_("_Discard"), DISCARD}, {0}};
    g_autofree char *text = sentence_for(recovered);
    Offer *offer = g_new0(Offer, 1);
    TbBay *bay = NULL;
    bool readable = tb_recovered_read(recovered, &bay, NULL) == TB_OK;

    tb_bay_unref(bay);
    offer->application = application;
    offer->recovered = recovered;
    offer->overlay = tb_window_overlay(window);
    offer->notices = tb_window_notices(window);
    tb_notice_show(offer->notices, &(TbNoticeDef){.type = GTK_MESSAGE_QUESTION,
                                                  .text = text,
                                                  .buttons = readable ? whole : broken,
                                                  .answered = answered,
                                                  .gone = free_offer,
                                                  .user = offer});
}

void
tb_open_offer_recovered(TbApplication *application, TbWindow *window)
{
    g_autofree char *folder = tb_autosave_folder();
    g_autoptr(GPtrArray) found = tb_recovered_list(folder);

    while (found->len > 0)
        offer_one(application, window, g_ptr_array_steal_index(found, 0));
}
