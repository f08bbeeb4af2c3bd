/* Cells as readings, made once for each text of a column.
 *
 * Given a cell, gives what a clause of its field would mean with that value. Plain numbers and dates are read
 * at once; all else goes through the parser. Only good readings are remembered, so that a fault is told of
 * every row that has it.
 */
#include "model/plan_table.h"

#include "syntax/read.h"

#include <string.h>

enum {
    KNOWN_START = 16,         /* places; a power of two */
    MEMORY_LIMIT = 4 << 20,   /* bytes of readings, past which they are forgotten between two stretches */
    STRETCH_LIMIT = 16 << 20, /* past which a stretch ends early */
};

/* ------------------------------------------------------------------ what is remembered */

static Known *place_of(Known *known, size_t room, uint64_t hash, Slice text)
{
    size_t i = (size_t)(hash ^ hash >> 32) & (room - 1);
    while (known[i].reading && !(known[i].hash == hash && slice_equal(known[i].text, text)))
        i = (i + 1) & (room - 1);
    return &known[i];
}

static void make_room(PlanTable *table, Column *column)
{
    if (column->known_count * 2 < column->known_room) return;
    size_t room = column->known_room ? column->known_room * 2 : KNOWN_START;
    Known *known = ARENA_ARRAY(table->memory, Known, room);
    for (size_t i = 0; i < column->known_room; i++) {
        const Known *old = &column->known[i];
        if (old->reading) *place_of(known, room, old->hash, old->text) = *old;
    }
    column->known = known;
    column->known_room = room;
}

static void remember(PlanTable *table, Column *column, uint64_t hash, Slice text, const Reading *reading)
{
    make_room(table, column);
    Slice own = {arena_copy(table->memory, text.at, text.length), text.length};
    *place_of(column->known, column->known_room, hash, text) = (Known){hash, own, reading};
    column->known_count++;
}

bool table_forget_when_large(PlanTable *table)
{
    if (arena_size(table->memory) <= MEMORY_LIMIT) return false;
    for (size_t i = 0; i < table->column_count; i++) {
        table->columns[i].known = NULL;
        table->columns[i].known_count = table->columns[i].known_room = 0;
    }
    arena_free(table->memory);
    table->memory = arena_new(table->exhausted);
    return true;
}

bool table_is_full(const PlanTable *table)
{
    return arena_size(table->memory) > STRETCH_LIMIT;
}

/* ------------------------------------------------------------------ without the parser */

static bool plain_number(Slice text, Number *number)
{
    enum { DIGITS = 15 };
    if (!text.length || text.length > DIGITS) return false;
    for (size_t i = 0; i < text.length; i++)
        if ((text.at[i] < '0' || text.at[i] > '9') && !(text.at[i] == '.' && i > 0 && i + 1 < text.length))
            return false;
    return number_read(text, number);
}

static bool plain_date(Slice text, Day *day)
{
    static const char form[] = "0000-00-00";
    if (text.length != sizeof form - 1) return false;
    int digit[sizeof form - 1];
    for (size_t i = 0; i < text.length; i++) {
        digit[i] = text.at[i] - '0';
        if (form[i] == '-' ? text.at[i] != '-' : digit[i] < 0 || digit[i] > 9) return false;
    }
    return day_make(digit[0] * 1000 + digit[1] * 100 + digit[2] * 10 + digit[3], digit[5] * 10 + digit[6],
                    digit[8] * 10 + digit[9], day);
}

static const Reading *read_plain(PlanTable *table, const Column *column, Slice text)
{
    ReadContext context = {table->memory, table->nursery->names, table->nursery->notes, column->unit};
    Number number, base;
    Day day;
    if (column->field->type == TYPE_QUANTITY && (column->unit || column->field->dimension == DIM_NONE) &&
        plain_number(text, &number)) {
        base = number;
        if (column->unit && !unit_to_base(column->unit, number, &base)) return NULL;
        return reading_of_number(&context, column->field, base, column->unit, text);
    }
    if (column->field->type == TYPE_DATE && plain_date(text, &day))
        return reading_of_day(&context, column->field, day, text);
    return NULL;
}

/* ------------------------------------------------------------------ with it */

/* Whether the names that lead a value's phrases can be there: nothing is called what was never heard of.
 * Asked before a cell is read without telling, as reading interns its words, and a million unknown ones would
 * stay. */
static bool names_are_heard(const PlanTable *table, const Field *field, const Value *value)
{
    bool named = field->type == TYPE_NAME || field->type == TYPE_STANDS;
    for (const Mix *mix = named ? value->first : NULL; mix; mix = mix->next) {
        const Part *part = mix->first->first;
        if (part && part->kind == PART_WORD && !names_find(table->nursery->names, part->word)) return false;
    }
    return true;
}

typedef struct Telling {
    Notes *notes;        /* the nursery's; else nobody reads them */
    const char *subject; /* NULL: nothing is told */
} Telling;

/* One value as a clause would have it. A reading keeps nothing of the text or the tree it is made from. */
static const Reading *read_value(PlanTable *table, const Column *column, Span span, Telling telling)
{
    ReadContext context = {table->memory, table->nursery->names, telling.notes, column->unit};
    Value value;
    if (!syntax_read_value(table->scratch, span.text, span, telling.notes, &value)) return NULL;
    if (!telling.subject && !names_are_heard(table, column->field, &value)) return NULL;
    const Reading *reading = reading_of_value(&context, column->field, &value, span, telling.subject);
    if (!reading || nursery_has_named(table->nursery, column->field, reading)) return reading;
    if (telling.subject) nursery_check_named(table->nursery, telling.subject, column->field, reading, span);
    return NULL;
}

static const Reading *read_text(PlanTable *table, const Column *column, Slice text)
{
    Reading *reading = ARENA_NEW(table->memory, Reading);
    reading->type = column->field->type;
    reading->text = (Slice){arena_copy(table->memory, text.at, text.length), text.length};
    reading->written = reading->text;
    reading->first = reading->last = DAY_NONE;
    reading->minutes = -1;
    return reading;
}

/* Values parted by semicolons, where a field may stand more than once. */
static const Reading *read_values(PlanTable *table, const Column *column, Span span, Telling telling)
{
    bool repeats = (column->field->flags & FIELD_REPEATS) != 0;
    const char *bytes = span.text->bytes;
    const Reading *joined = NULL;
    for (Span one = span;; one.begin = one.end + 1) {
        while (one.begin < span.end && bytes[one.begin] == ' ') one.begin++;
        const char *semicolon = repeats ? memchr(bytes + one.begin, ';', span.end - one.begin) : NULL;
        one.end = semicolon ? (uint32_t)(semicolon - bytes) : span.end;
        const Reading *reading = read_value(table, column, one, telling);
        if (!reading) return NULL;
        joined = joined ? reading_joined(table->memory, joined, reading) : reading;
        if (!semicolon) return joined;
    }
}

/* Without telling: what is wrong is told of the row, with its place, when this gives NULL. */
static const Reading *read_quietly(PlanTable *table, const Column *column, Slice text)
{
    if (column->field->type == TYPE_TEXT) return read_text(table, column, text);
    ArenaMark before = arena_mark(table->memory);
    const Text *cell = text_new(table->scratch, table->name, arena_copy(table->scratch, text.at, text.length),
                                (uint32_t)text.length, 1);
    Telling silent = {notes_new(table->scratch, 0), NULL};
    const Reading *reading = read_values(table, column, (Span){cell, 0, cell->length}, silent);
    if (!reading) arena_release(table->memory, before);
    return reading;
}

/* The fault of a cell that read_quietly refused, at its place. */
static void tell_fault(PlanTable *table, const Column *column, size_t at, const Cell *cell, Slice id)
{
    Notes *notes = table->nursery->notes;
    if (notes_full(notes)) {
        notes_add(notes, SEVERITY_ERROR, "value", (Span){0}, "%s", "");
        return;
    }
    const Row *row = &table->stretch_rows[at];
    uint32_t begin = (uint32_t)(cell->bytes.at - row->bytes.at), end = begin + (uint32_t)cell->bytes.length;
    Span span = {table_text(table, row, &table->row_texts[at]), begin + cell->quoted, end - cell->quoted};
    const char *subject = arena_copy(table->nursery->arena, id.at, id.length);
    size_t told = notes_total(notes);
    ArenaMark before = arena_mark(table->memory);
    read_values(table, column, span, (Telling){notes, subject});
    if (notes_total(notes) == told) /* doubled quotes, single once they are read */
        notes_add(notes, SEVERITY_ERROR, "value", span, "%s cannot be read here", column->field->spelling)
            ->subject = subject;
    arena_release(table->memory, before);
}

const Reading *table_read_cell(PlanTable *table, Column *column, size_t at, const Cell *cell, Slice id)
{
    Slice text = cell_text(table->scratch, cell);
    if (!text.length) return NULL;
    if (column->spoiled) return &reading_spoiled;
    uint64_t hash = slice_hash(text);
    if (column->known) {
        const Known *known = place_of(column->known, column->known_room, hash, text);
        if (known->reading) return known->reading;
    }
    const Reading *reading = read_plain(table, column, text);
    if (!reading) reading = read_quietly(table, column, text);
    if (reading)
        remember(table, column, hash, text, reading);
    else
        tell_fault(table, column, at, cell, id);
    return reading ? reading : &reading_spoiled;
}
