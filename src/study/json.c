/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/json.h"

#include <math.h>

static void
name(JsonBuilder *json, const char *key)
{
    if (key != NULL)
        json_builder_set_member_name(json, key);
}

void
tb_json_text(JsonBuilder *json, const char *key, const char *text)
{
    name(json, key);
    json_builder_add_string_value(json, text == NULL ? "" : text);
}

void
tb_json_number(JsonBuilder *json, const char *key, double x)
{
    name(json, key);
    if (isfinite(x))
        json_builder_add_double_value(json, x);
    else
        json_builder_add_null_value(json);
}

void
tb_json_integer(JsonBuilder *json, const char *key, long x)
{
    name(json, key);
    json_builder_add_int_value(json, x);
}

void
tb_json_boolean(JsonBuilder *json, const char *key, bool x)
{
    name(json, key);
    json_builder_add_boolean_value(json, x);
}

void
tb_json_null(JsonBuilder *json, const char *key)
{
    name(json, key);
    json_builder_add_null_value(json);
}

void
tb_json_begin(JsonBuilder *json, const char *key)
{
    name(json, key);
    json_builder_begin_object(json);
}

void
tb_json_begin_list(JsonBuilder *json, const char *key)
{
    name(json, key);
    json_builder_begin_array(json);
}

void
tb_json_numbers(JsonBuilder *json, const char *key, const double x[], size_t count)
{
    tb_json_begin_list(json, key);
    for (size_t i = 0; i < count; i++)
        tb_json_number(json, NULL, x[i]);
    json_builder_end_array(json);
}

void
tb_json_point(JsonBuilder *json, const char *key, TbVec3 p)
{
    if (tb_vec3_is_finite(p))
        tb_json_numbers(json, key, (double[]){p.x, p.y, p.z}, 3);
    else
        tb_json_null(json, key);
}

char *
tb_json_finish(JsonBuilder *json)
{
    g_autoptr(JsonGenerator) generator = json_generator_new();
    g_autoptr(JsonNode) root = json_builder_get_root(json);
    g_autofree char *text = NULL;

    json_generator_set_root(generator, root);
    json_generator_set_pretty(generator, TRUE);
    json_generator_set_indent(generator, 1);
    text = json_generator_to_data(generator, NULL);
    return g_strconcat(text, "\n", NULL);
}
