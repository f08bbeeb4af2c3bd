/* Blocks inside blocks beside each other: sections, stages, tasks; which are new, gone, renamed or in another
 * order. */
#include "analysis/diff_work.h"

#include <string.h>

/* ------------------------------------------------------------------ which is which */

static BlockVec children_of(Arena *arena, const Block *block)
{
    BlockVec list = {0};
    for (const Block *child = block ? block->blocks : NULL; child; child = child->next)
        if (!child->latent) VEC_PUSH(arena, &list, child);
    return list;
}

Pairs diff_children(Arena *arena, const Block *before, const Block *after)
{
    return diff_pairs(arena, children_of(arena, before), children_of(arena, after));
}

/* A block of the same kind and name. */
static const Block *namesake(const Block *block, const Block *others)
{
    for (const Block *other = others; other; other = other->next)
        if (other->type == block->type && other->name == block->name && !other->latent) return other;
    return NULL;
}

/* ------------------------------------------------------------------ likeness */

static void count_common(const Block *a, const Block *b, size_t *common, size_t *all)
{
    for (const Clause *clause = a->clauses; clause; clause = clause->next) {
        (*all)++;
        for (const Clause *other = b ? b->clauses : NULL; other; other = other->next) {
            if (other->field != clause->field || other->strength != clause->strength || !other->reading ||
                !clause->reading || !reading_equal(clause->reading, other->reading))
                continue;
            (*common)++;
            break;
        }
    }
    for (const Block *child = a->blocks; child; child = child->next)
        count_common(child, b ? namesake(child, b->blocks) : NULL, common, all);
}

unsigned diff_likeness(const Block *a, const Block *b)
{
    size_t common = 0, all = 0, back = 0;
    count_common(a, b, &common, &all);
    count_common(b, a, &back, &all);
    return all ? (unsigned)((common + back) * 1000 / all) : 0;
}

/* ------------------------------------------------------------------ changes of blocks */

void diff_set_owner(DiffWalk *walk, const Block *before, const Block *after)
{
    walk->owner_block = after ? after : before;
    walk->owner_kind = walk->owner_block->type->kind;
    walk->owner = walk->owner_block->id;
}

Change *diff_add(DiffWalk *walk, ChangeKind kind, const Block *before, const Block *after)
{
    Change *change = VEC_ADD(walk->arena, &walk->changes);
    const Block *block = after ? after : before;
    const char *path = strchr(block->id, '/');
    change->kind = kind;
    change->owner_kind = walk->owner_kind;
    change->owner = walk->owner;
    change->owner_block = walk->owner_block;
    change->path = path && walk->owner_kind != BLOCK_NONE ? path + 1 : "";
    change->block_before = before;
    change->block_after = after;
    change->strength = "";
    change->direction = DIRECTION_MOVED;
    return change;
}

static Chapter chapter_of_owner(const DiffWalk *walk)
{
    return walk->owner_kind == BLOCK_PROTOCOL || walk->owner_kind == BLOCK_PRACTICE ? CHAPTER_WORK
                                                                                    : CHAPTER_HOUSE;
}

static void came_or_went(DiffWalk *walk, const Block *before, const Block *after)
{
    Change *change = diff_add(walk, CHANGE_BLOCK, before, after);
    bool task = (before ? before : after)->type->kind == BLOCK_TASK;
    change->chapter = chapter_of_owner(walk);
    if (task) change->direction = after ? DIRECTION_TIGHTENED : DIRECTION_LOOSENED;
}

static void compare_names(DiffWalk *walk, const Block *before, const Block *after)
{
    if (before->name != after->name && before->name && after->name) {
        Change *change = diff_add(walk, CHANGE_RENAMED, before, after);
        change->chapter = CHAPTER_EDITORIAL;
        change->direction = DIRECTION_EDITORIAL;
        change->was = before->name->text;
        change->is = after->name->text;
    }
    if (slice_same_text(before->title, after->title)) return;
    Change *change = diff_add(walk, CHANGE_TITLE, before, after);
    change->chapter = CHAPTER_EDITORIAL;
    change->direction = DIRECTION_EDITORIAL;
    change->was = arena_copy(walk->arena, before->title.at, before->title.length);
    change->is = arena_copy(walk->arena, after->title.at, after->title.length);
}

/* ------------------------------------------------------------------ order */

/* Of the stages that both have, where each stands among those of one side, in the order of the other. */
static bool keeps_order(const Pairs *pairs, const Block *before, const Block *after)
{
    const Block *next = after->blocks;
    for (const Block *child = before->blocks; child; child = child->next) {
        const Block *partner = NULL;
        for (size_t i = 0; i < pairs->count && !partner; i++)
            if (pairs->at[i].before == child && child->type->kind == BLOCK_STAGE)
                partner = pairs->at[i].after;
        if (!partner) continue;
        while (next && next != partner) next = next->next;
        if (!next) return false;
    }
    return true;
}

static const char *names_of(DiffWalk *walk, const Block *block)
{
    const char *text = "";
    for (const Block *child = block->blocks; child; child = child->next)
        if (child->type->kind == BLOCK_STAGE && !child->latent && child->name)
            text = arena_print(walk->arena, "%s%s%s", text, *text ? ", " : "", child->name->text);
    return text;
}

static void compare_order(DiffWalk *walk, const Pairs *pairs, const Block *before, const Block *after)
{
    if (keeps_order(pairs, before, after)) return;
    Change *change = diff_add(walk, CHANGE_ORDER, before, after);
    change->chapter = CHAPTER_WORK;
    change->was = names_of(walk, before);
    change->is = names_of(walk, after);
}

/* ------------------------------------------------------------------ inside */

/* Blocks that are a thing of their own; a section is only the place of its clauses. */
static bool is_thing(const Block *block)
{
    return block->type->kind == BLOCK_STAGE || block->type->kind == BLOCK_TASK ||
           block->type->kind == BLOCK_SCHEDULE;
}

static void compare_children(DiffWalk *walk, const Block *before, const Block *after)
{
    Pairs pairs = diff_children(walk->arena, before, after);
    for (size_t i = 0; i < pairs.count; i++) {
        const Pair *pair = &pairs.at[i];
        bool both = pair->before && pair->after;
        if (!both && is_thing(pair->after ? pair->after : pair->before))
            came_or_went(walk, pair->before, pair->after);
        else
            diff_blocks(walk, pair->before, pair->after);
    }
    if (before && after) compare_order(walk, &pairs, before, after);
}

void diff_know_names(DiffWalk *walk, const Block *before, const Block *after)
{
    Pairs pairs = diff_children(walk->arena, before, after);
    for (size_t i = 0; i < pairs.count; i++) {
        const Pair *pair = &pairs.at[i];
        if (!pair->before || !pair->after) continue;
        diff_know_name(walk, pair->before, pair->after);
        diff_know_names(walk, pair->before, pair->after);
    }
}

static bool is_example(BlockKind kind)
{
    return kind == BLOCK_BREAKS || kind == BLOCK_PASSES || kind == BLOCK_UNDECIDED;
}

void diff_blocks(DiffWalk *walk, const Block *before, const Block *after)
{
    if (is_example((before ? before : after)->type->kind)) return; /* told with its rule */
    if (before && after) compare_names(walk, before, after);
    diff_clauses(walk, before, after);
    compare_children(walk, before, after);
}
