/* Batches that stand in tables, for the comparison of two nurseries.
 *
 * A season may have a hundred thousand of them, in any order. So tables are read twice: first each row is
 * only weighed, by what its cells mean; then rows whose weight is not the same on both sides become batches
 * like those written in blocks. What is kept grows with the rows that differ, and by some bytes with each
 * row.
 */
#ifndef ANALYSIS_DIFF_ROWS_H
#define ANALYSIS_DIFF_ROWS_H

#include "base/vec.h"
#include "model/plan.h"

typedef struct BatchRows BatchRows;

BatchRows *batch_rows_new(Arena *arena, const Nursery *before, const Nursery *after);
/* `side` is 0 for the nursery before, 1 for the one after. All rows of both sides are weighed before any is
 * taken. */
void batch_rows_weigh(BatchRows *rows, int side, const Plan *plan);
void batch_rows_take(BatchRows *rows, int side, const Plan *plan);
/* The batches that differ; gives how many. */
size_t batch_rows_blocks(const BatchRows *rows, int side, const Block *const **blocks);

#endif
