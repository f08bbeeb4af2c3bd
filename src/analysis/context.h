/* What batches refer to, resolved once for each combination. */
#ifndef ANALYSIS_CONTEXT_H
#define ANALYSIS_CONTEXT_H

#include "analysis/subject.h"

typedef struct Contexts Contexts;

Contexts *contexts_new(const FactSource *source);
/* The context of a batch; NULL when it follows no protocol that is known (that was reported). */
Context *contexts_of_row(Contexts *contexts, const Plan *plan, size_t row);
/* A batch in its context, not yet dated. */
Subject subject_of_batch(Context *context, const Plan *plan, size_t row);
/* The context of a protocol's abstract batch: no place, no container but the protocol's own, the first
 * species it is for; and that of another of them, NULL for none. */
Context *contexts_of_protocol(Contexts *contexts, const Protocol *protocol);
Context *contexts_of_plant(Contexts *contexts, const Protocol *protocol, const Reading *taxon);
/* One made by hand, for an example; the caller has set what it refers to. */
void context_complete(const FactSource *source, Context *context);

/* A plant as people call it: the variety's title, else its botanical name as `plant` says it; or "". */
const char *context_plant(Arena *arena, const Context *context, const Reading *plant);

/* The reference field of a batch by which it comes to a block of its context: stands, into, plant; NULL for
 * other blocks. */
const Field *context_reference(const Context *context, const Block *block);

#endif
