/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "cgal_side.h"

#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Side_of_triangle_mesh.h>
#include <CGAL/Surface_mesh.h>
#include <CGAL/boost/graph/helpers.h>

#include <memory>
#include <vector>

namespace
{

using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Mesh = CGAL::Surface_mesh<Kernel::Point_3>;
using Side = CGAL::Side_of_triangle_mesh<Mesh, Kernel>;

} // namespace

struct CgalSide {
    Mesh mesh;
    std::unique_ptr<Side> side;
};

CgalSide *
cgal_side_new(const double *vertex, size_t vertices, const uint32_t *index, size_t triangles)
{
    auto made = std::make_unique<CgalSide>();
    std::vector<Mesh::Vertex_index> at;

    for (size_t i = 0; i < vertices; i++)
        at.push_back(made->mesh.add_vertex(
            Kernel::Point_3(vertex[3 * i], vertex[3 * i + 1], vertex[3 * i + 2])));
    for (size_t i = 0; i < triangles; i++)
        if (made->mesh.add_face(at[index[3 * i]], at[index[3 * i + 1]], at[index[3 * i + 2]]) ==
            Mesh::null_face())
            return nullptr;
    if (!CGAL::is_closed(made->mesh))
        return nullptr;
    made->side = std::make_unique<Side>(made->mesh);
    return made.release();
}

void
cgal_side_free(CgalSide *side)
{
    delete side;
}

int
cgal_side_of(const CgalSide *side, const double p[3])
{
    switch ((*side->side)(Kernel::Point_3(p[0], p[1], p[2]))) {
    case CGAL::ON_BOUNDED_SIDE:
        return 1;
    case CGAL::ON_UNBOUNDED_SIDE:
        return -1;
    default:
        return 0;
    }
}
