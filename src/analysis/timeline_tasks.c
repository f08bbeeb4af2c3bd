/* Tasks in three runs: how often each comes and when it is due.
 *
 * Given dated stages, first counts the occurrences of every task, so that room is made once, then fills them
 * in task by task. What people recorded, and the open days that due dates move to, come from
 * timeline_place.c.
 */
#include "analysis/timeline_work.h"

/* How often a task comes: number k is due `first` + (k - base) * `period`, for k from `low` to `high`, and is
 * there in a run if it lies from `begin` to `stop`. */
typedef struct Grid {
    Dates begin, first, stop;
    int32_t period;
    int base, low, high;
} Grid;

/* The occurrences of one task among all. */
typedef struct Share {
    size_t first, count;
} Share;

/* ------------------------------------------------------------------ how often */

static int64_t divide_up(int64_t a, int64_t b)
{
    return (a + b - 1) / b; /* a, b > 0 */
}

/* Finds low and high: the numbers that are there in at least one run. False: none. */
static bool grid_limits(Grid *grid)
{
    bool any = false;
    for (int run = 0; run < RUNS; run++) {
        int64_t first = grid->first.on[run], begin = grid->begin.on[run], stop = grid->stop.on[run];
        int64_t skipped = begin > first ? divide_up(begin - first, grid->period) : 0;
        if (first + skipped * grid->period > stop) continue;
        int low = grid->base + (int)skipped;
        int high = grid->base + (int)((stop - first) / grid->period);
        if (!any || low < grid->low) grid->low = low;
        if (!any || high > grid->high) grid->high = high;
        any = true;
    }
    return any;
}

static bool grid_every(const Work *work, const TaskPlan *plan, const StageDates *stage, Grid *grid,
                       Faults *faults)
{
    int32_t days = plan->has_first ? plan->first : plan->period;
    DaySpan span = {days, days, days};
    grid->period = plan->period;
    grid->base = 1;
    grid->first = stage->begin;
    if (plan->has_first && plan->first_from.kind != MOMENT_NONE)
        return timeline_moment(work, &plan->first_from, stage, &span, &grid->first, faults);
    dates_add(&grid->first, &span);
    return true;
}

static bool grid_make(const Work *work, const TaskPlan *plan, const StageDates *stage, Grid *grid,
                      Faults *faults)
{
    *grid = (Grid){.begin = stage->begin, .first = stage->begin, .stop = stage->end, .period = 1};
    if (plan->has_until &&
        !timeline_moment(work, &plan->until, stage, &plan->until_after, &grid->stop, faults))
        return false;
    if (plan->timing == TIMING_EVERY) {
        if (!grid_every(work, plan, stage, grid, faults)) return false;
    } else {
        for (int run = 0; run < RUNS; run++) grid->stop.on[run]--; /* daily leaves the last day out */
    }
    if (grid_limits(grid)) {
        if (plan->once) grid->high = grid->low;
        return true;
    }
    *faults |= FAULT_BIT(FAULT_TASK_NEVER);
    return false;
}

static size_t count_task(const Work *work, const TaskPlan *plan, const size_t *counts, Faults *faults)
{
    Grid grid;
    StageDates stage = timeline_section(work, plan->stage);
    if (!dates_known(&stage.begin)) return 0;
    switch (plan->timing) {
    case TIMING_DAYS:
    case TIMING_WEATHER: return 1;
    case TIMING_EACH: return counts[plan->each];
    case TIMING_EVERY:
    case TIMING_DAILY: break;
    }
    if (!grid_make(work, plan, &stage, &grid, faults)) return 0;
    return (size_t)(grid.high - grid.low) + 1;
}

void timeline_count(Work *work, size_t *counts)
{
    const Schedule *schedule = work->schedule;
    work->occurrences = 0;
    for (size_t i = 0; i < schedule->order_count; i++) {
        int task = schedule->order[i];
        size_t count = count_task(work, &schedule->tasks[task], counts, &work->task_faults[task]);
        if (count > TIMELINE_OCCURRENCES - work->occurrences) {
            work->task_faults[task] |= FAULT_BIT(FAULT_TOO_MANY);
            count = 0;
        }
        counts[task] = count;
        work->occurrences += count;
    }
}

/* ------------------------------------------------------------------ due dates */

static TaskDate *fill_add(Fill *fill, int number, bool sure)
{
    TaskDate *date = &fill->dates[fill->count++];
    *date = (TaskDate){.task = fill->index, .number = number, .sure = sure, .recorded = DAY_NONE};
    return date;
}

/* The day a task must not pass, in each run. False: there is none, or it cannot be known. */
static bool find_latest(const Work *work, Fill *fill)
{
    const TaskPlan *plan = fill->plan;
    Occurrence taken[RUNS];
    bool jump = false;
    fill->latest = fill->stage.begin;
    switch (plan->latest) {
    case LATEST_NONE: return false;
    case LATEST_DAY: {
        DaySpan span = {plan->latest_day, plan->latest_day, plan->latest_day};
        dates_add(&fill->latest, &span);
        return true;
    }
    case LATEST_WINDOW: break;
    }
    if (!timeline_occurrences(work, &plan->latest_on, &fill->stage.begin, taken, &jump)) {
        *fill->faults |= FAULT_BIT(FAULT_NO_EVENT);
        return false;
    }
    for (int run = 0; run < RUNS; run++)
        if (taken[run].last > fill->latest.on[run]) fill->latest.on[run] = taken[run].last;
    dates_put_in_order(&fill->latest);
    return true;
}

static bool stage_has_length(int section)
{
    return section >= 0 || section == SECTION_HOLD || section == SECTION_CLIMATE;
}

/* `day N` of its own stage is a day of that stage, so a run in which the stage ends sooner lacks it. */
static bool bound_to_stage(const TaskPlan *plan)
{
    bool own = plan->moment.kind == MOMENT_NONE ||
               (plan->moment.kind == MOMENT_START &&
                (plan->moment.stage == STAGE_OWN || plan->moment.stage == plan->stage));
    return own && plan->after.low >= 0 && stage_has_length(plan->stage);
}

static void fill_days(const Work *work, Fill *fill)
{
    static const Moment start = {.kind = MOMENT_START, .stage = STAGE_OWN};
    const TaskPlan *plan = fill->plan;
    const Moment *moment = plan->moment.kind == MOMENT_NONE ? &start : &plan->moment;
    Dates due;
    Faults faults = 0; /* a jump of an event is no `until`; the dates show it */
    bool known = timeline_moment(work, moment, &fill->stage, &plan->after, &due, &faults);
    /* On the last day the next stage sets its own; a stage of no length has its first day all the same. */
    int32_t left_out = plan->setting && plan->after.low > 0;
    *fill->faults |= faults & ~FAULT_BIT(FAULT_UNTIL_JUMP);
    if (!known) return;
    int there = RUNS;
    for (int run = 0; run < RUNS && bound_to_stage(plan); run++)
        if (due.on[run] > fill->stage.end.on[run] - left_out) there--;
    int number = plan->setting ? plan->setting->first : 0;
    if (there)
        fill_add(fill, number, there == RUNS)->due = due;
    else
        *fill->faults |= FAULT_BIT(FAULT_TASK_NEVER);
}

static void fill_grid(const Work *work, Fill *fill)
{
    Grid grid;
    if (!grid_make(work, fill->plan, &fill->stage, &grid, fill->faults)) return;
    for (int number = grid.low; number <= grid.high; number++) {
        Dates due;
        int there = 0;
        for (int run = 0; run < RUNS; run++) {
            Day day = day_later(grid.first.on[run], (int64_t)(number - grid.base) * grid.period);
            due.on[run] = day;
            there += day >= grid.begin.on[run] && day <= grid.stop.on[run];
        }
        if (there) fill_add(fill, number, there == RUNS)->due = due;
    }
}

/* With each occurrence of another task that was not merged into its neighbour. */
static void fill_each(Fill *fill, const TaskDate *others, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        TaskDate *date = fill_add(fill, others[i].number, others[i].sure);
        date->due = others[i].date;
        date->watch = others[i].watch;
    }
}

/* A watch has a first and a last day and no planned one. */
static void fill_weather(const Work *work, Fill *fill)
{
    Dates begin = fill->stage.begin;
    if (fill->plan->waits_for && !timeline_gate(work, fill->plan->waits_for, &begin, fill->faults)) return;
    TaskDate *date = fill_add(fill, 0, true);
    Day last = fill->has_latest ? fill->latest.on[RUN_LATE] : fill->stage.end.on[RUN_LATE];
    date->due = (Dates){{begin.on[RUN_EARLY], DAY_NONE, last}};
    if (last < begin.on[RUN_EARLY]) date->due.on[RUN_LATE] = begin.on[RUN_EARLY];
    date->watch = true;
}

/* Waits for the task's window, then cuts what passes its latest day; what leaves the calendar is dropped. */
static void settle_due(const Work *work, Fill *fill)
{
    size_t kept = 0;
    for (size_t i = 0; i < fill->count; i++) {
        TaskDate *date = &fill->dates[i];
        bool known = true;
        if (!date->watch) {
            if (fill->plan->waits_for)
                known = timeline_gate(work, fill->plan->waits_for, &date->due, fill->faults);
            if (i == 0 && fill->has_latest && date->due.on[RUN_EARLY] > fill->latest.on[RUN_EARLY])
                *fill->faults |= FAULT_BIT(FAULT_TOO_LATE);
            if (fill->has_latest) date->cut = dates_not_after(&date->due, &fill->latest);
        }
        if (!timeline_in_range(&date->due)) {
            *fill->faults |= FAULT_BIT(FAULT_OUT_OF_RANGE);
            known = false;
        }
        if (known) fill->dates[kept++] = *date;
    }
    fill->count = kept;
}

/* ------------------------------------------------------------------ all of it */

/* A stage that is known to be over may have cut a task off; that is no fault of the protocol. */
static void forgive_never(const Work *work, const Fill *fill)
{
    int stage = fill->plan->stage;
    if (stage >= 0 && work->known_by[stage] != DAY_NONE) *fill->faults &= ~FAULT_BIT(FAULT_TASK_NEVER);
}

static void fill_task(const Work *work, Fill *fill, const TaskDate *all, const Share *shares)
{
    fill->has_latest = find_latest(work, fill);
    switch (fill->plan->timing) {
    case TIMING_DAYS: fill_days(work, fill); break;
    case TIMING_EVERY:
    case TIMING_DAILY: fill_grid(work, fill); break;
    case TIMING_EACH: {
        Share other = shares[fill->plan->each];
        fill_each(fill, all + other.first, other.count);
        break;
    }
    case TIMING_WEATHER: fill_weather(work, fill); break;
    }
    settle_due(work, fill);
    if (!fill->plan->setting) timeline_place(work, fill);
    forgive_never(work, fill);
}

size_t timeline_tasks(Work *work, Arena *arena, TaskDate *all)
{
    const Schedule *schedule = work->schedule;
    ArenaMark mark = arena_mark(arena);
    Share *shares = ARENA_ARRAY(arena, Share, schedule->task_count);
    size_t count = 0, tasks = 0; /* of all, and of those that are no settings, which come last */
    for (size_t i = 0; i < schedule->order_count; i++) {
        int task = schedule->order[i];
        const TaskPlan *plan = &schedule->tasks[task];
        Fill fill = {.plan = plan, .index = task, .dates = all + count};
        fill.faults = &work->task_faults[task];
        fill.stage = timeline_section(work, plan->stage);
        bool counted = !(*fill.faults & FAULT_BIT(FAULT_TOO_MANY));
        if (counted && dates_known(&fill.stage.begin)) fill_task(work, &fill, all, shares);
        shares[task] = (Share){count, fill.count};
        count += fill.count;
        if (!plan->setting) tasks = count;
    }
    timeline_dials(work, all + tasks, count - tasks);
    arena_release(arena, mark);
    return count;
}
