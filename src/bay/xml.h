/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file xml.h
 * @brief Bytes to an XML tree under limits, and the schema's word on it. For reading only.
 */
#pragma once

#include "base/fault.h"

#include <libxml/tree.h>

/**
 * Parse without network, entities or a document type; refuse deep nesting. Quiet.
 *
 * @param[out] tree to be freed by xmlFreeDoc()
 * @return TB_OK, TB_E_FORMAT or TB_E_LIMIT with the line, TB_E_MEMORY
 */
TbStatus tb_xml_parse(const char *bytes, size_t size, xmlDoc **tree, TbFault *fault);

/** Line of a node, right beyond 65535 too. */
int tb_xml_line(const xmlNode *node);

/**
 * RELAX NG validation against the compiled-in data/bay.rng.
 *
 * @return TB_OK, or TB_E_FORMAT with the first trouble of the file
 */
TbStatus tb_xml_validate(xmlDoc *tree, TbFault *fault);
