/* analysis/timeline: the worked examples E1 to E16 of docs/timeline.md, day by day. */
#include "timeline_plan.h"

static void plan_callus(Plan *plan, Arena *arena)
{
    plan_make(plan, arena);
    plan_stage(plan, LENGTH_DAYS, weeks(2, 3));
}

static void plan_callus_root(Plan *plan, Arena *arena)
{
    plan_callus(plan, arena);
    plan_stage(plan, LENGTH_DAYS, weeks(4, 6));
}

static void plan_callus_winter(Plan *plan, Arena *arena)
{
    plan_callus(plan, arena);
    plan_until(plan, part_mark(PART_OF_MONTH_MID, 3), part_mark(PART_OF_MONTH_MID, 3));
}

static void e1_stages_chain(void **state)
{
    Plan plan;
    plan_callus_root(&plan, *state);
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_dates(timeline.stages[0].begin, 20270618, 20270618, 20270618);
    assert_dates(timeline.stages[0].end, 20270702, 20270706, 20270709);
    assert_dates(timeline.stages[1].begin, 20270702, 20270706, 20270709);
    assert_dates(timeline.stages[1].end, 20270730, 20270810, 20270820);
    assert_dates(timeline.finish, 20270730, 20270810, 20270820);
    assert_dates(timeline.take, 20270618, 20270618, 20270618);
    assert_int_equal(timeline.note_count, 0);
}

static void e2_middle_rounds_to_the_later_day(void **state)
{
    Plan plan;
    plan_callus(&plan, *state);
    Timeline timeline = plan_stick(&plan, 20280220);
    assert_dates(timeline.stages[0].end, 20280305, 20280309, 20280312);
    plan.stages[0].span.planned = 16;
    timeline = plan_stick(&plan, 20280220);
    assert_dates(timeline.stages[0].end, 20280305, 20280307, 20280312);
}

static void e3_until_a_window(void **state)
{
    Plan plan;
    plan_callus_winter(&plan, *state);
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_dates(timeline.stages[1].end, 20280311, 20280316, 20280320);

    plan_make(&plan, *state); /* entered on one day */
    plan_until(&plan, part_mark(PART_OF_MONTH_MID, 3), part_mark(PART_OF_MONTH_MID, 3));
    timeline = plan_stick(&plan, 20280314);
    assert_dates(timeline.stages[0].end, 20280314, 20280316, 20280320);
    timeline = plan_stick(&plan, 20280321);
    assert_dates(timeline.stages[0].end, 20290311, 20290316, 20290320);
    assert_int_equal(timeline.note_count, 0);
}

static void e4_until_jump(void **state)
{
    Plan plan;
    plan_callus_winter(&plan, *state);
    plan.stages[0].span = weeks(2, 5);
    Timeline timeline = plan_stick(&plan, 20280221);
    assert_dates(timeline.stages[0].end, 20280306, 20280317, 20280327);
    assert_dates(timeline.stages[1].end, 20280311, 20280317, 20290320);
    assert_true(has_fault(&timeline, FAULT_UNTIL_JUMP, 1, -1));
    assert_int_equal(timeline.note_count, 1);
}

static void e5_every_week(void **state)
{
    Plan plan;
    plan_callus_root(&plan, *state);
    plan_every(&plan, 0, 7);
    TaskPlan *from_14 = plan_every(&plan, 0, 7);
    from_14->has_first = true;
    from_14->first = 14;
    plan_every(&plan, 1, 7);
    Timeline timeline = plan_stick(&plan, 20270618);
    const struct {
        int task, number, due[RUNS];
        bool sure;
    } rows[] = {
        {0, 1, {20270625, 20270625, 20270625}, true},  {0, 2, {20270702, 20270702, 20270702}, true},
        {0, 3, {20270709, 20270709, 20270709}, false}, {1, 1, {20270702, 20270702, 20270702}, true},
        {1, 2, {20270709, 20270709, 20270709}, false}, {2, 1, {20270709, 20270713, 20270716}, true},
        {2, 2, {20270716, 20270720, 20270723}, true},  {2, 3, {20270723, 20270727, 20270730}, true},
        {2, 4, {20270730, 20270803, 20270806}, true},  {2, 5, {20270806, 20270810, 20270813}, false},
        {2, 6, {20270813, 20270817, 20270820}, false},
    };
    assert_int_equal(timeline.task_count, CHECK_COUNT(rows));
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        const TaskDate *date = task_date(&timeline, rows[i].task, rows[i].number);
        assert_dates(date->due, rows[i].due[0], rows[i].due[1], rows[i].due[2]);
        assert_dates(date->date, rows[i].due[0], rows[i].due[1], rows[i].due[2]);
        assert_int_equal(date->sure, rows[i].sure);
    }
}

/* A stage that begins on the day, with one task at its start. */
static const TaskDate *task_on(Plan *plan, Arena *arena, int date, int slack, SlackSide side, bool duty)
{
    static const DayRange duty_break = {{12, PART_OF_MONTH_DAY, 24}, {1, PART_OF_MONTH_DAY, 2}, NULL};
    plan_callus(plan, arena);
    plan->calendar.duty = (DaySet){.ranges = &duty_break, .range_count = 1};
    TaskPlan *task = plan_at(plan, 0, MOMENT_START, days(0, 0));
    task->slack = slack;
    task->side = side;
    task->duty = duty;
    Timeline timeline = plan_stick(plan, date);
    const TaskDate *found = task_date(&timeline, 0, 0);
    assert_dates(found->due, date, date, date);
    return found;
}

static void e6_weekends(void **state)
{
    Plan plan;
    const TaskDate *date = task_on(&plan, *state, 20270619, 3, SLACK_EITHER, false);
    assert_dates(date->date, 20270618, 20270618, 20270618);
    date = task_on(&plan, *state, 20270620, 3, SLACK_EITHER, false);
    assert_dates(date->date, 20270621, 20270621, 20270621);
    date = task_on(&plan, *state, 20270619, 3, SLACK_AFTER, false);
    assert_dates(date->date, 20270621, 20270621, 20270621);
}

static void e7_winter_break(void **state)
{
    Plan plan;
    const TaskDate *date = task_on(&plan, *state, 20271224, 3, SLACK_EITHER, false);
    assert_dates(date->date, 20271223, 20271223, 20271223);
    assert_false(date->unopened);
    date = task_on(&plan, *state, 20271229, 3, SLACK_EITHER, false);
    assert_dates(date->date, 20271229, 20271229, 20271229);
    assert_true(date->unopened);
    date = task_on(&plan, *state, 20271229, 7, SLACK_EITHER, false);
    assert_dates(date->date, 20280103, 20280103, 20280103);
    date = task_on(&plan, *state, 20271229, 3, SLACK_EITHER, true);
    assert_dates(date->date, 20271229, 20271229, 20271229);
    assert_false(date->unopened);
    assert_false(date->unattended);
    date = task_on(&plan, *state, 20270619, 3, SLACK_EITHER, true); /* a Saturday without duty */
    assert_dates(date->date, 20270619, 20270619, 20270619);
    assert_true(date->unattended);
}

static void e8_occurrences_merge(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, days(5, 5));
    plan_every(&plan, 0, 1)->side = SLACK_AFTER;
    Timeline timeline = plan_stick(&plan, 20270617);
    assert_int_equal(timeline.task_count, 3);
    assert_day(task_date(&timeline, 0, 1)->date.on[RUN_PLANNED], 20270618);
    assert_day(task_date(&timeline, 0, 4)->date.on[RUN_PLANNED], 20270621);
    assert_day(task_date(&timeline, 0, 5)->date.on[RUN_PLANNED], 20270622);
}

static void e9_before_the_end(void **state)
{
    Plan plan;
    plan_callus(&plan, *state);
    plan_at(&plan, 0, MOMENT_END, days(-3, -3))->side = SLACK_AFTER;
    plan_at(&plan, 0, MOMENT_END, days(-16, -16))->side = SLACK_AFTER;
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_dates(task_date(&timeline, 0, 0)->due, 20270629, 20270703, 20270706);
    assert_dates(task_date(&timeline, 0, 0)->date, 20270629, 20270705, 20270706);
    assert_dates(task_date(&timeline, 1, 0)->due, 20270618, 20270620, 20270623);
    assert_dates(task_date(&timeline, 1, 0)->date, 20270618, 20270621, 20270623);
    assert_true(has_fault(&timeline, FAULT_OFFSET_TOO_LONG, 0, 1));
    assert_int_equal(timeline.note_count, 1);
}

static void e10_records_move_what_follows(void **state)
{
    Plan plan;
    plan_callus_root(&plan, *state);
    plan.input.stuck = on(20270621);
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_dates(timeline.stick, 20270621, 20270621, 20270621);
    assert_dates(timeline.stages[0].end, 20270705, 20270709, 20270712);
    assert_dates(timeline.stages[1].end, 20270802, 20270813, 20270823);
    plan_ready(&plan, 0, 20270712);
    timeline = plan_run(&plan);
    assert_true(timeline.stages[0].ready);
    assert_dates(timeline.stages[0].end, 20270712, 20270712, 20270712);
    assert_false(timeline.stages[1].ready);
    assert_dates(timeline.stages[1].end, 20270809, 20270816, 20270823);
    assert_int_equal(timeline.note_count, 0);
}

/* grow 6 .. 8 weeks, waits for 2 weeks after last-frost .. mid Jul. */
static void plan_grow(Plan *plan, Window *gate)
{
    *gate =
        (Window){.first = {.event = plan->last_frost, .days = 14}, .last = part_mark(PART_OF_MONTH_MID, 7)};
    plan_stage(plan, LENGTH_DAYS, weeks(6, 8))->waits_for = gate;
}

static void e11_a_gate(void **state)
{
    Plan plan;
    Window gate;
    plan_callus_winter(&plan, *state);
    plan_grow(&plan, &gate);
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_dates(timeline.stages[2].begin, 20280512, 20280512, 20280512);
    assert_dates(timeline.stages[2].end, 20280623, 20280630, 20280707);
    assert_int_equal(timeline.note_count, 0);
}

static void e12_gate_jump(void **state)
{
    Plan plan;
    Window gate;
    plan_callus(&plan, *state);
    plan_grow(&plan, &gate);
    Timeline timeline = plan_stick(&plan, 20270702);
    assert_dates(timeline.stages[1].begin, 20270716, 20270720, 20280512);
    assert_dates(timeline.stages[1].end, 20270827, 20270907, 20280707);
    assert_true(has_fault(&timeline, FAULT_GATE_JUMP, 1, -1));
    assert_int_equal(timeline.note_count, 1);
}

static void e13_part_of_a_month(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(8, 12));
    plan.input.stick = (Dates){{on(20280211), on(20280216), on(20280220)}};
    Timeline timeline = plan_run(&plan);
    assert_dates(timeline.stick, 20280211, 20280216, 20280220);
    assert_dates(timeline.stages[0].end, 20280407, 20280426, 20280514);
    const Window winter = {.first = part_mark(PART_OF_MONTH_LATE, 11),
                           .last = part_mark(PART_OF_MONTH_MID, 2)};
    assert_true(window_has(&winter, &plan.calendar, on(20271121), RUN_PLANNED));
    assert_true(window_has(&winter, &plan.calendar, on(20280220), RUN_PLANNED));
    assert_false(window_has(&winter, &plan.calendar, on(20271120), RUN_PLANNED));
    assert_false(window_has(&winter, &plan.calendar, on(20280221), RUN_PLANNED));
    YearDay late_february = part_mark(PART_OF_MONTH_LATE, 2).day;
    assert_day(year_day_last(late_february, 2027), 20270228);
    assert_day(year_day_last(late_february, 2028), 20280229);
}

static void e14_worked_back(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(7, 7));
    plan.input.wanted_by = on(20260515);
    Timeline timeline = plan_run(&plan);
    assert_dates(timeline.stick, 20260327, 20260327, 20260327); /* also V75 */

    plan_callus_root(&plan, *state);
    plan.input.wanted_by = on(20271001);
    timeline = plan_run(&plan);
    assert_dates(timeline.stick, 20270730, 20270730, 20270730);
    assert_dates(timeline.finish, 20270910, 20270921, 20271001);

    plan_callus_winter(&plan, *state);
    plan.input.wanted_by = on(20280401);
    timeline = plan_run(&plan);
    assert_day(timeline.stick.on[RUN_PLANNED], 20280228);
    const Window summer = {.first = part_mark(PART_OF_MONTH_LATE, 5),
                           .last = part_mark(PART_OF_MONTH_MID, 7)};
    plan.schedule.stick_windows = &summer;
    plan.schedule.stick_window_count = 1;
    timeline = plan_run(&plan);
    assert_dates(timeline.stick, 20270720, 20270720, 20270720);
}

static void e15_stages_that_overlap(void **state)
{
    Plan plan;
    plan_make(&plan, *state);
    plan_stage(&plan, LENGTH_DAYS, weeks(4, 6));
    StagePlan *wean = plan_stage(&plan, LENGTH_DAYS, weeks(1, 2));
    wean->begins = true;
    wean->begins_at = (Moment){MOMENT_END, 0, NULL};
    wean->begins_after = days(-7, -7);
    plan_stage(&plan, LENGTH_DAYS, weeks(4, 4));
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_dates(timeline.stages[1].begin, 20270709, 20270716, 20270723);
    assert_dates(timeline.stages[1].end, 20270716, 20270727, 20270806);
    assert_dates(timeline.stages[2].end, 20270813, 20270824, 20270903);
    wean->span = days(3, 5);
    timeline = plan_stick(&plan, 20270618);
    assert_dates(timeline.stages[2].begin, 20270716, 20270723, 20270730);
    assert_int_equal(timeline.note_count, 0);
}

static void e16_records_of_a_task(void **state)
{
    Plan plan;
    plan_callus(&plan, *state);
    plan_every(&plan, 0, 7);
    plan_record(&plan, 0, 0, 20270703);
    plan_record(&plan, 0, 0, 20270708);
    plan.input.today = on(20270710);
    Timeline timeline = plan_stick(&plan, 20270618);
    assert_int_equal(timeline.task_count, 3);
    assert_int_equal(task_date(&timeline, 0, 1)->state, STATE_MISSED);
    assert_int_equal(task_date(&timeline, 0, 2)->state, STATE_DONE);
    assert_dates(task_date(&timeline, 0, 2)->date, 20270703, 20270703, 20270703);
    assert_dates(task_date(&timeline, 0, 2)->due, 20270702, 20270702, 20270702);
    assert_int_equal(task_date(&timeline, 0, 3)->state, STATE_DONE);
    assert_day(task_date(&timeline, 0, 3)->recorded, 20270708);

    plan_at(&plan, 0, MOMENT_END, days(0, 0));
    plan.input.ended = on(20270712);
    timeline = plan_run(&plan);
    assert_int_equal(timeline.task_count, 2);
    assert_int_equal(task_date(&timeline, 0, 2)->state, STATE_DONE);
    assert_int_equal(task_date(&timeline, 0, 3)->state, STATE_DONE);
    plan.input.ended = on(20270705);
    timeline = plan_run(&plan);
    assert_dates(timeline.stages[0].end, 20270702, 20270705, 20270705);
    assert_dates(timeline.finish, 20270702, 20270705, 20270705);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(e1_stages_chain),
        CHECK_WITH_ARENA(e2_middle_rounds_to_the_later_day),
        CHECK_WITH_ARENA(e3_until_a_window),
        CHECK_WITH_ARENA(e4_until_jump),
        CHECK_WITH_ARENA(e5_every_week),
        CHECK_WITH_ARENA(e6_weekends),
        CHECK_WITH_ARENA(e7_winter_break),
        CHECK_WITH_ARENA(e8_occurrences_merge),
        CHECK_WITH_ARENA(e9_before_the_end),
        CHECK_WITH_ARENA(e10_records_move_what_follows),
        CHECK_WITH_ARENA(e11_a_gate),
        CHECK_WITH_ARENA(e12_gate_jump),
        CHECK_WITH_ARENA(e13_part_of_a_month),
        CHECK_WITH_ARENA(e14_worked_back),
        CHECK_WITH_ARENA(e15_stages_that_overlap),
        CHECK_WITH_ARENA(e16_records_of_a_task),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
