/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "bay/catalogue.h"

#include "base/mem.h"
#include "bay/build.h"
#include "bay/data.h"
#include "bay/extra.h"

struct TbCatalogue {
    int references; /**< atomic */
    TbBay *bay;     /**< a document with nothing but materials */
};

TbStatus
tb_catalogue_new(TbCatalogue **out, TbFault *fault)
{
    TbCatalogue *catalogue = tb_alloc(sizeof *catalogue);
    TbBay *bay = tb_build_new();
    TbStatus status = TB_OK;

    if (catalogue == NULL || bay == NULL)
        status = tb_fail(fault, TB_E_MEMORY, "no room for the list of materials");
    if (status == TB_OK)
        status = tb_read_materials(tb_data_materials_xml, tb_data_materials_xml_size, bay, fault);
    if (status == TB_OK)
        status = tb_build_index(bay, fault);
    if (status != TB_OK) {
        tb_free(catalogue);
        tb_bay_unref(bay);
        return status;
    }
    catalogue->references = 1;
    catalogue->bay = bay;
    *out = catalogue;
    return TB_OK;
}

TbCatalogue *
tb_catalogue_ref(TbCatalogue *catalogue)
{
    __atomic_fetch_add(&catalogue->references, 1, __ATOMIC_RELAXED);
    return catalogue;
}

void
tb_catalogue_unref(TbCatalogue *catalogue)
{
    if (catalogue == NULL || __atomic_fetch_sub(&catalogue->references, 1, __ATOMIC_ACQ_REL) != 1)
        return;
    tb_bay_unref(catalogue->bay);
    tb_free(catalogue);
}

size_t
tb_catalogue_count(const TbCatalogue *catalogue)
{
    return tb_bay_count(catalogue->bay, TB_LIST_MATERIALS);
}

const TbMaterial *
tb_catalogue_at(const TbCatalogue *catalogue, size_t index)
{
    return tb_bay_material_at(catalogue->bay, index);
}

const TbMaterial *
tb_catalogue_find(const TbCatalogue *catalogue, const TbBay *bay, const char *id)
{
    const TbMaterial *own = bay != NULL ? tb_bay_material(bay, id) : NULL;

    return own != NULL ? own : tb_bay_material(catalogue->bay, id);
}

double
tb_material_expansion(const TbMaterial *material, double temperature)
{
    const TbMean *means = material->means;
    size_t count = material->mean_count;
    size_t i = 0;
    double share;

    if (count == 0)
        return material->expansion * 1e-6;
    while (i < count && means[i].to < temperature)
        i++;
    if (i == 0)
        return means[0].expansion * 1e-6;
    if (i == count)
        return means[count - 1].expansion * 1e-6;
    share = (temperature - means[i - 1].to) / (means[i].to - means[i - 1].to);
    return (means[i - 1].expansion + share * (means[i].expansion - means[i - 1].expansion)) * 1e-6;
}
