/* Where a batch stands, and from when to when.
 *
 * A batch comes to a place when the stage begins from which it stands there, or with a task that moves it,
 * and leaves when the next place begins, else when it is finished. It is surely there from the latest begin
 * to the earliest leave, perhaps from the earliest begin to the latest leave and as long behind it as the
 * place needs to be made ready again.
 */
#ifndef ANALYSIS_STAYS_H
#define ANALYSIS_STAYS_H

#include "analysis/subject.h"

typedef struct DayStretch {
    Day first,
        leave; /* leave is the first day on which it is no longer there; not behind first: no day at all */
} DayStretch;

typedef struct Stay {
    const Block *place;
    DayStretch sure, perhaps, planned; /* planned: without the time to make the place ready */
} Stay;

/* When a batch comes to the place in which it stands from a stage or section on; NULL: from sticking.
 * DAY_NONE without such a stage. */
Dates stay_begin(const Subject *batch, Name from);
/* Where a dated batch of a plan stands on a day, and on which other days it surely stands there too. */
typedef struct Whereabouts {
    Name place; /* NULL: nobody says */
    Day first, leave;
} Whereabouts;

/* By records, else by what the batch says, else by the tasks that move it; the latest that has begun counts.
 */
Whereabouts stay_on(const Subject *batch, Day day);
/* The day after a task, as the task itself is still done where and as the batch stood. */
Dates stay_day_after(const TaskDate *date);
/* The stays of a dated batch, in order of their begin; *count of them, 0 where no place is known. In the
 * passing arena. */
const Stay *stays_of(const FactSource *source, const Subject *batch, size_t *count);

#endif
