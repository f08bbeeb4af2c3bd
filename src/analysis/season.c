/* What of a schedule hangs on the day of sticking.
 *
 * Given a schedule, finds the tasks whose dates, seen from their stage, differ from day to day, and makes a
 * schedule that dates no others and nothing more often than is needed. Without a window or an event anywhere
 * there are none.
 */
#include "analysis/season.h"

static bool is_gate(const Window *window)
{
    return window && !window->all_year;
}

static bool stage_asks_season(const StagePlan *stage)
{
    return stage->length == LENGTH_WINDOW ||
           (stage->length == LENGTH_MOMENT && stage->moment.kind == MOMENT_EVENT) ||
           (stage->begins && stage->begins_at.kind == MOMENT_EVENT) || is_gate(stage->waits_for);
}

/* A task that goes with another is done on the days that one was moved to: closed days move its limit, too.
 */
static bool task_asks_season(const TaskPlan *task)
{
    return task->latest == LATEST_WINDOW || is_gate(task->waits_for) ||
           (task->timing == TIMING_DAYS && task->moment.kind == MOMENT_EVENT) ||
           (task->has_first && task->first_from.kind == MOMENT_EVENT) ||
           (task->has_until && task->until.kind == MOMENT_EVENT) ||
           (task->timing == TIMING_EACH && task->latest != LATEST_NONE);
}

/* A moment that keeps its distance from the begin of the task's stage, which has a length. */
static bool is_steady(const TaskPlan *task, const Moment *moment)
{
    bool own = moment->stage == STAGE_OWN || moment->stage == task->stage;
    return moment->kind == MOMENT_NONE ||
           (own && (moment->kind == MOMENT_START || moment->kind == MOMENT_END));
}

static bool has_steady_stage(const Schedule *schedule, const TaskPlan *task)
{
    if (task->stage < 0) return task->stage != SECTION_CLIMATE && task->stage != SECTION_HOLD;
    LengthKind length = schedule->stages[task->stage].length;
    return length == LENGTH_DAYS || length == LENGTH_NONE;
}

/* On its stage's first day, and with each of another, it cannot miss. */
static bool can_miss(const TaskPlan *task)
{
    switch (task->timing) {
    case TIMING_DAYS: return task->after.low != 0 || task->after.high != 0 || task->latest != LATEST_NONE;
    case TIMING_EVERY:
    case TIMING_DAILY: return true;
    case TIMING_EACH:
    case TIMING_WEATHER: break;
    }
    return false;
}

static bool moves_with_stages(const Schedule *schedule, const TaskPlan *task)
{
    return can_miss(task) && !(has_steady_stage(schedule, task) && is_steady(task, &task->moment) &&
                               is_steady(task, &task->first_from) && is_steady(task, &task->until));
}

/* Copies of the tasks, of which those that repeat come once where that is enough. A gate may be missed at any
 * time; a task goes with another as often as that one comes, and which of its times falls on one day with the
 * next may decide whether it is too late. */
static void take_tasks(Arena *arena, const Schedule *schedule, const bool *asked, Schedule *whole)
{
    TaskPlan *tasks = ARENA_ARRAY(arena, TaskPlan, schedule->task_count);
    for (size_t i = 0; i < schedule->task_count; i++) {
        tasks[i] = schedule->tasks[i];
        bool goes_late = tasks[i].timing == TIMING_EACH && tasks[i].latest != LATEST_NONE;
        tasks[i].once = !asked[i] && !is_gate(tasks[i].waits_for) && !goes_late;
    }
    for (size_t i = schedule->order_count; i-- > 0;) {
        const TaskPlan *task = &tasks[schedule->order[i]];
        if (task->timing == TIMING_EACH && !task->once) tasks[task->each].once = false;
    }
    *whole = *schedule;
    whole->tasks = tasks;
}

/* In the order of the whole, where each stands behind the one it goes with. */
static void take_order(Arena *arena, const Schedule *whole, const bool *hangs, const bool *asked,
                       Schedule *part)
{
    int *order = ARENA_ARRAY(arena, int, whole->order_count);
    bool *taken = ARENA_ARRAY(arena, bool, whole->task_count);
    for (size_t i = whole->order_count; i-- > 0;) {
        int task = whole->order[i];
        taken[task] = taken[task] || hangs[task] || asked[task];
        if (taken[task] && whole->tasks[task].timing == TIMING_EACH) taken[whole->tasks[task].each] = true;
    }
    *part = *whole;
    part->order = order;
    part->order_count = 0;
    for (size_t i = 0; i < whole->order_count; i++)
        if (taken[whole->order[i]]) order[part->order_count++] = whole->order[i];
}

Season season_of(Arena *arena, const Schedule *schedule, const bool *asked)
{
    Season season = {.any = false};
    bool *hangs = ARENA_ARRAY(arena, bool, schedule->task_count);
    for (size_t i = 0; i < schedule->stage_count; i++)
        season.any = season.any || stage_asks_season(&schedule->stages[i]);
    bool stages_move = season.any;
    for (size_t i = 0; i < schedule->task_count; i++) {
        const TaskPlan *task = &schedule->tasks[i];
        hangs[i] = task_asks_season(task) || (stages_move && moves_with_stages(schedule, task));
        season.any = season.any || hangs[i];
    }
    take_tasks(arena, schedule, asked, &season.whole);
    take_order(arena, &season.whole, hangs, asked, &season.part);
    season.hangs = hangs;
    return season;
}
