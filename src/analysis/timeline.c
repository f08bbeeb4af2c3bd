/* A batch's timeline.
 *
 * Given a schedule, what the batch says, the site's calendar and the records, finds the day of sticking
 * (recorded, said, or worked back from the day the batch is wanted), has stages and tasks dated, puts the
 * tasks in order, cuts all at the end of the batch and lists what was odd. Stages are dated in
 * timeline_stages.c, tasks in timeline_tasks.c and timeline_place.c; what to make of the faults is left to
 * the checks.
 */
#include "analysis/timeline_work.h"

#include "base/vec.h"

/* ------------------------------------------------------------------ where it begins */

/* Sets the day of sticking and, where the one gives the other, of taking. */
static void set_stick(Work *work, Dates stick)
{
    const TimelineInput *input = work->input;
    work->stick = stick;
    work->take = input->take;
    if (!dates_known(&work->take) && work->schedule->take_with_stick) work->take = stick;
    /* What was stuck had been taken. */
    if (dates_known(&work->take) && input->stuck != DAY_NONE) dates_not_after(&work->take, &stick);
}

static bool finished_by(Work *work, Day stick, Day by)
{
    set_stick(work, dates_all(stick));
    timeline_stages(work);
    return work->finish.on[RUN_LATE] <= by;
}

/* The last day of a window that is not after `day`; DAY_NONE without one. Limits go by an event's mean. */
static Day last_day_in(const Window *window, const Calendar *calendar, Day day)
{
    Occurrence next = window_next(window, calendar, day, RUN_PLANNED);
    if (next.first == DAY_NONE) return DAY_NONE;
    return next.first <= day ? day : window_in_year(window, calendar, next.year - 1, RUN_PLANNED).last;
}

static Day allowed_day(const Work *work, Day day)
{
    const Schedule *schedule = work->schedule;
    Day last = schedule->stick_window_count ? DAY_NONE : day;
    for (size_t i = 0; i < schedule->stick_window_count; i++) {
        Day in_window = last_day_in(&schedule->stick_windows[i], work->calendar, day);
        if (in_window > last) last = in_window; /* DAY_NONE is before all days */
    }
    return last;
}

/* The last allowed day to stick whose late run is finished by `by`. Finishing never falls as sticking grows
 * later, so halving finds the day; DAY_NONE if there is none since 1900. */
static Day worked_back(Work *work, Day by)
{
    if (by == DAY_NONE || !day_in_range(by)) return DAY_NONE;
    Day too_late = by + 1, in_time = by;
    for (int back = 1; !finished_by(work, in_time, by); back *= 2) {
        too_late = in_time;
        in_time = by - back;
        if (!day_in_range(in_time)) return DAY_NONE;
    }
    while (too_late - in_time > 1) {
        Day middle = in_time + (too_late - in_time) / 2;
        if (finished_by(work, middle, by))
            in_time = middle;
        else
            too_late = middle;
    }
    Day day = allowed_day(work, in_time);
    return day != DAY_NONE && day_in_range(day) ? day : DAY_NONE;
}

static Dates find_stick(Work *work)
{
    const TimelineInput *input = work->input;
    if (input->stuck != DAY_NONE) return dates_all(input->stuck);
    if (dates_known(&input->stick)) return input->stick;
    if (dates_known(&input->take) && work->schedule->stick_with_take) return input->take;
    return dates_all(worked_back(work, input->wanted_by));
}

static void note_ready(Work *work)
{
    size_t count = work->schedule->stage_count;
    for (size_t i = 0; i < count; i++) work->ready[i] = DAY_NONE;
    for (size_t i = 0; i < work->input->ready_count; i++)
        work->ready[work->input->ready[i].stage] = work->input->ready[i].day;
    Day known_by = DAY_NONE;
    for (size_t i = count; i-- > 0;) {
        Day ready = work->ready[i];
        if (ready != DAY_NONE && (known_by == DAY_NONE || ready < known_by)) known_by = ready;
        work->known_by[i] = known_by;
    }
}

/* ------------------------------------------------------------------ in order */

typedef struct SortKey {
    uint64_t order; /* planned day, order on paper, number */
    const TaskDate *date;
} SortKey;

static uint64_t sort_order(const TaskDate *date)
{
    enum { TASK_BITS = 20, NUMBER_BITS = 22, DAY_OFFSET = 1 << 20 };
    uint64_t day = (uint64_t)((int64_t)date_for_order(date) + DAY_OFFSET);
    return day << (TASK_BITS + NUMBER_BITS) | (uint64_t)(uint32_t)date->task << NUMBER_BITS |
           (uint64_t)(uint32_t)date->number;
}

/* Merges runs of growing length from one array into the other; gives the one that holds the result. */
static SortKey *sort_keys(SortKey *from, SortKey *to, size_t count)
{
    for (size_t width = 1; width < count; width *= 2) {
        for (size_t left = 0; left < count; left += 2 * width) {
            size_t right = left + width < count ? left + width : count;
            size_t end = right + width < count ? right + width : count;
            size_t a = left, b = right;
            for (size_t at = left; at < end; at++)
                to[at] = b == end || (a < right && from[a].order <= from[b].order) ? from[a++] : from[b++];
        }
        SortKey *swapped = from;
        from = to;
        to = swapped;
    }
    return from;
}

/* Copies what stays, in order: once the batch has ended only what was recorded. */
static size_t gather(const Work *work, Arena *arena, const TaskDate *all, size_t count, TaskDate *dates)
{
    SortKey *keys = ARENA_ARRAY(arena, SortKey, count), *spare = ARENA_ARRAY(arena, SortKey, count);
    size_t kept = 0;
    for (size_t i = 0; i < count; i++) {
        if (work->input->ended != DAY_NONE && all[i].recorded == DAY_NONE) continue;
        keys[kept++] = (SortKey){sort_order(&all[i]), &all[i]};
    }
    const SortKey *sorted = sort_keys(keys, spare, kept);
    for (size_t i = 0; i < kept; i++) dates[i] = *sorted[i].date;
    return kept;
}

/* ------------------------------------------------------------------ how it ends */

static void cut_dates(Dates *dates, Day ended)
{
    Dates bound = dates_all(ended);
    dates_not_after(dates, &bound);
}

static void cut_at_end(Work *work)
{
    Day ended = work->input->ended;
    if (ended == DAY_NONE) return;
    for (size_t i = 0; i < work->schedule->stage_count; i++) {
        cut_dates(&work->stages[i].begin, ended);
        cut_dates(&work->stages[i].end, ended);
    }
    cut_dates(&work->take, ended);
    cut_dates(&work->stick, ended);
    cut_dates(&work->finish, ended);
}

typedef struct NoteList {
    TimelineNote *at; /* NULL: only counted */
    size_t count;
} NoteList;

static void list_faults(NoteList *list, Faults faults, int stage, int task)
{
    for (int fault = 0; fault < TIMELINE_FAULTS; fault++) {
        if (!(faults & FAULT_BIT(fault))) continue;
        if (list->at) list->at[list->count] = (TimelineNote){(TimelineFault)fault, stage, task};
        list->count++;
    }
}

/* Faults of the whole plan, then of stages, then of tasks, in their order on paper. */
static void list_all(NoteList *list, const Work *work, Faults whole)
{
    list->count = 0;
    list_faults(list, whole, -1, -1);
    for (size_t i = 0; i < work->schedule->stage_count; i++)
        list_faults(list, work->stage_faults[i], (int)i, -1);
    for (size_t i = 0; i < work->schedule->task_count; i++)
        list_faults(list, work->task_faults[i], work->schedule->tasks[i].stage, (int)i);
}

static NoteList make_notes(Arena *arena, const Work *work)
{
    bool in_range = timeline_in_range(&work->take) && timeline_in_range(&work->stick);
    Faults whole = in_range ? 0 : FAULT_BIT(FAULT_OUT_OF_RANGE);
    NoteList list = {NULL, 0};
    list_all(&list, work, whole);
    if (!list.count) return list;
    list.at = ARENA_ARRAY(arena, TimelineNote, list.count);
    list_all(&list, work, whole);
    return list;
}

static void find_moves(Arena *arena, const Schedule *schedule, Timeline *timeline)
{
    VEC(const TaskDate *) moves = {0};
    for (size_t i = 0; schedule->moves && i < timeline->task_count; i++)
        if (schedule->tasks[timeline->tasks[i].task].moves_to) VEC_PUSH(arena, &moves, &timeline->tasks[i]);
    timeline->moves = moves.at;
    timeline->move_count = moves.count;
}

Timeline timeline_make(Arena *arena, const Schedule *schedule, const Calendar *calendar,
                       const TimelineInput *input)
{
    size_t stages = schedule->stage_count, tasks = schedule->task_count;
    Work work = {.schedule = schedule, .calendar = calendar, .input = input};
    work.stages = ARENA_ARRAY(arena, StageDates, stages);
    work.ready = ARENA_ARRAY(arena, Day, 2 * stages);
    work.known_by = work.ready + stages;
    work.stage_faults = ARENA_ARRAY(arena, Faults, stages + tasks);
    work.task_faults = work.stage_faults + stages;
    note_ready(&work);
    Dates stick = find_stick(&work);
    if (!dates_known(&stick)) return (Timeline){.dated = false};
    set_stick(&work, stick);
    timeline_stages(&work);

    size_t *counts = ARENA_ARRAY(arena, size_t, tasks);
    timeline_count(&work, counts);
    TaskDate *dates = ARENA_ARRAY(arena, TaskDate, work.occurrences);
    ArenaMark mark = arena_mark(arena);
    TaskDate *all = ARENA_ARRAY(arena, TaskDate, work.occurrences);
    size_t count = gather(&work, arena, all, timeline_tasks(&work, arena, all), dates);
    arena_release(arena, mark);

    NoteList notes = make_notes(arena, &work);
    cut_at_end(&work);
    Timeline timeline = {.dated = true, .take = work.take, .stick = work.stick, .finish = work.finish};
    if (schedule->has_hold) timeline.hold = (StageDates){work.take, work.stick, false};
    timeline.stages = work.stages;
    timeline.tasks = dates;
    timeline.task_count = count;
    find_moves(arena, schedule, &timeline);
    timeline.notes = notes.at;
    timeline.note_count = notes.count;
    return timeline;
}
