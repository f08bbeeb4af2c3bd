/* What is different between two nurseries, by what their texts mean.
 *
 * Two nurseries that share one table of names go in, a list of changes comes out: protocols are compared
 * after inheritance, everything else as it stands, blocks by their ids and old names (`was`), never by where
 * they stand. Each change knows both clauses, what it means by role (model/change.h) and in which chapter of
 * a briefing it belongs. What a base or a practice changed is one change, with the protocols it reaches. Seen
 * the other way round in time the list is the same, with tightened for loosened.
 */
#ifndef ANALYSIS_DIFF_H
#define ANALYSIS_DIFF_H

#include "analysis/diff_rows.h"
#include "model/change.h"
#include "model/nursery.h"

typedef enum ChangeKind {
    CHANGE_CLAUSE,  /* a clause came, went or says something else */
    CHANGE_BLOCK,   /* a block came or went: a protocol, a stage, a task, a place … */
    CHANGE_RENAMED, /* it is called otherwise */
    CHANGE_TITLE,
    CHANGE_ORDER,     /* of the stages of a protocol */
    CHANGE_SEVERITY,  /* of a rule, by its own text or by `judge` */
    CHANGE_CONDITION, /* of a rule */
    CHANGE_LINES      /* of a record */
} ChangeKind;

typedef struct Change {
    ChangeKind kind;
    Chapter chapter;
    Direction direction;
    Cells cells;
    BlockKind owner_kind;         /* of the block at the top of a file in which it stands */
    const char *owner;            /* its id, as it is called now */
    const Block *owner_block;     /* that block, as it stands now, or stood */
    const char *path;             /* inside the owner: "stick", "callus/look"; "" for the owner itself */
    const Field *field;           /* CLAUSE */
    const Clause *before, *after; /* CLAUSE: NULL where there was, or is, none */
    const Block *block_before, *block_after; /* the block itself, or the one it stands in; NULL likewise */
    const char *strength;                    /* CLAUSE: "must", "prefer", "never" where both have it; "" */
    const char *was, *is; /* as people read them, with their strengths where these differ; NULL likewise */
    const char *shape;    /* "narrower" …, or NULL */
    bool guessed;         /* RENAMED: by likeness, nobody wrote `was` */
    const char *const *reaches; /* protocols that feel it, when it stands in a base or a practice */
    size_t reach_count;
} Change;

typedef struct Diff {
    const Change *changes; /* by chapter, then owner, then direction and path */
    size_t count;
    size_t directions[DIRECTIONS]; /* how many of each */
    size_t protocols;              /* that there are on either side, bases left out */
    size_t protocols_changed;      /* of these */
} Diff;

/* Both nurseries are finished; the second was made by nursery_beside the first. `rows`: the batches in their
 * tables, or NULL. */
const Diff *diff_nurseries(Arena *arena, const Nursery *before, const Nursery *after, const BatchRows *rows);

#endif
