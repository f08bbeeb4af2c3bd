/* analysis/timeline: what must hold of every timeline, over random sites, protocols and records. Each number
 * of an `every` is worked out again here, one day at a time; the day worked back from a wish is found again
 * by trying every day; and what analysis/season leaves out of a day is found to be the same on all days. */
#include "timeline_plan.h"

#include "analysis/season.h"

enum { PLANS = 6000, WINDOWS = 4 };

typedef struct RandomPlan {
    Plan plan;
    Window windows[WINDOWS]; /* gates of stages and tasks */
} RandomPlan;

static int between(CheckRandom *random, int low, int high)
{
    return low + (int)check_below(random, (unsigned)(high - low + 1));
}

static bool one_in(CheckRandom *random, unsigned times)
{
    return check_below(random, times) == 0;
}

static DaySpan random_span(CheckRandom *random, int low, int high)
{
    int a = between(random, low, high), b = between(random, low, high);
    return a < b ? days(a, b) : days(b, a);
}

static DayMark random_mark(CheckRandom *random, const Plan *plan)
{
    DayMark mark = part_mark((DayPart)between(random, 1, 6), between(random, 1, 12));
    if (one_in(random, 4)) mark.event = one_in(random, 2) ? plan->first_frost : plan->last_frost;
    if (one_in(random, 3)) mark.days = between(random, -40, 40);
    return mark;
}

static Window random_window(CheckRandom *random, const Plan *plan)
{
    return (Window){.first = random_mark(random, plan), .last = random_mark(random, plan)};
}

static Moment random_moment(CheckRandom *random, const Plan *plan, int stage)
{
    static const MomentKind kinds[] = {MOMENT_TAKE,  MOMENT_STICK, MOMENT_START, MOMENT_START,
                                       MOMENT_START, MOMENT_END,   MOMENT_END,   MOMENT_EVENT};
    Moment moment = {kinds[check_below(random, CHECK_COUNT(kinds))], STAGE_OWN, NULL};
    if (one_in(random, 3) && stage > 0) moment.stage = between(random, 0, stage - 1);
    if (moment.kind == MOMENT_EVENT) moment.event = one_in(random, 2) ? plan->first_frost : plan->last_frost;
    return moment;
}

static void random_site(CheckRandom *random, Plan *plan)
{
    plan->events[0].late = day_mark(5, between(random, 1, 31)).day;
    plan->events[1].early = day_mark(9, between(random, 1, 30)).day;
    if (one_in(random, 3))
        plan->pins[plan->calendar.pin_count++] = (EventPin){plan->first_frost, on(20271103)};
    plan->calendar.never_closed = one_in(random, 8);
    plan->calendar.work.weekdays = (uint8_t)between(random, 0, 127);
    plan->calendar.duty.weekdays = (uint8_t)between(random, 0, 127);
}

static void random_stage(CheckRandom *random, RandomPlan *made)
{
    Plan *plan = &made->plan;
    int index = (int)plan->schedule.stage_count;
    StagePlan *stage = plan_stage(plan, LENGTH_DAYS, random_span(random, 0, 40));
    if (one_in(random, 5)) {
        stage->length = LENGTH_WINDOW;
        stage->until = random_window(random, plan);
    } else if (one_in(random, 5)) {
        stage->length = LENGTH_MOMENT;
        stage->moment = random_moment(random, plan, index);
    }
    if (one_in(random, 6) && index > 0) {
        stage->begins = true;
        stage->begins_at = random_moment(random, plan, index);
        stage->begins_after = random_span(random, -20, 20);
    }
    if (one_in(random, 6)) stage->waits_for = &made->windows[check_below(random, WINDOWS)];
}

static void random_task(CheckRandom *random, RandomPlan *made)
{
    static const TimingKind timings[] = {TIMING_DAYS,  TIMING_DAYS, TIMING_EVERY,  TIMING_EVERY,
                                         TIMING_DAILY, TIMING_EACH, TIMING_WEATHER};
    Plan *plan = &made->plan;
    int index = (int)plan->schedule.task_count;
    int stage = between(random, 0, (int)plan->schedule.stage_count - 1);
    if (one_in(random, 8)) stage = between(random, SECTION_CLIMATE, SECTION_TAKE);
    TaskPlan *task = plan_task(plan, stage, timings[check_below(random, CHECK_COUNT(timings))]);
    if (task->timing == TIMING_EACH && index == 0) task->timing = TIMING_DAYS;
    task->each = index ? between(random, 0, index - 1) : 0;
    task->moment = random_moment(random, plan, stage < 0 ? 0 : stage);
    task->after = random_span(random, -20, 40);
    task->period = between(random, 1, 14);
    task->has_first = one_in(random, 3);
    task->first = between(random, 0, 20);
    if (one_in(random, 3)) task->first_from = random_moment(random, plan, stage < 0 ? 0 : stage);
    task->has_until = one_in(random, 6);
    task->until = random_moment(random, plan, stage < 0 ? 0 : stage);
    task->until_after = random_span(random, -5, 20);
    if (one_in(random, 8)) task->latest = LATEST_DAY, task->latest_day = between(random, 0, 40);
    if (one_in(random, 8)) task->latest = LATEST_WINDOW, task->latest_on = random_window(random, plan);
    task->slack = between(random, 0, 7);
    task->side = (SlackSide)check_below(random, 3);
    task->duty = one_in(random, 4);
    if (one_in(random, 8)) task->waits_for = &made->windows[check_below(random, WINDOWS)];
}

static void random_plan(CheckRandom *random, RandomPlan *made, Arena *arena)
{
    Plan *plan = &made->plan;
    plan_make(plan, arena);
    random_site(random, plan);
    for (int i = 0; i < WINDOWS; i++) made->windows[i] = random_window(random, plan);
    for (int i = between(random, 1, 6); i > 0; i--) random_stage(random, made);
    for (int i = between(random, 0, 12); i > 0; i--) random_task(random, made);
    Day stick = on(20270101) + between(random, 0, 800);
    int wide = one_in(random, 3) ? between(random, 0, 20) : 0;
    plan->input.stick = (Dates){{stick, stick + (wide + 1) / 2, stick + wide}};
    plan->input.today = stick + between(random, -20, 200);
}

static void random_records(CheckRandom *random, Plan *plan)
{
    Day stick = plan->input.stick.on[RUN_EARLY];
    if (one_in(random, 2)) plan->input.stuck = stick + between(random, -5, 5);
    for (size_t i = 0; i < plan->schedule.stage_count; i++)
        if (one_in(random, 3)) plan_ready(plan, (int)i, shown(stick + between(random, 0, 150)));
    int tasks = (int)plan->schedule.task_count;
    for (int i = tasks ? between(random, 0, 20) : 0; i > 0; i--)
        plan_record(plan, between(random, 0, tasks - 1), one_in(random, 3) ? between(random, 1, 4) : 0,
                    shown(stick + between(random, 0, 150)));
    if (tasks && one_in(random, 2))
        plan->moves[plan->input.move_count++] =
            (TaskMove){between(random, 0, tasks - 1), between(random, 0, 2), stick + between(random, 0, 99)};
    if (one_in(random, 4)) plan->input.ended = stick + between(random, 0, 150);
}

/* ------------------------------------------------------------------ what must hold */

static void assert_in_order(Dates dates)
{
    assert_true(dates.on[RUN_EARLY] <= dates.on[RUN_PLANNED]);
    assert_true(dates.on[RUN_PLANNED] <= dates.on[RUN_LATE]);
}

static void assert_dates_in_order(const Timeline *timeline, size_t stage_count)
{
    assert_in_order(timeline->stick);
    assert_in_order(timeline->finish);
    for (size_t i = 0; i < stage_count; i++) {
        const StageDates *stage = &timeline->stages[i];
        assert_in_order(stage->begin);
        assert_in_order(stage->end);
        for (int run = 0; run < RUNS; run++) assert_true(stage->begin.on[run] <= stage->end.on[run]);
    }
    for (size_t i = 0; i < timeline->task_count; i++) {
        const TaskDate *task = &timeline->tasks[i];
        if (task->watch) {
            assert_true(task->date.on[RUN_EARLY] <= task->date.on[RUN_LATE]);
            continue;
        }
        assert_in_order(task->due);
        assert_in_order(task->date);
    }
}

static Day order_day(const TaskDate *task)
{
    return task->date.on[task->date.on[RUN_PLANNED] == DAY_NONE ? RUN_EARLY : RUN_PLANNED];
}

/* By planned date, order on paper, number; one of a kind on each day unless recorded. */
static void assert_sorted(const Timeline *timeline)
{
    for (size_t i = 1; i < timeline->task_count; i++) {
        const TaskDate *a = &timeline->tasks[i - 1], *b = &timeline->tasks[i];
        assert_true(order_day(a) <= order_day(b));
        if (order_day(a) != order_day(b)) continue;
        assert_true(a->task <= b->task);
        if (a->task != b->task) continue;
        assert_true(a->number < b->number);
        assert_true(a->recorded != DAY_NONE && b->recorded != DAY_NONE);
    }
}

static bool put_by_people(const Plan *plan, const TaskDate *task)
{
    if (task->recorded != DAY_NONE) return true;
    const TaskMove *move = &plan->moves[0]; /* there is at most one */
    return plan->input.move_count && move->task == task->task &&
           (!move->number || move->number == task->number);
}

static void assert_on_open_days(const Plan *plan, const Timeline *timeline)
{
    for (size_t i = 0; i < timeline->task_count; i++) {
        const TaskDate *task = &timeline->tasks[i];
        const TaskPlan *wanted = &plan->tasks[task->task];
        bool closed = false, nobody = false;
        for (int run = 0; run < RUNS && !task->watch && !put_by_people(plan, task); run++) {
            Day day = task->date.on[run], due = task->due.on[run];
            assert_true(day >= due - (wanted->side == SLACK_AFTER ? 0 : wanted->slack));
            assert_true(day <= due + (wanted->side == SLACK_BEFORE ? 0 : wanted->slack));
            if (wanted->duty) assert_int_equal(day, due);
            if (calendar_open(&plan->calendar, day)) continue;
            assert_int_equal(day, due); /* it found no open day, or is a duty */
            if (run != RUN_PLANNED) continue;
            closed = true;
            nobody = !dayset_has(&plan->calendar.duty, day);
        }
        assert_int_equal(task->unopened, closed && !wanted->duty);
        assert_int_equal(task->unattended, nobody && wanted->duty);
        if (task->unopened) assert_true(has_fault(timeline, FAULT_NO_OPEN_DAY, wanted->stage, task->task));
        if (task->unattended) assert_true(has_fault(timeline, FAULT_NOBODY_THERE, wanted->stage, task->task));
    }
}

static void assert_states(const Plan *plan, const Timeline *timeline)
{
    for (size_t i = 0; i < timeline->task_count; i++) {
        const TaskDate *task = &timeline->tasks[i];
        bool kept = task->state == STATE_DONE || task->state == STATE_SKIPPED;
        assert_int_equal(kept, task->recorded != DAY_NONE);
        if (plan->input.ended != DAY_NONE) assert_true(kept);
        if (kept) assert_int_equal(task->date.on[RUN_LATE], task->recorded);
        if (task->state == STATE_OVERDUE) assert_true(task->date.on[RUN_LATE] < plan->input.today);
        if (task->state == STATE_COMING) assert_true(task->date.on[RUN_EARLY] > plan->input.today);
    }
}

static void assert_same(const Timeline *a, const Timeline *b, size_t stage_count)
{
    assert_int_equal(a->task_count, b->task_count);
    assert_int_equal(a->note_count, b->note_count);
    for (size_t i = 0; i < a->task_count; i++) {
        const TaskDate *left = &a->tasks[i], *right = &b->tasks[i];
        assert_true(left->task == right->task && left->number == right->number &&
                    left->state == right->state);
        assert_memory_equal(&left->due, &right->due, sizeof left->due);
        assert_memory_equal(&left->date, &right->date, sizeof left->date);
    }
    for (size_t i = 0; i < stage_count; i++) {
        assert_memory_equal(&a->stages[i].begin, &b->stages[i].begin, sizeof(Dates));
        assert_memory_equal(&a->stages[i].end, &b->stages[i].end, sizeof(Dates));
    }
}

static void every_timeline(void **state)
{
    CheckRandom random = check_random("timelines");
    Arena *arena = *state;
    size_t tasks = 0, recorded = 0;
    for (int i = 0; i < PLANS; i++) {
        ArenaMark mark = arena_mark(arena);
        RandomPlan made;
        random_plan(&random, &made, arena);
        if (i % 2) random_records(&random, &made.plan);
        Timeline timeline = plan_run(&made.plan);
        Timeline again = plan_run(&made.plan);
        assert_true(timeline.dated);
        assert_dates_in_order(&timeline, made.plan.schedule.stage_count);
        assert_sorted(&timeline);
        assert_on_open_days(&made.plan, &timeline);
        assert_states(&made.plan, &timeline);
        assert_same(&timeline, &again, made.plan.schedule.stage_count);
        tasks += timeline.task_count;
        for (size_t j = 0; j < timeline.task_count; j++) recorded += timeline.tasks[j].recorded != DAY_NONE;
        arena_release(arena, mark);
    }
    assert_true(tasks > 20 * (size_t)PLANS / 2 && recorded > (size_t)PLANS); /* the plans were worth it */
}

/* ------------------------------------------------------------------ every, day by day */

/* Number k of an `every` without latest, window or records: there in the runs whose stage holds its day. */
static void assert_grid(const Plan *plan, const Timeline *timeline, int index)
{
    const TaskPlan *task = &plan->tasks[index];
    const StageDates *stage = &timeline->stages[task->stage];
    size_t wanted = 0;
    for (int number = 1; number <= 400; number++) {
        Day due[RUNS];
        int there = 0;
        for (int run = 0; run < RUNS; run++) {
            int first = task->has_first ? task->first : task->period;
            due[run] = stage->begin.on[run] + first + (number - 1) * task->period;
            there += due[run] <= stage->end.on[run];
        }
        if (!there) continue;
        wanted++;
        bool found;
        Day day = due[RUN_PLANNED], moved = day;
        if (!task->duty) moved = calendar_moved(&plan->calendar, day, task->slack, task->side, &found);
        bool covered = false; /* its day is somebody's, if not its own */
        for (size_t i = 0; i < timeline->task_count; i++) {
            const TaskDate *date = &timeline->tasks[i];
            if (date->task != index) continue;
            covered = covered || date->date.on[RUN_PLANNED] == moved;
            if (date->number != number) continue;
            for (int run = 0; run < RUNS; run++) assert_int_equal(date->due.on[run], due[run]);
            if (there == RUNS) assert_true(date->sure);
        }
        assert_true(covered);
    }
    assert_true(task_times(timeline, index) <= wanted);
    assert_int_equal(has_fault(timeline, FAULT_TASK_NEVER, task->stage, index), wanted == 0);
}

static void no_occurrence_is_lost(void **state)
{
    CheckRandom random = check_random("occurrences");
    Arena *arena = *state;
    for (int i = 0; i < PLANS / 4; i++) {
        ArenaMark mark = arena_mark(arena);
        RandomPlan made;
        random_plan(&random, &made, arena);
        Plan *plan = &made.plan;
        plan->schedule.task_count = plan->schedule.order_count = 0;
        for (int j = 0; j < 3; j++) {
            int stage = between(&random, 0, (int)plan->schedule.stage_count - 1);
            TaskPlan *task = plan_every(plan, stage, between(&random, 1, 14));
            task->has_first = one_in(&random, 2);
            task->first = between(&random, 0, 30);
            task->slack = between(&random, 0, 7);
            task->side = (SlackSide)check_below(&random, 3);
            task->duty = one_in(&random, 4);
        }
        Timeline timeline = plan_run(plan);
        bool too_many = false;
        for (size_t j = 0; j < timeline.note_count; j++)
            too_many = too_many || timeline.notes[j].fault == FAULT_TOO_MANY;
        for (int j = 0; j < 3 && !too_many; j++)
            if (timeline.stages[plan->tasks[j].stage].end.on[RUN_LATE] <
                timeline.stages[plan->tasks[j].stage].begin.on[RUN_EARLY] + 400)
                assert_grid(plan, &timeline, j);
        arena_release(arena, mark);
    }
}

/* ------------------------------------------------------------------ worked back, day by day */

static void no_later_day_would_do(void **state)
{
    CheckRandom random = check_random("worked back");
    Arena *arena = *state;
    int found = 0;
    for (int i = 0; i < 300; i++) {
        ArenaMark mark = arena_mark(arena);
        RandomPlan made;
        random_plan(&random, &made, arena);
        Plan *plan = &made.plan;
        plan->schedule.task_count = plan->schedule.order_count = 0;
        plan->input.stick = on_all(0);
        plan->input.wanted_by = on(20290101) + between(&random, 0, 365);
        plan->schedule.stick_windows = made.windows;
        plan->schedule.stick_window_count = check_below(&random, 3);
        Timeline back = plan_run(plan);
        if (!back.dated) continue;
        found++;
        Day answer = back.stick.on[RUN_PLANNED];
        assert_true(back.finish.on[RUN_LATE] <= plan->input.wanted_by);
        bool inside = plan->schedule.stick_window_count == 0;
        for (size_t j = 0; j < plan->schedule.stick_window_count; j++)
            inside = inside || window_has(&made.windows[j], &plan->calendar, answer, RUN_PLANNED);
        assert_true(inside);
        for (Day day = answer + 1; day <= answer + 500 && day <= plan->input.wanted_by; day++) {
            bool allowed = plan->schedule.stick_window_count == 0;
            for (size_t j = 0; j < plan->schedule.stick_window_count; j++)
                allowed = allowed || window_has(&made.windows[j], &plan->calendar, day, RUN_PLANNED);
            if (!allowed) continue;
            ArenaMark inner = arena_mark(arena);
            plan->input.stick = (Dates){{day, day, day}};
            assert_true(plan_run(plan).finish.on[RUN_LATE] > plan->input.wanted_by);
            plan->input.stick = on_all(0);
            arena_release(arena, inner);
        }
        arena_release(arena, mark);
    }
    assert_true(found > 200);
}

/* ------------------------------------------------------------------ one day for all */

static bool hangs_on_the_day(const Season *season, const TimelineNote *note)
{
    return season->any && (note->task < 0 || season->hangs[note->task]);
}

/* Every fault that a protocol can have by itself, in one timeline and not in the one that stands for it. */
static size_t assert_within(const Timeline *timeline, const Timeline *first, const Timeline *day,
                            const Season *season)
{
    static const TimelineFault of_protocols[] = {FAULT_UNTIL_JUMP, FAULT_GATE_JUMP,   FAULT_OFFSET_TOO_LONG,
                                                 FAULT_TASK_NEVER, FAULT_EMPTY_STAGE, FAULT_TOO_LATE};
    size_t count = 0;
    for (size_t i = 0; i < timeline->note_count; i++)
        for (size_t k = 0; k < CHECK_COUNT(of_protocols); k++) {
            const TimelineNote *note = &timeline->notes[i];
            if (note->fault != of_protocols[k]) continue;
            const Timeline *other = hangs_on_the_day(season, note) ? day : first;
            assert_true(has_fault(other, note->fault, note->stage, note->task));
            count++;
        }
    return count;
}

static bool is_cut(const Timeline *timeline)
{
    for (size_t i = 0; i < timeline->note_count; i++)
        if (timeline->notes[i].fault == FAULT_TOO_MANY || timeline->notes[i].fault == FAULT_OUT_OF_RANGE)
            return true;
    return false;
}

static Timeline on_day(Plan *plan, const Schedule *schedule, Day day)
{
    plan->input.stick = (Dates){{day, day, day}};
    return timeline_make(plan->arena, schedule, &plan->calendar, &plan->input);
}

static void what_is_left_out_stays_the_same(void **state)
{
    CheckRandom random = check_random("seasons");
    Arena *arena = *state;
    size_t faults = 0, left_out = 0;
    for (int i = 0; i < PLANS; i++) {
        ArenaMark mark = arena_mark(arena);
        RandomPlan made;
        random_plan(&random, &made, arena);
        Plan *plan = &made.plan;
        bool asked[PLAN_TASKS];
        for (size_t k = 0; k < PLAN_TASKS; k++) asked[k] = one_in(&random, 8);
        Season season = season_of(arena, &plan->schedule, asked);
        Day day = plan->input.stick.on[RUN_EARLY];
        Timeline first = on_day(plan, &season.whole, day);
        day += between(&random, 0, 400);
        Timeline part = on_day(plan, &season.part, day), whole = on_day(plan, &plan->schedule, day);
        left_out += season.whole.order_count - season.part.order_count;
        if (!is_cut(&whole)) {
            faults += assert_within(&whole, &first, &part, &season);
            assert_within(&part, &whole, &whole, &season);
            assert_within(&first, &whole, &first, &season);
        }
        arena_release(arena, mark);
    }
    assert_true(faults > (size_t)PLANS && left_out > (size_t)PLANS); /* the plans were worth it */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(every_timeline),
        CHECK_WITH_ARENA(no_occurrence_is_lost),
        CHECK_WITH_ARENA(no_later_day_would_do),
        CHECK_WITH_ARENA(what_is_left_out_stays_the_same),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
