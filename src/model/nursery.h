/* A nursery with everything resolved: blocks by name, protocols after inheritance, rules compiled, records.
 *
 * Files are added in any order; nursery_finish then asks whether what is mentioned exists, works out
 * inheritance and compiles rules. The result does not depend on the order of files or blocks. Everything
 * lives in one arena.
 */
#ifndef MODEL_NURSERY_H
#define MODEL_NURSERY_H

#include "model/block.h"
#include "model/record.h"

typedef struct Nursery Nursery;
typedef struct Protocol Protocol;
typedef struct Rule Rule;

/* Blocks of one kind, in the order of their names, and found by name. */
typedef struct BlockList {
    Block **at;
    size_t count;
} BlockList;

/* A severity that the nursery gave a finding. */
typedef struct Judgement {
    Name name;
    Severity severity;
    const Clause *clause;
    bool used;
} Judgement;

struct Nursery {
    Arena *arena;
    Names *names;
    Notes *notes;
    const Block *self;            /* the nursery block, or NULL */
    BlockList lists[BLOCK_KINDS]; /* set by nursery_gather */
    bool gathered;
    Protocol *protocols; /* in the order of their names; made by nursery_finish */
    size_t protocol_count;
    Rule *rules; /* built-in and own, in the order of their names */
    size_t rule_count;
    Judgement *judgements;
    size_t judgement_count;
    bool imperial;        /* results are printed in inches and Fahrenheit */
    uint32_t generations; /* of readings in plans, counted over all tables */
    size_t file_count;    /* files of the nursery, not those built in */
};

/* A source of text named by `use`. */
typedef struct Use {
    Slice path;
    Span place;
} Use;

Nursery *nursery_new(Arena *arena, Notes *notes);
/* Another one with the same table of names, so that the two can be compared; it lives in `arena`. */
Nursery *nursery_beside(Arena *arena, const Nursery *other, Notes *notes);
/* Takes what stands in a file. `built_in` files ship with the program. */
void nursery_add(Nursery *nursery, const Tree *tree, bool built_in);
/* Takes the blocks of a file that ships, as they are carried in the program (model/shipped.h). */
void nursery_add_shipped(Nursery *nursery, const Text *text, const char *packed);
/* Blocks of this kind in files added from now on are passed over; BLOCK_NONE: none are. */
void nursery_leave_out(Nursery *nursery, BlockKind kind);
/* The `use` clauses of the nursery block, once its file has been added; *count of them. */
const Use *nursery_uses(const Nursery *nursery, size_t *count);
/* Puts the blocks of one name together, of all files that were added; nursery_finish does it where nobody
 * did. In between, lines can be added to records, and taken out. */
void nursery_gather(Nursery *nursery);
void nursery_finish(Nursery *nursery);

/* Reads what stands in a block of the lists, if it ships and nobody has asked for it yet. What the other
 * functions here give is open. */
void nursery_open(const Nursery *nursery, Block *block);
/* The block of a kind by name; NULL. Names of batches, records and species too. */
const Block *nursery_find(const Nursery *nursery, BlockKind kind, Name name);
Protocol *nursery_protocol(const Nursery *nursery, Name name);
/* The record of a batch, whose lines may still be put in order; NULL. */
Block *nursery_record(const Nursery *nursery, Slice batch);
/* The species whose words lead a taxon's, the longest that there is; the next shorter one after `longer`, or
 * NULL. */
const Block *nursery_species(const Nursery *nursery, const Word *words, size_t count, const Block *longer);
/* A note's "did you mean" for a name of a kind, or NULL. */
const char *nursery_nearest(const Nursery *nursery, BlockKind kind, Slice name);
/* The block at the top of a file in which a block stands; NULL for one that stands in no file of the nursery.
 */
const Block *nursery_top_of(const Nursery *nursery, const Block *inner);
/* The block of a kind that was called so before; NULL. And what is said of the place that calls it so still.
 */
const Block *nursery_renamed(const Nursery *nursery, BlockKind kind, Slice name);
Note *nursery_note_retired(Nursery *nursery, Severity severity, const Block *now, Span place);
/* Whether all that a reading mentions by name is there: containers, places, protocols, skills, varieties. */
bool nursery_has_named(const Nursery *nursery, const Field *field, const Reading *reading);
/* The same, and a note at the place where something is missing. */
void nursery_check_named(Nursery *nursery, const char *subject, const Field *field, const Reading *reading,
                         Span place);
/* The severity of a finding by this name, as the nursery judges it. */
Severity nursery_judged(const Nursery *nursery, const char *name, Severity severity);
/* Whether anything can be judged, accepted or explained by this name: a rule, a built-in finding, a field
 * that judges. */
bool nursery_knows_finding(const Nursery *nursery, Slice name);
/* Citations as one line: "Nursery bulletin 12, table 3 (1998); trade". NULL without any. Unknown keys are
 * left as they are. */
const char *nursery_cite(const Nursery *nursery, Arena *arena, const Citation *citations);
/* All grounds are [memory] or [trade], and there is one. */
bool citations_are_hearsay(const Citation *citations);

#endif
