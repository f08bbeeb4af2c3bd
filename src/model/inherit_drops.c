/* What an heir takes away: `drop depth`, `drop ask stands`, `drop never condition wilted`, `drop task feed`,
 * `drop schedule mist`.
 *
 * Given the drops of a block and a clause of a layer below, makes what is left of the clause. A drop that
 * found nothing, or says no reason, is reported.
 */
#include "model/inherit.h"

size_t drops_of(Layering *layering, const Block *own, Drop **drops)
{
    VEC(Drop) found = {0};
    for (const Clause *clause = own ? own->clauses : NULL; clause; clause = clause->next)
        if (clause->field == FIELD_ROW(DROP) && clause->reading)
            VEC_PUSH(layering->arena, &found, ((Drop){clause, false}));
    *drops = found.at;
    return found.count;
}

bool drop_block(Drop *drops, size_t count, BlockKind kind, Name name)
{
    for (size_t i = 0; i < count; i++) {
        const Reading *reading = drops[i].clause->reading;
        if (reading->drop_block != kind || reading->words[0].name != name) continue;
        drops[i].used = true;
        return true;
    }
    return false;
}

void drops_check(Layering *layering, const Drop *drops, size_t count, const char *id)
{
    for (size_t i = 0; i < count; i++) {
        const Clause *clause = drops[i].clause;
        if (!clause->item->because.length)
            notes_add(layering->notes, SEVERITY_ERROR, "reason", clause_place(clause),
                      "what is taken away needs a reason: because \"…\"")
                ->subject = id;
        if (!drops[i].used)
            notes_add(layering->notes, SEVERITY_ERROR, "idle-drop", clause_place(clause),
                      "nothing of that name was inherited here")
                ->subject = id;
    }
}

static bool names_field(const Reading *drop, const Clause *clause)
{
    if (drop->drop_block != BLOCK_NONE || !slice_is(name_slice(drop->words[0].name), clause->field->spelling))
        return false;
    return drop->drop_any_strength || clause->strength == drop->drop_strength;
}

/* `drop say es`, `drop ask stands`, `drop strip tip`: of the clause only what stands behind the field's name.
 * False: it says nothing of that. A clause of which nothing is left gets no reading. */
static bool take_part(Arena *arena, const Reading *drop, Clause *clause)
{
    const Word *words = drop->words + 1;
    size_t count = drop->word_count - 1;
    const Reading *reading = clause->reading;
    if (reading && (clause->field->flags & FIELD_SPOKEN)) {
        if (count != 1 || reading->language != words[0].name) return false;
        clause->reading = NULL;
        return true;
    }
    const Reading *left = reading ? limit_less(arena, reading, words, count) : NULL;
    if (left && left->word_count == reading->word_count) return false;
    clause->reading = left;
    return true;
}

/* `drop must F` only makes it plain. */
Clause *drops_spare(Layering *layering, Drops *drops, const Clause *clause)
{
    Clause *spared = ARENA_NEW(layering->arena, Clause);
    *spared = *clause;
    spared->next = NULL;
    for (size_t i = 0; i < drops->count; i++) {
        const Reading *drop = drops->at[i].clause->reading;
        if (!names_field(drop, clause)) continue;
        bool in_part = drop->word_count > 1;
        if (in_part && !take_part(layering->arena, drop, spared)) continue;
        drops->at[i].used = true;
        if (in_part && spared->reading) continue;
        if (in_part || drop->drop_any_strength || drop->drop_strength != STRENGTH_MUST) return NULL;
        spared->strength = STRENGTH_PLAIN;
    }
    return spared;
}
