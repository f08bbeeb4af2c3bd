/* Readers of dates, days of the year, windows and weekdays.
 *
 * Given a value, each makes days: of the calendar where a year is written, of every year where none is.
 * Windows may hang on an event of a site; its name is known here, its date only to the site. Durations and
 * moments of a batch have their own file, reading_moment.c.
 */
#include "model/reading_internal.h"

#include <string.h>

/* ------------------------------------------------------------------ events of a site */

/* An event is called after the field that states its mean date. */
static bool event_at(size_t row, Slice *name)
{
    const Field *field = &field_table[row];
    Slice which;
    return field->type == TYPE_EVENT && field_word_at(field, 1, &which) && slice_is(which, "mean") &&
           field_word_at(field, 0, name);
}

bool event_known(Slice word)
{
    Slice name;
    for (size_t i = 0; i < field_count; i++)
        if (event_at(i, &name) && slice_equal(name, word)) return true;
    return false;
}

void event_nearest(Nearest *nearest)
{
    Slice name;
    for (size_t i = 0; i < field_count; i++)
        if (event_at(i, &name)) nearest_try(nearest, name);
}

const char *event_list(const Reader *reader)
{
    const char *list = "";
    Slice name;
    for (size_t i = 0; i < field_count; i++)
        if (event_at(i, &name))
            list = arena_print(reader->context->arena, "%s%s%.*s", list, *list ? ", " : "", SLICE_ARG(name));
    return list;
}

static bool event_read(const Reader *reader, const Part *part, Name *event)
{
    if (!part)
        return reader_refuse(reader, "value", reader->place, "after or before which event of the site? %s",
                             event_list(reader));
    if (part->kind != PART_WORD) return reader_refuse_part(reader, part);
    if (!event_known(part->word)) {
        Nearest nearest;
        nearest_start(&nearest, part->word);
        event_nearest(&nearest);
        return reader_refuse(reader, "unknown-word", part->span, "no event of a site is called '%.*s'%s",
                             SLICE_ARG(part->word), reader_hint(reader, &nearest, event_list(reader)));
    }
    *event = reader_intern(reader, part->word);
    return true;
}

/* ------------------------------------------------------------------ dates */

/* Whether a day of no year is one in this year: 29 Feb is not always. */
static bool in_year(const Reader *reader, const Part *part, int year)
{
    if (part->day.part != PART_OF_MONTH_DAY || part->day.day <= month_length(year, part->day.month))
        return true;
    return reader_refuse(reader, "value", part->span, "%d is no leap year and has no 29 Feb", year);
}

static bool date_range(const Reader *reader, const Part *part, Reading *reading)
{
    if (part->b->kind != PART_DATE)
        return reader_refuse(reader, "value", part->span, "which year? for example 14 Jun .. 17 Jun 2027");
    reading->last = part->b->date;
    if (part->a->kind == PART_DATE) {
        reading->first = part->a->date;
    } else if (part->a->kind == PART_DAY) {
        int year = day_year(reading->last);
        if (!in_year(reader, part->a, year)) return false;
        reading->first = year_day_first(part->a->day, year);
    } else {
        return reader_refuse(reader, "value", part->a->span,
                             "the first day needs its month: 14 Jun .. 17 Jun 2027");
    }
    if (reading->first <= reading->last) return true;
    return reader_refuse(
        reader, "value", part->span,
        "these days run backwards: the earlier stands first, over New Year with its own year");
}

/* `mid Feb 2028` is a day of no year and a number: gives the year, or 0. */
static int year_of(const Part *part)
{
    if (!part || part->kind != PART_QUANTITY || part->quantity.unit.length) return 0;
    Number number = part->quantity.number;
    return number.den == 1 && number.num >= YEAR_FIRST && number.num <= YEAR_LAST ? (int)number.num : 0;
}

static bool date_part_of_month(const Reader *reader, const Part **at, Reading *reading)
{
    const Part *part = *at;
    int year = year_of(part->next);
    if (!year) {
        char day[DAY_TEXT];
        year_day_write(day, part->day);
        Span place = part->next && part->next->kind == PART_QUANTITY ? part->next->span : part->span;
        return reader_refuse(reader, "value", place, "which year, from %d to %d? for example %s 2027",
                             YEAR_FIRST, YEAR_LAST, day);
    }
    if (!in_year(reader, part, year)) return false;
    reading->first = year_day_first(part->day, year);
    reading->last = year_day_last(part->day, year);
    reading->part_of_month = reading->first != reading->last;
    *at = part->next;
    return true;
}

/* A date said twice must be one date. */
static bool date_restated(const Reader *reader, const Part *bracket, const Reading *reading)
{
    const Part *inner = bracket->a;
    if (inner->kind != PART_DATE) return reader_refuse_part(reader, inner);
    if (reading->first == inner->date && reading->last == inner->date) return true;
    char first[DAY_TEXT], second[DAY_TEXT];
    day_write(first, reading->first);
    day_write(second, inner->date);
    return reader_refuse(reader, "restated-value", bracket->span, "%s is not %s", first, second);
}

bool date_read(const Reader *reader, const Part **at, Reading *reading)
{
    const Part *part = *at;
    if (!part)
        return reader_refuse(reader, "value", reader->place, "%s takes %s", reader->field->spelling,
                             reader_takes(reader));
    if (part->kind == PART_DATE) {
        reading->first = reading->last = part->date;
    } else if (part->kind == PART_RANGE) {
        if (!date_range(reader, part, reading)) return false;
    } else if (part->kind == PART_DAY) {
        if (!date_part_of_month(reader, &part, reading)) return false;
    } else {
        return reader_refuse_part(reader, part);
    }
    part = part->next;
    if (part && part->kind == PART_BRACKET) {
        if (!date_restated(reader, part, reading)) return false;
        part = part->next;
    }
    *at = part;
    return true;
}

bool read_date(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "date, or a range of dates");
    const Part *part = phrase ? phrase->first : NULL;
    if (!phrase || !date_read(reader, &part, reading)) return false;
    if (part && part->kind == PART_TIME && reading->first == reading->last) {
        reading->minutes = part->minutes;
        part = part->next;
    }
    return reader_text(reader, part, reading);
}

bool read_want(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "number and date");
    if (!phrase) return false;
    const Part *part = phrase->first;
    if (part->kind != PART_QUANTITY) return reader_refuse_part(reader, part);
    Amount amount;
    if (!amount_read(reader, DIM_NONE, BARE_NEEDS_UNIT, &part, &amount)) return false;
    reading->wanted = amount.said[0];
    if (reading->wanted.den != 1 || reading->wanted.num < 1)
        return reader_refuse(reader, "value", phrase->first->span, "%s takes a whole number of plants: %s",
                             reader->field->spelling, value_types[TYPE_WANT].example);
    if (!part_is(part, "by")) return reader_end(reader, part);
    part = part->next;
    return date_read(reader, &part, reading) && reader_end(reader, part);
}

bool read_until(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "date");
    if (!phrase) return false;
    const Part *part = phrase->first;
    if (part_is(part, "no") && field_has_word(reader->field, part->word)) {
        reading->none = true;
        return reader_end(reader, part->next);
    }
    if (!part_is(part, "until")) return reader_refuse_part(reader, part);
    part = part->next;
    return date_read(reader, &part, reading) && reader_end(reader, part);
}

/* ------------------------------------------------------------------ days of the year */

bool read_event(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "day of the year");
    if (!phrase) return false;
    const Part *part = phrase->first;
    if (part->kind == PART_DATE)
        return reader_refuse(reader, "value", part->span, "%s comes every year: leave out the year",
                             reader->field->spelling);
    if (part->kind != PART_DAY) return reader_refuse_part(reader, part);
    reading->event = part->day;
    return reader_end(reader, part->next);
}

static bool weekday_of(const Reader *reader, const Part *part, int *weekday)
{
    if (weekday_find(part->word, weekday)) return true;
    Nearest nearest;
    nearest_start(&nearest, part->word);
    for (int i = 1; i <= 7; i++) nearest_try(&nearest, slice_of(weekday_name[i]));
    return reader_refuse(reader, "unknown-word", part->span, "no weekday is written '%.*s'%s",
                         SLICE_ARG(part->word),
                         reader_hint(reader, &nearest, "Mon, Tue, Wed, Thu, Fri, Sat, Sun"));
}

/* Mon .. Fri; Fri .. Mon goes on over the end of the week. */
static bool weekdays(const Reader *reader, const Part *from, const Part *to, DaySet *days)
{
    int first, last;
    if (!weekday_of(reader, from, &first) || !weekday_of(reader, to, &last)) return false;
    for (int day = first;; day = day % 7 + 1) {
        days->weekdays = (uint8_t)(days->weekdays | 1U << (day - 1));
        if (day == last) return true;
    }
}

typedef VEC(DayRange) DayRanges;

static bool read_day_entry(const Reader *reader, const Part *part, Reading *reading, DayRanges *ranges)
{
    bool range = part->kind == PART_RANGE;
    const Part *first = range ? part->a : part, *last = range ? part->b : part;
    if (first->kind == PART_WORD && last->kind == PART_WORD) {
        if (!weekdays(reader, first, last, &reading->days)) return false;
    } else if (first->kind == PART_DAY && last->kind == PART_DAY) {
        VEC_PUSH(reader->context->arena, ranges, ((DayRange){first->day, last->day, NULL}));
    } else if (first->kind == PART_DATE || last->kind == PART_DATE) {
        return reader_refuse(reader, "value", part->span, "%s comes every year: leave out the year",
                             reader->field->spelling);
    } else {
        return reader_refuse_part(reader, part);
    }
    return reader_end(reader, part->next && part->next->kind == PART_TEXT ? part->next->next : part->next);
}

bool read_days(const Reader *reader, const Value *value, Reading *reading)
{
    DayRanges ranges = {0};
    const Part *alone = value->first->first->first;
    if (part_is(alone, "none") && !value->first->next && !value->first->first->next) {
        reading->none = true;
        return reader_end(reader, alone->next);
    }
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        const Phrase *phrase = reader_phrase(reader, mix);
        if (!phrase || !read_day_entry(reader, phrase->first, reading, &ranges)) return false;
        const Part *why = phrase->first->next;
        if (why && mix->next)
            return reader_refuse(reader, "value", why->span,
                                 "the text stands once, behind all days of the clause");
        if (why) reading->text = reader_copy(reader, why->word);
    }
    /* The reason is that of all days of the clause. */
    for (size_t i = 0; i < ranges.count && reading->text.at; i++) ranges.at[i].why = reading->text.at;
    reading->days.ranges = ranges.at;
    reading->days.range_count = ranges.count;
    return true;
}

/* ------------------------------------------------------------------ windows */

/* A phrase with its ranges taken apart: a, the range itself as a mark between, b. */
typedef struct Steps {
    const Part **at;
    size_t count, next;
} Steps;

static Steps steps_of(const Reader *reader, const Part *part)
{
    size_t count = 0;
    for (const Part *one = part; one; one = one->next) count += one->kind == PART_RANGE ? 3 : 1;
    Steps steps = {ARENA_ARRAY(reader->context->arena, const Part *, count + 1), 0, 0};
    for (const Part *one = part; one; one = one->next) {
        bool range = one->kind == PART_RANGE;
        if (range) steps.at[steps.count++] = one->a;
        steps.at[steps.count++] = one;
        if (range) steps.at[steps.count++] = one->b;
    }
    return steps;
}

/* The next step, NULL at the end: the array has one place more than it needs. */
static const Part *step(const Steps *steps)
{
    return steps->at[steps->next];
}

/* `1/6`: day and month in some order, or half a dozen. */
static bool is_stroked(const Part *part)
{
    Slice digits = part->quantity.digits;
    return !part->quantity.unit.length && memchr(digits.at, '/', digits.length);
}

/* Of a day or a month: one or two figures; else 0, which is neither. */
static int figures_value(Slice figures)
{
    int value = 0;
    for (size_t i = 0; i < figures.length && figures.length <= 2; i++) {
        if (figures.at[i] < '0' || figures.at[i] > '9') return 0;
        value = value * 10 + (figures.at[i] - '0');
    }
    return value;
}

static bool refuse_fraction(const Reader *reader, const Part *part)
{
    Slice digits = part->quantity.digits;
    if (!is_stroked(part)) return reader_refuse_part(reader, part);
    const char *stroke = memchr(digits.at, '/', digits.length);
    int first = figures_value((Slice){digits.at, (size_t)(stroke - digits.at)}),
        second = figures_value((Slice){stroke + 1, digits.length - (size_t)(stroke + 1 - digits.at)});
    bool day_first = second >= 1 && second <= 12 && first >= 1 && first <= 31,
         month_first = first >= 1 && first <= 12 && second >= 1 && second <= 31;
    if (day_first && month_first && first != second)
        return reader_refuse(reader, "value", part->span,
                             "%.*s can be read as %d %s or %d %s: write the month as a word",
                             SLICE_ARG(digits), first, month_name[second], second, month_name[first]);
    if (day_first || month_first)
        return reader_refuse(
            reader, "value", part->span, "a day is written with its month as a word: %d %s instead of %.*s",
            day_first ? first : second, month_name[day_first ? second : first], SLICE_ARG(digits));
    return reader_refuse_part(reader, part);
}

/* `after` or `before`, as a sign; 0 after refusing anything else. */
static int direction(const Reader *reader, const Part *part)
{
    if (part_is(part, "after")) return 1;
    if (part_is(part, "before")) return -1;
    reader_refuse(reader, "value", part ? part->span : reader->place,
                  "so long after or before what? for example 2 weeks after last-frost");
    return 0;
}

/* 2 weeks after last-frost */
static bool offset_mark(const Reader *reader, Steps *steps, DayMark *mark)
{
    Part lone = *step(steps); /* without what follows it */
    lone.next = NULL;
    if (!lone.quantity.unit.length && steps->next + 1 >= steps->count)
        return refuse_fraction(reader, step(steps));
    const Part *at = &lone;
    DaySpan span;
    if (!days_read(reader, &at, &span)) return false;
    steps->next++;
    int sign = direction(reader, step(steps));
    if (!sign) return false;
    steps->next++;
    mark->days = sign * span.low;
    return event_read(reader, step(steps), &mark->event);
}

static bool mark_read(const Reader *reader, Steps *steps, DayMark *mark)
{
    const Part *part = step(steps);
    *mark = (DayMark){NULL, {0, 0, 0}, 0};
    bool read = false;
    if (!part)
        return reader_refuse(reader, "value", reader->place, "%s takes %s", reader->field->spelling,
                             reader_takes(reader));
    if (part->kind == PART_DATE)
        return reader_refuse(reader, "value", part->span, "%s comes every year: leave out the year",
                             reader->field->spelling);
    if (part->kind == PART_DAY) {
        mark->day = part->day;
        read = true;
    } else if (part->kind == PART_QUANTITY) {
        read = offset_mark(reader, steps, mark);
    } else {
        read = event_read(reader, part, &mark->event);
    }
    steps->next += read;
    return read;
}

/* 2 .. 3 weeks after leaf-fall: from the one to the other. */
static bool span_window(const Reader *reader, const Part *part, Window *window)
{
    DaySpan span;
    if (!days_read(reader, &part, &span)) return false;
    int sign = direction(reader, part);
    if (!sign || !event_read(reader, part->next, &window->first.event)) return false;
    window->last.event = window->first.event;
    window->first.days = sign > 0 ? span.low : -span.high;
    window->last.days = sign > 0 ? span.high : -span.low;
    return reader_end(reader, part->next->next);
}

bool window_read(const Reader *reader, const Part *part, Window *window)
{
    *window = (Window){.all_year = false};
    if (part_is(part, "all") && part_is(part->next, "year")) {
        window->all_year = true;
        return reader_end(reader, part->next->next);
    }
    bool span =
        part && part->kind == PART_RANGE && part->a->kind == PART_QUANTITY && part->b->kind == PART_QUANTITY;
    if (span && is_stroked(part->a)) return refuse_fraction(reader, part->a);
    if (span) return span_window(reader, part, window);
    Steps steps = steps_of(reader, part);
    if (!mark_read(reader, &steps, &window->first)) return false;
    window->last = window->first;
    if (step(&steps) && step(&steps)->kind == PART_RANGE) {
        steps.next++;
        if (!mark_read(reader, &steps, &window->last)) return false;
    }
    return reader_end(reader, step(&steps));
}

bool read_window(const Reader *reader, const Value *value, Reading *reading)
{
    VEC(Window) windows = {0};
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        const Phrase *phrase = reader_phrase(reader, mix);
        if (!phrase) return false;
        if (!window_read(reader, phrase->first, VEC_ADD(reader->context->arena, &windows))) return false;
    }
    reading->windows = windows.at;
    reading->window_count = windows.count;
    return true;
}
