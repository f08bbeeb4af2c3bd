/* Whether trials can tell anything, and whether what is recorded of them fits.
 *
 * Of a trial by itself: that it names a batch and what is counted, and has two ways that differ. Beside its
 * batch: the stages and containers that it names. Of a record's line: its trial, its ways and their numbers.
 * That a trial is too small is another's to say (analysis/lint_trials.c).
 */
#ifndef ANALYSIS_TRIAL_CHECK_H
#define ANALYSIS_TRIAL_CHECK_H

#include "analysis/batch_size.h"
#include "model/trial.h"

/* Trials by themselves. */
void trial_check_blocks(Nursery *nursery, const Trials *trials);
/* The trial in its batch; gives whether it can be made sense of. */
bool trial_check_batch(Nursery *nursery, const Trial *trial, const Subject *batch);
/* A line on a trial in the record of a batch. */
void trial_check_line(Nursery *nursery, const Trials *trials, const Subject *batch, const RecordLine *line);
/* Trials in batches that nobody planned. `seen` is in the order of trials. */
void trial_check_finish(Nursery *nursery, const Trials *trials, const bool *seen);

#endif
