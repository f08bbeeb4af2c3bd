/* Two nurseries beside each other: see diff.h.
 *
 * Blocks at the top of files are paired first: by name, by old name, and what is left over, where it can be
 * said, by likeness. Protocols are then compared as they are after inheritance. A change that several of them
 * show and that comes from one and the same clause is told once, where that clause is written.
 */
#include "analysis/diff_work.h"

#include "model/protocol.h"

#include <stdlib.h>
#include <string.h>

enum {
    LIKE = 600,
    LIKENESSES = 40000
}; /* thousandths that make a guess; how many pairs are looked at for one */

typedef struct Pair {
    const Block *before, *after; /* one may be NULL */
    bool guessed;
} Pair;
typedef VEC(Pair) Pairs;

/* ------------------------------------------------------------------ pairing */

static const Block *renamed_in(const Nursery *nursery, const Nursery *from, const Block *block)
{
    const BlockList *list = &nursery->lists[block->type->kind];
    for (size_t i = 0; i < list->count; i++)
        if (diff_same_block(list->at[i], block) && !nursery_find(from, block->type->kind, list->at[i]->name))
            return list->at[i];
    return NULL;
}

static const Block *partner_in(const Nursery *nursery, const Nursery *from, const Block *block)
{
    const Block *found = nursery_find(nursery, block->type->kind, block->name);
    return found ? found : renamed_in(nursery, from, block);
}

/* What lives on under a name that nobody announced: only kinds that have enough of their own to be known by
 * it. */
static bool is_known_by_its_text(BlockKind kind)
{
    return kind == BLOCK_PROTOCOL || kind == BLOCK_PRACTICE || kind == BLOCK_PLACE || kind == BLOCK_CONTAINER;
}

static size_t likest(const Pairs *pairs, const Block *gone)
{
    size_t best = SIZE_MAX;
    unsigned most = LIKE - 1;
    for (size_t i = 0; i < pairs->count; i++) {
        if (pairs->at[i].before || !pairs->at[i].after) continue;
        unsigned likeness = diff_likeness(gone, pairs->at[i].after);
        if (likeness <= most) continue;
        most = likeness;
        best = i;
    }
    return best;
}

static void guess_renames(Pairs *pairs)
{
    size_t gone = 0, new = 0;
    for (size_t i = 0; i < pairs->count; i++) {
        gone += !pairs->at[i].after;
        new += !pairs->at[i].before;
    }
    if (!gone || !new || gone > LIKENESSES / new) return;
    for (size_t i = 0; i < pairs->count; i++) {
        if (!pairs->at[i].before || pairs->at[i].after) continue;
        size_t other = likest(pairs, pairs->at[i].before);
        if (other == SIZE_MAX) continue;
        pairs->at[i].after = pairs->at[other].after;
        pairs->at[i].guessed = true;
        pairs->at[other].after = NULL;
    }
}

static Pairs pairs_of(DiffWalk *walk, BlockKind kind)
{
    Pairs pairs = {0};
    const BlockList *old = &walk->before->lists[kind], *new = &walk->after->lists[kind];
    for (size_t i = 0; i < old->count; i++)
        VEC_PUSH(walk->arena, &pairs,
                 ((Pair){.before = old->at[i], .after = partner_in(walk->after, walk->before, old->at[i])}));
    for (size_t i = 0; i < new->count; i++)
        if (!partner_in(walk->before, walk->after, new->at[i]))
            VEC_PUSH(walk->arena, &pairs, ((Pair){.after = new->at[i]}));
    if (is_known_by_its_text(kind)) guess_renames(&pairs);
    return pairs;
}

/* ------------------------------------------------------------------ one pair */

static void set_owner(DiffWalk *walk, const Pair *pair)
{
    const Block *block = pair->after ? pair->after : pair->before;
    walk->owner_kind = block->type->kind;
    walk->owner = block->id;
}

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
                    diff_same_text(span_slice(there->item->span), span_slice(line->item->span));
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

static void compare_pair(DiffWalk *walk, const Pair *pair, const Block *before, const Block *after)
{
    if (!pair->before && !pair->after) return; /* taken by a guess */
    bool built_in = (!pair->before || pair->before->built_in) && (!pair->after || pair->after->built_in);
    if (built_in) return;
    set_owner(walk, pair);
    if (!pair->before || !pair->after) {
        came_or_went(walk, pair);
        return;
    }
    size_t from = walk->changes.count;
    diff_blocks(walk, before, after);
    for (; from < walk->changes.count; from++)
        if (walk->changes.at[from].kind == CHANGE_RENAMED && !*walk->changes.at[from].path)
            walk->changes.at[from].guessed = pair->guessed;
    if (walk->owner_kind == BLOCK_RECORD) compare_lines(walk, before, after);
}

static void compare_kind(DiffWalk *walk, BlockKind kind)
{
    Pairs pairs = pairs_of(walk, kind);
    for (size_t i = 0; i < pairs.count; i++)
        compare_pair(walk, &pairs.at[i], pairs.at[i].before, pairs.at[i].after);
}

/* After inheritance where that could be worked out on both sides. Gives how many there are that batches may
 * follow. */
static size_t compare_protocols(DiffWalk *walk)
{
    Pairs pairs = pairs_of(walk, BLOCK_PROTOCOL);
    size_t count = 0;
    for (size_t i = 0; i < pairs.count; i++) {
        const Pair *pair = &pairs.at[i];
        const Protocol *old = pair->before ? nursery_protocol(walk->before, pair->before->name) : NULL,
                       *new = pair->after ? nursery_protocol(walk->after, pair->after->name) : NULL;
        bool both = old && new && old->effective &&new->effective;
        compare_pair(walk, pair, both ? old->effective : pair->before, both ? new->effective : pair->after);
        count += (old || new) && !(new ? new->base : old->base);
    }
    return count;
}

/* ------------------------------------------------------------------ causes */

/* A change as some protocol shows it. */
typedef struct Shown {
    const void *before, *after; /* the items it comes from */
    size_t index;
    bool taken;
} Shown;
typedef VEC(Shown) ShownList;

static const Item *item_of(const Clause *clause, const Block *block)
{
    return clause ? clause->item : block ? block->item : NULL;
}

/* What is of the protocol as a whole (its name, its title, the order of its stages) has no other cause. */
static bool may_be_inherited(const Change *change)
{
    return change->kind == CHANGE_CLAUSE ||
           ((change->kind == CHANGE_BLOCK || change->kind == CHANGE_RENAMED ||
             change->kind == CHANGE_TITLE) &&
            *change->path);
}

static Shown shown_of(const Change *change, size_t index)
{
    bool clause = change->kind == CHANGE_CLAUSE;
    return (Shown){.before = item_of(change->before, clause ? NULL : change->block_before),
                   .after = item_of(change->after, clause ? NULL : change->block_after),
                   .index = index};
}

static int by_items(const void *a, const void *b)
{
    const Shown *x = a, *y = b;
    if (x->before != y->before) return (uintptr_t)x->before < (uintptr_t)y->before ? -1 : 1;
    if (x->after != y->after) return (uintptr_t)x->after < (uintptr_t)y->after ? -1 : 1;
    return x->index < y->index ? -1 : x->index > y->index;
}

static bool same_items(const Shown *a, const Shown *b)
{
    return a->before == b->before && a->after == b->after;
}

static ShownList shown_list(DiffWalk *walk, size_t from, size_t to)
{
    ShownList list = {0};
    for (size_t i = from; i < to; i++)
        if (may_be_inherited(&walk->changes.at[i]))
            VEC_PUSH(walk->arena, &list, shown_of(&walk->changes.at[i], i));
    if (list.count) qsort(list.at, list.count, sizeof *list.at, by_items);
    return list;
}

static Shown *find_shown(const ShownList *list, const Shown *wanted)
{
    size_t low = 0, high = list->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        Shown key = *wanted;
        key.index = 0;
        if (by_items(&list->at[middle], &key) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low < list->count && same_items(&list->at[low], wanted) ? &list->at[low] : NULL;
}

static bool is_based_on(const Nursery *nursery, const char *heir, const char *base)
{
    Name name = names_find(nursery->names, slice_of(heir));
    for (int depth = 0; name && depth <= PROTOCOL_CHAIN; depth++) {
        const Protocol *protocol = nursery_protocol(nursery, name);
        const Clause *clause = protocol ? block_clause(protocol->written, FIELD_ROW(BASED_ON)) : NULL;
        if (!clause || !clause->reading) return false;
        name = clause->reading->words[0].name;
        if (slice_is(name_slice(name), base)) return true;
    }
    return false;
}

typedef VEC(const char *) TextList;

static int by_name(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static bool is_base(const Nursery *nursery, const char *id)
{
    Name name = names_find(nursery->names, slice_of(id));
    const Protocol *protocol = name ? nursery_protocol(nursery, name) : NULL;
    return protocol && protocol->base;
}

/* In order and each once, though a clause of a practice may lie in several stages of one. Those that are only
 * there to be built on count where nobody else feels it. */
static void set_reached(DiffWalk *walk, Change *change, const TextList *reached)
{
    TextList felt = {0};
    qsort(reached->at, reached->count, sizeof *reached->at, by_name);
    for (int bases = 0; bases < 2 && !felt.count; bases++)
        for (size_t i = 0; i < reached->count; i++)
            if ((i == 0 || strcmp(reached->at[i], reached->at[i - 1])) &&
                (bases || !is_base(walk->after, reached->at[i])))
                VEC_PUSH(walk->arena, &felt, reached->at[i]);
    change->reaches = felt.at;
    change->reach_count = felt.count;
}

/* One group of changes that come from the same items; those that are not told are marked by an empty owner.
 */
static void tell_once(DiffWalk *walk, const Shown *group, size_t count, Shown *practice)
{
    Change *changes = walk->changes.at;
    if (practice) {
        TextList reached = {0};
        for (size_t i = 0; i < count; i++) {
            VEC_PUSH(walk->arena, &reached, changes[group[i].index].owner);
            changes[group[i].index].owner = NULL;
        }
        practice->taken = true;
        set_reached(walk, &changes[practice->index], &reached);
        return;
    }
    for (size_t i = 0; i < count && count > 1; i++) {
        Change *change = &changes[group[i].index];
        TextList reached = {0};
        for (size_t k = 0; k < count; k++) {
            Change *other = &changes[group[k].index];
            if (k == i || !other->owner || !change->owner ||
                !is_based_on(walk->after, other->owner, change->owner))
                continue;
            VEC_PUSH(walk->arena, &reached, other->owner);
            for (size_t more = 0; more < other->reach_count; more++)
                VEC_PUSH(walk->arena, &reached, other->reaches[more]);
            other->owner = NULL;
        }
        for (size_t more = 0; reached.count && more < change->reach_count; more++)
            VEC_PUSH(walk->arena, &reached, change->reaches[more]);
        if (reached.count) set_reached(walk, change, &reached);
    }
}

static void find_causes(DiffWalk *walk, size_t protocols, size_t practices, size_t end)
{
    ShownList shown = shown_list(walk, protocols, practices), of_practices = shown_list(walk, practices, end);
    for (size_t i = 0, next; i < shown.count; i = next) {
        for (next = i + 1; next < shown.count && same_items(&shown.at[i], &shown.at[next]);) next++;
        tell_once(walk, &shown.at[i], next - i, find_shown(&of_practices, &shown.at[i]));
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
    order = strcmp(x->was ? x->was : "", y->was ? y->was : "");
    return order ? order : strcmp(x->is ? x->is : "", y->is ? y->is : "");
}

static size_t count_changed(DiffWalk *walk, size_t from, size_t to)
{
    size_t count = 0;
    const char *last = NULL;
    for (size_t i = from; i < to; i++) {
        const Change *change = &walk->changes.at[i];
        if (change->direction == DIRECTION_EDITORIAL || change->owner == last) continue;
        last = change->owner;
        if (is_base(walk->after, last)) continue;
        count++;
    }
    return count;
}

static const Diff *finish(DiffWalk *walk, size_t protocols, size_t changed)
{
    Diff *diff = ARENA_NEW(walk->arena, Diff);
    Change *changes = walk->changes.at;
    size_t kept = 0;
    for (size_t i = 0; i < walk->changes.count; i++) {
        if (!changes[i].owner) continue;
        if (changes[i].reach_count)
            qsort((void *)(uintptr_t)changes[i].reaches, changes[i].reach_count, sizeof *changes[i].reaches,
                  by_name);
        diff->directions[changes[i].direction]++;
        changes[kept++] = changes[i];
    }
    if (kept) qsort(changes, kept, sizeof *changes, by_chapter);
    diff->changes = changes;
    diff->count = kept;
    diff->protocols = protocols;
    diff->protocols_changed = changed;
    return diff;
}

static void compare_selves(DiffWalk *walk)
{
    const Block *before = walk->before->self, *after = walk->after->self;
    if (!before || !after) return;
    set_owner(walk, &(Pair){.before = before, .after = after});
    diff_blocks(walk, before, after);
}

/* What ships may be written anew, and is then compared. */
static void open_all(const Nursery *nursery)
{
    for (int kind = 1; kind < BLOCK_KINDS; kind++)
        for (size_t i = 0; i < nursery->lists[kind].count; i++)
            nursery_open(nursery, nursery->lists[kind].at[i]);
}

const Diff *diff_nurseries(Arena *arena, const Nursery *before, const Nursery *after)
{
    DiffWalk walk = {.arena = arena, .before = before, .after = after};
    static const BlockKind plain[] = {BLOCK_SITE,    BLOCK_PLACE,   BLOCK_CONTAINER, BLOCK_SOURCE,
                                      BLOCK_SPECIES, BLOCK_VARIETY, BLOCK_STOCK,     BLOCK_SKILL,
                                      BLOCK_CREW,    BLOCK_BATCH,   BLOCK_RECORD};
    open_all(before);
    open_all(after);
    size_t protocols = compare_protocols(&walk);
    size_t practices = walk.changes.count, changed = count_changed(&walk, 0, practices);
    compare_kind(&walk, BLOCK_PRACTICE);
    find_causes(&walk, 0, practices, walk.changes.count);
    compare_selves(&walk);
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) compare_kind(&walk, plain[i]);
    diff_rules(&walk);
    return finish(&walk, protocols, changed);
}
