/* Inheritance: a protocol's own text laid over its practices, and these over its base.
 *
 * Given the blocks of all layers, makes the effective protocol, block by block. The meaning is in
 * docs/language.md, "Inheritance". Clauses are laid in inherit_fields.c, stages in inherit_stages.c, and what
 * an heir takes away is found in inherit_drops.c.
 */
#include "model/inherit.h"

#include <stdlib.h>

/* ------------------------------------------------------------------ one block */

const Block *layer_at(const Layers *layers, size_t index)
{
    if (index == 0) return layers->base;
    return index <= layers->practice_count ? layers->practices[index - 1] : layers->own;
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
        for (; below.practice_count > 1; below.practice_count--)
            practices_compare(layering, below.practices[0], below.practices[below.practice_count - 1], id);
        if (below.own || below.practice_count) below.base = NULL;
    }
    Block *laid = layers_lay(layering, &below, id);
    **end = laid;
    *end = &laid->next;
}

static bool comes_first(const Layers *layers, size_t layer, const Block *child)
{
    for (size_t i = 0; i < layer; i++)
        if (block_child(layer_at(layers, i), child->type->kind, child->name)) return false;
    return block_child(layer_at(layers, layer), child->type->kind, child->name) == child;
}

/* What to do at which count has no name to lay one over the other: the nearest layer that has any gives them
 * all. */
static void lay_acts(Layering *layering, const Layers *layers, const char *id, Block ***end)
{
    bool own = block_child(layers->own, BLOCK_ACT, NULL);
    const Block *giver = own ? layers->own : practices_acting(layering, layers, id);
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
    for (size_t layer = 0; layer < layers_count(layers); layer++) {
        const Block *block = layer_at(layers, layer);
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
    lay_acts(layering, layers, into->id, &end);
    if (into->type->kind == BLOCK_PROTOCOL) stages_lay(layering, layers, drops, into, end);
}

/* The nearest layer's; that of a practice itself names the practice and nothing in it. */
static Slice title_of(Layering *layering, const Layers *layers, const char *id)
{
    if (layers->own && layers->own->title.length) return layers->own->title;
    bool inside = !layers->own || layers->own->type->kind != BLOCK_PROTOCOL;
    Slice title = inside ? practices_title(layering, layers, id) : (Slice){0};
    return title.length || !layers->base ? title : layers->base->title;
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
    into->title = title_of(layering, layers, id);
    Drops drops;
    drops.count = drops_of(layering, layers->own, &drops.at);
    fields_lay(layering, layers, &drops, into);
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

static bool is_listed(const Block *const *list, size_t count, const Block *block)
{
    for (size_t i = 0; i < count; i++)
        if (list[i] == block) return true;
    return false;
}

static int by_name(const void *a, const void *b)
{
    const Block *x = *(const Block *const *)a, *y = *(const Block *const *)b;
    return slice_compare(name_slice(x->name), name_slice(y->name));
}

/* Practices stand in the order of their names, whatever the order of `with`: it means nothing. */
static void list_practices(Nursery *nursery, const Protocol *protocol, Layers *layers)
{
    VEC(const Block *) practices = {0};
    for (const Clause *clause = protocol->written->clauses; clause; clause = clause->next) {
        if (clause->field != FIELD_ROW(WITH) || !clause->reading) continue;
        for (size_t i = 0; i < clause->reading->word_count; i++) {
            const Block *practice = nursery_find(nursery, BLOCK_PRACTICE, clause->reading->words[i].name);
            if (practice && !is_listed(practices.at, practices.count, practice))
                VEC_PUSH(nursery->arena, &practices, practice);
            if (!practice)
                unknown_name(nursery, BLOCK_PRACTICE, &clause->reading->words[i], protocol->name->text);
        }
    }
    if (practices.count) qsort(practices.at, practices.count, sizeof *practices.at, by_name);
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
