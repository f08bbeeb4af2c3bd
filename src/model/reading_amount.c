/* Amounts: numbers with units, ranges, bounds, restated pairs.
 *
 * Given parts of a phrase and the dimension that the field wants, gives exact numbers in base units. One unit
 * at the end serves both ends of a range; a value restated in brackets must agree with the first within
 * rounding. What a field may hold beside an amount is left to the readers of its type.
 */
#include "model/reading_internal.h"

#include <string.h>

const char *dimension_example(Dimension dimension)
{
    static const char *const examples[DIMENSIONS] = {
        [DIM_NONE] = "2 .. 4",
        [DIM_LENGTH] = "12 .. 25 mm",
        [DIM_AREA] = "4 .. 6 m2",
        [DIM_VOLUME] = "35 mL",
        [DIM_MASS] = "200 g",
        [DIM_TEMPERATURE] = "18 .. 22 C",
        [DIM_DIFFERENCE] = "2 C",
        [DIM_DURATION] = "2 .. 3 weeks",
        [DIM_ANGLE] = "45 +- 10 deg",
        [DIM_SHARE] = "50 .. 70 %",
        [DIM_CONCENTRATION] = "1000 .. 3000 ppm",
        [DIM_LIGHT_SUM] = "5 .. 10 mol/m2/d",
        [DIM_MONEY] = "0.30 EUR",
    };
    return examples[dimension];
}

/* ------------------------------------------------------------------ what is possible at all */

typedef struct Possible {
    bool has_low, has_high;
    Number low, high;
    const char *law;
} Possible;

static const Possible possible[DIMENSIONS] = {
    [DIM_NONE] = {true, false, {0, 1}, {0, 1}, "this is a number from 0 up"},
    [DIM_LENGTH] = {true, false, {0, 1}, {0, 1}, "no length is below 0"},
    [DIM_AREA] = {true, false, {0, 1}, {0, 1}, "no area is below 0"},
    [DIM_VOLUME] = {true, false, {0, 1}, {0, 1}, "no volume is below 0"},
    [DIM_MASS] = {true, false, {0, 1}, {0, 1}, "no weight is below 0"},
    [DIM_TEMPERATURE] = {true, false, {-5463, 20}, {0, 1}, "no temperature is below -273.15 C"},
    [DIM_DIFFERENCE] = {false, false, {0, 1}, {0, 1}, ""},
    [DIM_DURATION] = {true, false, {0, 1}, {0, 1}, "no time is shorter than 0"},
    [DIM_ANGLE] = {true, true, {-180, 1}, {180, 1}, "an angle lies between -180 and 180 deg"},
    [DIM_SHARE] = {true, true, {0, 1}, {1, 1}, "a share lies between 0 and 100 %"},
    [DIM_CONCENTRATION] = {true, true, {0, 1}, {1000000, 1}, "a strength lies between 0 and 100 %"},
    [DIM_LIGHT_SUM] = {true, false, {0, 1}, {0, 1}, "no sum of light is below 0"},
    [DIM_MONEY] = {true, false, {0, 1}, {0, 1}, "no price is below 0"},
};

bool amount_possible(Dimension dimension, Interval interval)
{
    const Possible *law = &possible[dimension];
    const Bound *ends[2] = {&interval.low, &interval.high};
    for (int i = 0; i < 2; i++) {
        if (ends[i]->unbounded) continue;
        if (law->has_low && number_compare(ends[i]->at, law->low) < 0) return false;
        if (law->has_high && number_compare(ends[i]->at, law->high) > 0) return false;
    }
    return true;
}

/* ------------------------------------------------------------------ units */

/* The units of a dimension, one by one, against a word that stands where a unit should. */
static void unit_nearest(Nearest *nearest, Dimension dimension)
{
    for (size_t i = 0; i < unit_count; i++)
        if (unit_table[i].dimension == dimension) nearest_try(nearest, slice_of(unit_table[i].spelling));
}

/* Words that go on after a number and are no try at a unit. */
static bool goes_on(const Reader *reader, Slice word)
{
    static const char *const words[] = {"per", "of",  "by", "after", "before",
                                        "to",  "and", "x",  "every", "in"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (slice_is(word, words[i])) return true;
    return field_has_word(reader->field, word);
}

/* A number stands without the unit it needs: `next` is what follows it in the phrase. */
static bool refuse_unitless(const Reader *reader, Dimension dimension, const Part *atom, const Part *next)
{
    const char *examples = unit_examples(dimension);
    const char *field = reader->field->spelling;
    Slice digits = atom->quantity.digits;
    Slice word = {"", 0};
    bool tried = part_word(next, &word) && !goes_on(reader, word);
    if (tried && dimension == DIM_DURATION && (slice_starts(word, "month") || slice_starts(word, "year")))
        return reader_refuse(reader, "value", next->span,
                             "months and years differ in length: use weeks, or until a date");
    if (tried) {
        Nearest nearest;
        nearest_start(&nearest, word);
        unit_nearest(&nearest, dimension);
        if (nearest_found(&nearest))
            return reader_refuse(reader, "unknown-word", next->span, "no unit '%.*s'; did you mean %.*s?",
                                 SLICE_ARG(word), SLICE_ARG(nearest.best));
        return reader_refuse(reader, "unknown-word", next->span, "no unit '%.*s'; %s takes %s: %s",
                             SLICE_ARG(word), field, dimension_name[dimension], examples);
    }
    return reader_refuse(reader, "value", atom->span, "%s takes %s; %.*s what? %s", field,
                         dimension_name[dimension], SLICE_ARG(digits), examples);
}

/* What an amount is read with. */
typedef struct Wanted {
    const Reader *reader;
    Dimension dimension;
    Bare bare;
    const Part *next; /* what follows it in the phrase */
} Wanted;

/* The unit of a number: its own, else that of `lender` at the other end, else that of a plan's column. NULL
 * in *unit: none is needed. */
static bool unit_of(const Wanted *wanted, const Part *atom, const Part *lender, const Unit **unit)
{
    const Reader *reader = wanted->reader;
    Dimension dimension = wanted->dimension;
    const Part *owner = atom->quantity.unit.length || !lender ? atom : lender;
    const Quantity *owned = &owner->quantity;
    *unit = NULL;
    if (owned->unit.length == 0) {
        const Unit *header = reader->context->header_unit;
        bool fraction =
            dimension == DIM_SHARE && memchr(atom->quantity.digits.at, '/', atom->quantity.digits.length);
        if (header && header->dimension == dimension) *unit = header;
        if (*unit || dimension == DIM_NONE || wanted->bare == BARE_IS_PLAIN || fraction) return true;
        return refuse_unitless(reader, dimension, atom, wanted->next);
    }
    if (dimension != DIM_NONE) *unit = unit_find(owned->unit, dimension);
    if (*unit) return true;
    const Unit *other = unit_find(owned->unit, DIM_NONE);
    return reader_refuse(reader, "value", owned->unit_span, "%s takes %s (%s), not %s",
                         reader->field->spelling, dimension_name[dimension], dimension_example(dimension),
                         other ? dimension_name[other->dimension] : "this unit");
}

/* ------------------------------------------------------------------ numbers */

/* One number of an amount: in base units, and how finely it was written. */
typedef struct Atom {
    Number base, step;
    const Unit *unit;
} Atom;

/* One unit of the last digit: of `7.5` a tenth, of `45` one, of `1/2` a half. */
static Number last_digit(Slice digits)
{
    const char *stroke = memchr(digits.at, '/', digits.length);
    const char *point = memchr(digits.at, '.', digits.length);
    const char *end = digits.at + digits.length;
    Number step = NUMBER(1), below;
    if (stroke) {
        Slice under = {stroke + 1, (size_t)(end - stroke) - 1};
        return number_read(under, &below) && number_divide(step, below, &step) ? step : NUMBER(0);
    }
    if (!point) return step;
    for (const char *at = point + 1; at < end; at++)
        if (!number_divide(step, NUMBER(10), &step)) return NUMBER(0);
    return step;
}

static bool refuse_large(const Reader *reader, const Part *part)
{
    return reader_refuse(reader, "value", part->span, "this number is too large or too fine to be exact");
}

/* `1 in 10` */
static bool share_read(const Wanted *wanted, const Part *part, Atom *atom)
{
    const Reader *reader = wanted->reader;
    if (wanted->dimension != DIM_SHARE) return reader_refuse_part(reader, part);
    Number of = part->b->quantity.number;
    if (of.num <= 0) return reader_refuse(reader, "value", part->b->span, "a share of nothing");
    if (!number_divide(part->a->quantity.number, of, &atom->base) ||
        !number_divide(NUMBER(1), of, &atom->step))
        return refuse_large(reader, part);
    atom->unit = NULL;
    return true;
}

static bool atom_read(const Wanted *wanted, const Part *part, const Part *lender, Atom *atom)
{
    if (part->kind == PART_SHARE) return share_read(wanted, part, atom);
    if (part->kind == PART_SUM)
        return reader_refuse(wanted->reader, "value", part->span,
                             "a sum such as 1 + 9 is a dilution; %s takes %s",
                             wanted->reader->field->spelling, reader_takes(wanted->reader));
    if (part->kind != PART_QUANTITY) return reader_refuse_part(wanted->reader, part);
    if (!unit_of(wanted, part, lender, &atom->unit)) return false;
    atom->base = part->quantity.number;
    atom->step = last_digit(part->quantity.digits);
    if (!atom->unit) return true;
    bool fits = unit_to_base(atom->unit, part->quantity.number, &atom->base) &&
                number_multiply(atom->step, atom->unit->factor, &atom->step);
    return fits || refuse_large(wanted->reader, part);
}

static void say(Amount *amount, const Atom *atom)
{
    if (amount->points == 0) amount->unit = atom->unit;
    amount->said[amount->points] = atom->base;
    amount->step[amount->points] = atom->step;
    amount->points++;
}

/* The end whose unit serves the other one too. */
static const Part *lender_of(const Part *range)
{
    return range->b->kind == PART_QUANTITY && range->b->quantity.unit.length ? range->b : NULL;
}

/* `1/3 .. 50 %`: a third, or a third of a hundredth? */
static bool fraction_before_percent(const Wanted *wanted, const Part *part)
{
    const Quantity *low = &part->a->quantity;
    return wanted->dimension == DIM_SHARE && part->a->kind == PART_QUANTITY && low->unit.length == 0 &&
           lender_of(part) && memchr(low->digits.at, '/', low->digits.length);
}

static bool range_read(const Wanted *wanted, const Part *part, Amount *amount)
{
    Atom low, high;
    if (fraction_before_percent(wanted, part))
        return reader_refuse(
            wanted->reader, "value", part->span,
            "a fraction beside %% can be read two ways: write both ends as fractions or both in %%");
    if (!atom_read(wanted, part->a, lender_of(part), &low) || !atom_read(wanted, part->b, NULL, &high))
        return false;
    if (number_compare(low.base, high.base) > 0) {
        Arena *arena = wanted->reader->context->arena;
        Slice shown = slice_folded(arena, span_slice(part->span));
        return reader_refuse(wanted->reader, "value", part->span,
                             "%.*s runs backwards: the lower end stands first", SLICE_ARG(shown));
    }
    say(amount, &low);
    say(amount, &high);
    amount->interval = interval_closed(low.base, high.base);
    return true;
}

/* a +- b: of two temperatures the second is a difference. */
static bool around_read(const Wanted *wanted, const Part *part, Amount *amount)
{
    Wanted width = *wanted;
    if (width.dimension == DIM_TEMPERATURE) width.dimension = DIM_DIFFERENCE;
    Atom middle, by;
    if (!atom_read(wanted, part->a, lender_of(part), &middle) || !atom_read(&width, part->b, NULL, &by))
        return false;
    if (by.base.num < 0)
        return reader_refuse(wanted->reader, "value", part->b->span, "the number behind +- is not below 0");
    Atom low = middle, high = middle;
    if (!number_subtract(middle.base, by.base, &low.base) || !number_add(middle.base, by.base, &high.base))
        return refuse_large(wanted->reader, part);
    say(amount, &low);
    say(amount, &high);
    amount->interval = interval_closed(low.base, high.base);
    return true;
}

/* at most a, at least a, < a, > a */
static bool bound_read(const Wanted *wanted, const Part *part, Amount *amount)
{
    Atom end;
    if (!atom_read(wanted, part->a, NULL, &end)) return false;
    say(amount, &end);
    bool upper = part->kind == PART_AT_MOST || part->kind == PART_LESS;
    bool open = part->kind == PART_LESS || part->kind == PART_MORE;
    amount->interval = upper ? interval_at_most(end.base) : interval_at_least(end.base);
    *(upper ? &amount->interval.high.open : &amount->interval.low.open) = open;
    return true;
}

static bool point_read(const Wanted *wanted, const Part *part, Amount *amount)
{
    Atom atom;
    if (!atom_read(wanted, part, NULL, &atom)) return false;
    say(amount, &atom);
    amount->interval = interval_closed(atom.base, atom.base);
    return true;
}

static bool part_amount(const Wanted *wanted, const Part *part, Amount *amount)
{
    *amount = (Amount){.points = 0};
    bool read = false;
    switch (part->kind) {
    case PART_RANGE: read = range_read(wanted, part, amount); break;
    case PART_AROUND: read = around_read(wanted, part, amount); break;
    case PART_AT_MOST:
    case PART_AT_LEAST:
    case PART_LESS:
    case PART_MORE: read = bound_read(wanted, part, amount); break;
    default: read = point_read(wanted, part, amount); break;
    }
    /* A share of another field may be over 1: a slice one and a half times as long as the stem is thick. */
    Dimension law = wanted->bare == BARE_IS_PLAIN ? DIM_NONE : wanted->dimension;
    if (!read || amount_possible(law, amount->interval)) return read;
    Slice shown = slice_folded(wanted->reader->context->arena, span_slice(part->span));
    return reader_refuse(wanted->reader, "value", part->span, "%s cannot be %.*s: %s",
                         wanted->reader->field->spelling, SLICE_ARG(shown), possible[law].law);
}

/* ------------------------------------------------------------------ about, and values said twice */

/* `about X`: X and 1 C to either side for a temperature, else a tenth of X. */
static bool widen(const Wanted *wanted, const Part *part, Amount *amount)
{
    if (amount->points != 1 || !interval_is_point(amount->interval))
        return reader_refuse(wanted->reader, "value", part->span, "about goes with one number: about %s",
                             wanted->dimension == DIM_TEMPERATURE ? "22 C" : "3");
    Number middle = amount->said[0], by = NUMBER(1), low, high;
    bool fits = wanted->dimension == DIM_TEMPERATURE || number_divide(middle, NUMBER(10), &by);
    if (by.num < 0) by = number_negate(by);
    if (!fits || !number_subtract(middle, by, &low) || !number_add(middle, by, &high))
        return refuse_large(wanted->reader, part);
    amount->interval = interval_closed(low, high);
    return true;
}

static Number size_of(Number a)
{
    return a.num < 0 ? number_negate(a) : a;
}

/* Within one unit of the last digit of the second; or, not for temperatures, within 2 % of the first. */
static bool restates(Dimension dimension, Number first, Number second, Number step)
{
    Number apart, share;
    if (!number_subtract(first, second, &apart)) return false;
    apart = size_of(apart);
    if (number_compare(apart, step) <= 0) return true;
    if (dimension == DIM_TEMPERATURE || !number_multiply(size_of(first), (Number){1, 50}, &share))
        return false;
    return number_compare(apart, share) <= 0;
}

static const char *number_in(Arena *arena, Dimension dimension, Number base, const Unit *unit)
{
    Interval point = interval_closed(base, base);
    return interval_print(arena, (IntervalSet){&point, 1}, dimension, unit);
}

static bool restated_read(const Wanted *wanted, const Part *bracket, const Amount *first)
{
    const Reader *reader = wanted->reader;
    Wanted inside = *wanted;
    inside.next = NULL;
    Amount second;
    if (!part_amount(&inside, bracket->a, &second)) return false;
    if (second.points != first->points)
        return reader_refuse(reader, "restated-value", bracket->span,
                             "a range is restated as a range and a number as a number");
    for (unsigned i = 0; i < first->points; i++) {
        if (restates(wanted->dimension, first->said[i], second.said[i], second.step[i])) continue;
        Arena *arena = notes_arena(reader->context->notes);
        Dimension dimension = wanted->dimension;
        return reader_refuse(reader, "restated-value", bracket->span, "%s is %s, not %s",
                             number_in(arena, dimension, first->said[i], first->unit),
                             number_in(arena, dimension, first->said[i], second.unit),
                             number_in(arena, dimension, second.said[i], second.unit));
    }
    return true;
}

bool amount_read(const Reader *reader, Dimension dimension, Bare bare, const Part **at, Amount *amount)
{
    const Part *part = *at;
    bool about = part_is(part, "about");
    if (about && part->next) part = part->next;
    Wanted wanted = {reader, dimension, bare, part->next};
    if (!part_amount(&wanted, part, amount)) return false;
    if (about && !widen(&wanted, part, amount)) return false;
    const Part *next = part->next;
    if (next && next->kind == PART_BRACKET) {
        if (!restated_read(&wanted, next, amount)) return false;
        next = next->next;
    }
    *at = next;
    return true;
}

/* ------------------------------------------------------------------ looking ahead */

static bool is_number(const Part *part)
{
    return part->kind == PART_QUANTITY || part->kind == PART_SHARE || part->kind == PART_SUM;
}

bool part_is_amount(const Part *part)
{
    if (!part) return false;
    if (part_is(part, "about")) return part->next && part_is_amount(part->next);
    if (is_number(part)) return true;
    bool around = part->kind >= PART_RANGE && part->kind <= PART_MORE;
    return around && is_number(part->a);
}

Dimension part_dimension(const Part *part)
{
    if (part_is(part, "about") && part->next) part = part->next;
    const Part *last = part->b ? part->b : part->a ? part->a : part;
    const Unit *unit = last->kind == PART_QUANTITY ? unit_find(last->quantity.unit, DIM_NONE) : NULL;
    return unit ? unit->dimension : DIM_NONE;
}
