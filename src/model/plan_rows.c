/* From bytes to rows and cells.
 *
 * Given what the callback reads, finds where rows end and cells lie. A quote opens a cell only at its begin;
 * so one that stands inside a cell, as in 5", is a fault of its row and hides no other. Telling faults is
 * left to others.
 */
#include "model/plan_rows.h"

#include <string.h>

enum { ROWS_BUFFER = 512 << 10, ROW_SHOWN = 1024 };

void rows_start(RowReader *rows, PlanRead *read, void *from, ArenaExhausted *exhausted)
{
    *rows = (RowReader){.exhausted = exhausted, .read = read, .from = from, .room = ROWS_BUFFER, .line = 1};
    rows->arena = arena_new(exhausted);
    rows->buffer = arena_alloc(rows->arena, rows->room);
}

void rows_free(RowReader *rows)
{
    arena_free(rows->arena);
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

bool rows_ended(const RowReader *rows)
{
    return rows->ended && rows->at >= rows->length;
}

void rows_end(RowReader *rows)
{
    rows->ended = true;
    rows->at = rows->length;
}

/* ------------------------------------------------------------------ where a row ends */

typedef enum Ending {
    ENDING_FOUND,
    ENDING_AHEAD,     /* not in the buffer yet */
    ENDING_NO_CLOSING /* of a quote; the end is that of the line on which it was opened */
} Ending;

typedef struct RowEnd {
    Ending ending;
    size_t length;  /* of the row without its line end */
    uint32_t lines; /* that it fills */
    size_t opened;  /* NO_CLOSING: where the quote stands */
    bool too_long; /* NO_CLOSING: not within the bytes of a cell, so it is not known whether it is ever closed
                    */
} RowEnd;

static uint32_t newlines(const char *from, const char *end)
{
    uint32_t count = 0;
    while ((from = memchr(from, '\n', (size_t)(end - from)))) {
        count++;
        from++;
    }
    return count;
}

/* Behind the quote that closes the one at `open`; NULL: there is none before `end`. */
static const char *behind_quoted(const char *open, const char *end)
{
    const char *c = open + 1;
    while ((c = memchr(c, '"', (size_t)(end - c)))) {
        c++;
        if (c == end || *c != '"') return c;
        c++;
    }
    return NULL;
}

static RowEnd line_end_from(const RowReader *rows, const char *from, RowEnd end)
{
    const char *begin = rows->buffer + rows->at, *behind = rows->buffer + rows->length;
    const char *newline = memchr(from, '\n', (size_t)(behind - from));
    end.length = (size_t)((newline ? newline : behind) - begin);
    if (!newline && !rows->ended) end.ending = ENDING_AHEAD;
    return end;
}

/* A row with quotes in it: from cell to cell, as only their begins tell which quotes count. */
static RowEnd quoted_row_end(const RowReader *rows)
{
    const char *begin = rows->buffer + rows->at, *behind = rows->buffer + rows->length;
    RowEnd end = {.lines = 1};
    for (const char *c = begin; c < behind; c++) {
        if (*c == '"') {
            bool too_long = behind - c > ROW_CELL_LIMIT;
            const char *closed = behind_quoted(c, too_long ? c + ROW_CELL_LIMIT : behind);
            if (too_long && closed == c + ROW_CELL_LIMIT && *closed == '"') closed = NULL; /* a doubled one */
            if (!closed && (too_long || rows->ended)) {
                end.ending = ENDING_NO_CLOSING;
                end.opened = (size_t)(c - begin);
                end.too_long = too_long;
                return line_end_from(rows, c, end);
            }
            if (!closed) return (RowEnd){.ending = ENDING_AHEAD, .length = (size_t)(behind - begin)};
            end.lines += newlines(c, closed);
            c = closed;
        }
        while (c < behind && *c != ',' && *c != '\n') c++;
        if (c == behind || *c == '\n') return line_end_from(rows, c, end);
    }
    return line_end_from(rows, behind, end);
}

static RowEnd row_end(const RowReader *rows)
{
    const char *begin = rows->buffer + rows->at;
    RowEnd end = line_end_from(rows, begin, (RowEnd){.lines = 1});
    return memchr(begin, '"', end.length) ? quoted_row_end(rows) : end;
}

/* A row longer than the buffer: a larger one, and the old is given back. */
static bool grow(RowReader *rows)
{
    if (rows->ended || rows->room >= ROW_LIMIT) return false;
    Arena *arena = arena_new(rows->exhausted);
    char *larger = arena_alloc(arena, rows->room * 2);
    memcpy(larger, rows->buffer, rows->length);
    arena_free(rows->arena);
    rows->arena = arena;
    rows->buffer = larger;
    rows->room *= 2;
    fill(rows);
    return true;
}

/* ------------------------------------------------------------------ rows */

/* Passes over the rest of a row that was too long; false: it goes on in the next stretch. */
static bool skip_line(RowReader *rows)
{
    const char *from = rows->buffer + rows->at, *newline = memchr(from, '\n', rows->length - rows->at);
    rows->at = newline ? (size_t)(newline + 1 - rows->buffer) : rows->length;
    rows->line += newline != NULL;
    rows->skipping = !newline;
    return newline;
}

/* Its begin is enough to show where it stands. */
static void cut_too_long(RowReader *rows, Row *row)
{
    *row = (Row){{rows->buffer, ROW_SHOWN}, rows->line, ROW_TOO_LONG, 0};
    rows->line += newlines(rows->buffer, rows->buffer + rows->length);
    rows->at = rows->length;
    rows->skipping = true;
}

static void take(RowReader *rows, RowEnd end, Row *row)
{
    *row = (Row){.bytes = {rows->buffer + rows->at, end.length}, .line = rows->line};
    if (end.ending == ENDING_NO_CLOSING) {
        row->fault = end.too_long ? ROW_QUOTED_TOO_LONG : ROW_OPEN_QUOTE;
        row->fault_at = end.opened;
    }
    rows->at += end.length;
    rows->line += end.lines;
    if (rows->at == rows->length) return;
    rows->at++;
    if (end.length && row->bytes.at[end.length - 1] == '\r') row->bytes.length--;
}

bool rows_next(RowReader *rows, Row *row)
{
    if (rows->skipping && !skip_line(rows)) return false;
    while (rows->at < rows->length) {
        RowEnd end = row_end(rows);
        bool whole =
            rows->at + end.length < rows->length && (end.ending != ENDING_NO_CLOSING || end.too_long);
        if (rows->failed && !whole) { /* reading failed inside it */
            rows->at = rows->length;
            return false;
        }
        if (end.ending == ENDING_AHEAD) {
            if (rows->at > 0) return false; /* the rest comes with the next stretch */
            if (grow(rows)) continue;
            cut_too_long(rows, row);
            return true;
        }
        take(rows, end, row);
        if (row->bytes.length) return true;
    }
    return false;
}

/* ------------------------------------------------------------------ cells */

/* The end of the cell that begins at `at`, and what is wrong with it. */
static size_t cell_end(Slice row, size_t at, bool quoted, RowFault *fault, size_t *fault_at)
{
    const char *from = row.at + at, *behind = row.at + row.length;
    const char *comma;
    *fault_at = at;
    if (quoted) {
        const char *closed = behind_quoted(from, behind);
        if (!closed) *fault = ROW_OPEN_QUOTE;
        if (!closed || closed == behind) return row.length;
        if (*closed == ',') return (size_t)(closed - row.at);
        *fault = ROW_AFTER_QUOTE;
        *fault_at = (size_t)(closed - row.at);
        return *fault_at;
    }
    comma = memchr(from, ',', (size_t)(behind - from));
    size_t end = comma ? (size_t)(comma - row.at) : row.length;
    const char *stray = memchr(from, '"', end - at);
    if (stray) {
        *fault = ROW_STRAY_QUOTE;
        *fault_at = (size_t)(stray - row.at);
    }
    return end;
}

size_t row_cells(Slice row, Cell *cells, size_t room, RowFault *fault, size_t *fault_at)
{
    size_t count = 0;
    *fault = ROW_GOOD;
    for (size_t at = 0;; at++) {
        bool quoted = at < row.length && row.at[at] == '"';
        size_t end = cell_end(row, at, quoted, fault, fault_at);
        if (*fault == ROW_GOOD && end - at > ROW_CELL_LIMIT) *fault = ROW_CELL_TOO_LONG;
        if (count == room) {
            *fault = ROW_TOO_MANY_CELLS;
            *fault_at = at;
        }
        if (*fault != ROW_GOOD) return count;
        cells[count++] = (Cell){{row.at + at, end - at}, quoted};
        if (end >= row.length) return count;
        at = end;
    }
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static Slice trimmed(Slice text)
{
    while (text.length && is_blank(*text.at)) text = (Slice){text.at + 1, text.length - 1};
    while (text.length && is_blank(text.at[text.length - 1])) text.length--;
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
