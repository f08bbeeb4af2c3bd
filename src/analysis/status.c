/* How batches stand: see status.h. */
#include "analysis/status.h"

#include "analysis/context.h"
#include "analysis/outlook.h"
#include "analysis/stays.h"
#include "analysis/trial_task.h"
#include "base/vec.h"

/* ------------------------------------------------------------------ where it is */

static bool waits_for_sign(const Protocol *protocol, const Timeline *timeline, size_t stage)
{
    return !timeline->stages[stage].ready && block_clause(protocol->stages[stage], FIELD_ROW(READY));
}

/* The stage it is in: the last that has begun and is not over. -1: all that have begun are over. */
static int running_stage(const Protocol *protocol, const Timeline *timeline, Day today)
{
    int running = -1;
    for (size_t i = 0; i < protocol->stage_count; i++) {
        const StageDates *stage = &timeline->stages[i];
        if (stage->begin.on[RUN_PLANNED] == DAY_NONE || stage->begin.on[RUN_PLANNED] > today) continue;
        if (stage->end.on[RUN_PLANNED] > today) running = (int)i;
        if (waits_for_sign(protocol, timeline, i)) return (int)i; /* nothing behind it begins before */
    }
    return running;
}

/* Gives the stage whose sign it waits for; -1: none. */
static int take_phase(const SurveyBatch *batch, const Ledger *ledger, Day today, Status *status)
{
    const Subject *subject = batch->subject;
    const Protocol *protocol = subject->context->protocol;
    const Timeline *timeline = subject->timeline;
    bool stuck = ledger->began != DAY_NONE;
    status->since = DAY_NONE;
    if (ledger->ended) {
        status->phase = ledger->ended->verb == VERB_ENDED ? "ended" : "abandoned";
        status->since = ledger->ended->day;
        return -1;
    }
    if (!stuck) {
        status->phase = ledger->has_waiting ? "taken" : "planned";
        if (!timeline) return -1;
        status->since = timeline->stick.on[RUN_PLANNED];
        if (timeline->stick.on[RUN_LATE] < today) status->over_since = timeline->stick.on[RUN_LATE];
        return -1;
    }
    int running = timeline ? running_stage(protocol, timeline, today) : -1;
    if (running < 0) {
        bool over = timeline && timeline->finish.on[RUN_PLANNED] <= today; /* else none has begun */
        status->phase = over ? "all stages over" : "stuck";
        status->since = over ? timeline->finish.on[RUN_PLANNED] : ledger->began;
        return -1;
    }
    const StageDates *stage = &timeline->stages[running];
    status->phase = protocol->stages[running]->name->text;
    status->since = stage->begin.on[RUN_PLANNED];
    if (!waits_for_sign(protocol, timeline, (size_t)running)) return -1;
    if (stage->end.on[RUN_LATE] < today) status->over_since = stage->end.on[RUN_LATE];
    return running;
}

static const Block *place_of(const Nursery *nursery, const SurveyBatch *batch, Day day)
{
    if (!batch->dated) return batch->subject->context->place;
    Name place = stay_on(batch->subject, day).place;
    return place ? nursery_find(nursery, BLOCK_PLACE, place) : NULL;
}

static StatusShut shut_by(const Nursery *nursery, const SurveyBatch *batch, const RecordLine *line,
                          const Status *status)
{
    return (StatusShut){status->batch, line, line ? place_of(nursery, batch, line->day) : NULL};
}

/* One place may be open again before another in which the same batch was treated. */
static void take_shut(const Nursery *nursery, Arena *lasting, const SurveyBatch *batch,
                      const RecordLine *longest, Status *status)
{
    VEC(StatusShut) shuts = {0};
    const Block *record = batch->subject->record;
    for (const RecordLine *line = record ? record->lines : NULL; line && line->day <= batch->today;
         line = line->next)
        if (record_says(line, PIECE_SHUT) && line->day_open >= batch->today)
            VEC_PUSH(lasting, &shuts, shut_by(nursery, batch, line, status));
    status->shut = shut_by(nursery, batch, longest, status);
    status->shuts = shuts.at;
    status->shut_count = shuts.count;
}

/* ------------------------------------------------------------------ how many */

/* The mean of those stuck that are rooted at the end of the stage that roots them. */
static void take_expected(const FactSource *source, const SurveyBatch *batch, Status *status)
{
    const Context *context = batch->subject->context;
    const Outlook *outlook = outlook_of(source, context);
    size_t stages = outlook_stages_of(outlook, context->protocol, SLICE("rooted"));
    status->has_expected = stages && batch->size.has_count;
    if (!status->has_expected) return;
    status->expected =
        (double)batch->size.count * yield_share_mean((YieldStages){outlook->stages.at, stages});
}

static void take_numbers(const FactSource *source, const SurveyBatch *batch, const Ledger *ledger,
                         Status *status)
{
    status->alive = ledger->alive;
    status->rooted = ledger->rooted;
    if (ledger->sampled.line &&
        (!ledger->rooted.line || ledger->rooted.line->day <= ledger->sampled.line->day))
        status->sampled = ledger->sampled;
    bool grows = ledger->began != DAY_NONE && !ledger->ended;
    if (grows && !status->rooted.line && !status->sampled.line) take_expected(source, batch, status);
}

/* ------------------------------------------------------------------ what is to be done */

static Day day_of(const TaskDate *date)
{
    return date->date.on[date->watch ? RUN_LATE : RUN_PLANNED];
}

static bool is_ahead(const TaskDate *date)
{
    return date->state == STATE_DUE || date->state == STATE_COMING;
}

static bool is_earlier(const StatusTask *task, Day day)
{
    return !task->name || day < task->day;
}

/* Nothing is asked for that comes after the sticking before it is stuck, nor what prepares it behind that;
 * nor, while a sign is waited for, of what comes after the sign before its own time. */
static bool is_asked(const TaskPlan *plan, const TaskDate *date, const Status *status, int awaited, Day today)
{
    bool after = plan->stage >= 0 || plan->stage == SECTION_CLIMATE || plan->stage == SECTION_FINISH;
    bool grows = status->alive.basis != LEDGER_UNKNOWN;
    if (after != grows) return false;
    return awaited < 0 || plan->stage <= awaited || date->date.on[RUN_EARLY] > today;
}

static void take_overdue(Name name, Day day, Status *status)
{
    status->overdue_count++;
    if (is_earlier(&status->overdue, day)) status->overdue = (StatusTask){name, day};
}

/* A task that comes often is overdue once. */
static void take_tasks(const FactSource *source, const SurveyBatch *batch, Day began, int awaited, Day today,
                       Status *status)
{
    const Schedule *schedule = batch->subject->context->protocol->schedule;
    const Timeline *timeline = batch->subject->timeline;
    bool *told = ARENA_ARRAY(source->passing, bool, schedule->task_count);
    for (size_t i = 0; i < timeline->task_count; i++) {
        const TaskDate *date = &timeline->tasks[i];
        const TaskPlan *plan = &schedule->tasks[date->task];
        Day day = day_of(date);
        bool before = began != DAY_NONE && date->date.on[RUN_LATE] < began; /* it came from another later */
        if (before || !is_asked(plan, date, status, awaited, today)) continue;
        if (date->state == STATE_OVERDUE && !told[date->task]) {
            told[date->task] = true;
            take_overdue(plan->name, day, status);
        }
        if (is_ahead(date) && is_earlier(&status->next, day)) status->next = (StatusTask){plan->name, day};
    }
}

/* What is to be read of it is asked for as soon as it grows. */
static void take_trials(Nursery *nursery, const Trials *trials, const SurveyBatch *batch, Status *status)
{
    if (status->alive.basis == LEDGER_UNKNOWN) return;
    TrialTasks tasks = trial_tasks_of(nursery, trials, batch->id, batch->subject, batch->today);
    for (size_t i = 0; i < tasks.count; i++) {
        const TaskDate *date = &tasks.at[i].date;
        Name name = tasks.at[i].task->name;
        if (date->state == STATE_OVERDUE) take_overdue(name, day_of(date), status);
        if (is_ahead(date) && is_earlier(&status->next, day_of(date)))
            status->next = (StatusTask){name, day_of(date)};
    }
}

static Urgency urgency_of(const Status *status, const Ledger *ledger, Day today)
{
    if (ledger->ended) return URGENCY_OVER;
    if (ledger->failing) return URGENCY_FAILING;
    if (status->overdue_count || status->over_since != DAY_NONE) return URGENCY_OVERDUE;
    if (status->next.name && status->next.day <= today) return URGENCY_DUE;
    return ledger->began == DAY_NONE && !ledger->has_waiting ? URGENCY_PLANNED : URGENCY_WAITING;
}

Status status_of(const FactSource *source, const Ledgers *ledgers, const Trials *trials, Arena *lasting,
                 const SurveyBatch *batch)
{
    Day today = batch->today;
    const Subject *subject = batch->subject;
    Name name = names_find(source->nursery->names, batch->id);
    Ledger ledger = ledger_of(ledgers, source->passing, name, subject->record, today);
    Status status = {.batch = arena_copy(lasting, batch->id.at, batch->id.length),
                     .plant =
                         context_plant(lasting, subject->context,
                                       plan_cell(subject->plan, subject->row, FIELD_ROW(PLANT_OF_BATCH))),
                     .protocol = subject->context->protocol->name,
                     .over_since = DAY_NONE,
                     .last_look = ledger.last_look,
                     .failing = ledger.failing,
                     .ended = ledger.ended};
    int awaited = take_phase(batch, &ledger, today, &status);
    take_numbers(source, batch, &ledger, &status);
    take_shut(source->nursery, lasting, batch, ledger.shut, &status);
    if (!ledger.ended) {
        status.place = place_of(source->nursery, batch, today);
        if (batch->dated) {
            take_tasks(source, batch, ledger.began, awaited, today, &status);
            take_trials(source->nursery, trials, batch, &status);
        }
    }
    status.urgency = urgency_of(&status, &ledger, today);
    return status;
}

/* ------------------------------------------------------------------ in which order */

static Day day_asked(const Status *status)
{
    if (status->urgency == URGENCY_FAILING) return status->failing->day;
    if (status->urgency == URGENCY_OVER) return -status->since; /* the last first */
    Day late = status->over_since == DAY_NONE ? INT32_MAX : status->over_since;
    if (status->overdue.name && status->overdue.day < late) late = status->overdue.day;
    return late != INT32_MAX ? late : status->next.name ? status->next.day : INT32_MAX;
}

int status_compare(const void *a, const void *b)
{
    const Status *x = a, *y = b;
    if (x->urgency != y->urgency) return x->urgency < y->urgency ? -1 : 1;
    Day first = day_asked(x), second = day_asked(y);
    if (first != second) return first < second ? -1 : 1;
    return slice_compare(slice_of(x->batch), slice_of(y->batch));
}
