/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "cgal_distance.h"

#include <CGAL/AABB_traits.h>
#include <CGAL/AABB_tree.h>
#include <CGAL/AABB_triangle_primitive.h>
#include <CGAL/Exact_rational.h>
#include <CGAL/Simple_cartesian.h>
#include <CGAL/intersections.h>
#include <CGAL/squared_distance_3.h>

#include <cmath>
#include <vector>

namespace
{

using Exact = CGAL::Simple_cartesian<CGAL::Exact_rational>;
using Plain = CGAL::Simple_cartesian<double>;

template <class Kernel>
typename Kernel::Point_3
point(const double *p)
{
    return typename Kernel::Point_3(p[0], p[1], p[2]);
}

template <class Kernel>
typename Kernel::Triangle_3
triangle(const double *t)
{
    return
        typename Kernel::Triangle_3(point<Kernel>(t), point<Kernel>(t + 3), point<Kernel>(t + 6));
}

double
root(const CGAL::Exact_rational &square)
{
    return std::sqrt(CGAL::to_double(square));
}

using Triangles = std::vector<Plain::Triangle_3>;
using Primitive = CGAL::AABB_triangle_primitive<Plain, Triangles::const_iterator>;
using Tree = CGAL::AABB_tree<CGAL::AABB_traits<Plain, Primitive>>;

} // namespace

struct CgalTree {
    Triangles triangles;
    Tree tree;
};

double
cgal_triangle_triangle(const double a[9], const double b[9])
{
    return root(CGAL::squared_distance(triangle<Exact>(a), triangle<Exact>(b)));
}

double
cgal_point_triangle(const double p[3], const double t[9])
{
    return root(CGAL::squared_distance(point<Exact>(p), triangle<Exact>(t)));
}

double
cgal_segment_segment(const double a[6], const double b[6])
{
    return root(CGAL::squared_distance(Exact::Segment_3(point<Exact>(a), point<Exact>(a + 3)),
                                       Exact::Segment_3(point<Exact>(b), point<Exact>(b + 3))));
}

int
cgal_triangles_meet(const double a[9], const double b[9])
{
    return CGAL::do_intersect(triangle<Exact>(a), triangle<Exact>(b)) ? 1 : 0;
}

CgalTree *
cgal_tree_new(const double *triangles, size_t count)
{
    CgalTree *made = new CgalTree;

    for (size_t i = 0; i < count; i++)
        made->triangles.push_back(triangle<Plain>(triangles + 9 * i));
    made->tree.rebuild(made->triangles.cbegin(), made->triangles.cend());
    return made;
}

void
cgal_tree_free(CgalTree *tree)
{
    delete tree;
}

double
cgal_tree_distance(CgalTree *tree, const double p[3])
{
    return std::sqrt(tree->tree.squared_distance(point<Plain>(p)));
}
