/* Whether two readings mean the same, and the key of what one means.
 *
 * Given readings, perhaps of two nurseries with names of their own, compares what was meant and not how it
 * was written: units, blanks and, where it has no meaning, order count for nothing. A key is a text with the
 * same property.
 */
#include "base/buffer.h"
#include "model/reading_internal.h"

#include <stdlib.h>
#include <string.h>

/* ------------------------------------------------------------------ pieces */

static bool same_name(Name a, Name b)
{
    return a == b || (a && b && slice_equal(name_slice(a), name_slice(b)));
}

static bool same_word(const void *a, const void *b)
{
    return same_name(((const Word *)a)->name, ((const Word *)b)->name);
}

/* The texts of a TEXT are its words. */
static bool same_text(const void *a, const void *b)
{
    return slice_same_text(name_slice(((const Word *)a)->name), name_slice(((const Word *)b)->name));
}

static bool same_year_day(YearDay a, YearDay b)
{
    return a.month == b.month && a.part == b.part && a.day == b.day;
}

static bool same_mark(DayMark a, DayMark b)
{
    return same_name(a.event, b.event) && a.days == b.days && (a.event || same_year_day(a.day, b.day));
}

static bool same_window(const void *a_window, const void *b_window)
{
    const Window *a = a_window, *b = b_window;
    if (a->all_year || b->all_year) return a->all_year == b->all_year;
    return same_mark(a->first, b->first) && same_mark(a->last, b->last);
}

static bool same_interval(Interval a, Interval b)
{
    return interval_within(a, b) && interval_within(b, a);
}

static bool same_dose(const void *a_dose, const void *b_dose)
{
    const Dose *a = a_dose, *b = b_dose;
    if (a->none || b->none) return a->none == b->none;
    return same_name(a->auxin, b->auxin) && same_name(a->form, b->form) &&
           same_interval(a->strength, b->strength) && a->has_time == b->has_time &&
           (!a->has_time || same_interval(a->time, b->time));
}

static bool same_standing(const void *a_standing, const void *b_standing)
{
    const Standing *a = a_standing, *b = b_standing;
    return same_name(a->place, b->place) && same_name(a->from, b->from);
}

static bool same_holding(const void *a_holding, const void *b_holding)
{
    const Holding *a = a_holding, *b = b_holding;
    return number_equal(a->count, b->count) && same_name(a->container, b->container);
}

static bool same_day_range(const void *a_range, const void *b_range)
{
    const DayRange *a = a_range, *b = b_range;
    return same_year_day(a->first, b->first) && same_year_day(a->last, b->last) &&
           slice_equal(slice_of(a->why), slice_of(b->why));
}

/* ------------------------------------------------------------------ lists */

typedef bool Same(const void *a, const void *b);

typedef struct List {
    const void *at;
    size_t count, size;
} List;

static const void *entry(List list, size_t index)
{
    return (const char *)list.at + index * list.size;
}

static bool contains(List list, const void *wanted, Same *same)
{
    for (size_t i = 0; i < list.count; i++)
        if (same(entry(list, i), wanted)) return true;
    return false;
}

static bool within(List inner, List outer, Same *same)
{
    for (size_t i = 0; i < inner.count; i++)
        if (!contains(outer, entry(inner, i), same)) return false;
    return true;
}

static bool same_set(List a, List b, Same *same)
{
    return a.count == b.count && within(a, b, same) && within(b, a, same);
}

static bool same_order(List a, List b, Same *same)
{
    for (size_t i = 0; i < a.count && i < b.count; i++)
        if (!same(entry(a, i), entry(b, i))) return false;
    return a.count == b.count;
}

#define LIST(list, count, Type) ((List){(list), (count), sizeof(Type)})
#define SAME_SET(list, count, Type, same)                                                                    \
    same_set(LIST(a->list, a->count, Type), LIST(b->list, b->count, Type), same)

/* Whether the words of a reading stand in an order that means something. */
static bool words_ordered(const Reading *reading)
{
    static const bool free_order[VALUE_TYPES] = {[TYPE_WORDS] = true,
                                                 [TYPE_FREE] = true,
                                                 [TYPE_COUNTS] = true,
                                                 [TYPE_NAME] = true,
                                                 [TYPE_FIELDS] = true};
    return reading->ordered || !free_order[reading->type];
}

static bool same_words(const Reading *a, const Reading *b)
{
    List left = LIST(a->words, a->word_count, Word), right = LIST(b->words, b->word_count, Word);
    if (!words_ordered(a)) return same_set(left, right, same_word);
    return same_order(left, right, a->type == TYPE_TEXT ? same_text : same_word);
}

/* Parts count by their proportion: 2 : 2 is 1 : 1. */
static bool same_mix(const Reading *a, const Reading *b)
{
    if (a->mix_count != b->mix_count) return false;
    for (size_t i = 0; i < a->mix_count; i++) {
        Number of_a, of_b;
        if (!same_name(a->mix[i].component, b->mix[i].component)) return false;
        bool fits = number_divide(a->mix[i].parts, a->mix[0].parts, &of_a) &&
                    number_divide(b->mix[i].parts, b->mix[0].parts, &of_b);
        if (!(fits ? number_equal(of_a, of_b) : number_equal(a->mix[i].parts, b->mix[i].parts))) return false;
    }
    return true;
}

/* ------------------------------------------------------------------ the whole */

static bool same_numbers(const Reading *a, const Reading *b)
{
    for (unsigned i = 0; i < a->side_count && i < b->side_count; i++)
        if (!number_equal(a->sides[i], b->sides[i])) return false;
    bool wanted = a->type != TYPE_WANT || number_equal(a->wanted, b->wanted);
    return a->side_count == b->side_count && wanted && intervals_equal(a->numbers, b->numbers) &&
           same_name(a->per, b->per);
}

static bool same_days(const Reading *a, const Reading *b)
{
    return a->first == b->first && a->last == b->last && a->part_of_month == b->part_of_month &&
           a->minutes == b->minutes && same_year_day(a->event, b->event) &&
           a->days.weekdays == b->days.weekdays &&
           SAME_SET(days.ranges, days.range_count, DayRange, same_day_range) &&
           SAME_SET(windows, window_count, Window, same_window);
}

static bool same_time(const Reading *a, const Reading *b)
{
    return a->length == b->length && a->span.low == b->span.low && a->span.planned == b->span.planned &&
           a->span.high == b->span.high && a->moment.kind == b->moment.kind &&
           same_name(a->moment.stage, b->moment.stage) && same_name(a->moment.event, b->moment.event) &&
           same_name(a->each, b->each) && a->latest_day == b->latest_day && a->side == b->side;
}

static bool same_row(const DialRow *a, const DialRow *b)
{
    if (!a || !b) return a == b;
    return a->first == b->first && a->last == b->last && slice_equal(a->setting, b->setting);
}

static bool same_flags(const Reading *a, const Reading *b)
{
    return a->type == b->type && a->none == b->none && a->any == b->any && a->unknown == b->unknown &&
           a->relative == b->relative && a->of == b->of && a->of_a_sample == b->of_a_sample &&
           a->drop_strength == b->drop_strength && a->drop_any_strength == b->drop_any_strength &&
           a->drop_block == b->drop_block && a->severity == b->severity;
}

static bool same_condition(const Reading *a, const Reading *b)
{
    return a->type != TYPE_CONDITION || expr_equal(a->condition, b->condition);
}

bool reading_equal(const Reading *a, const Reading *b)
{
    return same_flags(a, b) && same_numbers(a, b) && same_days(a, b) && same_time(a, b) && same_words(a, b) &&
           same_mix(a, b) && same_row(a->row, b->row) && same_condition(a, b) &&
           slice_same_text(a->text, b->text) && same_name(a->language, b->language) &&
           SAME_SET(doses, dose_count, Dose, same_dose) &&
           SAME_SET(standings, standing_count, Standing, same_standing) &&
           SAME_SET(holdings, holding_count, Holding, same_holding);
}

/* ------------------------------------------------------------------ keys */

typedef VEC(const char *) Pieces;

static const char *key_number(Arena *arena, Number number)
{
    if (number.den == 1) return arena_print(arena, "%lld", (long long)number.num);
    return arena_print(arena, "%lld/%lld", (long long)number.num, (long long)number.den);
}

/* 12..25, ..50, -2.., 20; an end that is outside has a `<` beside it. */
static const char *key_interval(Arena *arena, Interval interval)
{
    Bound low = interval.low, high = interval.high;
    if (interval_is_point(interval)) return key_number(arena, low.at);
    return arena_print(arena, "%s%s..%s%s", low.unbounded ? "" : key_number(arena, low.at),
                       !low.unbounded && low.open ? "<" : "", !high.unbounded && high.open ? "<" : "",
                       high.unbounded ? "" : key_number(arena, high.at));
}

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static const char *text_or_nothing(Name name)
{
    return name ? name->text : "";
}

/* A group of pieces, sorted where their order means nothing, behind what is there already. */
static void put_pieces(Buffer *out, Pieces *pieces, bool sorted)
{
    if (!pieces->count) return;
    if (sorted) qsort(pieces->at, pieces->count, sizeof *pieces->at, by_text);
    if (buffer_slice_of(out).length) buffer_char(out, ' ');
    for (size_t i = 0; i < pieces->count; i++) {
        if (i) buffer_char(out, ',');
        buffer_text(out, pieces->at[i]);
    }
}

static void put_piece(Buffer *out, const char *piece)
{
    if (buffer_slice_of(out).length) buffer_char(out, ' ');
    buffer_text(out, piece);
}

static void key_numbers(Arena *arena, Buffer *out, const Reading *reading)
{
    Pieces pieces = {0};
    for (unsigned i = 0; i < reading->side_count; i++)
        VEC_PUSH(arena, &pieces, key_number(arena, reading->sides[i]));
    for (size_t i = 0; i < reading->numbers.count && !reading->side_count; i++)
        VEC_PUSH(arena, &pieces, key_interval(arena, reading->numbers.at[i]));
    put_pieces(out, &pieces, false);
    if (reading->type == TYPE_WANT) put_piece(out, key_number(arena, reading->wanted));
    if (reading->relative) put_piece(out, arena_print(arena, "of %s", reading->of->spelling));
    if (reading->per) put_piece(out, arena_print(arena, "per %s", reading->per->text));
}

static const char *key_day(Arena *arena, Day day)
{
    char text[DAY_TEXT];
    size_t length = day_write_iso(text, day);
    return arena_copy(arena, text, length);
}

static const char *key_mark(Arena *arena, DayMark mark)
{
    char text[DAY_TEXT];
    if (mark.event) return arena_print(arena, "%s%+d", mark.event->text, (int)mark.days);
    year_day_write(text, mark.day);
    return arena_print(arena, "%s", text);
}

static const char *key_range(Arena *arena, const DayRange *range)
{
    DayMark first = {NULL, range->first, 0}, last = {NULL, range->last, 0};
    return arena_print(arena, "%s..%s%s%s", key_mark(arena, first), key_mark(arena, last),
                       range->why ? " " : "", range->why ? range->why : "");
}

static const char *key_window(Arena *arena, const Window *window)
{
    if (window->all_year) return "all year";
    return arena_print(arena, "%s..%s", key_mark(arena, window->first), key_mark(arena, window->last));
}

static void key_dates(Arena *arena, Buffer *out, const Reading *reading)
{
    if (reading->first != DAY_NONE) put_piece(out, key_day(arena, reading->first));
    if (reading->last != DAY_NONE && reading->last != reading->first) {
        const char *to = reading->first == DAY_NONE ? "until " : reading->part_of_month ? "in.." : "..";
        put_piece(out, arena_print(arena, "%s%s", to, key_day(arena, reading->last)));
    }
    if (reading->minutes >= 0) put_piece(out, arena_print(arena, "at %d", reading->minutes));
}

static void key_days(Arena *arena, Buffer *out, const Reading *reading)
{
    Pieces pieces = {0}, ranges = {0}, windows = {0};
    if (reading->event.month) put_piece(out, key_mark(arena, (DayMark){NULL, reading->event, 0}));
    for (int day = 1; day <= 7; day++)
        if (reading->days.weekdays & 1U << (day - 1)) VEC_PUSH(arena, &pieces, weekday_name[day]);
    put_pieces(out, &pieces, false);
    for (size_t i = 0; i < reading->days.range_count; i++)
        VEC_PUSH(arena, &ranges, key_range(arena, &reading->days.ranges[i]));
    put_pieces(out, &ranges, true);
    for (size_t i = 0; i < reading->window_count; i++)
        VEC_PUSH(arena, &windows, key_window(arena, &reading->windows[i]));
    put_pieces(out, &windows, true);
}

static void key_time(Arena *arena, Buffer *out, const Reading *reading)
{
    const DaySpan *span = &reading->span;
    static const char *const moments[] = {
        [MOMENT_NONE] = "",   [MOMENT_TAKE] = "take",     [MOMENT_STICK] = "stick", [MOMENT_START] = "start",
        [MOMENT_END] = "end", [MOMENT_FINISH] = "finish", [MOMENT_EVENT] = "event",
    };
    bool timed = reading->length == LENGTH_DAYS || reading->moment.kind || reading->latest_day ||
                 reading->type == TYPE_SLACK;
    if (timed) put_piece(out, arena_print(arena, "%d..%d d", (int)span->low, (int)span->high));
    if (reading->side) put_piece(out, reading->side == SLACK_AFTER ? "after" : "before");
    if (reading->moment.kind)
        put_piece(out, arena_print(arena, "from %s %s%s", moments[reading->moment.kind],
                                   text_or_nothing(reading->moment.stage),
                                   text_or_nothing(reading->moment.event)));
    if (reading->each) put_piece(out, arena_print(arena, "each %s", reading->each->text));
}

static const char *key_dose(Arena *arena, const Dose *dose)
{
    if (dose->none) return "none";
    return arena_print(arena, "%s %s %s%s%s", dose->auxin->text, key_interval(arena, dose->strength),
                       dose->form->text, dose->has_time ? " " : "",
                       dose->has_time ? key_interval(arena, dose->time) : "");
}

static const char *key_part(Arena *arena, const MixPart *part, Number first)
{
    Number share;
    if (!number_divide(part->parts, first, &share)) share = part->parts;
    return arena_print(arena, "%s %s", key_number(arena, share), part->component->text);
}

static void key_lists(Arena *arena, Buffer *out, const Reading *reading)
{
    Pieces words = {0}, doses = {0}, mix = {0}, stands = {0}, holds = {0};
    for (size_t i = 0; i < reading->word_count; i++) VEC_PUSH(arena, &words, reading->words[i].name->text);
    put_pieces(out, &words, !words_ordered(reading));
    if (reading->of_a_sample) put_piece(out, "of a sample");
    for (size_t i = 0; i < reading->dose_count; i++)
        VEC_PUSH(arena, &doses, key_dose(arena, &reading->doses[i]));
    put_pieces(out, &doses, true);
    for (size_t i = 0; i < reading->mix_count; i++)
        VEC_PUSH(arena, &mix, key_part(arena, &reading->mix[i], reading->mix[0].parts));
    put_pieces(out, &mix, false);
    for (size_t i = 0; i < reading->standing_count; i++)
        VEC_PUSH(arena, &stands,
                 arena_print(arena, "%s from %s", reading->standings[i].place->text,
                             text_or_nothing(reading->standings[i].from)));
    put_pieces(out, &stands, true);
    for (size_t i = 0; i < reading->holding_count; i++)
        VEC_PUSH(arena, &holds,
                 arena_print(arena, "%s %s", key_number(arena, reading->holdings[i].count),
                             reading->holdings[i].container->text));
    put_pieces(out, &holds, true);
}

static void key_rest(Arena *arena, Buffer *out, const Reading *reading)
{
    static const char *const strengths[] = {[STRENGTH_PLAIN] = "plain",
                                            [STRENGTH_MUST] = "must",
                                            [STRENGTH_PREFER] = "prefer",
                                            [STRENGTH_NEVER] = "never"};
    if (reading->drop_block) put_piece(out, block_types[reading->drop_block].spelling);
    if (reading->type == TYPE_DROP && !reading->drop_any_strength)
        put_piece(out, strengths[reading->drop_strength]);
    if (reading->type == TYPE_JUDGE) put_piece(out, severity_name[reading->severity]);
    if (reading->row) {
        bool end = reading->row->last == INT32_MAX;
        put_piece(out, arena_print(arena, "%d..", (int)reading->row->first));
        buffer_text(out, end ? "end" : arena_print(arena, "%d", (int)reading->row->last));
        put_piece(out, arena_print(arena, "%.*s", SLICE_ARG(reading->row->setting)));
    }
    if (reading->type == TYPE_CONDITION) buffer_slice(out, reading->written);
    if (reading->language) put_piece(out, reading->language->text);
    /* The texts of a TEXT are its words, and those of days stand beside the days. */
    bool told = (reading->type == TYPE_TEXT && reading->word_count) || reading->days.range_count;
    if (reading->text.length && !told)
        put_piece(out, arena_print(arena, "\"%.*s\"", SLICE_ARG(reading->text)));
}

const char *reading_key(Arena *arena, const Reading *reading)
{
    Buffer *out = buffer_in_memory(arena);
    if (reading->unknown) put_piece(out, "unknown");
    if (reading->none && !reading->word_count && !reading->dose_count) put_piece(out, "none");
    key_numbers(arena, out, reading);
    key_dates(arena, out, reading);
    key_days(arena, out, reading);
    key_time(arena, out, reading);
    key_lists(arena, out, reading);
    key_rest(arena, out, reading);
    buffer_char(out, '\0');
    return buffer_slice_of(out).at;
}
