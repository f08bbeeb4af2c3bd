/* Rows of a CSV table (RFC 4180), a stretch of them at a time. Private to src/model.
 *
 * Bytes come through a callback into one buffer that is used again and again; a row's bytes stay where they
 * are until the next stretch is begun. Lines are counted, so that every row knows where it stood. What cells
 * mean is left to others.
 */
#ifndef MODEL_PLAN_ROWS_H
#define MODEL_PLAN_ROWS_H

#include "model/plan.h"

enum {
    ROW_CELL_LIMIT = 65536, /* bytes of a cell, its quotes too */
    ROW_LIMIT = 64 << 20    /* bytes of a row */
};

typedef enum RowFault {
    ROW_GOOD,
    ROW_AFTER_QUOTE,
    ROW_OPEN_QUOTE,
    ROW_STRAY_QUOTE,
    ROW_CELL_TOO_LONG,
    ROW_QUOTED_TOO_LONG, /* or its quote is never closed: that cannot be told */
    ROW_TOO_LONG,
    ROW_TOO_MANY_CELLS,
    ROW_FAULTS
} RowFault;

typedef struct Row {
    Slice bytes; /* without its line end */
    uint32_t line;
    RowFault fault;  /* it has no end of its own; it was cut at that of a line */
    size_t fault_at; /* an offset in its bytes */
} Row;

typedef struct RowReader {
    Arena *arena; /* of the buffer */
    ArenaExhausted *exhausted;
    PlanRead *read;
    void *from;
    char *buffer;
    size_t room, length, at;
    uint32_t line;
    bool ended, failed;
    bool skipping; /* the rest of a row that was too long */
} RowReader;

void rows_start(RowReader *rows, PlanRead *read, void *from, ArenaExhausted *exhausted);
void rows_free(RowReader *rows);
/* Makes room for a new stretch: what was given before is gone. */
void rows_next_stretch(RowReader *rows);
/* The next row that is whole in the buffer; false at the end of the stretch or table. Empty lines are passed
 * over. A quote that is never closed costs its own line only: the next row is the next line. */
bool rows_next(RowReader *rows, Row *row);
bool rows_ended(const RowReader *rows); /* nothing is left */
void rows_end(RowReader *rows);         /* the rest is not wanted */

/* One cell of a row. */
typedef struct Cell {
    Slice bytes; /* with its quotes */
    bool quoted;
} Cell;

/* Cuts a row into at most `room` cells. Sets *fault and, with one, *fault_at (an offset in the row). */
size_t row_cells(Slice row, Cell *cells, size_t room, RowFault *fault, size_t *fault_at);
/* What a cell says: without quotes and blanks around it, doubled quotes single. Copies only where it must. */
Slice cell_text(Arena *arena, const Cell *cell);

#endif
