/* Batches written as blocks, as columns; and where in its text a batch's value stands. */
#include "model/plan.h"

#include "base/vec.h"
#include "model/plan_table.h"

Span plan_place(const Plan *plan, size_t row, const Field *field)
{
    if (!plan->blocks) return table_place(plan, row, field);
    const Block *block = plan->blocks[row];
    const Clause *clause = field ? block_clause(block, field) : NULL;
    return clause ? clause_value_place(clause) : block->name_span;
}

typedef VEC(const Field *) FieldList;

static void list_fields(Nursery *nursery, Plan *plan, FieldList *fields)
{
    const BlockList *batches = &nursery->lists[BLOCK_BATCH];
    for (size_t i = 0; i < FIELD_COUNT_LIMIT; i++) plan->column_of[i] = -1;
    for (size_t row = 0; row < batches->count; row++)
        for (const Clause *clause = batches->at[row]->clauses; clause; clause = clause->next) {
            if (plan->column_of[clause->field->number] >= 0) continue;
            plan->column_of[clause->field->number] = (int16_t)fields->count;
            VEC_PUSH(nursery->arena, fields, clause->field);
        }
}

static const Reading *cell_of(Nursery *nursery, const Block *batch, const Field *field)
{
    const Clause *clause = block_clause(batch, field);
    if (!clause) return NULL;
    const Reading *reading =
        (field->flags & FIELD_REPEATS) ? block_reading(nursery->arena, batch, field) : clause->reading;
    return reading && nursery_has_named(nursery, field, reading) ? reading : &reading_spoiled;
}

const Plan *plan_of_blocks(Nursery *nursery)
{
    const BlockList *batches = &nursery->lists[BLOCK_BATCH];
    Plan *plan = ARENA_NEW(nursery->arena, Plan);
    FieldList fields = {0};
    list_fields(nursery, plan, &fields);
    const Reading ***cells = ARENA_ARRAY(nursery->arena, const Reading **, fields.count);
    for (size_t column = 0; column < fields.count; column++) {
        cells[column] = ARENA_ARRAY(nursery->arena, const Reading *, batches->count);
        for (size_t row = 0; row < batches->count; row++)
            cells[column][row] = cell_of(nursery, batches->at[row], fields.at[column]);
    }
    Slice *ids = ARENA_ARRAY(nursery->arena, Slice, batches->count);
    const Block **records = ARENA_ARRAY(nursery->arena, const Block *, batches->count);
    const Block **blocks = ARENA_ARRAY(nursery->arena, const Block *, batches->count);
    for (size_t row = 0; row < batches->count; row++) {
        ids[row] = name_slice(batches->at[row]->name);
        records[row] = nursery_find(nursery, BLOCK_RECORD, batches->at[row]->name);
        blocks[row] = batches->at[row];
    }
    plan->rows = batches->count;
    plan->column_count = fields.count;
    plan->columns = fields.at;
    plan->cells = cells;
    plan->ids = ids;
    plan->records = records;
    plan->blocks = blocks;
    plan->generation = ++nursery->generations;
    return plan;
}
