/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bench_lattice.h"

#include <stdio.h>
#include <stdlib.h>

/** What fails for want of room ends a bench. */
static void
must(TbStatus status, const TbFault *fault)
{
    if (status == TB_OK)
        return;
    fprintf(stderr, "%s %s\n", tb_status_name(status), fault != NULL ? fault->text : "");
    exit(1);
}

TbLattice *
bench_lattice(const TbVec3 points[])
{
    TbLattice *lattice = NULL;
    TbFault fault = {0};

    must(tb_lattice_new_flat(SCENE_RINGS, SCENE_COLUMNS, &lattice, &fault), &fault);
    tb_lattice_set_points(lattice, points);
    return lattice;
}

void
bench_pair_open(const char *path, BenchPair *pair)
{
    bench_scene_open(path, &pair->scene);
    pair->tree = bench_tree(pair->scene.mesh);
    pair->lattice = bench_lattice(pair->scene.points);
}

void
bench_pair_close(BenchPair *pair)
{
    tb_lattice_free(pair->lattice);
    tb_tree_unref(pair->tree);
    bench_scene_close(&pair->scene);
}

static TbScanAsk
ask_of(const BenchPair *pair)
{
    return (TbScanAsk){.lattice = pair->lattice, .tree = pair->tree, .beyond = INFINITY};
}

TbScanNear
bench_least(const BenchPair *pair, const TbScanNear *last)
{
    TbScanAsk ask = ask_of(pair);
    TbScanNear least;

    must(tb_scan_least(&ask, last, NULL, &least), NULL);
    return least;
}

void
bench_rows(const BenchPair *pair, TbScanNear rows[])
{
    TbScanAsk ask = ask_of(pair);

    must(tb_scan_rows(&ask, NULL, NULL, rows), NULL);
}
