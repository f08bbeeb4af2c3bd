/* Tables to bytes: see table.h. */
#include "write/table.h"

#include "base/columns.h"
#include "base/json.h"
#include "base/vec.h"
#include "write/csv.h"

#include <math.h>
#include <stdio.h>

typedef VEC(const char *) Lines;

struct Table {
    Arena *arena;
    const char *command, *title;
    const TableColumn *columns;
    size_t column_count;
    VEC(const TableFigure *) rows;
    Lines notes, lines;
};

TableFigure figure_text(const char *text)
{
    return figure_slice(slice_of(text));
}

TableFigure figure_slice(Slice text)
{
    TableFigure cell = figure_none();
    cell.kind = TABLE_TEXT;
    cell.text = text;
    return cell;
}

TableFigure figure_integer(int64_t value)
{
    TableFigure cell = figure_none();
    cell.kind = TABLE_INTEGER;
    cell.integer = value;
    return cell;
}

TableFigure figure_real(double value, int places)
{
    TableFigure cell = figure_none();
    cell.kind = isfinite(value) ? TABLE_REAL : TABLE_NONE;
    cell.real = value;
    cell.places = places;
    return cell;
}

TableFigure figure_day(Day day)
{
    TableFigure cell = figure_none();
    cell.kind = day == DAY_NONE ? TABLE_NONE : TABLE_DAY;
    cell.day = day;
    return cell;
}

Table *table_new(Arena *arena, const char *command, const char *title, const TableColumn *columns,
                 size_t count)
{
    Table *table = ARENA_NEW(arena, Table);
    *table = (Table){
        .arena = arena, .command = command, .title = title, .columns = columns, .column_count = count};
    return table;
}

void table_row(Table *table, const TableFigure *cells)
{
    TableFigure *row = ARENA_ARRAY(table->arena, TableFigure, table->column_count);
    for (size_t i = 0; i < table->column_count; i++) row[i] = cells[i];
    VEC_PUSH(table->arena, &table->rows, row);
}

void table_note(Table *table, const char *text)
{
    VEC_PUSH(table->arena, &table->notes, text);
}

void table_line(Table *table, const char *text)
{
    VEC_PUSH(table->arena, &table->lines, text);
}

/* ------------------------------------------------------------------ cells as text */

static Slice cell_words(const Table *table, const TableFigure *cell, bool iso)
{
    char text[DAY_TEXT];
    switch (cell->kind) {
    case TABLE_NONE: break;
    case TABLE_TEXT: return cell->text;
    case TABLE_INTEGER: return slice_of(arena_print(table->arena, "%lld", (long long)cell->integer));
    case TABLE_REAL: return slice_of(arena_print(table->arena, "%.*f", cell->places, cell->real));
    case TABLE_DAY:
        return slice_of(arena_copy(table->arena, text,
                                   iso ? day_write_iso(text, cell->day) : day_write(text, cell->day)));
    }
    return (Slice){"", 0};
}

/* ------------------------------------------------------------------ for people */

static void write_aligned(Buffer *out, Slice text, size_t width, bool right, bool last)
{
    size_t taken = text_columns(text);
    if (right && taken < width) buffer_spaces(out, width - taken);
    buffer_escaped(out, text);
    if (!right && !last && taken < width) buffer_spaces(out, width - taken);
}

static size_t *widths_of(const Table *table)
{
    size_t *widths = ARENA_ARRAY(table->arena, size_t, table->column_count);
    for (size_t i = 0; i < table->column_count; i++) {
        widths[i] = text_columns(slice_of(table->columns[i].title));
        for (size_t row = 0; row < table->rows.count; row++) {
            size_t taken = text_columns(cell_words(table, &table->rows.at[row][i], false));
            if (taken > widths[i]) widths[i] = taken;
        }
    }
    return widths;
}

static void write_heads(Buffer *out, const Table *table, const size_t *widths)
{
    for (size_t i = 0; i < table->column_count; i++) {
        if (i) buffer_spaces(out, 2);
        write_aligned(out, slice_of(table->columns[i].title), widths[i], table->columns[i].number,
                      i + 1 == table->column_count);
    }
    buffer_char(out, '\n');
}

void table_write_text(Buffer *out, const Table *table)
{
    buffer_escaped(out, slice_of(table->title));
    buffer_text(out, "\n\n");
    for (size_t i = 0; i < table->lines.count; i++) {
        buffer_escaped(out, slice_of(table->lines.at[i]));
        buffer_char(out, '\n');
    }
    if (table->lines.count) buffer_char(out, '\n');
    const size_t *widths = widths_of(table);
    if (table->rows.count) write_heads(out, table, widths);
    for (size_t row = 0; row < table->rows.count; row++) {
        for (size_t i = 0; i < table->column_count; i++) {
            if (i) buffer_spaces(out, 2);
            write_aligned(out, cell_words(table, &table->rows.at[row][i], false), widths[i],
                          table->columns[i].number, i + 1 == table->column_count);
        }
        buffer_char(out, '\n');
    }
    if (table->notes.count && table->rows.count) buffer_char(out, '\n');
    for (size_t i = 0; i < table->notes.count; i++) {
        buffer_escaped(out, slice_of(table->notes.at[i]));
        buffer_char(out, '\n');
    }
}

/* ------------------------------------------------------------------ for programs */

void table_write_csv(Buffer *out, const Table *table)
{
    for (size_t i = 0; i < table->column_count; i++) {
        if (i) buffer_char(out, ',');
        csv_text(out, slice_of(table->columns[i].key));
    }
    buffer_text(out, "\r\n");
    for (size_t row = 0; row < table->rows.count; row++) {
        for (size_t i = 0; i < table->column_count; i++) {
            const TableFigure *cell = &table->rows.at[row][i];
            if (i) buffer_char(out, ',');
            if (cell->kind == TABLE_TEXT)
                csv_text(out, cell->text);
            else
                buffer_slice(out, cell_words(table, cell, true));
        }
        buffer_text(out, "\r\n");
    }
}

static void write_json_cell(Json *json, const Table *table, const TableFigure *cell)
{
    switch (cell->kind) {
    case TABLE_NONE: json_null(json); return;
    case TABLE_INTEGER: json_integer(json, cell->integer); return;
    case TABLE_REAL: json_number(json, cell_words(table, cell, true)); return;
    case TABLE_TEXT:
    case TABLE_DAY: json_slice(json, cell_words(table, cell, true)); return;
    }
}

void table_write_json(Buffer *out, const Table *table)
{
    Json json;
    json_start(&json, out, true);
    json_object(&json);
    json_field_integer(&json, "version", 1);
    json_field_text(&json, "command", table->command);
    json_key(&json, "rows");
    json_array(&json);
    for (size_t row = 0; row < table->rows.count; row++) {
        json_object(&json);
        for (size_t i = 0; i < table->column_count; i++) {
            json_key(&json, table->columns[i].key);
            write_json_cell(&json, table, &table->rows.at[row][i]);
        }
        json_end_object(&json);
    }
    json_end_array(&json);
    json_key(&json, "notes");
    json_array(&json);
    for (size_t i = 0; i < table->notes.count; i++) json_text(&json, table->notes.at[i]);
    json_end_array(&json);
    json_end_object(&json);
    buffer_char(out, '\n');
}
