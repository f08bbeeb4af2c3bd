/* Dated work: every task of every batch, with where it is done and how much of it there is. */
#ifndef ANALYSIS_WORK_H
#define ANALYSIS_WORK_H

#include "analysis/timeline.h"
#include "model/plan.h"
#include "model/protocol.h"
#include "model/record.h"

/* One task of one batch. Points into the model and into what the caller of the sink owns; it lives until the
 * sink returns. */
typedef struct WorkTask {
    Slice batch;
    /* As people call it: the variety's title, else the botanical name; or "". Lives as long as the nursery,
     * so that it can be known again by its address. */
    const char *plant;
    const Protocol *protocol;
    const Block *stage;       /* the stage or section block it stands in */
    const Block *task;        /* its block: say, because, cautions, count …; of a setting the schedule */
    const Clause *setting;    /* the line of the schedule that says what is set; NULL: a task */
    const TaskDate *date;     /* days, number, state */
    const Timeline *timeline; /* of its batch */
    /* Blocks beside stage, task and place whose cautions go for all work on the batch: its protocol, climate,
     * what has no task of its own, species and variety. Those without a caution are not among them. */
    const Block *const *around;
    size_t around_count;
    bool stage_is_around; /* the stage has no task of its own, only settings */
    const Block *place;   /* where the batch stands on the planned day; NULL unknown */
    const char *path;     /* /STAGE/TASK from the oldest names, /STAGE/DIAL/DAY of a setting: the id is batch,
                           path     and, with a number, #k */
    bool has_count, has_trays, has_time;
    int64_t count;              /* cuttings */
    int64_t trays;              /* containers, whole */
    Number time_low, time_high; /* seconds of work for the whole task */
    size_t row;                 /* which batch of the run, from 0 */
} WorkTask;

typedef struct WorkFilter {
    Day from, to;       /* planned day (or watched span) inside; DAY_NONE: open */
    Day today;          /* DAY_NONE: states are not named */
    Slice place, batch; /* empty: all */
} WorkFilter;

/* Called for each task in the order of the plan, a batch's tasks by planned day. False stops. */
typedef bool WorkSink(void *to, const WorkTask *task);

/* What whoever works must know before all else: the place is shut after a treatment, or a batch is failing.
 */
typedef struct WorkNotice {
    const Block *place; /* where the batch stood on the first day; NULL: unknown */
    const char *batch;
    const RecordLine *line; /* TREATED or FAILING */
    Day first, last;        /* days on which it is to be known */
} WorkNotice;

typedef struct WorkResult {
    size_t batches; /* that have dates */
    size_t undated; /* whose dates are not known: left out, and noted */
    uint64_t tasks;
    const WorkNotice *notices; /* by their first day; of all batches, whatever the filter takes */
    size_t notice_count;
} WorkResult;

#endif
