/* Blocks and clauses with their meaning: the tree checked against the vocabulary.
 *
 * A block as written and a block after inheritance have the same shape. Each clause keeps the item it was
 * made from, so that a finding can point at it, and what it replaced, so that its history can be told.
 */
#ifndef MODEL_BLOCK_H
#define MODEL_BLOCK_H

#include "model/reading.h"

typedef struct Block Block;
typedef struct Clause Clause;
typedef struct RecordLine RecordLine;
typedef struct Shipped Shipped;

struct Clause {
    const Field *field;
    Strength strength;
    const Reading *reading; /* NULL: it could not be read, and that was reported (the field is spoiled) */
    const Item *item;       /* citations, because, instead, places */
    const Block *home;      /* the block in which it was written */
    const Clause *replaced; /* what it stands over, from a base or practice; NULL */
    const Clause *agreed;   /* the same key in another practice, that it was united with; NULL */
    Clause *next;
};

struct Block {
    const BlockType *type;
    Name name;      /* its id; NULL where a block has none. A taxon's words are joined by blanks */
    const char *id; /* for people and keys: "bigleaf-softwood/callus/look" */
    Slice title;
    const Word *names; /* IDS: the stages; TAXON: the words; RULE: the scopes */
    size_t name_count;
    int year;         /* SOURCE: 0 unknown */
    bool second_hand; /* SOURCE */
    bool built_in;    /* ships with the program */
    bool latent;      /* a practice's stage that no protocol has made its own yet */
    const Shipped
        *shipped;     /* what is inside is read when somebody asks for it (model/shipped.h); else NULL */
    const Item *item; /* NULL until then */
    Span name_span;   /* of its name, else of its keyword */
    Clause *clauses;
    Block *blocks;     /* inside, in order */
    RecordLine *lines; /* RECORD, in order */
    Block *next;
};

/* What a block is made with. */
typedef struct BuildContext {
    Arena *arena;
    Names *names;
    Notes *notes;
    bool built_in;
    bool example; /* inside breaks, passes, undecided: blocks that the subject refers to stand here without a
                     name */
    const Clause **said; /* by field: what the last batch said, for batches are much alike; or NULL */
} BuildContext;

/* Makes a block of an item that stands in `parent` (BLOCK_NONE: at the top of a file). NULL: it is no block
 * of ours, and that was reported. A clause at the top that is named like a block counts as an empty block
 * (source NB12 "…"). */
Block *block_make(const BuildContext *context, const Item *item, BlockKind parent, const char *parent_id);
/* What stands in a block whose kind is known, as block_make reads it. */
bool block_read(const BuildContext *context, Block *block, const Item *item, const char *parent_id);
/* The inside of an example as the block of a subject: its clauses and nested blocks read as if they stood in
 * `type`. */
Block *block_of_example(const BuildContext *context, const Item *item, BlockKind type);

const Clause *block_clause(const Block *block, const Field *field); /* first of that field; NULL */
const Clause *block_limit(const Block *block, const Field *field);  /* its must or plain clause; NULL */
const Clause *block_with(const Block *block, const Field *field, Strength strength);
const Block *block_child(const Block *block, BlockKind kind,
                         Name name); /* name NULL: the first of that kind */
/* The n-th text of a SPOKEN field in a language, counted from 0; without a language, in the nursery's own.
 * NULL behind the last. The n-th of two languages belong together. */
const Clause *block_spoken(const Block *block, const Field *field, Slice language, size_t n);
bool clause_is(const Clause *clause, const char *word); /* its reading is this one word */
/* The whole reading of a REPEATS field in a block, joined; NULL when it does not stand there or is spoiled.
 */
const Reading *block_reading(Arena *arena, const Block *block, const Field *field);

/* `was NAME` in a block: it is still known by an old name. */
bool block_has_been(const Block *block, Slice name);

/* Where a clause's value stands; its field when it has no value. */
Span clause_place(const Clause *clause);
Span clause_value_place(const Clause *clause);

#endif
