/* Prints the rows of a CSV table for tests/outside/csv_python.py: the line, then the cells, each behind a
 * unit separator, and a record separator behind the row. A faulty row has only its line. */
#include "model/plan_rows.h"

#include <stdio.h>
#include <stdlib.h>

enum { ROOM = 64 };

static void exhausted(size_t wanted)
{
    (void)wanted;
    abort();
}

static ptrdiff_t give(void *from, char *to, size_t room)
{
    return (ptrdiff_t)fread(to, 1, room, from);
}

static void print(Arena *arena, const Row *row)
{
    Cell cells[ROOM];
    RowFault fault = row->fault;
    size_t fault_at, count = 0;
    if (fault == ROW_GOOD) count = row_cells(row->bytes, cells, ROOM, &fault, &fault_at);
    printf("%u", row->line);
    for (size_t i = 0; fault == ROW_GOOD && i < count; i++) {
        Slice text = cell_text(arena, &cells[i]);
        putchar('\x1f');
        fwrite(text.at, 1, text.length, stdout);
    }
    putchar('\x1e');
}

int main(void)
{
    Arena *arena = arena_new(exhausted);
    RowReader rows;
    Row row;
    rows_start(&rows, give, stdin, exhausted);
    while (!rows_ended(&rows)) {
        rows_next_stretch(&rows);
        while (rows_next(&rows, &row)) print(arena, &row);
    }
    rows_free(&rows);
    arena_free(arena);
    return 0;
}
