/* Figures as a table: for people, as CSV, as JSON. One shape for every command that computes.
 *
 * The caller says the columns, adds rows and notes; nothing here computes. Names in CSV and JSON are the
 * columns' keys, with the unit where there is one: `share_pct`.
 */
#ifndef WRITE_TABLE_H
#define WRITE_TABLE_H

#include "base/buffer.h"

typedef struct TableColumn {
    const char *key;   /* "place", "share_pct" */
    const char *title; /* "place", "share %" */
    bool number;       /* stands right */
} TableColumn;

typedef enum TableFigureKind { TABLE_NONE, TABLE_TEXT, TABLE_INTEGER, TABLE_REAL, TABLE_DAY } TableFigureKind;

typedef struct TableFigure {
    TableFigureKind kind;
    Slice text;
    int64_t integer;
    double real;
    int places; /* REAL: digits behind the point */
    Day day;
} TableFigure;

static inline TableFigure figure_none(void)
{
    return (TableFigure){TABLE_NONE, {"", 0}, 0, 0, 0, 0};
}
TableFigure figure_text(const char *text);
TableFigure figure_slice(Slice text);
TableFigure figure_integer(int64_t value);
TableFigure figure_real(double value, int places);
TableFigure figure_day(Day day);

typedef struct Table Table;

/* `command` and `title` head it: "load", "How full places are". */
Table *table_new(Arena *arena, const char *command, const char *title, const TableColumn *columns,
                 size_t count);
void table_row(Table *table, const TableFigure *cells); /* as many as columns */
void table_note(Table *table, const char *text); /* stands below: what is unknown, how it was reckoned */
void table_line(Table *table, const char *text); /* stands above, for people only: a picture, a total */

typedef void TableWriter(Buffer *out, const Table *table);
TableWriter table_write_text;
TableWriter table_write_csv;
TableWriter table_write_json; /* version 1 */

#endif
