/* The size of a batch: see batch_size.h. */
#include "analysis/batch_size.h"

#include "model/limit.h"

int64_t container_cells(const Block *container)
{
    const Clause *clause = container ? block_clause(container, FIELD_ROW(CELLS)) : NULL;
    if (!clause || !clause->reading || !clause->reading->numbers.count) return 0;
    return number_floor(clause->reading->numbers.at[0].low.at);
}

static bool one_whole(const Reading *reading, int64_t *value)
{
    if (!reading || reading == &reading_spoiled || reading->numbers.count != 1 ||
        !interval_is_point(reading->numbers.at[0]))
        return false;
    *value = number_ceil(reading->numbers.at[0].low.at);
    return true;
}

static bool whole(const Subject *batch, const Field *field, int64_t *value)
{
    return one_whole(plan_cell(batch->plan, batch->row, field), value);
}

/* What the batch says, else what its protocol leaves no choice of, else one. */
static int64_t per_cell(const Subject *batch)
{
    int64_t many = 1;
    if (!whole(batch, FIELD_ROW(PER_CELL), &many) && batch->protocol) {
        const Clause *limit = protocol_limit(batch->protocol, FIELD_ROW(PER_CELL));
        if (limit && limit->reading && limit_is_one_value(limit->reading)) one_whole(limit->reading, &many);
    }
    return many < 1 ? 1 : many;
}

BatchSize batch_size(const Subject *batch)
{
    BatchSize size = {.cells = container_cells(batch->context->container)};
    size.has_count = whole(batch, FIELD_ROW(COUNT_OF_BATCH), &size.count);
    size.has_trays = whole(batch, FIELD_ROW(TRAYS), &size.trays);
    int64_t many = per_cell(batch);
    size.each = size.cells && many > INT64_MAX / 2 / size.cells ? 0 : size.cells * many;
    if (size.has_trays || !size.has_count || !size.each) return size;
    size.trays = (size.count + size.each - 1) / size.each;
    size.has_trays = true;
    return size;
}
