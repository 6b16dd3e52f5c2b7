/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "fcl_distance.h"

#include <fcl/fcl.h>

#include <memory>

namespace
{

using Model = fcl::BVHModel<fcl::OBBRSSd>;

std::shared_ptr<Model>
model(const double *t, size_t count)
{
    auto made = std::make_shared<Model>();

    made->beginModel(static_cast<int>(count), static_cast<int>(3 * count));
    for (size_t i = 0; i < count; i++, t += 9)
        made->addTriangle({t[0], t[1], t[2]}, {t[3], t[4], t[5]}, {t[6], t[7], t[8]});
    made->endModel();
    return made;
}

} // namespace

double
fcl_mesh_mesh(const double *a, size_t a_count, const double *b, size_t b_count)
{
    fcl::CollisionObjectd first(model(a, a_count)), second(model(b, b_count));
    fcl::DistanceRequestd request;
    fcl::DistanceResultd result;

    return fcl::distance(&first, &second, request, result);
}
