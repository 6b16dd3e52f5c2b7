/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "ref_fcl.h"

#include <fcl/fcl.h>

#include <limits>
#include <vector>

namespace
{

using Model = fcl::BVHModel<fcl::OBBRSSd>;

template <class Number>
void
fill(Model &model, const Number *point, size_t points, const uint32_t *index, size_t triangles)
{
    std::vector<fcl::Vector3d> vertex;
    std::vector<fcl::Triangle> triangle;

    for (size_t i = 0; i < points; i++, point += 3)
        vertex.emplace_back(point[0], point[1], point[2]);
    for (size_t i = 0; i < triangles; i++, index += 3)
        triangle.emplace_back(index[0], index[1], index[2]);
    model.beginModel(static_cast<int>(triangles), static_cast<int>(points));
    model.addSubModel(vertex, triangle);
    model.endModel();
}

} // namespace

struct RefFcl {
    Model bay, duct;
};

RefFcl *
ref_fcl_new(const RefMesh *mesh, const RefLattice *duct)
{
    auto *made = new RefFcl;

    fill(made->bay, mesh->vertex, mesh->vertices, mesh->index, mesh->triangles);
    fill(made->duct, duct->point, duct->rings * duct->columns, duct->index,
         2 * (duct->rings - 1) * duct->columns);
    return made;
}

void
ref_fcl_free(RefFcl *pair)
{
    delete pair;
}

double
ref_fcl_global(const RefFcl *pair)
{
    fcl::DistanceRequest<double> request(true, false, 0, 0);
    fcl::DistanceResult<double> result;
    fcl::Transform3d still = fcl::Transform3d::Identity();

    fcl::distance(&pair->duct, still, &pair->bay, still, request, result);
    return result.min_distance;
}

double
ref_fcl_rock(
    const RefFcl *pair, double y, double z, double low, double high, int poses, bool carried)
{
    fcl::DistanceRequest<double> request(true, false, 0, 0);
    fcl::Transform3d still = fcl::Transform3d::Identity();
    double least = std::numeric_limits<double>::max();

    for (int i = 0; i < poses; i++) {
        fcl::DistanceResult<double> result;
        fcl::Transform3d pose = still;
        fcl::Vector3d axis(0, y, z);
        double angle = low + (high - low) * i / (poses - 1);

        pose.linear() = fcl::AngleAxisd(angle, fcl::Vector3d::UnitX()).toRotationMatrix();
        pose.translation() = axis - pose.linear() * axis;
        if (carried)
            result.min_distance = least;
        least =
            std::min(least, fcl::distance(&pair->duct, pose, &pair->bay, still, request, result));
        least = std::min(least, result.min_distance);
    }
    return least;
}
