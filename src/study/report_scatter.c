/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/json.h"

#include <math.h>

static void
add_sources(JsonBuilder *json, const TbResultScatter *scatter)
{
    tb_json_begin_list(json, "sources");
    for (size_t i = 0; i < scatter->source_count; i++) {
        const TbResultSource *source = &scatter->sources[i];

        tb_json_begin(json, NULL);
        tb_json_text(json, "name", source->name);
        tb_json_text(json, "kind", source->kind);
        tb_json_text(json, "item", source->item);
        tb_json_text(json, "mount", source->mount);
        tb_json_text(json, "freedom", source->freedom);
        tb_json_text(json, "grade", source->grade);
        tb_json_number(json, "size", source->size);
        tb_json_number(json, "half", source->half);
        tb_json_text(json, "unit", source->unit);
        tb_json_number(json, "slope", source->slope);
        tb_json_number(json, "share", source->share);
        json_builder_end_object(json);
    }
    json_builder_end_array(json);
}

static void
add_histogram(JsonBuilder *json, const TbResultScatter *scatter)
{
    if (scatter->bin_count == 0) {
        tb_json_null(json, "histogram");
        return;
    }
    tb_json_begin(json, "histogram");
    tb_json_number(json, "from", scatter->bin_from);
    tb_json_number(json, "width", scatter->bin_width);
    tb_json_begin_list(json, "counts");
    for (size_t i = 0; i < scatter->bin_count; i++)
        json_builder_add_int_value(json, (gint64)scatter->bins[i]);
    json_builder_end_array(json);
    json_builder_end_object(json);
}

void
tb_json_scatter(JsonBuilder *json, const TbResultScatter *scatter)
{
    bool sampled = scatter != NULL && scatter->samples > 0;

    if (scatter == NULL) {
        tb_json_null(json, "tolerance");
        return;
    }
    tb_json_begin(json, "tolerance");
    tb_json_number(json, "nominal", scatter->nominal);
    tb_json_number(json, "worst_lower", scatter->worst_lower);
    tb_json_number(json, "worst_upper", scatter->worst_upper);
    tb_json_number(json, "rss", scatter->rss);
    tb_json_number(json, "samples", (double)scatter->samples);
    tb_json_number(json, "seed", sampled ? (double)scatter->seed : (double)NAN);
    tb_json_number(json, "broken", sampled ? (double)scatter->broken : (double)NAN);
    tb_json_number(json, "undecided", sampled ? (double)scatter->undecided : (double)NAN);
    tb_json_number(json, "confidence", scatter->confidence);
    tb_json_number(json, "low", scatter->low);
    tb_json_number(json, "high", scatter->high);
    add_sources(json, scatter);
    add_histogram(json, scatter);
    json_builder_end_object(json);
}
