/* What the parts of the comparison share. Private to src/analysis. */
#ifndef ANALYSIS_DIFF_WORK_H
#define ANALYSIS_DIFF_WORK_H

#include "analysis/diff.h"
#include "base/vec.h"

/* What is one on both sides; where a side is NULL it came or went. */
typedef struct Pair {
    const Block *before, *after;
    bool guessed; /* by likeness: nobody wrote `was` */
} Pair;
typedef VEC(Pair) Pairs;
typedef VEC(const Block *) BlockVec;

/* A block that is called otherwise now. */
typedef struct Renaming {
    BlockKind kind;
    Name was, is;
} Renaming;

typedef struct DiffWalk {
    Arena *arena;
    const Nursery *before, *after;
    const BatchRows *rows;
    BlockKind owner_kind;
    const char *owner;
    const Block *owner_block;
    Pairs pairs[BLOCK_KINDS]; /* of blocks at the top of files */
    bool inner_names;         /* some stage or task is called otherwise */
    VEC(Renaming) renamings;  /* of the whole nursery, then of the owner's stages and tasks */
    VEC(Change) changes;
} DiffWalk;

/* What stands at the top of a file and all changes are of from now on; one may be NULL. */
void diff_set_owner(DiffWalk *walk, const Block *before, const Block *after);
/* A change of the walk's owner, for the caller to complete. `path` NULL: of the owner itself. */
Change *diff_add(DiffWalk *walk, ChangeKind kind, const Block *before, const Block *after);
void diff_blocks(DiffWalk *walk, const Block *before,
                 const Block *after); /* what is inside; one may be NULL */
void diff_clauses(DiffWalk *walk, const Block *before, const Block *after);
void diff_rules(DiffWalk *walk);

void diff_know_name(DiffWalk *walk, const Block *before, const Block *after);  /* where it is another one */
void diff_know_names(DiffWalk *walk, const Block *before, const Block *after); /* of all that is inside */
/* What is called so now, by the name it had. */
Name diff_name_before(const DiffWalk *walk, BlockKind kind, Name name);
/* A clause with the names that are used now. */
const Clause *diff_as_called_now(DiffWalk *walk, const Clause *clause);

/* Every block of both lists, each once; `before` and `after` may be of several kinds. */
Pairs diff_pairs(Arena *arena, BlockVec before, BlockVec after);
Pairs diff_children(Arena *arena, const Block *before, const Block *after); /* one may be NULL */
/* What of the protocols (changes before `practices`) comes from a base or a practice is told there only. */
void diff_causes(DiffWalk *walk, size_t practices);
/* How much two blocks say the same, 0 to 1000: twice the clauses in common, by all clauses. */
unsigned diff_likeness(const Block *a, const Block *b);

#endif
