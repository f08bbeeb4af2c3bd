/* What of a batch's outlook its record has settled: which stages still lie ahead, and how many enter them.
 *
 * A stage is behind a batch when its end is recorded and the whole batch was counted since it began; what it
 * cost is then in the count, less those that its tasks throw out of what was counted. Of the stage in which a
 * batch is, so many entered as live now and have died or been culled in it since; no more than live now can
 * come through, and at least as many as a full count within the stage found neither dead nor to be thrown
 * out. A stage that ended without a count keeps its losses ahead: nobody knows what they were. Samples settle
 * nothing.
 */
#ifndef ANALYSIS_PROGRESS_H
#define ANALYSIS_PROGRESS_H

#include "analysis/ledger.h"
#include "analysis/outlook.h"
#include "analysis/survey.h"

typedef struct Progress {
    bool begun;        /* it was stuck, and how many is recorded; else nothing below is set */
    bool over;         /* ended: all that live or were sold are finished; abandoned: none is */
    size_t closed;     /* so many stages of the outlook are behind it */
    YieldBatch ahead;  /* in the stages of the outlook that are left */
    int64_t stuck;     /* by the record */
    LedgerAlive alive; /* what it rests on */
} Progress;

Progress progress_of(const FactSource *source, const Ledgers *ledgers, const SurveyBatch *batch,
                     const Outlook *outlook);

#endif
