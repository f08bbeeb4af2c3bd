/* The days on which dials are really set, and the states of their settings.
 *
 * Given due settings of all dials, in their order on paper. A dial is set on its day, open or not. It is
 * turned from stage to stage and keeps its name, so its settings share what was recorded of it, in whatever
 * stage they stand: a record is of the one that it names by its day or its words, and of several of the one
 * that is due nearest and has no record yet.
 */
#include "analysis/timeline_work.h"

#include <stdlib.h>

static const TaskPlan *plan_of(const Work *work, const TaskDate *date)
{
    return &work->schedule->tasks[date->task];
}

static bool may_be_of(const Work *work, const TaskRecord *record, const TaskDate *date)
{
    const TaskPlan *plan = plan_of(work, date);
    return plan->dial == record->task && date->recorded == DAY_NONE &&
           (!record->numbered || record->number == date->number) &&
           (!record->setting.length || slice_equal(record->setting, plan->setting->setting));
}

static void share_out(const Work *work, const TaskRecord *record, TaskDate *settings, size_t count)
{
    TaskDate *nearest = NULL;
    for (size_t i = 0; i < count; i++) {
        TaskDate *date = &settings[i];
        if (may_be_of(work, record, date) &&
            (!nearest || abs(due_for_order(date) - record->day) < abs(due_for_order(nearest) - record->day)))
            nearest = date;
    }
    if (!nearest) return;
    timeline_record(nearest, record);
    nearest->date = dates_all(record->day);
}

/* A later setting of the same dial was done, or it is its turn: nobody sets this one any more. Later ones
 * stand behind it. */
static bool later_stands(const Work *work, const TaskDate *date, const TaskDate *end)
{
    Day today = work->input->today;
    for (const TaskDate *later = date + 1; later < end; later++) {
        bool in_turn = today != DAY_NONE && later->due.on[RUN_PLANNED] <= today;
        if (plan_of(work, later)->dial == plan_of(work, date)->dial &&
            (later->state == STATE_DONE || in_turn))
            return true;
    }
    return false;
}

void timeline_dials(const Work *work, TaskDate *settings, size_t count)
{
    const TimelineInput *input = work->input;
    for (int numbered = 1; numbered >= 0; numbered--) /* those that name theirs come first */
        for (size_t i = 0; i < input->record_count; i++)
            if (input->records[i].numbered == numbered) share_out(work, &input->records[i], settings, count);
    for (size_t i = 0; i < count; i++) {
        TaskDate *date = &settings[i];
        if (date->recorded != DAY_NONE) continue;
        timeline_place_duty(work, date, &work->task_faults[date->task]);
        date->state = later_stands(work, date, settings + count)
                          ? STATE_MISSED
                          : timeline_state(work, plan_of(work, date), date);
    }
}
