/* Batches as columns.
 *
 * Batches written in blocks and batches that come as CSV fill the same arrays, so that a check runs down a
 * column and does not know where the rows came from. A long file comes in stretches of rows; a stretch lives
 * until the next is asked for.
 */
#ifndef MODEL_PLAN_H
#define MODEL_PLAN_H

#include "model/nursery.h"

enum { PLAN_ROWS = 2048, PLAN_COLUMNS = 1000 };

typedef struct PlanSource PlanSource; /* where rows come from, and how their places are told */

typedef struct Plan {
    size_t rows;
    size_t column_count;
    const Field *const *columns;
    int16_t column_of[FIELD_COUNT_LIMIT]; /* by Field.number; -1: no such column */
    const Reading **const
        *cells;       /* [column][row]; NULL unstated, &reading_spoiled when it could not be read */
    const Slice *ids; /* of each batch */
    const Block *const *records; /* of each batch, or NULL; the array is NULL when there are none at all */
    const Block *const *blocks;  /* of each batch written as a block; NULL for a table */
    uint32_t generation;         /* readings of an earlier generation are gone */
    PlanSource *source;
} Plan;

/* The reading a batch states for a field; NULL. */
static inline const Reading *plan_cell(const Plan *plan, size_t row, const Field *field)
{
    int16_t column = plan->column_of[field->number];
    return column < 0 ? NULL : plan->cells[column][row];
}

/* Where the value of a field stands in a row, or the batch's id when the row does not state it. Lives as long
 * as the nursery. */
Span plan_place(const Plan *plan, size_t row, const Field *field);

/* All batches of the nursery's blocks as one stretch. */
const Plan *plan_of_blocks(Nursery *nursery);

/* ------------------------------------------------------------------ tables */

/* Gives up to `room` bytes; 0 at the end, -1 when it cannot be read (the reader reports it). */
typedef ptrdiff_t PlanRead(void *from, char *to, size_t room);

typedef struct PlanTable PlanTable;
/* `exhausted`: as for arena_new; a table has an arena of its own for what is used again and again. */
PlanTable *plan_table_open(Nursery *nursery, const char *name, PlanRead *read, void *from,
                           ArenaExhausted *exhausted);
/* The next stretch; NULL at the end. What cannot be read is noted at its row and column. */
const Plan *plan_table_next(PlanTable *table);
bool plan_table_failed(const PlanTable *table); /* the bytes could not be read */
void plan_table_close(PlanTable *table);

#endif
