/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/detail_field.h"

#include "app/detail_cell.h"
#include "app/detail_choices.h"
#include "app/detail_words.h"
#include "app/in_view.h"

#include <glib/gi18n.h>
#include <string.h>

enum { CELLS = 3 };

struct _TbDetailField {
    GtkBox parent;

    TbDetailWhat what;
    char *id;
    GtkWidget *cells[CELLS]; /* entry, combo box, drop-down, switch or text view */
    size_t cell_count;
    char *shown[CELLS]; /* what the document says in each */
    char **values;      /* of a drop-down: texts of the file; "" for none */
    guint choices;      /* hash of what they were made from */
    GtkLabel *complaint;
    GtkLabel *unit;
    bool filling;
    int group; /* of the undo step that steps by keys are one of; 0: none yet */
};

G_DEFINE_FINAL_TYPE(TbDetailField, tb_detail_field, GTK_TYPE_BOX)

/* ---- what the document says ---- */

static const void *
part_of(TbDetailField *self)
{
    const TbRecord *record = tb_detail_record(self->what.session, self->id);

    return record != NULL ? tb_record_part(record, &self->what.place, NULL) : NULL;
}

static TbLengthUnit
unit_of(TbDetailField *self)
{
    return tb_value_unit(tb_session_bay(self->what.session));
}

/* ---- complaints ---- */

static void
complain(TbDetailField *self, size_t cell, const char *text)
{
    GtkWidget *widget = tb_detail_cell_inner(self->cells[cell]);

    if (text != NULL)
        gtk_widget_add_css_class(widget, "error");
    else
        gtk_widget_remove_css_class(widget, "error");
    gtk_accessible_update_state(
        GTK_ACCESSIBLE(widget), GTK_ACCESSIBLE_STATE_INVALID,
        text != NULL ? GTK_ACCESSIBLE_INVALID_TRUE : GTK_ACCESSIBLE_INVALID_FALSE, -1);
    gtk_label_set_text(self->complaint, text != NULL ? text : "");
    gtk_widget_set_visible(GTK_WIDGET(self->complaint), text != NULL);
}

/* ---- into the document ---- */

static void
apply(TbDetailField *self, size_t cell, const char *value)
{
    TbSession *session = self->what.session;
    const TbRecord *record = tb_detail_record(session, self->id);
    g_autofree char *label = tb_detail_label_within(self->what.element, self->what.field);
    g_autofree char *where = tb_detail_place_name(record, &self->what.place);
    /* Translators: an undo step: "set wall of Turbine outlet" */
    g_autofree char *what = g_strdup_printf(_("set %s of %s"), label, where);
    TbBay *next = NULL;
    TbFault fault = {0};

    if (tb_value_set(tb_session_bay(session), self->id, &self->what.place, self->what.field->name,
                     value, &next, &fault) != TB_OK) {
        complain(self, cell, tb_value_complaint(&fault));
        return;
    }
    complain(self, cell, NULL);
    tb_session_edit(session, next, what, self->group);
}

/* True where the document has the value already: only its looks differ ("12.0", "1.2 cm"). */
static bool
is_same(TbDetailField *self, const void *part, const char *value)
{
    g_autoptr(GString) now = g_string_new(NULL);

    if (value == NULL || tb_field_is_preset(self->what.field, part))
        return value == NULL && tb_field_is_preset(self->what.field, part);
    tb_field_write(self->what.field, part, now);
    return strcmp(now->str, value) == 0;
}

static void
commit(TbDetailField *self, size_t cell)
{
    g_autofree char *typed = tb_detail_cell_text(self->cells[cell]);
    g_autofree char *value = NULL;
    const void *part = part_of(self);
    TbFault fault = {0};

    if (typed == NULL || part == NULL || self->filling)
        return;
    if (g_strcmp0(typed, self->shown[cell]) == 0) {
        complain(self, cell, NULL);
        return;
    }
    if (tb_value_typed(self->what.field, part, cell, typed, unit_of(self), &value, &fault) !=
        TB_OK) {
        complain(self, cell, fault.text);
        return;
    }
    g_object_ref(self);
    if (is_same(self, part, value)) {
        complain(self, cell, NULL);
        tb_detail_cell_set_text(self->cells[cell], self->shown[cell]);
    } else {
        apply(self, cell, value);
        tb_detail_field_update(self);
    }
    g_object_unref(self);
}

void
tb_detail_field_settle(TbDetailField *self)
{
    for (size_t i = 0; i < self->cell_count; i++) {
        g_autofree char *said = NULL;

        commit(self, i);
        if (!gtk_widget_get_visible(GTK_WIDGET(self->complaint)))
            continue;
        /* Translators: the name of a value that was typed wrongly, and why */
        said = g_strdup_printf(_("%s is as it was: %s"),
                               tb_detail_label(self->what.element, self->what.field),
                               gtk_label_get_text(self->complaint));
        tb_session_say(self->what.session, said);
    }
}

/* ---- events ---- */

static size_t
cell_of(TbDetailField *self, GtkWidget *widget)
{
    for (size_t i = 0; i < self->cell_count; i++)
        if (self->cells[i] == widget || gtk_widget_is_ancestor(widget, self->cells[i]))
            return i;
    return 0;
}

static void
activated(GtkEntry *entry, TbDetailField *self)
{
    self->group = 0;
    commit(self, cell_of(self, GTK_WIDGET(entry)));
}

static void
left(GtkEventControllerFocus *focus, TbDetailField *self)
{
    GtkWidget *widget = gtk_event_controller_get_widget(GTK_EVENT_CONTROLLER(focus));

    if (gtk_widget_get_root(widget) != NULL)
        commit(self, cell_of(self, widget));
    self->group = 0;
}

/* Up and down step a number, Page Up and Page Down by tens; all in a row are one undo step. */
static bool
step(TbDetailField *self, size_t cell, guint key)
{
    double steps = key == GDK_KEY_Up          ? 1
                   : key == GDK_KEY_Down      ? -1
                   : key == GDK_KEY_Page_Up   ? 10
                   : key == GDK_KEY_Page_Down ? -10
                                              : 0;
    g_autofree char *typed = tb_detail_cell_text(self->cells[cell]);
    g_autofree char *text = NULL;

    if (steps == 0 || !GTK_IS_ENTRY(self->cells[cell]))
        return false;
    text = tb_value_step(self->what.field, typed, unit_of(self), steps);
    if (text == NULL)
        return false;
    if (self->group == 0)
        self->group = tb_session_group(self->what.session);
    tb_detail_cell_set_text(self->cells[cell], text);
    gtk_editable_set_position(GTK_EDITABLE(self->cells[cell]), -1);
    commit(self, cell);
    return true;
}

/* Escape takes back what was typed. */
static bool
take_back(TbDetailField *self, size_t cell)
{
    g_autofree char *typed = tb_detail_cell_text(self->cells[cell]);

    if (g_strcmp0(typed, self->shown[cell]) == 0)
        return false;
    tb_detail_cell_set_text(self->cells[cell], self->shown[cell] != NULL ? self->shown[cell] : "");
    complain(self, cell, NULL);
    return true;
}

static gboolean
key_pressed(
    GtkEventControllerKey *key, guint value, guint code, GdkModifierType state, TbDetailField *self)
{
    size_t cell = cell_of(self, gtk_event_controller_get_widget(GTK_EVENT_CONTROLLER(key)));

    (void)code;
    if ((state & (GDK_CONTROL_MASK | GDK_ALT_MASK | GDK_SHIFT_MASK)) != 0)
        return GDK_EVENT_PROPAGATE;
    if (value == GDK_KEY_Escape && take_back(self, cell))
        return GDK_EVENT_STOP;
    return step(self, cell, value) ? GDK_EVENT_STOP : GDK_EVENT_PROPAGATE;
}

static void
listen(TbDetailField *self, GtkWidget *widget)
{
    GtkEventController *focus = gtk_event_controller_focus_new();
    GtkEventController *key = gtk_event_controller_key_new();

    g_signal_connect(focus, "leave", G_CALLBACK(left), self);
    gtk_widget_add_controller(widget, focus);
    gtk_event_controller_set_propagation_phase(key, GTK_PHASE_CAPTURE);
    g_signal_connect(key, "key-pressed", G_CALLBACK(key_pressed), self);
    gtk_widget_add_controller(widget, key);
    if (GTK_IS_ENTRY(widget))
        g_signal_connect(widget, "activate", G_CALLBACK(activated), self);
}

static void
chosen(GtkDropDown *drop, GParamSpec *spec, TbDetailField *self)
{
    guint index = gtk_drop_down_get_selected(drop);

    (void)spec;
    if (self->filling || index == GTK_INVALID_LIST_POSITION ||
        index >= g_strv_length(self->values) || g_strcmp0(self->values[index], self->shown[0]) == 0)
        return;
    g_object_ref(self);
    apply(self, 0, self->values[index][0] != '\0' ? self->values[index] : NULL);
    tb_detail_field_update(self);
    g_object_unref(self);
}

static void
picked(GtkComboBox *combo, TbDetailField *self)
{
    /* a line of the list; what is typed is confirmed by Enter or by leaving */
    if (!self->filling && gtk_combo_box_get_active(combo) >= 0)
        commit(self, 0);
}

static void
switched(GtkSwitch *button, GParamSpec *spec, TbDetailField *self)
{
    const char *value = gtk_switch_get_active(button) ? "yes" : "no";

    (void)spec;
    if (self->filling || g_strcmp0(value, self->shown[0]) == 0)
        return;
    g_object_ref(self);
    apply(self, 0, value);
    tb_detail_field_update(self);
    g_object_unref(self);
}

static void
connect_cell(TbDetailField *self, GtkWidget *cell)
{
    if (GTK_IS_DROP_DOWN(cell))
        g_signal_connect(cell, "notify::selected", G_CALLBACK(chosen), self);
    else if (GTK_IS_SWITCH(cell))
        g_signal_connect(cell, "notify::active", G_CALLBACK(switched), self);
    else
        listen(self, tb_detail_cell_inner(cell));
    if (GTK_IS_COMBO_BOX(cell))
        g_signal_connect(cell, "changed", G_CALLBACK(picked), self);
}

/* ---- showing ---- */

static void
fill_choices(TbDetailField *self)
{
    guint hash = tb_detail_choices_hash(tb_session_bay(self->what.session), self->what.field);
    TbDetailChoices choices;
    g_autoptr(GtkStringList) names = NULL;

    if (self->values != NULL && hash == self->choices)
        return;
    self->choices = hash;
    tb_detail_choices(tb_session_bay(self->what.session), self->what.field, &choices);
    if (GTK_IS_DROP_DOWN(self->cells[0])) {
        names = gtk_string_list_new((const char *const *)choices.labels);
        gtk_drop_down_set_model(GTK_DROP_DOWN(self->cells[0]), G_LIST_MODEL(names));
    } else {
        gtk_combo_box_text_remove_all(GTK_COMBO_BOX_TEXT(self->cells[0]));
        for (size_t i = 0; choices.values[i] != NULL; i++)
            gtk_combo_box_text_append_text(GTK_COMBO_BOX_TEXT(self->cells[0]), choices.values[i]);
    }
    g_strfreev(self->values);
    self->values = g_steal_pointer(&choices.values);
    tb_detail_choices_clear(&choices);
}

static void
show_choice(TbDetailField *self)
{
    guint selected = GTK_INVALID_LIST_POSITION;

    for (guint i = 0; self->values[i] != NULL; i++)
        if (strcmp(self->values[i], self->shown[0]) == 0)
            selected = i;
    gtk_drop_down_set_selected(GTK_DROP_DOWN(self->cells[0]), selected);
}

static void
show_cell(TbDetailField *self, size_t cell, const void *part)
{
    g_autofree char *text = tb_value_text(self->what.field, part, cell, unit_of(self));
    g_autofree char *typed = tb_detail_cell_text(self->cells[cell]);
    bool untouched = self->shown[cell] == NULL || g_strcmp0(typed, self->shown[cell]) == 0;

    if (g_strcmp0(text, self->shown[cell]) == 0 && typed != NULL)
        return; /* nothing new: what is being typed stays */
    g_free(self->shown[cell]);
    self->shown[cell] = g_steal_pointer(&text);
    if (GTK_IS_DROP_DOWN(self->cells[cell]))
        show_choice(self);
    else if (GTK_IS_SWITCH(self->cells[cell]))
        gtk_switch_set_active(GTK_SWITCH(self->cells[cell]), strcmp(self->shown[cell], "yes") == 0);
    else if (untouched ||
             !gtk_widget_has_css_class(tb_detail_cell_inner(self->cells[cell]), "error")) {
        tb_detail_cell_set_text(self->cells[cell], self->shown[cell]);
        complain(self, cell, NULL);
    }
}

void
tb_detail_field_update(TbDetailField *self)
{
    const void *part = part_of(self);

    if (part == NULL)
        return;
    self->filling = true;
    if (GTK_IS_DROP_DOWN(self->cells[0]) || GTK_IS_COMBO_BOX_TEXT(self->cells[0]))
        fill_choices(self);
    for (size_t i = 0; i < self->cell_count; i++)
        show_cell(self, i, part);
    if (self->unit != NULL)
        gtk_label_set_text(self->unit,
                           tb_detail_unit(self->what.field, unit_of(self) == TB_UNIT_INCH));
    self->filling = false;
}

/* ---- building ---- */

/* "Section 3, height"; of a point "Place, X". */
static void
name_cell(TbDetailField *self, size_t cell)
{
    static const char *const axes[] = {"X", "Y", "Z"};
    const TbDetailWhat *what = &self->what;
    const TbPartStep *step =
        what->place.count > 0 ? &what->place.steps[what->place.count - 1] : NULL;
    GtkWidget *widget = tb_detail_cell_inner(self->cells[cell]);
    GString *name = g_string_new(NULL);

    if (step != NULL && !tb_detail_is_flat(step->tag))
        g_string_append_printf(name, "%s %zu, ", tb_detail_one_label(step->tag), step->index + 1);
    g_string_append(name, tb_detail_label(what->element, what->field));
    if (self->cell_count == 3)
        g_string_append_printf(name, ", %s", axes[cell]);
    else if (what->field->kind == TB_FIELD_SPREAD)
        g_string_append_printf(name, ", %s", cell == 0 ? _("lowest") : _("highest"));
    else if (self->cell_count == 2)
        g_string_append_printf(name, ", %zu", cell + 1);
    gtk_accessible_update_property(GTK_ACCESSIBLE(widget), GTK_ACCESSIBLE_PROPERTY_LABEL, name->str,
                                   -1);
    if (widget != self->cells[cell])
        gtk_accessible_update_property(GTK_ACCESSIBLE(self->cells[cell]),
                                       GTK_ACCESSIBLE_PROPERTY_LABEL, name->str, -1);
    gtk_widget_set_tooltip_text(widget, name->str);
    g_string_free(name, TRUE);
}

/* All labels are of one width, so that cells stand under each other. */
enum { LABEL_CHARS = 12 };

static GtkWidget *
new_label(TbDetailField *self, bool alone)
{
    GtkWidget *label = gtk_label_new(tb_detail_label(self->what.element, self->what.field));

    gtk_label_set_xalign(GTK_LABEL(label), 0);
    if (!alone) {
        gtk_label_set_wrap(GTK_LABEL(label), TRUE);
        gtk_label_set_wrap_mode(GTK_LABEL(label), PANGO_WRAP_WORD_CHAR);
        gtk_label_set_natural_wrap_mode(GTK_LABEL(label), GTK_NATURAL_WRAP_WORD);
        gtk_label_set_width_chars(GTK_LABEL(label), LABEL_CHARS);
        gtk_label_set_max_width_chars(GTK_LABEL(label), LABEL_CHARS);
    } else {
        gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_END);
    }
    gtk_widget_add_css_class(label, "quiet");
    return label;
}

/* Cells side by side, with their unit behind. */
static GtkWidget *
new_cells(TbDetailField *self)
{
    GtkWidget *box = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 3);

    for (size_t i = 0; i < self->cell_count; i++) {
        self->cells[i] = tb_detail_cell_new(self->what.field);
        connect_cell(self, self->cells[i]);
        gtk_widget_set_hexpand(self->cells[i], TRUE);
        gtk_widget_add_css_class(self->cells[i], "detail-cell");
        name_cell(self, i);
        gtk_box_append(GTK_BOX(box), self->cells[i]);
    }
    if (self->what.field->unit[0] != '\0' && !self->what.compact) {
        self->unit = GTK_LABEL(gtk_label_new(""));
        gtk_label_set_xalign(self->unit, 0);
        gtk_label_set_width_chars(self->unit, 3); /* "kPa": cells end under each other */
        gtk_widget_add_css_class(GTK_WIDGET(self->unit), "quiet");
        gtk_box_append(GTK_BOX(box), GTK_WIDGET(self->unit));
    }
    gtk_widget_set_hexpand(box, TRUE);
    return box;
}

static void
build(TbDetailField *self)
{
    bool wide = self->cell_count == 3 || self->what.field->kind == TB_FIELD_BODY;
    GtkWidget *cells = new_cells(self);
    GtkWidget *row = cells;

    if (!self->what.compact && wide) {
        gtk_box_append(GTK_BOX(self), new_label(self, true));
    } else if (!self->what.compact) {
        row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
        gtk_box_append(GTK_BOX(row), new_label(self, false));
        gtk_box_append(GTK_BOX(row), cells);
    }
    gtk_box_append(GTK_BOX(self), row);
    self->complaint = GTK_LABEL(gtk_label_new(""));
    gtk_label_set_xalign(self->complaint, 0);
    gtk_label_set_wrap(self->complaint, TRUE);
    gtk_label_set_width_chars(self->complaint, 10);
    gtk_label_set_max_width_chars(self->complaint, 10);
    gtk_widget_add_css_class(GTK_WIDGET(self->complaint), "complaint");
    gtk_widget_set_visible(GTK_WIDGET(self->complaint), FALSE);
    gtk_box_append(GTK_BOX(self), GTK_WIDGET(self->complaint));
}

GtkWidget *
tb_detail_field_new(const TbDetailWhat *what)
{
    TbDetailField *self =
        g_object_new(TB_TYPE_DETAIL_FIELD, "orientation", GTK_ORIENTATION_VERTICAL, NULL);

    self->what = *what;
    self->id = g_strdup(what->id);
    self->what.id = self->id;
    self->cell_count = tb_value_cells(what->field);
    build(self);
    tb_detail_field_update(self);
    return GTK_WIDGET(self);
}

static void
finalize(GObject *object)
{
    TbDetailField *self = TB_DETAIL_FIELD(object);

    for (size_t i = 0; i < CELLS; i++)
        g_free(self->shown[i]);
    g_strfreev(self->values);
    g_free(self->id);
    G_OBJECT_CLASS(tb_detail_field_parent_class)->finalize(object);
}

static void
snapshot(GtkWidget *widget, GtkSnapshot *snapshot)
{
    if (tb_in_view_draws(widget))
        GTK_WIDGET_CLASS(tb_detail_field_parent_class)->snapshot(widget, snapshot);
}

static void
tb_detail_field_class_init(TbDetailFieldClass *klass)
{
    G_OBJECT_CLASS(klass)->finalize = finalize;
    GTK_WIDGET_CLASS(klass)->snapshot = snapshot;
}

static void
tb_detail_field_init(TbDetailField *self)
{
    (void)self;
}
