/* The days on which the occurrences of one task are really done.
 *
 * Given an occurrence's due dates, takes what people said first, records and moves by hand; all others go to
 * the nearest open day. Those that then fall on one day become one, and each gets its state. Whether a record
 * makes sense is judged elsewhere.
 */
#include "analysis/timeline_work.h"

/* ------------------------------------------------------------------ what people said */

/* The unrecorded occurrence that is due nearest to a day, the earlier of two; NULL if none is left. */
static TaskDate *nearest_unrecorded(const Fill *fill, Day day)
{
    size_t low = 0, high = fill->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (due_for_order(&fill->dates[middle]) <= day)
            low = middle + 1;
        else
            high = middle;
    }
    size_t after = low;
    while (after < fill->count && fill->dates[after].recorded != DAY_NONE) after++;
    while (low > 0 && fill->dates[low - 1].recorded != DAY_NONE) low--;
    if (low == 0) return after < fill->count ? &fill->dates[after] : NULL;
    /* Of several due on one day the first number counts. */
    TaskDate *before = &fill->dates[low - 1];
    for (size_t i = low - 1; i-- > 0 && due_for_order(&fill->dates[i]) == due_for_order(before);)
        if (fill->dates[i].recorded == DAY_NONE) before = &fill->dates[i];
    if (after == fill->count) return before;
    bool later_is_nearer = due_for_order(&fill->dates[after]) - day < day - due_for_order(before);
    return later_is_nearer ? &fill->dates[after] : before;
}

static TaskDate *find_number(const Fill *fill, int number)
{
    for (size_t i = 0; i < fill->count; i++)
        if (fill->dates[i].number == number) return &fill->dates[i];
    return NULL;
}

void timeline_record(TaskDate *date, const TaskRecord *record)
{
    date->recorded = record->day;
    date->state = record->skipped ? STATE_SKIPPED : STATE_DONE;
}

/* Records that name their occurrence come first, so that the others share what is left. */
static void match_records(const TimelineInput *input, Fill *fill)
{
    for (size_t i = 0; i < input->record_count; i++) {
        const TaskRecord *record = &input->records[i];
        if (record->task != fill->index || !record->numbered) continue;
        TaskDate *date = find_number(fill, record->number);
        if (date) timeline_record(date, record);
    }
    for (size_t i = 0; i < input->record_count; i++) {
        const TaskRecord *record = &input->records[i];
        if (record->task != fill->index || record->numbered) continue;
        TaskDate *date = nearest_unrecorded(fill, record->day);
        if (date) timeline_record(date, record);
    }
}

/* The day on which somebody put an occurrence, done or moved by hand; DAY_NONE if nobody did. */
static Day fixed_day(const TimelineInput *input, const TaskDate *date)
{
    if (date->recorded != DAY_NONE) return date->recorded;
    Day day = DAY_NONE;
    for (size_t i = 0; i < input->move_count; i++) {
        const TaskMove *move = &input->moves[i];
        if (move->task == date->task && (!move->number || move->number == date->number)) day = move->day;
    }
    return day;
}

/* ------------------------------------------------------------------ open days */

/* The open day for one due day, never behind the task's latest day. */
static Day open_day(const Work *work, const Fill *fill, Day due, Day latest, bool *found)
{
    const TaskPlan *plan = fill->plan;
    Day day = calendar_moved(work->calendar, due, plan->slack, plan->side, found);
    if (!fill->has_latest || day <= latest) return day;
    if (plan->side == SLACK_EITHER)
        return calendar_moved(work->calendar, due, plan->slack, SLACK_BEFORE, found);
    *found = false;
    return due;
}

/* Whether somebody will be there is asked of the planned day: the other two are only how it may turn out. */
void timeline_place_duty(const Work *work, TaskDate *date, Faults *faults)
{
    date->date = date->due;
    Day day = date->due.on[RUN_PLANNED];
    date->unattended = !calendar_open(work->calendar, day) && !dayset_has(&work->calendar->duty, day);
    if (date->unattended) *faults |= FAULT_BIT(FAULT_NOBODY_THERE);
}

static void place_on_open_days(const Work *work, Fill *fill, TaskDate *date)
{
    for (int run = 0; run < RUNS; run++) {
        bool found;
        date->date.on[run] = open_day(work, fill, date->due.on[run], fill->latest.on[run], &found);
        if (run == RUN_PLANNED) date->unopened = !found;
    }
    if (date->unopened) *fill->faults |= FAULT_BIT(FAULT_NO_OPEN_DAY);
}

static void place(const Work *work, Fill *fill)
{
    for (size_t i = 0; i < fill->count; i++) {
        TaskDate *date = &fill->dates[i];
        Day fixed = fixed_day(work->input, date);
        if (fixed != DAY_NONE)
            date->date = dates_all(fixed);
        else if (date->watch)
            date->date = date->due;
        else if (fill->plan->duty)
            timeline_place_duty(work, date, fill->faults);
        else
            place_on_open_days(work, fill, date);
    }
}

/* ------------------------------------------------------------------ order, merging, states */

/* They come nearly in order: only what people recorded or moved by hand can be out of it. */
static void sort_by_date(Fill *fill)
{
    for (size_t i = 1; i < fill->count; i++) {
        TaskDate date = fill->dates[i];
        size_t at = i;
        while (at > 0 && date_for_order(&fill->dates[at - 1]) > date_for_order(&date)) {
            fill->dates[at] = fill->dates[at - 1];
            at--;
        }
        fill->dates[at] = date;
    }
}

static int32_t shift_of(const TaskDate *date)
{
    int32_t shift = date_for_order(date) - due_for_order(date);
    return shift < 0 ? -shift : shift;
}

/* Whether `a` rather than `b` stays of two on one day. */
static bool stays_before(const TaskDate *a, const TaskDate *b)
{
    if (shift_of(a) != shift_of(b)) return shift_of(a) < shift_of(b);
    return a->number < b->number;
}

/* Of occurrences on one planned day one stays, and all that are recorded. If any of them is sure, then
 * somebody is sure to come that day. */
static void merge_days(Fill *fill)
{
    size_t kept = 0;
    for (size_t first = 0, end; first < fill->count; first = end) {
        size_t best = first, recorded = 0;
        bool sure = false;
        Day day = date_for_order(&fill->dates[first]);
        for (end = first; end < fill->count && date_for_order(&fill->dates[end]) == day; end++) {
            if (stays_before(&fill->dates[end], &fill->dates[best])) best = end;
            recorded += fill->dates[end].recorded != DAY_NONE;
            sure = sure || fill->dates[end].sure;
        }
        for (size_t i = first; i < end; i++) {
            if (recorded ? fill->dates[i].recorded == DAY_NONE : i != best) continue;
            fill->dates[kept] = fill->dates[i];
            fill->dates[kept++].sure = sure;
        }
    }
    fill->count = kept;
}

/* It was to be done by a day on which what it belongs to was over, by record: its stage, or the sticking that
 * it prepares. What is done once at the end of a stage is still asked for. */
static bool is_past(const Work *work, const TaskPlan *plan, Day last)
{
    if (plan->stage >= 0) {
        Day over = work->known_by[plan->stage];
        return over != DAY_NONE && (last < over || (last == over && plan->timing == TIMING_EVERY));
    }
    bool prepares = plan->stage != SECTION_CLIMATE && plan->stage != SECTION_FINISH;
    return prepares && work->input->stuck != DAY_NONE && last <= work->input->stuck;
}

TaskState timeline_state(const Work *work, const TaskPlan *plan, const TaskDate *date)
{
    Day today = work->input->today, last = date->date.on[RUN_LATE];
    if (today == DAY_NONE || date->date.on[RUN_EARLY] > today) return STATE_COMING;
    if (last >= today) return STATE_DUE;
    return plan->timing == TIMING_DAILY || is_past(work, plan, last) ? STATE_MISSED : STATE_OVERDUE;
}

static void name_states(const Work *work, Fill *fill)
{
    int last_done = INT32_MIN;
    for (size_t i = 0; i < fill->count; i++)
        if (fill->dates[i].state == STATE_DONE && fill->dates[i].number > last_done)
            last_done = fill->dates[i].number;
    for (size_t i = 0; i < fill->count; i++) {
        TaskDate *date = &fill->dates[i];
        if (date->recorded != DAY_NONE) continue;
        date->state = date->number < last_done ? STATE_MISSED : timeline_state(work, fill->plan, date);
    }
}

void timeline_place(const Work *work, Fill *fill)
{
    match_records(work->input, fill);
    place(work, fill);
    sort_by_date(fill);
    merge_days(fill);
    name_states(work, fill);
}
