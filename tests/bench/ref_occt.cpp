/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "ref_occt.h"

#include <BRepAdaptor_Surface.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepExtrema_DistShapeShape.hxx>
#include <BRepOffsetAPI_MakePipe.hxx>
#include <BRepOffsetAPI_MakePipeShell.hxx>
#include <BRepOffsetAPI_ThruSections.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <GeomAPI_Interpolate.hxx>
#include <Geom_BSplineCurve.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Face.hxx>
#include <TopoDS_Wire.hxx>
#include <gp_Circ.hxx>

#include <vector>

struct RefShape {
    TopoDS_Shape shape;
};

namespace
{

// Chords of the polygon whose area stands for a station's.
constexpr int chords = 128;

gp_Pnt
point(const double *p)
{
    return {p[0], p[1], p[2]};
}

gp_Vec
vector(const double *p)
{
    return {p[0], p[1], p[2]};
}

Handle(Geom_BSplineCurve) spline(const double *p)
{
    TColgp_Array1OfPnt pole(1, 6);
    TColStd_Array1OfReal knot(1, 4);
    TColStd_Array1OfInteger times(1, 4);

    for (int i = 0; i < 6; i++)
        pole.SetValue(i + 1, point(p + 3 * i));
    for (int i = 0; i < 4; i++) {
        knot.SetValue(i + 1, i);
        times.SetValue(i + 1, i == 0 || i == 3 ? 4 : 1);
    }
    return new Geom_BSplineCurve(pole, knot, times, 3);
}

TopoDS_Wire
wire(const Handle(Geom_Curve) & curve)
{
    return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(curve).Edge()).Wire();
}

// A closed smooth curve through the points of a ring.
TopoDS_Wire
ring(const RefRings *rings, size_t number)
{
    Handle(TColgp_HArray1OfPnt) at =
        new TColgp_HArray1OfPnt(1, static_cast<Standard_Integer>(rings->columns));

    for (size_t k = 0; k < rings->columns; k++)
        at->SetValue(static_cast<Standard_Integer>(k + 1),
                     point(rings->point + 3 * (number * rings->columns + k)));
    GeomAPI_Interpolate through(at, Standard_True, 1e-9);
    through.Perform();
    return wire(through.Curve());
}

TopoDS_Shape
loft(const RefRings *rings)
{
    BRepOffsetAPI_ThruSections maker(Standard_False, Standard_False, 1e-6);

    for (size_t i = 0; i < rings->rings; i++)
        maker.AddWire(ring(rings, i));
    maker.Build();
    return maker.IsDone() ? maker.Shape() : TopoDS_Shape();
}

TopoDS_Shape
pipe(const RefRings *rings)
{
    BRepOffsetAPI_MakePipeShell maker(wire(spline(rings->axis)));

    maker.SetMode(Standard_False);
    for (size_t i = 0; i < rings->rings; i++)
        maker.Add(ring(rings, i));
    maker.Build();
    return maker.IsDone() ? maker.Shape() : TopoDS_Shape();
}

RefShape *
kept(const TopoDS_Shape &shape)
{
    return shape.IsNull() ? nullptr : new RefShape{shape};
}

double
polygon_area(const BRepAdaptor_Surface &surface, double v)
{
    double u0 = surface.FirstUParameter(), u1 = surface.LastUParameter();
    gp_XYZ last = surface.Value(u0, v).XYZ(), sum(0, 0, 0);

    for (int k = 1; k <= chords; k++) {
        gp_XYZ next = surface.Value(u0 + (u1 - u0) * k / chords, v).XYZ();

        sum += last.Crossed(next);
        last = next;
    }
    return sum.Modulus() / 2;
}

} // namespace

RefShape *
ref_occt_sweep(RefSweep how, const RefRings *rings)
{
    return kept(how == REF_LOFT ? loft(rings) : pipe(rings));
}

RefShape *
ref_occt_block(const double *centre, const double *axis, const double *half)
{
    gp_Vec x = vector(axis), y = vector(axis + 3), z = vector(axis + 6);
    gp_Pnt corner = point(centre).Translated(-(half[0] * x + half[1] * y + half[2] * z));

    return kept(BRepPrimAPI_MakeBox(gp_Ax2(corner, gp_Dir(z), gp_Dir(x)), 2 * half[0], 2 * half[1],
                                    2 * half[2])
                    .Solid());
}

RefShape *
ref_occt_rod(const double *a, const double *b, double radius)
{
    gp_Vec along(point(a), point(b));

    return kept(BRepPrimAPI_MakeCylinder(gp_Ax2(point(a), gp_Dir(along)), radius, along.Magnitude())
                    .Solid());
}

RefShape *
ref_occt_line(const double *at, double radius)
{
    gp_Dir along(gp_Vec(point(at), point(at + 3)));
    gp_Circ rim(gp_Ax2(point(at), along), radius);
    TopoDS_Wire profile = BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(rim).Edge()).Wire();

    return kept(BRepOffsetAPI_MakePipe(wire(spline(at)), profile).Shape());
}

void
ref_occt_free(RefShape *shape)
{
    delete shape;
}

void
ref_occt_areas(const RefShape *shape, size_t count, double area[])
{
    for (size_t i = 0; i < count; i++)
        area[i] = 0;
    for (TopExp_Explorer face(shape->shape, TopAbs_FACE); face.More(); face.Next()) {
        BRepAdaptor_Surface surface(TopoDS::Face(face.Current()));
        double v0 = surface.FirstVParameter(), v1 = surface.LastVParameter();

        for (size_t i = 0; i < count; i++)
            area[i] += polygon_area(surface, v0 + (v1 - v0) * static_cast<double>(i) /
                                                      static_cast<double>(count - 1));
    }
}

double
ref_occt_distance(const RefShape *a, const RefShape *b)
{
    return BRepExtrema_DistShapeShape(a->shape, b->shape).Value();
}
