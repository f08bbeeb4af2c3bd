/* The stages of a protocol: which there are, in which order, and what practices lay into them.
 *
 * A practice's stage lays its clauses into a stage of that name and makes none by itself: until a protocol
 * has one it is latent. `stage each` lies in all. A new stage of an heir stands where `after` or `before`
 * says, else behind the stage that is written before it.
 */
#include "model/inherit.h"

typedef struct Entry {
    Name name;
    Layers layers;
    bool real;
} Entry;

typedef struct Stages {
    Layering *layering;
    VEC(Entry) list;
} Stages;

static int find_entry(const Stages *stages, Name name)
{
    for (size_t i = 0; i < stages->list.count; i++)
        if (stages->list.at[i].name == name) return (int)i;
    return -1;
}

static Entry *insert_entry(Stages *stages, size_t position, Name name)
{
    (void)VEC_ADD(stages->layering->arena, &stages->list);
    Entry *at = stages->list.at;
    for (size_t i = stages->list.count - 1; i > position; i--) at[i] = at[i - 1];
    at[position] = (Entry){.name = name};
    return &at[position];
}

static void add_practice(Stages *stages, Entry *entry, const Block *block)
{
    const Block **grown =
        ARENA_ARRAY(stages->layering->arena, const Block *, entry->layers.practice_count + 1);
    for (size_t i = 0; i < entry->layers.practice_count; i++) grown[i] = entry->layers.practices[i];
    grown[entry->layers.practice_count++] = block;
    entry->layers.practices = grown;
}

static bool is_each(const Block *block)
{
    return block->name_count == 1 && slice_is(name_slice(block->names[0].name), "each");
}

/* ------------------------------------------------------------------ order */

static Name anchor_of(const Block *block, const Field *side, const Clause **clause)
{
    *clause = block_clause(block, side);
    return *clause && (*clause)->reading ? (*clause)->reading->words[0].name : NULL;
}

static void refuse_anchor(const Stages *stages, const Block *block, const Clause *clause, const char *what)
{
    Note *note = notes_add(stages->layering->notes, SEVERITY_ERROR, "stage-order",
                           clause ? clause_place(clause) : block->name_span, "%s", what);
    note->subject = block->id;
    note->instead = "write after STAGE or before STAGE in it";
}

/* Where a new stage goes; -1 when it cannot be said (reported). */
static int place_of(const Stages *stages, const Block *block, Name previous, bool has_order)
{
    const Clause *clause;
    Name anchor = anchor_of(block, FIELD_ROW(AFTER), &clause);
    int offset = 1;
    if (!anchor) {
        anchor = anchor_of(block, FIELD_ROW(BEFORE), &clause);
        offset = anchor ? 0 : 1;
    }
    if (anchor) {
        int at = find_entry(stages, anchor);
        if (at < 0 || !stages->list.at[at].real) {
            refuse_anchor(stages, block, clause, "there is no such stage to stand beside");
            return -1;
        }
        return at + offset;
    }
    if (previous) return find_entry(stages, previous) + 1;
    if (!has_order) return 0;
    refuse_anchor(stages, block, NULL, "a new first stage must say where it stands among the inherited ones");
    return -1;
}

/* Two stages that both stand behind, or both in front of, the same one. */
static const Clause *anchor_shared(const Block *a, const Block *b)
{
    const Field *sides[] = {FIELD_ROW(AFTER), FIELD_ROW(BEFORE)};
    for (size_t i = 0; i < sizeof sides / sizeof *sides; i++) {
        const Clause *of_a, *of_b;
        Name anchor = anchor_of(a, sides[i], &of_a);
        if (anchor && anchor == anchor_of(b, sides[i], &of_b)) return of_a;
    }
    return NULL;
}

static void refuse_shared(const Stages *stages, const Block *a, const Block *b)
{
    const Clause *clause = anchor_shared(a, b);
    if (!clause) return;
    bool behind = clause->field == FIELD_ROW(AFTER);
    refuse_anchor(stages, a, clause,
                  behind ? "two new stages stand behind the same one: which comes first?"
                         : "two new stages stand before the same one: which comes first?");
}

static void check_one_anchor(const Stages *stages, const Block *layer)
{
    for (const Block *a = layer->blocks; a; a = a->next)
        for (const Block *b = layer->blocks; b != a; b = b->next)
            if (a->type->kind == BLOCK_STAGE && b->type->kind == BLOCK_STAGE) refuse_shared(stages, a, b);
}

static bool same_anchor(const Block *a, const Block *b)
{
    const Field *sides[] = {FIELD_ROW(AFTER), FIELD_ROW(BEFORE)};
    for (size_t i = 0; i < sizeof sides / sizeof *sides; i++) {
        const Clause *of_a, *of_b;
        if (anchor_of(a, sides[i], &of_a) != anchor_of(b, sides[i], &of_b)) return false;
    }
    return true;
}

static bool is_placed(const Block *block)
{
    const Clause *clause;
    return anchor_of(block, FIELD_ROW(AFTER), &clause) || anchor_of(block, FIELD_ROW(BEFORE), &clause);
}

/* Stages that two practices bring along must say their order, and one stage has one place. */
static void compare_anchors(const Stages *stages, const Block *a, const Block *b)
{
    if (!is_placed(a) || !is_placed(b)) return;
    if (a->name != b->name)
        refuse_shared(stages, b, a);
    else if (!same_anchor(a, b))
        practices_disagree(stages->layering, "the place of a stage", a->name_span, b->name_span, b->id);
}

static void check_anchors_of(const Stages *stages, const Block *practice, const Block *other)
{
    for (const Block *a = practice->blocks; a; a = a->next)
        for (const Block *b = other->blocks; b; b = b->next)
            if (a->type->kind == BLOCK_STAGE && b->type->kind == BLOCK_STAGE) compare_anchors(stages, a, b);
}

/* ------------------------------------------------------------------ layers */

static bool has_real(const Stages *stages)
{
    for (size_t i = 0; i < stages->list.count; i++)
        if (stages->list.at[i].real) return true;
    return false;
}

static void add_base(Stages *stages, const Block *base, Drops *drops)
{
    for (const Block *child = base ? base->blocks : NULL; child; child = child->next) {
        if (child->type->kind != BLOCK_STAGE || is_each(child)) continue;
        if (drop_block(drops->at, drops->count, BLOCK_STAGE, child->name)) continue;
        Entry *entry = insert_entry(stages, stages->list.count, child->name);
        entry->layers.base = child;
        entry->real = !child->latent;
    }
}

static Entry *move_entry(Stages *stages, int from, int to)
{
    Entry moved = stages->list.at[from];
    if (from < to) to--;
    for (int i = from; i < to; i++) stages->list.at[i] = stages->list.at[i + 1];
    for (int i = from; i > to; i--) stages->list.at[i] = stages->list.at[i - 1];
    stages->list.at[to] = moved;
    return &stages->list.at[to];
}

static void add_own_stage(Stages *stages, const Block *child, Name name, Name previous, bool had_order)
{
    int at = find_entry(stages, name);
    Entry *entry = at >= 0 ? &stages->list.at[at] : NULL;
    if (!entry || !entry->real) {
        int place = place_of(stages, child, previous, had_order);
        if (place < 0) place = (int)stages->list.count;
        entry = entry ? move_entry(stages, at, place) : insert_entry(stages, (size_t)place, name);
        entry->real = true;
    }
    if (entry->layers.own) {
        Note *note = notes_add(stages->layering->notes, SEVERITY_ERROR, "duplicate", child->name_span,
                               "stage %s is written twice", name->text);
        note->subject = child->id;
        note_place(note, entry->layers.own->name_span, "first written here");
        return;
    }
    entry->layers.own = child;
}

static void add_own(Stages *stages, const Block *own)
{
    bool had_order = has_real(stages);
    Name previous = NULL;
    if (own) check_one_anchor(stages, own);
    for (const Block *child = own ? own->blocks : NULL; child; child = child->next) {
        if (child->type->kind != BLOCK_STAGE) continue;
        if (is_each(child)) {
            refuse_anchor(stages, child, NULL,
                          "stage each stands in a practice; a protocol names its stages");
            continue;
        }
        for (size_t i = 0; i < child->name_count; i++) {
            add_own_stage(stages, child, child->names[i].name, previous, had_order);
            previous = child->names[i].name;
        }
    }
}

static void add_practice_stage(Stages *stages, const Block *child, Name name, Drops *drops)
{
    if (drop_block(drops->at, drops->count, BLOCK_STAGE, name)) return;
    int at = find_entry(stages, name);
    Entry *entry = at >= 0 ? &stages->list.at[at] : NULL;
    if (!entry) {
        bool placed = is_placed(child);
        int place = placed ? place_of(stages, child, NULL, true) : (int)stages->list.count;
        if (place < 0) return;
        entry = insert_entry(stages, (size_t)place, name);
        entry->real = placed;
    }
    add_practice(stages, entry, child);
}

static void add_practices(Stages *stages, const Layers *layers, Drops *drops)
{
    for (size_t i = 0; i < layers->practice_count; i++)
        for (const Block *child = layers->practices[i]->blocks; child; child = child->next) {
            if (child->type->kind != BLOCK_STAGE || is_each(child)) continue;
            for (size_t k = 0; k < child->name_count; k++)
                add_practice_stage(stages, child, child->names[k].name, drops);
        }
    for (size_t i = 0; i < layers->practice_count; i++)
        for (size_t k = 0; k < i; k++) check_anchors_of(stages, layers->practices[k], layers->practices[i]);
}

/* What lies in every stage: from the practices in all, from the base only in stages that the base did not
 * have. */
static void add_each(Stages *stages, const Layers *layers)
{
    for (size_t i = 0; i < stages->list.count; i++) {
        Entry *entry = &stages->list.at[i];
        if (!entry->real) continue;
        for (size_t k = 0; k < layers->practice_count; k++)
            for (const Block *child = layers->practices[k]->blocks; child; child = child->next)
                if (child->type->kind == BLOCK_STAGE && is_each(child)) add_practice(stages, entry, child);
        bool in_base = entry->layers.base && !entry->layers.base->latent;
        for (const Block *child = layers->base && !in_base ? layers->base->blocks : NULL; child;
             child = child->next)
            if (child->type->kind == BLOCK_STAGE && is_each(child)) add_practice(stages, entry, child);
    }
}

/* ------------------------------------------------------------------ result */

static void hang(Block ***end, Block *block)
{
    **end = block;
    *end = &block->next;
}

/* `stage each` goes on to heirs as it is. */
static void keep_each(Stages *stages, const Layers *layers, Block ***end)
{
    for (size_t layer = 0; layer <= layers->practice_count; layer++) {
        const Block *block = layer ? layers->practices[layer - 1] : layers->base;
        for (const Block *child = block ? block->blocks : NULL; child; child = child->next) {
            if (child->type->kind != BLOCK_STAGE || !is_each(child)) continue;
            Block *kept = ARENA_NEW(stages->layering->arena, Block);
            *kept = *child;
            kept->next = NULL;
            kept->latent = true;
            hang(end, kept);
        }
    }
}

void stages_lay(Layering *layering, const Layers *layers, Drops *drops, Block *into, Block **end)
{
    Stages stages = {.layering = layering};
    add_base(&stages, layers->base, drops);
    add_practices(&stages, layers, drops);
    add_own(&stages, layers->own);
    add_each(&stages, layers);
    for (size_t i = 0; i < stages.list.count; i++) {
        Entry *entry = &stages.list.at[i];
        Block *laid = layers_lay(layering, &entry->layers,
                                 arena_print(layering->arena, "%s/%s", into->id, entry->name->text));
        Word *word = ARENA_NEW(layering->arena, Word);
        *word = (Word){entry->name, laid->name_span};
        for (size_t k = 0; k < laid->name_count; k++)
            if (laid->names[k].name == entry->name) word->span = laid->names[k].span;
        laid->name = entry->name;
        laid->names = word;
        laid->name_count = 1;
        laid->latent = !entry->real;
        hang(&end, laid);
    }
    keep_each(&stages, layers, &end);
}
