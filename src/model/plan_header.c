/* The first row of a table, as columns.
 *
 * Given the names that head the columns, finds the fields of a batch and the units in brackets behind them.
 * What is wrong with a heading is told once, here: its cells are passed over, or spoiled where the field is
 * known.
 */
#include "model/plan_table.h"

#include <string.h>

static const char byte_order_mark[] = "\xEF\xBB\xBF";

static Slice cut(Slice text, size_t begin, size_t end)
{
    while (begin < end && text.at[begin] == ' ') begin++;
    while (begin < end && text.at[end - 1] == ' ') end--;
    return (Slice){text.at + begin, end - begin};
}

/* `depth (mm)`: a name, and perhaps a unit in brackets. */
static void cut_heading(Slice text, Slice *name, Slice *unit)
{
    *name = text;
    *unit = (Slice){"", 0};
    const char *open = text.length ? memchr(text.at, '(', text.length) : NULL;
    if (!open || text.at[text.length - 1] != ')') return;
    size_t bracket = (size_t)(open - text.at);
    *name = cut(text, 0, bracket);
    *unit = cut(text, bracket + 1, text.length - 1);
}

/* ------------------------------------------------------------------ one column */

static void unknown_column(PlanTable *table, const Row *row, Slice part, Slice name)
{
    Arena *arena = table->nursery->arena;
    if (!name.length) {
        table_fault(table, row, part, "syntax", "this column has no name");
        return;
    }
    bool known = field_find(name, BLOCK_BATCH) != NULL;
    Note *note =
        table_fault(table, row, part, "unknown-word",
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

static bool is_second(const PlanTable *table, const Field *field, size_t index)
{
    for (size_t i = 0; i < index; i++)
        if (table->columns[i].field == field && (field || table->id_column == i)) return true;
    return false;
}

static void read_unit(PlanTable *table, const Row *row, Slice part, Column *column, Slice unit)
{
    const Field *field = column->field;
    column->unit = field->dimension == DIM_NONE ? NULL : unit_find(unit, field->dimension);
    if (column->unit) return;
    column->spoiled = true;
    Note *note = table_fault(table, row, part, "value",
                             arena_print(table->scratch, "%.*s is no unit of %s; it takes %s",
                                         SLICE_ARG(unit), field->spelling, dimension_name[field->dimension]));
    if (field->dimension != DIM_NONE)
        note->instead = arena_print(table->nursery->arena, "take one of %s", unit_examples(field->dimension));
}

static void read_column(PlanTable *table, const Row *row, const Cell *cell, size_t index)
{
    Arena *arena = table->nursery->arena;
    Column *column = &table->columns[index];
    Slice name, unit;
    cut_heading(cell_text(arena, cell), &name, &unit);
    bool is_id = slice_is(name, "batch");
    const Field *field = is_id ? NULL : field_find(name, BLOCK_BATCH);
    if (!is_id && (!field || !(field->flags & FIELD_COLUMN))) {
        unknown_column(table, row, cell->bytes, name);
        return;
    }
    if (is_second(table, field, index)) {
        table_fault(table, row, cell->bytes, "duplicate",
                    arena_print(table->scratch, "there are two columns called %.*s", SLICE_ARG(name)));
        return;
    }
    if (is_id) {
        table->id_column = index;
        return;
    }
    column->field = field;
    column->cells = ARENA_ARRAY(arena, const Reading *, PLAN_ROWS);
    if (unit.length) read_unit(table, row, cell->bytes, column, unit);
}

/* ------------------------------------------------------------------ the row */

static bool fatal(PlanTable *table, const Row *row, Slice part, const char *message)
{
    table_fault(table, row, part, "syntax", message)->fatal = true;
    return false;
}

static Slice rest_of(const Row *row, size_t at)
{
    return (Slice){row->bytes.at + at, row->bytes.length - at};
}

/* The first row that is not empty, without a byte-order mark; false: there is none. */
static bool first_row(PlanTable *table, Row *row)
{
    rows_next_stretch(&table->rows);
    while (rows_next(&table->rows, row)) {
        if (row->line == 1 && slice_starts(row->bytes, byte_order_mark)) {
            size_t mark = sizeof byte_order_mark - 1;
            row->bytes = rest_of(row, mark);
            row->fault_at -= row->fault_at >= mark ? mark : 0;
        }
        if (row->bytes.length) return true;
    }
    return false;
}

/* The cells of the heading; 0 after telling why there are none. */
static size_t cut_header(PlanTable *table, const Row *row)
{
    size_t at = 0, length, fault_at;
    RowFault fault = row->fault;
    const char *what = text_refuse(row->bytes.at, row->bytes.length, &at, &length);
    if (what) {
        fatal(table, row, (Slice){row->bytes.at + at, length},
              arena_print(table->scratch, "there is %s here, so the names of the columns cannot be read",
                          what));
        return 0;
    }
    if (fault != ROW_GOOD) {
        fatal(table, row, rest_of(row, row->fault_at), row_fault_text(fault));
        return 0;
    }
    Cell *cells = ARENA_ARRAY(table->nursery->arena, Cell, PLAN_COLUMNS);
    size_t count = row_cells(row->bytes, cells, PLAN_COLUMNS, &fault, &fault_at);
    if (fault != ROW_GOOD) {
        fatal(table, row, rest_of(row, fault_at),
              fault == ROW_TOO_MANY_CELLS ? "a plan has at most 1,000 columns" : row_fault_text(fault));
        return 0;
    }
    table->cells = cells;
    return count;
}

/* Tables that were saved with something else between their cells come as one column. */
static bool is_parted_otherwise(PlanTable *table, const Row *row, size_t count)
{
    static const struct {
        char mark;
        const char *message;
    } others[] = {
        {';', "the columns are parted by semicolons; a plan parts them by commas"},
        {'\t', "the columns are parted by tabs; a plan parts them by commas"},
    };
    for (size_t i = 0; count == 1 && i < sizeof others / sizeof *others; i++)
        if (memchr(row->bytes.at, others[i].mark, row->bytes.length))
            return !fatal(table, row, row->bytes, others[i].message);
    return false;
}

bool table_read_header(PlanTable *table)
{
    Row row;
    if (!first_row(table, &row)) {
        if (!table->rows.failed)
            notes_add(table->nursery->notes, SEVERITY_ERROR, "syntax", (Span){0},
                      "%s is empty; a plan begins with a line that names its columns", table->name)
                ->fatal = true;
        return false;
    }
    size_t count = cut_header(table, &row);
    if (!count || is_parted_otherwise(table, &row, count)) return false;
    table->columns = ARENA_ARRAY(table->nursery->arena, Column, count);
    table->id_column = SIZE_MAX;
    for (table->column_count = 0; table->column_count < count; table->column_count++)
        read_column(table, &row, &table->cells[table->column_count], table->column_count);
    if (table->id_column == SIZE_MAX)
        return fatal(table, &row, row.bytes, "no column is called batch: each row needs an id");
    if (!is_second(table, FIELD_ROW(FOLLOW), count))
        return fatal(table, &row, row.bytes, "no column is called follow: each row names its protocol");
    return true;
}
