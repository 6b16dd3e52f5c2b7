/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "draw/repaint.h"

#include "draw/paint_private.h"

#include <glib.h>
#include <math.h>
#include <string.h>

/** dots by which ink may run over a mark's box. */
#define BLEED 1.0

/** Of the image: so much of it one rectangle costs besides its dots, for marks that lie in two are
 * painted twice. */
#define PART_SHARE 0.15

/** A picture, and what is compared of its marks. */
typedef struct Marks {
    TbPicture picture;
    guint64 *sum;     /* of contents: where it differs, they do */
    TbRectangle *box; /* mm */
} Marks;

struct TbRepaint {
    TbPaintMeasurer *fonts;
    Marks now;
    TbRepaintLook look;
    cairo_surface_t *image; /* NULL: nothing is painted yet */
};

/* ---- one mark and another ---- */

static guint64
mix(guint64 sum, const void *data, size_t bytes)
{
    const unsigned char *p = data;

    /* eight bytes at a time: nearly all are doubles */
    for (; bytes >= 8; bytes -= 8, p += 8) {
        guint64 word;

        memcpy(&word, p, 8);
        sum = (sum ^ word) * 0x9e3779b97f4a7c15u;
        sum ^= sum >> 29;
    }
    for (; bytes > 0; bytes--, p++)
        sum = (sum ^ *p) * 0x100000001b3u;
    return sum;
}

static guint64
sum_of(const TbPicture *picture, const TbMark *mark)
{
    const int kinds[] = {(int)mark->kind, (int)mark->fill, (int)mark->ink, (int)mark->pen};
    guint64 sum = mix(0xcbf29ce484222325u, kinds, sizeof kinds);

    sum = mix(sum, &mark->at, sizeof mark->at);
    for (size_t k = 0; k < mark->loops; k++) {
        TbLoopSpan loop = picture->loops[mark->first_loop + k];

        sum = mix(sum, picture->points + loop.first, loop.count * sizeof(TbVec2));
    }
    if (mark->kind == TB_MARK_TEXT) {
        const char *text = tb_picture_string(picture, mark->text);

        sum = mix(sum, text, strlen(text));
    }
    if (mark->kind == TB_MARK_RASTER)
        sum = mix(sum, picture->shares + mark->first_share,
                  mark->columns * mark->rows * sizeof(double));
    return sum;
}

static bool
has_same_style(const TbMark *a, const TbMark *b)
{
    return a->kind == b->kind && a->fill == b->fill && a->ink == b->ink && a->pen == b->pen &&
           a->hatch_angle == b->hatch_angle && a->hatch_step == b->hatch_step &&
           a->hatch_dotted == b->hatch_dotted && a->at.x == b->at.x && a->at.y == b->at.y &&
           a->size == b->size && a->turn == b->turn && a->anchor == b->anchor &&
           a->bold == b->bold && a->backed == b->backed;
}

static bool
has_same_loops(const TbPicture *p, const TbMark *a, const TbPicture *q, const TbMark *b)
{
    if (a->loops != b->loops)
        return false;
    for (size_t k = 0; k < a->loops; k++) {
        TbLoopSpan one = p->loops[a->first_loop + k], other = q->loops[b->first_loop + k];

        if (one.count != other.count ||
            memcmp(p->points + one.first, q->points + other.first, one.count * sizeof(TbVec2)) != 0)
            return false;
    }
    return true;
}

static bool
has_same_cells(const TbPicture *p, const TbMark *a, const TbPicture *q, const TbMark *b)
{
    return a->columns == b->columns && a->rows == b->rows &&
           (a->columns * a->rows == 0 ||
            memcmp(p->shares + a->first_share, q->shares + b->first_share,
                   a->columns * a->rows * sizeof(double)) == 0);
}

/* True where both look alike: what they tell the pointer, and their layers, may differ. */
static bool
is_alike(const Marks *m, size_t i, const Marks *n, size_t k)
{
    const TbMark *a = &m->picture.marks[i], *b = &n->picture.marks[k];

    return m->sum[i] == n->sum[k] && has_same_style(a, b) &&
           has_same_loops(&m->picture, a, &n->picture, b) &&
           (a->kind != TB_MARK_TEXT || strcmp(tb_picture_string(&m->picture, a->text),
                                              tb_picture_string(&n->picture, b->text)) == 0) &&
           (a->kind != TB_MARK_RASTER || has_same_cells(&m->picture, a, &n->picture, b));
}

static void
marks_clear(Marks *marks)
{
    tb_picture_clear(&marks->picture);
    g_clear_pointer(&marks->sum, g_free);
    g_clear_pointer(&marks->box, g_free);
}

/* Takes the picture over. */
static Marks
marks_of(TbPicture *picture, TbPaintMeasurer *fonts)
{
    TbMeasurer measurer = tb_paint_measurer(fonts);
    Marks marks = {.picture = *picture,
                   .sum = g_new(guint64, picture->mark_count + 1),
                   .box = g_new(TbRectangle, picture->mark_count + 1)};

    for (size_t i = 0; i < picture->mark_count; i++) {
        const TbMark *mark = &picture->marks[i];
        double width = mark->kind == TB_MARK_TEXT
                           ? measurer.width(measurer.user, tb_picture_string(picture, mark->text),
                                            mark->size, mark->bold)
                           : 0;

        marks.sum[i] = sum_of(picture, mark);
        tb_picture_mark_box(picture, mark, width, &marks.box[i].low, &marks.box[i].high);
    }
    tb_picture_init(picture, 0, 0);
    return marks;
}

/* ---- which marks have stayed: the same ones in the same order ---- */

/* Marks of both pictures that are still to be paired: from first to last, without that. */
typedef struct Stretch {
    size_t before, before_end, now, now_end;
} Stretch;

typedef struct Pairing {
    const Marks *before, *now;
    bool *stayed_before, *stayed; /* by mark */
} Pairing;

static void
pair(Pairing *pairing, size_t before, size_t now)
{
    pairing->stayed_before[before] = true;
    pairing->stayed[now] = true;
}

/* Pairs what is alike at both ends. */
static Stretch
pair_ends(Pairing *pairing, Stretch s)
{
    while (s.before < s.before_end && s.now < s.now_end &&
           is_alike(pairing->before, s.before, pairing->now, s.now))
        pair(pairing, s.before++, s.now++);
    while (s.before < s.before_end && s.now < s.now_end &&
           is_alike(pairing->before, s.before_end - 1, pairing->now, s.now_end - 1))
        pair(pairing, --s.before_end, --s.now_end);
    return s;
}

/* Pairs both ends, then what is alike in between, the first that comes. */
static void
pair_stretch(Pairing *pairing, Stretch s)
{
    s = pair_ends(pairing, s);
    for (; s.now < s.now_end; s.now++)
        for (size_t k = s.before; k < s.before_end; k++)
            if (is_alike(pairing->before, k, pairing->now, s.now)) {
                pair(pairing, k, s.now);
                s.before = k + 1;
                break;
            }
}

/* Where each sum stands, + 1; 0 where it stands more than once. Sums are lent by the marks. */
static GHashTable *
places_of(const Marks *marks, size_t from, size_t to)
{
    GHashTable *places = g_hash_table_new(g_int64_hash, g_int64_equal);

    for (size_t i = from; i < to; i++) {
        bool again = g_hash_table_contains(places, &marks->sum[i]);

        g_hash_table_insert(places, &marks->sum[i], GSIZE_TO_POINTER(again ? 0 : i + 1));
    }
    return places;
}

/* Of places, those of a longest rising row, marked in place: others become 0. */
static void
keep_rising(size_t place[], size_t count)
{
    g_autofree size_t *last = g_new(size_t, count + 1); /* of the row of each length */
    g_autofree size_t *previous = g_new(size_t, count + 1);
    g_autofree bool *kept = g_new0(bool, count + 1);
    size_t rows = 0;

    for (size_t i = 0; i < count; i++) {
        size_t low = 0, high = rows;

        if (place[i] == 0)
            continue;
        while (low < high) {
            size_t middle = (low + high) / 2;

            if (place[last[middle]] < place[i])
                low = middle + 1;
            else
                high = middle;
        }
        previous[i] = low > 0 ? last[low - 1] : count;
        last[low] = i;
        rows += low == rows;
    }
    for (size_t i = rows > 0 ? last[rows - 1] : count; i < count; i = previous[i])
        kept[i] = true;
    for (size_t i = 0; i < count; i++)
        if (!kept[i])
            place[i] = 0;
}

/* Anchors are marks that stand once in both pictures, as many as can be had in one order. What is
 * not paired though it could be is only painted in vain. */
static void
pair_all(Pairing *pairing)
{
    Stretch s = pair_ends(pairing, (Stretch){0, pairing->before->picture.mark_count, 0,
                                             pairing->now->picture.mark_count});
    GHashTable *before = places_of(pairing->before, s.before, s.before_end);
    GHashTable *now = places_of(pairing->now, s.now, s.now_end);
    size_t count = s.now_end - s.now;
    g_autofree size_t *place = g_new0(size_t, count + 1);
    size_t first = s.now;

    for (size_t i = 0; i < count; i++) {
        const guint64 *sum = &pairing->now->sum[first + i];
        size_t at = GPOINTER_TO_SIZE(g_hash_table_lookup(before, sum));

        if (at > 0 && g_hash_table_lookup(now, sum) != NULL &&
            is_alike(pairing->before, at - 1, pairing->now, first + i))
            place[i] = at;
    }
    keep_rising(place, count);
    for (size_t i = 0; i < count; i++)
        if (place[i] > 0) {
            pair_stretch(pairing, (Stretch){s.before, place[i] - 1, s.now, first + i});
            pair(pairing, place[i] - 1, first + i);
            s.before = place[i];
            s.now = first + i + 1;
        }
    pair_stretch(pairing, s);
    g_hash_table_unref(before);
    g_hash_table_unref(now);
}

/* ---- rectangles ---- */

typedef struct Parts {
    TbRepaintPart part[TB_REPAINT_MOST + 1];
    size_t count;
} Parts;

static double
area_of(TbRepaintPart part)
{
    return (double)part.width * part.height;
}

static TbRepaintPart
both(TbRepaintPart a, TbRepaintPart b)
{
    int x = MIN(a.x, b.x), y = MIN(a.y, b.y);

    return (TbRepaintPart){x, y, MAX(a.x + a.width, b.x + b.width) - x,
                           MAX(a.y + a.height, b.y + b.height) - y};
}

/* Joins the two that grow least by it; false where that is much and there are not too many.
 * @p most dots that they may grow by */
static bool
join_two(Parts *parts, double most)
{
    double least = HUGE_VAL;
    size_t one = 0, other = 0;

    for (size_t i = 0; i < parts->count; i++)
        for (size_t k = i + 1; k < parts->count; k++) {
            TbRepaintPart a = parts->part[i], b = parts->part[k];
            double more = area_of(both(a, b)) - area_of(a) - area_of(b);

            if (more < least) {
                least = more;
                one = i;
                other = k;
            }
        }
    if (parts->count < 2 || (least > most && parts->count <= TB_REPAINT_MOST))
        return false;
    parts->part[one] = both(parts->part[one], parts->part[other]);
    parts->part[other] = parts->part[--parts->count];
    return true;
}

/* On whole dots, inside the image. */
static void
add_box(Parts *parts, const TbRepaintLook *look, TbRectangle box)
{
    double x = fmax(0, floor(box.low.x * look->dots - BLEED));
    double y = fmax(0, floor(box.low.y * look->dots - BLEED));
    double right = fmin(look->width, ceil(box.high.x * look->dots + BLEED));
    double bottom = fmin(look->height, ceil(box.high.y * look->dots + BLEED));

    if (!(right > x && bottom > y))
        return;
    parts->part[parts->count++] =
        (TbRepaintPart){(int)x, (int)y, (int)(right - x), (int)(bottom - y)};
    while (join_two(parts, PART_SHARE * look->width * look->height))
        ;
}

static void
add_changed(Parts *parts, const TbRepaintLook *look, const Marks *marks, const bool stayed[])
{
    for (size_t i = 0; i < marks->picture.mark_count; i++)
        if (!stayed[i])
            add_box(parts, look, marks->box[i]);
}

static Parts
whole(const TbRepaintLook *look)
{
    return (Parts){.part = {{0, 0, look->width, look->height}}, .count = 1};
}

static Parts
changed_parts(const Marks *before, const Marks *now, const TbRepaintLook *look)
{
    Parts parts = {.count = 0};
    Pairing pairing = {.before = before,
                       .now = now,
                       .stayed_before = g_new0(bool, before->picture.mark_count + 1),
                       .stayed = g_new0(bool, now->picture.mark_count + 1)};

    pair_all(&pairing);
    add_changed(&parts, look, before, pairing.stayed_before);
    add_changed(&parts, look, now, pairing.stayed);
    g_free(pairing.stayed_before);
    g_free(pairing.stayed);
    return parts;
}

/* ---- painting ---- */

static bool
meets(TbRectangle a, TbRectangle b)
{
    return a.low.x <= b.high.x && b.low.x <= a.high.x && a.low.y <= b.high.y && b.low.y <= a.high.y;
}

static void
paint_part(TbRepaint *repaint, TbRepaintPart part)
{
    const TbPicture *picture = &repaint->now.picture;
    double dots = repaint->look.dots;
    TbRectangle box = {
        {(part.x - BLEED) / dots, (part.y - BLEED) / dots},
        {(part.x + part.width + BLEED) / dots, (part.y + part.height + BLEED) / dots}};
    cairo_t *cairo = cairo_create(repaint->image);
    TbColour paper = tb_style_colour(repaint->look.theme, TB_INK_PAPER);
    TbPaintTexts texts;

    cairo_rectangle(cairo, part.x, part.y, part.width, part.height);
    cairo_clip(cairo);
    cairo_set_source_rgb(cairo, paper.red, paper.green, paper.blue);
    cairo_paint(cairo);
    cairo_scale(cairo, dots, dots);
    texts = tb_paint__texts(cairo, repaint->fonts);
    for (size_t i = 0; i < picture->mark_count; i++)
        if (picture->marks[i].kind == TB_MARK_CLIP || meets(repaint->now.box[i], box))
            tb_paint__mark(cairo, &texts, picture, &picture->marks[i], repaint->look.theme);
    tb_paint__texts_end(&texts);
    cairo_destroy(cairo);
}

static bool
is_same_look(const TbRepaintLook *a, const TbRepaintLook *b)
{
    return a->width == b->width && a->height == b->height && a->dots == b->dots &&
           a->theme == b->theme;
}

/* ---- from outside ---- */

TbRepaint *
tb_repaint_new(TbPaintMeasurer *fonts)
{
    TbRepaint *repaint = g_new0(TbRepaint, 1);

    repaint->fonts = fonts;
    tb_picture_init(&repaint->now.picture, 0, 0);
    return repaint;
}

void
tb_repaint_free(TbRepaint *repaint)
{
    if (repaint == NULL)
        return;
    tb_repaint_forget(repaint);
    marks_clear(&repaint->now);
    g_free(repaint);
}

void
tb_repaint_forget(TbRepaint *repaint)
{
    g_clear_pointer(&repaint->image, cairo_surface_destroy);
}

size_t
tb_repaint_take(TbRepaint *repaint,
                TbPicture *picture,
                const TbRepaintLook *look,
                TbRepaintPart parts[TB_REPAINT_MOST])
{
    Marks before = repaint->now;
    bool follows = repaint->image != NULL && is_same_look(&repaint->look, look);
    Parts changed;

    repaint->now = marks_of(picture, repaint->fonts);
    changed = follows ? changed_parts(&before, &repaint->now, look) : whole(look);
    marks_clear(&before);
    repaint->look = *look;
    if (!follows) {
        tb_repaint_forget(repaint);
        repaint->image = cairo_image_surface_create(CAIRO_FORMAT_RGB24, look->width, look->height);
    }
    for (size_t i = 0; i < changed.count; i++)
        paint_part(repaint, changed.part[i]);
    memcpy(parts, changed.part, changed.count * sizeof *parts);
    return changed.count;
}

const TbPicture *
tb_repaint_picture(const TbRepaint *repaint)
{
    return &repaint->now.picture;
}

cairo_surface_t *
tb_repaint_image(const TbRepaint *repaint)
{
    return repaint->image;
}
