/* Counting citations: see sourcing.h. */
#include "analysis/sourcing.h"

#include "base/vec.h"

#include <stdlib.h>

typedef struct Count {
    const Nursery *nursery;
    Arena *arena;
    VEC(SourcedBlock) blocks;
    VEC(const Clause *) unsourced;
} Count;

/* ------------------------------------------------------------------ one figure */

static bool has_amount(const Reading *reading)
{
    switch (reading->type) {
    case TYPE_QUANTITY:
    case TYPE_RATED:
    case TYPE_DILUTION: return reading->numbers.count > 0;
    case TYPE_SIZE: return reading->side_count > 0;
    case TYPE_WINDOW: return reading->window_count > 0;
    case TYPE_LATEST: return reading->window_count > 0 || reading->latest_day;
    case TYPE_LASTS: return reading->length == LENGTH_DAYS || reading->length == LENGTH_WINDOW;
    case TYPE_DOSE: return reading->dose_count > 0;
    case TYPE_MIX: return reading->mix_count > 1;
    default: return false;
    }
}

static bool is_figure(const Clause *clause)
{
    Role role = clause->field->role;
    bool told = role == ROLE_INSTRUCTION || role == ROLE_GATE || role == ROLE_PROMISE || role == ROLE_DUTY ||
                role == ROLE_EVIDENCE;
    return told && clause->reading && !clause->reading->none && has_amount(clause->reading);
}

static Basis basis_of(const Nursery *nursery, Slice key)
{
    if (slice_is(key, "trade")) return BASIS_TRADE;
    if (slice_is(key, "memory")) return BASIS_MEMORY;
    if (slice_is(key, "ours")) return BASIS_OURS;
    Name name = names_find(nursery->names, key);
    const Block *source = name ? nursery_find(nursery, BLOCK_SOURCE, name) : NULL;
    if (!source) return BASIS_NONE; /* an unknown key was reported */
    return source->second_hand ? BASIS_SECOND_HAND : BASIS_SEEN;
}

Basis sourcing_basis(const Nursery *nursery, const Clause *clause)
{
    Basis best = BASIS_NONE;
    for (const Citation *citation = clause->item->citations; citation; citation = citation->next) {
        Basis basis = basis_of(nursery, citation->key);
        if (basis < best) best = basis;
    }
    return best;
}

/* ------------------------------------------------------------------ all of them */

/* As deep as blocks of the language go: protocol, stage, task, act. */
static void count_block(Count *count, const Block *block, SourcedBlock *sourced)
{
    for (const Clause *clause = block->clauses; clause; clause = clause->next) {
        if (!is_figure(clause)) continue;
        Basis basis = sourcing_basis(count->nursery, clause);
        sourced->figures++;
        sourced->resting[basis]++;
        if (basis == BASIS_NONE) VEC_PUSH(count->arena, &count->unsourced, clause);
    }
    for (const Block *inner = block->blocks; inner; inner = inner->next) count_block(count, inner, sourced);
}

/* The least sure first: by the share of none, then of memory. */
static int by_weakness(const void *a, const void *b)
{
    const SourcedBlock *x = a, *y = b;
    for (int basis = BASIS_NONE; basis >= BASIS_MEMORY; basis--) {
        uint64_t first = (uint64_t)x->resting[basis] * y->figures,
                 second = (uint64_t)y->resting[basis] * x->figures;
        if (first != second) return first > second ? -1 : 1;
    }
    return slice_compare(slice_of(x->block->id), slice_of(y->block->id));
}

static int by_place(const void *a, const void *b)
{
    const Span x = (*(const Clause *const *)a)->item->span, y = (*(const Clause *const *)b)->item->span;
    int order = slice_compare(slice_of(x.text->name), slice_of(y.text->name));
    return order ? order : x.begin < y.begin ? -1 : x.begin > y.begin;
}

Sourcing sourcing_of(Arena *arena, const Nursery *nursery)
{
    static const BlockKind kinds[] = {BLOCK_PROTOCOL, BLOCK_PRACTICE};
    Count count = {.nursery = nursery, .arena = arena};
    SourcedBlock all = {0};
    for (size_t kind = 0; kind < sizeof kinds / sizeof *kinds; kind++)
        for (size_t i = 0; i < nursery->lists[kinds[kind]].count; i++) {
            SourcedBlock sourced = {.block = nursery->lists[kinds[kind]].at[i]};
            if (sourced.block->built_in) continue;
            count_block(&count, sourced.block, &sourced);
            if (!sourced.figures) continue;
            VEC_PUSH(arena, &count.blocks, sourced);
            all.figures += sourced.figures;
            for (int basis = 0; basis < BASES; basis++) all.resting[basis] += sourced.resting[basis];
        }
    if (count.blocks.count) qsort(count.blocks.at, count.blocks.count, sizeof *count.blocks.at, by_weakness);
    if (count.unsourced.count)
        qsort(count.unsourced.at, count.unsourced.count, sizeof *count.unsourced.at, by_place);
    return (Sourcing){count.blocks.at, count.blocks.count, all, count.unsourced.at, count.unsourced.count};
}
