/* Rows of tables as batches: see diff_rows.h. */
#include "analysis/diff_rows.h"

typedef struct Weight {
    uint64_t of[2];
    bool there[2];
} Weight;

/* What a cell weighed when it was met last. */
typedef struct Memory {
    const Reading *reading;
    uint32_t generation;
    uint64_t weight;
} Memory;

enum { MEMORIES = 4096 };

struct BatchRows {
    Arena *arena;
    const Nursery *nurseries[2];
    VEC(Weight) weights; /* by the number of a batch's name */
    Memory memories[MEMORIES];
    Names *values;                 /* field, unit and value of cells that were kept */
    VEC(const Reading *) readings; /* by the number of a value */
    VEC(const Block *) blocks[2];
};

BatchRows *batch_rows_new(Arena *arena, const Nursery *before, const Nursery *after)
{
    BatchRows *rows = ARENA_NEW(arena, BatchRows);
    rows->arena = arena;
    rows->nurseries[0] = before;
    rows->nurseries[1] = after;
    rows->values = names_new(arena);
    return rows;
}

static Weight *weight_of(BatchRows *rows, int side, Slice id)
{
    Name name = names_intern(rows->nurseries[side]->names, id);
    while (rows->weights.count <= name->number) VEC_PUSH(rows->arena, &rows->weights, (Weight){0});
    return &rows->weights.at[name->number];
}

/* ------------------------------------------------------------------ weighing */

static uint64_t weight_of_text(BatchRows *rows, const Field *field, const char *text)
{
    ArenaMark mark = arena_mark(rows->arena);
    uint64_t weight = slice_hash(slice_of(arena_print(rows->arena, "%s\t%s", field->spelling, text)));
    arena_release(rows->arena, mark);
    return weight;
}

static uint64_t weigh_cell(BatchRows *rows, const Plan *plan, size_t row, const Field *field,
                           const Reading *reading)
{
    if (reading == &reading_spoiled) {
        Slice written = span_slice(plan_place(plan, row, field));
        return weight_of_text(rows, field, arena_copy(rows->arena, written.at, written.length));
    }
    Memory *memory = &rows->memories[((uintptr_t)reading >> 4) % MEMORIES];
    if (memory->reading == reading && memory->generation == plan->generation) return memory->weight;
    ArenaMark mark = arena_mark(rows->arena);
    *memory =
        (Memory){reading, plan->generation, weight_of_text(rows, field, reading_key(rows->arena, reading))};
    arena_release(rows->arena, mark);
    return memory->weight;
}

void batch_rows_weigh(BatchRows *rows, int side, const Plan *plan)
{
    for (size_t row = 0; row < plan->rows; row++) {
        Weight *weight = weight_of(rows, side, plan->ids[row]);
        weight->there[side] = true;
        for (size_t column = 0; column < plan->column_count; column++) {
            const Reading *reading = plan->cells[column][row];
            /* A sum: the order of columns means nothing. */
            if (reading) weight->of[side] += weigh_cell(rows, plan, row, plan->columns[column], reading);
        }
    }
}

/* ------------------------------------------------------------------ taking */

/* Cells that say the same in the same unit share one copy. */
static const Reading *kept_reading(BatchRows *rows, const Field *field, const Reading *reading)
{
    if (reading == &reading_spoiled) return NULL;
    ArenaMark mark = arena_mark(rows->arena);
    const char *value =
        arena_print(rows->arena, "%s\t%s\t%s", field->spelling, reading->unit ? reading->unit->spelling : "",
                    reading_key(rows->arena, reading));
    Name known = names_find(rows->values, slice_of(value));
    if (known) {
        arena_release(rows->arena, mark);
        return rows->readings.at[known->number];
    }
    names_intern(rows->values, slice_of(value));
    VEC_PUSH(rows->arena, &rows->readings, reading_copy(rows->arena, reading));
    return rows->readings.at[rows->readings.count - 1];
}

static Item *item_at(BatchRows *rows, Span place)
{
    Item *item = ARENA_NEW(rows->arena, Item);
    item->field_span = item->value.span = item->span = place;
    return item;
}

static void add_clauses(BatchRows *rows, const Plan *plan, size_t row, Block *block)
{
    Clause **end = &block->clauses;
    for (size_t column = 0; column < plan->column_count; column++) {
        const Field *field = plan->columns[column];
        const Reading *reading = plan->cells[column][row];
        if (!reading) continue;
        Clause *clause = ARENA_NEW(rows->arena, Clause);
        clause->field = field;
        clause->reading = kept_reading(rows, field, reading);
        clause->item = item_at(rows, plan_place(plan, row, field));
        clause->home = block;
        *end = clause;
        end = &clause->next;
    }
}

void batch_rows_take(BatchRows *rows, int side, const Plan *plan)
{
    for (size_t row = 0; row < plan->rows; row++) {
        const Weight *weight = weight_of(rows, side, plan->ids[row]);
        bool both = weight->there[0] && weight->there[1];
        if (both && weight->of[0] == weight->of[1]) continue;
        Block *block = ARENA_NEW(rows->arena, Block);
        block->type = &block_types[BLOCK_BATCH];
        block->name = names_intern(rows->nurseries[side]->names, plan->ids[row]);
        block->id = block->name->text;
        block->name_span = plan_place(plan, row, NULL);
        block->item = item_at(rows, block->name_span);
        /* What came or went needs its name only, unless it may live on as a block. */
        if (both || rows->nurseries[!side]->lists[BLOCK_BATCH].count) add_clauses(rows, plan, row, block);
        VEC_PUSH(rows->arena, &rows->blocks[side], block);
    }
}

size_t batch_rows_blocks(const BatchRows *rows, int side, const Block *const **blocks)
{
    *blocks = rows->blocks[side].at;
    return rows->blocks[side].count;
}
