/* Clauses of two blocks beside each other.
 *
 * Clauses meet by field and slot: what limits (must, plain), what is preferred, what is never. Fields that
 * may repeat and whose clauses are one list are joined first; texts and other single things of a list are
 * matched one by one.
 */
#include "analysis/diff_work.h"

#include <string.h>

typedef enum Slot { SLOT_LIMIT, SLOT_PREFER, SLOT_NEVER, SLOTS } Slot;

static Slot slot_of(const Clause *clause)
{
    return clause->strength == STRENGTH_PREFER  ? SLOT_PREFER
           : clause->strength == STRENGTH_NEVER ? SLOT_NEVER
                                                : SLOT_LIMIT;
}

typedef VEC(const Clause *) Clauses;

static Clauses clauses_of(DiffWalk *walk, const Block *block, const Field *field, Slot slot)
{
    Clauses list = {0};
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next)
        if (clause->field == field && slot_of(clause) == slot)
            VEC_PUSH(walk->arena, &list, diff_as_called_now(walk, clause));
    return list;
}

/* ------------------------------------------------------------------ trailers */

static bool has_citation(const Citation *list, const Citation *wanted)
{
    for (const Citation *citation = list; citation; citation = citation->next)
        if (slice_equal(citation->key, wanted->key) && slice_same_text(citation->where, wanted->where))
            return true;
    return false;
}

static bool same_citations(const Citation *a, const Citation *b)
{
    for (const Citation *citation = a; citation; citation = citation->next)
        if (!has_citation(b, citation)) return false;
    for (const Citation *citation = b; citation; citation = citation->next)
        if (!has_citation(a, citation)) return false;
    return true;
}

static Cells trailer_cells(const Clause *before, const Clause *after)
{
    const Item *a = before->item, *b = after->item;
    bool reasons = slice_same_text(a->because, b->because) && slice_same_text(a->instead, b->instead);
    return (reasons ? 0 : CELL_BIT(REASON)) |
           (same_citations(a->citations, b->citations) ? 0 : CELL_BIT(SOURCE));
}

/* ------------------------------------------------------------------ one clause */

static const char *const strength_word[] = {[STRENGTH_PLAIN] = "",
                                            [STRENGTH_MUST] = "must",
                                            [STRENGTH_PREFER] = "prefer",
                                            [STRENGTH_NEVER] = "never"};

/* A value as people read it, or as it stands there where it cannot be read; its strength only where that is
 * another than before, or plain again. */
static const char *clause_text(DiffWalk *walk, const Clause *clause, const Reading *reading,
                               bool with_strength)
{
    Slice written = span_slice(clause_value_place(clause));
    const char *value = reading ? reading_print(walk->arena, clause->field, reading, NULL)
                                : arena_copy(walk->arena, written.at, written.length);
    const char *strength = strength_word[clause->strength];
    if (!with_strength) return value;
    return arena_print(walk->arena, "%s %s", *strength ? strength : "plain", value);
}

/* A block that only states what is so (a batch, a place) limits nobody: another value there is another value.
 */
static bool owner_instructs(const DiffWalk *walk)
{
    return walk->owner_kind == BLOCK_PROTOCOL || walk->owner_kind == BLOCK_PRACTICE ||
           walk->owner_kind == BLOCK_RULE;
}

static void weigh(const DiffWalk *walk, Change *change, bool never)
{
    const Cells trailers = CELL_BIT(REASON) | CELL_BIT(SOURCE);
    bool states = role_judges(change->field->role) && !owner_instructs(walk);
    change->chapter = states ? CHAPTER_HOUSE : change_chapter(change->field, never);
    change->direction = change_direction(change->field, never, change->cells);
    if (states && change->direction > DIRECTION_EDITORIAL) change->direction = DIRECTION_MOVED;
    if (!(change->cells & ~trailers)) change->direction = DIRECTION_EDITORIAL;
    if (change->direction == DIRECTION_EDITORIAL) change->chapter = CHAPTER_EDITORIAL;
}

/* What is forbidden and what is asked for cannot be laid beside each other. */
static bool crosses_never(const Clause *before, const Clause *after)
{
    return (before->strength == STRENGTH_NEVER) != (after->strength == STRENGTH_NEVER);
}

static Cells strength_cells(const Clause *before, const Clause *after)
{
    if (before->strength == after->strength) return 0;
    if (crosses_never(before, after)) return CELL_BIT(REPLACED);
    static const int rank[] = {
        [STRENGTH_PREFER] = 0, [STRENGTH_PLAIN] = 1, [STRENGTH_MUST] = 2, [STRENGTH_NEVER] = 3};
    return rank[after->strength] > rank[before->strength] ? CELL_BIT(STRICTER) : CELL_BIT(MILDER);
}

static bool same_writing(const Clause *a, const Clause *b)
{
    return slice_same_text(span_slice(clause_value_place(a)), span_slice(clause_value_place(b)));
}

static Cells value_cells(const Clause *before, const Clause *after, const Reading *was, const Reading *is)
{
    if (crosses_never(before, after)) return 0;
    if (was && is) return change_of_readings(before->field, was, is);
    return !was && !is && same_writing(before, after) ? 0 : CELL_BIT(REPLACED);
}

/* Both clauses, with what all clauses of their lists together read. */
static void pair(DiffWalk *walk, const Block *blocks[2], const Clause *before, const Clause *after,
                 const Reading *was, const Reading *is)
{
    Cells value = value_cells(before, after, was, is);
    Cells cells = value | strength_cells(before, after) | trailer_cells(before, after);
    if (!cells) return;
    Change *change = diff_add(walk, CHANGE_CLAUSE, blocks[0], blocks[1]);
    change->field = before->field;
    change->before = before;
    change->after = after;
    change->cells = cells;
    bool other_strength = before->strength != after->strength;
    if (!other_strength) change->strength = strength_word[before->strength];
    change->was = clause_text(walk, before, was, other_strength);
    change->is = clause_text(walk, after, is, other_strength);
    if (was && is && !crosses_never(before, after))
        change->shape = change_shape(before->field, was, is, value);
    weigh(walk, change, before->strength == STRENGTH_NEVER && after->strength == STRENGTH_NEVER);
}

/* Single things that stand in a list of clauses: each is its own. */
static bool stands_alone(const Field *field)
{
    return field->type == TYPE_TEXT || field->type == TYPE_TAXON || field->type == TYPE_ACCEPT ||
           field->type == TYPE_MOVE || field->type == TYPE_DROP || field->type == TYPE_ROW;
}

static void one_side(DiffWalk *walk, const Block *blocks[2], const Clause *before, const Clause *after,
                     const Reading *reading)
{
    const Clause *clause = before ? before : after;
    bool of_a_list = stands_alone(clause->field) && clause->strength != STRENGTH_NEVER;
    Change *change = diff_add(walk, CHANGE_CLAUSE, blocks[0], blocks[1]);
    change->field = clause->field;
    change->before = before;
    change->after = after;
    change->cells = of_a_list ? (before ? CELL_BIT(MEMBER_REMOVED) : CELL_BIT(MEMBER_ADDED))
                              : change_of_presence(clause->field, reading, after != NULL);
    change->strength = strength_word[clause->strength];
    *(before ? &change->was : &change->is) = clause_text(walk, clause, reading, false);
    weigh(walk, change, clause->strength == STRENGTH_NEVER);
}

/* ------------------------------------------------------------------ a slot */

static const Reading *joined(DiffWalk *walk, const Clauses *list)
{
    const Reading *reading = list->at[0]->reading;
    for (size_t i = 1; i < list->count; i++)
        reading = reading_joined(walk->arena, reading, list->at[i]->reading);
    return reading;
}

static bool same_clause(const Clause *a, const Clause *b)
{
    if (a->strength != b->strength || !a->reading != !b->reading) return false;
    return a->reading ? reading_equal(a->reading, b->reading) : same_writing(a, b);
}

/* Which of the other list a clause becomes when none is equal: of texts the one in its language, of rows of a
 * schedule the one of its days, of moves that of its task; of others the only one left. */
static bool may_become(const Clause *a, const Clause *b)
{
    const Reading *x = a->reading, *y = b->reading;
    if (!x || !y) return !stands_alone(a->field);
    switch (a->field->type) {
    case TYPE_TEXT: return x->language == y->language;
    case TYPE_ROW: return x->row->first == y->row->first && x->row->last == y->row->last;
    case TYPE_MOVE: return x->word_count && y->word_count && x->words->name == y->words->name;
    default: return !stands_alone(a->field);
    }
}

static void match_one_by_one(DiffWalk *walk, const Block *blocks[2], Clauses *before, Clauses *after)
{
    for (int round = 0; round < 2; round++)
        for (size_t i = 0; i < before->count; i++)
            for (size_t k = 0; k < after->count && before->at[i]; k++) {
                const Clause *a = before->at[i], *b = after->at[k];
                if (!b || !(round ? may_become(a, b) : same_clause(a, b))) continue;
                pair(walk, blocks, a, b, a->reading, b->reading);
                before->at[i] = after->at[k] = NULL;
            }
    for (size_t i = 0; i < before->count; i++)
        if (before->at[i]) one_side(walk, blocks, before->at[i], NULL, before->at[i]->reading);
    for (size_t i = 0; i < after->count; i++)
        if (after->at[i]) one_side(walk, blocks, NULL, after->at[i], after->at[i]->reading);
}

static bool all_readable(const Clauses *list)
{
    for (size_t i = 0; i < list->count; i++)
        if (!list->at[i]->reading) return false;
    return true;
}

static void compare_slot(DiffWalk *walk, const Block *blocks[2], Clauses *before, Clauses *after)
{
    const Clause *any = before->count ? before->at[0] : after->at[0];
    bool several = before->count > 1 || after->count > 1;
    bool joins = slot_of(any) != SLOT_NEVER && all_readable(before) && all_readable(after);
    if (stands_alone(any->field) || (several && !joins))
        match_one_by_one(walk, blocks, before, after);
    else if (before->count && after->count)
        pair(walk, blocks, before->at[0], after->at[0], joined(walk, before), joined(walk, after));
    else if (before->count)
        one_side(walk, blocks, before->at[0], NULL, joined(walk, before));
    else
        one_side(walk, blocks, NULL, after->at[0], joined(walk, after));
}

/* A field that stood in one slot alone and stands in another alone is one clause with another strength. */
static bool changed_slot(const Clauses before[SLOTS], const Clauses after[SLOTS], Slot *from, Slot *to)
{
    int found_before = -1, found_after = -1;
    for (int slot = 0; slot < SLOTS; slot++) {
        if (before[slot].count) found_before = found_before < 0 && before[slot].count == 1 ? slot : SLOTS;
        if (after[slot].count) found_after = found_after < 0 && after[slot].count == 1 ? slot : SLOTS;
    }
    if (found_before < 0 || found_after < 0 || found_before == SLOTS || found_after == SLOTS) return false;
    *from = (Slot)found_before;
    *to = (Slot)found_after;
    return *from != *to;
}

static void compare_field(DiffWalk *walk, const Block *blocks[2], const Field *field)
{
    Clauses before[SLOTS], after[SLOTS];
    Slot from, to;
    for (int slot = 0; slot < SLOTS; slot++) {
        before[slot] = clauses_of(walk, blocks[0], field, (Slot)slot);
        after[slot] = clauses_of(walk, blocks[1], field, (Slot)slot);
    }
    if (changed_slot(before, after, &from, &to)) {
        const Clause *a = before[from].at[0], *b = after[to].at[0];
        pair(walk, blocks, a, b, a->reading, b->reading);
        return;
    }
    for (int slot = 0; slot < SLOTS; slot++)
        if (before[slot].count || after[slot].count) compare_slot(walk, blocks, &before[slot], &after[slot]);
}

/* ------------------------------------------------------------------ a block */

/* Told elsewhere: old names as renames, judgements among the rules, and of a rule its condition and what it
 * tells. */
static bool told_elsewhere(const DiffWalk *walk, const Field *field)
{
    if (walk->owner_kind == BLOCK_RULE)
        return field->type == TYPE_CONDITION || field == FIELD_ROW(ERROR) || field == FIELD_ROW(WARNING) ||
               field == FIELD_ROW(NOTE) || field == FIELD_ROW(WAS);
    return field == FIELD_ROW(WAS) || field->type == TYPE_JUDGE;
}

void diff_clauses(DiffWalk *walk, const Block *before, const Block *after)
{
    const Block *blocks[2] = {before, after};
    bool seen[FIELD_COUNT_LIMIT] = {false};
    for (int side = 0; side < 2; side++)
        for (const Clause *clause = blocks[side] ? blocks[side]->clauses : NULL; clause;
             clause = clause->next) {
            if (seen[clause->field->number] || told_elsewhere(walk, clause->field)) continue;
            seen[clause->field->number] = true;
            compare_field(walk, blocks, clause->field);
        }
}
