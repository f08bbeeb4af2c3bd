/* The vocabulary as tables.
 *
 * Given grammar/vocabulary.def, makes one table each of blocks, fields, value types and derived values, and
 * answers what a word means in a place. A search compares lengths first, from a table of their own that fits
 * in a few cache lines, and letters only where the length is right: fast enough to be asked once a clause.
 * What a value means is the readers' matter (model/reading.h).
 */
#include "model/vocabulary.h"

#include <string.h>

#define TOP BLOCK_TOP
#define IN(kind) BLOCK_BIT(BLOCK_##kind)
#define ON(scope) (1U << SCOPE_##scope)
#define SECTIONS (IN(TAKE) | IN(HOLD) | IN(TREAT) | IN(STICK) | IN(CLIMATE) | IN(STAGE) | IN(FINISH))
#define CONDITIONS (IN(STAGE) | IN(CLIMATE) | IN(HOLD) | IN(PLACE) | IN(BATCH))
#define TOPS                                                                                                 \
    (IN(NURSERY) | IN(SITE) | IN(PLACE) | IN(CONTAINER) | IN(SOURCE) | IN(SPECIES) | IN(VARIETY) |           \
     IN(STOCK) | IN(SUBSTANCE) | IN(SKILL) | IN(CREW) | IN(PRACTICE) | IN(PROTOCOL) | IN(RULE) | IN(BATCH) | \
     IN(RECORD) | IN(TRIAL) | IN(GLOSSARY) | IN(LEARNED))
#define REPEATS FIELD_REPEATS
#define UNASSUMED FIELD_UNASSUMED
#define KEEP FIELD_KEEP
#define SPOKEN FIELD_SPOKEN
#define UNSILENCED FIELD_UNSILENCED
#define ORDERED FIELD_ORDERED
#define COLUMN FIELD_COLUMN
#define EDITORIAL FIELD_EDITORIAL
#define BINDING FIELD_BINDING
#define PAIRED FIELD_PAIRED

/* ------------------------------------------------------------------ tables */

const BlockType block_types[BLOCK_KINDS] = {
    [BLOCK_NONE] = {BLOCK_NONE, "file", 0, NAMING_NONE, "A file of the nursery"},
#define BLOCK(kind, spelling, where, naming, help)                                                           \
    [BLOCK_##kind] = {BLOCK_##kind, spelling, where, NAMING_##naming, help},
#include "vocabulary.def"
#undef BLOCK
};

static const uint8_t block_length[BLOCK_KINDS] = {
#define BLOCK(kind, spelling, where, naming, help) [BLOCK_##kind] = sizeof(spelling) - 1,
#include "vocabulary.def"
#undef BLOCK
};

const ValueTypeInfo value_types[VALUE_TYPES] = {
#define VALUE_TYPE(type, title, example) [TYPE_##type] = {#type, title, example},
#include "vocabulary.def"
#undef VALUE_TYPE
};

const RoleType role_types[ROLES] = {
#define ROLE(role, spelling, judges, help) [ROLE_##role] = {spelling, judges, help},
#include "vocabulary.def"
#undef ROLE
};

const char *const scope_name[SCOPES] = {
    [SCOPE_BATCH] = "batch", [SCOPE_PROTOCOL] = "protocol", [SCOPE_STAGE] = "stage",
    [SCOPE_TASK] = "task",   [SCOPE_CLAUSE] = "clause",     [SCOPE_PLACE] = "place",
};

enum { /* as constants, which a table can be made with */
#define ROLE(role, spelling, judges, help) JUDGES_##role = judges,
#include "vocabulary.def"
#undef ROLE
};

/* What a batch is judged by, a way of a trial may do otherwise. */
#define WHERE(where, role) ((where) | ((where)&IN(BATCH) && JUDGES_##role ? IN(WAY) : 0))

const Field field_table[] = {
#define FIELD(id, spelling, where, type, dimension, role, flags, words, help)                                \
    {FIELD_NUMBER_##id,                                                                                      \
     spelling,                                                                                               \
     WHERE(where, role),                                                                                     \
     TYPE_##type,                                                                                            \
     DIM_##dimension,                                                                                        \
     ROLE_##role,                                                                                            \
     flags,                                                                                                  \
     words,                                                                                                  \
     help},
#include "vocabulary.def"
#undef FIELD
};
const size_t field_count = FIELD_NUMBERS;
_Static_assert((int)FIELD_NUMBERS <= (int)FIELD_COUNT_LIMIT,
               "sets of fields are made for FIELD_COUNT_LIMIT rows");

static const uint8_t field_length[] = {
#define FIELD(id, spelling, where, type, dimension, role, flags, words, help) sizeof(spelling) - 1,
#include "vocabulary.def"
#undef FIELD
};

const DerivedType derived_types[DERIVED_VALUES] = {
    [DERIVED_NONE] = {"", 0, TYPE_QUANTITY, DIM_NONE, "", ""},
#define DERIVED(id, spelling, scopes, type, dimension, words, help)                                          \
    [DERIVED_##id] = {spelling, scopes, TYPE_##type, DIM_##dimension, words, help},
#include "vocabulary.def"
#undef DERIVED
};

/* ------------------------------------------------------------------ search */

const BlockType *block_find(Slice word)
{
    for (int kind = BLOCK_NONE + 1; kind < BLOCK_KINDS; kind++)
        if (word.length == block_length[kind] && !memcmp(word.at, block_types[kind].spelling, word.length))
            return &block_types[kind];
    return NULL;
}

enum { CHAINS = 128 };

static size_t chain_of(Slice word)
{
    return (word.length * 5U + (unsigned char)word.at[0] + 3U * (unsigned char)word.at[word.length - 1]) %
           CHAINS;
}

/* Rows whose spellings have the same length and ends, or nearly: the first of a chain and each row's next
 * one, as row + 1. Made from the table when first asked for, and never changed again. */
static struct {
    bool made;
    uint16_t first[CHAINS], next[FIELD_NUMBERS];
} chains;

static void make_chains(void)
{
    for (size_t i = FIELD_NUMBERS; i-- > 0;) {
        uint16_t *first = &chains.first[chain_of((Slice){field_table[i].spelling, field_length[i]})];
        chains.next[i] = *first;
        *first = (uint16_t)(i + 1);
    }
    chains.made = true;
}

/* The first row spelt `word` at or behind `from`; FIELD_NUMBERS when there is none. */
static size_t row_from(Slice word, size_t from)
{
    if (!chains.made) make_chains();
    for (size_t i = word.length ? chains.first[chain_of(word)] : 0; i > 0; i = chains.next[i - 1])
        if (i > from && word.length == field_length[i - 1] &&
            memcmp(field_table[i - 1].spelling, word.at, word.length) == 0)
            return i - 1;
    return FIELD_NUMBERS;
}

const Field *field_find(Slice word, BlockKind block)
{
    for (size_t i = row_from(word, 0); i < FIELD_NUMBERS; i = row_from(word, i + 1))
        if (field_stands_in(&field_table[i], block)) return &field_table[i];
    return NULL;
}

const Field *field_find_from(Slice word, const Field *after)
{
    size_t i = row_from(word, after ? (size_t)after->number + 1 : 0);
    return i < FIELD_NUMBERS ? &field_table[i] : NULL;
}

/* Of "one|two|three". */
static bool word_at(const char *at, size_t index, Slice *word)
{
    if (!*at) return false;
    for (; index > 0; index--) {
        at = strchr(at, '|');
        if (!at) return false;
        at++;
    }
    *word = (Slice){at, strcspn(at, "|")};
    return true;
}

bool field_word_at(const Field *field, size_t index, Slice *word)
{
    return word_at(field->words, index, word);
}

bool derived_word_at(Derived derived, size_t index, Slice *word)
{
    return word_at(derived_types[derived].words, index, word);
}

bool field_has_word(const Field *field, Slice word)
{
    Slice known;
    for (size_t i = 0; field_word_at(field, i, &known); i++)
        if (slice_equal(known, word)) return true;
    return false;
}

/* ------------------------------------------------------------------ limits and what they judge */

static const struct {
    const char *limit;
    BlockKind block;
    const char *statement;
} against[] = {
#define AGAINST(field, block, statement) {field, BLOCK_##block, statement},
#include "vocabulary.def"
#undef AGAINST
};

const Field *field_against(const Field *limit, BlockKind block, Derived *derived)
{
    *derived = DERIVED_NONE;
    for (size_t i = 0; i < sizeof against / sizeof against[0]; i++) {
        if (against[i].block != block || strcmp(against[i].limit, limit->spelling) != 0) continue;
        Slice statement = slice_of(against[i].statement);
        *derived = derived_find(statement, SCOPE_BATCH);
        return *derived ? NULL : field_find(statement, BLOCK_BATCH);
    }
    /* A word may mean another thing in a batch: the count of a task is a list, that of a batch a number. */
    const Field *statement = field_find(slice_of(limit->spelling), BLOCK_BATCH);
    bool same = statement && statement->type == limit->type && statement->dimension == limit->dimension;
    return same ? statement : NULL;
}

/* ------------------------------------------------------------------ what work is counted by */

static const struct {
    const char *word;
    PerAmount amount;
} per_table[] = {
#define PER(word, amount) {word, PER_##amount},
#include "vocabulary.def"
#undef PER
};

PerAmount per_amount(Slice word)
{
    for (size_t i = 0; i < sizeof per_table / sizeof *per_table; i++)
        if (slice_is(word, per_table[i].word)) return per_table[i].amount;
    return PER_UNKNOWN;
}

const char *per_word(PerAmount amount)
{
    for (size_t i = 0; i < sizeof per_table / sizeof *per_table; i++)
        if (per_table[i].amount == amount) return per_table[i].word;
    return "";
}

/* ------------------------------------------------------------------ scopes and derived values */

bool scope_find(Slice word, Scope *scope)
{
    for (int i = 0; i < SCOPES; i++) {
        if (!slice_is(word, scope_name[i])) continue;
        *scope = (Scope)i;
        return true;
    }
    return false;
}

Derived derived_find(Slice word, Scope scope)
{
    for (int i = DERIVED_NONE + 1; i < DERIVED_VALUES; i++)
        if ((derived_types[i].scopes & 1U << scope) && slice_is(word, derived_types[i].spelling))
            return (Derived)i;
    return DERIVED_NONE;
}

/* ------------------------------------------------------------------ near misses */

void vocabulary_nearest_in_block(Nearest *nearest, BlockKind block)
{
    for (int kind = BLOCK_NONE + 1; kind < BLOCK_KINDS; kind++)
        if (block_types[kind].where & BLOCK_BIT(block))
            nearest_try(nearest, slice_of(block_types[kind].spelling));
    for (size_t i = 0; i < FIELD_NUMBERS; i++)
        if (field_stands_in(&field_table[i], block))
            nearest_try(nearest, (Slice){field_table[i].spelling, field_length[i]});
}

void vocabulary_nearest_word(Nearest *nearest, const Field *field)
{
    Slice known;
    for (size_t i = 0; field_word_at(field, i, &known); i++) nearest_try(nearest, known);
}
