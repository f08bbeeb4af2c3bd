/* Small plans for the tests of analysis/timeline, built by hand: stages and tasks are added one by one, and
 * what is not said stands at what a protocol without it would have. */
#ifndef TESTS_UNIT_TIMELINE_PLAN_H
#define TESTS_UNIT_TIMELINE_PLAN_H

#include "check.h"

#include "analysis/timeline.h"

static inline Day on(int date) /* 20270618 */
{
    Day day = DAY_NONE;
    if (date && !day_make(date / 10000, date / 100 % 100, date % 100, &day)) fail_msg("no day %d", date);
    return day;
}

static inline int shown(Day day)
{
    if (day == DAY_NONE) return 0;
    int year, month, day_of_month;
    day_split(day, &year, &month, &day_of_month);
    return (year * 100 + month) * 100 + day_of_month;
}

static inline Dates on_all(int date)
{
    return (Dates){{on(date), on(date), on(date)}};
}

static inline DayMark day_mark(int month, int day)
{
    return (DayMark){.day = {(uint8_t)month, PART_OF_MONTH_DAY, (uint8_t)day}};
}

static inline DayMark part_mark(DayPart part, int month)
{
    return (DayMark){.day = {(uint8_t)month, (uint8_t)part, 0}};
}

/* lo .. hi with the middle planned, halves to the later day. */
static inline DaySpan days(int low, int high)
{
    return (DaySpan){low, low + (high - low + 1) / 2, high};
}

static inline DaySpan weeks(int low, int high)
{
    return days(7 * low, 7 * high);
}

enum { PLAN_STAGES = 8, PLAN_TASKS = 16, PLAN_RECORDS = 64 };

typedef struct Plan {
    Arena *arena;
    Name last_frost, first_frost, unknown_event;
    CalendarEvent events[2];
    EventPin pins[2];
    DayRange winter_break;
    Calendar calendar;
    StagePlan stages[PLAN_STAGES];
    TaskPlan tasks[PLAN_TASKS];
    int order[PLAN_TASKS];
    Schedule schedule;
    StageReady ready[PLAN_STAGES];
    TaskRecord records[PLAN_RECORDS];
    TaskMove moves[2];
    TimelineInput input;
} Plan;

/* The site of the worked examples: Mon–Fri, closed 24 Dec .. 2 Jan, last frost 28 Apr, first frost 20 Oct. */
static inline void plan_make(Plan *plan, Arena *arena)
{
    *plan = (Plan){.arena = arena};
    Names *names = names_new(arena);
    plan->last_frost = names_intern(names, SLICE("last-frost"));
    plan->first_frost = names_intern(names, SLICE("first-frost"));
    plan->unknown_event = names_intern(names, SLICE("leaf-fall"));
    YearDay april = day_mark(4, 28).day, october = day_mark(10, 20).day;
    plan->events[0] = (CalendarEvent){plan->last_frost, april, april, april};
    plan->events[1] = (CalendarEvent){plan->first_frost, october, october, october};
    plan->winter_break = (DayRange){day_mark(12, 24).day, day_mark(1, 2).day, "winter break"};
    plan->calendar = (Calendar){.work = {.weekdays = 0x1f},
                                .closed = {.ranges = &plan->winter_break, .range_count = 1},
                                .events = plan->events,
                                .event_count = 2,
                                .pins = plan->pins};
    plan->schedule = (Schedule){
        .stages = plan->stages, .tasks = plan->tasks, .order = plan->order, .take_with_stick = true};
    Dates none = on_all(0);
    plan->input = (TimelineInput){.take = none,
                                  .stick = none,
                                  .stuck = DAY_NONE,
                                  .wanted_by = DAY_NONE,
                                  .ready = plan->ready,
                                  .records = plan->records,
                                  .moves = plan->moves,
                                  .ended = DAY_NONE,
                                  .today = DAY_NONE};
}

static inline StagePlan *plan_stage(Plan *plan, LengthKind length, DaySpan span)
{
    assert_true(plan->schedule.stage_count < PLAN_STAGES);
    StagePlan *stage = &plan->stages[plan->schedule.stage_count++];
    *stage = (StagePlan){.length = length, .span = span};
    return stage;
}

static inline StagePlan *plan_until(Plan *plan, DayMark first, DayMark last)
{
    StagePlan *stage = plan_stage(plan, LENGTH_WINDOW, days(0, 0));
    stage->until = (Window){.first = first, .last = last};
    return stage;
}

static inline TaskPlan *plan_task(Plan *plan, int stage, TimingKind timing)
{
    assert_true(plan->schedule.task_count < PLAN_TASKS);
    int index = (int)plan->schedule.task_count++;
    plan->schedule.order_count = plan->schedule.task_count;
    plan->order[index] = index;
    plan->tasks[index] = (TaskPlan){.stage = stage,
                                    .timing = timing,
                                    .moment = {MOMENT_START, STAGE_OWN, NULL},
                                    .first_from = {MOMENT_NONE, STAGE_OWN, NULL},
                                    .period = 1,
                                    .slack = SLACK_DEFAULT};
    return &plan->tasks[index];
}

static inline TaskPlan *plan_every(Plan *plan, int stage, int period)
{
    TaskPlan *task = plan_task(plan, stage, TIMING_EVERY);
    task->period = period;
    return task;
}

static inline TaskPlan *plan_at(Plan *plan, int stage, MomentKind moment, DaySpan after)
{
    TaskPlan *task = plan_task(plan, stage, TIMING_DAYS);
    task->moment.kind = moment;
    task->after = after;
    return task;
}

static inline void plan_record(Plan *plan, int task, int number, int date)
{
    assert_true(plan->input.record_count < PLAN_RECORDS);
    plan->records[plan->input.record_count++] =
        (TaskRecord){.task = task, .numbered = number > 0, .number = number, .day = on(date)};
}

static inline void plan_ready(Plan *plan, int stage, int date)
{
    assert_true(plan->input.ready_count < PLAN_STAGES);
    plan->ready[plan->input.ready_count++] = (StageReady){stage, on(date)};
}

static inline Timeline plan_run(Plan *plan)
{
    return timeline_make(plan->arena, &plan->schedule, &plan->calendar, &plan->input);
}

static inline Timeline plan_stick(Plan *plan, int date)
{
    plan->input.stick = on_all(date);
    Timeline timeline = plan_run(plan);
    assert_true(timeline.dated);
    return timeline;
}

#define assert_day(day, date) assert_int_equal(shown(day), date)

/* The three dates, each as 20270618; 0 for none. */
#define assert_dates(dates, early, planned, late)                                                            \
    do {                                                                                                     \
        const Dates checked = (dates);                                                                       \
        assert_day(checked.on[RUN_EARLY], early);                                                            \
        assert_day(checked.on[RUN_PLANNED], planned);                                                        \
        assert_day(checked.on[RUN_LATE], late);                                                              \
    } while (0)

static inline bool has_fault(const Timeline *timeline, TimelineFault fault, int stage, int task)
{
    for (size_t i = 0; i < timeline->note_count; i++) {
        const TimelineNote *note = &timeline->notes[i];
        if (note->fault == fault && note->stage == stage && note->task == task) return true;
    }
    return false;
}

/* The occurrence of a task with a number; it must be there. */
static inline const TaskDate *task_date(const Timeline *timeline, int task, int number)
{
    for (size_t i = 0; i < timeline->task_count; i++)
        if (timeline->tasks[i].task == task && timeline->tasks[i].number == number)
            return &timeline->tasks[i];
    fail_msg("task %d #%d is not there", task, number);
    return NULL;
}

static inline size_t task_times(const Timeline *timeline, int task)
{
    size_t times = 0;
    for (size_t i = 0; i < timeline->task_count; i++) times += timeline->tasks[i].task == task;
    return times;
}

#endif
