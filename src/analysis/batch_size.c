/* The size of a batch: see batch_size.h. */
#include "analysis/batch_size.h"

int64_t container_cells(const Block *container)
{
    const Clause *clause = container ? block_clause(container, FIELD_ROW(CELLS)) : NULL;
    if (!clause || !clause->reading || !clause->reading->numbers.count) return 0;
    return number_floor(clause->reading->numbers.at[0].low.at);
}

static bool whole(const Subject *batch, const Field *field, int64_t *value)
{
    const Reading *reading = plan_cell(batch->plan, batch->row, field);
    if (!reading || reading == &reading_spoiled || reading->numbers.count != 1 ||
        !interval_is_point(reading->numbers.at[0]))
        return false;
    *value = number_ceil(reading->numbers.at[0].low.at);
    return true;
}

BatchSize batch_size(const Subject *batch)
{
    BatchSize size = {.cells = container_cells(batch->context->container)};
    size.has_count = whole(batch, FIELD_ROW(COUNT_OF_BATCH), &size.count);
    size.has_trays = whole(batch, FIELD_ROW(TRAYS), &size.trays);
    if (size.has_trays || !size.has_count || !size.cells) return size;
    size.trays = (size.count + size.cells - 1) / size.cells;
    size.has_trays = true;
    return size;
}
