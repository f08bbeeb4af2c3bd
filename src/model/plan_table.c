/* Plans as CSV, a stretch of rows at a time.
 *
 * Goes from row to row: leaves out, and tells, what is no row of the table or has no id of its own, and fills
 * the columns of the stretch with what the cells mean. Equal cells of a column share one reading; memory does
 * not grow with the rows, save for the set of ids and the faults that are shown.
 */
#include "model/plan_table.h"

#include "base/vec.h"
#include "syntax/read.h"

#include <string.h>

enum { ROW_TEXTS = 8000 };

struct PlanSource {
    PlanTable *table;
};

/* ------------------------------------------------------------------ places */

const Text *table_text(PlanTable *table, const Row *row, const Text **known)
{
    if (known && *known) return *known;
    Arena *arena = table->nursery->arena;
    bool shown = table->texts_made < ROW_TEXTS || !notes_full(table->nursery->notes);
    if (!shown) arena = table->scratch;
    table->texts_made++;
    const Text *text = text_new(arena, table->name, arena_copy(arena, row->bytes.at, row->bytes.length),
                                (uint32_t)row->bytes.length, row->line);
    if (known && shown) *known = text;
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
    size_t column = table->id_column, fault_at;
    for (size_t i = 0; field && i < table->column_count; i++)
        if (table->columns[i].field == field && table->columns[i].cells[at]) column = i;
    RowFault fault;
    row_cells(row->bytes, table->cells, table->column_count, &fault, &fault_at);
    return span_in_row(table_text(table, row, &table->row_texts[at]), row, table->cells[column].bytes);
}

Note *table_fault(PlanTable *table, const Row *row, Slice part, const char *name, const char *message)
{
    Span place = span_in_row(table_text(table, row, NULL), row, part);
    return notes_add(table->nursery->notes, SEVERITY_ERROR, name, place, "%s", message);
}

/* ------------------------------------------------------------------ rows that are none */

const char *row_fault_text(RowFault fault)
{
    static const char *const texts[ROW_FAULTS] = {
        [ROW_AFTER_QUOTE] = "nothing but a comma may follow a closing quote",
        [ROW_OPEN_QUOTE] = "a quote is opened here and never closed",
        [ROW_STRAY_QUOTE] =
            "a quote stands inside a cell that does not begin with one; double it and quote the whole cell",
        [ROW_CELL_TOO_LONG] = "a cell is longer than 65,536 bytes",
        [ROW_QUOTED_TOO_LONG] = "a cell is longer than 65,536 bytes, or the quote here is never closed",
        [ROW_TOO_LONG] = "a row is longer than 64 MiB",
        [ROW_TOO_MANY_CELLS] = "there are more cells than columns",
    };
    return texts[fault];
}

/* Letters, digits and marks of ASCII alone, as nearly all rows have: eight at a time. */
static bool is_plain(Slice bytes)
{
    const uint64_t ones = UINT64_C(0x0101010101010101), tops = ones << 7;
    size_t i = 0;
    for (; i + sizeof(uint64_t) <= bytes.length; i += sizeof(uint64_t)) {
        uint64_t word;
        memcpy(&word, bytes.at + i, sizeof word);
        uint64_t below_blank = word - ones * ' ', deleted = (word ^ ones * 0x7F) - ones;
        if ((word | below_blank | deleted) & tops) return false;
    }
    for (; i < bytes.length; i++)
        if (bytes.at[i] < ' ' || bytes.at[i] > '~') return false;
    return true;
}

static bool has_bad_bytes(PlanTable *table, const Row *row)
{
    if (is_plain(row->bytes)) return false;
    bool marked = slice_starts(row->bytes, "\xEF\xBB\xBF"); /* the header's own is no part of it any more */
    size_t at = 0, length = 3;
    const char *what = marked ? "a byte-order mark that is not at the start"
                              : text_refuse(row->bytes.at, row->bytes.length, &at, &length);
    if (!what) return false;
    table_fault(table, row, (Slice){row->bytes.at + at, length}, "syntax",
                arena_print(table->scratch, "there is %s here", what));
    return true;
}

/* What follows a closing quote may be far from where it was opened: there a quote is missing, most likely. */
static void show_opening(PlanTable *table, const Row *row, size_t count, size_t closed, Note *note)
{
    const Cell *last = count ? &table->cells[count - 1] : NULL;
    size_t opened = last ? (size_t)(last->bytes.at - row->bytes.at) + last->bytes.length + 1 : 0;
    if (!memchr(row->bytes.at + opened, '\n', closed - opened)) return;
    Span span = note->place[0].span;
    note_place(note, (Span){span.text, (uint32_t)opened, (uint32_t)opened + 1}, "it was opened here");
}

/* Cuts a row into table->cells, one for each column; false after telling why not. */
static bool cut_row(PlanTable *table, const Row *row)
{
    RowFault fault = row->fault;
    size_t fault_at = row->fault_at, count = 0;
    if (fault == ROW_GOOD)
        count = row_cells(row->bytes, table->cells, table->column_count, &fault, &fault_at);
    if (fault == ROW_GOOD && count == table->column_count) return true;
    Slice part = {row->bytes.at + fault_at, row->bytes.length - fault_at};
    const char *message = row_fault_text(fault);
    if (fault == ROW_GOOD) {
        part = row->bytes;
        message =
            arena_print(table->scratch, "there are %zu cells for %zu columns", count, table->column_count);
    } else if (fault == ROW_TOO_MANY_CELLS) {
        message =
            arena_print(table->scratch, "there are more cells than the %zu columns", table->column_count);
    }
    Note *note = table_fault(table, row, part, "syntax", message);
    if (fault == ROW_AFTER_QUOTE) show_opening(table, row, count, fault_at, note);
    return false;
}

/* ------------------------------------------------------------------ ids */

/* Whether a text is one word of the language. What is surely one needs no parser: a capital or digit makes it
 * no word with a part in clauses. */
static bool is_id(PlanTable *table, Slice text)
{
    if (!text.length || text.length > TREE_NAME_LENGTH) return false;
    bool small = true, sure = true;
    for (size_t i = 0; i < text.length && sure; i++) {
        char c = text.at[i];
        bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
        bool inner = letter || (c >= '0' && c <= '9') || c == '_';
        sure = i == 0 ? letter : inner || (c == '-' && i + 1 < text.length && text.at[i - 1] != '-');
        small = small && letter && c >= 'a';
    }
    if (sure && !small) return true;
    Text *word = text_new(table->scratch, table->name, arena_copy(table->scratch, text.at, text.length),
                          (uint32_t)text.length, 1);
    Value value;
    Span span = {word, 0, word->length};
    if (!syntax_read_value(table->scratch, word, span, notes_new(table->scratch, 0), &value)) return false;
    const Part *part = value.first ? value.first->first->first : NULL;
    return part && part->kind == PART_WORD && part->word.length == text.length;
}

static bool take_id(PlanTable *table, const Row *row, const Cell *cell, Slice *id)
{
    *id = cell_text(table->scratch, cell);
    if (!is_id(table, *id)) {
        table_fault(table, row, cell->bytes, "value",
                    "a batch is called by one word that begins with a letter: H27-20")
            ->left_out = true;
        return false;
    }
    uint32_t first = ids_add(&table->ids, *id, row->line);
    Name name = names_find(table->nursery->names, *id);
    const Block *block = name ? nursery_find(table->nursery, BLOCK_BATCH, name) : NULL;
    if (!first && !block) return true;
    const char *what =
        first ? arena_print(table->scratch, "the batch %.*s stands in row %u already", SLICE_ARG(*id), first)
              : arena_print(table->scratch, "there is a batch %.*s already", SLICE_ARG(*id));
    Note *note = table_fault(table, row, cell->bytes, "duplicate", what);
    note->left_out = true;
    if (block) note_place(note, block->name_span, "the other one");
    return false;
}

/* ------------------------------------------------------------------ rows */

/* Reads a row into the columns; false when it is left out (told). */
static bool take_row(PlanTable *table, const Row *row, size_t at)
{
    Slice id;
    if (has_bad_bytes(table, row) || !cut_row(table, row)) return false;
    if (!take_id(table, row, &table->cells[table->id_column], &id)) return false;
    table->stretch_rows[at] = *row;
    table->row_texts[at] = NULL;
    table->stretch_ids[at] = id;
    for (size_t i = 0; i < table->column_count; i++) {
        Column *column = &table->columns[i];
        if (column->field) column->cells[at] = table_read_cell(table, column, at, &table->cells[i], id);
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
    table->exhausted = exhausted;
    table->memory = arena_new(exhausted);
    table->scratch = arena_new(exhausted);
    table->clean = arena_mark(table->scratch);
    ids_start(&table->ids, exhausted);
    rows_start(&table->rows, read, from, exhausted);
    return table;
}

void plan_table_close(PlanTable *table)
{
    arena_free(table->memory);
    arena_free(table->scratch);
    ids_free(&table->ids);
    rows_free(&table->rows);
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

static bool begin(PlanTable *table)
{
    table->has_header = true;
    bool good = table_read_header(table);
    arena_release(table->scratch, table->clean);
    if (good)
        set_up(table);
    else
        rows_end(&table->rows);
    return good;
}

const Plan *plan_table_next(PlanTable *table)
{
    if (!table->has_header && !begin(table)) return NULL;
    while (!rows_ended(&table->rows)) {
        if (table_forget_when_large(table)) table->plan.generation = ++table->nursery->generations;
        rows_next_stretch(&table->rows);
        Row row;
        size_t count = 0;
        while (count < PLAN_ROWS && !table_is_full(table) && rows_next(&table->rows, &row)) {
            count += take_row(table, &row, count);
            arena_release(table->scratch, table->clean);
        }
        table->plan.rows = count;
        if (count) return &table->plan;
    }
    return NULL;
}
