/* What of a schedule hangs on the day of sticking.
 *
 * Lengths alone give the same on every day, only later; windows, events and what follows from them do not.
 * Whoever tries a protocol on many days dates all of it once, and that part on each. What repeats is dated
 * the first time only, unless more is needed: whether it comes shows there.
 */
#ifndef ANALYSIS_SEASON_H
#define ANALYSIS_SEASON_H

#include "base/arena.h"
#include "model/schedule.h"

typedef struct Season {
    bool any;          /* something hangs on the day */
    const bool *hangs; /* by task: it can go wrong on one day and not on another */
    Schedule whole;    /* all stages and tasks */
    Schedule part;     /* all stages, and the tasks that hang on the day or are asked for */
} Season;

/* `asked`: by task; of these every time is dated. */
Season season_of(Arena *arena, const Schedule *schedule, const bool *asked);

#endif
