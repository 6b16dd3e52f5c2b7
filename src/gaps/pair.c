/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "gaps/pair_private.h"

#include "base/mem.h"

bool
tb_pair__is_before(const TbPair *x, const TbPair *y)
{
    if (x->lower != y->lower)
        return x->lower < y->lower;
    for (int i = 0; i < 2; i++) {
        if (x->node[i] != y->node[i])
            return x->node[i] < y->node[i];
        if (x->cell[i] != y->cell[i])
            return x->cell[i] < y->cell[i];
    }
    return false;
}

TbStatus
tb_pairs__push(TbPairs *pairs, const TbPair *pair)
{
    void *room = pairs->pair;
    size_t i;

    if (tb_grow_array(&room, &pairs->room, pairs->count, sizeof *pairs->pair) != 0)
        return TB_E_MEMORY;
    pairs->pair = room;
    for (i = pairs->count++; i > 0; i = (i - 1) / 2) {
        if (!tb_pair__is_before(pair, &pairs->pair[(i - 1) / 2]))
            break;
        pairs->pair[i] = pairs->pair[(i - 1) / 2];
    }
    pairs->pair[i] = *pair;
    return TB_OK;
}

TbPair
tb_pairs__pop(TbPairs *pairs)
{
    TbPair top = pairs->pair[0];
    const TbPair *last = &pairs->pair[--pairs->count];
    size_t i = 0;

    for (;;) {
        size_t child = 2 * i + 1;

        if (child >= pairs->count)
            break;
        if (child + 1 < pairs->count &&
            tb_pair__is_before(&pairs->pair[child + 1], &pairs->pair[child]))
            child++;
        if (!tb_pair__is_before(&pairs->pair[child], last))
            break;
        pairs->pair[i] = pairs->pair[child];
        i = child;
    }
    pairs->pair[i] = *last;
    return top;
}

double
tb_pairs__lower(const TbPairs *pairs)
{
    return pairs->count > 0 ? pairs->pair[0].lower : (double)INFINITY;
}

void
tb_pairs__clear(TbPairs *pairs)
{
    tb_free(pairs->pair);
    *pairs = (TbPairs){.pair = NULL};
}

static bool
is_swept(const TbField *field, uint32_t index)
{
    const TbNode *node = &field->node[index];

    if (node->kind == TB_NODE_STRIP)
        return true;
    return node->kind == TB_NODE_GROUP && index != field->root && field->solid != NULL &&
           tb_solid_part(field->solid, node->part)->kind == TB_PART_SWEEP;
}

static bool
is_scan(const TbField *field, uint32_t index)
{
    TbNodeKind kind = field->node[index].kind;

    return kind == TB_NODE_BOXES || kind == TB_NODE_TRIANGLE;
}

bool
tb_pair__is_scanned(const TbField *a, uint32_t node_a, const TbField *b, uint32_t node_b)
{
    return (is_swept(a, node_a) && is_scan(b, node_b)) ||
           (is_scan(a, node_a) && is_swept(b, node_b));
}
