/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/choice.h"
#include "app/names.h"

#include <glib/gi18n.h>

/** Letters of a name that are shown whole: both have room beside the other buttons at a width of
 * 1280. */
#define STATE_LETTERS 30
#define VARIANT_LETTERS 48

/** One drop-down over the records of a list. */
typedef struct Choice {
    TbSession *session; /* lent: the box's session */
    GtkDropDown *drop;
    TbListKind list;
    int most; /* letters of a name that are shown whole */
    const char *(*get)(TbSession *session);
    void (*set)(TbSession *session, const char *id);
    uint64_t node; /* of the document whose records are listed */
    bool filling;
} Choice;

static const TbRecord *
record_at(const Choice *choice, guint index)
{
    const TbList *list = &tb_session_bay(choice->session)->lists[choice->list];

    return index < list->count ? list->records[index] : NULL;
}

static void
chosen(GObject *drop, GParamSpec *spec, void *data)
{
    Choice *choice = data;
    const TbRecord *record = record_at(choice, gtk_drop_down_get_selected(GTK_DROP_DOWN(drop)));

    (void)spec;
    if (!choice->filling && record != NULL)
        choice->set(choice->session, record->id);
}

/* The names again, where the document's list is another one. */
static void
fill(Choice *choice)
{
    const TbBay *bay = tb_session_bay(choice->session);
    const TbList *list = &bay->lists[choice->list];
    g_autoptr(GtkStringList) names = NULL;

    if (choice->node == bay->node)
        return;
    choice->node = bay->node;
    names = gtk_string_list_new(NULL);
    for (size_t i = 0; i < list->count; i++)
        gtk_string_list_append(names, list->records[i]->name == NULL ? list->records[i]->id
                                                                     : list->records[i]->name);
    tb_names_list(choice->drop, names);
    gtk_widget_set_visible(GTK_WIDGET(choice->drop), list->count > 1);
}

static void
update(TbSession *session, guint parts, GtkWidget *drop)
{
    Choice *choice = g_object_get_data(G_OBJECT(drop), "choice");
    const TbList *list = &tb_session_bay(session)->lists[choice->list];

    if (!(parts & (TB_SESSION_DOCUMENT | TB_SESSION_CHOICE)))
        return;
    choice->filling = true;
    fill(choice);
    for (size_t i = 0; i < list->count; i++)
        if (g_strcmp0(list->records[i]->id, choice->get(session)) == 0)
            gtk_drop_down_set_selected(choice->drop, (guint)i);
    choice->filling = false;
}

static GtkWidget *
drop_down(const Choice *def, const char *label)
{
    Choice *choice = g_memdup2(def, sizeof *def);
    GtkWidget *drop = tb_names_drop_down_new(def->most);

    choice->drop = GTK_DROP_DOWN(drop);
    gtk_widget_set_tooltip_text(drop, label);
    gtk_accessible_update_property(GTK_ACCESSIBLE(drop), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
    g_object_set_data_full(G_OBJECT(drop), "choice", choice, g_free);
    g_signal_connect_object(choice->session, "changed", G_CALLBACK(update), drop, 0);
    g_signal_connect(drop, "notify::selected", G_CALLBACK(chosen), choice);
    update(choice->session, TB_SESSION_DOCUMENT, drop);
    return drop;
}

/* ---- back to rest ---- */

static void
show_rest(TbSession *session, guint parts, GtkWidget *button)
{
    if (parts & (TB_SESSION_CHOICE | TB_SESSION_SELECTION))
        gtk_widget_set_visible(button, tb_session_drawn_at(session) != NULL);
}

static void
rest(GtkButton *button, TbSession *session)
{
    (void)button;
    tb_session_draw_at_rest(session);
}

/* There only while cuts are drawn at the worst numbers of a finding. */
static GtkWidget *
rest_button(TbSession *session)
{
    GtkWidget *button = gtk_button_new_with_label(_("Draw at Rest"));

    gtk_widget_set_tooltip_text(
        button, _("Cuts are drawn where the chosen finding is worst: draw things at rest again"));
    g_signal_connect_object(button, "clicked", G_CALLBACK(rest), session, 0);
    g_signal_connect_object(session, "changed", G_CALLBACK(show_rest), button, 0);
    show_rest(session, TB_SESSION_CHOICE, button);
    return button;
}

GtkWidget *
tb_choice_new(TbSession *session)
{
    GtkWidget *box = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
    const Choice choices[] = {
        {.session = session,
         .list = TB_LIST_STATES,
         .most = STATE_LETTERS,
         .get = tb_session_state,
         .set = tb_session_set_state},
        {.session = session,
         .list = TB_LIST_VARIANTS,
         .most = VARIANT_LETTERS,
         .get = tb_session_variant,
         .set = tb_session_set_variant},
    };

    gtk_box_append(GTK_BOX(box), drop_down(&choices[0], _("State shown")));
    gtk_box_append(GTK_BOX(box), drop_down(&choices[1], _("Variant shown")));
    gtk_box_append(GTK_BOX(box), rest_button(session));
    return box;
}
