/* What time needs to know of a protocol: stages with their lengths, tasks with their timing, all names
 * resolved.
 *
 * Made once from an effective protocol (model/schedule.c) and expanded for each batch (analysis/timeline.h).
 * Stages are in their order on paper. Everything counts in whole days.
 */
#ifndef MODEL_SCHEDULE_H
#define MODEL_SCHEDULE_H

#include "model/calendar.h"

/* lo .. hi days. A run takes lo, planned or hi; planned is the preferred value, else the middle:
 * lo + ceil((hi - lo) / 2). */
typedef struct DaySpan {
    int32_t low, planned, high;
} DaySpan;

typedef enum MomentKind {
    MOMENT_NONE,
    MOMENT_TAKE,
    MOMENT_STICK,
    MOMENT_START,  /* of `stage` */
    MOMENT_END,    /* of `stage` */
    MOMENT_FINISH, /* the latest end of all stages */
    MOMENT_EVENT   /* next occurrence of the site's `event` on or after the begin of the task's stage */
} MomentKind;

enum { STAGE_OWN = -1 }; /* the stage in which the clause stands */

typedef struct Moment {
    MomentKind kind;
    int stage; /* index, or STAGE_OWN; `ready root` is the end of root */
    Name event;
} Moment;

typedef enum LengthKind {
    LENGTH_NONE,   /* not said: the stage ends on the day it begins */
    LENGTH_DAYS,   /* span */
    LENGTH_WINDOW, /* until a window: its first, middle, last day in the three runs */
    LENGTH_MOMENT  /* until span days after a moment */
} LengthKind;

typedef struct StagePlan {
    Name name, role;
    LengthKind length;
    DaySpan span;
    Window until;
    Moment moment;
    bool begins; /* not when all before have ended, but span days from a moment */
    Moment begins_at;
    DaySpan begins_after;    /* negative is before */
    const Window *waits_for; /* NULL: nothing to wait for */
} StagePlan;

/* One line of a schedule block: days, and what is set on them, as written. */
typedef struct DialRow {
    int32_t first, last; /* days of the stage; last is INT32_MAX for `end` */
    Slice setting;       /* "5 .. 8 s every 10 min day and night"; "off" */
} DialRow;

/* Where a task stands. Stages have their index; the sections around them are negative. */
enum {
    SECTION_TAKE = -2,
    SECTION_HOLD = -3, /* a stage of its own, from take to stick */
    SECTION_TREAT = -4,
    SECTION_STICK = -5,
    SECTION_FINISH = -6,
    SECTION_CLIMATE = -7 /* from stick to finish */
};

typedef enum TimingKind {
    TIMING_DAYS,   /* `after` days from `moment`, once; at start and at end are 0 days from it */
    TIMING_EVERY,  /* every `period` days from day `first` of the stage, the last day included */
    TIMING_DAILY,  /* every day of the stage, the last day not included */
    TIMING_EACH,   /* with each occurrence of `each`, on its moved date */
    TIMING_WEATHER /* watched from the stage's early begin to `latest` or its late end; no planned date */
} TimingKind;

typedef struct TaskPlan {
    Name name, role;
    int stage; /* index, or a SECTION_ */
    TimingKind timing;
    Moment moment;
    DaySpan after;     /* DAYS: from the moment; negative is before */
    int32_t period;    /* EVERY: days, at least 1 */
    bool has_first;    /* EVERY: the first is not `period` days after the begin but … */
    Moment first_from; /* … `first` days after this (MOMENT_NONE: the stage's begin) */
    int32_t first;
    bool has_until; /* EVERY, DAILY: stops here instead of at the stage's end */
    Moment until;
    DaySpan until_after;
    int each; /* EACH: index of the other task, which comes earlier in `order` */
    enum { LATEST_NONE, LATEST_WINDOW, LATEST_DAY } latest;
    Window latest_on;   /* WINDOW: the last day of its first occurrence on or after the stage's begin */
    int32_t latest_day; /* DAY: day N of the stage */
    int32_t slack;      /* days */
    SlackSide side;
    bool duty;      /* never moves */
    bool closes_up; /* containers that are empty then go */
    bool once;      /* EVERY, DAILY: only the first time is asked for */
    const Window *waits_for;
    Name moves_to;          /* from here on the batch stands in this place; NULL: where it stood */
    const DialRow *setting; /* NULL: a task. Else its name is the dial's, set on the row's first day */
    int dial;               /* of a setting: index of the first of that dial, in whatever stage */
} TaskPlan;

typedef struct Schedule {
    const StagePlan *stages;
    size_t stage_count;
    const TaskPlan *tasks; /* in order on paper; behind all tasks the settings of dials */
    size_t task_count;     /* of both */
    const int *order;      /* indices into tasks: each after the one it hangs on with TIMING_EACH … */
    size_t order_count;    /* … and all of them, but in a schedule that is only tried on days */
    bool moves;            /* one of the tasks moves a batch */
    bool closes_up;        /* one of them frees containers */
    bool has_hold;
    bool take_with_stick; /* `take` unstated is `stick` (no hold of over 24 hours is allowed) */
    bool stick_with_take; /* the other way round */
    const Window
        *stick_windows; /* where sticking is allowed, for plans that only say what they want and when */
    size_t stick_window_count;
} Schedule;

#endif
