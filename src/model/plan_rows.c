/* From bytes to rows and cells. */
#include "model/plan_rows.h"

#include <string.h>

enum { ROWS_BUFFER = 512 << 10, ROWS_BUFFER_LIMIT = 96 << 20 };

void rows_start(RowReader *rows, Arena *arena, PlanRead *read, void *from)
{
    *rows = (RowReader){.arena = arena, .read = read, .from = from, .line = 1};
    rows->buffer = arena_alloc(arena, ROWS_BUFFER);
    rows->room = ROWS_BUFFER;
}

static void fill(RowReader *rows)
{
    while (rows->length < rows->room && !rows->ended) {
        ptrdiff_t count = rows->read(rows->from, rows->buffer + rows->length, rows->room - rows->length);
        if (count <= 0) {
            rows->ended = true;
            rows->failed = count < 0;
            return;
        }
        rows->length += (size_t)count;
    }
}

void rows_next_stretch(RowReader *rows)
{
    memmove(rows->buffer, rows->buffer + rows->at, rows->length - rows->at);
    rows->length -= rows->at;
    rows->at = 0;
    fill(rows);
}

/* A row longer than the buffer: a larger one, up to a limit; past it the row is cut there and found faulty.
 */
static bool grow(RowReader *rows)
{
    if (rows->ended || rows->room >= ROWS_BUFFER_LIMIT) return false;
    char *larger = arena_alloc(rows->arena, rows->room * 2);
    memcpy(larger, rows->buffer, rows->length);
    rows->buffer = larger;
    rows->room *= 2;
    fill(rows);
    return true;
}

/* The length of the row at `at` without its line end; false when its end is not in the buffer. A line end
 * inside quotes is none. */
static bool row_length(const RowReader *rows, size_t *length, uint32_t *lines)
{
    const char *from = rows->buffer + rows->at, *end = rows->buffer + rows->length,
               *newline = memchr(from, '\n', (size_t)(end - from));
    const char *limit = newline ? newline : end;
    if (!memchr(from, '"', (size_t)(limit - from))) {
        *lines = 1;
        *length = (size_t)(limit - from);
        return newline || rows->ended;
    }
    bool quoted = false;
    *lines = 1;
    for (const char *c = from; c < end; c++) {
        if (*c == '"') quoted = !quoted;
        if (*c != '\n') continue;
        if (!quoted) {
            *length = (size_t)(c - from);
            return true;
        }
        ++*lines;
    }
    *length = (size_t)(end - from);
    return rows->ended;
}

bool rows_next(RowReader *rows, Row *row)
{
    while (rows->at < rows->length) {
        size_t length;
        uint32_t lines;
        if (!row_length(rows, &length, &lines)) {
            if (rows->at > 0) return false; /* the rest comes with the next stretch */
            if (grow(rows)) continue;
            length = rows->length - rows->at;
        }
        const char *bytes = rows->buffer + rows->at;
        uint32_t line = rows->line;
        rows->line += lines;
        rows->at += length < rows->length - rows->at ? length + 1 : length;
        if (length && bytes[length - 1] == '\r') length--;
        if (!length) continue;
        *row = (Row){{bytes, length}, line};
        return true;
    }
    return false;
}

bool rows_ended(const RowReader *rows)
{
    return rows->ended && rows->at >= rows->length;
}

/* ------------------------------------------------------------------ cells */

/* The end of a quoted cell that begins at `at`: behind its closing quote. */
static size_t quoted_end(Slice row, size_t at, bool *open)
{
    for (size_t i = at + 1; i < row.length; i++) {
        if (row.at[i] != '"') continue;
        if (i + 1 < row.length && row.at[i + 1] == '"') {
            i++;
            continue;
        }
        *open = false;
        return i + 1;
    }
    *open = true;
    return row.length;
}

size_t row_cells(Slice row, Cell *cells, size_t room, RowFault *fault, size_t *fault_at)
{
    size_t count = 0;
    *fault = ROW_GOOD;
    for (size_t at = 0;; at++) {
        Cell cell = {.quoted = at < row.length && row.at[at] == '"'};
        size_t end;
        bool open = false;
        if (cell.quoted) {
            end = quoted_end(row, at, &open);
            if (open) *fault = ROW_OPEN_QUOTE;
            if (!open && end < row.length && row.at[end] != ',') *fault = ROW_AFTER_QUOTE;
        } else {
            const char *comma = at < row.length ? memchr(row.at + at, ',', row.length - at) : NULL;
            end = comma ? (size_t)(comma - row.at) : row.length;
            if (at < end && memchr(row.at + at, '"', end - at)) *fault = ROW_STRAY_QUOTE;
        }
        if (end - at > ROW_CELL_LIMIT) *fault = ROW_CELL_TOO_LONG;
        if (count == room) *fault = ROW_TOO_MANY_CELLS;
        if (*fault != ROW_GOOD) {
            *fault_at = *fault == ROW_AFTER_QUOTE ? end : at;
            return count;
        }
        cell.bytes = (Slice){row.at + at, end - at};
        cells[count++] = cell;
        if (end >= row.length) return count;
        at = end;
    }
}

static Slice trimmed(Slice text)
{
    while (text.length && (*text.at == ' ' || *text.at == '\t')) text = (Slice){text.at + 1, text.length - 1};
    while (text.length && (text.at[text.length - 1] == ' ' || text.at[text.length - 1] == '\t'))
        text.length--;
    return text;
}

Slice cell_text(Arena *arena, const Cell *cell)
{
    if (!cell->quoted) return trimmed(cell->bytes);
    Slice inner = {cell->bytes.at + 1, cell->bytes.length - 2};
    if (!memchr(inner.at, '"', inner.length)) return trimmed(inner);
    char *single = arena_alloc(arena, inner.length);
    size_t length = 0;
    for (size_t i = 0; i < inner.length; i++) {
        single[length++] = inner.at[i];
        if (inner.at[i] == '"') i++;
    }
    return trimmed((Slice){single, length});
}
