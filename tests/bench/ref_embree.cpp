/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "ref_embree.h"

#include <embree3/rtcore.h>

#include <algorithm>
#include <atomic>
#include <cassert>
#include <cmath>
#include <limits>

namespace
{

struct Vector {
    double x, y, z;
};

Vector
operator-(Vector a, Vector b)
{
    return {a.x - b.x, a.y - b.y, a.z - b.z};
}

double
dot(Vector a, Vector b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

Vector
cross(Vector a, Vector b)
{
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

// Squared distance from the foot of p - a on a side to p.
double
square_to_side(Vector to_p, Vector side)
{
    double length = dot(side, side);
    double k = length > 0 ? std::clamp(dot(to_p, side) / length, 0.0, 1.0) : 0;
    Vector off{to_p.x - k * side.x, to_p.y - k * side.y, to_p.z - k * side.z};

    return dot(off, off);
}

double
square_to_triangle(Vector p, Vector a, Vector b, Vector c)
{
    Vector ab = b - a, ac = c - a, ap = p - a;
    double d00 = dot(ab, ab), d01 = dot(ab, ac), d11 = dot(ac, ac);
    double e0 = dot(ap, ab), e1 = dot(ap, ac);
    double det = d00 * d11 - d01 * d01, s = d11 * e0 - d01 * e1, t = d00 * e1 - d01 * e0;

    if (det > 0 && s >= 0 && t >= 0 && s + t <= det) {
        Vector n = cross(ab, ac);
        double h = dot(ap, n);

        return h * h / dot(n, n);
    }
    return std::min({square_to_side(ap, ab), square_to_side(ap, ac), square_to_side(p - b, c - b)});
}

// A little above the float that is nearest, so that rounding leaves no triangle out.
float
radius_of(double distance)
{
    return std::nextafter(static_cast<float>(distance), std::numeric_limits<float>::infinity()) *
           1.000001F;
}

} // namespace

struct RefEmbree {
    RefMesh mesh;
    RTCDevice device = nullptr;
    RTCScene scene = nullptr;
    std::atomic<long> bytes{0};

    RTCScene
    build() const
    {
        RTCScene made = rtcNewScene(device);
        RTCGeometry geometry = rtcNewGeometry(device, RTC_GEOMETRY_TYPE_TRIANGLE);

        rtcSetSceneFlags(made, RTC_SCENE_FLAG_ROBUST);
        rtcSetSceneBuildQuality(made, RTC_BUILD_QUALITY_MEDIUM);
        rtcSetSharedGeometryBuffer(geometry, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3,
                                   mesh.vertex, 0, 12, mesh.vertices);
        rtcSetSharedGeometryBuffer(geometry, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, mesh.index,
                                   0, 12, mesh.triangles);
        rtcCommitGeometry(geometry);
        rtcAttachGeometry(made, geometry);
        rtcReleaseGeometry(geometry);
        rtcCommitScene(made);
        return made;
    }

    Vector
    vertex(uint32_t i) const
    {
        const float *p = mesh.vertex + 3 * static_cast<size_t>(i);

        return {p[0], p[1], p[2]};
    }
};

namespace
{

struct Query {
    const RefEmbree *scene;
    Vector p;
    double square;
};

bool
meet_triangle(RTCPointQueryFunctionArguments *args)
{
    auto *query = static_cast<Query *>(args->userPtr);
    const RefEmbree *scene = query->scene;
    const uint32_t *t = scene->mesh.index + 3 * static_cast<size_t>(args->primID);
    double square =
        square_to_triangle(query->p, scene->vertex(t[0]), scene->vertex(t[1]), scene->vertex(t[2]));

    if (square >= query->square)
        return false;
    query->square = square;
    args->query->radius = radius_of(std::sqrt(square));
    return true;
}

// Distance of a point, known to be at most `beyond`.
double
nearest(const RefEmbree *scene, Vector p, double beyond)
{
    Query query{scene, p, beyond * beyond};
    RTCPointQuery ask;
    RTCPointQueryContext context;

    ask.x = static_cast<float>(p.x);
    ask.y = static_cast<float>(p.y);
    ask.z = static_cast<float>(p.z);
    ask.time = 0;
    ask.radius = static_cast<float>(beyond);
    rtcInitPointQueryContext(&context);
    rtcPointQuery(scene->scene, &ask, &context, meet_triangle, &query);
    return std::sqrt(query.square);
}

bool
count_bytes(void *user, ssize_t bytes, bool)
{
    *static_cast<std::atomic<long> *>(user) += bytes;
    return true;
}

Vector
point(const RefLattice *duct, size_t i)
{
    const double *p = duct->point + 3 * i;

    return {p[0], p[1], p[2]};
}

} // namespace

RefEmbree *
ref_embree_new(const RefMesh *mesh)
{
    auto *made = new RefEmbree;

    made->mesh = *mesh;
    made->device = rtcNewDevice("threads=1");
    rtcSetDeviceMemoryMonitorFunction(made->device, count_bytes, &made->bytes);
    return made;
}

void
ref_embree_free(RefEmbree *scene)
{
    if (scene == nullptr)
        return;
    ref_embree_drop(scene);
    rtcReleaseDevice(scene->device);
    delete scene;
}

void
ref_embree_build(RefEmbree *scene)
{
    assert(scene->scene == nullptr);
    scene->scene = scene->build();
}

void
ref_embree_drop(RefEmbree *scene)
{
    if (scene->scene != nullptr)
        rtcReleaseScene(scene->scene);
    scene->scene = nullptr;
}

long
ref_embree_bytes(const RefEmbree *scene)
{
    return scene->bytes;
}

void
ref_embree_points(const RefEmbree *scene, const RefLattice *duct, double distance[])
{
    const double infinity = std::numeric_limits<double>::infinity();

    for (size_t i = 0; i < duct->rings * duct->columns; i++) {
        Vector p = point(duct, i);
        double beyond = infinity;

        if (i > 0) {
            size_t neighbour = i % duct->columns > 0 ? i - 1 : i - duct->columns;
            Vector way = p - point(duct, neighbour);

            beyond = (distance[neighbour] + std::sqrt(dot(way, way))) * 1.000001 + 1e-4;
        }
        distance[i] = nearest(scene, p, beyond);
    }
}

void
ref_embree_points_cold(const RefEmbree *scene, const RefLattice *duct, double distance[])
{
    for (size_t i = 0; i < duct->rings * duct->columns; i++)
        distance[i] = nearest(scene, point(duct, i), std::numeric_limits<double>::infinity());
}
