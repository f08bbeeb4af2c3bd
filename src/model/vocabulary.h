/* The vocabulary as tables, from grammar/vocabulary.def. */
#ifndef MODEL_VOCABULARY_H
#define MODEL_VOCABULARY_H

#include "base/near.h"
#include "base/slice.h"
#include "base/unit.h"

typedef enum BlockKind {
    BLOCK_NONE,
#define TOP 0
#define IN(kind) 0
#define SECTIONS 0
#define NONE 0
#define ID 0
#define IDS 0
#define TAXON 0
#define RULE 0
#define WORD 0
#define BLOCK(kind, spelling, where, naming, help) BLOCK_##kind,
#include "vocabulary.def"
#undef BLOCK
#undef TOP
#undef IN
#undef SECTIONS
#undef NONE
#undef ID
#undef IDS
#undef TAXON
#undef RULE
#undef WORD
    BLOCK_KINDS
} BlockKind;

typedef uint64_t BlockMask;
#define BLOCK_BIT(kind) (UINT64_C(1) << (kind))
_Static_assert(BLOCK_KINDS <= 64, "a mask has a bit for each kind");
enum { BLOCK_TOP = 1 }; /* the bit of BLOCK_NONE: at the top of a file */

typedef enum Naming { NAMING_NONE, NAMING_ID, NAMING_IDS, NAMING_TAXON, NAMING_RULE, NAMING_WORD } Naming;

typedef struct BlockType {
    BlockKind kind;
    const char *spelling;
    BlockMask where;
    Naming naming;
    const char *help;
} BlockType;
extern const BlockType block_types[BLOCK_KINDS]; /* by kind; [BLOCK_NONE] is the file */

typedef enum ValueType {
#define VALUE_TYPE(type, title, example) TYPE_##type,
#include "vocabulary.def"
#undef VALUE_TYPE
    VALUE_TYPES
} ValueType;

typedef struct ValueTypeInfo {
    const char *spelling; /* QUANTITY */
    const char *title;    /* "a quantity or a range" */
    const char *example;
} ValueTypeInfo;
extern const ValueTypeInfo value_types[VALUE_TYPES];

typedef enum Role {
#define ROLE(role, spelling, judges, help) ROLE_##role,
#include "vocabulary.def"
#undef ROLE
    ROLES
} Role;

typedef struct RoleType {
    const char *spelling;
    bool judges; /* a clause of such a field judges batches */
    const char *help;
} RoleType;
extern const RoleType role_types[ROLES];
static inline bool role_judges(Role role)
{
    return role_types[role].judges;
}

enum {
    FIELD_REPEATS = 1,
    FIELD_UNASSUMED = 2,
    FIELD_KEEP = 4,
    FIELD_SPOKEN = 8,
    FIELD_UNSILENCED = 16,
    FIELD_ORDERED = 32,
    FIELD_COLUMN = 64,
    FIELD_EDITORIAL = 128,
    FIELD_BINDING = 256,
    FIELD_PAIRED = 512
};

/* One row of the vocabulary. Compare by pointer. Fields of one spelling in different blocks may be different
 * rows. */
typedef struct Field {
    uint16_t number; /* its place in the table */
    const char *spelling;
    BlockMask where;
    ValueType type;
    Dimension dimension;
    Role role;
    unsigned flags;
    const char *words; /* "a|b|c" */
    const char *help;
} Field;
extern const Field field_table[];

/* Rows that C speaks of, by their ID: FIELD_ROW(DEPTH). */
typedef enum FieldNumber {
#define FIELD(id, spelling, where, type, dimension, role, flags, words, help) FIELD_NUMBER_##id,
#include "vocabulary.def"
#undef FIELD
    FIELD_NUMBERS
} FieldNumber;
#define FIELD_ROW(id) (&field_table[FIELD_NUMBER_##id])
enum { FIELD_COUNT_LIMIT = 256 };
extern const size_t field_count;

const BlockType *block_find(Slice word);              /* by spelling, any place; NULL */
const Field *field_find(Slice word, BlockKind block); /* the row for a field in a kind of block; NULL */
const Field *
field_find_from(Slice word,
                const Field *after); /* rows of a spelling one after the other: NULL starts, NULL ends */
bool field_has_word(const Field *field, Slice word);               /* in its closed list */
bool field_word_at(const Field *field, size_t index, Slice *word); /* the words of its list, one by one */
static inline bool field_stands_in(const Field *field, BlockKind block)
{
    return (field->where & BLOCK_BIT(block)) != 0;
}

/* The statement of a batch that a limit in `block` judges: the field of the same spelling, or what AGAINST
 * says. NULL: a batch states no such thing. A derived one is given by *derived (else DERIVED_NONE). */
typedef enum Derived {
    DERIVED_NONE,
#define DERIVED(id, spelling, scopes, type, dimension, words, help) DERIVED_##id,
#include "vocabulary.def"
#undef DERIVED
    DERIVED_VALUES
} Derived;
const Field *field_against(const Field *limit, BlockKind block, Derived *derived);

/* Which amount of a batch is meant by `per tray`, `per cutting`. */
typedef enum PerAmount { PER_UNKNOWN, PER_ONCE, PER_COUNT, PER_TRAYS } PerAmount;
PerAmount per_amount(Slice word);
const char *per_word(PerAmount amount); /* the first that stands for it */

/* What a rule is about. */
typedef enum Scope {
    SCOPE_BATCH,
    SCOPE_PROTOCOL,
    SCOPE_STAGE,
    SCOPE_TASK,
    SCOPE_CLAUSE,
    SCOPE_PLACE,
    SCOPES
} Scope;
extern const char *const scope_name[SCOPES];
bool scope_find(Slice word, Scope *scope);

typedef struct DerivedType {
    const char *spelling;
    unsigned scopes; /* bits 1 << Scope */
    ValueType type;
    Dimension dimension;
    const char *words; /* as Field.words; empty: any */
    const char *help;
} DerivedType;
extern const DerivedType derived_types[DERIVED_VALUES];
Derived derived_find(Slice word, Scope scope);                    /* DERIVED_NONE */
bool derived_word_at(Derived derived, size_t index, Slice *word); /* the words of its list, one by one */

/* Fill `nearest` with spellings: of the blocks and fields that may stand in a block; of a field's words. */
void vocabulary_nearest_in_block(Nearest *nearest, BlockKind block);
void vocabulary_nearest_word(Nearest *nearest, const Field *field);

#endif
