/* Two nurseries beside each other: see diff.h.
 *
 * Blocks at the top of files are paired first (diff_pairs.c). Protocols are then compared as they are after
 * inheritance, and what several of them show for one reason is told once (diff_causes.c); everything else is
 * compared as it stands.
 */
#include "analysis/diff_work.h"

#include "model/protocol.h"

#include <stdlib.h>
#include <string.h>

/* ------------------------------------------------------------------ one pair */

static void came_or_went(DiffWalk *walk, const Pair *pair)
{
    Change *change = diff_add(walk, CHANGE_BLOCK, pair->before, pair->after);
    BlockKind kind = walk->owner_kind;
    bool work = kind == BLOCK_PROTOCOL;
    bool evidence =
        kind == BLOCK_SOURCE || kind == BLOCK_SPECIES || kind == BLOCK_PRACTICE || kind == BLOCK_RECORD;
    change->chapter = evidence ? CHAPTER_EDITORIAL : work ? CHAPTER_WORK : CHAPTER_HOUSE;
    if (evidence) change->direction = DIRECTION_EDITORIAL;
}

static size_t lines_missing(const Block *block, const Block *other)
{
    size_t missing = 0;
    for (const RecordLine *line = block->lines; line; line = line->next) {
        bool found = false;
        for (const RecordLine *there = other->lines; there && !found; there = there->next)
            found = there->day == line->day && there->verb == line->verb &&
                    slice_same_text(span_slice(record_written(there)->span),
                                    span_slice(record_written(line)->span));
        missing += !found;
    }
    return missing;
}

static void compare_lines(DiffWalk *walk, const Block *before, const Block *after)
{
    size_t gone = lines_missing(before, after), new = lines_missing(after, before);
    if (!gone && !new) return;
    Change *change = diff_add(walk, CHANGE_LINES, before, after);
    change->chapter = CHAPTER_EDITORIAL;
    change->direction = DIRECTION_EDITORIAL;
    if (gone) change->was = arena_print(walk->arena, "%zu", gone);
    if (new) change->is = arena_print(walk->arena, "%zu", new);
}

static const Block *followed(const Nursery *nursery, const Block *batch)
{
    const Clause *clause = block_clause(batch, FIELD_ROW(FOLLOW));
    const Protocol *protocol =
        clause && clause->reading ? nursery_protocol(nursery, clause->reading->words[0].name) : NULL;
    return protocol ? protocol->effective : NULL;
}

/* A batch mentions the stages of the protocol it follows. */
static void know_followed(DiffWalk *walk, const Block *before, const Block *after)
{
    const Block *old = followed(walk->before, before), *new = followed(walk->after, after);
    if (walk->inner_names && old && new) diff_know_names(walk, old, new);
}

static void compare_pair(DiffWalk *walk, const Pair *pair, const Block *before, const Block *after)
{
    bool built_in = (!pair->before || pair->before->built_in) && (!pair->after || pair->after->built_in);
    if (built_in) return;
    diff_set_owner(walk, pair->before, pair->after);
    if (!pair->before || !pair->after) {
        came_or_went(walk, pair);
        return;
    }
    size_t from = walk->changes.count, renamings = walk->renamings.count;
    diff_know_names(walk, before, after);
    if (walk->owner_kind == BLOCK_BATCH) know_followed(walk, before, after);
    diff_blocks(walk, before, after);
    walk->renamings.count = renamings;
    for (; from < walk->changes.count; from++)
        if (walk->changes.at[from].kind == CHANGE_RENAMED && !*walk->changes.at[from].path)
            walk->changes.at[from].guessed = pair->guessed;
    if (walk->owner_kind == BLOCK_RECORD) compare_lines(walk, before, after);
}

static void compare_kind(DiffWalk *walk, BlockKind kind)
{
    const Pairs *pairs = &walk->pairs[kind];
    for (size_t i = 0; i < pairs->count; i++)
        compare_pair(walk, &pairs->at[i], pairs->at[i].before, pairs->at[i].after);
}

static bool differs_since(const DiffWalk *walk, size_t from)
{
    for (; from < walk->changes.count; from++)
        if (walk->changes.at[from].direction != DIRECTION_EDITORIAL) return true;
    return false;
}

/* After inheritance where that could be worked out on both sides. Counts those that batches may follow, on
 * either side. */
static void compare_protocols(DiffWalk *walk, Diff *diff)
{
    const Pairs *pairs = &walk->pairs[BLOCK_PROTOCOL];
    for (size_t i = 0; i < pairs->count; i++) {
        const Pair *pair = &pairs->at[i];
        const Protocol *old = pair->before ? nursery_protocol(walk->before, pair->before->name) : NULL,
                       *new = pair->after ? nursery_protocol(walk->after, pair->after->name) : NULL;
        bool both = old && new && old->effective &&new->effective;
        size_t from = walk->changes.count;
        compare_pair(walk, pair, both ? old->effective : pair->before, both ? new->effective : pair->after);
        if (!(old && !old->base) && !(new && !new->base)) continue;
        diff->protocols++;
        diff->protocols_changed += differs_since(walk, from);
    }
}

/* ------------------------------------------------------------------ order and counts */

static int by_chapter(const void *a, const void *b)
{
    const Change *x = a, *y = b;
    if (x->chapter != y->chapter) return x->chapter < y->chapter ? -1 : 1;
    if (x->owner_kind != y->owner_kind) return x->owner_kind < y->owner_kind ? -1 : 1;
    int order = strcmp(x->owner, y->owner);
    if (!order) order = strcmp(x->path, y->path);
    if (order) return order;
    if (x->direction != y->direction) return x->direction < y->direction ? -1 : 1;
    if (x->kind != y->kind) return x->kind < y->kind ? -1 : 1;
    if (x->field && y->field && x->field != y->field) return x->field->number < y->field->number ? -1 : 1;
    if ((order = strcmp(x->strength, y->strength))) return order;
    order = strcmp(x->was ? x->was : "", y->was ? y->was : "");
    return order ? order : strcmp(x->is ? x->is : "", y->is ? y->is : "");
}

static void finish(DiffWalk *walk, Diff *diff)
{
    Change *changes = walk->changes.at;
    size_t kept = 0;
    for (size_t i = 0; i < walk->changes.count; i++) {
        if (!changes[i].owner) continue;
        diff->directions[changes[i].direction]++;
        changes[kept++] = changes[i];
    }
    if (kept) qsort(changes, kept, sizeof *changes, by_chapter);
    diff->changes = changes;
    diff->count = kept;
}

static void compare_selves(DiffWalk *walk)
{
    const Block *before = walk->before->self, *after = walk->after->self;
    if (!before || !after) return;
    diff_set_owner(walk, before, after);
    diff_blocks(walk, before, after);
}

/* What ships may be written anew, and is then compared. */
static void open_all(const Nursery *nursery)
{
    for (int kind = 1; kind < BLOCK_KINDS; kind++)
        for (size_t i = 0; i < nursery->lists[kind].count; i++)
            nursery_open(nursery, nursery->lists[kind].at[i]);
}

static BlockVec blocks_of(DiffWalk *walk, int side, BlockKind kind)
{
    const BlockList *list = &(side ? walk->after : walk->before)->lists[kind];
    const Block *const *rows;
    size_t count = kind == BLOCK_BATCH && walk->rows ? batch_rows_blocks(walk->rows, side, &rows) : 0;
    BlockVec blocks = {0};
    for (size_t i = 0; i < list->count; i++) VEC_PUSH(walk->arena, &blocks, list->at[i]);
    for (size_t i = 0; i < count; i++) VEC_PUSH(walk->arena, &blocks, rows[i]);
    return blocks;
}

static void pair_all(DiffWalk *walk)
{
    for (int kind = 1; kind < BLOCK_KINDS; kind++) {
        Pairs *pairs = &walk->pairs[kind];
        *pairs =
            diff_pairs(walk->arena, blocks_of(walk, 0, (BlockKind)kind), blocks_of(walk, 1, (BlockKind)kind));
        for (size_t i = 0; i < pairs->count; i++)
            diff_know_name(walk, pairs->at[i].before, pairs->at[i].after);
    }
}

/* Compared as it stands at the top of a file; of all others something else decides. */
static bool is_plain(BlockKind kind)
{
    return (block_types[kind].where & BLOCK_TOP) && kind != BLOCK_NURSERY && kind != BLOCK_PROTOCOL &&
           kind != BLOCK_PRACTICE && kind != BLOCK_RULE;
}

const Diff *diff_nurseries(Arena *arena, const Nursery *before, const Nursery *after, const BatchRows *rows)
{
    DiffWalk walk = {.arena = arena, .before = before, .after = after, .rows = rows};
    Diff *diff = ARENA_NEW(arena, Diff);
    open_all(before);
    open_all(after);
    pair_all(&walk);
    compare_protocols(&walk, diff);
    size_t practices = walk.changes.count;
    compare_kind(&walk, BLOCK_PRACTICE);
    diff_causes(&walk, practices);
    compare_selves(&walk);
    for (int kind = 1; kind < BLOCK_KINDS; kind++)
        if (is_plain((BlockKind)kind)) compare_kind(&walk, (BlockKind)kind);
    diff_rules(&walk);
    finish(&walk, diff);
    return diff;
}
