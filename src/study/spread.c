/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "study/spread.h"

#include "study/blend.h"
#include "study/moves.h"
#include "study/scene_build.h"
#include "study/warmth.h"

#include <math.h>
#include <string.h>

#define RAD (G_PI / 180)

/* ---- from the document to sources ---- */

/* What is being gathered. */
typedef struct Gather {
    const TbStand *stand;
    size_t item[2];
    TbSpreadSet *set;
    TbFault *fault;
} Gather;

static const TbPlaced *
placed_at(const Gather *gather, int side)
{
    return &gather->stand->items[gather->item[side]];
}

static double
longest(TbBox3 box)
{
    TbVec3 size = tb_vec3_sub(box.high, box.low);

    return fmax(size.x, fmax(size.y, size.z));
}

/* mm across of what stands there, as drawn. */
static TbBox3
box_of(const Gather *gather, int side)
{
    return tb_solid_box(tb_placed_drawn(placed_at(gather, side))->solid);
}

static TbStatus
add(Gather *gather, const TbSpreadSource *source)
{
    TbSpreadSet *set = gather->set;
    const TbScatterSource *s = &source->scatter;
    const TbPlaced *placed = placed_at(gather, s->side);
    double part = tb_box3_diagonal(box_of(gather, s->side));
    bool turn = s->kind == TB_SCATTER_TURN;
    const char *whose = source->item != NULL ? source->item : source->mount;

    if (!(s->half > 0))
        return TB_OK;
    if (turn && s->half > G_PI / 2)
        return tb_fail(gather->fault, TB_E_RANGE,
                       "%s: its %s %s of %g deg is more than a quarter turn", whose, source->kind,
                       source->freedom, s->half / RAD);
    if (!turn && s->half > part)
        return tb_fail(gather->fault, TB_E_RANGE,
                       "%s: its %s of %g mm either way is larger than %s itself, %g mm across",
                       whose, source->kind, s->half, placed->id, part);
    if (set->count == TB_SCATTER_MOST)
        return tb_fail(gather->fault, TB_E_LIMIT,
                       "%s: more than %d tolerances bear on one gap, which is too many", whose,
                       TB_SCATTER_MOST);
    set->source[set->count++] = *source;
    return TB_OK;
}

/* Shifts along and turns about the vehicle's axes, half bands in mm and deg. */
static TbStatus
add_placement(Gather *gather, TbSpreadSource source, TbVec3 shift, TbVec3 turn, TbVec3 point)
{
    static const char *const names[6] = {"tx", "ty", "tz", "rx", "ry", "rz"};
    const double half[6] = {shift.x, shift.y, shift.z, turn.x * RAD, turn.y * RAD, turn.z * RAD};
    TbStatus status = TB_OK;

    source.kind = "placement";
    source.size = NAN;
    for (int i = 0; i < 6 && status == TB_OK; i++) {
        source.freedom = names[i];
        source.scatter.kind = i < 3 ? TB_SCATTER_SHIFT : TB_SCATTER_TURN;
        source.scatter.direction = tb_vec3(i % 3 == 0, i % 3 == 1, i % 3 == 2);
        source.scatter.point = point;
        source.scatter.half = half[i];
        status = add(gather, &source);
    }
    return status;
}

static TbStatus
add_mounts(Gather *gather)
{
    const TbStand *stand = gather->stand;
    TbMoveMounts mounts;
    TbStatus status = TB_OK;

    tb_moves_mounts(stand, gather->item[0], gather->item[1], &mounts);
    for (int side = 0; side < 2; side++)
        for (size_t i = mounts.count[side]; i > 0 && status == TB_OK; i--) {
            const TbMount *mount = mounts.mount[side][i - 1];
            TbVec3 by = tb_bay_mount_shift(stand->bay, stand->variant, mount->record.id);
            TbSpreadSource source = {.scatter = {.side = side}, .mount = mount->record.id};

            status = add_placement(gather, source, mount->scatter_shift, mount->scatter_turn,
                                   tb_vec3_add(mount->datum, by));
        }
    return status;
}

static TbStatus
add_size(Gather *gather, int side, const char *kind, const char *grade, double size, double half)
{
    TbSpreadSource source = {.scatter = {.side = side, .kind = TB_SCATTER_SIZE, .half = half},
                             .kind = kind,
                             .item = placed_at(gather, side)->id,
                             .grade = grade,
                             .size = size};

    return add(gather, &source);
}

static TbStatus
half_of(Gather *gather, int side, const char *grade, double size, double *half)
{
    TbFault why = {0};
    TbStatus status = tb_grades_half(tb_grades_usual(), grade, size, half, &why);

    if (status != TB_OK)
        return tb_fail(gather->fault, status, "%s: %s", tb_placed_name(placed_at(gather, side)),
                       why.text);
    return TB_OK;
}

/* Both items are one casting: what lies between them is one size of it, not two. */
static bool
is_one_casting(const Gather *gather)
{
    const char *casting = placed_at(gather, 0)->item->casting;

    return casting != NULL && g_strcmp0(casting, placed_at(gather, 1)->item->casting) == 0;
}

/* Which source stands for the grade of the other item already; count: none does. */
static size_t
grade_of_casting(const Gather *gather, int side)
{
    for (size_t i = 0; side == 1 && is_one_casting(gather) && i < gather->set->count; i++)
        if (g_strcmp0(gather->set->source[i].kind, "grade") == 0)
            return i;
    return gather->set->count;
}

/* The others stay in their order, which is that of turns. */
static void
drop(TbSpreadSet *set, size_t index)
{
    set->count--;
    memmove(&set->source[index], &set->source[index + 1],
            (set->count - index) * sizeof set->source[0]);
}

static TbStatus
add_grade(Gather *gather, int side, const char *grade, double size)
{
    size_t other = grade_of_casting(gather, side);
    double half;
    TbStatus status;

    if (grade == NULL)
        return TB_OK;
    if (!tb_is_given(size))
        size = longest(box_of(gather, side));
    status = half_of(gather, side, grade, size, &half);
    if (status != TB_OK || other == gather->set->count)
        return status == TB_OK ? add_size(gather, side, "grade", grade, size, half) : status;
    if (half <= gather->set->source[other].scatter.half)
        return TB_OK;
    drop(gather->set, other); /* the larger of the two goes */
    return add_size(gather, side, "grade", grade, size, half);
}

/* A wall of a casting is judged one grade coarser than the casting, as the table has them. */
static TbStatus
wall_of(Gather *gather, int side, const TbDuct *duct, const char **grade, double *half)
{
    const TbProcess *process = duct->process;

    *grade = NULL;
    *half = 0;
    if (process->kind != TB_PROCESS_CAST || process->grade == NULL)
        return TB_OK;
    *grade = tb_grades_coarser(tb_grades_usual(), process->grade);
    if (*grade == NULL)
        return tb_fail(gather->fault, TB_E_RANGE,
                       "%s: its wall of %g mm is judged one grade coarser than %s, and the table "
                       "has none",
                       placed_at(gather, side)->id, duct->wall, process->grade);
    return half_of(gather, side, *grade, duct->wall, half);
}

static TbStatus
add_core(Gather *gather, int side, const TbDuct *duct)
{
    const TbProcess *process = duct->process;
    double shift = tb_is_given(process->core_shift) ? process->core_shift : 0, wall;
    const char *grade;
    TbStatus status = wall_of(gather, side, duct, &grade, &wall);

    if (status != TB_OK)
        return status;
    if (wall > shift)
        return add_size(gather, side, "wall", grade, duct->wall, wall);
    return add_size(gather, side, "core-shift", NULL, NAN, shift);
}

static TbStatus
add_item(Gather *gather, int side)
{
    const TbPlaced *placed = placed_at(gather, side);
    const TbItem *item = placed->item;
    const TbTolerance *tolerance = item->tolerance;
    const TbDuct *duct = item->kind == TB_ITEM_DUCT ? tb_item_duct(item) : NULL;
    const TbProcess *process = duct == NULL ? NULL : duct->process;
    double size = tolerance == NULL ? (double)NAN : tolerance->size;
    TbSpreadSource source = {.scatter = {.side = side}, .item = placed->id};
    TbStatus status = TB_OK;

    if (tolerance != NULL)
        status = add_placement(gather, source, tolerance->shift, tolerance->turn,
                               tb_box3_centre(box_of(gather, side)));
    if (status == TB_OK && process != NULL)
        status = add_grade(gather, side, process->grade, size);
    if (status == TB_OK && process != NULL)
        status = add_core(gather, side, duct);
    if (status == TB_OK && process != NULL && tb_is_given(process->mismatch))
        status = add_size(gather, side, "mismatch", NULL, NAN, process->mismatch);
    if (status == TB_OK && tolerance != NULL)
        status = add_grade(gather, side, tolerance->grade, size);
    return status;
}

TbStatus
tb_spread_of(const TbStand *stand, size_t a, size_t b, TbSpreadSet *set, TbFault *fault)
{
    Gather gather = {.stand = stand, .item = {a, b}, .set = set, .fault = fault};
    TbStatus status;

    *set = (TbSpreadSet){.count = 0};
    set->blended = tb_blend_rides_on_two(stand, a) || tb_blend_rides_on_two(stand, b);
    status = add_mounts(&gather);
    for (int side = 0; side < 2 && status == TB_OK; side++)
        status = add_item(&gather, side);
    return status;
}

/* ---- the gap ---- */

TbScatterAsk
tb_spread_ask(const TbPairInput *pair, const TbScatterSource sources[], size_t count)
{
    return (TbScatterAsk){.a = pair->a,
                          .b = pair->b,
                          .sources = sources,
                          .count = count,
                          .base_a = pair->motion[0],
                          .base_b = pair->motion[1],
                          .tie = pair->ties.tie,
                          .ties = pair->ties.count,
                          .width = pair->width,
                          .leave_out = pair->leave_out,
                          .leave_out_count = pair->leave_count};
}

typedef struct Input {
    TbPairInput pair;
    TbScatterSource source[TB_SCATTER_MOST];
    size_t count;
    bool blended;
    double keep, want;
    TbMovingGap *nominal; /* or NULL */
    TbSpreadChance chance;
} Input;

static void
input_free(gpointer data)
{
    Input *input = data;

    tb_pair_input_clear(&input->pair);
    g_free(input->nominal);
    g_free(input);
}

static TbStatus
make_gap(const void *data, TbTask *task, void **value, TbFault *fault)
{
    const Input *input = data;
    g_autofree TbSpreadGap *made = g_new0(TbSpreadGap, 1);
    TbScatterAsk ask = tb_spread_ask(&input->pair, input->source, input->count);
    TbGap *gap = &made->moving.gap;

    ask.nominal = input->nominal;
    ask.keep = input->keep;
    ask.enough = input->keep + input->want;
    ask.seed = input->chance.seed;
    ask.samples = input->chance.samples;
    ask.confidence = TB_SPREAD_CONFIDENCE;
    made->status = tb_scatter(&ask, NULL, task, &made->scatter, &made->fault);
    if (made->status == TB_E_CANCELLED || made->status == TB_E_MEMORY) {
        if (fault != NULL)
            *fault = made->fault;
        return made->status;
    }
    *gap = made->scatter.nominal;
    if (made->status == TB_OK && !gap->nothing) {
        gap->lower = made->scatter.worst_lower;
        gap->upper = made->scatter.worst_upper;
        gap->exhausted = made->scatter.worst_exhausted;
        gap->contact = made->scatter.worst_contact;
        gap->inner = made->scatter.worst_inner;
        gap->doubt = made->scatter.worst_doubt;
        gap->enclosed = made->scatter.worst_enclosed;
        gap->certified = gap->certified && !input->blended;
    }
    for (int i = 0; i < TB_MOTION_MOST; i++) {
        made->moving.at_a[i] = made->scatter.at_a[i];
        made->moving.at_b[i] = made->scatter.at_b[i];
    }
    *value = g_steal_pointer(&made);
    return TB_OK;
}

static const TbSort sort_gap = {
    .what = "gaps", .make = make_gap, .free_value = g_free, .free_input = input_free};

static Input *
input_of(const TbPairAsk *ask,
         const TbEntry *nominal,
         const TbSpreadSet *set,
         const TbSpreadChance *chance)
{
    Input *input = g_new0(Input, 1);

    tb_pair_input_init(&input->pair, ask);
    input->count = set->count;
    for (size_t i = 0; i < set->count; i++)
        input->source[i] = set->source[i].scatter;
    input->blended = set->blended || ask->uncertified;
    input->keep = ask->keep;
    input->want = ask->want;
    if (nominal != NULL)
        input->nominal = g_memdup2(nominal->value, sizeof *input->nominal);
    input->chance = *chance;
    return input;
}

void
tb_spread_key(TbKey *key, const TbSpreadSet *set)
{
    size_t count = set == NULL ? 0 : set->count;

    tb_key_add_word(key, count);
    for (size_t i = 0; i < count; i++) {
        const TbScatterSource *s = &set->source[i].scatter;

        tb_key_add_word(key, (uint64_t)s->kind << 1 | (uint64_t)s->side);
        tb_key_add_number(key, s->half);
        if (s->kind != TB_SCATTER_SIZE)
            tb_key_add_vec3(key, s->direction);
        if (s->kind == TB_SCATTER_TURN)
            tb_key_add_vec3(key, s->point);
    }
}

TbEntry *
tb_spread_gap(TbCache *cache,
              const TbPairAsk *ask,
              const TbEntry *nominal,
              const TbSpreadSet *set,
              const TbSpreadChance *chance,
              bool *is_new)
{
    TbKey *key = tb_measure_motion_key(ask);

    tb_key_add_number(key, ask->keep);
    tb_key_add_number(key, ask->want);
    tb_key_add_word(key, set->blended || ask->uncertified);
    tb_spread_key(key, set);
    tb_key_add_word(key, chance->samples);
    tb_key_add_word(key, chance->samples == 0 ? 0 : chance->seed);
    return tb_cache_need(cache, key, &sort_gap, input_of(ask, nominal, set, chance), is_new);
}

bool
tb_spread_is_searched(const TbEntry *entry)
{
    return entry->sort == &sort_gap;
}

void
tb_spread_take_off(const TbSpreadSet *set, TbGap *gap)
{
    bool has_depth = !gap->nothing && gap->contact != TB_CROSSES;

    for (size_t i = 0; i < set->count && has_depth; i++) {
        const TbScatterSource *s = &set->source[i].scatter;
        TbVec3 at = s->side == 0 ? gap->point_a : gap->point_b;
        double arm = s->kind == TB_SCATTER_TURN ? tb_vec3_distance(at, s->point) : 1;

        gap->lower -= s->half * arm;
        gap->upper -= s->kind == TB_SCATTER_SIZE ? s->half : 0;
    }
    gap->certified = false;
}
