/* What stands together where: for `mixed`, which asks whether batches that differ share a place, or places of
 * one kind, on one day.
 *
 * For each place and value the days are kept, merged, on which such a batch is surely there and on which it
 * may be: so memory grows with days, not with batches.
 */
#ifndef ANALYSIS_GATHERING_H
#define ANALYSIS_GATHERING_H

#include "analysis/subject.h"

typedef struct Gathering Gathering;

/* `codes`: every CODE_MIXED of the rules in force. */
Gathering *gathering_new(const FactSource *source, const Code *const *codes, size_t code_count);
/* One dated batch and where it stands. */
void gathering_add(Gathering *gathering, const Subject *batch);
Truth gathering_mixed(const Gathering *gathering, const Code *code, const Block *place);

#endif
