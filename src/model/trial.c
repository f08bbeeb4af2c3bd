/* Trials from their blocks: see trial.h. */
#include "model/trial.h"

#include "base/vec.h"

/* ------------------------------------------------------------------ from blocks */

static const Reading *said(const Block *block, const Field *field)
{
    const Clause *clause = block_clause(block, field);
    return clause ? clause->reading : NULL;
}

static Name word_of(const Reading *reading)
{
    return reading && reading->word_count ? reading->words[0].name : NULL;
}

/* `at least 60` is 60, and so is `60`. */
static Number least_of(const Reading *reading)
{
    if (!reading || !reading->numbers.count || reading->numbers.at[0].low.unbounded) return NUMBER(0);
    return reading->numbers.at[0].low.at;
}

static Trial trial_of(Arena *arena, const Block *block)
{
    VEC(const Block *) ways = {0};
    Trial trial = {.block = block,
                   .batch = word_of(said(block, FIELD_ROW(BATCH_OF_TRIAL))),
                   .measure = word_of(said(block, FIELD_ROW(MEASURE_OF_TRIAL))),
                   .read = said(block, FIELD_ROW(READ)),
                   .needs = number_ceil(least_of(said(block, FIELD_ROW(NEEDS_OF_TRIAL)))),
                   .difference = least_of(said(block, FIELD_ROW(DIFFERENCE)))};
    for (const Block *way = block->blocks; way; way = way->next) {
        VEC_PUSH(arena, &ways, way);
        for (const Clause *clause = way->clauses; clause; clause = clause->next)
            if (role_judges(clause->field->role)) fieldset_add(&trial.fields, clause->field);
    }
    trial.ways = ways.at;
    trial.way_count = ways.count;
    return trial;
}

/* ------------------------------------------------------------------ by batch */

typedef VEC(TriedFields) TriedList;

static void add_tried(Arena *arena, TriedList *list, const Trial *trial)
{
    TriedFields *row = NULL;
    for (size_t i = 0; i < list->count && !row; i++)
        if (list->at[i].batch == trial->batch) row = &list->at[i];
    if (!row) {
        row = VEC_ADD(arena, list);
        row->batch = trial->batch;
    }
    for (size_t i = 0; i < sizeof row->fields.bits / sizeof *row->fields.bits; i++)
        row->fields.bits[i] |= trial->fields.bits[i];
}

Trials trials_of(const Nursery *nursery)
{
    const BlockList *blocks = &nursery->lists[BLOCK_TRIAL];
    Trial *list = ARENA_ARRAY(nursery->arena, Trial, blocks->count);
    TriedList tried = {0};
    for (size_t i = 0; i < blocks->count; i++) {
        list[i] = trial_of(nursery->arena, blocks->at[i]);
        if (list[i].batch) add_tried(nursery->arena, &tried, &list[i]);
    }
    return (Trials){nursery->names, list, blocks->count, tried.at, tried.count};
}

const Trial *trials_called(const Trials *trials, Name name)
{
    for (size_t i = 0; i < trials->count; i++)
        if (trials->at[i].block->name == name) return &trials->at[i];
    return NULL;
}

const FieldSet *trials_tried(const Trials *trials, Slice batch)
{
    if (!trials->tried_count) return NULL;
    Name name = names_find(trials->names, batch);
    for (size_t i = 0; name && i < trials->tried_count; i++)
        if (trials->tried[i].batch == name) return &trials->tried[i].fields;
    return NULL;
}

const Block *trial_way(const Trial *trial, Name name)
{
    for (size_t i = 0; i < trial->way_count; i++)
        if (trial->ways[i]->name == name) return trial->ways[i];
    return NULL;
}
