/* The whole check: protocols by themselves, rules on all they are about, limits on every batch. */
#ifndef ANALYSIS_LINT_H
#define ANALYSIS_LINT_H

#include "analysis/summary.h"
#include "model/plan.h"

typedef struct Lint Lint;

Lint *lint_new(Nursery *nursery, Day today, ArenaExhausted *exhausted);
/* Protocols, practices and rules, without any batch: contradictions, examples of rules, rules about
 * protocols, stages, tasks and clauses, and every rule on the batch that states nothing. */
void lint_protocols(Lint *lint);
/* One stretch of batches. */
void lint_plan(Lint *lint, const Plan *plan);
/* One batch of a stretch, and then what is to be told of the dates of those looked at so: for who asks after
 * a few batches, and neither for places nor for records of batches that he did not look at. */
void lint_batch(Lint *lint, const Plan *plan, size_t row);
void lint_finish_batches(Lint *lint);
/* What needs all batches: places, what was left undecided, what was silenced for nothing. Gives the counts of
 * the run. */
const Summary *lint_finish(Lint *lint);
void lint_free(Lint *lint);

#endif
