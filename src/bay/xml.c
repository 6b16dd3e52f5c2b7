/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/xml.h"

#include "bay/data.h"
#include "bay/read.h"

#include <libxml/SAX2.h>
#include <libxml/parser.h>
#include <libxml/relaxng.h>
#include <limits.h>
#include <stdint.h>
#include <string.h>

int
tb_xml_line(const xmlNode *node)
{
    return node->_private != NULL ? (int)(intptr_t)node->_private : (int)xmlGetLineNo(node);
}

/** libxml2's words, on one line and without its full stop. */
static void
tidy_message(const char *message, char *out, size_t room)
{
    size_t n = 0;

    for (; message != NULL && *message != '\0' && n + 1 < room; message++)
        out[n++] = *message == '\n' || *message == '\t' ? ' ' : *message;
    while (n > 0 && (out[n - 1] == ' ' || out[n - 1] == '.'))
        n--;
    out[n] = '\0';
}

/* ---- parsing ---- */

/** What the handlers below find out while libxml2 parses. */
typedef struct Watch {
    int dtd_line;                 /**< of a document type declaration; 0: none */
    int deep_line;                /**< of an element nested too deep; 0: none */
    int first_line, first_column; /**< of the first trouble; 0: none */
    char first[200];              /**< the first trouble; what follows is mostly its consequence */
} Watch;

/** A document type declaration: no entities, no fetching, nothing: stop. */
static void
see_dtd(void *context, const xmlChar *name, const xmlChar *external, const xmlChar *system)
{
    xmlParserCtxt *parser = context;
    Watch *watch = parser->_private;

    (void)name;
    (void)external;
    (void)system;
    if (watch->dtd_line == 0)
        watch->dtd_line = xmlSAX2GetLineNumber(context);
    xmlStopParser(parser);
}

/** An element begins: passed on to the tree, or too deep. */
static void
see_element(void *context,
            const xmlChar *name,
            const xmlChar *prefix,
            const xmlChar *uri,
            int namespace_count,
            const xmlChar **namespaces,
            int attribute_count,
            int defaulted_count,
            const xmlChar **attributes)
{
    xmlParserCtxt *parser = context;
    Watch *watch = parser->_private;

    if (parser->nodeNr >= TB_BAY_DEPTH_LIMIT) {
        if (watch->deep_line == 0)
            watch->deep_line = xmlSAX2GetLineNumber(context);
        xmlStopParser(parser);
        return;
    }
    xmlSAX2StartElementNs(context, name, prefix, uri, namespace_count, namespaces, attribute_count,
                          defaulted_count, attributes);
    /* a node's own line number ends at 65535 */
    if (parser->node != NULL)
        parser->node->_private = (void *)(intptr_t)xmlSAX2GetLineNumber(context);
}

static void
stay_quiet(void *context, xmlError *error)
{
    (void)context;
    (void)error;
}

/** Quiet too, but the first error is remembered: it is where the user has to look. */
static void
remember_first(void *context, xmlError *error)
{
    xmlParserCtxt *parser = context;
    Watch *watch = parser->_private;

    if (watch->first_line > 0 || error->level < XML_ERR_ERROR)
        return;
    watch->first_line = error->line > 0 ? error->line : 1;
    watch->first_column = error->int2;
    tidy_message(error->message, watch->first, sizeof watch->first);
}

static TbStatus
parse_failed(const xmlParserCtxt *parser, TbFault *fault)
{
    const xmlError *error = xmlCtxtGetLastError((xmlParserCtxt *)(uintptr_t)parser);
    const Watch *watch = parser->_private;
    char message[200];

    if (watch->dtd_line > 0)
        return tb_fail_at(fault, TB_E_FORMAT, watch->dtd_line,
                          "a document type declaration (DTD) is not allowed in a bay");
    if (watch->deep_line > 0)
        return tb_fail_at(fault, TB_E_LIMIT, watch->deep_line,
                          "elements are nested more than %d deep", TB_BAY_DEPTH_LIMIT);
    if (error == NULL)
        return tb_fail(fault, TB_E_FORMAT, "not XML");
    if (error->code == XML_ERR_NO_MEMORY)
        return tb_fail(fault, TB_E_MEMORY, "no room for the XML tree");
    if (watch->first_line > 0)
        return tb_fail_at(fault, TB_E_FORMAT, watch->first_line, "not XML: %s in column %d",
                          watch->first, watch->first_column);
    tidy_message(error->message, message, sizeof message);
    return tb_fail_at(fault, TB_E_FORMAT, error->line, "not XML: %s in column %d", message,
                      error->int2);
}

TbStatus
tb_xml_parse(const char *bytes, size_t size, xmlDoc **out, TbFault *fault)
{
    const int options = XML_PARSE_NONET | XML_PARSE_NOCDATA | XML_PARSE_BIG_LINES |
                        XML_PARSE_NOERROR | XML_PARSE_NOWARNING;
    xmlStructuredErrorFunc old_handler = xmlStructuredError;
    void *old_context = xmlStructuredErrorContext;
    xmlParserCtxt *parser;
    Watch watch = {0};
    xmlDoc *tree;
    TbStatus status = TB_OK;

    if (size == 0)
        return tb_fail(fault, TB_E_FORMAT, "not XML: it is empty (0 bytes)");
    if (size > INT_MAX)
        return tb_fail(fault, TB_E_LIMIT, "%zu bytes are too many", size);
    parser = xmlNewParserCtxt();
    if (parser == NULL)
        return tb_fail(fault, TB_E_MEMORY, "no room for an XML parser");
    parser->_private = &watch;
    parser->sax->internalSubset = see_dtd;
    parser->sax->startElementNs = see_element;
    parser->sax->serror = remember_first;
    /* troubles of encodings go past the parser to this handler, which is one of the thread's */
    xmlSetStructuredErrorFunc(NULL, stay_quiet);
    tree = xmlCtxtReadMemory(parser, bytes, (int)size, NULL, NULL, options);
    xmlSetStructuredErrorFunc(old_context, old_handler);
    if (tree == NULL || watch.dtd_line > 0 || watch.deep_line > 0)
        status = parse_failed(parser, fault);
    xmlFreeParserCtxt(parser);
    if (status == TB_OK)
        *out = tree;
    else
        xmlFreeDoc(tree);
    return status;
}

/* ---- the schema ---- */

/** The first trouble by line; libxml2 tells the inner one first and then what contains it. */
typedef struct First {
    int line;
    char message[200];
} First;

static void
keep_first(void *user, xmlError *error)
{
    First *first = user;

    if (first->line != 0)
        return;
    first->line = error->line > 0 ? error->line : 1;
    tidy_message(error->message, first->message, sizeof first->message);
}

TbStatus
tb_xml_validate(xmlDoc *tree, TbFault *fault)
{
    First first = {0, ""};
    xmlRelaxNGParserCtxt *parser =
        xmlRelaxNGNewMemParserCtxt(tb_data_bay_rng, (int)tb_data_bay_rng_size);
    xmlRelaxNG *schema = NULL;
    xmlRelaxNGValidCtxt *valid = NULL;
    TbStatus status = TB_OK;

    if (parser != NULL) {
        xmlRelaxNGSetParserStructuredErrors(parser, keep_first, &first);
        schema = xmlRelaxNGParse(parser);
    }
    if (schema != NULL)
        valid = xmlRelaxNGNewValidCtxt(schema);
    if (valid == NULL) {
        /* the schema is ours and tested: only room can lack */
        status = tb_fail(fault, TB_E_MEMORY, "no room for the schema %s", first.message);
    } else {
        xmlRelaxNGSetValidStructuredErrors(valid, keep_first, &first);
        if (xmlRelaxNGValidateDoc(valid, tree) != 0)
            status = tb_fail_at(fault, TB_E_FORMAT, first.line, "not as the schema has it: %s",
                                first.message);
    }
    xmlRelaxNGFreeValidCtxt(valid);
    xmlRelaxNGFree(schema);
    xmlRelaxNGFreeParserCtxt(parser);
    return status;
}
