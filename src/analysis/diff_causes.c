/* One cause, told once.
 *
 * Protocols are compared after inheritance, so what a base or a practice says otherwise shows in each that
 * builds on it. Changes that come from one and the same pair of items are one: it is told where these are
 * written, with the protocols that feel it.
 */
#include "analysis/diff_work.h"

#include "model/protocol.h"

#include <stdlib.h>
#include <string.h>

/* A change as some protocol shows it. */
typedef struct Shown {
    const void *before, *after; /* the items it comes from */
    size_t index;
} Shown;
typedef VEC(Shown) ShownList;
typedef VEC(const char *) TextList;

/* Where a protocol of the group at hand is told. */
typedef struct Teller {
    size_t group; /* counted from 1 */
    size_t index; /* of its change */
} Teller;

typedef struct Causes {
    DiffWalk *walk;
    ShownList shown, of_practices;
    VEC(Teller) tellers; /* by the number of a protocol's name */
    TextList *reached;   /* by the index of a change */
    size_t group;
} Causes;

/* ------------------------------------------------------------------ what is one change */

static const Item *item_of(const Clause *clause, const Block *block)
{
    return clause ? clause->item : block ? block->item : NULL;
}

/* What is of the protocol as a whole (its name, its title, the order of its stages) has no other cause. */
static bool may_be_inherited(const Change *change)
{
    bool inside =
        change->kind == CHANGE_BLOCK || change->kind == CHANGE_RENAMED || change->kind == CHANGE_TITLE;
    return change->kind == CHANGE_CLAUSE || (inside && *change->path);
}

static Shown shown_of(const Change *change, size_t index)
{
    bool clause = change->kind == CHANGE_CLAUSE;
    return (Shown){.before = item_of(change->before, clause ? NULL : change->block_before),
                   .after = item_of(change->after, clause ? NULL : change->block_after),
                   .index = index};
}

static int by_items(const Shown *a, const Shown *b)
{
    if (a->before != b->before) return (uintptr_t)a->before < (uintptr_t)b->before ? -1 : 1;
    if (a->after != b->after) return (uintptr_t)a->after < (uintptr_t)b->after ? -1 : 1;
    return 0;
}

static int by_items_and_index(const void *a, const void *b)
{
    const Shown *x = a, *y = b;
    int order = by_items(x, y);
    return order ? order : x->index < y->index ? -1 : x->index > y->index;
}

static ShownList shown_list(DiffWalk *walk, size_t from, size_t to)
{
    ShownList list = {0};
    for (size_t i = from; i < to; i++)
        if (may_be_inherited(&walk->changes.at[i]))
            VEC_PUSH(walk->arena, &list, shown_of(&walk->changes.at[i], i));
    if (list.count) qsort(list.at, list.count, sizeof *list.at, by_items_and_index);
    return list;
}

static const Shown *find_shown(const ShownList *list, const Shown *wanted)
{
    size_t low = 0, high = list->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (by_items(&list->at[middle], wanted) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low < list->count && !by_items(&list->at[low], wanted) ? &list->at[low] : NULL;
}

/* ------------------------------------------------------------------ who tells it */

/* Bases are asked for where the clause stands: what went, before; all else, after. */
static const Nursery *nursery_of(const DiffWalk *walk, const Shown *shown)
{
    return shown->after ? walk->after : walk->before;
}

/* The name that a change's protocol has there. */
static Name owner_of(const DiffWalk *walk, const Shown *shown)
{
    Name name = names_find(walk->after->names, slice_of(walk->changes.at[shown->index].owner));
    return shown->after ? name : diff_name_before(walk, BLOCK_PROTOCOL, name);
}

static Teller *teller_of(Causes *causes, Name name)
{
    while (causes->tellers.count <= name->number)
        VEC_PUSH(causes->walk->arena, &causes->tellers, ((Teller){0}));
    return &causes->tellers.at[name->number];
}

static Name base_of(const Nursery *nursery, Name name)
{
    const Protocol *protocol = nursery_protocol(nursery, name);
    const Clause *clause = protocol ? block_clause(protocol->written, FIELD_ROW(BASED_ON)) : NULL;
    return clause && clause->reading ? clause->reading->words[0].name : NULL;
}

/* The change of the farthest base that shows it too. */
static size_t farthest(Causes *causes, const Shown *shown)
{
    size_t index = shown->index;
    const Nursery *nursery = nursery_of(causes->walk, shown);
    Name name = owner_of(causes->walk, shown);
    for (int depth = 0; name && depth <= PROTOCOL_CHAIN; depth++, name = base_of(nursery, name)) {
        const Teller *teller = teller_of(causes, name);
        if (teller->group == causes->group) index = teller->index;
    }
    return index;
}

static void take_over(Causes *causes, size_t teller, Change *told)
{
    VEC_PUSH(causes->walk->arena, &causes->reached[teller], told->owner);
    told->owner = NULL; /* it is not told itself */
}

/* One group of changes that come from the same items. */
static void tell_once(Causes *causes, const Shown *group, size_t count)
{
    Change *changes = causes->walk->changes.at;
    const Shown *practice = find_shown(&causes->of_practices, group);
    causes->group++;
    if (practice) {
        for (size_t i = 0; i < count; i++) take_over(causes, practice->index, &changes[group[i].index]);
        return;
    }
    for (size_t i = count; i-- > 0;)
        *teller_of(causes, owner_of(causes->walk, &group[i])) = (Teller){causes->group, group[i].index};
    for (size_t i = 0; i < count; i++) {
        size_t teller = farthest(causes, &group[i]);
        if (teller != group[i].index) take_over(causes, teller, &changes[group[i].index]);
    }
}

/* ------------------------------------------------------------------ who feels it */

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* In order and each once, though a clause of a practice may lie in several stages of one. Those that are only
 * there to be built on count where nobody else feels it. */
static void set_reached(const DiffWalk *walk, Change *change, const TextList *reached)
{
    TextList felt = {0};
    if (reached->count) qsort(reached->at, reached->count, sizeof *reached->at, by_text);
    for (int bases = 0; bases < 2 && !felt.count; bases++)
        for (size_t i = 0; i < reached->count; i++) {
            if (i && !strcmp(reached->at[i], reached->at[i - 1])) continue;
            Name name = names_find(walk->after->names, slice_of(reached->at[i]));
            const Protocol *protocol = name ? nursery_protocol(walk->after, name) : NULL;
            if (bases || !protocol || !protocol->base) VEC_PUSH(walk->arena, &felt, reached->at[i]);
        }
    change->reaches = felt.at;
    change->reach_count = felt.count;
}

void diff_causes(DiffWalk *walk, size_t practices)
{
    Causes causes = {.walk = walk,
                     .shown = shown_list(walk, 0, practices),
                     .of_practices = shown_list(walk, practices, walk->changes.count),
                     .reached = ARENA_ARRAY(walk->arena, TextList, walk->changes.count)};
    for (size_t i = 0, next; i < causes.shown.count; i = next) {
        for (next = i + 1;
             next < causes.shown.count && !by_items(&causes.shown.at[i], &causes.shown.at[next]);)
            next++;
        tell_once(&causes, &causes.shown.at[i], next - i);
    }
    for (size_t i = 0; i < walk->changes.count; i++)
        set_reached(walk, &walk->changes.at[i], &causes.reached[i]);
}
