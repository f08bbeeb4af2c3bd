/* Listing topics: rows of the tables in their order, then the blocks of the nursery that have names. */
#include "analysis/topic.h"

#include "base/vec.h"
#include "model/example.h"

#include <string.h>

const char *const topic_kind_name[TOPIC_KINDS] = {
    [TOPIC_FINDING] = "finding", [TOPIC_RULE] = "rule",        [TOPIC_BLOCK] = "block",
    [TOPIC_FIELD] = "field",     [TOPIC_WORD] = "word",        [TOPIC_UNIT] = "unit",
    [TOPIC_DERIVED] = "derived", [TOPIC_VERB] = "record-line", [TOPIC_NAMED] = "named"};

const char *const topic_kind_many[TOPIC_KINDS] = {[TOPIC_FINDING] = "findings of the program",
                                                  [TOPIC_RULE] = "rules, the shipped and your own",
                                                  [TOPIC_BLOCK] = "kinds of blocks",
                                                  [TOPIC_FIELD] = "fields",
                                                  [TOPIC_WORD] = "words of closed lists",
                                                  [TOPIC_UNIT] = "units",
                                                  [TOPIC_DERIVED] = "values that rules can ask for",
                                                  [TOPIC_VERB] = "lines of records",
                                                  [TOPIC_NAMED] = "things that this nursery has named"};

typedef struct Lister {
    Arena *arena;
    VEC(Topic) list;
} Lister;

static Topic *add(Lister *lister, TopicKind kind, Slice name)
{
    Topic *topic = VEC_ADD(lister->arena, &lister->list);
    topic->kind = kind;
    topic->name = name;
    return topic;
}

static void add_fields(Lister *lister)
{
    Slice word;
    for (size_t i = 0; i < field_count; i++)
        add(lister, TOPIC_FIELD, slice_of(field_table[i].spelling))->field = &field_table[i];
    for (size_t i = 0; i < field_count; i++)
        for (size_t k = 0; field_lists_words(&field_table[i]) && field_word_at(&field_table[i], k, &word);
             k++)
            add(lister, TOPIC_WORD, word)->field = &field_table[i];
}

static void add_units(Lister *lister)
{
    for (size_t i = 0; i < unit_count; i++)
        if (unit_is_word(slice_of(unit_table[i].spelling)))
            add(lister, TOPIC_UNIT, slice_of(unit_table[i].spelling))->unit = &unit_table[i];
}

static void add_named(Lister *lister, const Block *block, const Block *outer, const Block *middle)
{
    if (block->name && block->type->kind != BLOCK_RULE && block->type->kind != BLOCK_RECORD &&
        block->type->naming != NAMING_WORD) {
        Topic *topic = add(lister, TOPIC_NAMED, name_slice(block->name));
        topic->named = block;
        topic->within[0] = outer;
        topic->within[1] = middle;
    }
    for (const Block *child = block->blocks; child; child = child->next)
        add_named(lister, child, outer ? outer : block, outer ? block : NULL);
}

static void add_nursery(Lister *lister, const Nursery *nursery)
{
    if (nursery->self) add_named(lister, nursery->self, NULL, NULL);
    for (int kind = 1; kind < BLOCK_KINDS; kind++)
        for (size_t i = 0; i < nursery->lists[kind].count; i++)
            if (!nursery->lists[kind].at[i]->built_in)
                add_named(lister, nursery->lists[kind].at[i], NULL, NULL);
}

Topics topics_of(Arena *arena, const Nursery *nursery)
{
    Lister lister = {.arena = arena};
    for (size_t i = 0; i < finding_count; i++)
        add(&lister, TOPIC_FINDING, slice_of(finding_table[i].name))->finding = &finding_table[i];
    for (size_t i = 0; i < nursery->rule_count; i++)
        add(&lister, TOPIC_RULE, name_slice(nursery->rules[i].name))->rule = &nursery->rules[i];
    for (int kind = BLOCK_NONE + 1; kind < BLOCK_KINDS; kind++)
        add(&lister, TOPIC_BLOCK, slice_of(block_types[kind].spelling))->block = (BlockKind)kind;
    add_fields(&lister);
    add_units(&lister);
    for (int i = DERIVED_NONE + 1; i < DERIVED_VALUES; i++)
        add(&lister, TOPIC_DERIVED, slice_of(derived_types[i].spelling))->derived = (Derived)i;
    for (int verb = 0; verb < VERBS; verb++)
        add(&lister, TOPIC_VERB, slice_of(verb_table[verb].spelling))->verb = (Verb)verb;
    add_nursery(&lister, nursery);
    return (Topics){lister.list.at, lister.list.count};
}

/* ------------------------------------------------------------------ near misses */

static bool contains(Slice whole, Slice part)
{
    for (size_t i = 0; part.length && i + part.length <= whole.length; i++)
        if (!memcmp(whole.at + i, part.at, part.length)) return true;
    return false;
}

/* How far a name is from what was typed, 0 too far; one that has it as a part stands behind slips of the
 * finger. */
static unsigned distance_of(Slice typed, Slice name)
{
    enum { AS_PART = 4, PART_LEAST = 4 };
    Nearest nearest;
    nearest_start(&nearest, typed);
    nearest_try(&nearest, name);
    if (nearest_found(&nearest)) return nearest.distance;
    return typed.length >= PART_LEAST && contains(name, typed) ? AS_PART : 0;
}

size_t topics_near(const Topics *topics, Slice typed, Slice *names, size_t room)
{
    size_t count = 0;
    for (unsigned distance = 1; distance <= 4; distance++)
        for (size_t i = 0; i < topics->count && count < room; i++) {
            bool known = distance_of(typed, topics->at[i].name) != distance;
            for (size_t k = 0; k < count && !known; k++) known = slice_equal(names[k], topics->at[i].name);
            if (!known) names[count++] = topics->at[i].name;
        }
    return count;
}
