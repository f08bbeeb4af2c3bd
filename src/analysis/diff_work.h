/* What the parts of the comparison share. Private to src/analysis. */
#ifndef ANALYSIS_DIFF_WORK_H
#define ANALYSIS_DIFF_WORK_H

#include "analysis/diff.h"
#include "base/vec.h"

typedef struct DiffWalk {
    Arena *arena;
    const Nursery *before, *after;
    BlockKind owner_kind;
    const char *owner;
    VEC(Change) changes;
} DiffWalk;

/* A change of the walk's owner, for the caller to complete. `path` NULL: of the owner itself. */
Change *diff_add(DiffWalk *walk, ChangeKind kind, const Block *before, const Block *after);
void diff_blocks(DiffWalk *walk, const Block *before,
                 const Block *after); /* what is inside; one may be NULL */
void diff_clauses(DiffWalk *walk, const Block *before, const Block *after);
void diff_rules(DiffWalk *walk);

/* What is left of a block's list in the other one: by name, else by an old name. NULL: nothing. */
const Block *diff_partner(const Block *block, const Block *others);
/* Two blocks are one: of a kind, and called alike now or before. */
bool diff_same_block(const Block *a, const Block *b);
/* How much two blocks say the same, 0 to 1000: twice the clauses in common, by all clauses. */
unsigned diff_likeness(const Block *a, const Block *b);

#endif
