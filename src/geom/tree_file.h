/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file tree_file.h
 * @brief A tree with its mesh as bytes, for a cache on the disk, and back.
 *
 * One format, of one version, little-endian: a header of TB_TREE_FILE_HEADER bytes, the key, then
 * vertices, corners, numbers and shells as they lie in memory. The boxes are not in the file: made
 * again from the triangles they take less time than checking them, and cannot be wrong.
 *
 * The bytes are believed in nothing. Magic, version, byte order, the form of a double, sizes, key
 * and two checksums (XXH64, base/sum.h) must be right before anything is looked at; then every
 * index, number, shell, coordinate and fact is checked against what a tree can be, so that also a
 * file made with bad intent cannot lead a query out of its arrays. No array is larger than the
 * file.
 *
 * A tree comes back bit for bit. To be kept, its coordinates must lie within TB_LIMIT_COORDINATE.
 */
#pragma once

#include "geom/tree.h"

/** Anything that changes what the same bytes of a scan become (welding, facts, order of a tree) or
 * how it is written here makes another version. */
#define TB_TREE_FILE_VERSION 1

#define TB_TREE_FILE_HEADER 224

/** Bytes that a tree takes with a key. */
uint64_t tb_tree_file_size(const TbTree *tree, const char *key);

/**
 * @param key   what the tree is of: any text
 * @param sink  gets the bytes in large pieces; what it got before a failure is to be thrown away
 * @return TB_OK, what the sink said, or TB_E_FORMAT on a machine of another byte order
 */
TbStatus tb_tree_file_write(const TbTree *tree, const char *key, TbSink *sink, TbFault *fault);

/**
 * @param source its size must be known
 * @param key    the key that it was written with
 * @return TB_OK; TB_E_FORMAT (not such a file, damaged, of another version or key), TB_E_MEMORY,
 *         TB_E_IO, TB_E_CANCELLED
 */
TbStatus tb_tree_file_read(
    TbSource *source, const char *key, TbWork *work, TbTask *task, TbTree **tree, TbFault *fault);
