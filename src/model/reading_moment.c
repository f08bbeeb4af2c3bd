/* Readers of time inside a batch: how long a stage lasts, when a task is done, and how far a closed day may
 * move it.
 *
 * Given a value, each makes days from a moment, both as written: stages and tasks are names here and are
 * looked up when a schedule is made. Everything counts in whole days; a range keeps both ends and its middle.
 */
#include "model/reading_internal.h"

enum { DAY_SECONDS = 86400, DAYS_MOST = 36500 };

/* ------------------------------------------------------------------ whole days */

/* The middle of lo .. hi, halves going to the later day. */
static DaySpan span_of(int32_t low, int32_t high)
{
    return (DaySpan){low, low + (high - low + 1) / 2, high};
}

static bool whole(Number number, int32_t *days)
{
    if (number.den != 1 || number.num < 0 || number.num > DAYS_MOST) return false;
    *days = (int32_t)number.num;
    return true;
}

bool days_of_amount(const Reader *reader, const Amount *amount, Span place, DaySpan *span)
{
    const char *field = reader->field->spelling;
    Bound low = amount->interval.low, high = amount->interval.high;
    if (low.unbounded || high.unbounded || low.open || high.open)
        return reader_refuse(reader, "value", place, "%s needs both ends: 2 .. 3 weeks", field);
    Number first, last;
    int32_t from, to;
    bool days = number_divide(low.at, NUMBER(DAY_SECONDS), &first) &&
                number_divide(high.at, NUMBER(DAY_SECONDS), &last) && whole(first, &from) && whole(last, &to);
    if (!days)
        return reader_refuse(
            reader, "value", place, "%s takes whole days, at most %d: 10 days, 2 .. 3 weeks%s", field,
            DAYS_MOST, reader->field->role == ROLE_SCHEDULE ? "; for hours use daily 08:00, 20:00" : "");
    *span = span_of(from, to);
    return true;
}

bool days_read(const Reader *reader, const Part **part, DaySpan *span)
{
    if (!part_is_amount(*part))
        return reader_refuse(reader, "value", *part ? (*part)->span : reader->place,
                             "how long? for example 2 weeks");
    Span place = (*part)->span;
    Amount amount;
    if (!amount_read(reader, DIM_DURATION, BARE_NEEDS_UNIT, part, &amount)) return false;
    return days_of_amount(reader, &amount, place, span);
}

static DaySpan span_before(DaySpan span)
{
    return span_of(-span.high, -span.low);
}

/* ------------------------------------------------------------------ moments */

static const struct {
    const char *word;
    MomentKind kind;
    bool own, named; /* may stand alone, for the stage around it; may be followed by `of` and a stage */
} anchors[] = {
    {"take", MOMENT_TAKE, true, false},     {"stick", MOMENT_STICK, true, false},
    {"finish", MOMENT_FINISH, true, false}, {"start", MOMENT_START, true, true},
    {"end", MOMENT_END, true, true},
};

static bool stage_read(const Reader *reader, const Part *after, const Part **part, WrittenMoment *moment)
{
    Slice word;
    if (!part_word(*part, &word))
        return reader_refuse(reader, "value", *part ? (*part)->span : after->span,
                             "of which stage? %.*s NAME", SLICE_ARG(span_slice(after->span)));
    moment->stage = reader_intern(reader, word);
    *part = (*part)->next;
    return true;
}

static bool refuse_moment(const Reader *reader, const Part *part)
{
    Nearest nearest;
    nearest_start(&nearest, part->word);
    for (size_t i = 0; i < sizeof anchors / sizeof anchors[0]; i++)
        nearest_try(&nearest, slice_of(anchors[i].word));
    nearest_try(&nearest, SLICE("ready"));
    event_nearest(&nearest);
    const char *all =
        arena_print(reader->context->arena, "take, stick, start, end, end of STAGE, ready STAGE, finish, %s",
                    event_list(reader));
    return reader_refuse(reader, "unknown-word", part->span, "'%.*s' is no moment of a batch%s",
                         SLICE_ARG(part->word), reader_hint(reader, &nearest, all));
}

bool moment_read(const Reader *reader, const Part **at, WrittenMoment *moment)
{
    const Part *part = *at;
    if (!part)
        return reader_refuse(reader, "value", reader->place, "after or before what? for example %s",
                             value_types[TYPE_MOMENT].example);
    if (part->kind == PART_DAY || part->kind == PART_DATE)
        return reader_refuse(reader, "value", part->span,
                             "%s hangs on the batch, not on the calendar: 1 week before end of root",
                             reader->field->spelling);
    if (part->kind != PART_WORD) return reader_refuse_part(reader, part);
    *at = part->next;
    if (slice_is(part->word, "ready")) {
        moment->kind = MOMENT_END; /* a stage ends when it is ready */
        return stage_read(reader, part, at, moment);
    }
    for (size_t i = 0; i < sizeof anchors / sizeof anchors[0]; i++) {
        if (!slice_is(part->word, anchors[i].word)) continue;
        moment->kind = anchors[i].kind;
        if (!anchors[i].named || !part_is(*at, "of")) return true;
        *at = (*at)->next;
        return stage_read(reader, part->next, at, moment);
    }
    if (!event_known(part->word)) return refuse_moment(reader, part);
    moment->kind = MOMENT_EVENT;
    moment->event = reader_intern(reader, part->word);
    return true;
}

/* Behind a number of days: after M, before M. */
static bool directed_read(const Reader *reader, const Part **part, Reading *reading)
{
    bool before = part_is(*part, "before");
    if (!before && !part_is(*part, "after"))
        return reader_refuse(reader, "value", *part ? (*part)->span : reader->place,
                             "so long after or before what? for example %s",
                             value_types[TYPE_MOMENT].example);
    *part = (*part)->next;
    if (before) reading->span = span_before(reading->span);
    return moment_read(reader, part, &reading->moment);
}

/* `day 7`, `day 7 .. 9`, of the stage around it or `after stick` */
static bool day_number_read(const Reader *reader, const Part **at, Reading *reading)
{
    const Part *part = (*at)->next;
    if (!part || !part_is_amount(part))
        return reader_refuse(reader, "value", (*at)->span, "which day of the stage? for example day 14");
    Span place = part->span;
    Amount amount;
    if (!amount_read(reader, DIM_NONE, BARE_NEEDS_UNIT, &part, &amount)) return false;
    Bound low = amount.interval.low, high = amount.interval.high;
    int32_t first = 0, last = 0;
    bool counted = !low.unbounded && !high.unbounded && whole(low.at, &first) && whole(high.at, &last);
    if (!counted) return reader_refuse(reader, "value", place, "days are counted in whole numbers: day 14");
    reading->span = span_of(first, last);
    reading->moment.kind = MOMENT_START;
    *at = part;
    return true;
}

/* Any way to say a moment: day 7 [after M], 2 weeks after M, after M, M. */
static bool when_read(const Reader *reader, const Part *part, Reading *reading)
{
    if (part_is(part, "day")) {
        if (!day_number_read(reader, &part, reading)) return false;
        if (part_is(part, "after") && !directed_read(reader, &part, reading)) return false;
        return reader_end(reader, part);
    }
    if (part_is_amount(part)) {
        if (!days_read(reader, &part, &reading->span) || !directed_read(reader, &part, reading)) return false;
        return reader_end(reader, part);
    }
    if (part_is(part, "before"))
        return reader_refuse(reader, "value", part->span, "how long before? for example 1 day before stick");
    if (part_is(part, "after")) part = part->next;
    return moment_read(reader, &part, &reading->moment) && reader_end(reader, part);
}

/* A stage that waits for itself would never begin, or never end. */
static bool not_itself(const Reader *reader, const WrittenMoment *moment, Span place)
{
    bool own = (moment->kind == MOMENT_START || moment->kind == MOMENT_END) && !moment->stage;
    if (!own || !field_stands_in(reader->field, BLOCK_STAGE)) return true;
    return reader_refuse(reader, "value", place, "%s cannot hang on the stage itself: end of which stage?",
                         reader->field->spelling);
}

bool read_moment(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "moment");
    return phrase && when_read(reader, phrase->first, reading) &&
           not_itself(reader, &reading->moment, phrase->span);
}

bool read_at(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "time");
    if (!phrase) return false;
    const Part *part = phrase->first;
    if (!part_is(part, "each")) return when_read(reader, part, reading);
    Slice task;
    if (!part_word(part->next, &task))
        return reader_refuse(reader, "value", part->span,
                             "with each time of which task? for example at each look");
    reading->each = reader_intern(reader, task);
    return reader_end(reader, part->next->next);
}

bool read_first(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "day");
    if (!phrase) return false;
    const Part *part = phrase->first;
    if (!part_is(part, "day") && !part_is_amount(part)) return reader_refuse_part(reader, part);
    if (!when_read(reader, part, reading)) return false;
    if (reading->span.low == reading->span.high && reading->span.low >= 0) return true;
    return reader_refuse(reader, "value", phrase->span,
                         "%s takes one day, not before the moment it is counted from: %s",
                         reader->field->spelling, value_types[TYPE_FIRST].example);
}

/* ------------------------------------------------------------------ how long a stage lasts */

static bool names_days(const Part *part)
{
    return part->kind == PART_DAY || part->kind == PART_DATE ||
           (part->kind == PART_WORD && event_known(part->word));
}

/* Whether a phrase speaks of days of the year, and not of moments of the batch. */
static bool hangs_on_year(const Part *part)
{
    for (; part; part = part->next) {
        bool range = part->kind == PART_RANGE;
        if (range ? names_days(part->a) || names_days(part->b) : names_days(part)) return true;
    }
    return false;
}

static bool read_lasts_until(const Reader *reader, const Part *part, Reading *reading)
{
    if (!hangs_on_year(part)) {
        reading->length = LENGTH_MOMENT;
        return when_read(reader, part, reading) && not_itself(reader, &reading->moment, reader->place);
    }
    Window *window = ARENA_NEW(reader->context->arena, Window);
    reading->length = LENGTH_WINDOW;
    reading->windows = window;
    reading->window_count = 1;
    return window_read(reader, part, window);
}

bool read_lasts(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "length");
    if (!phrase) return false;
    const Part *part = phrase->first;
    if (part_is(part, "until")) return read_lasts_until(reader, part->next, reading);
    if (!part_is_amount(part)) return reader_refuse_part(reader, part);
    reading->length = LENGTH_DAYS;
    return days_read(reader, &part, &reading->span) && reader_text(reader, part, reading);
}

/* ------------------------------------------------------------------ the last day, and closed days */

bool read_latest(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "day");
    if (!phrase) return false;
    const Part *part = phrase->first;
    if (part_is(part, "day")) {
        reading->latest_day = true;
        if (!day_number_read(reader, &part, reading)) return false;
        reading->moment.kind = MOMENT_NONE; /* always of the stage it stands in */
        if (reading->span.low == reading->span.high) return reader_end(reader, part);
        return reader_refuse(reader, "value", phrase->span, "%s takes one day: day 24",
                             reader->field->spelling);
    }
    Window *window = ARENA_NEW(reader->context->arena, Window);
    for (const Part *one = part; one; one = one->next)
        if (one->kind == PART_RANGE)
            return reader_refuse(reader, "value", one->span, "%s takes one day, not a range: %s",
                                 reader->field->spelling, value_types[TYPE_LATEST].example);
    reading->windows = window;
    reading->window_count = 1;
    return window_read(reader, part, window);
}

bool read_slack(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "number of days");
    if (!phrase) return false;
    const Part *part = phrase->first;
    if (!part_is_amount(part)) return reader_refuse_part(reader, part);
    if (!days_read(reader, &part, &reading->span)) return false;
    if (reading->span.low != reading->span.high)
        return reader_refuse(reader, "value", phrase->span, "%s takes one number of days: %s",
                             reader->field->spelling, value_types[TYPE_SLACK].example);
    bool after = part_is(part, "after"), before = part_is(part, "before");
    reading->side = after ? SLACK_AFTER : before ? SLACK_BEFORE : SLACK_EITHER;
    return reader_end(reader, after || before ? part->next : part);
}

/* ------------------------------------------------------------------ a line of a schedule */

static bool dial_day(const Reader *reader, const Part *part, int32_t *day)
{
    bool bare = part->kind == PART_QUANTITY && part->quantity.unit.length == 0;
    if (bare && whole(part->quantity.number, day)) return true;
    return reader_refuse(reader, "value", part->span,
                         "a line of a schedule begins with days of the stage: day 0 .. 3");
}

Slice dial_setting(Arena *arena, const Value *value, const Part *from)
{
    Span end = {value->span.text, value->span.end, value->span.end};
    return slice_folded(arena, span_slice(span_join(from->span, end)));
}

bool read_row(const Reader *reader, const Value *value, Reading *reading)
{
    const Part *days = value->first->first->first;
    bool range = days->kind == PART_RANGE;
    DialRow *row = ARENA_NEW(reader->context->arena, DialRow);
    if (!dial_day(reader, range ? days->a : days, &row->first)) return false;
    row->last = row->first;
    if (range && part_is(days->b, "end"))
        row->last = INT32_MAX;
    else if (range && days->b->kind == PART_WORD)
        return reader_refuse(reader, "value", days->b->span, "up to which day? for example %d .. end",
                             (int)row->first);
    else if (range && !dial_day(reader, days->b, &row->last))
        return false;
    if (row->last < row->first)
        return reader_refuse(reader, "value", days->span,
                             "these days run backwards: the lower number stands first");
    if (!days->next)
        return reader_refuse(reader, "value", days->span, "what is set on these days? for example %s",
                             value_types[TYPE_ROW].example);
    row->setting = dial_setting(reader->context->arena, value, days->next);
    reading->row = row;
    return true;
}
