/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * data/bay.rng and the field tables say the same: every attribute and child of a table is in the
 * schema's element and the other way round, needed where it is needed, with the same words.
 */

#include "bays.h"

#include "bay/data.h"
#include "bay/fields.h"

#include <libxml/parser.h>
#include <libxml/relaxng.h>

static xmlDoc *
schema_tree(void)
{
    xmlDoc *tree = xmlReadMemory(tb_data_bay_rng, (int)tb_data_bay_rng_size, NULL, NULL,
                                 XML_PARSE_NOBLANKS | XML_PARSE_NONET);

    ck_assert_ptr_nonnull(tree);
    return tree;
}

static gboolean
is_tag(const xmlNode *node, const char *tag)
{
    return node->type == XML_ELEMENT_NODE && strcmp((const char *)node->name, tag) == 0;
}

static char *
name_of(xmlNode *node)
{
    return (char *)xmlGetProp(node, (const xmlChar *)"name");
}

static xmlNode *
find_define(xmlDoc *tree, const char *name)
{
    for (xmlNode *n = xmlDocGetRootElement(tree)->children; n != NULL; n = n->next)
        if (is_tag(n, "define")) {
            char *own = name_of(n);
            gboolean same = strcmp(own, name) == 0;

            xmlFree(own);
            if (same)
                return n;
        }
    ck_abort_msg("no define \"%s\"", name);
    return NULL;
}

/** What the schema says of one element. */
typedef struct Said {
    GHashTable *attributes; /**< name -> xmlNode of <attribute> */
    GHashTable *optional;   /**< the names among them that are optional */
    GHashTable *children;   /**< tag -> xmlNode of <element> */
    gboolean text;
} Said;

/** Walks a pattern: attributes, text, child elements; references are followed, elements not
 * entered. */
static void
walk(xmlDoc *tree, xmlNode *pattern, gboolean optional, Said *said)
{
    for (xmlNode *n = pattern->children; n != NULL; n = n->next) {
        if (is_tag(n, "attribute") && xmlHasProp(n, (const xmlChar *)"name")) {
            char *name = name_of(n);

            ck_assert_msg(g_hash_table_insert(said->attributes, g_strdup(name), n), "%s twice",
                          name);
            if (optional)
                g_hash_table_add(said->optional, g_strdup(name));
            xmlFree(name);
        } else if (is_tag(n, "element") && xmlHasProp(n, (const xmlChar *)"name")) {
            char *name = name_of(n);

            g_hash_table_insert(said->children, g_strdup(name), n);
            xmlFree(name);
        } else if (is_tag(n, "text") || is_tag(n, "data")) {
            said->text = TRUE;
        } else if (is_tag(n, "ref")) {
            char *name = name_of(n);

            if (strncmp(name, "foreign", 7) != 0)
                walk(tree, find_define(tree, name), optional, said);
            xmlFree(name);
        } else if (is_tag(n, "optional") || is_tag(n, "zeroOrMore")) {
            walk(tree, n, TRUE, said);
        } else if (is_tag(n, "oneOrMore") || is_tag(n, "choice")) {
            walk(tree, n, optional, said);
        }
    }
}

static void
clear_said(Said *said)
{
    g_hash_table_unref(said->attributes);
    g_hash_table_unref(said->optional);
    g_hash_table_unref(said->children);
}

static Said
hear(xmlDoc *tree, xmlNode *element)
{
    Said said = {
        g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
        g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
        g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
        FALSE,
    };

    walk(tree, element, FALSE, &said);
    return said;
}

/** Collects the words of <value> below a node, references followed. */
static void
collect_words(xmlDoc *tree, xmlNode *node, GPtrArray *words)
{
    for (xmlNode *n = node->children; n != NULL; n = n->next) {
        if (is_tag(n, "value")) {
            xmlChar *word = xmlNodeGetContent(n);

            g_ptr_array_add(words, g_strdup((const char *)word));
            xmlFree(word);
        } else if (is_tag(n, "ref")) {
            char *name = name_of(n);

            collect_words(tree, find_define(tree, name), words);
            xmlFree(name);
        } else {
            collect_words(tree, n, words);
        }
    }
}

static void
compare_words(xmlDoc *tree, xmlNode *attribute, const TbField *field)
{
    GPtrArray *words = g_ptr_array_new_with_free_func(g_free);
    size_t count = 0;

    collect_words(tree, attribute, words);
    while (field->names[count] != NULL) {
        ck_assert_msg(count < words->len && strcmp(words->pdata[count], field->names[count]) == 0,
                      "%s: word \"%s\" of the table is not at its place in the schema", field->name,
                      field->names[count]);
        count++;
    }
    ck_assert_msg(count == words->len, "%s: the schema has %u words, the table %zu", field->name,
                  words->len, count);
    g_ptr_array_unref(words);
}

/** The type a field has in the schema. */
static const char *
type_wanted(const TbField *field)
{
    static const char *const types[] = {
        [TB_FIELD_NUMBER] = "number",
        [TB_FIELD_INTEGER] = "whole",
        [TB_FIELD_FLAG] = "flag",
        [TB_FIELD_CHOICE] = NULL,
        [TB_FIELD_ID] = "id",
        [TB_FIELD_REFERENCE] = "-id",
        [TB_FIELD_MATERIAL] = "material-id",
        [TB_FIELD_STATES] = "state-ids",
        [TB_FIELD_WORD] = "word",
        [TB_FIELD_TEXT] = "words",
        [TB_FIELD_DATE] = "date",
        [TB_FIELD_DIGEST] = "digest",
        [TB_FIELD_VEC2] = "two",
        [TB_FIELD_VEC3] = "three",
        [TB_FIELD_DIRECTION] = "direction",
        [TB_FIELD_SPREAD] = "spread",
        [TB_FIELD_NUMBERS] = NULL,
        [TB_FIELD_BODY] = NULL,
    };

    return types[field->kind];
}

static void
compare_type(xmlNode *attribute, const TbField *field)
{
    const char *want = type_wanted(field);
    char *type;

    if (want == NULL)
        return;
    ck_assert_msg(attribute->children != NULL && is_tag(attribute->children, "ref"), "%s",
                  field->name);
    type = name_of(attribute->children);
    ck_assert_msg(g_str_has_suffix(type, want), "%s is %s in the schema, %s in the table",
                  field->name, type, want);
    xmlFree(type);
}

static unsigned
count_fields(const TbElement *element)
{
    unsigned count = 0;
    const TbField *field;

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++)
        count += field->kind != TB_FIELD_BODY;
    return count;
}

static void
compare(xmlDoc *tree, xmlNode *schema, const TbElement *element, unsigned *attributes)
{
    Said said = hear(tree, schema);
    const TbField *field;
    size_t lists = element == &tb_element_bay ? TB_LIST_COUNT : 0;

    for (size_t i = 0; (field = tb_element_field(element, i)) != NULL; i++) {
        xmlNode *attribute = g_hash_table_lookup(said.attributes, field->name);

        if (field->kind == TB_FIELD_BODY)
            continue;
        ck_assert_msg(attribute != NULL, "<%s %s> is not in the schema", element->name,
                      field->name);
        ck_assert_msg(g_hash_table_contains(said.optional, field->name) != field->needed,
                      "<%s %s>: table and schema differ on whether it is needed", element->name,
                      field->name);
        compare_type(attribute, field);
        if (field->kind == TB_FIELD_CHOICE)
            compare_words(tree, attribute, field);
        (*attributes)++;
    }
    ck_assert_msg(g_hash_table_size(said.attributes) == count_fields(element),
                  "<%s> has %u attributes in the schema, %u in the table", element->name,
                  g_hash_table_size(said.attributes), count_fields(element));
    ck_assert_msg(said.text == (tb_element_body(element) != NULL), "text of <%s>", element->name);
    ck_assert_msg(g_hash_table_size(said.children) == element->child_count + lists,
                  "<%s> has %u kinds of children in the schema", element->name,
                  g_hash_table_size(said.children));
    for (size_t c = 0; c < element->child_count; c++) {
        const TbElement *child = element->children[c].element;
        xmlNode *node = g_hash_table_lookup(said.children, child->name);

        ck_assert_msg(node != NULL, "<%s> in <%s> is not in the schema", child->name,
                      element->name);
        compare(tree, node, child, attributes);
    }
    clear_said(&said);
}

START_TEST(tables_and_schema_say_the_same)
{
    xmlDoc *tree = schema_tree();
    Said bay = {NULL, NULL, NULL, FALSE};
    unsigned attributes = 0;
    unsigned records = 0;

    for (xmlNode *n = find_define(tree, "bay")->children; n != NULL; n = n->next)
        if (is_tag(n, "element")) {
            bay = hear(tree, n);
            compare(tree, n, &tb_element_bay, &attributes);
        }
    for (size_t l = 0; l < TB_LIST_COUNT; l++) {
        xmlNode *list = g_hash_table_lookup(bay.children, tb_list_names[l]);
        Said said;
        GHashTableIter iter;
        gpointer tag;
        gpointer node;

        ck_assert_msg(list != NULL, "<%s> is not in the schema", tb_list_names[l]);
        said = hear(tree, list);
        g_hash_table_iter_init(&iter, said.children);
        while (g_hash_table_iter_next(&iter, &tag, &node)) {
            const TbElement *element = tb_element_find(tag, (TbListKind)l);

            ck_assert_msg(element != NULL, "<%s> has no table", (char *)tag);
            compare(tree, node, element, &attributes);
            records++;
        }
        clear_said(&said);
    }
    clear_said(&bay);
    for (size_t i = 0; tb_elements[i] != NULL; i++)
        records--;
    ck_assert_uint_eq(records, 0);
    ck_assert_uint_gt(attributes, 200);
    xmlFreeDoc(tree);
}
END_TEST

static void
stay_quiet(void *user, xmlError *error)
{
    (void)user;
    (void)error;
}

static int
validate(const char *text)
{
    xmlRelaxNGParserCtxt *parser =
        xmlRelaxNGNewMemParserCtxt(tb_data_bay_rng, (int)tb_data_bay_rng_size);
    xmlRelaxNG *schema = xmlRelaxNGParse(parser);
    xmlRelaxNGValidCtxt *valid = xmlRelaxNGNewValidCtxt(schema);
    xmlDoc *tree = xmlReadMemory(text, (int)strlen(text), NULL, NULL, 0);
    int result;

    ck_assert_ptr_nonnull(schema);
    xmlRelaxNGSetValidStructuredErrors(valid, stay_quiet, NULL);
    result = xmlRelaxNGValidateDoc(valid, tree);
    xmlFreeDoc(tree);
    xmlRelaxNGFreeValidCtxt(valid);
    xmlRelaxNGFree(schema);
    xmlRelaxNGFreeParserCtxt(parser);
    return result;
}

START_TEST(whole_schema_accepts_the_small_bay)
{
    GString *text = data_text("small.bay");

    ck_assert_int_eq(validate(text->str), 0);
    g_string_free(text, TRUE);
}
END_TEST

/* What the program's copy without optional attributes cannot show: values of optional ones. */
START_TEST(whole_schema_refuses_wrong_optional_values)
{
    static const char *const wrong[][2] = {
        {"corner=\"29\"", "corner=\"29 30\""}, {"turn=\"6\"", "turn=\"six\""},
        {"spare=\"yes\"", "spare=\"true\""},   {"due=\"2031-06-01\"", "due=\"soon\""},
        {"unit=\"m\"", "unit=\"foot\""},       {"least-wall=\"3.5\"", "least-walls=\"3.5\""},
    };

    for (size_t i = 0; i < G_N_ELEMENTS(wrong); i++) {
        GString *text = small_with(wrong[i][0], wrong[i][1], NULL);

        ck_assert_msg(validate(text->str) != 0, "%s was accepted", wrong[i][1]);
        refused(text->str, text->len); /* and so does the program */
        g_string_free(text, TRUE);
    }
}
END_TEST

/* A mount with all of its attributes took 3 s before the schema was asked without optional ones. */
START_TEST(element_with_every_attribute_is_read_at_once)
{
    GString *text = small_with(
        "<mount id=\"bracket\" name=\"on soft rubbers\" parent=\"engine\"",
        "<mount id=\"bracket\" name=\"on soft rubbers\" parent=\"engine\""
        " axis-point=\"1 2 3\" axis-direction=\"1 0 0\" rx=\"-1 1\" datum=\"1 1 1\""
        " reference=\"21\" sag=\"0 0 1\" lift=\"0 0 2\" who=\"w\" when=\"2031-01-01\" why=\"y\"",
        NULL);
    gint64 start = g_get_monotonic_time();

    tb_bay_unref(read_text(text->str));
    ck_assert_int_lt(g_get_monotonic_time() - start, 2000000); /* us; usually 10 000 */
    g_string_free(text, TRUE);
}
END_TEST

static Suite *
suite(void)
{
    Suite *s = suite_create("bay/schema");
    TCase *c = tcase_create("schema");

    tcase_set_timeout(c, 60);
    tcase_add_test(c, tables_and_schema_say_the_same);
    tcase_add_test(c, whole_schema_accepts_the_small_bay);
    tcase_add_test(c, whole_schema_refuses_wrong_optional_values);
    tcase_add_test(c, element_with_every_attribute_is_read_at_once);
    suite_add_tcase(s, c);
    return s;
}

int
main(void)
{
    return tb_test_main(suite());
}
