/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bays.h"
#include "comma_locale.h"

#include "base/mem.h"

#include <fcntl.h>
#include <glib/gstdio.h>
#include <locale.h>
#include <math.h>
#include <stdlib.h>
#include <unistd.h>

/* ---- what is refused, by one replaced text in the small bay ---- */

static const struct {
    const char *from, *to;
    TbStatus status;
    const char *says; /**< part of the sentence */
} wrong_texts[] = {
    /* numbers */
    {"flow=\"125\"", "flow=\"NaN\"", TB_E_FORMAT,
     "point \"full-power\": flow \"NaN\" is not a number"},
    {"flow=\"125\"", "flow=\"inf\"", TB_E_FORMAT, "\"inf\" is not a number"},
    {"flow=\"125\"", "flow=\"0x7d\"", TB_E_FORMAT, "\"0x7d\" is not a number"},
    {"flow=\"125\"", "flow=\"12,5\"", TB_E_FORMAT, "\"12,5\" is not a number"},
    {"flow=\"125\"", "flow=\"125 126\"", TB_E_FORMAT,
     "flow \"125 126\" is not one number without a unit"},
    {"flow=\"125\"", "flow=\"\"", TB_E_FORMAT, "flow \"\" is not one number without a unit"},
    {"radius=\"28\"", "radius=\"1e400\"", TB_E_RANGE, "radius 1e400 is too large for a number"},
    {"ground=\"-85.25\"", "ground=\"-1e5\"", TB_E_RANGE, "ground -100000 mm is below -10000"},
    {"wall=\"4\" ", "wall=\"-4\" ", TB_E_RANGE, "duct \"outlet\": wall -4 mm is not above 0"},
    {"wall=\"4.5\"", "wall=\"-0.5\"", TB_E_RANGE,
     "section 2 of duct \"outlet\": wall -0.5 mm is below 0"},
    {"width=\"76\"", "width=\"0\"", TB_E_RANGE,
     "section 2 of duct \"outlet\": width 0 mm is not above 0"},
    {"half=\"52 43.5 23 21\"", "half=\"52 43.5 23\"", TB_E_FORMAT, "half cannot have 3 numbers"},
    {"half=\"52 43.5 23 21\"", "half=\"52 -43.5 23 21\"", TB_E_RANGE,
     "half -43.5 mm is not above 0"},
    {"exponent=\"2.4\"", "exponent=\"0.5\"", TB_E_RANGE, "exponent 0.5 is below 1.05"},
    {"bypass=\"0.25\"", "bypass=\"1.25\"", TB_E_RANGE, "bypass 1.25 is above 1"},
    {"cylinders=\"4\"", "cylinders=\"4.5\"", TB_E_FORMAT,
     "cylinders \"4.5\" is not a whole number"},
    {"at=\"1325 -252 610\"", "at=\"1325 -252\"", TB_E_FORMAT, "at has 2 numbers, 3 are needed"},
    {"limit=\"-20 20\"", "limit=\"20 -20\"", TB_E_RANGE, "limit begins at 20 above its end at -20"},
    {"shaft=\"0.9976 0.0698 0\" up=\"0 0.1 1\" tilt", "shaft=\"0 0 0\" up=\"0 0.1 1\" tilt",
     TB_E_DEGENERATE, "shaft is a direction without length"},
    /* words */
    {"unit=\"inch\"", "unit=\"foot\"", TB_E_FORMAT, "unit \"foot\" is not one of: mm, inch"},
    {"lock=\"yes\"", "lock=\"true\"", TB_E_FORMAT, "lock \"true\" is not one of: no, yes"},
    {"date=\"2031-05-02\"", "date=\"2031-13-02\"", TB_E_FORMAT, "is not a date like"},
    {"when=\"2031-05-03\"", "when=\"3 May 2031\"", TB_E_FORMAT, "is not a date like"},
    {"id=\"steering-joint\"", "id=\"steering joint\"", TB_E_FORMAT, "is not one word of letters"},
    {"sha256=\"0123", "sha256=\"123", TB_E_FORMAT, "is not 64 hexadecimal digits"},
    {"title=\"Small bay &amp; every element\"", "title=\" \"", TB_E_FORMAT,
     "title \" \" is not a text"},
    /* structure */
    {"<ball id=\"steering-joint\" ", "<ball ", TB_E_FORMAT, "attribute \"id\" is missing"},
    {"radius=\"28\"", "", TB_E_FORMAT, "ball \"steering-joint\": attribute \"radius\" is missing"},
    {"radius=\"28\"", "radius=\"28\" colour=\"red\"", TB_E_FORMAT,
     "attribute \"colour\" is unknown here"},
    {"<zero>", "<origin/><zero>", TB_E_FORMAT, "element <origin> is unknown here"},
    {"<attitude id=\"uphill\"", "<slope id=\"uphill\"", TB_E_FORMAT, NULL},
    {"<wanted state=\"cold\" gap=\"12\"/>", "<wanted state=\"cold\" gap=\"12\"><a/></wanted>",
     TB_E_FORMAT, "element <a> is unknown here"},
    {"<wanted state=\"all\" gap=\"25\"/>", "", TB_E_FORMAT, "has 0 <wanted>, 1 are needed"},
    {"<start tangent=\"1 0 0\"/>", "<start tangent=\"1 0 0\"/><path/>", TB_E_FORMAT,
     "<path> must stand before <start>"},
    {"<start tangent=\"1 0 0\"/>", "<start tangent=\"1 0 0\"/><start/>", TB_E_FORMAT,
     "a second start, one is allowed"},
    {"<mounts>", "<mounts>some words", TB_E_FORMAT, "text \"some words\" has no place here"},
    {"<joints>", "<joints kind=\"all\">", TB_E_FORMAT, "attribute \"kind\" is unknown in <joints>"},
    {"<revision id=\"A\" who=\"packager\" when=\"2031-04-09\">First layout.",
     "<revision id=\"A\" who=\"packager\" when=\"2031-04-09\"> ", TB_E_FORMAT,
     "its text is missing"},
    {"<gas>", "<!-- twice --><gas/><!-- once more --><gas>", TB_E_FORMAT,
     "bay: <gas> is there twice or after <gas>"},
    {"<joints>", "<gas/><joints>", TB_E_FORMAT, "bay: <gas> is there twice or after <ports>"},
    {"<revisions>", "<x:a xmlns:x=\"http://example.org/x\"/><revisions>", TB_E_FORMAT,
     "<revisions> must stand before elements of another namespace"},
    {"<joints>", "<note>late</note><joints>", TB_E_FORMAT, "<note> must stand before"},
    /* ids and references */
    {"id=\"rail\"", "id=\"pan\"", TB_E_REFERENCE,
     "id \"pan\" of a block is taken: a block on line"},
    {"<state id=\"cold\"", "<state id=\"rail\"", TB_E_REFERENCE,
     "id \"rail\" of a state is taken: a block on line"},
    {"<revision id=\"B\"", "<revision id=\"A\"", TB_E_REFERENCE, "revision \"A\" is there twice"},
    {"revision=\"B\"", "revision=\"Q\"", TB_E_REFERENCE,
     "revision \"Q\" is not among its revisions"},
    {"owner=\"pan\"", "owner=\"pam\"", TB_E_REFERENCE,
     "port \"sump\": owner \"pam\" is not in the bay"},
    {"owner=\"pan\"", "owner=\"body\"", TB_E_REFERENCE, "owner \"body\" is a mount, not an item"},
    {"owner=\"pan\"", "", TB_E_FORMAT, "port \"sump\": needs an owner or a mount"},
    {"owner=\"pan\"", "owner=\"pan\" mount=\"engine\"", TB_E_FORMAT,
     "its owner \"pan\" has one already"},
    {"owner=\"pan\"", "owner=\"pan\" housing=\"centre\"", TB_E_REFERENCE,
     "housing centre is for a port of a turbo"},
    {"item-b=\"steering-joint\"", "item-b=\"steering\"", TB_E_REFERENCE,
     "keep \"outlet-joint\": item-b \"steering\" is not in the bay"},
    {"item-b=\"steering-joint\"", "item-b=\"steering-joint\" class-b=\"moving\"", TB_E_FORMAT,
     "needs one of item-b and class-b"},
    {"item-b=\"steering-joint\"", "item-b=\"outlet\"", TB_E_REFERENCE, "both sides are \"outlet\""},
    {"<wanted state=\"hot+rocking\"", "<wanted state=\"hot+dancing\"", TB_E_REFERENCE,
     "wanted 2 of keep \"hot-structure\": state \"dancing\" is not in the bay"},
    {"<wanted state=\"hot+rocking\"", "<wanted state=\"hot+\"", TB_E_FORMAT,
     "states joined by '+'"},
    {"<wanted state=\"hot+rocking\"", "<wanted state=\"cold\"", TB_E_REFERENCE,
     "two gaps for state cold"},
    {"parts=\"hot+rocking+tolerance\"", "parts=\"hot+all\"", TB_E_REFERENCE,
     "itself a combined state"},
    {"parent=\"body\"", "parent=\"engine\"", TB_E_REFERENCE, "rides on itself"},
    {"port=\"sump\"", "port=\"somp\"", TB_E_REFERENCE, "end of line \"drain\": port \"somp\""},
    {"with=\"turbo-large\"", "with=\"rail\"", TB_E_REFERENCE, "which is of another kind"},
    {"<mirror item=\"valve-cover\"/>", "<mirror item=\"frame\"/>", TB_E_REFERENCE,
     "cannot be mirrored"},
    /* rules */
    {"at=\"1259 -148 542\"", "at=\"1243 -203 703\"", TB_E_DEGENERATE,
     "knot 2 of duct \"outlet\" is in the same place as knot 1"},
    {"at=\"1063 -160 505\" radius=\"45\"", "at=\"1063 -160 505\"", TB_E_RANGE, "needs a radius"},
    {"<section at=\"110\"", "<section at=\"260\"", TB_E_RANGE,
     "station 250 does not come after 260"},
    {"corner=\"29\"", "", TB_E_FORMAT, "a rounded section needs a corner"},
    {"height=\"48\" corner", "corner", TB_E_FORMAT, "needs either width and height or half"},
    {"bore=\"16\"", "bore=\"19.5\"", TB_E_RANGE, "bore 19.5 mm is not below its diameter 19 mm"},
    {"low=\"1311 -430 505\"", "low=\"1311 430 505\"", TB_E_RANGE, "low is not below high along Y"},
    {"a=\"50 0 0\" b=\"165 0 0\"", "a=\"50 0 0\" b=\"50 0 0\"", TB_E_DEGENERATE,
     "in the same place"},
    {"u=\"0 1 0\"", "u=\"0 0 -2\"", TB_E_DEGENERATE, "u and v lie along each other"},
    {"from=\"-13\" to=\"13\"", "from=\"13\" to=\"-13\"", TB_E_RANGE,
     "ring 1 of joint \"catalyst-joint\": from is not below to"},
    {"from=\"54\" to=\"84\" shift=\"2\"", "from=\"84\" to=\"54\"", TB_E_RANGE,
     "bolt-box 1 of end of duct \"outlet\": from is not below to"},
    {"<end port=\"sump\"/>", "<end port=\"sump\" tangent=\"1 0 0\"/>", TB_E_FORMAT,
     "end of line \"drain\": a tangent is for an end without a port"},
    {"from=\"30\" to=\"86\"", "from=\"30\" to=\"30\"", TB_E_DEGENERATE,
     "rod 1 of turbo \"turbo\" has no length"},
    {"a=\"-70 72 0\"", "a=\"-70 110 20\"", TB_E_DEGENERATE,
     "arm 1 of turbo \"turbo\" has no length"},
    {"low=\"-60 -90 -20\"", "low=\"-60 -90 20\"", TB_E_RANGE, "low is not below high along Z"},
    {"parts=\"hot+rocking+tolerance\"", "", TB_E_FORMAT, "parts are for a combined state"},
    {"up=\"0 0.1 1\" tilt", "up=\"0.9976 0.0698 0\" tilt", TB_E_DEGENERATE,
     "shaft and up lie along"},
    {"<path kind=\"bent\">\n        <knot at=\"1071 -212 650\" radius=\"38\"/>\n        <knot "
     "at=\"1063 -160 505\" radius=\"45\"/>\n      </path>\n      <start port=\"drain-out\">",
     "<path kind=\"bent\"/><start>", TB_E_DEGENERATE, "path has 0 knots and 1 ports, 2 are needed"},
    {"at=\"-130\" scale", "scale", TB_E_FORMAT, "view \"rail-cut\": needs at"},
    {"axis-point=\"955 0 455\"", "", TB_E_FORMAT, "axis-point and axis-direction go together"},
    {"<housing of=\"compressor\"", "<housing of=\"centre\"", TB_E_REFERENCE, "two centre housings"},
    {"file=\"frame side.stl\"", "file=\"/scans/frame.stl\"", TB_E_FORMAT, "not relative"},
    {"kind=\"station\" at=\"184\" item=\"outlet\"", "kind=\"station\" at=\"184\"", TB_E_FORMAT,
     "item is for a view of kind station"},
    {"look=\"0 1 0\"", "", TB_E_FORMAT, "a free view needs point, look and up"},
    {"flow=\"0 0 -1\" up=\"1 0 0\"", "flow=\"0 0 -1\" up=\"0 0 1\"", TB_E_DEGENERATE,
     "flow and up lie along each other"},
};

START_TEST(wrong_text_is_refused_with_its_line_and_number)
{
    int line;
    GString *text = small_with(wrong_texts[_i].from, wrong_texts[_i].to, &line);
    TbFault fault = refused(text->str, text->len);

    ck_assert_msg(fault.status == wrong_texts[_i].status, "%s for \"%s\"",
                  tb_status_name(fault.status), fault.text);
    if (wrong_texts[_i].says != NULL)
        ck_assert_contains(fault.text, wrong_texts[_i].says);
    ck_assert_ptr_null(strstr(fault.text, "not as the schema has it")); /* always our own words */
    /* a rule about two elements, or one about what is missing, may name the owner's line */
    ck_assert_msg(fault.line > 0, "no line: %s", fault.text);
    g_string_free(text, TRUE);
}
END_TEST

START_TEST(fault_names_the_line_of_the_element_that_is_wrong)
{
    static const size_t plain[] = {0, 6, 8, 9, 10, 19, 21, 27};

    for (size_t i = 0; i < G_N_ELEMENTS(plain); i++) {
        int line;
        GString *text = small_with(wrong_texts[plain[i]].from, wrong_texts[plain[i]].to, &line);
        TbFault fault = refused(text->str, text->len);

        ck_assert_msg(fault.line == line, "%s: line %d, not %d", fault.text, fault.line, line);
        g_string_free(text, TRUE);
    }
}
END_TEST

START_TEST(line_beyond_65535_is_still_right)
{
    GString *lines = g_string_new("<zero>");
    GString *text;
    TbFault fault;
    int line;

    for (int i = 0; i < 70000; i++)
        g_string_append_c(lines, '\n');
    g_string_free(small_with("bypass=\"0.25\"", "", &line), TRUE);
    text = small_with("<zero>", lines->str, NULL);
    g_string_replace(text, "bypass=\"0.25\"", "bypass=\"2\"", 1);
    fault = refused(text->str, text->len);
    ck_assert_contains(fault.text, "bypass 2 is above 1");
    ck_assert_int_eq(fault.line, 70000 + line);
    g_string_free(text, TRUE);
    g_string_free(lines, TRUE);
}
END_TEST

START_TEST(duplicate_id_names_both_lines)
{
    int second;
    int first;
    GString *text = small_with("id=\"shield\"", "id=\"rail\"", &second);
    GString *plain = small_with("id=\"rail\"", "id=\"rail\"", &first);
    TbFault fault = refused(text->str, text->len);
    char both[40];

    snprintf(both, sizeof both, "on line %d has it", first);
    ck_assert_int_eq(fault.line, second);
    ck_assert_contains(fault.text, both);
    g_string_free(plain, TRUE);
    g_string_free(text, TRUE);
}
END_TEST

START_TEST(ports_that_follow_each_other_in_a_circle_are_named)
{
    /* catalyst stands on a port that the catalyst owns: through boss */
    GString *text = small_with("on=\"catalyst-in\"", "on=\"boss\"", NULL);
    TbFault fault = refused(text->str, text->len);

    ck_assert_int_eq(fault.status, TB_E_REFERENCE);
    ck_assert_contains(fault.text, "ports follow each other in a circle: boss -> boss");
    g_string_free(text, TRUE);

    /* and over two: pan on boss, boss on catalyst, catalyst on sump, sump on pan */
    text = small_with("on=\"catalyst-in\"", "on=\"sump\"", NULL);
    g_string_replace(text, "<block id=\"pan\" ", "<block id=\"pan\" on=\"boss\" ", 1);
    fault = refused(text->str, text->len);
    ck_assert_contains(fault.text, "circle: sump -> boss -> sump");
    g_string_free(text, TRUE);
}
END_TEST

/* ---- what is not a bay at all ---- */

static const struct {
    const char *text;
    TbStatus status;
    const char *says;
} not_bays[] = {
    {"", TB_E_FORMAT, "empty (0 bytes)"},
    {"solid frame", TB_E_FORMAT, "not XML"},
    {"{\"bay\": 1}", TB_E_FORMAT, "not XML"},
    {"<bay version=\"1\" title=\"x\">", TB_E_FORMAT, "not XML"},
    {"<bay version=\"1\" title=\"x\"><zero></bay>", TB_E_FORMAT, "not XML"},
    {"<bay version=\"1\" title=\"&who;\"/>", TB_E_FORMAT, "not XML"},
    {"<svg version=\"1\"/>", TB_E_FORMAT, "root element is <svg>, not <bay>"},
    {"<bay xmlns=\"http://example.org/x\" version=\"1\" title=\"x\"/>", TB_E_FORMAT, "not <bay>"},
    {"<bay title=\"x\"/>", TB_E_FORMAT, "attribute \"version\" is missing"},
    {"<bay version=\"0\" title=\"x\"/>", TB_E_RANGE, "version 0 is below 1"},
    {"<!DOCTYPE bay><bay version=\"1\" title=\"x\"/>", TB_E_FORMAT, "(DTD) is not allowed"},
    {"<!DOCTYPE bay SYSTEM \"http://example.org/bay.dtd\"><bay version=\"1\" title=\"x\"/>",
     TB_E_FORMAT, "(DTD) is not allowed"},
    {"<!DOCTYPE bay [<!ENTITY who SYSTEM \"file:///etc/hostname\">]>\n"
     "<bay version=\"1\" title=\"&who;\"/>",
     TB_E_FORMAT, "(DTD) is not allowed"},
    {"<!DOCTYPE b [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;&a;&a;&a;\">"
     "<!ENTITY c \"&b;&b;&b;&b;&b;&b;&b;&b;\">]><bay version=\"1\" title=\"&c;\"/>",
     TB_E_FORMAT, "(DTD) is not allowed"},
};

START_TEST(what_is_not_a_bay_is_refused)
{
    TbFault fault = refused(not_bays[_i].text, strlen(not_bays[_i].text));

    ck_assert_msg(fault.status == not_bays[_i].status, "%s: %s", tb_status_name(fault.status),
                  fault.text);
    ck_assert_contains(fault.text, not_bays[_i].says);
}
END_TEST

/* What follows a missing quote is spoilt too; the user has to look where it is missing. */
START_TEST(trouble_is_told_at_its_first_place)
{
    const char *text = "<bay version=\"1\" title=\"x\">\n<zero>z</zero>\n<mounts>\n"
                       "<mount id=\"body/>\n<mount id=\"e\"/>\n</mounts>\n</bay>\n<!-- -->\n"
                       "</bay>";
    TbFault fault = refused(text, strlen(text));

    /* the value runs on to the next quote, on line 5, behind a < that no value may hold */
    ck_assert_contains(fault.text, "in attribute");
    ck_assert_int_ge(fault.line, 4);
    ck_assert_int_le(fault.line, 5);
}
END_TEST

/** What a function prints to standard error, to be freed. */
static char *
printed_by(void (*function)(void))
{
    char *path = g_build_filename(g_get_tmp_dir(), "tightbay-printed-XXXXXX", NULL);
    int file = g_mkstemp(path);
    int kept = dup(STDERR_FILENO);
    char *bytes = NULL;

    ck_assert_int_ge(file, 0);
    fflush(stderr);
    dup2(file, STDERR_FILENO);
    function();
    fflush(stderr);
    dup2(kept, STDERR_FILENO);
    ck_assert(g_file_get_contents(path, &bytes, NULL, NULL));
    close(kept);
    close(file);
    g_unlink(path);
    g_free(path);
    return bytes;
}

static void
read_damaged_encoding(void)
{
    static const char text[] = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                               "<bay version=\"1\" title=\"\xe9t\xe9\"/>";

    GString *other = small_with("encoding=\"UTF-8\"", "encoding=\"EUC-JP\"", NULL);

    refused(text, strlen(text));
    g_string_replace(other, "sample van", "sample \xff\xfe van", 1);
    refused(other->str, other->len);
    g_string_free(other, TRUE);
}

/* Found by random damage: libxml2 printed "encoding error : input conversion failed" by itself. */
START_TEST(damaged_encoding_is_refused_quietly)
{
    char *printed = printed_by(read_damaged_encoding);

    ck_assert_str_eq(printed, "");
    g_free(printed);
}
END_TEST

START_TEST(ten_thousand_levels_are_refused_with_the_limit)
{
    GString *text = g_string_new("<bay version=\"1\" title=\"x\">");
    TbFault fault;

    for (int i = 0; i < 10000; i++)
        g_string_append(text, "<a>");
    for (int i = 0; i < 10000; i++)
        g_string_append(text, "</a>");
    g_string_append(text, "</bay>");
    fault = refused(text->str, text->len);
    ck_assert_int_eq(fault.status, TB_E_LIMIT);
    ck_assert_contains(fault.text, "nested more than 64 deep");
    ck_assert_int_eq(fault.line, 1);
    g_string_free(text, TRUE);
}
END_TEST

/* A hole in a file costs no disk: 200 MB that are never read. */
START_TEST(file_of_200_mb_is_refused_before_it_is_read)
{
    char *path = g_build_filename(g_get_tmp_dir(), "tightbay-large-XXXXXX", NULL);
    int file = g_mkstemp(path);
    TbBay *bay = NULL;
    TbFault fault = {0};

    ck_assert_int_ge(file, 0);
    ck_assert_int_eq(ftruncate(file, 200000000), 0);
    ck_assert_int_eq(tb_bay_read_file(path, &bay, &fault), TB_E_LIMIT);
    ck_assert_contains(fault.text, "200000000 bytes, at most 67108864 are read");
    close(file);
    g_unlink(path);
    g_free(path);
}
END_TEST

START_TEST(bytes_above_the_limit_are_refused)
{
    TbBay *bay = NULL;
    TbFault fault = {0};

    /* the pointer is not looked at: the size is enough */
    ck_assert_int_eq(tb_bay_read_bytes("x", TB_BAY_SIZE_LIMIT + 1, &bay, &fault), TB_E_LIMIT);
    ck_assert_contains(fault.text, "67108865 bytes");
}
END_TEST

START_TEST(missing_file_and_folder_are_told)
{
    TbBay *bay = NULL;
    TbFault fault = {0};

    ck_assert_int_eq(tb_bay_read_file("/nowhere/at/all.bay", &bay, &fault), TB_E_IO);
    ck_assert_contains(fault.text, "cannot be opened: No such file or directory");
    ck_assert_int_eq(tb_bay_read_file(g_get_tmp_dir(), &bay, &fault), TB_E_IO);
    ck_assert_contains(fault.text, "cannot be read: Is a directory");
}
END_TEST

START_TEST(fault_becomes_a_gerror_with_place_and_line)
{
    TbFault fault = {0};
    GError *error = NULL;

    tb_fail_at(&fault, TB_E_RANGE, 12, "width 0 mm is not above 0");
    tb_set_error(&error, &fault, "van.bay");
    ck_assert_str_eq(error->message, "van.bay:12: width 0 mm is not above 0");
    ck_assert(g_error_matches(error, TB_ERROR, TB_E_RANGE));
    g_clear_error(&error);
    tb_fail(&fault, TB_E_IO, "cannot be read");
    tb_set_error(&error, &fault, "van.bay");
    ck_assert_str_eq(error->message, "van.bay: cannot be read");
    g_clear_error(&error);
}
END_TEST

/* ---- what is kept without being understood ---- */

START_TEST(foreign_namespace_is_kept_written_back_and_warned_about)
{
    GString *text = small_with("<ball id=\"steering-joint\" ",
                               "<ball xmlns:x=\"http://example.org/x\" x:tag=\"a &quot;b&quot; "
                               "&lt; c\" x:more=\"2\" id=\"steering-joint\" ",
                               NULL);
    TbBay *bay;
    TbBay *again;
    GString *out;
    const TbItem *item;

    g_string_replace(
        text, "<known by=\"guess\" uncertainty=\"10\"/>",
        "<known by=\"guess\" uncertainty=\"10\"/><y:deep xmlns:y=\"http://example.org/y\">"
        "<y:in k=\"v\">t &amp; u</y:in><!-- c --></y:deep>",
        1);
    bay = read_text(text->str);
    item = tb_bay_item(bay, "steering-joint");
    ck_assert_uint_eq(bay->warning_count, 3);
    ck_assert_contains(bay->warnings[0].text, "attribute tag of <ball> is of another namespace");
    ck_assert_contains(bay->warnings[2].text, "element <deep> is of another namespace");
    ck_assert_int_gt(bay->warnings[2].line, bay->warnings[0].line);
    ck_assert_ptr_nonnull(item->record.extra);
    out = tb_bay_to_text(bay);
    ck_assert_contains(out->str, "<y:in k=\"v\">t &amp; u</y:in><!-- c --></y:deep>");
    ck_assert_contains(
        out->str,
        " xmlns:x=\"http://example.org/x\" x:tag=\"a &quot;b&quot; &lt; c\" x:more=\"2\">");
    again = read_text(out->str);
    ck_assert(tb_bay_equal(bay, again));
    tb_bay_unref(again);
    tb_bay_unref(bay);
    g_string_free(out, TRUE);
    g_string_free(text, TRUE);
}
END_TEST

START_TEST(foreign_element_in_a_part_is_refused)
{
    GString *text = small_with("<path>", "<path xmlns:x=\"http://example.org/x\"><x:a/>", NULL);
    TbFault fault = refused(text->str, text->len);

    ck_assert_contains(fault.text, "element <a> is unknown here");
    g_string_free(text, TRUE);
}
END_TEST

START_TEST(later_version_keeps_what_is_unknown_and_stays_that_version)
{
    GString *text = small_with("version=\"1\"", "version=\"3\" mood=\"good\"", NULL);
    TbBay *bay;
    GString *out;

    g_string_replace(text, "radius=\"28\">", "radius=\"28\" squash=\"0.5\"><dent depth=\"3\"/>", 1);
    g_string_replace(text, "</views>", "</views><wiring><loom id=\"l\"/></wiring>", 1);
    bay = read_text(text->str);
    ck_assert_int_eq(bay->head->version, 3);
    ck_assert_contains(bay->warnings[0].text, "version 3 of the format, this program knows 1");
    ck_assert_uint_eq(bay->warning_count, 5);
    out = tb_bay_to_text(bay);
    ck_assert_contains(out->str, "version=\"3\"");
    ck_assert_contains(out->str, " mood=\"good\"");
    ck_assert_contains(out->str, " squash=\"0.5\"");
    ck_assert_contains(out->str, "<dent depth=\"3\"/>");
    ck_assert_contains(out->str, "<wiring><loom id=\"l\"/></wiring>");
    tb_bay_unref(bay);
    g_string_free(out, TRUE);

    /* the same things in a file of our own version are mistakes */
    g_string_replace(text, "version=\"3\"", "version=\"1\"", 1);
    refused(text->str, text->len);
    g_string_free(text, TRUE);
}
END_TEST

/* ---- what is read ---- */

START_TEST(small_bay_is_read_as_written)
{
    TbBay *bay = read_small();
    const TbDuct *outlet = tb_item_duct(tb_bay_item(bay, "outlet"));
    const TbMount *engine = tb_bay_mount(bay, "engine");
    const TbLine *harness = tb_item_line(tb_bay_item(bay, "harness"));
    const TbKeep *keep = tb_bay_keep(bay, "hot-structure");

    ck_assert_uint_eq(bay->warning_count, 0);
    ck_assert_str_eq(bay->head->title, "Small bay & every element");
    ck_assert_int_eq(bay->head->unit, TB_DISPLAY_INCH);
    ck_assert_double_eq(bay->head->ground, -85.25);
    ck_assert_str_eq(bay->head->notes[1].text, "Second paragraph, 2 < 3,\non two lines.");
    ck_assert_str_eq(bay->head->notes[1].part.comment, " a comment before a note ");
    ck_assert_double_eq(engine->rx.low, -2.5);
    ck_assert_double_eq(engine->axis_direction.y, 1);
    ck_assert_double_eq(engine->reference, 22);
    ck_assert(!tb_vec3_is_given(tb_bay_mount(bay, "body")->axis_point));
    ck_assert_double_eq(tb_bay_mount(bay, "body")->reference, 20);
    ck_assert_uint_eq(outlet->row_count, 4);
    ck_assert_double_eq(outlet->rows[1].corner.v[2], 20);
    ck_assert(outlet->rows[1].hold_size && outlet->rows[1].lock && !outlet->rows[0].lock);
    ck_assert_int_eq(outlet->rows[2].kind, TB_ROW_SUPERELLIPSE);
    ck_assert(!tb_is_given(outlet->rows[2].width) && !tb_is_given(outlet->rows[0].wall));
    ck_assert_double_eq(outlet->rows[2].half.v[TB_NUMBERS_MAX - 5], 21);
    ck_assert(outlet->rows[3].from_end);
    ck_assert_int_eq(outlet->item.kind, TB_ITEM_DUCT);
    ck_assert_str_eq(outlet->item.record.why, "flatter past the rail");
    ck_assert_double_eq(outlet->start->rings[0].from, 0);
    ck_assert_int_eq(outlet->process->kind, TB_PROCESS_CAST);
    ck_assert_str_eq(harness->end_mount, "body");
    ck_assert_ptr_null(harness->end);
    ck_assert_str_eq(keep->gaps[1].state, "hot+rocking");
    ck_assert_int_eq(keep->same_casting, TB_TELL_NO);
    ck_assert_int_eq(tb_bay_port(bay, "flange")->housing, -1);
    ck_assert_str_eq(tb_bay_step_at(bay, 0)->text, "Turn it in from above.\nMind the brake line.");
    ck_assert_ptr_null(tb_bay_item(bay, "body")); /* there, but not an item */
    ck_assert_ptr_null(tb_bay_find(bay, "nothing"));
    tb_bay_unref(bay);
}
END_TEST

START_TEST(comma_locale_changes_nothing)
{
    GString *text = data_text("small.bay");
    TbBay *bay;
    GString *out;

    /* where none can be had the test still runs, in its own locale */
    if (tb_test_comma_locale_here() == NULL)
        fprintf(stderr, "# no locale with a comma here, and localedef cannot make one\n");
    bay = read_text(text->str);
    ck_assert_double_eq(bay->head->ground, -85.25);
    out = tb_bay_to_text(bay);
    ck_assert_str_eq(out->str, text->str);
    setlocale(LC_ALL, "C");
    tb_bay_unref(bay);
    g_string_free(out, TRUE);
    g_string_free(text, TRUE);
}
END_TEST

/** A multiplicative generator (Lehmer, a = 48271, m = 2^31 - 1): the same damage everywhere. */
static unsigned
next_random(uint64_t *state, unsigned below)
{
    *state = *state * 48271 % 2147483647;
    return (unsigned)(*state % below);
}

/** One digit, letter or mark changed, a stretch taken out, or a stretch doubled. */
static void
damage(GString *text, uint64_t *random)
{
    static const char marks[] = "0123456789-. eE\"<>/&abxyz\n";
    gssize at = (gssize)next_random(random, (unsigned)text->len - 60);
    gssize length = (gssize)next_random(random, 60);
    char *stretch;

    switch (next_random(random, 6)) {
    case 0:
        g_string_erase(text, at, length);
        break;
    case 1:
        stretch = g_strndup(text->str + at, (gsize)length);
        g_string_insert(text, at, stretch);
        g_free(stretch);
        break;
    default: /* inside the values of attributes, where the XML stays whole */
        while (g_ascii_isdigit(text->str[at]) == 0)
            at = (gssize)next_random(random, (unsigned)text->len);
        text->str[at] = marks[next_random(random, 16)];
    }
}

START_TEST(random_damage_is_refused_with_a_sentence_or_read_and_written_back)
{
    GString *whole = data_text("small.bay");
    uint64_t random = 20310409;
    unsigned accepted = 0;

    for (int i = 0; i < 600; i++) {
        GString *text = g_string_new(whole->str);
        TbBay *bay = NULL;
        TbFault fault = {0};

        for (unsigned k = next_random(&random, 3) + 1; k > 0; k--)
            damage(text, &random);
        if (tb_bay_read_bytes(text->str, text->len, &bay, &fault) == TB_OK) {
            GString *out = tb_bay_to_text(bay);
            TbBay *again = read_text(out->str);

            ck_assert(tb_bay_equal(bay, again));
            accepted++;
            tb_bay_unref(again);
            tb_bay_unref(bay);
            g_string_free(out, TRUE);
        } else {
            ck_assert_ptr_null(bay);
            ck_assert_int_gt(strlen(fault.text), 10);
        }
        g_string_free(text, TRUE);
    }
    ck_assert_uint_gt(accepted, 60);
    g_string_free(whole, TRUE);
}
END_TEST

/* ---- no memory ---- */

START_TEST(every_failing_request_is_told_and_nothing_leaks)
{
    GString *text = data_text("small.bay");
    TbBay *bay = NULL;
    long requests;

    tb_mem_fail_at(0);
    ck_assert_int_eq(tb_bay_read_bytes(text->str, text->len, &bay, NULL), TB_OK);
    requests = tb_mem_requests();
    tb_bay_unref(bay);
    ck_assert_int_gt(requests, 300);
    for (long n = 1; n <= requests; n++) {
        TbFault fault = {0};

        bay = NULL;
        tb_mem_fail_at(n);
        ck_assert_msg(tb_bay_read_bytes(text->str, text->len, &bay, &fault) == TB_E_MEMORY,
                      "request %ld: %s", n, fault.text);
        ck_assert_ptr_null(bay);
        ck_assert_msg(fault.text[0] != '\0', "request %ld is not told", n);
    }
    tb_mem_fail_at(0);
    g_string_free(text, TRUE);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("bay/read");
    TCase *wrong = tcase_create("wrong");
    TCase *strange = tcase_create("strange");
    TCase *right = tcase_create("right");

    tcase_set_timeout(wrong, 60);
    tcase_set_timeout(right, 120);
    tcase_add_loop_test(wrong, wrong_text_is_refused_with_its_line_and_number, 0,
                        G_N_ELEMENTS(wrong_texts));
    tcase_add_test(wrong, fault_names_the_line_of_the_element_that_is_wrong);
    tcase_add_test(wrong, line_beyond_65535_is_still_right);
    tcase_add_test(wrong, duplicate_id_names_both_lines);
    tcase_add_test(wrong, ports_that_follow_each_other_in_a_circle_are_named);
    tcase_add_loop_test(strange, what_is_not_a_bay_is_refused, 0, G_N_ELEMENTS(not_bays));
    tcase_add_test(strange, trouble_is_told_at_its_first_place);
    tcase_add_test(strange, damaged_encoding_is_refused_quietly);
    tcase_add_test(strange, ten_thousand_levels_are_refused_with_the_limit);
    tcase_add_test(strange, file_of_200_mb_is_refused_before_it_is_read);
    tcase_add_test(strange, bytes_above_the_limit_are_refused);
    tcase_add_test(strange, missing_file_and_folder_are_told);
    tcase_add_test(strange, fault_becomes_a_gerror_with_place_and_line);
    tcase_add_test(strange, foreign_namespace_is_kept_written_back_and_warned_about);
    tcase_add_test(strange, foreign_element_in_a_part_is_refused);
    tcase_add_test(strange, later_version_keeps_what_is_unknown_and_stays_that_version);
    tcase_add_test(right, small_bay_is_read_as_written);
    tcase_add_test(right, comma_locale_changes_nothing);
    tcase_add_test(right, random_damage_is_refused_with_a_sentence_or_read_and_written_back);
    tcase_add_test(right, every_failing_request_is_told_and_nothing_leaks);
    suite_add_tcase(s, wrong);
    suite_add_tcase(s, strange);
    suite_add_tcase(s, right);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
