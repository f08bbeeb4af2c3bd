/* What the five files that make a timeline share: the plan under way, and the few steps that all of them
 * take.
 *
 * timeline.c finds the day to begin with and puts the result together, timeline_stages.c dates stages and
 * moments, timeline_tasks.c says when tasks are due, timeline_place.c on which days they are done and
 * timeline_dials.c which settings of dials were. Nobody else includes this.
 */
#ifndef ANALYSIS_TIMELINE_WORK_H
#define ANALYSIS_TIMELINE_WORK_H

#include "analysis/timeline.h"

typedef unsigned Faults; /* a set: bit 1 << TimelineFault */
#define FAULT_BIT(fault) (1U << (fault))

typedef struct Work {
    const Schedule *schedule;
    const Calendar *calendar;
    const TimelineInput *input;
    Dates take, stick, finish;
    StageDates *stages;
    Day *ready;    /* by stage: its recorded end, or DAY_NONE */
    Day *known_by; /* by stage: the first `ready` of it or a later one; nothing of it is later */
    Faults *stage_faults, *task_faults;
    size_t occurrences; /* room that the tasks need */
} Work;

/* One task while it is filled in. */
typedef struct Fill {
    const TaskPlan *plan;
    int index;
    StageDates stage;
    bool has_latest;
    Dates latest;
    Faults *faults;
    TaskDate *dates; /* its occurrences, by planned date */
    size_t count;
} Fill;

static const Dates dates_unknown = {{DAY_NONE, DAY_NONE, DAY_NONE}};

static inline bool dates_known(const Dates *dates)
{
    return dates->on[RUN_PLANNED] != DAY_NONE;
}

/* Sums stay far inside a Day whatever a file says; what lands there is out of range and told as such. */
static inline Day day_later(Day day, int64_t days)
{
    enum { FAR = 1000000 };
    int64_t sum = day + days;
    return (Day)(sum > FAR ? FAR : sum < -FAR ? -FAR : sum);
}

static inline void dates_add(Dates *dates, const DaySpan *span)
{
    dates->on[RUN_EARLY] = day_later(dates->on[RUN_EARLY], span->low);
    dates->on[RUN_PLANNED] = day_later(dates->on[RUN_PLANNED], span->planned);
    dates->on[RUN_LATE] = day_later(dates->on[RUN_LATE], span->high);
}

static inline void dates_not_before(Dates *dates, const Dates *bound)
{
    for (int run = 0; run < RUNS; run++)
        if (dates->on[run] < bound->on[run]) dates->on[run] = bound->on[run];
}

/* For days taken from windows: two events in one window can put its days in the runs out of order. */
static inline void dates_put_in_order(Dates *dates)
{
    for (int run = RUN_LATE; run > RUN_EARLY; run--)
        if (dates->on[run - 1] > dates->on[run]) dates->on[run - 1] = dates->on[run];
}

/* True if a date was later, and is cut. */
static inline bool dates_not_after(Dates *dates, const Dates *bound)
{
    bool cut = false;
    for (int run = 0; run < RUNS; run++) {
        if (dates->on[run] <= bound->on[run]) continue;
        dates->on[run] = bound->on[run];
        cut = true;
    }
    return cut;
}

/* A watch has no planned due; its first day stands for it. */
static inline Day due_for_order(const TaskDate *date)
{
    return date->watch ? date->due.on[RUN_EARLY] : date->due.on[RUN_PLANNED];
}

static inline Day date_for_order(const TaskDate *date)
{
    Day planned = date->date.on[RUN_PLANNED];
    return planned == DAY_NONE ? date->date.on[RUN_EARLY] : planned;
}

bool timeline_in_range(const Dates *dates);

/* Dates all stages and the finish, from work->take and work->stick. */
void timeline_stages(Work *work);

/* Begin and end of a stage or of a SECTION_; unknown dates where the batch's take is unknown. */
StageDates timeline_section(const Work *work, int section);

/* The occurrence of a window that each run takes from `from` on; no run takes a later one than the run after
 * it. False: it never comes. *jump: the early run takes another than the late one. */
bool timeline_occurrences(const Work *work, const Window *window, const Dates *from, Occurrence taken[RUNS],
                          bool *jump);

/* Dates outside a window wait for the next occurrence's first day. False: it never comes. Adds faults. */
bool timeline_gate(const Work *work, const Window *window, Dates *dates, Faults *faults);

/* `span` days from a moment, as seen from a stage that is `own` and stands at `here` (its end may be
 * unknown). Days before an end stop at the begin of that stage. False: the moment is not known. Adds faults.
 */
bool timeline_moment(const Work *work, const Moment *moment, const StageDates *here, const DaySpan *span,
                     Dates *dates, Faults *faults);

/* Counts what each task needs into `counts` and what all need into work->occurrences; a task that would pass
 * TIMELINE_OCCURRENCES gets none and is told. */
void timeline_count(Work *work, size_t *counts);
/* Fills `all`, which has room for work->occurrences, task by task; gives their number. */
size_t timeline_tasks(Work *work, Arena *arena, TaskDate *all);

/* Gives the due occurrences of one task their dates and states, in the order of their dates; some may merge.
 */
void timeline_place(const Work *work, Fill *fill);
/* On the day that it is due, whether or not somebody is there. */
void timeline_place_duty(const Work *work, TaskDate *date, Faults *faults);
/* It was done, or left out. */
void timeline_record(TaskDate *date, const TaskRecord *record);
/* The state of what nobody recorded. */
TaskState timeline_state(const Work *work, const TaskPlan *plan, const TaskDate *date);
/* Gives the due settings of all dials, in their order on paper, their dates and states. */
void timeline_dials(const Work *work, TaskDate *settings, size_t count);

#endif
