/* Readings as people write them.
 *
 * Given a reading, writes text that the readers would take again and read alike, in the unit it was written
 * in; or, for the results of a nursery, in a unit that is asked for, rounded where the conversion does not
 * end. Where a value is too various to be put together again, it is given as it was written.
 */
#include "model/reading_print.h"

#include <string.h>

enum { NUMBER_ROOM = 64, FRACTION_MOST = 16 };

/* ------------------------------------------------------------------ numbers */

static bool power_of_two(int64_t number)
{
    return (number & (number - 1)) == 0;
}

/* A number as it is told: exact where it ends within two decimals or is a binary fraction as of an inch, else
 * rounded. In the unit it was written in, `exact`, whatever ends stays, and so do small fractions. */
static void put_number(Buffer *out, Number number, bool exact)
{
    char text[NUMBER_ROOM];
    bool plain = 100 % number.den == 0 || (number.den <= FRACTION_MOST && power_of_two(number.den));
    bool kept = exact && (1000000 % number.den == 0 || number.den <= FRACTION_MOST);
    if (!plain && !kept) {
        number_write_rounded(text, sizeof text, number, 2);
        if (strcmp(text, "0") != 0) {
            buffer_text(out, text);
            return;
        }
    }
    number_write(text, sizeof text, number);
    buffer_text(out, text);
}

/* 1/3, 1 1/2: for shares of another field. */
static void put_fraction(Buffer *out, Number number)
{
    if (number.den > FRACTION_MOST || number.num < 0) {
        put_number(out, number, true);
        return;
    }
    int64_t whole = number.num / number.den, rest = number.num % number.den;
    if (whole || !rest) buffer_integer(out, whole);
    if (whole && rest) buffer_char(out, ' ');
    if (rest) buffer_print(out, "%lld/%lld", (long long)rest, (long long)number.den);
}

/* The same unit spelt for one or for many: 1 week, 2 weeks. */
static const char *unit_spelling(Arena *arena, const Unit *unit, Number number)
{
    size_t length = strlen(unit->spelling);
    bool many = length > 1 && unit->spelling[length - 1] == 's', one = number_equal(number, NUMBER(1));
    if (unit->dimension != DIM_DURATION || many != one) return unit->spelling;
    const char *other =
        one ? arena_copy(arena, unit->spelling, length - 1) : arena_print(arena, "%ss", unit->spelling);
    const Unit *row = unit_find(slice_of(other), unit->dimension);
    return row && number_equal(row->factor, unit->factor) ? row->spelling : unit->spelling;
}

/* How numbers of one value are put: the unit, and how. */
typedef struct Style {
    Arena *arena;
    const Unit *unit; /* NULL: bare */
    bool exact, fraction;
} Style;

static Number in_unit(const Style *style, Number base)
{
    Number number;
    return style->unit && unit_from_base(style->unit, base, &number) ? number : base;
}

static void put_bare(Buffer *out, const Style *style, Number base)
{
    if (style->fraction)
        put_fraction(out, in_unit(style, base));
    else
        put_number(out, in_unit(style, base), style->exact);
}

static void put_with_unit(Buffer *out, const Style *style, Number base)
{
    put_bare(out, style, base);
    if (!style->unit) return;
    buffer_char(out, ' ');
    buffer_text(out, unit_spelling(style->arena, style->unit, in_unit(style, base)));
}

static void put_interval(Buffer *out, const Style *style, Interval interval)
{
    Bound low = interval.low, high = interval.high;
    if (low.unbounded && high.unbounded) {
        buffer_text(out, "any");
    } else if (low.unbounded) {
        buffer_text(out, high.open ? "< " : "at most ");
        put_with_unit(out, style, high.at);
    } else if (high.unbounded) {
        buffer_text(out, low.open ? "> " : "at least ");
        put_with_unit(out, style, low.at);
    } else {
        if (number_compare(low.at, high.at) != 0) {
            put_bare(out, style, low.at);
            buffer_text(out, " .. ");
        }
        put_with_unit(out, style, high.at);
        const Bound *ends[] = {&low, &high};
        for (int i = 0; i < 2; i++) {
            if (!ends[i]->open) continue;
            buffer_text(out, " without ");
            put_bare(out, style, ends[i]->at);
        }
    }
}

void put_comma(Buffer *out, size_t index)
{
    if (index) buffer_text(out, ", ");
}

static void put_set(Buffer *out, const Style *style, IntervalSet set)
{
    if (set.count == 0) buffer_text(out, "nothing");
    for (size_t i = 0; i < set.count; i++) {
        put_comma(out, i);
        put_interval(out, style, set.at[i]);
    }
}

/* Without a unit: the base unit, and per cent for shares that are whole or nearly so in it. */
static Style style_of(Arena *arena, IntervalSet set, Dimension dimension, const Unit *unit, bool exact)
{
    Style style = {arena, unit, exact, false};
    if (unit || dimension == DIM_NONE) return style;
    if (dimension != DIM_SHARE) {
        style.unit = unit_base(dimension);
        return style;
    }
    style.unit = unit_find(SLICE("%"), DIM_SHARE);
    for (size_t i = 0; i < set.count; i++) {
        const Bound *ends[] = {&set.at[i].low, &set.at[i].high};
        for (int e = 0; e < 2; e++)
            if (exact && !ends[e]->unbounded && 10000 % ends[e]->at.den != 0)
                style = (Style){arena, NULL, exact, true};
    }
    return style;
}

static const char *text_of(Buffer *out)
{
    buffer_char(out, '\0');
    return buffer_slice_of(out).at;
}

const char *interval_print(Arena *arena, IntervalSet set, Dimension dimension, const Unit *unit)
{
    Buffer *out = buffer_in_memory(arena);
    Style style = style_of(arena, set, dimension, unit, false);
    put_set(out, &style, set);
    return text_of(out);
}

/* ------------------------------------------------------------------ texts and words */

void put_quoted(Buffer *out, Slice text)
{
    buffer_char(out, '"');
    for (size_t i = 0; i < text.length; i++) {
        char c = text.at[i];
        if (c == '"' || c == '\\' || c == '\n') buffer_char(out, '\\');
        buffer_char(out, c == '\n' ? 'n' : c);
    }
    buffer_char(out, '"');
}

void put_text_behind(Buffer *out, const Reading *reading)
{
    if (!reading->text.length) return;
    buffer_char(out, ' ');
    put_quoted(out, reading->text);
}

/* Whether a free word can stand without quotes. */
static bool is_plain(Slice word)
{
    for (size_t i = 0; i < word.length; i++) {
        unsigned char c = (unsigned char)word.at[i];
        bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c >= 0x80;
        bool inside = (c >= '0' && c <= '9') || c == '_' || c == '-' || c == ' ';
        if (!letter && !(inside && i > 0)) return false;
    }
    return true;
}

static void put_words(Buffer *out, const Reading *reading, const char *between)
{
    for (size_t i = 0; i < reading->word_count; i++) {
        Slice word = name_slice(reading->words[i].name);
        if (i) buffer_text(out, between);
        if (is_plain(word))
            buffer_slice(out, word);
        else
            put_quoted(out, word);
    }
}

static void put_language_text(Buffer *out, const Reading *reading)
{
    if (reading->language) {
        buffer_slice(out, name_slice(reading->language));
        buffer_char(out, ' ');
    }
    put_quoted(out, reading->text);
}

/* ------------------------------------------------------------------ amounts of a type */

static void put_quantity(Buffer *out, const Style *style, const Reading *reading)
{
    if (reading->unknown) {
        buffer_text(out, "unknown");
    } else if (reading->none && reading->numbers.count == 1 && interval_is_point(reading->numbers.at[0])) {
        buffer_text(out, "none");
    } else {
        put_set(out, style, reading->numbers);
    }
    if (reading->relative) buffer_print(out, " of %s", reading->of->spelling);
    put_text_behind(out, reading);
}

static void put_size(Buffer *out, const Style *style, const Reading *reading)
{
    for (unsigned i = 0; i < reading->side_count; i++) {
        if (i) buffer_text(out, " x ");
        if (i + 1 < reading->side_count)
            put_bare(out, style, reading->sides[i]);
        else
            put_with_unit(out, style, reading->sides[i]);
    }
}

static void put_hour(Buffer *out, Number minutes)
{
    buffer_print(out, "%02d:%02d", (int)(minutes.num / 60), (int)(minutes.num % 60));
}

static void put_share(Buffer *out, Number share)
{
    if (share.num == share.den)
        buffer_text(out, "1 in 1");
    else
        buffer_print(out, "%lld + %lld", (long long)share.num, (long long)(share.den - share.num));
}

/* Hours and dilutions: points and ranges whose ends have their own form. */
static void put_ranges(Buffer *out, IntervalSet set, void put(Buffer *, Number))
{
    for (size_t i = 0; i < set.count; i++) {
        put_comma(out, i);
        put(out, set.at[i].low.at);
        if (interval_is_point(set.at[i])) continue;
        buffer_text(out, " .. ");
        put(out, set.at[i].high.at);
    }
}

/* ------------------------------------------------------------------ lists of pairs */

/* The largest unit in which the time of a dip or soak is whole. */
static const Unit *time_unit(Interval time)
{
    static const char *const spellings[] = {"h", "min"};
    const Bound *ends[] = {&time.low, &time.high};
    for (size_t i = 0; i < sizeof spellings / sizeof spellings[0]; i++) {
        const Unit *unit = unit_find(slice_of(spellings[i]), DIM_DURATION);
        bool all = true;
        for (int e = 0; e < 2; e++) {
            Number number;
            if (ends[e]->unbounded) continue;
            all = all && ends[e]->at.num && unit_from_base(unit, ends[e]->at, &number) && number.den == 1;
        }
        if (all) return unit;
    }
    return unit_base(DIM_DURATION);
}

static void put_doses(Buffer *out, Arena *arena, const Reading *reading, const Unit *unit)
{
    for (size_t i = 0; i < reading->dose_count; i++) {
        const Dose *dose = &reading->doses[i];
        put_comma(out, i);
        if (dose->none) {
            buffer_text(out, "none");
            continue;
        }
        for (const char *c = dose->auxin->text; *c; c++) buffer_char(out, *c == '+' ? ' ' : *c);
        buffer_char(out, ' ');
        Style style = {arena, unit ? unit : dose->unit, !unit, false};
        put_interval(out, &style, dose->strength);
        buffer_print(out, " %s", dose->form->text);
        if (!dose->has_time) continue;
        Style time = {arena, time_unit(dose->time), true, false};
        buffer_char(out, ' ');
        put_interval(out, &time, dose->time);
    }
}

static void put_mix(Buffer *out, const Reading *reading)
{
    for (size_t i = 0; i < reading->mix_count; i++) {
        if (i) buffer_text(out, " : ");
        if (reading->mix_count > 1) {
            put_number(out, reading->mix[i].parts, true);
            buffer_char(out, ' ');
        }
        buffer_slice(out, name_slice(reading->mix[i].component));
    }
}

static void put_standings(Buffer *out, const Reading *reading)
{
    for (size_t i = 0; i < reading->standing_count; i++) {
        put_comma(out, i);
        buffer_slice(out, name_slice(reading->standings[i].place));
        if (reading->standings[i].from) buffer_print(out, " from %s", reading->standings[i].from->text);
    }
}

static void put_holdings(Buffer *out, const Reading *reading)
{
    for (size_t i = 0; i < reading->holding_count; i++) {
        put_comma(out, i);
        put_number(out, reading->holdings[i].count, true);
        buffer_print(out, " %s", reading->holdings[i].container->text);
    }
}

/* ------------------------------------------------------------------ by type */

static void put_want(Buffer *out, const Reading *reading)
{
    put_number(out, reading->wanted, true);
    if (reading->last == DAY_NONE) return;
    buffer_text(out, " by ");
    put_dates(out, reading);
}

static void put_until(Buffer *out, const Reading *reading)
{
    buffer_text(out, reading->none ? "no" : "until ");
    if (!reading->none) put_dates(out, reading);
}

static void put_move(Buffer *out, const Reading *reading)
{
    put_words(out, reading, " ");
    buffer_char(out, ' ');
    if (reading->numbers.count) {
        put_number(out, reading->numbers.at[0].low.at, true);
        buffer_char(out, ' ');
    }
    buffer_text(out, "to ");
    put_dates(out, reading);
    put_text_behind(out, reading);
}

static void put_row(Buffer *out, const DialRow *row)
{
    buffer_integer(out, row->first);
    if (row->last == INT32_MAX)
        buffer_text(out, " .. end");
    else if (row->last != row->first)
        buffer_print(out, " .. %d", (int)row->last);
    buffer_text(out, "  "); /* two blanks: the days end here and a number may follow */
    buffer_slice(out, row->setting);
}

static void put_text_value(Buffer *out, const Reading *reading)
{
    bool several = reading->word_count > 1 || reading->last != DAY_NONE;
    if (several)
        buffer_slice(out, reading->written);
    else
        put_language_text(out, reading);
}

static void put_listed(Buffer *out, const Reading *reading)
{
    put_words(out, reading, ", ");
    if (reading->of_a_sample) buffer_text(out, " of a sample");
}

static void put_free(Buffer *out, const Reading *reading)
{
    if (reading->numbers.count) {
        buffer_slice(out, reading->written);
        return;
    }
    put_words(out, reading, ", ");
    put_text_behind(out, reading);
}

static void put_rated(Buffer *out, const Style *style, const Reading *reading)
{
    put_quantity(out, style, reading);
    if (reading->per) buffer_print(out, " %s", reading->per->text);
}

/* Values with numbers in a unit. False: another type. */
static bool put_measured(Buffer *out, Arena *arena, const Field *field, const Reading *reading,
                         const Unit *unit)
{
    const Unit *chosen = unit ? unit : reading->unit;
    bool exact = chosen == reading->unit;
    Style style = style_of(arena, reading->numbers, field->dimension, chosen, exact);
    if (reading->relative) style = (Style){arena, NULL, true, true};
    switch (reading->type) {
    case TYPE_QUANTITY: put_quantity(out, &style, reading); return true;
    case TYPE_SIZE: put_size(out, &style, reading); return true;
    case TYPE_RATED: put_rated(out, &style, reading); return true;
    case TYPE_RATE:
        put_set(out, &style, reading->numbers);
        if (reading->per) buffer_print(out, " per %s", reading->per->text);
        return true;
    case TYPE_DOSE: put_doses(out, arena, reading, unit); return true;
    case TYPE_HOURS: put_ranges(out, reading->numbers, put_hour); return true;
    case TYPE_DILUTION: put_ranges(out, reading->numbers, put_share); return true;
    default: return false;
    }
}

static void put_taxon(Buffer *out, const Reading *reading)
{
    put_words(out, reading, " ");
    put_text_behind(out, reading);
}

static void put_judge(Buffer *out, const Reading *reading)
{
    put_words(out, reading, " ");
    buffer_print(out, " as %s", severity_name[reading->severity]);
}

static void put_row_value(Buffer *out, const Reading *reading)
{
    put_row(out, reading->row);
}

/* The rest; types without a row are given as they were written. */
static void (*const by_type[VALUE_TYPES])(Buffer *, const Reading *) = {
    [TYPE_WINDOW] = put_windows,  [TYPE_DATE] = put_day_value,
    [TYPE_EVENT] = put_event,     [TYPE_DAYS] = put_days,
    [TYPE_LASTS] = put_lasts,     [TYPE_MOMENT] = put_when,
    [TYPE_AT] = put_at,           [TYPE_FIRST] = put_when,
    [TYPE_LATEST] = put_latest,   [TYPE_SLACK] = put_slack,
    [TYPE_WORDS] = put_listed,    [TYPE_FREE] = put_free,
    [TYPE_COUNTS] = put_listed,   [TYPE_NAME] = put_listed,
    [TYPE_TAXON] = put_taxon,     [TYPE_STANDS] = put_standings,
    [TYPE_HOLDS] = put_holdings,  [TYPE_MIX] = put_mix,
    [TYPE_WANT] = put_want,       [TYPE_UNTIL] = put_until,
    [TYPE_TEXT] = put_text_value, [TYPE_FIELDS] = put_listed,
    [TYPE_ACCEPT] = put_listed,   [TYPE_JUDGE] = put_judge,
    [TYPE_MOVE] = put_move,       [TYPE_ROW] = put_row_value,
};

const char *reading_print(Arena *arena, const Field *field, const Reading *reading, const Unit *unit)
{
    Buffer *out = buffer_in_memory(arena);
    if (!put_measured(out, arena, field, reading, unit)) {
        if (by_type[reading->type])
            by_type[reading->type](out, reading);
        else
            buffer_slice(out, reading->written);
    }
    return text_of(out);
}
