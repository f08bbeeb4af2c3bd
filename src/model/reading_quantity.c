/* Readers of values that are numbers: quantities, sizes, rates, hours of the day, dilutions.
 *
 * Given a value, each makes the numbers of a reading in base units (reading_amount.c does the single amount).
 * What the numbers are held against is left to the checks.
 */
#include "model/reading_internal.h"

/* ------------------------------------------------------------------ quantities */

typedef VEC(Interval) Intervals;

static bool add_amount(const Reader *reader, Intervals *intervals, const Amount *amount, Reading *reading)
{
    if (intervals->count == 0) reading->unit = amount->unit;
    VEC_PUSH(reader->context->arena, intervals, amount->interval);
    return true;
}

/* A field whose share another one may be: of its dimension, in some block together with it. */
static bool serves(const Field *field, const Field *of)
{
    return of->type == TYPE_QUANTITY && of->dimension == field->dimension &&
           (of->where & field->where) != 0 && !slice_is(slice_of(field->spelling), of->spelling);
}

static bool relative_field(const Reader *reader, const Part *part, const Field **of)
{
    const Field *field = reader->field;
    Slice word;
    if (!part_word(part, &word))
        return reader_refuse(reader, "value", part ? part->span : reader->place,
                             "a share of what? for example 1/3 .. 1/2 of length");
    if (slice_is(word, field->spelling))
        return reader_refuse(reader, "value", part->span, "%s cannot be a share of itself", field->spelling);
    const Field *row = field_find_from(word, NULL);
    bool known = row != NULL;
    while (row && !serves(field, row)) row = field_find_from(word, row);
    *of = row;
    if (row) return true;
    if (known)
        return reader_refuse(reader, "value", part->span,
                             "%s can be a share of another length only; %.*s is none", field->spelling,
                             SLICE_ARG(word));
    Nearest nearest;
    nearest_start(&nearest, word);
    for (size_t i = 0; i < field_count; i++)
        if (serves(field, &field_table[i])) nearest_try(&nearest, slice_of(field_table[i].spelling));
    return reader_refuse(reader, "unknown-word", part->span, "no field '%.*s'%s", SLICE_ARG(word),
                         reader_hint(reader, &nearest, ""));
}

/* 1/3 .. 1/2 of length */
static bool read_relative(const Reader *reader, const Part *part, Intervals *intervals, Reading *reading)
{
    if (reader->field->dimension != DIM_LENGTH)
        return reader_refuse(reader, "value", part->span,
                             "only a length can be a share of another; %s takes %s", reader->field->spelling,
                             reader_takes(reader));
    Amount amount;
    if (!amount_read(reader, DIM_SHARE, BARE_IS_PLAIN, &part, &amount)) return false;
    const Field *of;
    const Part *named = part->next;
    if (!relative_field(reader, named, &of)) return false;
    if (intervals->count && reading->of != of)
        return reader_refuse(reader, "value", named->span,
                             "one value is either a length or a share of one field");
    amount.unit = NULL;
    reading->relative = true;
    reading->of = of;
    add_amount(reader, intervals, &amount, reading);
    return reader_end(reader, named->next);
}

static bool is_relative(const Part *part)
{
    const Part *amount = part_is(part, "about") ? part->next : part;
    if (!amount || !part_is_amount(amount) || !part_is(amount->next, "of")) return false;
    return part_dimension(amount) == DIM_NONE || part_dimension(amount) == DIM_SHARE;
}

/* A word that stands for a quantity, where the field's list has it: none is 0, any is everything. */
static bool read_stand_in(const Reader *reader, const Part *part, Intervals *intervals, Reading *reading)
{
    Slice word = part->word;
    if (!field_has_word(reader->field, word)) {
        Nearest nearest;
        nearest_start(&nearest, word);
        vocabulary_nearest_word(&nearest, reader->field);
        if (!nearest_found(&nearest)) return reader_refuse_part(reader, part);
        return reader_refuse(reader, "unknown-word", part->span, "%s takes no '%.*s'%s",
                             reader->field->spelling, SLICE_ARG(word), reader_hint(reader, &nearest, ""));
    }
    Amount amount = {.interval = interval_closed(NUMBER(0), NUMBER(0))};
    if (slice_is(word, "none")) {
        reading->none = true;
    } else if (slice_is(word, "any")) {
        reading->any = true;
        amount.interval = interval_everything();
    } else if (slice_is(word, "unknown")) {
        reading->unknown = true;
        return reader_end(reader, part->next);
    } else {
        return reader_refuse_part(reader, part);
    }
    add_amount(reader, intervals, &amount, reading);
    return reader_end(reader, part->next);
}

/* How often, and how long before something: a schedule counts in whole days, each at a known distance. */
static bool whole_days(const Reader *reader, const Amount *amount, Span place)
{
    DaySpan span;
    if (!days_of_amount(reader, amount, place, &span)) return false;
    if (span.low != span.high)
        return reader_refuse(reader, "value", place, "%s takes one number of days or weeks: 1 week",
                             reader->field->spelling);
    if (span.low > 0) return true;
    return reader_refuse(reader, "value", place, "%s takes at least 1 day", reader->field->spelling);
}

static bool read_alternative(const Reader *reader, const Part *part, Intervals *intervals, Reading *reading)
{
    if (part->kind == PART_WORD && !part_is(part, "about"))
        return read_stand_in(reader, part, intervals, reading);
    if (is_relative(part)) return read_relative(reader, part, intervals, reading);
    if (reading->relative)
        return reader_refuse(reader, "value", part->span,
                             "one value is either a length or a share of one field");
    const Field *field = reader->field;
    Span place = part->span;
    Amount amount;
    if (!amount_read(reader, field->dimension, BARE_NEEDS_UNIT, &part, &amount)) return false;
    bool duration = field->dimension == DIM_DURATION;
    if (duration && field->role == ROLE_SCHEDULE && !whole_days(reader, &amount, place)) return false;
    add_amount(reader, intervals, &amount, reading);
    return duration ? reader_text(reader, part, reading) : reader_end(reader, part);
}

bool read_quantity(const Reader *reader, const Value *value, Reading *reading)
{
    Intervals intervals = {0};
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        const Phrase *phrase = reader_phrase(reader, mix);
        if (!phrase || !read_alternative(reader, phrase->first, &intervals, reading)) return false;
    }
    reading->numbers = intervals_of(reader->context->arena, intervals.at, intervals.count);
    return true;
}

/* ------------------------------------------------------------------ sizes: 54 x 28 cm */

enum { SIDES = 3 };

static bool collect_sides(const Reader *reader, const Part *part, const Part *side[SIDES], unsigned *count)
{
    for (*count = 0; part; part = part->next) {
        if (part->kind != PART_QUANTITY) return reader_refuse_part(reader, part);
        if (*count == SIDES) return reader_end(reader, part);
        side[(*count)++] = part;
        part = part->next;
        if (part && !part_is(part, "x")) return reader_end(reader, part);
        if (part && !part->next)
            return reader_refuse(reader, "value", part->span, "a side is missing behind x: 54 x 28 cm");
        if (!part) break;
    }
    if (*count > 1) return true;
    return reader_refuse(reader, "value", reader->place, "%s takes two or three sides: 54 x 28 cm",
                         reader->field->spelling);
}

bool read_size(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "size");
    const Part *side[SIDES];
    if (!phrase || !collect_sides(reader, phrase->first, side, &reading->side_count)) return false;
    const Part *last = side[reading->side_count - 1];
    Interval points[SIDES];
    for (unsigned i = 0; i < reading->side_count; i++) {
        Slice unit = side[i]->quantity.unit;
        if (unit.length && last->quantity.unit.length && !slice_equal(unit, last->quantity.unit))
            return reader_refuse(reader, "value", side[i]->quantity.unit_span,
                                 "all sides are in one unit, written once at the end: 54 x 28 cm");
        Part lone = *side[i]; /* with the unit of the last side, and without what follows */
        lone.next = NULL;
        if (!unit.length)
            lone.quantity.unit = last->quantity.unit, lone.quantity.unit_span = last->quantity.unit_span;
        const Part *at = &lone;
        Amount amount;
        if (!amount_read(reader, reader->field->dimension, BARE_NEEDS_UNIT, &at, &amount)) return false;
        if (amount.said[0].num == 0)
            return reader_refuse(reader, "value", side[i]->span, "no side of a size is 0");
        reading->sides[i] = amount.said[0];
        reading->unit = amount.unit;
        points[i] = amount.interval;
    }
    reading->numbers = intervals_of(reader->context->arena, points, reading->side_count);
    return true;
}

/* ------------------------------------------------------------------ rates: 2 min per tray */

/* What a rate is counted by: `per tray`. */
static bool read_per(const Reader *reader, const Part *part, Reading *reading)
{
    Slice word;
    const char *known = reader_list(reader, "");
    if (!part_word(part, &word))
        return reader_refuse(reader, "value", part ? part->span : reader->place, "per what? %s", known);
    if (!field_has_word(reader->field, word)) {
        Nearest nearest;
        nearest_start(&nearest, word);
        vocabulary_nearest_word(&nearest, reader->field);
        return reader_refuse(reader, "unknown-word", part->span, "%s is not counted per '%.*s'%s",
                             reader->field->spelling, SLICE_ARG(word), reader_hint(reader, &nearest, known));
    }
    reading->per = reader_intern(reader, word);
    return reader_end(reader, part->next);
}

bool read_rate(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "rate");
    if (!phrase) return false;
    const Field *field = reader->field;
    const Part *part = phrase->first;
    Amount amount;
    if (!part_is_amount(part)) return reader_refuse_part(reader, part);
    if (!amount_read(reader, field->dimension, BARE_NEEDS_UNIT, &part, &amount)) return false;
    reading->numbers = intervals_of(reader->context->arena, &amount.interval, 1);
    reading->unit = amount.unit;
    if (part_is(part, "per")) return read_per(reader, part->next, reading);
    if (part) return reader_end(reader, part);
    /* Where work may be counted by the batch, a time alone is for the whole batch. */
    Slice batch = slice_of(block_types[BLOCK_BATCH].spelling);
    if (!field_has_word(field, batch))
        return reader_refuse(reader, "value", reader->place, "%s needs what it is counted by: per %s",
                             field->spelling, reader_list(reader, ""));
    reading->per = reader_intern(reader, batch);
    return true;
}

/* ------------------------------------------------------------------ shares of what was stuck: 62 .. 78 %
 * rooted */

bool read_rated(const Reader *reader, const Value *value, Reading *reading)
{
    const Phrase *phrase = reader_only(reader, value, "rate");
    if (!phrase) return false;
    const Field *field = reader->field;
    const Part *part = phrase->first;
    if (part_is(part, "unknown") && field_has_word(field, part->word)) {
        reading->unknown = true;
        return reader_end(reader, part->next);
    }
    Amount amount;
    if (!part_is_amount(part)) return reader_refuse_part(reader, part);
    if (!amount_read(reader, field->dimension, BARE_NEEDS_UNIT, &part, &amount)) return false;
    reading->numbers = intervals_of(reader->context->arena, &amount.interval, 1);
    reading->unit = amount.unit;
    Slice word;
    const char *known = reader_list(reader, "unknown");
    if (!part_word(part, &word))
        return reader_refuse(reader, "value", part ? part->span : reader->place,
                             "what share of them? for example %s", value_types[TYPE_RATED].example);
    if (*known && !field_has_word(field, word)) {
        Nearest nearest;
        nearest_start(&nearest, word);
        vocabulary_nearest_word(&nearest, field);
        return reader_refuse(reader, "unknown-word", part->span, "%s is not a share '%.*s'%s",
                             field->spelling, SLICE_ARG(word), reader_hint(reader, &nearest, known));
    }
    reading->per = reader_intern(reader, word);
    return reader_end(reader, part->next);
}

/* ------------------------------------------------------------------ hours of the day: 06:00 .. 09:00 */

static bool hour_of(const Reader *reader, const Part *part, Number *minutes)
{
    if (part->kind != PART_TIME) return reader_refuse_part(reader, part);
    *minutes = NUMBER(part->minutes);
    return true;
}

static bool read_hour(const Reader *reader, const Part *part, Interval *hours)
{
    Number low = NUMBER(0), high = NUMBER(0);
    if (part->kind == PART_RANGE) {
        if (!hour_of(reader, part->a, &low) || !hour_of(reader, part->b, &high)) return false;
    } else if (part->kind == PART_AT_LEAST) {
        high = NUMBER(24 * 60);
        if (!hour_of(reader, part->a, &low)) return false;
    } else if (part->kind == PART_AT_MOST) {
        if (!hour_of(reader, part->a, &high)) return false;
    } else {
        if (!hour_of(reader, part, &low)) return false;
        high = low;
    }
    if (number_compare(low, high) > 0)
        return reader_refuse(
            reader, "value", part->span,
            "these hours run backwards: write the two sides of midnight as two, 22:00 .. 24:00, "
            "00:00 .. 02:00");
    *hours = interval_closed(low, high);
    return reader_end(reader, part->next);
}

bool read_hours(const Reader *reader, const Value *value, Reading *reading)
{
    Intervals hours = {0};
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        const Phrase *phrase = reader_phrase(reader, mix);
        if (!phrase || !read_hour(reader, phrase->first, VEC_ADD(reader->context->arena, &hours)))
            return false;
    }
    reading->numbers = intervals_of(reader->context->arena, hours.at, hours.count);
    return true;
}

/* ------------------------------------------------------------------ dilutions: 1 + 9, 1 in 10 */

static bool bare_above_zero(const Part *part)
{
    return part->kind == PART_QUANTITY && part->quantity.unit.length == 0 && part->quantity.number.num > 0;
}

static bool dilution_point(const Reader *reader, const Part *part, Number *share)
{
    if (part->kind != PART_SUM && part->kind != PART_SHARE) return reader_refuse_part(reader, part);
    if (!bare_above_zero(part->a) || !bare_above_zero(part->b))
        return reader_refuse(reader, "value", part->span,
                             "a dilution has two numbers over 0: 1 + 9, 1 in 10");
    Number parts = part->a->quantity.number, whole = part->b->quantity.number;
    bool fits = part->kind == PART_SHARE || number_add(parts, whole, &whole);
    if (!fits || !number_divide(parts, whole, share))
        return reader_refuse(reader, "value", part->span, "this number is too large or too fine to be exact");
    if (number_compare(*share, NUMBER(1)) <= 0) return true;
    return reader_refuse(reader, "value", part->span, "a dilution holds no more than the whole: 1 in 10");
}

/* 1:10 stands for 1 + 10 with some and for 1 in 10 with others. */
static bool refuse_ratio(const Reader *reader, const Mix *mix)
{
    const Part *first = mix->first->first, *second = mix->first->next->first;
    bool ratio = !mix->first->next->next && !first->next && !second->next;
    Number parts, whole;
    ratio = ratio && bare_above_zero(first) && bare_above_zero(second) &&
            number_add(first->quantity.number, second->quantity.number, &whole) &&
            number_divide(first->quantity.number, whole, &parts);
    if (!ratio) return reader_phrase(reader, mix) != NULL;
    Slice a = first->quantity.digits, b = second->quantity.digits;
    Number in;
    char with[48], within[48];
    number_write(with, sizeof with, parts);
    if (!number_divide(first->quantity.number, second->quantity.number, &in)) in = parts;
    number_write(within, sizeof within, in);
    return reader_refuse(
        reader, "value", mix->span,
        "%.*s:%.*s can be read two ways: %.*s + %.*s is %lld/%lld, %.*s in %.*s is %lld/%lld; "
        "write one of them",
        SLICE_ARG(a), SLICE_ARG(b), SLICE_ARG(a), SLICE_ARG(b), (long long)parts.num, (long long)parts.den,
        SLICE_ARG(a), SLICE_ARG(b), (long long)in.num, (long long)in.den);
}

bool read_dilution(const Reader *reader, const Value *value, Reading *reading)
{
    Intervals intervals = {0};
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        if (mix->first->next) return refuse_ratio(reader, mix);
        const Part *part = mix->first->first;
        bool range = part->kind == PART_RANGE;
        Number low, high;
        if (!dilution_point(reader, range ? part->a : part, &low)) return false;
        high = low;
        if (range && !dilution_point(reader, part->b, &high)) return false;
        if (number_compare(low, high) > 0)
            return reader_refuse(reader, "value", part->span,
                                 "this range runs backwards: the weaker stands first");
        VEC_PUSH(reader->context->arena, &intervals, interval_closed(low, high));
        if (!reader_end(reader, part->next)) return false;
    }
    reading->numbers = intervals_of(reader->context->arena, intervals.at, intervals.count);
    return true;
}
