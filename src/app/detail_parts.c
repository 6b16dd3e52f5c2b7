/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * From the tables to widgets. An item's attributes stand under headings; parts that are few numbers
 * are rows of cells (knots, corners, gaps wanted), larger ones fold (sections, rings, ends) and get
 * their cells when they are first opened.
 */

#include "app/details_private.h"

#include "app/detail_words.h"
#include "app/in_view.h"

#include <glib/gi18n.h>
#include <string.h>

/** A part whose text is shown while it is folded. */
typedef struct Summary {
    GtkLabel *label;
    TbPartPlace place;
    bool single; /* of its kind: it says its name */
} Summary;

/** What a button or a fold does something to. */
typedef struct Target {
    TbDetails *details; /* lent: it holds the widget */
    TbPartPlace place;
    const TbElement *element;
} Target;

static Target *
target_new(TbDetails *details, const TbPartPlace *place, const TbElement *element)
{
    Target *target = g_new0(Target, 1);

    *target = (Target){details, *place, element};
    return target;
}

static void
free_target(void *target, GClosure *closure)
{
    (void)closure;
    g_free(target);
}

/* ---- adding and removing parts ---- */

/** The place's name for the undo step; before it is gone. */
static char *
place_name(TbDetails *details, const TbPartPlace *place)
{
    return tb_detail_place_name(tb_detail_record(details->session, details->id), place);
}

static void
add_part(TbDetails *details, const TbPartPlace *place)
{
    g_autofree char *where = place_name(details, place);
    /* Translators: an undo step: "add section 3 of Turbine outlet" */
    g_autofree char *what = g_strdup_printf(_("add %s"), where);
    TbBay *next = NULL;
    TbFault fault = {0};

    if (tb_value_add_part(tb_session_bay(details->session), details->id, place, &next, &fault) ==
        TB_OK)
        tb_session_edit(details->session, next, what, 0);
    else
        tb_session_say(details->session, fault.text);
}

static void
remove_part(TbDetails *details, const TbPartPlace *place)
{
    g_autofree char *where = place_name(details, place);
    /* Translators: an undo step: "remove section 3 of Turbine outlet" */
    g_autofree char *what = g_strdup_printf(_("remove %s"), where);
    TbBay *next = NULL;
    TbFault fault = {0};

    if (tb_edit_remove_part(tb_session_bay(details->session), details->id, place, &next, &fault) ==
        TB_OK)
        tb_session_edit(details->session, next, what, 0);
    else
        tb_session_say(details->session, fault.text);
}

static void
add_clicked(GtkButton *button, Target *target)
{
    (void)button;
    add_part(target->details, &target->place);
}

static void
insert_activated(GSimpleAction *action, GVariant *parameter, void *data)
{
    Target *target = data;
    TbPartPlace place = target->place;

    (void)action;
    place.steps[place.count - 1].index += (size_t)g_variant_get_int32(parameter);
    add_part(target->details, &place);
}

static void
remove_activated(GSimpleAction *action, GVariant *parameter, void *data)
{
    Target *target = data;

    (void)action;
    (void)parameter;
    remove_part(target->details, &target->place);
}

/* The menu of a part: before, after, away. */
static GtkWidget *
part_menu(TbDetails *details, const TbPartPlace *place, const TbElement *element)
{
    static const GActionEntry entries[] = {
        {.name = "insert", .activate = insert_activated, .parameter_type = "i"},
        {.name = "remove", .activate = remove_activated},
    };
    const TbPartStep *step = &place->steps[place->count - 1];
    g_autoptr(GSimpleActionGroup) group = g_simple_action_group_new();
    g_autoptr(GMenu) menu = g_menu_new();
    g_autofree char *name =
        /* Translators: the menu button of a numbered part: "Section 3: add or remove" */
        g_strdup_printf(_("%s %zu: add or remove"), tb_detail_one_label(step->tag),
                        step->index + 1);
    GtkWidget *button = gtk_menu_button_new();
    Target *target = target_new(details, place, element);

    g_action_map_add_action_entries(G_ACTION_MAP(group), entries, G_N_ELEMENTS(entries), target);
    g_object_set_data_full(G_OBJECT(button), "target", target, g_free);
    g_menu_append(menu, _("Add One Before"), "part.insert(0)");
    g_menu_append(menu, _("Add One After"), "part.insert(1)");
    g_menu_append(menu, _("Remove"), "part.remove");
    gtk_widget_insert_action_group(button, "part", G_ACTION_GROUP(group));
    gtk_menu_button_set_menu_model(GTK_MENU_BUTTON(button), G_MENU_MODEL(menu));
    gtk_menu_button_set_icon_name(GTK_MENU_BUTTON(button), "view-more-symbolic");
    gtk_menu_button_set_has_frame(GTK_MENU_BUTTON(button), FALSE);
    gtk_widget_set_valign(button, GTK_ALIGN_START);
    gtk_widget_add_css_class(button, "detail-menu");
    gtk_widget_set_tooltip_text(button, name);
    gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
    return button;
}

static GtkWidget *
add_button(TbDetails *details, const TbPartPlace *place, const TbElement *element)
{
    GtkWidget *button = gtk_button_new_from_icon_name("list-add-symbolic");
    /* Translators: a button: "Add: Section" */
    g_autofree char *name = g_strdup_printf(_("Add: %s"), tb_detail_one_label(element->name));

    gtk_button_set_has_frame(GTK_BUTTON(button), FALSE);
    gtk_widget_add_css_class(button, "detail-menu");
    gtk_widget_set_tooltip_text(button, name);
    gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
    g_signal_connect_data(button, "clicked", G_CALLBACK(add_clicked),
                          target_new(details, place, element), free_target, 0);
    return button;
}

/* ---- rows of numbered parts ---- */

static void
row_entered(GtkEventControllerFocus *focus, Target *target)
{
    (void)focus;
    tb_details__pick(target->details, &target->place);
}

/** A row is found by its part, and selects the part's handle when it gets the keyboard. */
static void
register_row(TbDetails *details, GtkWidget *row, const TbPartPlace *place, const TbElement *element)
{
    GtkEventController *focus = gtk_event_controller_focus_new();

    g_hash_table_insert(details->rows, tb_details__key(place), row);
    gtk_widget_add_css_class(row, "detail-row");
    g_signal_connect_data(focus, "enter", G_CALLBACK(row_entered),
                          target_new(details, place, element), free_target, 0);
    gtk_widget_add_controller(row, focus);
}

/* ---- attributes ---- */

static bool
is_shown(const TbElement *element, const TbField *field)
{
    return field->kind != TB_FIELD_ID &&
           !(element == &tb_element_bay && strcmp(field->name, "version") == 0);
}

static void
add_field(TbDetails *details,
          GtkBox *box,
          const TbPartPlace *place,
          const TbElement *element,
          const TbField *field,
          bool compact)
{
    const TbDetailWhat what = {
        .session = details->session,
        .id = details->id,
        .place = *place,
        .element = element,
        .field = field,
        .compact = compact,
    };
    GtkWidget *widget = tb_detail_field_new(&what);

    g_ptr_array_add(details->fields, widget);
    gtk_widget_set_hexpand(widget, TRUE);
    gtk_box_append(box, widget);
}

static void
add_fields(TbDetails *details, GtkBox *box, const TbPartPlace *place, const TbElement *element)
{
    const TbField *field;

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++)
        if (is_shown(element, field))
            add_field(details, box, place, element, field, false);
}

/* ---- parts that are rows of cells ---- */

static bool
is_row(const char *tag)
{
    return strcmp(tag, "knot") == 0 || strcmp(tag, "corner") == 0 || strcmp(tag, "wanted") == 0 ||
           strcmp(tag, "mean") == 0;
}

/* A bend radius is for corners of bent paths. */
static bool
in_row(const TbDetails *details, const TbField *field)
{
    const TbRecord *record = tb_detail_record(details->session, details->id);

    return strcmp(field->name, "radius") != 0 || record->element->item_kind < 0 ||
           !tb_item_has_path((const TbItem *)record) ||
           tb_item_path((const TbItem *)record)->kind == TB_PATH_BENT;
}

static void
add_row(TbDetails *details, GtkBox *box, const TbPartPlace *place, const TbElement *element)
{
    GtkWidget *row = tb_in_view_box_new(3);
    g_autofree char *number = g_strdup_printf("%zu", place->steps[place->count - 1].index + 1);
    GtkWidget *label = gtk_label_new(number);
    const TbField *field;

    gtk_label_set_width_chars(GTK_LABEL(label), 2);
    gtk_label_set_xalign(GTK_LABEL(label), 1);
    gtk_widget_set_valign(label, GTK_ALIGN_START);
    gtk_widget_add_css_class(label, "quiet");
    gtk_widget_add_css_class(label, "numeric");
    gtk_widget_add_css_class(label, "detail-number");
    gtk_box_append(GTK_BOX(row), label);
    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++)
        if (in_row(details, field))
            add_field(details, GTK_BOX(row), place, element, field, true);
    gtk_box_append(GTK_BOX(row), part_menu(details, place, element));
    register_row(details, row, place, element);
    gtk_box_append(box, row);
}

/* ---- parts that fold ---- */

static void add_nests(TbDetails *details,
                      GtkBox *box,
                      const TbPartPlace *place,
                      const TbElement *element,
                      const void *owner);

static void
fill_fold(GtkExpander *fold, Target *target)
{
    TbDetails *details = target->details;
    const TbRecord *record = tb_detail_record(details->session, details->id);
    const void *part = record != NULL ? tb_record_part(record, &target->place, NULL) : NULL;
    GtkWidget *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 3);

    if (part == NULL || gtk_expander_get_child(fold) != NULL)
        return;
    gtk_widget_add_css_class(box, "detail-fold");
    add_fields(details, GTK_BOX(box), &target->place, target->element);
    add_nests(details, GTK_BOX(box), &target->place, target->element, part);
    gtk_expander_set_child(fold, box);
}

static void
folded(GtkExpander *fold, GParamSpec *spec, Target *target)
{
    g_autofree char *key = tb_details__key(&target->place);

    (void)spec;
    if (gtk_expander_get_expanded(fold)) {
        g_hash_table_add(target->details->open, g_strdup(key));
        fill_fold(fold, target);
        tb_details__update_summaries(target->details);
    } else {
        g_hash_table_remove(target->details->open, key);
    }
}

static void
add_fold(TbDetails *details,
         GtkBox *box,
         const TbPartPlace *place,
         const TbElement *element,
         bool single)
{
    const TbPartStep *step = &place->steps[place->count - 1];
    GtkWidget *row = tb_in_view_box_new(3);
    GtkWidget *fold = gtk_expander_new(NULL);
    GtkWidget *label = gtk_label_new("");
    g_autofree char *key = tb_details__key(place);
    g_autofree char *name =
        single ? g_strdup(tb_detail_one_label(step->tag))
               : g_strdup_printf("%s %zu", tb_detail_one_label(step->tag), step->index + 1);
    Summary *summary = g_new0(Summary, 1);

    *summary = (Summary){GTK_LABEL(label), *place, single};
    g_ptr_array_add(details->summaries, summary);
    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_END);
    gtk_label_set_width_chars(GTK_LABEL(label), 10);
    gtk_widget_add_css_class(label, "numeric");
    gtk_expander_set_label_widget(GTK_EXPANDER(fold), label);
    gtk_accessible_update_property(GTK_ACCESSIBLE(fold), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
    gtk_widget_set_hexpand(fold, TRUE);
    g_signal_connect_data(fold, "notify::expanded", G_CALLBACK(folded),
                          target_new(details, place, element), free_target, 0);
    gtk_box_append(GTK_BOX(row), fold);
    gtk_box_append(GTK_BOX(row), part_menu(details, place, element));
    register_row(details, row, place, element);
    gtk_box_append(box, row);
    if (g_hash_table_contains(details->open, key))
        gtk_expander_set_expanded(GTK_EXPANDER(fold), TRUE);
}

/* ---- all parts of an element ---- */

static GtkWidget *
heading_row(const char *text, GtkWidget *button)
{
    GtkWidget *row = tb_in_view_box_new(3);
    GtkWidget *label = gtk_label_new(text);

    gtk_label_set_xalign(GTK_LABEL(label), 0);
    gtk_label_set_wrap(GTK_LABEL(label), TRUE);
    gtk_widget_set_hexpand(label, TRUE);
    gtk_widget_add_css_class(label, "quiet");
    gtk_box_append(GTK_BOX(row), label);
    if (button != NULL)
        gtk_box_append(GTK_BOX(row), button);
    return row;
}

static void
add_single(TbDetails *details,
           GtkBox *box,
           const TbPartPlace *place,
           const TbElement *element,
           const void *part)
{
    if (part == NULL) {
        gtk_box_append(box, heading_row(tb_detail_part_label(element->name),
                                        add_button(details, place, element)));
    } else if (tb_detail_is_flat(element->name)) {
        add_fields(details, box, place, element);
        add_nests(details, box, place, element, part);
    } else {
        add_fold(details, box, place, element, true);
    }
}

/* "Knots: X, Y, Z (mm)": rows of cells have no labels of their own. */
static char *
many_heading(TbDetails *details, const TbElement *element)
{
    const TbField *first = tb_element_field(element, 0);
    bool inch = tb_value_unit(tb_session_bay(details->session)) == TB_UNIT_INCH;

    if (!is_row(element->name) || first->kind != TB_FIELD_VEC3)
        return g_strdup(tb_detail_part_label(element->name));
    return g_strdup_printf(_("%s: X, Y, Z (%s)"), tb_detail_part_label(element->name),
                           tb_detail_unit(first, inch));
}

static void
add_many(TbDetails *details,
         GtkBox *box,
         const TbPartPlace *owner,
         const TbElement *element,
         size_t count)
{
    TbPartPlace end = tb_part_place_in(owner, element->name, count);
    g_autofree char *heading = many_heading(details, element);

    gtk_box_append(box, heading_row(heading, add_button(details, &end, element)));
    for (size_t i = 0; i < count; i++) {
        TbPartPlace place = tb_part_place_in(owner, element->name, i);

        if (is_row(element->name))
            add_row(details, box, &place, element);
        else
            add_fold(details, box, &place, element, false);
    }
}

static void
add_nest(TbDetails *details,
         GtkBox *box,
         const TbPartPlace *place,
         const TbNest *nest,
         const void *owner)
{
    size_t count;
    const void *array = tb_nest_array(nest, owner, &count);

    if (nest->count_offset == TB_ONE) {
        TbPartPlace inner = tb_part_place_in(place, nest->element->name, 0);

        add_single(details, box, &inner, nest->element, count > 0 ? array : NULL);
    } else {
        add_many(details, box, place, nest->element, count);
    }
}

static void
add_nests(TbDetails *details,
          GtkBox *box,
          const TbPartPlace *place,
          const TbElement *element,
          const void *owner)
{
    for (size_t c = 0; c < element->child_count; c++)
        add_nest(details, box, place, &element->children[c], owner);
}

/* ---- the whole record ---- */

static GtkBox *
add_group(TbDetails *details, const char *heading)
{
    GtkWidget *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 3);
    GtkWidget *label;

    if (heading != NULL) {
        label = gtk_label_new(heading);
        gtk_label_set_xalign(GTK_LABEL(label), 0);
        gtk_widget_add_css_class(label, "heading");
        gtk_box_append(GTK_BOX(box), label);
    }
    gtk_widget_add_css_class(box, "detail-group");
    gtk_box_append(details->content, box);
    return GTK_BOX(box);
}

/* What is in a group: an item has all of them, any other record its values and its last change. */
static bool
is_in(const TbRecord *record, TbDetailGroup group, TbDetailGroup wanted)
{
    if (record->element->list == TB_LIST_ITEMS)
        return group == wanted;
    return (group == TB_DETAIL_HISTORY) == (wanted == TB_DETAIL_HISTORY);
}

/** The attributes and parts of one heading; no heading where there are none. */
static void
build_group(TbDetails *details, const TbRecord *record, TbDetailGroup group, const char *heading)
{
    static const TbPartPlace itself = {.count = 0};
    const TbElement *element = record->element;
    const TbField *field;
    GtkBox *box = NULL;

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++)
        if (is_shown(element, field) && is_in(record, tb_detail_group(element, field), group)) {
            box = box == NULL ? add_group(details, heading) : box;
            add_field(details, box, &itself, element, field, false);
        }
    for (size_t c = 0; c < element->child_count; c++)
        if (is_in(record, tb_detail_part_group(element->children[c].element->name), group)) {
            box = box == NULL ? add_group(details, heading) : box;
            add_nest(details, box, &itself, &element->children[c], record);
        }
}

void
tb_details__build(TbDetails *details, const TbRecord *record)
{
    if (record->element->list != TB_LIST_ITEMS) {
        build_group(details, record, TB_DETAIL_WHAT, NULL);
        build_group(details, record, TB_DETAIL_HISTORY, tb_detail_group_label(TB_DETAIL_HISTORY));
    } else {
        for (int group = 0; group < TB_DETAIL_GROUP_COUNT; group++)
            build_group(details, record, (TbDetailGroup)group,
                        tb_detail_group_label((TbDetailGroup)group));
    }
    tb_details__update_summaries(details);
}

void
tb_details__update_summaries(TbDetails *details)
{
    const TbRecord *record = tb_detail_record(details->session, details->id);
    TbLengthUnit unit = tb_value_unit(tb_session_bay(details->session));

    for (guint i = 0; record != NULL && i < details->summaries->len; i++) {
        const Summary *summary = details->summaries->pdata[i];
        const TbPartStep *step = &summary->place.steps[summary->place.count - 1];
        const TbElement *element = NULL;
        const void *part = tb_record_part(record, &summary->place, &element);
        g_autofree char *glance = part != NULL ? tb_value_summary(element, part, unit) : NULL;
        g_autofree char *text = NULL;

        if (part == NULL)
            continue;
        /* "Start  turbine-out" */
        if (summary->single || glance[0] == '\0')
            text = g_strdup_printf("%s  %s", tb_detail_one_label(step->tag), glance);
        if (g_strcmp0(gtk_label_get_text(summary->label), text != NULL ? text : glance) != 0)
            gtk_label_set_text(summary->label, text != NULL ? text : glance);
    }
}
