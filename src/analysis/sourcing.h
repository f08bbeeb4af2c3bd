/* What the figures of protocols rest on: a source that was seen, one that somebody quotes, the house, the
 * trade, memory, or nothing.
 *
 * A figure is a clause of a protocol or a practice that says how much, how long or when: what is asked,
 * what bars and what is promised; what says when work comes round again, or how long it takes, is none. It
 * counts where it is written, not with each heir. Of several citations the best counts.
 */
#ifndef ANALYSIS_SOURCING_H
#define ANALYSIS_SOURCING_H

#include "model/nursery.h"

/* From the best to none. */
typedef enum Basis {
    BASIS_SEEN,
    BASIS_SECOND_HAND,
    BASIS_OURS,
    BASIS_TRADE,
    BASIS_MEMORY,
    BASIS_NONE,
    BASES
} Basis;

typedef struct SourcedBlock {
    const Block *block; /* a protocol or a practice; NULL: all together */
    size_t figures;
    size_t resting[BASES]; /* of these */
} SourcedBlock;

typedef struct Sourcing {
    const SourcedBlock *blocks; /* those with figures; most of none or memory first, then by kind and name */
    size_t block_count;
    SourcedBlock all;
    const Clause *const *unsourced; /* in the order of their places */
    size_t unsourced_count;
} Sourcing;

/* Of the nursery's own files; what ships with the program is left out. */
Sourcing sourcing_of(Arena *arena, const Nursery *nursery);
Basis sourcing_basis(const Nursery *nursery, const Clause *clause);

#endif
