/* Plans as CSV: the header names the columns, cells are read like clauses and remembered by what they say.
 *
 * Equal cells of a column share one reading, made once. What is remembered is dropped whole, between two
 * stretches, when it has grown large; so memory does not grow with the rows, save for the set of ids.
 */
#include "model/plan_table.h"

#include "base/vec.h"
#include "model/plan_ids.h"
#include "model/plan_rows.h"
#include "syntax/read.h"

#include <string.h>

enum { CACHE_SLOTS = 1024, CACHE_MEMORY = 4 << 20, ROW_TEXTS = 8000 };

typedef struct Cached {
    Slice text;
    const Reading *reading;
} Cached;

typedef struct Column {
    const Field *field; /* NULL: the id */
    const Unit *unit;   /* of the header, or NULL */
    Cached *cache;
    const Reading **cells;
} Column;

struct PlanTable {
    Nursery *nursery;
    const char *name;
    Arena *memory; /* readings that are remembered; emptied when it has grown */
    ArenaMark empty;
    Arena *scratch; /* of one cell */
    ArenaMark clean;
    RowReader rows;
    Column *columns;
    size_t column_count;
    size_t id_column;
    Cell *cells;
    PlanIds ids;
    bool has_header;
    /* the stretch */
    Plan plan;
    Row *stretch_rows;
    const Text **row_texts; /* made when a place is asked for */
    Slice *stretch_ids;
    const Block **records;
    size_t texts_made;
    size_t remembered; /* bytes, about */
};

struct PlanSource {
    PlanTable *table;
};

/* ------------------------------------------------------------------ places */

/* A row as a text of its own, which outlives the stretch. When there are very many faults, places share one.
 */
static const Text *text_of_row(PlanTable *table, const Row *row, const Text **known)
{
    if (known && *known) return *known;
    Arena *arena = table->nursery->arena;
    if (table->texts_made >= ROW_TEXTS && notes_full(table->nursery->notes)) arena = table->scratch;
    table->texts_made++;
    const Text *text = text_new(arena, table->name, arena_copy(arena, row->bytes.at, row->bytes.length),
                                (uint32_t)row->bytes.length, row->line);
    if (known && arena != table->scratch) *known = text;
    return text;
}

static Span span_in_row(const Text *text, const Row *row, Slice part)
{
    uint32_t begin = (uint32_t)(part.at - row->bytes.at);
    return (Span){text, begin, begin + (uint32_t)part.length};
}

Span table_place(const Plan *plan, size_t at, const Field *field)
{
    PlanTable *table = plan->source->table;
    const Row *row = &table->stretch_rows[at];
    const Text *text = text_of_row(table, row, &table->row_texts[at]);
    size_t column = table->id_column, fault_at;
    RowFault fault;
    size_t count = row_cells(row->bytes, table->cells, table->column_count, &fault, &fault_at);
    for (size_t i = 0; field && i < table->column_count; i++)
        if (table->columns[i].field == field && table->columns[i].cells[at]) column = i;
    return column < count ? span_in_row(text, row, table->cells[column].bytes) : (Span){text, 0, 0};
}

static Note *fault_in_row(PlanTable *table, const Row *row, Slice part, const char *name, const char *message)
{
    return notes_add(table->nursery->notes, SEVERITY_ERROR, name,
                     span_in_row(text_of_row(table, row, NULL), row, part), "%s", message);
}

/* ------------------------------------------------------------------ the header */

/* `depth (mm)`: a name, and perhaps a unit in brackets. */
static void cut_header(Slice text, Slice *name, Slice *unit)
{
    *name = text;
    *unit = (Slice){0};
    const char *open = text.length ? memchr(text.at, '(', text.length) : NULL;
    if (!open || text.at[text.length - 1] != ')') return;
    *unit = (Slice){open + 1, text.length - (size_t)(open - text.at) - 2};
    name->length = (size_t)(open - text.at);
    while (name->length && name->at[name->length - 1] == ' ') name->length--;
}

static void unknown_column(PlanTable *table, const Row *row, Slice part, Slice name)
{
    Arena *arena = table->nursery->arena;
    bool known = field_find(name, BLOCK_BATCH) != NULL;
    Note *note =
        fault_in_row(table, row, part, "unknown-word",
                     arena_print(arena,
                                 known ? "%.*s cannot be a column of a plan; write it in a batch block"
                                       : "no field of a batch is called '%.*s'",
                                 SLICE_ARG(name)));
    Nearest nearest;
    nearest_start(&nearest, name);
    nearest_try(&nearest, SLICE("batch"));
    for (size_t i = 0; i < field_count; i++)
        if (field_stands_in(&field_table[i], BLOCK_BATCH) && (field_table[i].flags & FIELD_COLUMN))
            nearest_try(&nearest, slice_of(field_table[i].spelling));
    if (nearest_found(&nearest))
        note->instead = arena_print(arena, "did you mean %.*s?", SLICE_ARG(nearest.best));
}

static void read_column(PlanTable *table, const Row *row, const Cell *cell, size_t index)
{
    Arena *arena = table->nursery->arena;
    Column *column = &table->columns[index];
    Slice name, unit, text = cell_text(arena, cell);
    cut_header(text, &name, &unit);
    bool is_id = slice_is(name, "batch");
    const Field *field = is_id ? NULL : field_find(name, BLOCK_BATCH);
    if (!is_id && (!field || !(field->flags & FIELD_COLUMN))) {
        unknown_column(table, row, cell->bytes, name);
        return;
    }
    for (size_t i = 0; i < index; i++)
        if (table->columns[i].field == field && (field || table->id_column == i)) {
            fault_in_row(table, row, cell->bytes, "duplicate",
                         arena_print(arena, "there are two columns called %.*s", SLICE_ARG(name)));
            return;
        }
    if (is_id) {
        table->id_column = index;
        return;
    }
    if (unit.length) {
        column->unit = unit_find(unit, field->dimension);
        if (!column->unit || field->dimension == DIM_NONE)
            fault_in_row(table, row, cell->bytes, "value",
                         arena_print(arena, "%.*s is no unit of %s; it takes %s", SLICE_ARG(unit),
                                     field->spelling, dimension_name[field->dimension]));
    }
    column->field = field;
    column->cache = ARENA_ARRAY(arena, Cached, CACHE_SLOTS);
    column->cells = ARENA_ARRAY(arena, const Reading *, PLAN_ROWS);
}

static size_t count_cells(Slice row)
{
    size_t count = 1;
    for (size_t i = 0; i < row.length; i++) count += row.at[i] == ',';
    return count;
}

static bool fatal(PlanTable *table, const Row *row, const char *message)
{
    fault_in_row(table, row, row->bytes, "syntax", message)->fatal = true;
    return false;
}

static const char *cells_fault(RowFault fault)
{
    static const char *const faults[] = {
        [ROW_AFTER_QUOTE] = "nothing but a comma may follow a closing quote",
        [ROW_OPEN_QUOTE] = "a quote is opened here and never closed",
        [ROW_STRAY_QUOTE] =
            "a quote stands inside a cell that does not begin with one; double it and quote the whole cell",
        [ROW_CELL_TOO_LONG] = "a cell is longer than 65,536 bytes",
        [ROW_TOO_MANY_CELLS] = "there are more cells than columns",
    };
    return faults[fault];
}

static bool bad_bytes(PlanTable *table, const Row *row)
{
    size_t at = 0, length;
    const char *what = text_refuse(row->bytes.at, row->bytes.length, &at, &length);
    if (!what) return false;
    fault_in_row(table, row, (Slice){row->bytes.at + at, length}, "syntax",
                 arena_print(table->nursery->arena, "there is %s here", what));
    return true;
}

static void skip_mark(Row *row)
{
    if (row->bytes.length >= 3 && !memcmp(row->bytes.at, "\xef\xbb\xbf", 3))
        row->bytes = (Slice){row->bytes.at + 3, row->bytes.length - 3};
}

static bool read_header(PlanTable *table)
{
    Row row;
    rows_next_stretch(&table->rows);
    if (!rows_next(&table->rows, &row)) {
        if (!table->rows.failed)
            notes_add(table->nursery->notes, SEVERITY_ERROR, "syntax", (Span){0},
                      "%s is empty; a plan begins with a line that names its columns", table->name)
                ->fatal = true;
        return false;
    }
    skip_mark(&row);
    if (bad_bytes(table, &row)) return fatal(table, &row, "the names of the columns cannot be read");
    size_t most = count_cells(row.bytes), fault_at;
    if (most > PLAN_COLUMNS) return fatal(table, &row, "a plan has at most 1,000 columns");
    table->cells = ARENA_ARRAY(table->nursery->arena, Cell, most);
    RowFault fault;
    size_t count = row_cells(row.bytes, table->cells, most, &fault, &fault_at);
    if (fault != ROW_GOOD) return fatal(table, &row, cells_fault(fault));
    if (count == 1 && memchr(row.bytes.at, ';', row.bytes.length))
        return fatal(table, &row, "the columns are parted by semicolons; a plan parts them by commas");
    table->columns = ARENA_ARRAY(table->nursery->arena, Column, count);
    table->id_column = SIZE_MAX;
    for (table->column_count = 0; table->column_count < count; table->column_count++)
        read_column(table, &row, &table->cells[table->column_count], table->column_count);
    if (table->id_column == SIZE_MAX)
        return fatal(table, &row, "no column is called batch: each row needs an id");
    for (size_t i = 0; i < count; i++)
        if (table->columns[i].field && slice_is(slice_of("follow"), table->columns[i].field->spelling))
            return true;
    return fatal(table, &row, "no column is called follow: each row names its protocol");
}

/* ------------------------------------------------------------------ cells */

static bool plain_number(Slice text, Number *number)
{
    if (!text.length || text.length > 15) return false;
    for (size_t i = 0; i < text.length; i++)
        if ((text.at[i] < '0' || text.at[i] > '9') && !(text.at[i] == '.' && i > 0 && i + 1 < text.length))
            return false;
    return number_read(text, number);
}

static bool plain_date(Slice text, Day *day)
{
    int digits[8], count = 0;
    if (text.length != 10 || text.at[4] != '-' || text.at[7] != '-') return false;
    for (size_t i = 0; i < 10; i++) {
        if (i == 4 || i == 7) continue;
        if (text.at[i] < '0' || text.at[i] > '9') return false;
        digits[count++] = text.at[i] - '0';
    }
    return day_make(digits[0] * 1000 + digits[1] * 100 + digits[2] * 10 + digits[3],
                    digits[4] * 10 + digits[5], digits[6] * 10 + digits[7], day);
}

/* Plain numbers and dates need no parser. */
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

/* One value as a clause would have it. The text given must live as long as the reading. */
static const Reading *read_value(PlanTable *table, const Column *column, const Text *text, Span span,
                                 Notes *notes, const char *subject)
{
    ReadContext context = {table->memory, table->nursery->names, notes, column->unit};
    Value value;
    if (!syntax_read_value(table->memory, text, span, notes, &value)) return NULL;
    return reading_of_value(&context, column->field, &value, span, subject);
}

static const Reading *read_text(PlanTable *table, const Column *column, Slice text)
{
    Reading *reading = ARENA_NEW(table->memory, Reading);
    reading->type = column->field->type;
    reading->text = reading->written = text;
    return reading;
}

/* Values parted by semicolons, where a field may stand more than once. */
static const Reading *read_all(PlanTable *table, const Column *column, const Text *text, Span span,
                               Notes *notes, const char *subject)
{
    bool repeats = (column->field->flags & FIELD_REPEATS) != 0;
    const Reading *joined = NULL;
    for (uint32_t begin = span.begin; begin <= span.end;) {
        const char *semicolon = repeats ? memchr(text->bytes + begin, ';', span.end - begin) : NULL;
        uint32_t end = semicolon ? (uint32_t)(semicolon - text->bytes) : span.end;
        const Reading *one = read_value(table, column, text, (Span){text, begin, end}, notes, subject);
        if (!one) return NULL;
        joined = joined ? reading_joined(table->memory, joined, one) : one;
        if (!semicolon) break;
        begin = end + 1;
    }
    return joined;
}

/* The same, without telling: what is wrong is told of the row, with its place, when this gives NULL. */
static const Reading *read_quietly(PlanTable *table, const Column *column, Slice text)
{
    Notes *silent = notes_new(table->scratch, 0);
    Text *own = text_new(table->memory, table->name, arena_copy(table->memory, text.at, text.length),
                         (uint32_t)text.length, 1);
    if (column->field->type == TYPE_TEXT) return read_text(table, column, (Slice){own->bytes, own->length});
    const Reading *reading = read_all(table, column, own, (Span){own, 0, own->length}, silent, "");
    return reading && nursery_has_named(table->nursery, column->field, reading) ? reading : NULL;
}

/* The fault of a cell that read_quietly refused, at its place. */
static void tell_fault(PlanTable *table, const Column *column, size_t at, const Cell *cell, Slice id)
{
    const Row *row = &table->stretch_rows[at];
    const Text *text = text_of_row(table, row, &table->row_texts[at]);
    Span span = span_in_row(text, row, cell->bytes);
    if (cell->quoted) { /* quotes are no part of the value; doubled ones inside would have to be told from it
                           anyway */
        span.begin++;
        span.end--;
    }
    size_t before = notes_total(table->nursery->notes);
    const char *subject = arena_copy(
        notes_full(table->nursery->notes) ? table->scratch : table->nursery->arena, id.at, id.length);
    const Reading *reading = read_all(table, column, text, span, table->nursery->notes, subject);
    if (reading) nursery_check_named(table->nursery, subject, column->field, reading, span);
    if (notes_total(table->nursery->notes) == before)
        notes_add(table->nursery->notes, SEVERITY_ERROR, "value", span, "%s cannot be read here",
                  column->field->spelling);
}

static const Reading *read_cell(PlanTable *table, Column *column, size_t at, const Cell *cell, Slice id)
{
    Slice text = cell_text(table->scratch, cell);
    if (!text.length) return NULL;
    uint64_t hash = slice_hash(text);
    Cached *cached = &column->cache[(hash ^ hash >> 32) % CACHE_SLOTS];
    if (cached->reading && slice_equal(cached->text, text)) return cached->reading;
    const Reading *reading = read_plain(table, column, text);
    if (!reading) reading = read_quietly(table, column, text);
    table->remembered += 1024;
    if (!reading) {
        tell_fault(table, column, at, cell, id);
        return &reading_spoiled;
    }
    cached->text = (Slice){arena_copy(table->memory, text.at, text.length), text.length};
    cached->reading = reading;
    return reading;
}

/* ------------------------------------------------------------------ rows */

static bool is_id(Slice text)
{
    for (size_t i = 0; i < text.length; i++) {
        unsigned char c = (unsigned char)text.at[i];
        bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c >= 0x80;
        bool inner = (c >= '0' && c <= '9') || c == '_' || (c == '-' && i + 1 < text.length);
        if (!letter && !(inner && i > 0)) return false;
    }
    return text.length > 0 && text.length <= 255;
}

static bool take_id(PlanTable *table, const Row *row, const Cell *cell, Slice *id)
{
    *id = cell_text(table->memory, cell);
    if (!is_id(*id)) {
        fault_in_row(table, row, cell->bytes, "value",
                     "a batch is called by one word that begins with a letter: H27-20");
        return false;
    }
    uint32_t first = ids_add(&table->ids, *id, row->line);
    Name name = names_find(table->nursery->names, *id);
    const Block *block = name ? nursery_find(table->nursery, BLOCK_BATCH, name) : NULL;
    if (!first && !block) return true;
    const char *what =
        first ? arena_print(table->scratch, "the batch %.*s stands in row %u already", SLICE_ARG(*id), first)
              : arena_print(table->scratch, "there is a batch %.*s already", SLICE_ARG(*id));
    Note *note = fault_in_row(table, row, cell->bytes, "duplicate", what);
    if (block) note_place(note, block->name_span, "the other one");
    return false;
}

/* Reads a row into the columns; false when it is left out (told). */
static bool take_row(PlanTable *table, const Row *row, size_t at)
{
    RowFault fault;
    size_t fault_at, count;
    if (bad_bytes(table, row)) return false;
    count = row_cells(row->bytes, table->cells, table->column_count, &fault, &fault_at);
    if (fault != ROW_GOOD) {
        fault_in_row(table, row, (Slice){row->bytes.at + fault_at, row->bytes.length - fault_at}, "syntax",
                     cells_fault(fault));
        return false;
    }
    if (count < table->column_count) {
        fault_in_row(
            table, row, row->bytes, "syntax",
            arena_print(table->scratch, "there are %zu cells for %zu columns", count, table->column_count));
        return false;
    }
    Slice id;
    if (!take_id(table, row, &table->cells[table->id_column], &id)) return false;
    table->stretch_rows[at] = *row;
    table->row_texts[at] = NULL;
    table->stretch_ids[at] = id;
    for (size_t i = 0; i < table->column_count; i++)
        if (table->columns[i].field) {
            const Reading *reading = read_cell(table, &table->columns[i], at, &table->cells[i], id);
            table->columns[i].cells[at] = reading;
        }
    if (table->records) {
        Name name = names_find(table->nursery->names, id);
        table->records[at] = name ? nursery_find(table->nursery, BLOCK_RECORD, name) : NULL;
    }
    return true;
}

/* ------------------------------------------------------------------ stretches */

PlanTable *plan_table_open(Nursery *nursery, const char *name, PlanRead *read, void *from,
                           ArenaExhausted *exhausted)
{
    PlanTable *table = ARENA_NEW(nursery->arena, PlanTable);
    table->nursery = nursery;
    table->name = name;
    table->memory = arena_new(exhausted);
    table->empty = arena_mark(table->memory);
    table->scratch = arena_new(exhausted);
    table->clean = arena_mark(table->scratch);
    ids_start(&table->ids, exhausted);
    rows_start(&table->rows, nursery->arena, read, from);
    return table;
}

void plan_table_close(PlanTable *table)
{
    arena_free(table->memory);
    arena_free(table->scratch);
    ids_free(&table->ids);
}

bool plan_table_failed(const PlanTable *table)
{
    return table->rows.failed;
}

static void set_up(PlanTable *table)
{
    Arena *arena = table->nursery->arena;
    Plan *plan = &table->plan;
    VEC(const Field *) fields = {0};
    VEC(const Reading **) cells = {0};
    for (size_t i = 0; i < FIELD_COUNT_LIMIT; i++) plan->column_of[i] = -1;
    for (size_t i = 0; i < table->column_count; i++) {
        if (!table->columns[i].field) continue;
        plan->column_of[table->columns[i].field->number] = (int16_t)fields.count;
        VEC_PUSH(arena, &fields, table->columns[i].field);
        VEC_PUSH(arena, &cells, table->columns[i].cells);
    }
    table->stretch_rows = ARENA_ARRAY(arena, Row, PLAN_ROWS);
    table->row_texts = ARENA_ARRAY(arena, const Text *, PLAN_ROWS);
    table->stretch_ids = ARENA_ARRAY(arena, Slice, PLAN_ROWS);
    if (table->nursery->lists[BLOCK_RECORD].count)
        table->records = ARENA_ARRAY(arena, const Block *, PLAN_ROWS);
    plan->columns = fields.at;
    plan->column_count = fields.count;
    plan->cells = cells.at;
    plan->ids = table->stretch_ids;
    plan->records = table->records;
    plan->source = ARENA_NEW(arena, PlanSource);
    plan->source->table = table;
    plan->generation = ++table->nursery->generations;
}

/* Ids with doubled quotes are copied here too: so it is emptied now and then even when every cell is known.
 */
static void forget_when_large(PlanTable *table)
{
    if (table->remembered < CACHE_MEMORY) return;
    for (size_t i = 0; i < table->column_count; i++)
        if (table->columns[i].cache)
            memset(table->columns[i].cache, 0, CACHE_SLOTS * sizeof *table->columns[i].cache);
    arena_release(table->memory, table->empty);
    table->remembered = 0;
    table->plan.generation = ++table->nursery->generations;
}

const Plan *plan_table_next(PlanTable *table)
{
    if (!table->has_header) {
        table->has_header = true;
        if (!read_header(table)) {
            table->rows.ended = true;
            table->rows.at = table->rows.length;
            return NULL;
        }
        set_up(table);
    }
    while (!rows_ended(&table->rows)) {
        forget_when_large(table);
        rows_next_stretch(&table->rows);
        Row row;
        size_t count = 0;
        while (count < PLAN_ROWS && rows_next(&table->rows, &row)) {
            count += take_row(table, &row, count);
            arena_release(table->scratch, table->clean);
        }
        table->plan.rows = count;
        if (count) return &table->plan;
    }
    return NULL;
}
