/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file field_private.h
 * @brief A solid as a tree that refines itself while a search asks: groups, strips, plain pieces,
 *        a mesh's boxes and triangles.
 *
 * Children of a node lie side by side. A strip's halves and a mesh's boxes come into being when
 * tb_field__open() is called; what they are does not depend on when. Nothing is shared: a field
 * belongs to one query.
 */
#pragma once

#include "gaps/gap.h"
#include "gaps/tube_private.h"
#include "geom/bound.h"

typedef enum TbNodeKind {
    TB_NODE_GROUP,   /**< a box over its children */
    TB_NODE_BOXES,   /**< a node of a mesh's tree */
    TB_NODE_STRIP,   /**< of a sweep */
    TB_NODE_TUBE,    /**< of a sweep where it is a round bar; only where asked for */
    TB_NODE_PIECE,   /**< convex, exact */
    TB_NODE_TRIANGLE /**< exact */
} TbNodeKind;

typedef struct TbNode {
    TbBox3 box;
    TbVec3 centre; /**< of a ball that holds the node too */
    double radius;
    TbVec3 from,
        to;       /**< of a part of a path: no point of it is further from the line between ... */
    double thick; /**< mm ... than this; below 0: no such line */
    double loose; /**< mm: about how much larger its body is than what it stands for */
    double station0, station1; /**< of a strip or a group of strips */
    TbNodeKind kind;
    uint32_t part;         /**< of the solid */
    uint32_t index;        /**< strip, piece, packed place of a tree, or triangle of its mesh */
    uint32_t first, count; /**< children; count 0 until opened, and for exact nodes */
} TbNode;

typedef struct TbField {
    const TbSolid *solid; /**< NULL: one body, or one sweep */
    const TbConvex *body; /**< the one body */
    const TbSweep *sweep; /**< the one sweep */
    TbNode *node;
    size_t count, room;
    const TbPartStrip **strip; /**< lent by the solid, or in a block: they stay where they are */
    size_t strips, strip_room;
    struct TbStripBlock *block; /**< the field's own, the newest first */
    bool with_tubes;
    bool without_meshes;
    TbTube *tube;
    size_t tubes, tube_room;
    uint32_t root;
    bool empty;
} TbField;

/** Which part of a sweep is left after the ports' surroundings are taken off. */
typedef struct TbKept {
    double from, to; /**< stations, mm; from >= to: nothing */
} TbKept;

TbKept tb_field__kept(const TbSweep *sweep, const TbLeaveOut leave_out[], size_t count);

/** An end part (flange, clamp, bolt) whose box's middle lies within a port's radius. */
bool tb_field__is_left_out(const TbPart *part, const TbLeaveOut leave_out[], size_t count);

/** @return TB_OK or TB_E_MEMORY; the field is to be cleared in either case. */
TbStatus tb_field__of_solid(TbField *field,
                            const TbSolid *solid,
                            const TbLeaveOut leave_out[],
                            size_t count);

/** The same for single sections: round bars within as tubes, and without meshes, which are looked
 * at in another way (scan.h). */
TbStatus tb_field__of_solid_for_sections(TbField *field,
                                         const TbSolid *solid,
                                         const TbLeaveOut leave_out[],
                                         size_t count);
TbStatus tb_field__of_sweep(TbField *field, const TbSweep *sweep, TbKept kept);

/** The same field again, to be refined on its own; the first must outlive it. @return TB_OK or
 * TB_E_MEMORY; to be cleared in either case. */
TbStatus tb_field__copy(TbField *field, const TbField *from);

/** One convex body, which must outlive the field. */
TbStatus tb_field__of_body(TbField *field, const TbConvex *body);

/** The body has changed: its node follows. */
void tb_field__renew_body(TbField *field);

void tb_field__clear(TbField *field);

/** Make a node's children; true when it has some. A node that cannot be refined has none. */
TbStatus tb_field__open(TbField *field, uint32_t node, bool *opened);

/** The node as a convex body; it points into the field, and holds until the next open. */
TbConvex tb_field__body(const TbField *field, uint32_t node);

static inline bool
tb_node__is_box(const TbNode *node)
{
    return node->kind == TB_NODE_GROUP || node->kind == TB_NODE_BOXES;
}

/** The strip of a strip node. */
static inline const TbStrip *
tb_field__strip(const TbField *field, uint32_t node)
{
    return &field->strip[field->node[node].index]->strip;
}

/** How far a node that is no group reaches along a unit d, all included: no less than it does. */
double tb_field__leaf_reach(const TbField *field, uint32_t node, TbVec3 d);

const TbPart *tb_field__part(const TbField *field, uint32_t node);

/** Some point of the solid inside a node, and where it is. */
TbVec3 tb_field__some_point(const TbField *field, uint32_t node, TbSite *site);
