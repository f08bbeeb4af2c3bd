/* What several practices say together of one field.
 *
 * The order in which a protocol names them means nothing, so what they say is laid side by side: limits and
 * preferences keep what is in all of them, duties add up, anything else must be the same.
 */
#include "model/inherit.h"

#include "model/limit.h"

size_t practices_with(const Layers *layers, const Field *field, Slot slot)
{
    size_t count = 0;
    for (size_t i = 0; i < layers->practice_count; i++)
        count += slot_clause(layers->practices[i], field, slot) != NULL;
    return count;
}

static void disagree(Layering *layering, const Clause *a, const Clause *b, const char *id)
{
    Note *note = notes_add(layering->notes, SEVERITY_ERROR, "practices-disagree", clause_place(b),
                           "two practices of %s say %s differently", layering->protocol->name->text,
                           a->field->spelling);
    note->subject = id;
    note->instead = "say it in the protocol itself, or leave one practice out";
    note_place(note, clause_place(a), "the other practice");
}

/* All that a block says of a field in a slot, as one clause: of a field that repeats its clauses are one
 * list. */
static Clause *whole_in(Layering *layering, const Block *block, const Field *field, Slot slot)
{
    Clause *whole = NULL;
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next) {
        if (clause->field != field || !slot_has(clause, slot)) continue;
        if (!whole) {
            whole = clause_copy(layering, clause);
            if (!(field->flags & FIELD_REPEATS)) return whole;
        } else {
            whole->reading = whole->reading && clause->reading
                                 ? reading_joined(layering->arena, whole->reading, clause->reading)
                                 : NULL;
            if (clause->strength == STRENGTH_MUST) whole->strength = STRENGTH_MUST;
        }
    }
    return whole;
}

/* What is preferred in two ways that have nothing in common is preferred in none. */
static void prefer_nothing(Layering *layering, const Clause *a, const Clause *b, const char *id)
{
    Note *note = notes_add(layering->notes, SEVERITY_WARNING, "practices-disagree", clause_place(b),
                           "two practices of %s prefer %s differently, so nothing is preferred",
                           layering->protocol->name->text, a->field->spelling);
    note->subject = id;
    note->instead = "say it in the protocol itself, or leave one practice out";
    note_place(note, clause_place(a), "the other practice");
}

/* What practices together say of a field in a slot; the protocol's own clause would win, so it is asked only
 * without one. */
const Clause *practices_united(Layering *layering, const Layers *layers, const Field *field, Slot slot,
                               const char *id)
{
    Clause *result = NULL;
    for (size_t i = 0; i < layers->practice_count; i++) {
        Clause *clause = whole_in(layering, layers->practices[i], field, slot);
        if (!clause) continue;
        if (!result) {
            result = clause;
            continue;
        }
        if (!clause->reading || !result->reading) continue;
        const Reading *both;
        if (field->role == ROLE_DUTY)
            both = limit_united(layering->arena, result->reading, clause->reading);
        else if (role_judges(field->role))
            both = limit_both(layering->arena, field, result->reading, clause->reading);
        else
            both = reading_equal(result->reading, clause->reading) ? result->reading : NULL;
        if (!both && slot == SLOT_PREFER) {
            prefer_nothing(layering, result, clause, id);
            return NULL;
        }
        if (!both) {
            disagree(layering, result, clause, id);
            continue;
        }
        result->reading = both;
        result->agreed = clause;
        if (clause->strength == STRENGTH_MUST) result->strength = STRENGTH_MUST;
    }
    return result;
}
