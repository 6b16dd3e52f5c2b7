/* SPDX-License-Identifier: GPL-3.0-or-later */

/* A rim whose vertices were drawn together, as simple closed ways. As a rim has no ends, as many
 * edges arrive at every vertex as leave it, so a walk along edges not used yet can always go on; as
 * soon as it comes to a vertex it has been at, it has closed a way, which is taken out. */

#include "geom/rim_private.h"

#include "base/mem.h"

#include <stdlib.h>

typedef struct Walk {
    const TbRim *rim;
    TbRimEdge *edge; /**< between places, sorted by from; times run down to 0 */
    size_t edges;
    uint32_t *first; /**< of each place's edges; one more at the end */
    uint32_t *path;
    uint32_t *at; /**< where in the path a place is, or UINT32_MAX */
    TbVec3 *way;
    size_t length;
} Walk;

static int
compare_edges(const void *a, const void *b)
{
    const TbRimEdge *p = a, *q = b;

    if (p->from != q->from)
        return p->from < q->from ? -1 : 1;
    return p->to < q->to ? -1 : p->to > q->to;
}

static int
compare_as_pairs(const void *a, const void *b)
{
    const TbRimEdge *p = a, *q = b;
    uint32_t low_p = p->from < p->to ? p->from : p->to, high_p = p->from ^ p->to ^ low_p;
    uint32_t low_q = q->from < q->to ? q->from : q->to, high_q = q->from ^ q->to ^ low_q;

    if (low_p != low_q)
        return low_p < low_q ? -1 : 1;
    return high_p < high_q ? -1 : high_p > high_q;
}

/** Edges between the places the rim is drawn to; what runs both ways cancels. */
static void
draw_edges(Walk *walk)
{
    const TbRim *rim = walk->rim;
    TbRimEdge *edge = walk->edge;
    size_t kept = 0, left = 0;

    for (size_t i = 0; i < rim->edges; i++) {
        TbRimEdge e = {rim->to[rim->edge[i].from], rim->to[rim->edge[i].to], rim->edge[i].times};

        if (e.from != e.to)
            edge[kept++] = e;
    }
    qsort(edge, kept, sizeof *edge, compare_as_pairs);
    for (size_t i = 0, k; i < kept; i = k) {
        int32_t sum = 0;
        TbRimEdge e = edge[i];

        for (k = i; k < kept && compare_as_pairs(&edge[k], &e) == 0; k++)
            sum += edge[k].from == e.from ? edge[k].times : -edge[k].times;
        if (sum > 0)
            edge[left++] = (TbRimEdge){e.from, e.to, sum};
        else if (sum < 0)
            edge[left++] = (TbRimEdge){e.to, e.from, -sum};
    }
    qsort(edge, left, sizeof *edge, compare_edges);
    walk->edges = left;
}

static void
index_edges(Walk *walk)
{
    size_t places = walk->rim->places, e = 0;

    for (size_t p = 0; p <= places; p++) {
        while (e < walk->edges && walk->edge[e].from < p)
            e++;
        walk->first[p] = (uint32_t)e;
        walk->at[p] = UINT32_MAX;
    }
}

/** The edge not used yet that turns back most sharply; the first one at the beginning of a path. */
static TbRimEdge *
next_edge(Walk *walk, uint32_t place)
{
    const TbVec3 *drawn = walk->rim->drawn;
    TbRimEdge *best = NULL;
    double most = -INFINITY;
    TbVec3 back = {0, 0, 0};

    if (walk->length > 1)
        back = tb_vec3_unit(tb_vec3_sub(drawn[walk->path[walk->length - 2]], drawn[place]));
    for (uint32_t i = walk->first[place]; i < walk->first[place + 1]; i++) {
        TbRimEdge *e = &walk->edge[i];
        double turn = tb_vec3_dot(back, tb_vec3_unit(tb_vec3_sub(drawn[e->to], drawn[place])));

        if (e->times > 0 && turn > most) {
            most = turn;
            best = e;
        }
    }
    return best;
}

/** The path's end from `from` on is closed: hand it out, and take it off. */
static TbStatus
take_way(Walk *walk,
         uint32_t from,
         TbStatus (*take)(void *user, const TbVec3 way[], size_t count),
         void *user)
{
    size_t count = walk->length - from;

    for (size_t i = 0; i < count; i++) {
        uint32_t place = walk->path[from + i];

        walk->way[i] = walk->rim->drawn[place];
        if (i > 0)
            walk->at[place] = UINT32_MAX;
    }
    walk->length = from + 1;
    return take(user, walk->way, count);
}

static TbStatus
walk_from(Walk *walk,
          uint32_t start,
          TbStatus (*take)(void *user, const TbVec3 way[], size_t count),
          void *user)
{
    TbStatus status = TB_OK;

    walk->path[0] = start;
    walk->at[start] = 0;
    walk->length = 1;
    while (status == TB_OK) {
        TbRimEdge *edge = next_edge(walk, walk->path[walk->length - 1]);

        if (edge == NULL)
            break;
        edge->times--;
        if (walk->at[edge->to] != UINT32_MAX) {
            status = take_way(walk, walk->at[edge->to], take, user);
            continue;
        }
        walk->at[edge->to] = (uint32_t)walk->length;
        walk->path[walk->length++] = edge->to;
    }
    walk->at[start] = UINT32_MAX;
    return status;
}

TbStatus
tb_rim__ways(const TbRim *rim,
             TbStatus (*take)(void *user, const TbVec3 way[], size_t count),
             void *user)
{
    Walk walk = {.rim = rim};
    TbStatus status = TB_E_MEMORY;

    walk.edge = tb_alloc_array(rim->edges + 1, sizeof *walk.edge);
    walk.first = tb_alloc_array(rim->places + 1, sizeof *walk.first);
    walk.path = tb_alloc_array(rim->places + 1, sizeof *walk.path);
    walk.at = tb_alloc_array(rim->places + 1, sizeof *walk.at);
    walk.way = tb_alloc_array(rim->places + 1, sizeof *walk.way);
    if (walk.edge != NULL && walk.first != NULL && walk.path != NULL && walk.at != NULL &&
        walk.way != NULL) {
        status = TB_OK;
        draw_edges(&walk);
        index_edges(&walk);
        for (uint32_t p = 0; p < rim->places && status == TB_OK; p++)
            status = walk_from(&walk, p, take, user);
    }
    tb_free(walk.edge);
    tb_free(walk.first);
    tb_free(walk.path);
    tb_free(walk.at);
    tb_free(walk.way);
    return status;
}
