/* Which block of one side is which of the other: by kind and name; by an old name; and what is left over,
 * where that can be said, by likeness.
 *
 * Given two lists, makes pairs in which one side may be missing. Seen the other way round in time the pairs
 * are the same: claims of old names and guesses are taken in an order that does not know which side is which.
 */
#include "analysis/diff_work.h"

#include <stdlib.h>

enum {
    LIKE = 600,         /* thousandths that make a guess */
    LIKENESSES = 40000, /* how many pairs are looked at for one; with more nothing is guessed */
    CLAIMED = 1001      /* above all likeness */
};

/* ------------------------------------------------------------------ by name */

typedef struct Placed {
    const Block *block;
    size_t index; /* blocks of one kind and name, or without one, are told apart by their order */
} Placed;
typedef VEC(Placed) PlacedList;

static uint32_t number_of(Name name)
{
    return name ? name->number + 1 : 0;
}

static int by_identity(const Block *a, const Block *b)
{
    if (a->type != b->type) return a->type->kind < b->type->kind ? -1 : 1;
    uint32_t x = number_of(a->name), y = number_of(b->name);
    return x < y ? -1 : x > y;
}

static int by_identity_and_place(const void *a, const void *b)
{
    const Placed *x = a, *y = b;
    int order = by_identity(x->block, y->block);
    return order ? order : x->index < y->index ? -1 : x->index > y->index;
}

static PlacedList placed(Arena *arena, BlockVec blocks)
{
    PlacedList list = {0};
    for (size_t i = 0; i < blocks.count; i++) VEC_PUSH(arena, &list, ((Placed){blocks.at[i], i}));
    if (list.count) qsort(list.at, list.count, sizeof *list.at, by_identity_and_place);
    return list;
}

static Pairs pairs_by_name(Arena *arena, BlockVec before, BlockVec after)
{
    Pairs pairs = {0};
    PlacedList old = placed(arena, before), new = placed(arena, after);
    size_t i = 0, k = 0;
    while (i < old.count || k < new.count) {
        int order = i == old.count ? 1 : k == new.count ? -1 : by_identity(old.at[i].block, new.at[k].block);
        Pair pair = {order <= 0 ? old.at[i].block : NULL, order >= 0 ? new.at[k].block : NULL, false};
        VEC_PUSH(arena, &pairs, pair);
        i += order <= 0;
        k += order >= 0;
    }
    return pairs;
}

/* ------------------------------------------------------------------ candidates */

/* Two half pairs that may be one. */
typedef struct Candidate {
    size_t gone, new;
    unsigned score;
    const Block *first, *second; /* both blocks in the order of their names */
} Candidate;
typedef VEC(Candidate) Candidates;

static Candidate candidate(const Pairs *pairs, size_t gone, size_t new, unsigned score)
{
    const Block *a = pairs->at[gone].before, *b = pairs->at[new].after;
    bool swapped = slice_compare(name_slice(a->name), name_slice(b->name)) > 0;
    return (Candidate){gone, new, score, swapped ? b : a, swapped ? a : b};
}

static int by_score(const void *a, const void *b)
{
    const Candidate *x = a, *y = b;
    if (x->score != y->score) return x->score > y->score ? -1 : 1;
    int order = slice_compare(name_slice(x->first->name), name_slice(y->first->name));
    return order ? order : slice_compare(name_slice(x->second->name), name_slice(y->second->name));
}

typedef VEC(size_t) IndexList;

/* The half pairs of one side, in the order in which the pairs are: by kind, then by name. */
static IndexList halves(Arena *arena, const Pairs *pairs, bool gone)
{
    IndexList list = {0};
    for (size_t i = 0; i < pairs->count; i++)
        if (gone ? !pairs->at[i].after : !pairs->at[i].before) VEC_PUSH(arena, &list, i);
    return list;
}

static const Block *half(const Pairs *pairs, size_t index)
{
    return pairs->at[index].after ? pairs->at[index].after : pairs->at[index].before;
}

/* The half pair of a kind and name; SIZE_MAX: there is none. */
static size_t find_half(const Pairs *pairs, const IndexList *list, const BlockType *type, Name name)
{
    const Block wanted = {.type = type, .name = name};
    size_t low = 0, high = list->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (by_identity(half(pairs, list->at[middle]), &wanted) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low < list->count && !by_identity(half(pairs, list->at[low]), &wanted) ? list->at[low] : SIZE_MAX;
}

/* What says `was NAME`, with what is called so on the other side. */
static void add_claims(Arena *arena, const Pairs *pairs, const IndexList *from, const IndexList *to,
                       bool from_gone, Candidates *candidates)
{
    for (size_t i = 0; i < from->count; i++) {
        const Block *block = half(pairs, from->at[i]);
        for (const Clause *clause = block->clauses; clause; clause = clause->next) {
            if (clause->field != FIELD_ROW(WAS) || !clause->reading) continue;
            for (size_t k = 0; k < clause->reading->word_count; k++) {
                size_t other = find_half(pairs, to, block->type, clause->reading->words[k].name);
                if (other == SIZE_MAX) continue;
                VEC_PUSH(arena, candidates,
                         from_gone ? candidate(pairs, from->at[i], other, CLAIMED)
                                   : candidate(pairs, other, from->at[i], CLAIMED));
            }
        }
    }
}

/* What lives on under a name that nobody announced: only kinds that have enough of their own to be known by
 * it. */
static bool is_known_by_its_text(BlockKind kind)
{
    return kind == BLOCK_PROTOCOL || kind == BLOCK_PRACTICE || kind == BLOCK_PLACE || kind == BLOCK_CONTAINER;
}

static void add_guesses(Arena *arena, const Pairs *pairs, const IndexList *gone, const IndexList *new,
                        Candidates *candidates)
{
    if (!gone->count || !new->count || gone->count > LIKENESSES / new->count) return;
    for (size_t i = 0; i < gone->count; i++)
        for (size_t k = 0; k < new->count; k++) {
            const Block *a = half(pairs, gone->at[i]), *b = half(pairs, new->at[k]);
            if (a->type != b->type || !is_known_by_its_text(a->type->kind)) continue;
            unsigned likeness = diff_likeness(a, b);
            if (likeness >= LIKE)
                VEC_PUSH(arena, candidates, candidate(pairs, gone->at[i], new->at[k], likeness));
        }
}

Pairs diff_pairs(Arena *arena, BlockVec before, BlockVec after)
{
    Pairs pairs = pairs_by_name(arena, before, after);
    Candidates candidates = {0};
    IndexList gone = halves(arena, &pairs, true), new = halves(arena, &pairs, false);
    add_claims(arena, &pairs, &new, &gone, false, &candidates);
    add_claims(arena, &pairs, &gone, &new, true, &candidates);
    add_guesses(arena, &pairs, &gone, &new, &candidates);
    if (candidates.count) qsort(candidates.at, candidates.count, sizeof *candidates.at, by_score);
    for (size_t i = 0; i < candidates.count; i++) {
        const Candidate *found = &candidates.at[i];
        Pair *pair = &pairs.at[found->gone], *other = &pairs.at[found->new];
        if (pair->after || !other->after) continue; /* one of them has been taken */
        *pair = (Pair){pair->before, other->after, found->score < CLAIMED};
        other->after = NULL;
    }
    size_t kept = 0;
    for (size_t i = 0; i < pairs.count; i++)
        if (pairs.at[i].before || pairs.at[i].after) pairs.at[kept++] = pairs.at[i];
    pairs.count = kept;
    return pairs;
}
