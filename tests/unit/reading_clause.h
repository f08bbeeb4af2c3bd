/* One clause, read as a file would be: for the tests of readings. */
#ifndef TESTS_UNIT_READING_CLAUSE_H
#define TESTS_UNIT_READING_CLAUSE_H

#include "check.h"

#include "model/reading.h"
#include "syntax/read.h"

typedef struct Bench {
    Arena *arena;
    Names *names;
} Bench;

typedef struct Outcome {
    const Field *field;
    const Reading *reading; /* NULL: refused */
    const Note *note;       /* the first one */
    size_t notes;
    bool parsed; /* the tree had a clause of a field that the block knows */
} Outcome;

static inline Bench bench_of(void **state)
{
    Arena *arena = *state;
    return (Bench){arena, names_new(arena)};
}

static inline BlockKind bench_block(const char *name)
{
    const BlockType *type = block_find(slice_of(name));
    if (!type) fail_msg("no block '%s'", name);
    return type->kind;
}

/* Reads `clause` as the first clause of a block. */
static inline Outcome bench_read(const Bench *bench, const char *block, const char *clause)
{
    Notes *notes = notes_new(bench->arena, 10);
    size_t length = strlen(clause);
    Text *text =
        text_new(bench->arena, "clause", arena_copy(bench->arena, clause, length), (uint32_t)length, 1);
    const Item *item = syntax_read(bench->arena, text, notes)->first;
    Outcome outcome = {0};
    bool clear =
        item && (item->kind == ITEM_CLAUSE || item->kind == ITEM_CONDITION) && notes_total(notes) == 0;
    if (clear) outcome.field = field_find(item->field, bench_block(block));
    if (outcome.field) {
        ReadContext context = {bench->arena, bench->names, notes, NULL};
        outcome.parsed = true;
        outcome.reading = reading_make(&context, outcome.field, item, "subject");
    }
    Note *const *sorted = notes_sorted(notes, &outcome.notes);
    outcome.note = outcome.notes ? sorted[0] : NULL;
    return outcome;
}

/* The same, which must be understood. */
static inline const Reading *bench_accept(const Bench *bench, const char *block, const char *clause)
{
    Outcome outcome = bench_read(bench, block, clause);
    if (!outcome.reading)
        fail_msg("%s: %s: %s", block, clause, outcome.note ? outcome.note->message : "not even a clause");
    assert_int_equal(outcome.notes, 0);
    return outcome.reading;
}

#endif
