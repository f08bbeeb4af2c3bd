/* A table that is being read, for the files that read it. Private to src/model.
 *
 * plan_table.c goes from row to row, plan_header.c makes columns of the first, plan_cell.c readings of cells.
 */
#ifndef MODEL_PLAN_TABLE_H
#define MODEL_PLAN_TABLE_H

#include "model/plan_ids.h"
#include "model/plan_rows.h"

/* What a cell's text was found to mean. */
typedef struct Known {
    uint64_t hash;
    Slice text;
    const Reading *reading; /* NULL: a free place */
} Known;

typedef struct Column {
    const Field *field; /* NULL: the id, or a column that is passed over */
    const Unit *unit;   /* of the heading, or NULL */
    bool spoiled;       /* its heading has a fault, which was told: no cell of it is read */
    Known *known;       /* open-addressed, in the table's memory; NULL: nothing yet */
    size_t known_count, known_room;
    const Reading **cells; /* of the stretch */
} Column;

struct PlanTable {
    Nursery *nursery;
    const char *name;
    ArenaExhausted *exhausted;
    Arena *memory;  /* readings that are remembered; made anew when it has grown */
    Arena *scratch; /* of one row */
    ArenaMark clean;
    RowReader rows;
    Column *columns;
    size_t column_count, id_column;
    Cell *cells; /* of one row, as many as columns */
    PlanIds ids;
    bool has_header;
    /* the stretch */
    Plan plan;
    Row *stretch_rows;
    const Text **row_texts; /* made when a place is asked for */
    Slice *stretch_ids;
    const Block **records;
    size_t texts_made;
};

Span table_place(const Plan *plan, size_t row, const Field *field);
/* A row as a text that lives as long as the nursery; `known`, unless NULL, remembers it. */
const Text *table_text(PlanTable *table, const Row *row, const Text **known);
/* An error at a part of a row. */
Note *table_fault(PlanTable *table, const Row *row, Slice part, const char *name, const char *message);
const char *row_fault_text(RowFault fault);

/* Reads the first row. False: the table cannot be read, which was told, save when the bytes could not be had.
 */
bool table_read_header(PlanTable *table);

/* The reading of a cell in row `at` of the stretch; NULL for an empty one, &reading_spoiled after telling
 * what is wrong with it. */
const Reading *table_read_cell(PlanTable *table, Column *column, size_t at, const Cell *cell, Slice id);
/* Forgets what was remembered when it has grown large; tells whether it did. */
bool table_forget_when_large(PlanTable *table);
/* So much has been read in this stretch that it had better end. */
bool table_is_full(const PlanTable *table);

#endif
