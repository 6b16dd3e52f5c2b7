/* SPDX-License-Identifier: GPL-3.0-or-later */

/* Ends of ducts as plain shapes: what a gap has to see besides the skin. */

#include "geom/solid.h"

#include "base/text.h"
#include "geom/frame.h"
#include "geom/tol.h"

/** A thing is there with all its sizes above 0, or not at all with all of them 0. */
static TbStatus
check_sizes(const char *what, const double size[], int count, bool *is_there, TbFault *fault)
{
    char text[TB_TEXT_NUMBER];
    int zeros = 0;

    for (int i = 0; i < count; i++) {
        zeros += size[i] == 0;
        tb_text_from_double(size[i], text);
        if (!(size[i] >= 0 && size[i] <= TB_LIMIT_SIZE))
            return tb_fail(fault, TB_E_RANGE, "a size of the %s is %s mm", what, text);
    }
    if (zeros != 0 && zeros != count)
        return tb_fail(fault, TB_E_RANGE, "%d of the %d sizes of the %s are 0 mm", zeros, count,
                       what);
    *is_there = zeros == 0;
    return TB_OK;
}

/** A disc about the gas direction, from @p from to @p to mm along it. */
static TbStatus
add_disc(TbSolid *solid,
         const TbEndDef *def,
         TbVec3 t,
         double from,
         double to,
         double radius,
         int role,
         TbFault *fault)
{
    TbPlain disc = {.kind = TB_PLAIN_ROD,
                    .rod = {tb_vec3_add_scaled(def->point, from, t),
                            tb_vec3_add_scaled(def->point, to, t), radius, radius}};

    return tb_solid_add_plain(solid, &disc, role, fault);
}

/**
 * The T-bolt's box. Along the gas it is centred on the joint; outwards it begins where the box's
 * inner corners lie on the clamp's ring, so its middle dips into the envelope and nothing between
 * bolt and ring is left out; its outer face lies bolt_height beyond the ring.
 */
static TbStatus
add_bolt(TbSolid *solid, const TbEndDef *def, TbFrame frame, TbFault *fault)
{
    TbFrame at = tb_frame_turned(frame, def->clocking);
    double half = def->bolt_length / 2;
    double ring = def->clamp_radius;
    double inner = ring > half ? sqrt(ring * ring - half * half) : 0;
    double outer = ring + def->bolt_height;
    TbPlain box = {.kind = TB_PLAIN_BLOCK,
                   .block = {tb_vec3_add_scaled(def->point, (inner + outer) / 2, at.h),
                             {at.h, at.w, at.t},
                             {(outer - inner) / 2, half, def->bolt_width / 2}}};

    return tb_solid_add_plain(solid, &box, TB_ROLE_BOLT, fault);
}

TbStatus
tb_solid_add_end(TbSolid *solid, const TbEndDef *def, TbFault *fault)
{
    const double flange[2] = {def->flange_diameter, def->flange_thickness};
    const double clamp[2] = {def->clamp_radius, def->clamp_width};
    const double bolt[3] = {def->bolt_length, def->bolt_width, def->bolt_height};
    TbVec3 t = tb_vec3_unit(def->direction);
    bool has_flange = false;
    bool has_clamp = false;
    bool has_bolt = false;
    TbStatus status = TB_OK;

    if (!tb_vec3_is_finite(t) || tb_vec3_length2(t) == 0)
        return tb_fail(fault, TB_E_DEGENERATE, "direction of the end has no length");
    if (!isfinite(def->clocking))
        return tb_fail(fault, TB_E_RANGE, "clocking of the bolt box is not a finite number");
    status = check_sizes("flange", flange, 2, &has_flange, fault);
    if (status == TB_OK)
        status = check_sizes("clamp", clamp, 2, &has_clamp, fault);
    if (status == TB_OK)
        status = check_sizes("bolt box", bolt, 3, &has_bolt, fault);
    if (status == TB_OK && has_flange)
        status = add_disc(solid, def, t, 0,
                          def->at_start ? def->flange_thickness : -def->flange_thickness,
                          def->flange_diameter / 2, TB_ROLE_FLANGE, fault);
    if (status == TB_OK && has_clamp)
        status = add_disc(solid, def, t, -def->clamp_width / 2, def->clamp_width / 2,
                          def->clamp_radius, TB_ROLE_CLAMP, fault);
    if (status == TB_OK && has_bolt)
        status = add_bolt(solid, def, tb_frame_start(t, &def->up), fault);
    return status;
}
