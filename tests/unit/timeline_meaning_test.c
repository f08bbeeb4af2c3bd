/* analysis/timeline: dates that growers' guides print, and each sentence of docs/timeline.md that the worked
 * examples leave out: latest days, watches, tasks with tasks, records, moves by hand, faults. */
#include "timeline_plan.h"

/* ------------------------------------------------------------------ printed dates */

/* Durations and the dates that follow from them; the key names the guide that states the duration. */
static void durations_that_guides_print(void **state)
{
    const struct {
        const char *source;
        int stuck, low, high, first, last;
    } rows[] = {
        {"V64 LPPI-364 lilac, 4 .. 6 weeks", 20250602, 28, 42, 20250630, 20250714},
        {"V65 BUX-BR boxwood, 116 days", 20250901, 116, 116, 20251226, 20251226},
        {"V67 LPPI-371 yew, 10 .. 14 weeks", 20251115, 70, 98, 20260124, 20260221},
        {"V68 LPPI-191 yaupon, 12 .. 16 weeks", 20251001, 84, 112, 20251224, 20260121},
        {"V69 LPPI-185 dwarf Chinese holly, 16 .. 20 weeks", 20250701, 112, 140, 20251021, 20251118},
        {"V70 LPPI-189 American holly, 6 .. 8 weeks", 20250715, 42, 56, 20250826, 20250909},
        {"V71 LPPI-325 Indica azalea, 8 .. 12 weeks", 20250701, 56, 84, 20250826, 20250923},
        {"V72 COR-RN redosier dogwood, 15 weeks", 20250602, 105, 105, 20250915, 20250915},
        {"V73 HS-31 plum yew, 16 weeks", 20251215, 112, 112, 20260406, 20260406},
        {"V77 computed, over a leap day", 20280220, 14, 14, 20280305, 20280305},
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        Plan plan;
        plan_make(&plan, *state);
        plan_stage(&plan, LENGTH_DAYS, days(rows[i].low, rows[i].high));
        Timeline timeline = plan_stick(&plan, rows[i].stuck);
        if (shown(timeline.finish.on[RUN_EARLY]) != rows[i].first ||
            shown(timeline.finish.on[RUN_LATE]) != rows[i].last)
            fail_msg("%s: %d .. %d", rows[i].source, shown(timeline.finish.on[RUN_EARLY]),
                     shown(timeline.finish.on[RUN_LATE]));
    }
}

/* V74, source SAL-GM: salvia stuck 2 Feb 2026, feed on day 7, mist off after 12 .. 15 days, pot after 5 .. 6
 * weeks. */
static void salvia_tasks(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(5, 6));
    plan_at(&plan, 0, MOMENT_START, days(7, 7));
    plan_at(&plan, 0, MOMENT_START, days(12, 15));
    plan_at(&plan, 0, MOMENT_END, days(0, 0));
    Timeline timeline = plan_stick(&plan, 20260202);
    assert_dates(task_date(&timeline, 0, 0)->due, 20260209, 20260209, 20260209);
    assert_dates(task_date(&timeline, 1, 0)->due, 20260214, 20260216, 20260217);
    assert_dates(task_date(&timeline, 2, 0)->due, 20260309, 20260313, 20260316);
}

/* V75, computed: seven weeks back from 15 May 2026. */
static void liner_worked_back(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(7, 7));
    plan.input.wanted_by = on(20260515);
    assert_dates(plan_run(&plan).stick, 20260327, 20260327, 20260327);
}

/* V76, source NM-OW: 30 .. 45 days after a first frost on 15 Oct. The guide prints 15 and 30 Nov, counting
 * the day named as day 1; here it is day 0. */
static void days_after_first_frost(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan.pins[0] = (EventPin){plan.first_frost, on(20251015)};
    plan.calendar.pin_count = 1;
    plan_stage(&plan, LENGTH_DAYS, weeks(20, 30));
    TaskPlan *task = plan_at(&plan, 0, MOMENT_EVENT, days(30, 45));
    task->moment.event = plan.first_frost;
    Timeline timeline = plan_stick(&plan, 20250901);
    const Dates due = task_date(&timeline, 0, 0)->due;
    assert_day(due.on[RUN_EARLY], 20251114);
    assert_day(due.on[RUN_LATE], 20251129);
}

/* ------------------------------------------------------------------ stages */

static void until_so_long_after_a_moment(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(2, 3));
    plan_stage(&plan, LENGTH_MOMENT, weeks(8, 9))->moment.kind = MOMENT_STICK;
    plan_stage(&plan, LENGTH_MOMENT, weeks(2, 3))->moment.kind = MOMENT_STICK;
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_dates(timeline.stages[1].end, 20270813, 20270817, 20270820);
    assert_dates(timeline.stages[2].end, 20270813, 20270817, 20270820); /* never before its begin */
    assert_true(has_fault(&timeline, FAULT_EMPTY_STAGE, 2, -1));
    assert_int_equal(timeline.note_count, 1);
}

/* The early frost is past when the stage begins, the mean is to come: the early run waits no year for the
 * next. */
static void runs_never_cross_at_a_frost(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan.events[1].early = day_mark(9, 29).day;
    plan_until(&plan, (DayMark){.event = plan.first_frost}, (DayMark){.event = plan.first_frost});
    TaskPlan *task = plan_at(&plan, 0, MOMENT_EVENT, days(2, 2));
    task->moment.event = plan.first_frost;
    Timeline timeline = plan_stick(&plan, 20271005);
    assert_dates(timeline.stages[0].end, 20271005, 20271020, 20271020);
    assert_dates(task_date(&timeline, 0, 0)->due, 20271007, 20271022, 20271022);
    assert_int_equal(timeline.note_count, 0);
    timeline = plan_stick(&plan, 20270905);
    assert_dates(timeline.stages[0].end, 20270929, 20271020, 20271020);
    timeline = plan_stick(&plan, 20271021);
    assert_dates(timeline.stages[0].end, 20280929, 20281020, 20281020);
}

static void a_later_sign_cuts_what_came_before(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(2, 3));
    plan_stage(&plan, LENGTH_DAYS, weeks(4, 6));
    plan_every(&plan, 1, 28);
    plan_ready(&plan, 1, 20270704);
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_dates(timeline.stages[0].end, 20270702, 20270704, 20270704);
    assert_dates(timeline.stages[1].begin, 20270702, 20270704, 20270704);
    assert_dates(timeline.stages[1].end, 20270704, 20270704, 20270704);
    assert_int_equal(timeline.note_count, 0); /* the task lacks its day by what happened, not by the plan */
    assert_int_equal(timeline.task_count, 0);
}

static void a_sign_before_its_stage(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(2, 3));
    plan_stage(&plan, LENGTH_DAYS, weeks(4, 6));
    plan_ready(&plan, 0, 20270610);
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_true(has_fault(&timeline, FAULT_READY_BEFORE, 0, -1));
    plan.input.ready_count = 0;
    plan_ready(&plan, 0, 20270710);
    plan_ready(&plan, 1, 20270709);
    timeline = plan_run(&plan);
    assert_true(has_fault(&timeline, FAULT_READY_BEFORE, 1, -1));
    assert_int_equal(timeline.note_count, 1);
}

/* Weaning begins before rooting ends: its sign may come first, but nothing begins before sticking. */
static void begins_before_another_ends(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(4, 6));
    StagePlan *wean = plan_stage(&plan, LENGTH_DAYS, days(3, 5));
    wean->begins = true;
    wean->begins_at = (Moment){MOMENT_END, 0, NULL};
    wean->begins_after = days(-7, -7);
    plan_ready(&plan, 0, 20270723);
    plan_ready(&plan, 1, 20270720);
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_dates(timeline.stages[0].end, 20270723, 20270723, 20270723);
    assert_dates(timeline.stages[1].begin, 20270716, 20270716, 20270716);
    assert_dates(timeline.stages[1].end, 20270720, 20270720, 20270720);
    assert_int_equal(timeline.note_count, 0);
    plan.input.ready_count = 0;
    wean->begins_at.kind = MOMENT_TAKE;
    timeline = plan_run(&plan);
    assert_dates(timeline.stages[1].begin, 20270618, 20270618, 20270618);
}

static void take_and_hold(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(2, 3));
    plan.schedule.has_hold = true;
    plan_at(&plan, SECTION_TAKE, MOMENT_START, days(0, 0));
    plan_task(&plan, SECTION_HOLD, TIMING_DAILY)->duty = true;
    plan_at(&plan, SECTION_FINISH, MOMENT_START, days(0, 0));
    plan.input.take = on_all(20270615);
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_dates(timeline.hold.begin, 20270615, 20270615, 20270615);
    assert_dates(timeline.hold.end, 20270618, 20270618, 20270618);
    assert_day(task_date(&timeline, 0, 0)->date.on[RUN_PLANNED], 20270615);
    assert_int_equal(task_times(&timeline, 1), 3); /* 15, 16, 17: the last day is left out */
    assert_dates(task_date(&timeline, 2, 0)->due, 20270702, 20270706, 20270709);

    plan.input.stuck = on(20270614); /* what was stuck had been taken */
    assert_dates(plan_run(&plan).take, 20270614, 20270614, 20270614);
    plan.input.stuck = DAY_NONE;

    plan.schedule.take_with_stick = false; /* taken nobody knows when: what hangs on it is left out */
    plan.input.take = on_all(0);
    timeline = plan_run(&plan);
    assert_int_equal(timeline.take.on[RUN_PLANNED], DAY_NONE);
    assert_int_equal(timeline.task_count, 1);
    assert_int_equal(timeline.note_count, 0);

    plan.schedule.stick_with_take = true;
    plan.input.take = on_all(20270615);
    plan.input.stick = on_all(0);
    assert_dates(plan_run(&plan).stick, 20270615, 20270615, 20270615);
}

static void nothing_to_begin_with(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(2, 3));
    assert_false(plan_run(&plan).dated);
    plan.input.wanted_by = on(19000105);
    assert_false(plan_run(&plan).dated);
}

/* ------------------------------------------------------------------ tasks */

static void day_n_needs_its_stage(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(2, 3));
    plan_at(&plan, 0, MOMENT_START, days(18, 18));
    plan_at(&plan, 0, MOMENT_START, days(22, 22));
    plan_at(&plan, 0, MOMENT_STICK, days(22, 22)); /* from another moment: the stage does not bound it */
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_false(task_date(&timeline, 0, 0)->sure);
    assert_int_equal(task_times(&timeline, 1), 0);
    assert_true(has_fault(&timeline, FAULT_TASK_NEVER, 0, 1));
    assert_true(task_date(&timeline, 2, 0)->sure);
    assert_int_equal(timeline.note_count, 1);
}

static void every_stops_and_starts_elsewhere(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(2, 2));
    plan_stage(&plan, LENGTH_DAYS, weeks(4, 4));
    TaskPlan *stops = plan_every(&plan, 1, 7);
    stops->has_until = true;
    stops->until = (Moment){MOMENT_START, STAGE_OWN, NULL};
    stops->until_after = days(14, 14);
    TaskPlan *from_stick = plan_every(&plan, 1, 10); /* 18 Jun, 28 Jun, 8 Jul …: the stage begins 2 Jul */
    from_stick->has_first = true;
    from_stick->first_from.kind = MOMENT_STICK;
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_int_equal(task_times(&timeline, 0), 2);
    assert_day(task_date(&timeline, 0, 2)->due.on[RUN_PLANNED], 20270716);
    assert_int_equal(task_times(&timeline, 1), 3);
    assert_day(task_date(&timeline, 1, 3)->due.on[RUN_PLANNED], 20270708);
    assert_day(task_date(&timeline, 1, 5)->due.on[RUN_PLANNED], 20270728);
    plan.stages[0].span = weeks(2, 3); /* in the late run the stage begins on 9 Jul, after #3 */
    timeline = plan_run(&plan);
    assert_false(task_date(&timeline, 1, 3)->sure);
    assert_true(task_date(&timeline, 1, 4)->sure);
}

static void daily_leaves_the_last_day_out(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, days(3, 5));
    plan_task(&plan, 0, TIMING_DAILY)->duty = true;
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_int_equal(timeline.task_count, 5); /* 18 to 22; 23 is the late run's last day */
    assert_day(task_date(&timeline, 0, 0)->due.on[RUN_PLANNED], 20270618);
    assert_true(task_date(&timeline, 0, 2)->sure);
    assert_false(task_date(&timeline, 0, 3)->sure);
    assert_day(task_date(&timeline, 0, 4)->due.on[RUN_PLANNED], 20270622);
    plan_record(&plan, 0, 0, 20270620); /* names none: the nearest, not #0 */
    timeline = plan_run(&plan);
    assert_int_equal(task_date(&timeline, 0, 2)->state, STATE_DONE);
    assert_int_equal(task_date(&timeline, 0, 0)->state, STATE_MISSED);
}

static void with_each_of_another(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, days(5, 5));
    plan_task(&plan, 0, TIMING_EACH)->each = 1; /* on paper before the one it hangs on */
    plan_every(&plan, 0, 1)->side = SLACK_AFTER;
    plan.order[0] = 1;
    plan.order[1] = 0;
    Timeline timeline = plan_stick(&plan, 20270617);
    assert_int_equal(task_times(&timeline, 0), 3); /* as in E8: #2 and #3 have merged */
    assert_day(task_date(&timeline, 0, 1)->due.on[RUN_PLANNED], 20270618);
    assert_day(task_date(&timeline, 0, 4)->due.on[RUN_PLANNED], 20270621);
    assert_int_equal(timeline.tasks[0].task, 0); /* one day: in order on paper */
    assert_int_equal(timeline.tasks[1].task, 1);

    plan.tasks[1].period =
        2; /* Sat 19, Mon 21: the first is looked at on Monday, and so is the other work due */
    plan.tasks[1].slack = 2;
    timeline = plan_run(&plan);
    assert_day(task_date(&timeline, 1, 2)->date.on[RUN_PLANNED], 20270621);
    assert_int_equal(task_times(&timeline, 0), 1);
    plan.tasks[1].period = 9;
    plan.stages[0].span = days(9, 9); /* Sat 26 Jun, moved to Mon 28 */
    timeline = plan_run(&plan);
    assert_day(task_date(&timeline, 1, 1)->due.on[RUN_PLANNED], 20270626);
    assert_dates(task_date(&timeline, 0, 1)->due, 20270628, 20270628, 20270628);
    plan.tasks[1].period = 1;
    plan.stages[0].span = days(5, 5);

    plan.tasks[1].duty = true; /* looked at on Saturday and Sunday; the other work waits for open days */
    timeline = plan_run(&plan);
    assert_int_equal(task_times(&timeline, 1), 5);
    assert_int_equal(task_times(&timeline, 0), 3);
    assert_day(task_date(&timeline, 0, 1)->date.on[RUN_PLANNED], 20270618);
}

static void latest_cuts(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(2, 6));
    TaskPlan *by_day = plan_at(&plan, 0, MOMENT_END, days(0, 0));
    by_day->latest = LATEST_DAY;
    by_day->latest_day = 30; /* Sun 18 Jul */
    TaskPlan *by_window = plan_at(&plan, 0, MOMENT_END, days(0, 0));
    by_window->latest = LATEST_WINDOW;
    by_window->latest_on = (Window){.first = day_mark(6, 20), .last = day_mark(6, 25)};
    TaskPlan *after_only = plan_at(&plan, 0, MOMENT_START, days(29, 29));
    after_only->latest = LATEST_DAY;
    after_only->latest_day = 30;
    after_only->side = SLACK_AFTER;
    Timeline timeline = plan_stick(&plan, 20270618);
    const TaskDate *date = task_date(&timeline, 0, 0);
    assert_true(date->cut);
    assert_dates(date->due, 20270702, 20270716, 20270718);
    assert_dates(date->date, 20270702, 20270716, 20270716); /* Monday would be too late */
    assert_false(has_fault(&timeline, FAULT_TOO_LATE, 0, 0));
    date = task_date(&timeline, 1, 0);
    assert_dates(date->date, 20270625, 20270625, 20270625);
    assert_true(has_fault(&timeline, FAULT_TOO_LATE, 0, 1));
    date = task_date(&timeline, 2, 0);
    assert_false(date->cut);
    assert_day(date->date.on[RUN_PLANNED], 20270717); /* a Saturday: no open day between it and the latest */
    assert_true(date->unopened);
    assert_true(has_fault(&timeline, FAULT_NO_OPEN_DAY, 0, 2));

    plan.schedule.task_count = 0; /* of a row the later ones fall on the latest day, and are one */
    TaskPlan *weekly = plan_every(&plan, 0, 7);
    weekly->latest = LATEST_DAY;
    weekly->latest_day = 12;
    timeline = plan_run(&plan);
    assert_int_equal(timeline.task_count, 2);
    assert_day(task_date(&timeline, 0, 1)->date.on[RUN_PLANNED], 20270625);
    assert_day(task_date(&timeline, 0, 2)->date.on[RUN_PLANNED], 20270630);
    assert_int_equal(timeline.note_count, 0); /* the first is in time */
}

static void a_task_waits_for_its_window(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(2, 3));
    const Window july = {.first = day_mark(7, 5), .last = day_mark(7, 6)};
    plan_at(&plan, 0, MOMENT_START, days(3, 3))->waits_for = &july;
    plan_at(&plan, 0, MOMENT_END, days(0, 0))->waits_for = &july;
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_dates(task_date(&timeline, 0, 0)->due, 20270705, 20270705, 20270705);
    assert_dates(task_date(&timeline, 1, 0)->due, 20270705, 20270706, 20280705);
    assert_false(has_fault(&timeline, FAULT_GATE_JUMP, 0, 0));
    assert_true(has_fault(&timeline, FAULT_GATE_JUMP, 0, 1));
}

static void the_weather_decides(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(2, 3));
    plan_stage(&plan, LENGTH_DAYS, weeks(4, 6));
    plan_task(&plan, 1, TIMING_WEATHER);
    TaskPlan *limited = plan_task(&plan, 1, TIMING_WEATHER);
    limited->latest = LATEST_DAY;
    limited->latest_day = 10;
    plan.input.today = on(20270703);
    Timeline timeline = plan_stick(&plan, 20270618);
    const TaskDate *date = task_date(&timeline, 0, 0);
    assert_true(date->watch);
    assert_dates(date->date, 20270702, 0, 20270820);
    assert_int_equal(date->state, STATE_DUE);
    assert_dates(task_date(&timeline, 1, 0)->date, 20270702, 0, 20270719);
    plan_record(&plan, 0, 0, 20270805);
    timeline = plan_run(&plan);
    date = task_date(&timeline, 0, 0);
    assert_int_equal(date->state, STATE_DONE);
    assert_dates(date->date, 20270805, 20270805, 20270805);
}

/* ------------------------------------------------------------------ what people said */

static void states_by_today(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(2, 3));
    plan_at(&plan, 0, MOMENT_END, days(0, 0)); /* 2, 6, 9 July */
    const struct {
        int today;
        TaskState state;
    } rows[] = {{0, STATE_COMING},
                {20270701, STATE_COMING},
                {20270702, STATE_DUE},
                {20270709, STATE_DUE},
                {20270710, STATE_OVERDUE}};
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        plan.input.today = on(rows[i].today);
        Timeline timeline = plan_stick(&plan, 20270618);
        assert_int_equal(task_date(&timeline, 0, 0)->state, rows[i].state);
        assert_dates(task_date(&timeline, 0, 0)->date, 20270702, 20270706, 20270709);
    }
}

static void records_find_their_occurrence(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, days(40, 40));
    plan_every(&plan, 0, 10);           /* 28 Jun, 8, 18, 28 Jul */
    plan_record(&plan, 0, 0, 20270703); /* five days from #1 and from #2: the earlier */
    plan_record(&plan, 0, 0, 20270704); /* #1 is taken */
    plan_record(&plan, 0, 4, 20270705); /* by name */
    plan.records[1].skipped = true;
    plan_record(&plan, 0, 9, 20270706); /* nothing has that number */
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_int_equal(timeline.task_count, 4);
    assert_day(task_date(&timeline, 0, 1)->recorded, 20270703);
    assert_day(task_date(&timeline, 0, 2)->recorded, 20270704);
    assert_int_equal(task_date(&timeline, 0, 2)->state, STATE_SKIPPED);
    assert_day(task_date(&timeline, 0, 4)->recorded, 20270705);
    assert_int_equal(task_date(&timeline, 0, 3)->state, STATE_MISSED);
    assert_int_equal(task_date(&timeline, 0, 3)->recorded, DAY_NONE);
}

/* #2 and #3 fall on Monday with #4. The one that is recorded stays, though its shift is not the least. */
static void a_record_is_never_merged_away(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, days(5, 5));
    plan_every(&plan, 0, 1)->side = SLACK_AFTER;
    plan_record(&plan, 0, 2, 20270621);
    plan_record(&plan, 0, 3, 20270621);
    Timeline timeline = plan_stick(&plan, 20270617);
    assert_int_equal(timeline.task_count, 4);
    assert_int_equal(task_date(&timeline, 0, 2)->state, STATE_DONE);
    assert_int_equal(task_date(&timeline, 0, 3)->state, STATE_DONE);
    assert_int_equal(task_date(&timeline, 0, 5)->state, STATE_COMING);
}

static void moved_by_hand(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(2, 3));
    plan_every(&plan, 0, 7);
    plan_at(&plan, 0, MOMENT_END, days(0, 0));
    plan.moves[0] = (TaskMove){0, 2, on(20270627)}; /* a Sunday: whoever says it knows */
    plan.moves[1] = (TaskMove){1, 0, on(20270705)};
    plan.input.move_count = 2;
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_day(task_date(&timeline, 0, 1)->date.on[RUN_PLANNED], 20270625);
    assert_dates(task_date(&timeline, 0, 2)->date, 20270627, 20270627, 20270627);
    assert_dates(task_date(&timeline, 0, 2)->due, 20270702, 20270702, 20270702);
    assert_false(task_date(&timeline, 0, 2)->unopened);
    assert_dates(task_date(&timeline, 1, 0)->date, 20270705, 20270705, 20270705);
    assert_dates(timeline.stages[0].end, 20270702, 20270706, 20270709); /* moves no stage */
}

/* ------------------------------------------------------------------ what cannot be dated */

static void too_many(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan.calendar.never_closed = true;
    plan_stage(&plan, LENGTH_DAYS, days(600, 600));
    plan_task(&plan, 0, TIMING_DAILY);
    plan_task(&plan, 0, TIMING_DAILY);
    plan_every(&plan, 0, 2);
    plan_task(&plan, 0, TIMING_EACH)->each = 1;
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_int_equal(task_times(&timeline, 0), 600);
    assert_int_equal(task_times(&timeline, 1), 0);
    assert_int_equal(task_times(&timeline, 2), 300);
    assert_int_equal(task_times(&timeline, 3), 0);
    assert_true(has_fault(&timeline, FAULT_TOO_MANY, 0, 1));
    assert_int_equal(timeline.note_count, 1);
    plan.stages[0].span = days(INT32_MAX, INT32_MAX);
    timeline = plan_run(&plan);
    assert_int_equal(timeline.task_count, 0);
    assert_true(has_fault(&timeline, FAULT_OUT_OF_RANGE, 0, -1));
}

static void out_of_range(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(2, 3));
    plan_at(&plan, 0, MOMENT_END, days(30, 30));
    plan_at(&plan, 0, MOMENT_STICK, days(1, 1));
    Timeline timeline = plan_stick(&plan, 21991201);
    assert_int_equal(task_times(&timeline, 0), 0);
    assert_int_equal(task_times(&timeline, 1), 1);
    assert_true(has_fault(&timeline, FAULT_OUT_OF_RANGE, 0, 0));
    assert_int_equal(timeline.note_count, 1);
    for (size_t i = 0; i < 3; i++) plan_stage(&plan, LENGTH_DAYS, days(INT32_MAX, INT32_MAX));
    timeline = plan_run(&plan);
    assert_true(has_fault(&timeline, FAULT_OUT_OF_RANGE, 3, -1));
}

static void no_such_event(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    DayMark mark = {.event = plan.unknown_event};
    const Window gate = {.first = mark, .last = mark};
    plan_stage(&plan, LENGTH_DAYS, weeks(1, 1))->waits_for = &gate;
    plan_until(&plan, mark, mark);
    plan_at(&plan, 0, MOMENT_EVENT, days(1, 1))->moment.event = plan.unknown_event;
    plan_at(&plan, 0, MOMENT_END, days(0, 0))->waits_for = &gate;
    TaskPlan *limited = plan_at(&plan, 0, MOMENT_END, days(0, 0));
    limited->latest = LATEST_WINDOW;
    limited->latest_on = gate;
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_true(has_fault(&timeline, FAULT_NO_EVENT, 0, -1));
    assert_true(has_fault(&timeline, FAULT_NO_EVENT, 1, -1));
    for (int task = 0; task < 3; task++) assert_true(has_fault(&timeline, FAULT_NO_EVENT, 0, task));
    assert_int_equal(timeline.note_count, 5);
    assert_int_equal(timeline.task_count, 1); /* the last has a day, if no latest one */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(durations_that_guides_print),
        CHECK_WITH_ARENA(salvia_tasks),
        CHECK_WITH_ARENA(liner_worked_back),
        CHECK_WITH_ARENA(days_after_first_frost),
        CHECK_WITH_ARENA(until_so_long_after_a_moment),
        CHECK_WITH_ARENA(runs_never_cross_at_a_frost),
        CHECK_WITH_ARENA(a_later_sign_cuts_what_came_before),
        CHECK_WITH_ARENA(a_sign_before_its_stage),
        CHECK_WITH_ARENA(begins_before_another_ends),
        CHECK_WITH_ARENA(take_and_hold),
        CHECK_WITH_ARENA(nothing_to_begin_with),
        CHECK_WITH_ARENA(day_n_needs_its_stage),
        CHECK_WITH_ARENA(every_stops_and_starts_elsewhere),
        CHECK_WITH_ARENA(daily_leaves_the_last_day_out),
        CHECK_WITH_ARENA(with_each_of_another),
        CHECK_WITH_ARENA(latest_cuts),
        CHECK_WITH_ARENA(a_task_waits_for_its_window),
        CHECK_WITH_ARENA(the_weather_decides),
        CHECK_WITH_ARENA(states_by_today),
        CHECK_WITH_ARENA(records_find_their_occurrence),
        CHECK_WITH_ARENA(a_record_is_never_merged_away),
        CHECK_WITH_ARENA(moved_by_hand),
        CHECK_WITH_ARENA(too_many),
        CHECK_WITH_ARENA(out_of_range),
        CHECK_WITH_ARENA(no_such_event),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
