/* From a schedule, a batch's dates, the site's calendar and what was recorded to dated stages and tasks.
 *
 * A pure function. Three runs, early, planned and late, are made alike, each taking its own end at every
 * choice; every date comes in three. Today moves no date, it only names the state of a task. The meaning is
 * in docs/timeline.md; the worked examples there are the unit tests.
 */
#ifndef ANALYSIS_TIMELINE_H
#define ANALYSIS_TIMELINE_H

#include "base/arena.h"
#include "model/schedule.h"

enum { TIMELINE_OCCURRENCES = 1000 }; /* of one batch; more is refused */

/* What is said and known of one batch. Unknown days are DAY_NONE. */
typedef struct TaskRecord {
    int task;      /* index in the schedule; of a dial the first of its settings */
    bool numbered; /* it names its k; else it is of the nearest by planned due */
    int number;    /* of a setting: its first day */
    Slice setting; /* of a dial, in place of a number: what it was set to; empty: not said */
    Day day;
    bool skipped;
} TaskRecord;

typedef struct TaskMove { /* `move TASK to D because "…"` in the batch: all three dates are that day */
    int task;
    int number; /* 0: all occurrences, or the one there is */
    Day day;
} TaskMove;

typedef struct StageReady {
    int stage;
    Day day;
} StageReady;

typedef struct TimelineInput {
    Dates take, stick; /* first, planned and last of what the batch says; equal for one day */
    Day stuck;         /* recorded: stands over `stick` */
    Day wanted_by;     /* with `stick` unstated: the last day to stick is worked back from here */
    const StageReady *ready;
    size_t ready_count;
    const TaskRecord *records; /* in order of date and line */
    size_t record_count;
    const TaskMove *moves;
    size_t move_count;
    Day ended; /* recorded end of the batch */
    Day today; /* names states; DAY_NONE: every task is `coming` */
} TimelineInput;

typedef struct StageDates {
    Dates begin, end;
    bool ready; /* the end is recorded */
} StageDates;

typedef enum TaskState {
    STATE_COMING,
    STATE_DUE,
    STATE_OVERDUE,
    STATE_DONE,
    STATE_SKIPPED,
    STATE_MISSED
} TaskState;

typedef struct TaskDate {
    int task;      /* index in the schedule */
    int number;    /* k of `every`, `daily`, `at each`; a setting's first day; 0 for a task that comes once */
    Dates due;     /* before closed days move it */
    Dates date;    /* after */
    bool sure;     /* there in all three runs; else "if still in STAGE" */
    bool watch;    /* decided by the weather: from date[EARLY] to date[LATE], nothing planned */
    bool cut;      /* `latest` cut a date */
    bool unopened; /* no open day within its slack: it stays on a closed one */
    bool unattended; /* a duty task on a closed day without duty */
    TaskState state;
    Day recorded; /* when it was done or skipped */
} TaskDate;

typedef enum TimelineFault {
    FAULT_UNTIL_JUMP,      /* early and late run take different occurrences of a stage's `until` */
    FAULT_GATE_JUMP,       /* … of a `waits-for` */
    FAULT_OFFSET_TOO_LONG, /* a task before the end of a stage would fall before its begin */
    FAULT_TASK_NEVER,      /* occurs in no run */
    FAULT_EMPTY_STAGE,     /* ends before it begins, by `until` or `latest` */
    FAULT_TOO_LATE,        /* even the early run is past `latest` */
    FAULT_TOO_MANY,        /* over TIMELINE_OCCURRENCES */
    FAULT_OUT_OF_RANGE,    /* dates outside 1900–2199 */
    FAULT_NO_EVENT,        /* hangs on an event that the site does not declare */
    FAULT_READY_BEFORE,    /* `ready` recorded before the stage began */
    FAULT_NO_OPEN_DAY,     /* planned on a closed day, and no open one within its slack */
    FAULT_NOBODY_THERE,    /* a duty task planned on a closed day without duty */
    TIMELINE_FAULTS
} TimelineFault;

typedef struct TimelineNote {
    TimelineFault fault;
    int stage, task; /* which, or -1 (stage may also be a SECTION_) */
} TimelineNote;

typedef struct Timeline {
    bool dated; /* false: there is no day to begin with, and nothing below is set */
    Dates take, stick, finish;
    StageDates hold;          /* only with a hold */
    const StageDates *stages; /* as in the schedule */
    const TaskDate *tasks;    /* by planned date, then order on paper, then number */
    size_t task_count;
    const TaskDate *const *moves; /* those of them that bring it to another place */
    size_t move_count;
    const TimelineNote *notes;
    size_t note_count;
} Timeline;

/* Everything it makes lives in `arena`. */
Timeline timeline_make(Arena *arena, const Schedule *schedule, const Calendar *calendar,
                       const TimelineInput *input);

#endif
