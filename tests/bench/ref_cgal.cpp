/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "ref_cgal.h"

#include <CGAL/AABB_traits.h>
#include <CGAL/AABB_tree.h>
#include <CGAL/AABB_triangle_primitive.h>
#include <CGAL/Simple_cartesian.h>
#include <CGAL/squared_distance_3.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace
{

using Kernel = CGAL::Simple_cartesian<double>;
using Point = Kernel::Point_3;
using Triangle = Kernel::Triangle_3;
using Triangles = std::vector<Triangle>;
using Primitive = CGAL::AABB_triangle_primitive<Kernel, Triangles::const_iterator>;
using Traits = CGAL::AABB_traits<Kernel, Primitive>;
using Tree = CGAL::AABB_tree<Traits>;

// Above rounding: a bound widened by this loses no triangle.
constexpr double slack = 1 + 1e-9;

double
apart(double a0, double a1, double b0, double b1)
{
    return std::max(0.0, std::max(b0 - a1, a0 - b1));
}

double
square_apart(const CGAL::Bbox_3 &a, const CGAL::Bbox_3 &b)
{
    double x = apart(a.xmin(), a.xmax(), b.xmin(), b.xmax());
    double y = apart(a.ymin(), a.ymax(), b.ymin(), b.ymax());
    double z = apart(a.zmin(), a.zmax(), b.zmin(), b.zmax());

    return x * x + y * y + z * z;
}

// Walks the tree by branch and bound: boxes no nearer than the best are left out.
struct Nearer {
    using Node = CGAL::AABB_node<Traits>;

    double square;
    CGAL::Bbox_3 box;

    bool
    go_further() const
    {
        return true;
    }

    bool
    do_intersect(const Triangle &, const Node &node) const
    {
        return square_apart(box, node.bbox()) < square;
    }

    void
    intersection(const Triangle &query, const Tree::Primitive &primitive)
    {
        if (square_apart(box, primitive.datum().bbox()) < square)
            square = std::min(square, CGAL::squared_distance(query, primitive.datum()));
    }
};

Point
point(const RefLattice *duct, size_t i)
{
    const double *p = duct->point + 3 * i;

    return Point(p[0], p[1], p[2]);
}

double
step_between(const RefLattice *duct, size_t ring, size_t next)
{
    double most = 0;

    for (size_t k = 0; k < duct->columns; k++)
        most = std::max(most, CGAL::squared_distance(point(duct, ring * duct->columns + k),
                                                     point(duct, next * duct->columns + k)));
    return std::sqrt(most);
}

} // namespace

struct RefCgal {
    Triangles triangles;
    Tree tree;

    double
    strip(const RefLattice *duct, size_t ring, double square) const
    {
        const uint32_t *corner = duct->index + 6 * ring * duct->columns;

        for (size_t i = 0; i < 2 * duct->columns; i++, corner += 3) {
            Triangle query(point(duct, corner[0]), point(duct, corner[1]), point(duct, corner[2]));
            Nearer walk{square, query.bbox()};

            tree.traversal(query, walk);
            square = walk.square;
        }
        return square;
    }
};

RefCgal *
ref_cgal_new(const RefMesh *mesh)
{
    auto *made = new RefCgal;
    auto vertex = [mesh](uint32_t i) {
        const float *p = mesh->vertex + 3 * static_cast<size_t>(i);

        return Point(p[0], p[1], p[2]);
    };

    made->triangles.reserve(mesh->triangles);
    for (size_t i = 0; i < mesh->triangles; i++) {
        const uint32_t *t = mesh->index + 3 * i;

        made->triangles.emplace_back(vertex(t[0]), vertex(t[1]), vertex(t[2]));
    }
    made->tree.insert(made->triangles.cbegin(), made->triangles.cend());
    made->tree.build();
    made->tree.accelerate_distance_queries();
    made->tree.closest_point(Point(0, 0, 0)); // builds what is built at the first query
    return made;
}

void
ref_cgal_free(RefCgal *tree)
{
    delete tree;
}

void
ref_cgal_profile(const RefCgal *tree, const RefLattice *duct, double profile[])
{
    double last = std::numeric_limits<double>::infinity();

    for (size_t i = 0; i < 2 * duct->columns; i++)
        last = std::min(last, tree->tree.squared_distance(point(duct, i)));
    last = std::sqrt(last);
    for (size_t ring = 0; ring + 1 < duct->rings; ring++) {
        double step = 0, bound;

        if (ring > 0)
            step = std::max(step_between(duct, ring, ring + 1), step_between(duct, ring - 1, ring));
        bound = last + step + 1e-9;
        last = profile[ring] = std::sqrt(tree->strip(duct, ring, bound * bound));
    }
}

void
ref_cgal_profile_by_points(const RefCgal *tree, const RefLattice *duct, double profile[])
{
    size_t count = duct->rings * duct->columns, columns = duct->columns;
    std::vector<double> square(count);
    std::vector<Point> nearest(count);

    for (size_t i = 0; i < count; i++) {
        Point p = point(duct, i);

        nearest[i] =
            i == 0 ? tree->tree.closest_point(p)
                   : tree->tree.closest_point(p, nearest[i % columns > 0 ? i - 1 : i - columns]);
        square[i] = CGAL::squared_distance(p, nearest[i]);
    }
    for (size_t ring = 0; ring + 1 < duct->rings; ring++) {
        auto first = square.cbegin() + static_cast<std::ptrdiff_t>(ring * columns);
        double bound = *std::min_element(first, first + 2 * static_cast<std::ptrdiff_t>(columns));

        profile[ring] = std::sqrt(tree->strip(duct, ring, bound * slack));
    }
}

double
ref_cgal_global(const RefCgal *tree, const RefLattice *duct)
{
    double square = std::numeric_limits<double>::infinity();

    for (size_t i = 0; i < duct->rings * duct->columns; i += 37)
        square = std::min(square, tree->tree.squared_distance(point(duct, i)));
    square *= slack;
    for (size_t ring = 0; ring + 1 < duct->rings; ring++)
        square = tree->strip(duct, ring, square);
    return std::sqrt(square);
}
