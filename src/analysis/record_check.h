/* Records and batches beside the protocol that they speak of. */
#ifndef ANALYSIS_RECORD_CHECK_H
#define ANALYSIS_RECORD_CHECK_H

#include "analysis/subject.h"
#include "analysis/summary.h"

typedef struct RecordCheck RecordCheck;

/* Findings that are judged off are counted in `summary`. `today` may be DAY_NONE: then nothing is to come,
 * and the summary NULL. */
RecordCheck *record_check_new(Nursery *nursery, Day today, Summary *summary);
/* There is a batch of this name, with this record (NULL: it has none), whatever it follows. */
void record_check_seen(RecordCheck *check, Slice batch, const Block *record);
/* The names and days in a batch and its record. */
void record_check_batch(RecordCheck *check, const Subject *batch);
/* Tells that nobody planned a batch that is recorded here. */
void record_check_unplanned(Nursery *nursery, Slice batch, Span place);
/* Tells that nobody planned the batch that a line of another speaks of. */
void record_check_goal(Nursery *nursery, const char *batch, const RecordLine *line);
/* Records of batches that nobody planned, once all batches were seen. */
void record_check_finish(RecordCheck *check);

#endif
