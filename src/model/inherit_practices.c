/* What the practices of a protocol say together.
 *
 * The order in which a protocol names them means nothing, so what they say is laid side by side: limits and
 * preferences keep what is in all of them, duties add up, anything else must be the same unless the protocol
 * says it itself.
 */
#include "model/inherit.h"

const Reading *clauses_joined(Arena *arena, const Clause *said)
{
    const Reading *joined = said->reading;
    for (const Clause *clause = said->next; clause && joined; clause = clause->next)
        joined = clause->reading ? reading_joined(arena, joined, clause->reading) : NULL;
    return joined;
}

void practices_disagree(Layering *layering, const char *what, Span a, Span b, const char *id)
{
    Note *note = notes_add(layering->notes, SEVERITY_ERROR, "practices-disagree", b,
                           "two practices of %s say %s differently", layering->protocol->name->text, what);
    note->subject = id;
    note->instead = "say it in the protocol itself, or leave one practice out";
    note_place(note, a, "the other practice");
}

static void wish_for_nothing(Layering *layering, const Clause *a, const Clause *b, const char *id)
{
    Note *note = notes_add(layering->notes, SEVERITY_WARNING, "practices-disagree", clause_place(b),
                           "two practices of %s prefer %s differently, so nothing is preferred",
                           layering->protocol->name->text, a->field->spelling);
    note->subject = id;
    note->instead = "say it in the protocol itself, or leave one practice out";
    note_place(note, clause_place(a), "the other practice");
}

/* What two practices say together; NULL: they disagree. */
static const Reading *both_of(Arena *arena, const Field *field, const Reading *a, const Reading *b)
{
    if (reading_equal(a, b)) return a;
    if (field->role == ROLE_DUTY) return a->of_a_sample == b->of_a_sample ? limit_united(arena, a, b) : NULL;
    bool comparable = a->any || b->any || limit_disjoint(field, a, b) != TRUTH_UNSURE;
    return role_judges(field->role) && comparable ? limit_both(arena, field, a, b) : NULL;
}

/* Lays what one more practice says into what those before it say. False: they wish for different things. */
static bool unite(Layering *layering, Slot slot, Clause *result, const Clause *said, const char *id)
{
    const Reading *a = clauses_joined(layering->arena, result), *b = clauses_joined(layering->arena, said);
    if (!a || !b) return true;
    const Reading *both = both_of(layering->arena, result->field, a, b);
    if (!both && slot == SLOT_PREFER) {
        wish_for_nothing(layering, result, said, id);
        return false;
    }
    if (!both) {
        practices_disagree(layering, result->field->spelling, clause_place(result), clause_place(said), id);
        return true;
    }
    bool stricter = said->strength == STRENGTH_MUST && result->strength != STRENGTH_MUST;
    const Clause first = *result;
    if (stricter) *result = *said;
    result->reading = both;
    result->agreed = stricter ? clause_copy(layering, &first) : said;
    result->next = NULL;
    return true;
}

Clause *practices_said(Layering *layering, const Layers *layers, const Field *field, Slot slot,
                       const char *id, bool *clash)
{
    Clause *result = NULL;
    for (size_t i = 0; i < layers->practice_count; i++) {
        Clause *said = clauses_said(layering, layers->practices[i], field, slot);
        if (!result)
            result = said;
        else if (said && !unite(layering, slot, result, said, id))
            *clash = true;
    }
    return *clash ? NULL : result;
}

/* ------------------------------------------------------------------ what is taken whole */

static bool same_clauses(const Block *a, const Block *b)
{
    const Clause *x = a->clauses, *y = b->clauses;
    for (; x && y; x = x->next, y = y->next) {
        if (x->field != y->field || x->strength != y->strength) return false;
        if (x->reading && y->reading && !reading_equal(x->reading, y->reading)) return false;
    }
    return !x && !y;
}

static const Block *next_of(const Block *block, BlockKind kind)
{
    while (block && block->type->kind != kind) block = block->next;
    return block;
}

/* The blocks of a kind inside two others say the same, in the same order. */
static bool same_blocks(const Block *a, const Block *b, BlockKind kind)
{
    const Block *x = next_of(a->blocks, kind), *y = next_of(b->blocks, kind);
    for (; x && y && same_clauses(x, y); x = next_of(x->next, kind), y = next_of(y->next, kind)) {
    }
    return !x && !y;
}

void practices_compare(Layering *layering, const Block *a, const Block *b, const char *id)
{
    if (!same_clauses(a, b)) practices_disagree(layering, a->type->spelling, a->name_span, b->name_span, id);
}

const Block *practices_acting(Layering *layering, const Layers *layers, const char *id)
{
    const Block *giver = NULL;
    for (size_t i = 0; i < layers->practice_count; i++) {
        const Block *practice = layers->practices[i];
        if (!block_child(practice, BLOCK_ACT, NULL)) continue;
        if (!giver)
            giver = practice;
        else if (!same_blocks(giver, practice, BLOCK_ACT))
            practices_disagree(layering, block_types[BLOCK_ACT].spelling,
                               block_child(giver, BLOCK_ACT, NULL)->name_span,
                               block_child(practice, BLOCK_ACT, NULL)->name_span, id);
    }
    return giver;
}

Slice practices_title(Layering *layering, const Layers *layers, const char *id)
{
    const Block *giver = NULL;
    for (size_t i = 0; i < layers->practice_count; i++) {
        const Block *practice = layers->practices[i];
        if (!practice->title.length) continue;
        if (!giver)
            giver = practice;
        else if (!slice_equal(giver->title, practice->title))
            practices_disagree(layering, "its title", giver->name_span, practice->name_span, id);
    }
    return giver ? giver->title : (Slice){0};
}
