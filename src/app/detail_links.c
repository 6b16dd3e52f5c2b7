/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/detail_links.h"

#include <string.h>

static bool
is_at(const TbItem *item, const TbPort *port)
{
    const TbEnd *ends[2] = {NULL, NULL};

    if (g_strcmp0(port->owner, item->record.id) == 0)
        return true;
    if (tb_item_has_path(item)) {
        ends[0] = tb_item_start(item);
        ends[1] = tb_item_end(item);
    }
    for (int i = 0; i < 2; i++)
        if (ends[i] != NULL && g_strcmp0(ends[i]->port, port->record.id) == 0)
            return true;
    return false;
}

static bool
joins(const TbJoint *joint, const TbPort *port)
{
    return g_strcmp0(joint->a, port->record.id) == 0 || g_strcmp0(joint->b, port->record.id) == 0;
}

/* The ports that a record is about, without a port's own self. */
static void
add_ports(GPtrArray *links, const TbBay *bay, const TbRecord *record)
{
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_PORTS); i++) {
        const TbPort *port = tb_bay_port_at(bay, i);
        bool wanted =
            record->element->list == TB_LIST_ITEMS
                ? is_at((const TbItem *)record, port)
                : record->element->list == TB_LIST_JOINTS && joins((const TbJoint *)record, port);

        if (wanted)
            g_ptr_array_add(links, (void *)(uintptr_t)&port->record);
    }
}

static void
add_joints(GPtrArray *links, const TbBay *bay, const GPtrArray *ports)
{
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_JOINTS); i++) {
        const TbJoint *joint = tb_bay_joint_at(bay, i);
        bool wanted = false;

        for (guint k = 0; k < ports->len; k++)
            wanted = wanted || joins(joint, ports->pdata[k]);
        if (wanted)
            g_ptr_array_add(links, (void *)(uintptr_t)&joint->record);
    }
}

static void
add_items(GPtrArray *links, const TbBay *bay, const GPtrArray *ports)
{
    for (size_t i = 0; i < tb_bay_count(bay, TB_LIST_ITEMS); i++) {
        const TbItem *item = tb_bay_item_at(bay, i);
        bool wanted = false;

        for (guint k = 0; k < ports->len; k++)
            wanted = wanted || is_at(item, ports->pdata[k]);
        if (wanted)
            g_ptr_array_add(links, (void *)(uintptr_t)&item->record);
    }
}

GPtrArray *
tb_detail_links(const TbBay *bay, const TbRecord *record)
{
    GPtrArray *links = g_ptr_array_new();
    g_autoptr(GPtrArray) ports = g_ptr_array_new();
    TbListKind list = record->element->list;

    if (list == TB_LIST_PORTS)
        g_ptr_array_add(ports, (void *)(uintptr_t)record);
    else
        add_ports(ports, bay, record);
    if (list != TB_LIST_ITEMS)
        add_items(links, bay, ports);
    if (list != TB_LIST_PORTS)
        g_ptr_array_extend(links, ports, NULL, NULL);
    if (list != TB_LIST_JOINTS)
        add_joints(links, bay, ports);
    return links;
}
