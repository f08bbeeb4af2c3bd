/* The reading of a trial as dated work of its batch: nobody counts what no sheet asks for.
 *
 * A trial in a batch becomes a task of its own beside those of the protocol: it says what is counted and how
 * that is recorded, and comes on the day that was settled beforehand. It is done when a count of that day or
 * later is recorded; one that was made before its time leaves it open.
 */
#ifndef ANALYSIS_TRIAL_TASK_H
#define ANALYSIS_TRIAL_TASK_H

#include "analysis/trial_result.h"

typedef struct TrialTask {
    const Block *task; /* made for it, as if the protocol had it: `trial longer-tips`, with the trial's
                          cautions and what is to be done */
    const char *path;  /* /trial/longer-tips */
    TaskDate date;     /* its `task` is negative, another for each trial */
} TrialTask;

/* The section that all of them stand in. */
extern const Block trial_section;

typedef struct TrialTasks {
    const TrialTask *at;
    size_t count;
} TrialTasks;

/* Those of a dated batch, by their planned day. None without a day on which it is read, or where the batch
 * ended before it was counted. They live as long as the nursery. */
TrialTasks trial_tasks_of(Nursery *nursery, const Trials *trials, Slice id, const Subject *batch, Day today);

#endif
