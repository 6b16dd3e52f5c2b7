/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/preset.h"

#include "bay/extra.h"
#include "bay/read.h"

#include <string.h>

/* All of it is common practice, no source: see preset.h. */

/** A keep between two classes; gaps in mm. The hot one also holds while the engine rocks. */
typedef struct Pair {
    const char *id, *a, *b, *more;
    double margin, cold, hot;
    const char *reason;
} Pair;

static const Pair pairs[] = {
    {"k-structure", "hot", "structure", " same-mount=\"no\"", 1, 12, 8, "no contact in any state"},
    {"k-own-structure", "hot", "structure", " same-mount=\"yes\"", 1, 8, 6,
     "heat and assembly; same mount"},
    {"k-hot", "hot", "hot", " same-casting=\"no\"", 1, 6, 5, "parts that grow against each other"},
    {"k-brake", "hot", "brake", " shielded=\"yes\"", 1, 30, 20, "brake fluid, shield on the line"},
    {"k-brake-bare", "hot", "brake", " shielded=\"no\"", 1, 50, 50, "brake fluid, no shield"},
    {"k-fuel", "hot", "fuel", " shielded=\"yes\"", 1, 50, 40, "fuel, shield on the line"},
    {"k-fuel-bare", "hot", "fuel", " shielded=\"no\"", 1, 100, 100, "fuel, no shield"},
    {"k-moving", "hot", "moving", "", 1, 25, 18, "steering and other parts that move"},
    {"k-panel", "hot", "panel", "", 1, 40, 30, "trim behind the panel"},
    {"k-cover", "hot", "cover", "", 1, 25, 20, "plastic cover"},
    {"k-harness", "hot", "harness", " shielded=\"yes\"", 1, 50, 40, "with sleeve"},
    {"k-harness-bare", "hot", "harness", " shielded=\"no\"", 1, 80, 70, "no sleeve"},
    {"k-hose", "hot", "hose", "", 1, 40, 35, "rubber hose"},
    {"k-electrical", "hot", "electrical", "", 1, 20, 20, "starter, sensor"},
    {"k-oil", "hot", "oil", "", 1, 15, 12, "oil cokes; hose"},
    {"k-coolant", "hot", "coolant", "", 1, 15, 12, "coolant hose"},
    {"k-oil-structure", "oil", "structure", "", 0.5, 6, 5, "no chafing"},
    {"k-coolant-structure", "coolant", "structure", "", 0.5, 6, 5, "no chafing"},
    {"k-lines", "oil", "coolant", "", 0.5, 6, 5, "no chafing"},
};

const char *const tb_usual_classes[] = {
    "hot",  "structure", "panel",   "cover",  "brake",      "fuel", "harness",
    "hose", "oil",       "coolant", "moving", "electrical", NULL,
};

static void
append_keep(GString *text, const Pair *pair)
{
    g_string_append_printf(text,
                           "    <keep id=\"%s\" class-a=\"%s\" class-b=\"%s\"%s margin=\"%s\" "
                           "reason=\"%s\" source=\"common practice, no source\">\n",
                           pair->id, pair->a, pair->b, pair->more, pair->margin < 1 ? "0.5" : "1",
                           pair->reason);
    g_string_append_printf(text,
                           "      <wanted state=\"cold\" gap=\"%d\"/>\n"
                           "      <wanted state=\"hot\" gap=\"%d\"/>\n"
                           "      <wanted state=\"hot-rocking\" gap=\"%d\"/>\n    </keep>\n",
                           (int)pair->cold, (int)pair->hot, (int)pair->hot);
}

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

TbStatus
tb_bay_new_kit(const char *title, TbKitLayout layout, TbBay **bay, TbFault *fault)
{
    GString *text = g_string_new("<bay version=\"1\" title=\"");
    TbStatus status;

    tb_extra_escape(text, title, true);
    g_string_append(text, "\">\n");
    g_string_append(text, head);
    append_mounts(text, layout);
    g_string_append(text, "  <keeps>\n");
    for (size_t i = 0; i < G_N_ELEMENTS(pairs); i++)
        append_keep(text, &pairs[i]);
    g_string_append(text, "  </keeps>\n");
    g_string_append(text, states);
    g_string_append(text, "</bay>\n");
    status = tb_bay_read_bytes(text->str, text->len, bay, fault);
    g_string_free(text, TRUE);
    return status;
}
