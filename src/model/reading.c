/* Readings: one door for all types.
 *
 * Given a clause and the vocabulary's row for its field, calls the reader of the field's type and gives what
 * the value means, or adds one note at the place that cannot be read. The readers themselves are in the
 * files beside this one; here is what they share. Whether names exist, and whether a value is a good idea, is
 * for others to say.
 */
#include "model/reading_internal.h"

#include <string.h>

static ReadValue *const readers[VALUE_TYPES] = {
    [TYPE_QUANTITY] = read_quantity, [TYPE_SIZE] = read_size,     [TYPE_RATE] = read_rate,
    [TYPE_RATED] = read_rated,       [TYPE_WINDOW] = read_window, [TYPE_HOURS] = read_hours,
    [TYPE_DATE] = read_date,         [TYPE_EVENT] = read_event,   [TYPE_DAYS] = read_days,
    [TYPE_LASTS] = read_lasts,       [TYPE_MOMENT] = read_moment, [TYPE_AT] = read_at,
    [TYPE_FIRST] = read_first,       [TYPE_LATEST] = read_latest, [TYPE_SLACK] = read_slack,
    [TYPE_WORDS] = read_words,       [TYPE_FREE] = read_free,     [TYPE_COUNTS] = read_counts,
    [TYPE_NAME] = read_name,         [TYPE_TAXON] = read_taxon,   [TYPE_STANDS] = read_stands,
    [TYPE_HOLDS] = read_holds,       [TYPE_DOSE] = read_dose,     [TYPE_DILUTION] = read_dilution,
    [TYPE_MIX] = read_mix,           [TYPE_WANT] = read_want,     [TYPE_UNTIL] = read_until,
    [TYPE_TEXT] = read_text,         [TYPE_FIELDS] = read_fields, [TYPE_CONDITION] = read_condition,
    [TYPE_DROP] = read_drop,         [TYPE_ACCEPT] = read_accept, [TYPE_JUDGE] = read_judge,
    [TYPE_MOVE] = read_move,         [TYPE_ROW] = read_row,
};

/* ------------------------------------------------------------------ refusing */

const char *field_example(const Field *field)
{
    return field->type == TYPE_QUANTITY ? dimension_example(field->dimension)
                                        : value_types[field->type].example;
}

bool reader_refuse(const Reader *reader, const char *name, Span place, const char *format, ...)
{
    Notes *notes = reader->context->notes;
    va_list values;
    va_start(values, format);
    const char *message = arena_print_values(notes_arena(notes), format, values);
    va_end(values);
    Note *note = notes_add(notes, SEVERITY_ERROR, name, place, "%s", message);
    note->subject = reader->subject ? reader->subject : "";
    note->field = reader->field->spelling;
    return false;
}

const char *reader_takes(const Reader *reader)
{
    const Field *field = reader->field;
    Arena *arena = reader->context->arena;
    if (field->type == TYPE_QUANTITY)
        return arena_print(arena, "%s (%s)", dimension_name[field->dimension], field_example(field));
    if (field->type == TYPE_WORDS)
        return arena_print(arena, "words of its list (%s)", reader_list(reader, ""));
    return arena_print(arena, "%s (%s)", value_types[field->type].title, field_example(field));
}

bool reader_refuse_part(const Reader *reader, const Part *part)
{
    Slice shown = slice_folded(reader->context->arena, span_slice(part->span));
    return reader_refuse(reader, "value", part->span, "%s takes %s, not %.*s", reader->field->spelling,
                         reader_takes(reader), SLICE_ARG(shown));
}

bool reader_end(const Reader *reader, const Part *part)
{
    if (!part) return true;
    Slice shown = slice_folded(reader->context->arena, span_slice(part->span));
    return reader_refuse(reader, "value", part->span, "%.*s has no meaning here: %s takes %s",
                         SLICE_ARG(shown), reader->field->spelling, reader_takes(reader));
}

const char *reader_hint(const Reader *reader, const Nearest *nearest, const char *all)
{
    Arena *arena = reader->context->arena;
    if (nearest_found(nearest)) return arena_print(arena, "; did you mean %.*s?", SLICE_ARG(nearest->best));
    return *all ? arena_print(arena, "; known are %s", all) : "";
}

const char *reader_list(const Reader *reader, const char *but)
{
    const char *list = "";
    Slice word;
    for (size_t i = 0; field_word_at(reader->field, i, &word); i++) {
        if (slice_is(word, but)) continue;
        list = arena_print(reader->context->arena, "%s%s%.*s", list, *list ? ", " : "", SLICE_ARG(word));
    }
    return list;
}

/* ------------------------------------------------------------------ going along a value */

const Phrase *reader_phrase(const Reader *reader, const Mix *mix)
{
    if (!mix->first->next) return mix->first;
    reader_refuse(reader, "value", mix->span, "a colon has no meaning here: %s takes %s",
                  reader->field->spelling, reader_takes(reader));
    return NULL;
}

const Phrase *reader_only(const Reader *reader, const Value *value, const char *one)
{
    if (!value->first->next) return reader_phrase(reader, value->first);
    reader_refuse(reader, "value", value->first->next->span, "%s takes one %s, not a list",
                  reader->field->spelling, one);
    return NULL;
}

bool part_is(const Part *part, const char *word)
{
    return part && part->kind == PART_WORD && slice_is(part->word, word);
}

bool part_word(const Part *part, Slice *word)
{
    if (!part) return false;
    bool month = part->kind == PART_DAY && part->day.part == PART_OF_MONTH_WHOLE;
    if (part->kind != PART_WORD && !month) return false;
    *word = month ? span_slice(part->span) : part->word;
    return true;
}

Name reader_intern(const Reader *reader, Slice text)
{
    return names_intern(reader->context->names, text);
}

Slice reader_copy(const Reader *reader, Slice text)
{
    return (Slice){arena_copy(reader->context->arena, text.at, text.length), text.length};
}

Name reader_name(const Reader *reader, const Part **part, Span *span)
{
    Slice word;
    if (!part_word(*part, &word)) return NULL;
    Span first = (*part)->span, last = first;
    *part = (*part)->next;
    Slice next;
    size_t count = 1;
    for (; part_word(*part, &next); *part = (*part)->next, count++) last = (*part)->span;
    *span = span_join(first, last);
    if (count == 1) return reader_intern(reader, word);
    return reader_intern(reader, slice_folded(reader->context->arena, span_slice(*span)));
}

bool reader_text(const Reader *reader, const Part *part, Reading *reading)
{
    if (part && part->kind == PART_TEXT) {
        reading->text = reader_copy(reader, part->word);
        part = part->next;
    }
    return reader_end(reader, part);
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

/* The begin of what follows blanks and comments. */
static size_t blank_end(Slice text, size_t at)
{
    while (at < text.length) {
        if (text.at[at] == '#') {
            while (at < text.length && text.at[at] != '\n') at++;
        } else if (!is_blank(text.at[at])) {
            break;
        } else {
            at++;
        }
    }
    return at;
}

Slice slice_folded(Arena *arena, Slice text)
{
    char *to = arena_alloc(arena, text.length + 1);
    size_t length = 0;
    bool quoted = false;
    for (size_t at = 0; at < text.length;) {
        size_t next = quoted ? at : blank_end(text, at);
        if (next > at) {
            at = next;
            if (length && at < text.length) to[length++] = ' ';
            continue;
        }
        if (text.at[at] == '"') quoted = !quoted;
        if (quoted && text.at[at] == '\\' && at + 1 < text.length) to[length++] = text.at[at++];
        to[length++] = text.at[at++];
    }
    return (Slice){to, length};
}

/* A walk along words, without the blanks and comments that part nothing. */
typedef struct Walk {
    Slice left;
    char last;
    bool quoted;
} Walk;

static bool parts(char c)
{
    return c == ':' || c == ',' || c == '(' || c == ')' || c == '\0';
}

/* The next character that counts; one blank for several, none beside a sign; NUL at the end. */
static char step(Walk *walk)
{
    size_t blanks = walk->quoted ? 0 : blank_end(walk->left, 0);
    walk->left = (Slice){walk->left.at + blanks, walk->left.length - blanks};
    char next = walk->left.length ? *walk->left.at : '\0';
    if (blanks && !parts(walk->last) && !parts(next)) return walk->last = ' ';
    bool escaped = walk->quoted && walk->last == '\\';
    if (next == '"' && !escaped) walk->quoted = !walk->quoted;
    if (next) walk->left = (Slice){walk->left.at + 1, walk->left.length - 1};
    walk->last = escaped ? 'x' : next; /* what was escaped escapes nothing */
    return next;
}

bool slice_says_same(Slice a, Slice b)
{
    Walk one = {.left = a}, other = {.left = b};
    char c;
    do {
        c = step(&one);
        if (c != step(&other)) return false;
    } while (c);
    return true;
}

bool read_condition(const Reader *reader, const Value *value, Reading *reading)
{
    (void)value;
    (void)reading;
    return reader_refuse(reader, "value", reader->place, "%s takes a condition: when night-low < 1 C",
                         reader->field->spelling);
}

/* ------------------------------------------------------------------ the door */

const Reading reading_spoiled = {.first = DAY_NONE, .last = DAY_NONE, .minutes = -1};

/* Lists are searched entry against entry, so they have an end. */
static bool short_enough(const Reader *reader, const Value *value)
{
    size_t entries = 0;
    for (const Mix *mix = value->first; mix; mix = mix->next) {
        size_t phrases = 0, parts = 0;
        for (const Phrase *phrase = mix->first; phrase; phrase = phrase->next, phrases++)
            for (const Part *part = phrase->first; part; part = part->next) parts++;
        if (++entries <= READING_LIST_LIMIT && phrases <= READING_LIST_LIMIT && parts <= READING_LIST_LIMIT)
            continue;
        return reader_refuse(reader, "value", mix->span, "%s has more than %d entries",
                             reader->field->spelling, READING_LIST_LIMIT);
    }
    return true;
}

static Reading *reading_empty(Arena *arena, const Field *field, Slice written)
{
    Reading *reading = ARENA_NEW(arena, Reading);
    reading->type = field->type;
    reading->written = written;
    reading->ordered = (field->flags & FIELD_ORDERED) != 0;
    reading->first = reading->last = DAY_NONE;
    reading->minutes = -1;
    return reading;
}

static const Reading *value_read(const Reader *reader, const Value *value)
{
    const Field *field = reader->field;
    if (!value->first) {
        reader_refuse(reader, "value", reader->place, "%s needs a value: %s", field->spelling,
                      reader_takes(reader));
        return NULL;
    }
    if (!short_enough(reader, value)) return NULL;
    Arena *arena = reader->context->arena;
    Reading *reading = reading_empty(arena, field, slice_folded(arena, span_slice(value->span)));
    return readers[field->type](reader, value, reading) ? reading : NULL;
}

const Reading *reading_make(const ReadContext *context, const Field *field, const Item *item,
                            const char *subject)
{
    if (field->type == TYPE_CONDITION && item->condition) {
        Slice written = slice_folded(context->arena, span_slice(item->condition->span));
        Reading *reading = reading_empty(context->arena, field, written);
        reading->condition = item->condition;
        return reading;
    }
    Span place = item->value.first ? item->value.span : item->field_span;
    return value_read(&(Reader){context, field, subject, place, true}, &item->value);
}

const Reading *reading_of_value(const ReadContext *context, const Field *field, const Value *value,
                                Span place, const char *subject)
{
    return value_read(&(Reader){context, field, subject, place, false}, value);
}

const Reading *reading_of_number(const ReadContext *context, const Field *field, Number base,
                                 const Unit *unit, Slice written)
{
    Interval point = interval_closed(base, base);
    if (field->type != TYPE_QUANTITY || !amount_possible(field->dimension, point)) return NULL;
    Reading *reading = reading_empty(context->arena, field, slice_folded(context->arena, written));
    reading->numbers = intervals_of(context->arena, &point, 1);
    reading->unit = unit;
    return reading;
}

const Reading *reading_of_day(const ReadContext *context, const Field *field, Day day, Slice written)
{
    if (field->type != TYPE_DATE || !day_in_range(day)) return NULL;
    Reading *reading = reading_empty(context->arena, field, slice_folded(context->arena, written));
    reading->first = reading->last = day;
    return reading;
}

/* ------------------------------------------------------------------ two clauses as one */

static const void *joined(Arena *arena, const void *a, size_t a_count, const void *b, size_t b_count,
                          size_t size)
{
    if (b_count == 0) return a;
    if (a_count == 0) return b;
    char *both = arena_array(arena, a_count + b_count, size);
    memcpy(both, a, a_count * size);
    memcpy(both + a_count * size, b, b_count * size);
    return both;
}

#define JOINED(list, count, Type) joined(arena, a->list, a->count, b->list, b->count, sizeof(Type))

const Reading *reading_joined(Arena *arena, const Reading *a, const Reading *b)
{
    Reading *both = ARENA_NEW(arena, Reading);
    *both = *a;
    both->none = a->none && b->none;
    both->unknown = a->unknown && b->unknown;
    both->any = a->any || b->any;
    both->written = slice_of(arena_print(arena, "%.*s, %.*s", SLICE_ARG(a->written), SLICE_ARG(b->written)));
    both->numbers = intervals_union(arena, a->numbers, b->numbers);
    both->words = JOINED(words, word_count, Word);
    if (a->fields || b->fields) both->fields = JOINED(fields, word_count, const Field *);
    both->word_count = a->word_count + b->word_count;
    both->windows = JOINED(windows, window_count, Window);
    both->window_count = a->window_count + b->window_count;
    both->doses = JOINED(doses, dose_count, Dose);
    both->dose_count = a->dose_count + b->dose_count;
    both->standings = JOINED(standings, standing_count, Standing);
    both->standing_count = a->standing_count + b->standing_count;
    both->holdings = JOINED(holdings, holding_count, Holding);
    both->holding_count = a->holding_count + b->holding_count;
    both->days.weekdays = a->days.weekdays | b->days.weekdays;
    both->days.ranges = joined(arena, a->days.ranges, a->days.range_count, b->days.ranges,
                               b->days.range_count, sizeof(DayRange));
    both->days.range_count = a->days.range_count + b->days.range_count;
    if (!a->text.length) both->text = b->text;
    return both;
}
