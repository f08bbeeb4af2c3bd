/* Timelines of batches, remembered: batches of one protocol stuck on one day have the same. */
#ifndef ANALYSIS_TIMELINES_H
#define ANALYSIS_TIMELINES_H

#include "analysis/subject.h"

typedef struct Timelines Timelines;

/* `exhausted`: as for arena_new; what is remembered has an arena of its own, emptied when it grows over some
 * MiB. */
Timelines *timelines_new(const FactSource *source, Day today, ArenaExhausted *exhausted);
void timelines_free(Timelines *timelines);
/* One timeline, not remembered, in the lasting arena; the batch's protocol has a schedule. */
Timeline timeline_of_batch(const FactSource *source, const Subject *batch, Day today);
/* The timeline of a batch; NULL when its protocol has no schedule. It lives until the next call. */
const Timeline *timelines_of(Timelines *timelines, const Subject *batch);

#endif
