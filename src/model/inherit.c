/* Inheritance: a protocol's own text laid over its practices, and these over its base.
 *
 * Works block by block and field by field. What a layer may do to the one below depends on the field's role:
 * limits are replaced, duties and cautions add up, what must be equal among practices is compared. The
 * meaning is in docs/language.md, "Inheritance". Stages have their own file, inherit_stages.c.
 */
#include "model/inherit.h"

#include "model/limit.h"
#include "model/protocol.h"

/* ------------------------------------------------------------------ taking away */

/* `drop ask licence` takes away a clause that asks for nothing else; of a longer one the rest stays
 * (without_dropped). */
static bool drop_asks_all(const Reading *drop, const Clause *clause)
{
    for (size_t i = 0; i < clause->reading->word_count; i++) {
        bool named = false;
        for (size_t k = 1; k < drop->word_count; k++)
            named = named || drop->words[k].name == clause->reading->words[i].name;
        if (!named) return false;
    }
    return true;
}

static bool drop_hits(const Reading *drop, const Clause *clause)
{
    if (drop->drop_block != BLOCK_NONE || !slice_is(name_slice(drop->words[0].name), clause->field->spelling))
        return false;
    if (clause->field->type == TYPE_FIELDS && drop->word_count > 1) return drop_asks_all(drop, clause);
    if (drop->drop_any_strength) return true;
    if (drop->drop_strength == STRENGTH_MUST) return clause->strength == STRENGTH_MUST;
    return clause->strength == drop->drop_strength;
}

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

/* Whether an inherited clause survives; `drop must F` only makes it plain. */
static bool survives(Drop *drops, size_t count, const Clause *clause, Strength *strength)
{
    for (size_t i = 0; i < count; i++) {
        const Reading *reading = drops[i].clause->reading;
        if (!drop_hits(reading, clause)) continue;
        drops[i].used = true;
        if (!reading->drop_any_strength && reading->drop_strength == STRENGTH_MUST)
            *strength = STRENGTH_PLAIN;
        else
            return false;
    }
    return true;
}

/* ------------------------------------------------------------------ one field */

bool slot_has(const Clause *clause, Slot slot)
{
    if (slot == SLOT_PREFER) return clause->strength == STRENGTH_PREFER;
    return clause->strength == STRENGTH_PLAIN || clause->strength == STRENGTH_MUST;
}

const Clause *slot_clause(const Block *block, const Field *field, Slot slot)
{
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next)
        if (clause->field == field && slot_has(clause, slot)) return clause;
    return NULL;
}

Clause *clause_copy(Layering *layering, const Clause *clause)
{
    Clause *copied = ARENA_NEW(layering->arena, Clause);
    *copied = *clause;
    copied->next = NULL;
    return copied;
}

static void append(Block *block, Clause *clause)
{
    Clause **end = &block->clauses;
    while (*end) end = &(*end)->next;
    *end = clause;
}

static void check_widened(Layering *layering, const Clause *clause, const Clause *base, const char *id)
{
    if (!role_judges(clause->field->role) || clause->item->because.length || !clause->reading ||
        !base->reading)
        return;
    Truth inside = clause->field->role == ROLE_DUTY
                       ? limit_within(clause->field, base->reading, clause->reading)
                       : limit_within(clause->field, clause->reading, base->reading);
    if (inside != TRUTH_FALSE) return;
    Note *note =
        notes_add(layering->notes, SEVERITY_WARNING, "widened-without-reason", clause_value_place(clause),
                  "%s goes outside what the base allows, and no reason is given", clause->field->spelling);
    note->subject = id;
    note->found = reading_print(layering->arena, clause->field, clause->reading, NULL);
    note->allowed = reading_print(layering->arena, base->field, base->reading, NULL);
    note->instead = "add because \"…\", or stay inside";
    note_place(note, clause_place(base), "the base says");
}

/* A single-valued field: the nearest layer's clause of a slot, over the base's. */
static const Clause *lay_slot(Layering *layering, const Layers *layers, Drops *drops, const Field *field,
                              Slot slot, Block *into)
{
    const Clause *own = slot_clause(layers->own, field, slot);
    const Clause *over = own ? own : practices_united(layering, layers, field, slot, into->id);
    const Clause *base = slot_clause(layers->base, field, slot);
    Strength base_strength = base ? base->strength : STRENGTH_PLAIN;
    Strength over_strength = over ? over->strength : STRENGTH_PLAIN;
    if (!own && over && !survives(drops->at, drops->count, over, &over_strength)) over = NULL;
    if (base && !survives(drops->at, drops->count, base, &base_strength)) base = NULL;
    if (!over && !base) return NULL;
    Clause *clause = clause_copy(layering, over ? over : base);
    if (over) clause->strength = over_strength;
    if (over && base) {
        clause->replaced = base;
        if (slot == SLOT_LIMIT && base_strength == STRENGTH_MUST) clause->strength = STRENGTH_MUST;
        if (slot == SLOT_LIMIT) check_widened(layering, clause, base, into->id);
    } else if (!over) {
        clause->strength = base_strength;
    }
    append(into, clause);
    return over;
}

static bool same_language(const Clause *a, const Clause *b)
{
    Name x = a->reading ? a->reading->language : NULL, y = b->reading ? b->reading->language : NULL;
    return x == y;
}

static bool has_language(const Block *block, const Clause *like)
{
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next)
        if (clause->field == like->field && same_language(clause, like)) return true;
    return false;
}

/* Spoken texts are replaced language by language (say), unless all of them add up (caution). */
static void lay_spoken(Layering *layering, const Layers *layers, Drops *drops, const Field *field,
                       Block *into)
{
    bool adds_up = (field->flags & FIELD_UNSILENCED) != 0;
    for (size_t layer = 0; layer < layers->practice_count + 2; layer++) {
        const Block *block = layer == 0                        ? layers->base
                             : layer <= layers->practice_count ? layers->practices[layer - 1]
                                                               : layers->own;
        for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next) {
            if (clause->field != field) continue;
            Strength strength = clause->strength;
            if (block != layers->own && !survives(drops->at, drops->count, clause, &strength)) continue;
            bool replaced = !adds_up && block != layers->own && has_language(layers->own, clause);
            for (size_t later = layer; later < layers->practice_count && !adds_up; later++)
                replaced = replaced || has_language(layers->practices[later], clause);
            if (!replaced) append(into, clause_copy(layering, clause));
        }
    }
}

/* Lists whose clauses of all layers add up. */
static void lay_all(Layering *layering, const Layers *layers, Drops *drops, const Field *field,
                    bool only_never, Block *into)
{
    for (size_t layer = 0; layer < layers->practice_count + 2; layer++) {
        const Block *block = layer == 0                        ? layers->base
                             : layer <= layers->practice_count ? layers->practices[layer - 1]
                                                               : layers->own;
        for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next) {
            if (clause->field != field || (only_never && clause->strength != STRENGTH_NEVER)) continue;
            Strength strength = clause->strength;
            if (block != layers->own && !survives(drops->at, drops->count, clause, &strength)) continue;
            append(into, clause_copy(layering, clause));
        }
    }
}

/* Fields that may stand twice: the nearest layer that has any gives them all; several practices give what
 * they have in common. */
static bool lay_repeated(Layering *layering, const Layers *layers, Drops *drops, const Field *field,
                         Slot slot, Block *into)
{
    const Block *giver = slot_clause(layers->own, field, slot) ? layers->own : NULL;
    if (!giver && practices_with(layers, field, slot) > 1)
        return lay_slot(layering, layers, drops, field, slot, into) != NULL;
    for (size_t i = 0; i < layers->practice_count && !giver; i++)
        if (slot_clause(layers->practices[i], field, slot)) giver = layers->practices[i];
    bool over = giver != NULL;
    const Clause *base = slot_clause(layers->base, field, slot);
    if (!giver) giver = layers->base;
    for (const Clause *clause = giver ? giver->clauses : NULL; clause; clause = clause->next) {
        if (clause->field != field || !slot_has(clause, slot)) continue;
        Strength strength = clause->strength;
        if (giver != layers->own && !survives(drops->at, drops->count, clause, &strength)) continue;
        Clause *copied = clause_copy(layering, clause);
        copied->strength = strength;
        if (over && base) {
            copied->replaced = base;
            if (base->strength == STRENGTH_MUST && slot == SLOT_LIMIT) copied->strength = STRENGTH_MUST;
        }
        append(into, copied);
    }
    if (base && over) { /* a drop beside an own list still says which of the two it takes away */
        Strength strength = base->strength;
        (void)survives(drops->at, drops->count, base, &strength);
    }
    return over;
}

static bool is_own_alone(const Field *field)
{
    static const FieldNumber alone[] = {FIELD_NUMBER_BASED_ON, FIELD_NUMBER_WITH,  FIELD_NUMBER_BASE,
                                        FIELD_NUMBER_WAS,      FIELD_NUMBER_DROP,  FIELD_NUMBER_ACCEPT,
                                        FIELD_NUMBER_AFTER,    FIELD_NUMBER_BEFORE};
    for (size_t i = 0; i < sizeof alone / sizeof *alone; i++)
        if (field->number == alone[i]) return true;
    return false;
}

static void lay_field(Layering *layering, const Layers *layers, Drops *drops, const Field *field, Block *into)
{
    if (is_own_alone(field)) {
        Layers own = {.own = layers->own};
        lay_all(layering, &own, drops, field, false, into);
        return;
    }
    if (field->flags & FIELD_SPOKEN) {
        lay_spoken(layering, layers, drops, field, into);
        return;
    }
    bool listed = field->type == TYPE_FIELDS || (field->role == ROLE_TEXT && (field->flags & FIELD_REPEATS));
    if (listed) {
        lay_all(layering, layers, drops, field, false, into);
        return;
    }
    bool limit_over = (field->flags & FIELD_REPEATS)
                          ? lay_repeated(layering, layers, drops, field, SLOT_LIMIT, into)
                          : lay_slot(layering, layers, drops, field, SLOT_LIMIT, into) != NULL;
    /* a changed limit loses the prefer that went with the old one */
    Layers upper = *layers;
    if (limit_over) upper.base = NULL;
    if (slot_clause(layers->own, field, SLOT_LIMIT)) upper.practice_count = 0;
    if (field->flags & FIELD_REPEATS)
        lay_repeated(layering, &upper, drops, field, SLOT_PREFER, into);
    else
        lay_slot(layering, &upper, drops, field, SLOT_PREFER, into);
    lay_all(layering, layers, drops, field, true, into);
}

/* ------------------------------------------------------------------ one block */

static void lay_fields_of(Layering *layering, const Layers *layers, Drops *drops, const Block *block,
                          bool *seen, Block *into)
{
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next) {
        if (seen[clause->field->number]) continue;
        seen[clause->field->number] = true;
        lay_field(layering, layers, drops, clause->field, into);
    }
}

static const Block *first_block(const Layers *layers)
{
    if (layers->own) return layers->own;
    return layers->practice_count ? layers->practices[layers->practice_count - 1] : layers->base;
}

/* The children of one kind and name in every layer, laid over each other. */
static void lay_child(Layering *layering, const Layers *layers, const Block *child, const char *id,
                      Block ***end)
{
    Layers below = {.practices = ARENA_ARRAY(layering->arena, const Block *, layers->practice_count)};
    below.base = block_child(layers->base, child->type->kind, child->name);
    below.own = block_child(layers->own, child->type->kind, child->name);
    for (size_t i = 0; i < layers->practice_count; i++) {
        const Block *found = block_child(layers->practices[i], child->type->kind, child->name);
        if (found) below.practices[below.practice_count++] = found;
    }
    if (child->type->kind == BLOCK_SCHEDULE) { /* replaced whole, never line by line */
        if (below.own) below.practice_count = 0;
        if (below.own || below.practice_count) below.base = NULL;
    }
    Block *laid = layers_lay(layering, &below, id);
    **end = laid;
    *end = &laid->next;
}

static bool comes_first(const Layers *layers, size_t layer, const Block *child)
{
    for (size_t i = 0; i < layer; i++) {
        const Block *block = i == 0 ? layers->base : layers->practices[i - 1];
        if (block_child(block, child->type->kind, child->name)) return false;
    }
    const Block *own_layer = layer == 0                        ? layers->base
                             : layer <= layers->practice_count ? layers->practices[layer - 1]
                                                               : layers->own;
    return block_child(own_layer, child->type->kind, child->name) == child;
}

/* What to do at which count has no name to lay one over the other: the nearest layer that has any gives them
 * all. */
static void lay_acts(Layering *layering, const Layers *layers, Block ***end)
{
    const Block *giver = block_child(layers->own, BLOCK_ACT, NULL) ? layers->own : NULL;
    for (size_t i = 0; i < layers->practice_count && !giver; i++)
        if (block_child(layers->practices[i], BLOCK_ACT, NULL)) giver = layers->practices[i];
    if (!giver) giver = layers->base;
    for (const Block *child = giver ? giver->blocks : NULL; child; child = child->next) {
        if (child->type->kind != BLOCK_ACT) continue;
        Block *copied = ARENA_NEW(layering->arena, Block);
        *copied = *child;
        copied->next = NULL;
        **end = copied;
        *end = &copied->next;
    }
}

static void lay_children(Layering *layering, const Layers *layers, Drops *drops, Block *into)
{
    Block **end = &into->blocks;
    for (size_t layer = 0; layer < layers->practice_count + 2; layer++) {
        const Block *block = layer == 0                        ? layers->base
                             : layer <= layers->practice_count ? layers->practices[layer - 1]
                                                               : layers->own;
        for (const Block *child = block ? block->blocks : NULL; child; child = child->next) {
            if (child->type->kind == BLOCK_STAGE || child->type->kind == BLOCK_ACT ||
                !comes_first(layers, layer, child))
                continue;
            if (block != layers->own && drop_block(drops->at, drops->count, child->type->kind, child->name))
                continue;
            const char *own = child->name ? child->name->text : child->type->spelling;
            lay_child(layering, layers, child, arena_print(layering->arena, "%s/%s", into->id, own), &end);
        }
    }
    lay_acts(layering, layers, &end);
    if (into->type->kind == BLOCK_PROTOCOL) stages_lay(layering, layers, drops, into, end);
}

Block *layers_lay(Layering *layering, const Layers *layers, const char *id)
{
    const Block *model = first_block(layers);
    Block *into = ARENA_NEW(layering->arena, Block);
    *into = *model;
    into->id = id;
    into->clauses = NULL;
    into->blocks = NULL;
    into->next = NULL;
    into->latent = false;
    if (!into->title.length && layers->base) into->title = layers->base->title;
    Drops drops;
    drops.count = drops_of(layering, layers->own, &drops.at);
    bool *seen = ARENA_ARRAY(layering->arena, bool, FIELD_COUNT_LIMIT);
    lay_fields_of(layering, layers, &drops, layers->base, seen, into);
    for (size_t i = 0; i < layers->practice_count; i++)
        lay_fields_of(layering, layers, &drops, layers->practices[i], seen, into);
    lay_fields_of(layering, layers, &drops, layers->own, seen, into);
    lay_children(layering, layers, &drops, into);
    drops_check(layering, drops.at, drops.count, id);
    return into;
}

/* ------------------------------------------------------------------ protocols */

static void unknown_name(Nursery *nursery, BlockKind kind, const Word *word, const char *subject)
{
    const Block *now = nursery_renamed(nursery, kind, name_slice(word->name));
    if (now) {
        nursery_note_retired(nursery, SEVERITY_ERROR, now, word->span)->subject = subject;
        return;
    }
    Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "unknown-word", word->span, "there is no %s '%s'",
                           block_types[kind].spelling, word->name->text);
    note->subject = subject;
    note->instead = nursery_nearest(nursery, kind, name_slice(word->name));
}

static void resolve(Nursery *nursery, Protocol *protocol, int depth);

static Protocol *base_of(Nursery *nursery, Protocol *protocol, int depth)
{
    const Clause *clause = block_clause(protocol->written, FIELD_ROW(BASED_ON));
    if (!clause || !clause->reading) return NULL;
    const Word *word = &clause->reading->words[0];
    Protocol *base = nursery_protocol(nursery, word->name);
    if (!base) {
        unknown_name(nursery, BLOCK_PROTOCOL, word, protocol->name->text);
        protocol->broken = true;
        return NULL;
    }
    if (base->mark == 1 || depth >= PROTOCOL_CHAIN) {
        Note *note =
            notes_add(nursery->notes, SEVERITY_ERROR, "inheritance-loop", word->span,
                      base->mark == 1 ? "%s is based on itself, by way of %s"
                                      : "%s is based on more than 32 others, one upon the other, from %s on",
                      protocol->name->text, word->name->text);
        note->subject = protocol->name->text;
        note_place(note, base->written->name_span, "this protocol");
        protocol->broken = true;
        return NULL;
    }
    resolve(nursery, base, depth + 1);
    if (base->broken) protocol->broken = true;
    return base->broken ? NULL : base;
}

static void list_practices(Nursery *nursery, const Protocol *protocol, Layers *layers)
{
    VEC(const Block *) practices = {0};
    for (const Clause *clause = protocol->written->clauses; clause; clause = clause->next) {
        if (clause->field != FIELD_ROW(WITH) || !clause->reading) continue;
        for (size_t i = 0; i < clause->reading->word_count; i++) {
            const Block *practice = nursery_find(nursery, BLOCK_PRACTICE, clause->reading->words[i].name);
            if (practice)
                VEC_PUSH(nursery->arena, &practices, practice);
            else
                unknown_name(nursery, BLOCK_PRACTICE, &clause->reading->words[i], protocol->name->text);
        }
    }
    layers->practices = practices.at;
    layers->practice_count = practices.count;
}

static void collect_stages(Nursery *nursery, Protocol *protocol)
{
    VEC(const Block *) stages = {0};
    for (const Block *child = protocol->effective->blocks; child; child = child->next)
        if (child->type->kind == BLOCK_STAGE && !child->latent) VEC_PUSH(nursery->arena, &stages, child);
    protocol->stages = stages.at;
    protocol->stage_count = stages.count;
}

static void make_effective(Nursery *nursery, Protocol *protocol, const Layers *layers)
{
    Layering layering = {nursery->arena, nursery->names, nursery->notes, protocol};
    protocol->effective = layers_lay(&layering, layers, protocol->written->id);
    protocol->base = clause_is(block_clause(protocol->written, FIELD_ROW(BASE)), "yes");
    collect_stages(nursery, protocol);
    if (!protocol->base) schedule_make(nursery, protocol);
}

static void resolve(Nursery *nursery, Protocol *protocol, int depth)
{
    if (protocol->mark) return;
    protocol->mark = 1;
    Protocol *base = base_of(nursery, protocol, depth);
    Layers layers = {.base = base ? base->effective : NULL, .own = protocol->written};
    list_practices(nursery, protocol, &layers);
    if (!protocol->broken) make_effective(nursery, protocol, &layers);
    protocol->mark = 2;
}

void inheritance_resolve(Nursery *nursery)
{
    for (size_t i = 0; i < nursery->protocol_count; i++) resolve(nursery, &nursery->protocols[i], 0);
}

void inheritance_alone(Nursery *nursery, Protocol *protocol)
{
    Layers layers = {.own = protocol->written};
    make_effective(nursery, protocol, &layers);
}

/* ------------------------------------------------------------------ looking into one */

const Block *protocol_section(const Protocol *protocol, BlockKind kind)
{
    return protocol->effective ? block_child(protocol->effective, kind, NULL) : NULL;
}

const Clause *protocol_limit(const Protocol *protocol, const Field *field)
{
    const Block *whole = protocol->effective;
    const Clause *found = block_limit(whole, field);
    for (const Block *child = whole ? whole->blocks : NULL; child && !found; child = child->next)
        if (child->type->kind != BLOCK_STAGE && field_stands_in(field, child->type->kind))
            found = block_limit(child, field);
    for (size_t i = 0; i < protocol->stage_count && !found; i++)
        found = block_limit(protocol->stages[i], field);
    return found;
}
