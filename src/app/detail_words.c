/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/detail_words.h"

#include <glib/gi18n.h>
#include <string.h>

/* ---- attributes ---- */

typedef struct Attribute {
    const char *name;
    const char *element; /* NULL: of any that has no line of its own */
    TbDetailGroup group;
    const char *label;
} Attribute;

static const Attribute attributes[] = {
    {"id", NULL, TB_DETAIL_WHAT, N_("Id")},
    {"name", NULL, TB_DETAIL_WHAT, N_("Name")},
    {"class", NULL, TB_DETAIL_WHAT, N_("Class")},
    {"mount", NULL, TB_DETAIL_WHERE, N_("Rides on")},
    {"on", NULL, TB_DETAIL_WHERE, N_("Stands on port")},
    {"material", NULL, TB_DETAIL_WHAT, N_("Material")},
    {"casting", NULL, TB_DETAIL_MORE, N_("Casting")},
    {"shield", NULL, TB_DETAIL_WHAT, N_("Shielded by")},
    {"spare", NULL, TB_DETAIL_MORE, N_("Spare, only swapped in")},
    {"mass", NULL, TB_DETAIL_MORE, N_("Mass")},
    {"centre", NULL, TB_DETAIL_MORE, N_("Centre of mass")},
    {"by", "known", TB_DETAIL_KNOWN, N_("Known by")},
    {"uncertainty", NULL, TB_DETAIL_KNOWN, N_("Uncertainty")},
    {"datum", "known", TB_DETAIL_KNOWN, N_("Measured from")},
    {"date", NULL, TB_DETAIL_KNOWN, N_("Date")},
    {"state", NULL, TB_DETAIL_WARMTH, N_("State")},
    {"growth", NULL, TB_DETAIL_WARMTH, N_("Grows at")},
    {"skin", NULL, TB_DETAIL_WARMTH, N_("Surface")},
    {"at", "knot", TB_DETAIL_SHAPE, N_("Place")},
    {"radius", "knot", TB_DETAIL_SHAPE, N_("Bend radius")},
    {"kind", "path", TB_DETAIL_SHAPE, N_("Path")},
    {"kind", NULL, TB_DETAIL_WHAT, N_("Kind")},
    {"diameter", NULL, TB_DETAIL_SHAPE, N_("Diameter")},
    {"from", NULL, TB_DETAIL_SHAPE, N_("From")},
    {"to", NULL, TB_DETAIL_SHAPE, N_("To")},
    {"nominal", NULL, TB_DETAIL_SHAPE, N_("Nominal size")},
    {"along", "bolt-box", TB_DETAIL_SHAPE, N_("Along the path")},
    {"across", "bolt-box", TB_DETAIL_SHAPE, N_("Along the rim")},
    {"shift", "bolt-box", TB_DETAIL_SHAPE, N_("Shift")},
    {"shift", "tolerance", TB_DETAIL_MADE, N_("Placed within ±")},
    {"turn", "tolerance", TB_DETAIL_MADE, N_("Turned within ±")},
    {"size", "tolerance", TB_DETAIL_MADE, N_("Size it goes by")},
    {"turn", NULL, TB_DETAIL_SHAPE, N_("Turn")},
    {"free", "bolt-box", TB_DETAIL_SHAPE, N_("Turn not fixed yet")},
    {"port", NULL, TB_DETAIL_WHERE, N_("Port")},
    {"against", NULL, TB_DETAIL_WHERE, N_("Port runs against the path")},
    {"tangent", NULL, TB_DETAIL_WHERE, N_("Direction")},
    {"at", "station", TB_DETAIL_SHAPE, N_("Station")},
    {"from-end", NULL, TB_DETAIL_SHAPE, N_("Counted from the end")},
    {"note", NULL, TB_DETAIL_SHAPE, N_("Note")},
    {"at", "section", TB_DETAIL_SHAPE, N_("Station")},
    {"kind", "section", TB_DETAIL_SHAPE, N_("Shape")},
    {"width", NULL, TB_DETAIL_SHAPE, N_("Width")},
    {"height", NULL, TB_DETAIL_SHAPE, N_("Height")},
    {"half", NULL, TB_DETAIL_SHAPE, N_("Right, left, up, down")},
    {"exponent", NULL, TB_DETAIL_SHAPE, N_("Exponent")},
    {"corner", NULL, TB_DETAIL_SHAPE, N_("Corner radius")},
    {"offset", NULL, TB_DETAIL_SHAPE, N_("Offset")},
    {"wall", NULL, TB_DETAIL_SHAPE, N_("Wall")},
    {"hold-size", NULL, TB_DETAIL_SHAPE, N_("Hold width and height")},
    {"lock", NULL, TB_DETAIL_SHAPE, N_("Locked")},
    {"kind", "process", TB_DETAIL_MADE, N_("Process")},
    {"grade", "process", TB_DETAIL_MADE, N_("Grade of the process")},
    {"grade", NULL, TB_DETAIL_MADE, N_("Tolerance grade")},
    {"core-shift", NULL, TB_DETAIL_MADE, N_("Core shift")},
    {"mismatch", NULL, TB_DETAIL_MADE, N_("Mismatch")},
    {"draft", NULL, TB_DETAIL_MADE, N_("Draft")},
    {"draw", NULL, TB_DETAIL_MADE, N_("Draw direction")},
    {"shrinkage", NULL, TB_DETAIL_MADE, N_("Shrinkage")},
    {"stock", NULL, TB_DETAIL_MADE, N_("Machining stock")},
    {"least-wall", NULL, TB_DETAIL_SHAPE, N_("Least wall")},
    {"cone-limit", NULL, TB_DETAIL_SHAPE, N_("Cone limit")},
    {"role", NULL, TB_DETAIL_WHAT, N_("Role")},
    {"bore", NULL, TB_DETAIL_SHAPE, N_("Bore")},
    {"least-bend", NULL, TB_DETAIL_SHAPE, N_("Least bend radius")},
    {"bend-basis", NULL, TB_DETAIL_SHAPE, N_("Bend radius by")},
    {"slack", NULL, TB_DETAIL_SHAPE, N_("Slack")},
    {"flow", "line", TB_DETAIL_SHAPE, N_("Flow")},
    {"pressure", NULL, TB_DETAIL_SHAPE, N_("Pressure")},
    {"end-mount", NULL, TB_DETAIL_WHERE, N_("Its end rides on")},
    {"of", "source", TB_DETAIL_WHAT, N_("Of")},
    {"of", NULL, TB_DETAIL_WHAT, N_("Housing")},
    {"limit", "housing", TB_DETAIL_SHAPE, N_("Turn limits")},
    {"throat-area", NULL, TB_DETAIL_SHAPE, N_("Throat area")},
    {"throat-radius", NULL, TB_DETAIL_SHAPE, N_("Throat radius")},
    {"flow-number", NULL, TB_DETAIL_SHAPE, N_("Flow number")},
    {"from", "rod", TB_DETAIL_SHAPE, N_("From")},
    {"to", "rod", TB_DETAIL_SHAPE, N_("To")},
    {"radius-to", NULL, TB_DETAIL_SHAPE, N_("Radius at the other end")},
    {"beside", NULL, TB_DETAIL_SHAPE, N_("Beside the shaft")},
    {"radius", NULL, TB_DETAIL_SHAPE, N_("Radius")},
    {"a", "rod", TB_DETAIL_WHERE, N_("One end")},
    {"b", "rod", TB_DETAIL_WHERE, N_("Other end")},
    {"a", "arm", TB_DETAIL_SHAPE, N_("One end")},
    {"b", "arm", TB_DETAIL_SHAPE, N_("Other end")},
    {"at", "turbo", TB_DETAIL_WHERE, N_("Centre")},
    {"shaft", NULL, TB_DETAIL_WHERE, N_("Shaft direction")},
    {"up", NULL, TB_DETAIL_WHERE, N_("Up")},
    {"tilt", NULL, TB_DETAIL_WHERE, N_("Shaft tilt limits")},
    {"low", NULL, TB_DETAIL_WHERE, N_("Low corner")},
    {"high", NULL, TB_DETAIL_WHERE, N_("High corner")},
    {"along", "block", TB_DETAIL_WHERE, N_("X side points")},
    {"up", "block", TB_DETAIL_WHERE, N_("Z side points")},
    {"at", "ball", TB_DETAIL_WHERE, N_("Centre")},
    {"at", "corner", TB_DETAIL_SHAPE, N_("Place")},
    {"origin", NULL, TB_DETAIL_WHERE, N_("Origin")},
    {"u", NULL, TB_DETAIL_WHERE, N_("First direction")},
    {"v", NULL, TB_DETAIL_WHERE, N_("Second direction")},
    {"depth", NULL, TB_DETAIL_SHAPE, N_("Depth")},
    {"rounding", NULL, TB_DETAIL_SHAPE, N_("Rounding")},
    {"file", NULL, TB_DETAIL_WHAT, N_("Mesh file")},
    {"sha256", NULL, TB_DETAIL_WHAT, N_("Checksum")},
    {"unit", "scan", TB_DETAIL_WHAT, N_("Unit of the mesh")},
    {"at", "scan", TB_DETAIL_WHERE, N_("Mesh origin at")},
    {"along", "scan", TB_DETAIL_WHERE, N_("Mesh X points")},
    {"up", "scan", TB_DETAIL_WHERE, N_("Mesh Z points")},
    {"residual", NULL, TB_DETAIL_KNOWN, N_("Registration residual")},
    {"coverage", NULL, TB_DETAIL_KNOWN, N_("What it does not show")},
    {"text", NULL, TB_DETAIL_WHAT, N_("Text")},
    {"serial", NULL, TB_DETAIL_WHAT, N_("Serial")},
    {"stoichiometric", NULL, TB_DETAIL_SHAPE, N_("Air to fuel")},
    {"hydrogen", NULL, TB_DETAIL_SHAPE, N_("Hydrogen to carbon")},
    {"oxygen", NULL, TB_DETAIL_SHAPE, N_("Oxygen to carbon")},
    {"cylinders", NULL, TB_DETAIL_SHAPE, N_("Cylinders")},
    {"firing", NULL, TB_DETAIL_SHAPE, N_("Firing order")},
    {"feeds", NULL, TB_DETAIL_SHAPE, N_("Cylinders that feed it")},
    {"speeds", NULL, TB_DETAIL_SHAPE, N_("Speeds judged")},
    {"displacement", NULL, TB_DETAIL_SHAPE, N_("Displacement")},
    {"oil-level", NULL, TB_DETAIL_SHAPE, N_("Oil level, Z")},
    {"version", NULL, TB_DETAIL_WHAT, N_("File version")},
    {"title", NULL, TB_DETAIL_WHAT, N_("Title")},
    {"revision", NULL, TB_DETAIL_WHAT, N_("Revision")},
    {"unit", NULL, TB_DETAIL_WHAT, N_("Lengths shown in")},
    {"ground", NULL, TB_DETAIL_WHAT, N_("Ground, Z")},
    {"pitch", NULL, TB_DETAIL_SHAPE, N_("Nose up")},
    {"roll", NULL, TB_DETAIL_SHAPE, N_("Left side down")},
    {"speed", NULL, TB_DETAIL_SHAPE, N_("Engine speed")},
    {"flow", "point", TB_DETAIL_SHAPE, N_("Exhaust flow")},
    {"bypass", NULL, TB_DETAIL_SHAPE, N_("Bypass share")},
    {"temperature", NULL, TB_DETAIL_SHAPE, N_("Temperature")},
    {"inlet-temperature", NULL, TB_DETAIL_SHAPE, N_("Temperature ahead")},
    {"inlet-pressure", NULL, TB_DETAIL_SHAPE, N_("Pressure ahead")},
    {"lambda", NULL, TB_DETAIL_SHAPE, N_("Lambda")},
    {"parent", NULL, TB_DETAIL_WHERE, N_("Rides on")},
    {"axis-point", NULL, TB_DETAIL_WHERE, N_("Axis through")},
    {"axis-direction", NULL, TB_DETAIL_WHERE, N_("Axis direction")},
    {"rx", NULL, TB_DETAIL_SHAPE, N_("Rock about the axis")},
    {"ry", NULL, TB_DETAIL_SHAPE, N_("Turn about y")},
    {"rz", NULL, TB_DETAIL_SHAPE, N_("Turn about z")},
    {"tx", NULL, TB_DETAIL_SHAPE, N_("Travel along the axis")},
    {"ty", NULL, TB_DETAIL_SHAPE, N_("Travel along y")},
    {"tz", NULL, TB_DETAIL_SHAPE, N_("Travel along z")},
    {"datum", NULL, TB_DETAIL_WHERE, N_("Grows from")},
    {"reference", NULL, TB_DETAIL_WHERE, N_("Sizes hold at")},
    {"scatter-shift", NULL, TB_DETAIL_SHAPE, N_("Placement, plus and minus")},
    {"scatter-turn", NULL, TB_DETAIL_SHAPE, N_("Placement turn, plus and minus")},
    {"sag", NULL, TB_DETAIL_SHAPE, N_("Sag when aged")},
    {"lift", NULL, TB_DETAIL_SHAPE, N_("Lift for fitting")},
    {"expansion", NULL, TB_DETAIL_SHAPE, N_("Expansion")},
    {"standard", NULL, TB_DETAIL_WHAT, N_("Standard")},
    {"density", NULL, TB_DETAIL_SHAPE, N_("Density")},
    {"emissivity", NULL, TB_DETAIL_SHAPE, N_("Emissivity")},
    {"limit", NULL, TB_DETAIL_SHAPE, N_("Limit")},
    {"modulus", NULL, TB_DETAIL_SHAPE, N_("Modulus")},
    {"bend-ratio", NULL, TB_DETAIL_SHAPE, N_("Least bend ratio")},
    {"to", "mean", TB_DETAIL_SHAPE, N_("Up to")},
    {"from", "source", TB_DETAIL_WHAT, N_("Source")},
    {"owner", "decision", TB_DETAIL_WHAT, N_("Owner")},
    {"owner", NULL, TB_DETAIL_WHERE, N_("Belongs to")},
    {"housing", NULL, TB_DETAIL_WHERE, N_("Turns with housing")},
    {"at", "port", TB_DETAIL_WHERE, N_("Place")},
    {"flow", NULL, TB_DETAIL_WHERE, N_("Flow direction")},
    {"face", NULL, TB_DETAIL_SHAPE, N_("Face")},
    {"face-diameter", NULL, TB_DETAIL_SHAPE, N_("Face diameter")},
    {"gasket", NULL, TB_DETAIL_SHAPE, N_("Gasket")},
    {"thread-standard", NULL, TB_DETAIL_SHAPE, N_("Thread standard")},
    {"thread-size", NULL, TB_DETAIL_SHAPE, N_("Thread size")},
    {"count", NULL, TB_DETAIL_SHAPE, N_("Number")},
    {"circle", NULL, TB_DETAIL_SHAPE, N_("Bolt circle")},
    {"across", NULL, TB_DETAIL_SHAPE, N_("Bolt spacing")},
    {"thread", NULL, TB_DETAIL_SHAPE, N_("Thread")},
    {"a", NULL, TB_DETAIL_WHERE, N_("One port")},
    {"b", NULL, TB_DETAIL_WHERE, N_("Other port")},
    {"free-shift", NULL, TB_DETAIL_SHAPE, N_("Free shift")},
    {"free-turn", NULL, TB_DETAIL_SHAPE, N_("Free turn")},
    {"torque", NULL, TB_DETAIL_SHAPE, N_("Torque")},
    {"leave-out", NULL, TB_DETAIL_SHAPE, N_("Not judged within")},
    {"gap", NULL, TB_DETAIL_SHAPE, N_("Gap wanted")},
    {"radius", "leave-out", TB_DETAIL_SHAPE, N_("Within")},
    {"item-a", NULL, TB_DETAIL_WHAT, N_("One item")},
    {"class-a", NULL, TB_DETAIL_WHAT, N_("or class")},
    {"item-b", NULL, TB_DETAIL_WHAT, N_("Other item")},
    {"class-b", NULL, TB_DETAIL_WHAT, N_("or class")},
    {"same-casting", NULL, TB_DETAIL_WHAT, N_("Of one casting")},
    {"same-mount", NULL, TB_DETAIL_WHAT, N_("On one mount")},
    {"shielded", NULL, TB_DETAIL_WHAT, N_("Shielded")},
    {"margin", NULL, TB_DETAIL_SHAPE, N_("Watch margin")},
    {"reason", NULL, TB_DETAIL_WHAT, N_("Reason")},
    {"source", NULL, TB_DETAIL_WHAT, N_("Source")},
    {"parts", NULL, TB_DETAIL_WHAT, N_("Made of")},
    {"gas", NULL, TB_DETAIL_WHAT, N_("Gas point")},
    {"ambient", NULL, TB_DETAIL_SHAPE, N_("Ambient")},
    {"by", NULL, TB_DETAIL_SHAPE, N_("By")},
    {"item", NULL, TB_DETAIL_WHAT, N_("Item")},
    {"with", NULL, TB_DETAIL_WHAT, N_("With")},
    {"joint", NULL, TB_DETAIL_WHAT, N_("Joint")},
    {"at", "fastener", TB_DETAIL_WHERE, N_("Under the head")},
    {"axis", NULL, TB_DETAIL_WHERE, N_("Axis")},
    {"size", NULL, TB_DETAIL_WHAT, N_("Size")},
    {"head", NULL, TB_DETAIL_WHAT, N_("Head")},
    {"tool", NULL, TB_DETAIL_WHAT, N_("Tool")},
    {"length", NULL, TB_DETAIL_SHAPE, N_("Length")},
    {"fastener", NULL, TB_DETAIL_WHAT, N_("Fastener")},
    {"lift", "step", TB_DETAIL_WHAT, N_("Lifted mount")},
    {"lift-by", NULL, TB_DETAIL_WHAT, N_("Lifted by")},
    {"turn", "place", TB_DETAIL_SHAPE, N_("Turned by")},
    {"by", "place", TB_DETAIL_SHAPE, N_("Away from its place by")},
    {"finding", NULL, TB_DETAIL_WHAT, N_("Finding")},
    {"disposition", NULL, TB_DETAIL_WHAT, N_("Decision")},
    {"due", NULL, TB_DETAIL_WHAT, N_("Due")},
    {"at", "view", TB_DETAIL_WHERE, N_("Plane at")},
    {"point", NULL, TB_DETAIL_WHERE, N_("Through")},
    {"look", NULL, TB_DETAIL_WHERE, N_("Looking along")},
    {"scale", NULL, TB_DETAIL_WHAT, N_("Scale 1 :")},
    {"at", NULL, TB_DETAIL_WHERE, N_("At")},
    {"who", NULL, TB_DETAIL_HISTORY, N_("Who")},
    {"when", NULL, TB_DETAIL_HISTORY, N_("When")},
    {"why", NULL, TB_DETAIL_HISTORY, N_("Why")},
};

/* ---- parts ---- */

typedef struct Part {
    const char *tag;
    TbDetailGroup group;
    const char *many, *one;
} Part;

static const Part parts[] = {
    {"known", TB_DETAIL_KNOWN, N_("How it is known"), N_("How it is known")},
    {"tolerance", TB_DETAIL_MADE, N_("How exactly it is made and placed"), N_("Tolerance")},
    {"warm", TB_DETAIL_WARMTH, N_("Warmth by state"), N_("Warmth")},
    {"path", TB_DETAIL_SHAPE, N_("Path"), N_("Path")},
    {"knot", TB_DETAIL_SHAPE, N_("Knots"), N_("Knot")},
    {"start", TB_DETAIL_SHAPE, N_("Start"), N_("Start")},
    {"end", TB_DETAIL_SHAPE, N_("End"), N_("End")},
    {"ring", TB_DETAIL_SHAPE, N_("Rings"), N_("Ring")},
    {"bolt-box", TB_DETAIL_SHAPE, N_("Bolt boxes"), N_("Bolt box")},
    {"station", TB_DETAIL_SHAPE, N_("Named stations"), N_("Station")},
    {"section", TB_DETAIL_SHAPE, N_("Sections"), N_("Section")},
    {"process", TB_DETAIL_MADE, N_("How it is made"), N_("Process")},
    {"housing", TB_DETAIL_SHAPE, N_("Housings"), N_("Housing")},
    {"rod", TB_DETAIL_SHAPE, N_("Round shapes"), N_("Round shape")},
    {"arm", TB_DETAIL_SHAPE, N_("Arms"), N_("Arm")},
    {"box", TB_DETAIL_SHAPE, N_("Boxes"), N_("Box")},
    {"corner", TB_DETAIL_SHAPE, N_("Corners"), N_("Corner")},
    {"zero", TB_DETAIL_WHAT, N_("Zero planes"), N_("Zero planes")},
    {"note", TB_DETAIL_WHAT, N_("Notes"), N_("Note")},
    {"vehicle", TB_DETAIL_WHAT, N_("Vehicle measured"), N_("Vehicle")},
    {"fuel", TB_DETAIL_WHAT, N_("Fuel"), N_("Fuel")},
    {"engine", TB_DETAIL_WHAT, N_("Engine"), N_("Engine")},
    {"mean", TB_DETAIL_SHAPE, N_("Expansion by temperature"), N_("Expansion")},
    {"source", TB_DETAIL_WHAT, N_("Sources"), N_("Source")},
    {"opening", TB_DETAIL_SHAPE, N_("Openings"), N_("Opening")},
    {"bolts", TB_DETAIL_SHAPE, N_("Bolts"), N_("Bolts")},
    {"wanted", TB_DETAIL_SHAPE, N_("Gaps wanted"), N_("Gap wanted")},
    {"leave-out", TB_DETAIL_SHAPE, N_("Not judged at"), N_("Place")},
    {"shift", TB_DETAIL_WHAT, N_("Shifted mounts"), N_("Shift")},
    {"swap", TB_DETAIL_WHAT, N_("Swapped items"), N_("Swap")},
    {"mirror", TB_DETAIL_WHAT, N_("Mirrored"), N_("Mirror")},
    {"hide", TB_DETAIL_WHAT, N_("Hidden"), N_("Hidden item")},
    {"place", TB_DETAIL_SHAPE, N_("Way in"), N_("Place")},
};

/* ---- words of choices ---- */

static const struct {
    const char *word, *text;
} words[] = {
    {"drawing", N_("drawing")},
    {"scan", N_("scan")},
    {"calliper", N_("calliper")},
    {"tape", N_("tape")},
    {"guess", N_("guess")},
    {"smooth", N_("smooth")},
    {"bent", N_("bent")},
    {"flange", N_("flange")},
    {"v-band", N_("V-band")},
    {"clamp", N_("clamp")},
    {"fitting", N_("fitting")},
    {"superellipse", N_("superellipse")},
    {"rounded", N_("rounded corners")},
    {"cast", N_("cast")},
    {"formed", N_("formed")},
    {"tube", N_("tube")},
    {"oil-drain", N_("oil drain")},
    {"oil-feed", N_("oil feed")},
    {"coolant", N_("coolant")},
    {"brake", N_("brake")},
    {"fuel", N_("fuel")},
    {"hose", N_("hose")},
    {"harness", N_("harness")},
    {"maker", N_("its maker")},
    {"standard", N_("a standard")},
    {"practice", N_("practice")},
    {"turbine", N_("turbine")},
    {"centre", N_("centre housing")},
    {"compressor", N_("compressor")},
    {"mm", N_("mm")},
    {"cm", N_("cm")},
    {"m", N_("m")},
    {"inch", N_("inch")},
    {"round", N_("round")},
    {"oval", N_("oval")},
    {"rectangle", N_("rectangle")},
    {"flat", N_("flat")},
    {"cone", N_("cone")},
    {"ball", N_("ball")},
    {"bead", N_("bead")},
    {"thread", N_("thread")},
    {"gasketed", N_("gasketed")},
    {"bare", N_("bare")},
    {"slip", N_("slip joint")},
    {"bellows", N_("bellows")},
    {"weld", N_("weld")},
    {"any", N_("any")},
    {"yes", N_("yes")},
    {"no", N_("no")},
    {"cold", N_("cold")},
    {"hot", N_("hot")},
    {"rocking", N_("rocking")},
    {"tolerance", N_("at tolerance")},
    {"combined", N_("combined")},
    {"open", N_("open")},
    {"accepted", N_("accepted")},
    {"change", N_("to be changed")},
    {"measure", N_("to be measured")},
    {"waived", N_("waived")},
    {"side", N_("side")},
    {"plan", N_("plan")},
    {"front", N_("front")},
    {"station", N_("at a station")},
    {"free", N_("free")},
};

static const struct {
    const char *tag, *text;
} kinds[] = {
    {"bay", N_("Bay")},           {"revision", N_("Revision")}, {"attitude", N_("Attitude")},
    {"point", N_("Gas point")},   {"mount", N_("Mount")},       {"material", N_("Material")},
    {"port", N_("Port")},         {"joint", N_("Joint")},       {"duct", N_("Duct")},
    {"line", N_("Line")},         {"turbo", N_("Turbo")},       {"block", N_("Block")},
    {"rod", N_("Rod")},           {"ball", N_("Ball")},         {"outline", N_("Outline")},
    {"scan", N_("Scan")},         {"keep", N_("Keep")},         {"state", N_("State")},
    {"variant", N_("Variant")},   {"fastener", N_("Fastener")}, {"step", N_("Step")},
    {"decision", N_("Decision")}, {"view", N_("View")},
};

const char *
tb_detail_group_label(TbDetailGroup group)
{
    static const char *const labels[TB_DETAIL_GROUP_COUNT] = {
        [TB_DETAIL_WHAT] = N_("What it is"), [TB_DETAIL_WHERE] = N_("Where it is"),
        [TB_DETAIL_SHAPE] = N_("Shape"),     [TB_DETAIL_KNOWN] = N_("How it is known"),
        [TB_DETAIL_WARMTH] = N_("Warmth"),   [TB_DETAIL_MADE] = N_("How it is made"),
        [TB_DETAIL_MORE] = N_("More"),       [TB_DETAIL_HISTORY] = N_("Last change"),
    };

    return _(labels[group]);
}

/* The line of an attribute: the element's own before any. */
static const Attribute *
find(const TbElement *element, const TbField *field)
{
    const Attribute *any = NULL;

    for (size_t i = 0; i < G_N_ELEMENTS(attributes); i++) {
        if (strcmp(attributes[i].name, field->name) != 0)
            continue;
        if (attributes[i].element == NULL)
            any = any == NULL ? &attributes[i] : any;
        else if (strcmp(attributes[i].element, element->name) == 0)
            return &attributes[i];
    }
    return any;
}

const char *
tb_detail_label(const TbElement *element, const TbField *field)
{
    const Attribute *attribute = find(element, field);

    return attribute != NULL ? _(attribute->label) : field->name;
}

char *
tb_detail_label_within(const TbElement *element, const TbField *field)
{
    const char *label = tb_detail_label(element, field);
    const Attribute *attribute = find(element, field);
    char *within = g_strdup(label);

    /* English begins a label with a capital, but no word within a sentence ("X side points" does);
     * a translation says itself how it is written */
    if (attribute != NULL && label == attribute->label && g_ascii_islower(within[1]))
        within[0] = g_ascii_tolower(within[0]);
    return within;
}

TbDetailGroup
tb_detail_group(const TbElement *element, const TbField *field)
{
    const Attribute *attribute = find(element, field);

    return attribute != NULL ? attribute->group : TB_DETAIL_WHAT;
}

static const Part *
find_part(const char *tag)
{
    for (size_t i = 0; i < G_N_ELEMENTS(parts); i++)
        if (strcmp(parts[i].tag, tag) == 0)
            return &parts[i];
    return NULL;
}

TbDetailGroup
tb_detail_part_group(const char *tag)
{
    const Part *part = find_part(tag);

    return part != NULL ? part->group : TB_DETAIL_SHAPE;
}

bool
tb_detail_is_flat(const char *tag)
{
    return strcmp(tag, "path") == 0 || strcmp(tag, "known") == 0 || strcmp(tag, "process") == 0 ||
           strcmp(tag, "tolerance") == 0;
}

const char *
tb_detail_part_label(const char *tag)
{
    const Part *part = find_part(tag);

    return part != NULL ? _(part->many) : tag;
}

const char *
tb_detail_one_label(const char *tag)
{
    const Part *part = find_part(tag);

    return part != NULL ? _(part->one) : tag;
}

const char *
tb_detail_choice(const char *word)
{
    for (size_t i = 0; i < G_N_ELEMENTS(words); i++)
        if (strcmp(words[i].word, word) == 0)
            return _(words[i].text);
    return word;
}

const char *
tb_detail_kind(const TbElement *element)
{
    for (size_t i = 0; i < G_N_ELEMENTS(kinds); i++)
        if (strcmp(kinds[i].tag, element->name) == 0)
            return _(kinds[i].text);
    return element->name;
}

const char *
tb_detail_unit(const TbField *field, bool inch)
{
    static const struct {
        const char *unit, *shown;
    } units[] = {
        {"deg", "\u00b0"},   {"degC", "\u00b0C"},     {"mm2", "mm\u00b2"},
        {"mm3", "mm\u00b3"}, {"kg/m3", "kg/m\u00b3"}, {"1e-6/K", "10\u207b\u2076/K"},
        {"N m", "N\u00a0m"},
    };

    if (strcmp(field->unit, "mm") == 0)
        return inch ? "in" : "mm";
    for (size_t i = 0; i < G_N_ELEMENTS(units); i++)
        if (strcmp(units[i].unit, field->unit) == 0)
            return units[i].shown;
    return field->unit;
}
