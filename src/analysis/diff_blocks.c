/* Blocks inside blocks beside each other: sections, stages, tasks; which are new, gone, renamed or in another
 * order. */
#include "analysis/diff_work.h"

#include <string.h>

/* ------------------------------------------------------------------ which is which */

static bool has_been(const Block *block, const Block *old)
{
    if (!old->name) return false;
    if (block_has_been(block, name_slice(old->name))) return true;
    const char *path = strchr(old->id, '/'); /* `was STAGE/TASK`, of a task that changed its stage */
    return path && block_has_been(block, slice_of(path + 1));
}

static bool is_renamed(const Block *a, const Block *b)
{
    return a->name != b->name && (has_been(a, b) || has_been(b, a));
}

bool diff_same_block(const Block *a, const Block *b)
{
    if (a->type != b->type) return false;
    return a->name == b->name || is_renamed(a, b);
}

static size_t index_among(const Block *block, const Block *list)
{
    size_t index = 0;
    for (; list && list != block; list = list->next)
        index += list->type == block->type && list->name == block->name;
    return index;
}

/* Blocks without a name, several of a kind, are told apart by their order. */
const Block *diff_partner(const Block *block, const Block *others)
{
    for (const Block *other = others; other; other = other->next)
        if (other->type == block->type && other->name == block->name && !other->latent) return other;
    for (const Block *other = others; other; other = other->next)
        if (other->type == block->type && is_renamed(block, other) && !other->latent) return other;
    return NULL;
}

static const Block *act_partner(const Block *act, const Block *list, const Block *others)
{
    size_t index = index_among(act, list);
    for (const Block *other = others; other; other = other->next)
        if (other->type == act->type && index_among(other, others) == index) return other;
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
        count_common(child, b ? diff_partner(child, b->blocks) : NULL, common, all);
}

unsigned diff_likeness(const Block *a, const Block *b)
{
    size_t common = 0, all = 0, back = 0;
    count_common(a, b, &common, &all);
    count_common(b, a, &back, &all);
    return all ? (unsigned)((common + back) * 1000 / all) : 0;
}

/* ------------------------------------------------------------------ changes of blocks */

Change *diff_add(DiffWalk *walk, ChangeKind kind, const Block *before, const Block *after)
{
    Change *change = VEC_ADD(walk->arena, &walk->changes);
    const Block *block = after ? after : before;
    const char *path = strchr(block->id, '/');
    change->kind = kind;
    change->owner_kind = walk->owner_kind;
    change->owner = walk->owner;
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

typedef VEC(const Block *) BlockVec;

/* The stages that both have, in the order of one. */
static BlockVec stages_in_both(DiffWalk *walk, const Block *block, const Block *other, bool partners)
{
    BlockVec list = {0};
    for (const Block *child = block->blocks; child; child = child->next) {
        const Block *partner =
            child->type->kind == BLOCK_STAGE && !child->latent ? diff_partner(child, other->blocks) : NULL;
        if (partner) VEC_PUSH(walk->arena, &list, partners ? partner : child);
    }
    return list;
}

static const char *names_of(DiffWalk *walk, const Block *block)
{
    const char *text = "";
    for (const Block *child = block->blocks; child; child = child->next)
        if (child->type->kind == BLOCK_STAGE && !child->latent && child->name)
            text = arena_print(walk->arena, "%s%s%s", text, *text ? ", " : "", child->name->text);
    return text;
}

static void compare_order(DiffWalk *walk, const Block *before, const Block *after)
{
    BlockVec old = stages_in_both(walk, before, after, true),
             new = stages_in_both(walk, after, before, false);
    for (size_t i = 0; i < old.count && i < new.count; i++) {
        if (old.at[i] == new.at[i]) continue;
        Change *change = diff_add(walk, CHANGE_ORDER, before, after);
        change->chapter = CHAPTER_WORK;
        change->was = names_of(walk, before);
        change->is = names_of(walk, after);
        return;
    }
}

/* ------------------------------------------------------------------ inside */

/* Blocks that are a thing of their own; a section is only the place of its clauses. */
static bool is_thing(const Block *block)
{
    return block->type->kind == BLOCK_STAGE || block->type->kind == BLOCK_TASK ||
           block->type->kind == BLOCK_SCHEDULE;
}

static const Block *partner_of(const Block *child, const Block *block, const Block *other)
{
    if (!other) return NULL;
    if (child->type->kind == BLOCK_ACT) return act_partner(child, block->blocks, other->blocks);
    return diff_partner(child, other->blocks);
}

static void compare_children(DiffWalk *walk, const Block *before, const Block *after)
{
    for (const Block *child = before ? before->blocks : NULL; child; child = child->next) {
        if (child->latent) continue;
        const Block *partner = partner_of(child, before, after);
        if (!partner && is_thing(child))
            came_or_went(walk, child, NULL);
        else
            diff_blocks(walk, child, partner);
    }
    for (const Block *child = after ? after->blocks : NULL; child; child = child->next) {
        if (child->latent || partner_of(child, after, before)) continue;
        if (is_thing(child))
            came_or_went(walk, NULL, child);
        else
            diff_blocks(walk, NULL, child);
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
    if (before && after) compare_order(walk, before, after);
}
