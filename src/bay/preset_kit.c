/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/preset.h"

#include "bay/data.h"
#include "bay/extra.h"
#include "bay/read.h"

#include <string.h>

/* All of it is common practice, no source: see preset.h; the keeps are in data/keeps.xml. */

const char *const tb_usual_classes[] = {
    "hot",  "structure", "panel",   "cover",  "brake",      "fuel", "harness",
    "hose", "oil",       "coolant", "moving", "electrical", NULL,
};

static void
append_mounts(GString *text, TbKitLayout layout)
{
    /* behind the front axle of a usual car, on the engine's middle height */
    const char *axis = layout == TB_KIT_TRANSVERSE ? "0 1 0" : "1 0 0";

    g_string_append_printf(
        text,
        "  <mounts>\n    <mount id=\"body\" name=\"Body\"/>\n"
        "    <mount id=\"engine\" name=\"Engine\" parent=\"body\" axis-point=\"1000 0 500\" "
        "axis-direction=\"%s\" rx=\"-3 3\" datum=\"1000 0 500\" scatter-shift=\"3 3 3\" "
        "sag=\"0 0 -4\" lift=\"0 0 60\"/>\n  </mounts>\n",
        axis);
}

static const char states[] =
    "  <states>\n"
    "    <state id=\"cold\" name=\"cold\" kind=\"cold\"/>\n"
    "    <state id=\"hot\" name=\"hot, full power\" kind=\"hot\" gas=\"full-power\" "
    "ambient=\"40\">\n"
    "      <warm class=\"hot\" mount=\"engine\" growth=\"620\" skin=\"650\"/>\n"
    "      <warm class=\"structure\" mount=\"engine\" growth=\"100\" skin=\"100\"/>\n"
    "      <warm class=\"oil\" mount=\"engine\" growth=\"110\" skin=\"110\"/>\n"
    "      <warm class=\"coolant\" mount=\"engine\" growth=\"95\" skin=\"95\"/>\n"
    "      <warm class=\"cover\" mount=\"engine\" growth=\"90\" skin=\"90\"/>\n"
    "    </state>\n"
    "    <state id=\"rocking\" name=\"rocking\" kind=\"rocking\"/>\n"
    "    <state id=\"tolerance\" name=\"at tolerance\" kind=\"tolerance\"/>\n"
    "    <state id=\"hot-rocking\" name=\"hot and rocking\" kind=\"combined\" "
    "parts=\"hot+rocking\"/>\n"
    "    <state id=\"hot-rocking-tolerance\" name=\"hot, rocking, at tolerance\" "
    "kind=\"combined\" parts=\"hot+rocking+tolerance\"/>\n"
    "  </states>\n"
    "  <variants>\n    <variant id=\"standard\" name=\"standard\"/>\n  </variants>\n";

static const char head[] =
    "  <zero>The zero planes belong to the body: say here where X 0, Y 0 and Z 0 are, and set the "
    "height of the ground.</zero>\n"
    "  <fuel name=\"gasoline\" stoichiometric=\"14.5\" hydrogen=\"1.85\"/>\n"
    "  <gas>\n"
    "    <point id=\"full-power\" name=\"full power\" speed=\"5500\" flow=\"120\" "
    "temperature=\"800\" pressure=\"112\" lambda=\"0.9\"/>\n"
    "  </gas>\n";

static int
lines_in(const char *text, size_t length)
{
    int lines = 0;

    for (size_t i = 0; i < length; i++)
        lines += text[i] == '\n';
    return lines;
}

/** The list of a table of keeps, as it stands in a bay. */
static TbStatus
find_keeps(const char *table, size_t size, const char **from, size_t *length, TbFault *fault)
{
    static const char begin[] = "<keeps>", end[] = "</keeps>";
    const char *to;

    *from = g_strstr_len(table, (gssize)size, begin);
    to = *from == NULL ? NULL : g_strrstr_len(table, (gssize)size, end);
    if (to == NULL || to < *from)
        return tb_fail(fault, TB_E_FORMAT, "the table of keeps has no list <keeps>");
    *length = (size_t)(to - *from) + strlen(end);
    return TB_OK;
}

TbStatus
tb_bay_new_kit_with(const char *table,
                    size_t size,
                    const char *title,
                    TbKitLayout layout,
                    TbBay **bay,
                    TbFault *fault)
{
    GString *text;
    const char *keeps;
    size_t length = 0;
    int before;
    TbFault why = {0};
    TbStatus status = find_keeps(table, size, &keeps, &length, fault);

    if (status != TB_OK)
        return status;
    text = g_string_new("<bay version=\"1\" title=\"");
    tb_extra_escape(text, title, true);
    g_string_append(text, "\">\n");
    g_string_append(text, head);
    append_mounts(text, layout);
    before = lines_in(text->str, text->len);
    g_string_append_len(text, keeps, (gssize)length);
    g_string_append_c(text, '\n');
    g_string_append(text, states);
    g_string_append(text, "</bay>\n");
    status = tb_bay_read_bytes(text->str, text->len, bay, &why);
    if (status != TB_OK && fault != NULL) {
        *fault = why;
        if (why.line > before) /* where it stands in the table */
            fault->line = why.line - before + lines_in(table, (size_t)(keeps - table));
    }
    g_string_free(text, TRUE);
    return status;
}

TbStatus
tb_bay_new_kit(const char *title, TbKitLayout layout, TbBay **bay, TbFault *fault)
{
    return tb_bay_new_kit_with(tb_data_keeps_xml, tb_data_keeps_xml_size, title, layout, bay,
                               fault);
}
