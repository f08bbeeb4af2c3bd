/* Stages and moments in three runs.
 *
 * Given the day of sticking in each run, a schedule, the site's calendar and the recorded ends of stages,
 * dates the begin and end of every stage. Each run takes its own end at every choice, and the runs never
 * cross: a run takes no later occurrence of a window or event than the run after it.
 */
#include "analysis/timeline_work.h"

bool timeline_in_range(const Dates *dates)
{
    for (int run = 0; run < RUNS; run++)
        if (dates->on[run] != DAY_NONE && !day_in_range(dates->on[run])) return false;
    return true;
}

StageDates timeline_section(const Work *work, int section)
{
    switch (section) {
    case SECTION_TAKE: return (StageDates){work->take, work->take, false};
    case SECTION_HOLD: return (StageDates){work->take, work->stick, false};
    case SECTION_TREAT:
    case SECTION_STICK: return (StageDates){work->stick, work->stick, false};
    case SECTION_FINISH: return (StageDates){work->finish, work->finish, false};
    case SECTION_CLIMATE: return (StageDates){work->stick, work->finish, false};
    default: return work->stages[section];
    }
}

/* ------------------------------------------------------------------ windows and events */

bool timeline_occurrences(const Work *work, const Window *window, const Dates *from, Occurrence taken[RUNS],
                          bool *jump)
{
    for (int run = RUN_LATE; run >= RUN_EARLY; run--) {
        taken[run] = window_next(window, work->calendar, from->on[run], (Run)run);
        if (taken[run].first == DAY_NONE) return false;
        if (run == RUN_LATE || taken[run].year <= taken[run + 1].year) continue;
        taken[run] = window_in_year(window, work->calendar, taken[run + 1].year, (Run)run);
    }
    *jump = taken[RUN_EARLY].year != taken[RUN_LATE].year;
    return true;
}

bool timeline_gate(const Work *work, const Window *window, Dates *dates, Faults *faults)
{
    Occurrence taken[RUNS];
    bool jump = false;
    if (window->all_year) return true;
    if (!timeline_occurrences(work, window, dates, taken, &jump)) {
        *faults |= FAULT_BIT(FAULT_NO_EVENT);
        return false;
    }
    for (int run = 0; run < RUNS; run++)
        if (dates->on[run] < taken[run].first) dates->on[run] = taken[run].first;
    dates_put_in_order(dates);
    if (jump) *faults |= FAULT_BIT(FAULT_GATE_JUMP);
    return true;
}

/* The next day of an event on or after `from`, which is a window of that one day. */
static bool event_dates(const Work *work, Name event, const Dates *from, Dates *dates, bool *jump)
{
    const Window window = {.first = {.event = event}, .last = {.event = event}};
    Occurrence taken[RUNS];
    if (!timeline_occurrences(work, &window, from, taken, jump)) return false;
    for (int run = 0; run < RUNS; run++) dates->on[run] = taken[run].first;
    dates_not_before(dates, from);
    dates_put_in_order(dates);
    return true;
}

/* ------------------------------------------------------------------ moments */

static StageDates moment_stage(const Work *work, const Moment *moment, const StageDates *here)
{
    return moment->stage == STAGE_OWN ? *here : timeline_section(work, moment->stage);
}

static Dates moment_day(const Work *work, const Moment *moment, const StageDates *here, Faults *faults)
{
    Dates dates = dates_unknown;
    bool jump = false;
    switch (moment->kind) {
    case MOMENT_NONE: break;
    case MOMENT_TAKE: return work->take;
    case MOMENT_STICK: return work->stick;
    case MOMENT_FINISH: return work->finish;
    case MOMENT_START: return moment_stage(work, moment, here).begin;
    case MOMENT_END: return moment_stage(work, moment, here).end;
    case MOMENT_EVENT:
        if (!dates_known(&here->begin)) break;
        if (!event_dates(work, moment->event, &here->begin, &dates, &jump))
            *faults |= FAULT_BIT(FAULT_NO_EVENT);
        if (jump) *faults |= FAULT_BIT(FAULT_UNTIL_JUMP);
        break;
    }
    return dates;
}

bool timeline_moment(const Work *work, const Moment *moment, const StageDates *here, const DaySpan *span,
                     Dates *dates, Faults *faults)
{
    *dates = moment_day(work, moment, here, faults);
    if (!dates_known(dates)) return false;
    dates_add(dates, span);
    if (moment->kind != MOMENT_END || span->low >= 0) return true;
    Dates asked = *dates;
    StageDates stage = moment_stage(work, moment, here);
    dates_not_before(dates, &stage.begin);
    for (int run = 0; run < RUNS; run++)
        if (dates->on[run] != asked.on[run]) *faults |= FAULT_BIT(FAULT_OFFSET_TOO_LONG);
    return true;
}

/* ------------------------------------------------------------------ stages */

static Dates stage_begin(const Work *work, const StagePlan *plan, const Dates *ended, Faults *faults)
{
    Dates begin = *ended;
    if (plan->begins) {
        Dates said;
        StageDates here = {*ended, dates_unknown, false};
        Faults event_faults = 0; /* the range itself shows a jump; a begin is no `until` */
        if (timeline_moment(work, &plan->begins_at, &here, &plan->begins_after, &said, &event_faults)) {
            begin = said;
            dates_not_before(&begin, &work->stick);
        }
        *faults |= event_faults & ~FAULT_BIT(FAULT_UNTIL_JUMP);
    }
    if (plan->waits_for) timeline_gate(work, plan->waits_for, &begin, faults);
    return begin;
}

static Dates end_by_window(const Work *work, const StagePlan *plan, const Dates *begin, Faults *faults)
{
    Occurrence taken[RUNS];
    bool jump = false;
    if (!timeline_occurrences(work, &plan->until, begin, taken, &jump)) {
        *faults |= FAULT_BIT(FAULT_NO_EVENT);
        return *begin;
    }
    if (jump) *faults |= FAULT_BIT(FAULT_UNTIL_JUMP);
    const Occurrence *planned = &taken[RUN_PLANNED];
    Dates end = {{taken[RUN_EARLY].first, planned->first + (planned->last - planned->first + 1) / 2,
                  taken[RUN_LATE].last}};
    dates_not_before(&end, begin);
    dates_put_in_order(&end);
    return end;
}

static Dates end_by_moment(const Work *work, const StagePlan *plan, const Dates *begin, Faults *faults)
{
    StageDates here = {*begin, dates_unknown, false};
    Dates end;
    if (!timeline_moment(work, &plan->moment, &here, &plan->span, &end, faults)) return *begin;
    bool empty = true;
    for (int run = 0; run < RUNS; run++) empty = empty && end.on[run] < begin->on[run];
    if (empty) *faults |= FAULT_BIT(FAULT_EMPTY_STAGE);
    dates_not_before(&end, begin);
    return end;
}

static Dates stage_end(const Work *work, const StagePlan *plan, const Dates *begin, Faults *faults)
{
    Dates end = *begin;
    switch (plan->length) {
    case LENGTH_NONE: break;
    case LENGTH_DAYS: dates_add(&end, &plan->span); break;
    case LENGTH_WINDOW: return end_by_window(work, plan, begin, faults);
    case LENGTH_MOMENT: return end_by_moment(work, plan, begin, faults);
    }
    return end;
}

/* A sign was recorded before the batch was stuck, or before a stage that had to end first was ready. */
static bool ready_too_soon(const Work *work, const StagePlan *plan, Day ready, Day ready_before)
{
    if (ready < work->stick.on[RUN_EARLY]) return true;
    return !plan->begins && ready_before != DAY_NONE && ready < ready_before;
}

static StageDates stage_dates(const Work *work, size_t index, const Dates *ended, Faults *faults)
{
    const StagePlan *plan = &work->schedule->stages[index];
    Day ready = work->ready[index], known_by = work->known_by[index];
    Dates bound = dates_all(known_by);
    StageDates dates = {.ready = ready != DAY_NONE};
    dates.begin = stage_begin(work, plan, ended, faults);
    if (known_by != DAY_NONE) dates_not_after(&dates.begin, &bound);
    dates.end = dates.ready ? dates_all(ready) : stage_end(work, plan, &dates.begin, faults);
    if (known_by != DAY_NONE && !dates.ready) dates_not_after(&dates.end, &bound);
    if (!timeline_in_range(&dates.begin) || !timeline_in_range(&dates.end))
        *faults |= FAULT_BIT(FAULT_OUT_OF_RANGE);
    return dates;
}

void timeline_stages(Work *work)
{
    size_t count = work->schedule->stage_count;
    work->finish = dates_unknown;
    for (size_t i = 0; i < count; i++) work->stages[i] = (StageDates){dates_unknown, dates_unknown, false};
    Dates ended = work->stick;
    Day ready_before = DAY_NONE; /* the last sign of the stages so far */
    for (size_t i = 0; i < count; i++) {
        Faults faults = 0;
        work->stages[i] = stage_dates(work, i, &ended, &faults);
        dates_not_before(&ended, &work->stages[i].end);
        if (work->stages[i].ready) {
            if (ready_too_soon(work, &work->schedule->stages[i], work->ready[i], ready_before))
                faults |= FAULT_BIT(FAULT_READY_BEFORE);
            if (ready_before < work->ready[i]) ready_before = work->ready[i];
        }
        work->stage_faults[i] = faults;
    }
    work->finish = ended;
}
