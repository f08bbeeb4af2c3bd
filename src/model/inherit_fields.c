/* The clauses of a block in all layers, laid over each other.
 *
 * Given a block as base, practices and protocol have it, makes its effective clauses, field by field. What a
 * layer may do to the one below depends on the field: limits are replaced, duties and cautions add up.
 * Practices stand beside each other: what they limit is what both allow, what they ask for is what either
 * asks for, all else must be equal unless the protocol itself says it.
 */
#include "model/inherit.h"

static bool slot_has(const Clause *clause, Slot slot)
{
    if (slot == SLOT_PREFER) return clause->strength == STRENGTH_PREFER;
    return clause->strength == STRENGTH_PLAIN || clause->strength == STRENGTH_MUST;
}

static const Clause *slot_clause(const Block *block, const Field *field, Slot slot)
{
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next)
        if (clause->field == field && slot_has(clause, slot)) return clause;
    return NULL;
}

static void append(Clause **first, Clause *clause)
{
    while (*first) first = &(*first)->next;
    *first = clause;
}

Clause *clause_copy(Layering *layering, const Clause *clause)
{
    Drops nothing = {0};
    return drops_spare(layering, &nothing, clause);
}

Clause *clauses_said(Layering *layering, const Block *block, const Field *field, Slot slot)
{
    Clause *said = NULL;
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next)
        if (clause->field == field && slot_has(clause, slot)) append(&said, clause_copy(layering, clause));
    return said;
}

static Clause *spared(Layering *layering, Drops *drops, const Clause *said)
{
    Clause *left = NULL;
    for (const Clause *clause = said; clause; clause = clause->next) {
        Clause *spared = drops_spare(layering, drops, clause);
        if (spared) append(&left, spared);
    }
    return left;
}

/* ------------------------------------------------------------------ over the base */

static bool has_reason(const Clause *said)
{
    for (const Clause *clause = said; clause; clause = clause->next)
        if (clause->item->because.length) return true;
    return false;
}

static void check_widened(Layering *layering, const Clause *over, const Clause *base, const char *id)
{
    const Field *field = over->field;
    const Reading *now = clauses_joined(layering->arena, over),
                  *before = clauses_joined(layering->arena, base);
    if (!role_judges(field->role) || has_reason(over) || !now || !before) return;
    Truth inside =
        field->role == ROLE_DUTY ? limit_within(field, before, now) : limit_within(field, now, before);
    if (inside != TRUTH_FALSE) return;
    Note *note =
        notes_add(layering->notes, SEVERITY_WARNING, "widened-without-reason", clause_value_place(over),
                  "%s goes outside what the base allows, and no reason is given", field->spelling);
    note->subject = id;
    note->found = reading_print(layering->arena, field, now, NULL);
    note->allowed = reading_print(layering->arena, field, before, NULL);
    note->instead = "add because \"…\", or stay inside";
    note_place(note, clause_place(base), "the base says");
}

/* The nearest layer's clauses of a slot, over the base's. True: a layer above the base has some. */
static bool lay_slot(Layering *layering, const Layers *layers, Drops *drops, const Field *field, Slot slot,
                     Block *into)
{
    bool clash = false;
    Clause *over = clauses_said(layering, layers->own, field, slot);
    if (!over)
        over = spared(layering, drops, practices_said(layering, layers, field, slot, into->id, &clash));
    Clause *base = spared(layering, drops, clauses_said(layering, layers->base, field, slot));
    append(&into->clauses, over || clash ? over : base);
    for (Clause *clause = over; clause && base; clause = clause->next) {
        clause->replaced = base;
        if (slot == SLOT_LIMIT && base->strength == STRENGTH_MUST) clause->strength = STRENGTH_MUST;
    }
    if (over && base && slot == SLOT_LIMIT) check_widened(layering, over, base, into->id);
    return over;
}

/* ------------------------------------------------------------------ what adds up */

static bool same_language(const Clause *a, const Clause *b)
{
    Name x = a->reading ? a->reading->language : NULL, y = b->reading ? b->reading->language : NULL;
    return x == y;
}

static const Clause *in_language(const Block *block, const Clause *like)
{
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next)
        if (clause->field == like->field && same_language(clause, like)) return clause;
    return NULL;
}

/* Whether a layer above says a text in its language; two practices that say it differently disagree. */
static bool is_said_above(Layering *layering, const Layers *layers, size_t layer, const Clause *clause,
                          const char *id)
{
    if (layer + 1 == layers_count(layers)) return false;
    if (in_language(layers->own, clause)) return true;
    for (size_t i = layer + 1; i + 1 < layers_count(layers); i++) {
        const Clause *other = in_language(layer_at(layers, i), clause);
        if (!other) continue;
        if (layer > 0 && clause->reading && other->reading && !reading_equal(clause->reading, other->reading))
            practices_disagree(layering, clause->field->spelling, clause_place(clause), clause_place(other),
                               id);
        return true;
    }
    return false;
}

typedef enum Adding { ADD_ALL, ADD_NEVER, ADD_BY_LANGUAGE } Adding;

/* Clauses of all layers add up: all of a field, what it must never be, or its texts, replaced language by
 * language. */
static void lay_all(Layering *layering, const Layers *layers, Drops *drops, const Field *field, Adding adding,
                    Block *into)
{
    for (size_t layer = 0; layer < layers_count(layers); layer++) {
        const Block *block = layer_at(layers, layer);
        for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next) {
            if (clause->field != field || (adding == ADD_NEVER && clause->strength != STRENGTH_NEVER))
                continue;
            Clause *left =
                block == layers->own ? clause_copy(layering, clause) : drops_spare(layering, drops, clause);
            bool replaced =
                adding == ADD_BY_LANGUAGE && is_said_above(layering, layers, layer, clause, into->id);
            if (left && !replaced) append(&into->clauses, left);
        }
    }
}

/* ------------------------------------------------------------------ one field */

static bool is_own_alone(const Field *field)
{
    static const FieldNumber alone[] = {FIELD_NUMBER_BASED_ON, FIELD_NUMBER_WITH,  FIELD_NUMBER_BASE,
                                        FIELD_NUMBER_WAS,      FIELD_NUMBER_DROP,  FIELD_NUMBER_ACCEPT,
                                        FIELD_NUMBER_AFTER,    FIELD_NUMBER_BEFORE};
    for (size_t i = 0; i < sizeof alone / sizeof *alone; i++)
        if (field->number == alone[i]) return true;
    return false;
}

/* Cautions are spoken too, but none replaces another. */
static bool adds_up(const Field *field)
{
    return field->type == TYPE_FIELDS || (field->flags & FIELD_UNSILENCED && field->flags & FIELD_SPOKEN) ||
           (field->role == ROLE_TEXT && field->flags & FIELD_REPEATS && !(field->flags & FIELD_SPOKEN));
}

static void lay_field(Layering *layering, const Layers *layers, Drops *drops, const Field *field, Block *into)
{
    if (is_own_alone(field)) {
        Layers own = {.own = layers->own};
        lay_all(layering, &own, drops, field, ADD_ALL, into);
        return;
    }
    if (adds_up(field) || field->flags & FIELD_SPOKEN) {
        lay_all(layering, layers, drops, field, adds_up(field) ? ADD_ALL : ADD_BY_LANGUAGE, into);
        return;
    }
    bool limit_over = lay_slot(layering, layers, drops, field, SLOT_LIMIT, into);
    /* a changed limit loses the prefer that went with the old one */
    Layers upper = *layers;
    if (limit_over) upper.base = NULL;
    if (slot_clause(layers->own, field, SLOT_LIMIT)) upper.practice_count = 0;
    lay_slot(layering, &upper, drops, field, SLOT_PREFER, into);
    lay_all(layering, layers, drops, field, ADD_NEVER, into);
}

void fields_lay(Layering *layering, const Layers *layers, Drops *drops, Block *into)
{
    bool *seen = ARENA_ARRAY(layering->arena, bool, FIELD_COUNT_LIMIT);
    for (size_t layer = 0; layer < layers_count(layers); layer++) {
        const Block *block = layer_at(layers, layer);
        for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next) {
            if (seen[clause->field->number]) continue;
            seen[clause->field->number] = true;
            lay_field(layering, layers, drops, clause->field, into);
        }
    }
}
