/* Expanding batches to dated work. */
#ifndef ANALYSIS_EXPAND_H
#define ANALYSIS_EXPAND_H

#include "analysis/work.h"

typedef struct Expansion Expansion;

Expansion *expansion_new(Nursery *nursery, const WorkFilter *filter, WorkSink *sink, void *to,
                         ArenaExhausted *exhausted);
/* Names and days in batches and records are looked at on the way; without it they are taken as checked. What
 * is ahead of today is left to the check: sheets are printed for other days too. */
void expansion_check_records(Expansion *expansion);
/* One stretch of batches. False: the sink has had enough. */
bool expansion_plan(Expansion *expansion, const Plan *plan);
WorkResult expansion_finish(Expansion *expansion);
void expansion_free(Expansion *expansion);

#endif
