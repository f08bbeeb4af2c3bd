/* From batches to tasks with places, amounts and ids.
 *
 * What is the same for all batches of a context is worked out once: ids of tasks behind the batch's, rates of
 * work. A batch adds its dates, its count and where it stands.
 */
#include "analysis/expand.h"

#include "analysis/batch_size.h"
#include "analysis/context.h"
#include "analysis/ledger.h"
#include "analysis/record_check.h"
#include "analysis/stays.h"
#include "analysis/timelines.h"
#include "analysis/trial_task.h"
#include "base/vec.h"
#include "model/record.h"

#include <stdlib.h>

/* What a task of a protocol has whatever the batch. */
typedef struct TaskTrait {
    const Block *stage;         /* the stage or section it stands in */
    bool stage_is_around;       /* see WorkTask */
    const Clause *setting;      /* NULL: a task */
    const char *path;           /* /STAGE/TASK, from the oldest names; /STAGE/DIAL/DAY */
    PerAmount time_per;         /* UNKNOWN: no time is said */
    Number time_low, time_high; /* of one of those */
} TaskTrait;

typedef struct ContextTraits {
    const TaskTrait *tasks; /* of its protocol */
    const char *plant;
    const Block **around; /* see WorkTask */
    size_t around_count;
} ContextTraits;

struct Expansion {
    Nursery *nursery;
    FactSource source;
    WorkFilter filter;
    WorkSink *sink;
    void *to;
    Contexts *contexts;
    Timelines *timelines;
    const TaskTrait **tasks; /* of each protocol of the nursery; NULL: not asked for yet */
    WorkResult result;
    ArenaMark passing;
    VEC(const Protocol *) undated_told;
    RecordCheck *records; /* NULL: somebody else looks at them */
    Ledgers *ledgers;     /* made when the first record comes */
    Trials trials;
    VEC(WorkNotice) notices;
    bool stopped; /* before all batches were seen */
    size_t row;   /* of all batches */
};

Expansion *expansion_new(Nursery *nursery, const WorkFilter *filter, WorkSink *sink, void *to,
                         ArenaExhausted *exhausted)
{
    Expansion *expansion = ARENA_NEW(nursery->arena, Expansion);
    expansion->nursery = nursery;
    expansion->source = (FactSource){nursery, nursery->arena, arena_new(exhausted), NULL, false};
    expansion->passing = arena_mark(expansion->source.passing);
    expansion->filter = *filter;
    expansion->sink = sink;
    expansion->to = to;
    expansion->contexts = contexts_new(&expansion->source);
    expansion->tasks = ARENA_ARRAY(nursery->arena, const TaskTrait *, nursery->protocol_count);
    expansion->trials = trials_of(nursery);
    expansion->timelines = timelines_new(&expansion->source, filter->today, exhausted);
    return expansion;
}

void expansion_free(Expansion *expansion)
{
    timelines_free(expansion->timelines);
    arena_free(expansion->source.passing);
}

/* ------------------------------------------------------------------ what a context shares */

/* Ids are built from the oldest name of a stage or task: what hangs on them outlives a rename. */
static const char *oldest_name(const Block *block)
{
    const char *oldest = block->name ? block->name->text : block->type->spelling;
    for (const Clause *clause = block->clauses; clause; clause = clause->next)
        if (clause->field == FIELD_ROW(WAS) && clause->reading && clause->reading->word_count)
            oldest = clause->reading->words[clause->reading->word_count - 1].name->text;
    return oldest;
}

static const Block *block_of_stage(const Protocol *protocol, int stage)
{
    static const struct {
        int section;
        BlockKind kind;
    } sections[] = {{SECTION_TAKE, BLOCK_TAKE},     {SECTION_HOLD, BLOCK_HOLD},
                    {SECTION_TREAT, BLOCK_TREAT},   {SECTION_STICK, BLOCK_STICK},
                    {SECTION_FINISH, BLOCK_FINISH}, {SECTION_CLIMATE, BLOCK_CLIMATE}};
    if (stage >= 0) return protocol->stages[stage];
    for (size_t i = 0; i < sizeof sections / sizeof *sections; i++)
        if (sections[i].section == stage) return protocol_section(protocol, sections[i].kind);
    return NULL;
}

static const Reading *said(const Block *block, const Field *field)
{
    const Clause *clause = block_clause(block, field);
    return clause ? clause->reading : NULL;
}

static void find_time(TaskTrait *trait, const Reading *takes)
{
    if (!takes || !takes->numbers.count) return;
    Interval each = intervals_hull(takes->numbers);
    if (each.low.unbounded || each.high.unbounded) return;
    trait->time_per = takes->per ? per_amount(name_slice(takes->per)) : PER_ONCE;
    trait->time_low = each.low.at;
    trait->time_high = each.high.at;
}

/* Settings are not asked: they come once, and what hurts may come on any day. */
static bool has_tasks(const Block *stage, const TaskTrait *tasks, const Protocol *protocol)
{
    for (size_t i = 0; i < protocol->task_count; i++)
        if (tasks[i].stage == stage) return true;
    return false;
}

static void add_around(ContextTraits *traits, const Block *block)
{
    if (block && block_clause(block, FIELD_ROW(CAUTION))) traits->around[traits->around_count++] = block;
}

static void find_around(Arena *arena, const Context *context, ContextTraits *traits)
{
    static const BlockKind sections[] = {BLOCK_TAKE,  BLOCK_HOLD,   BLOCK_TREAT,
                                         BLOCK_STICK, BLOCK_FINISH, BLOCK_CLIMATE};
    enum { SECTIONS = sizeof sections / sizeof *sections };
    const Protocol *protocol = context->protocol;
    traits->around =
        ARENA_ARRAY(arena, const Block *, SECTIONS + protocol->stage_count + CONTEXT_SPECIES + 2);
    add_around(traits, protocol->effective);
    for (size_t i = 0; i < SECTIONS; i++) {
        const Block *section = protocol_section(protocol, sections[i]);
        if (!has_tasks(section, traits->tasks, protocol)) add_around(traits, section);
    }
    for (size_t i = 0; i < protocol->stage_count; i++)
        if (!has_tasks(protocol->stages[i], traits->tasks, protocol)) add_around(traits, protocol->stages[i]);
    add_around(traits, context->variety);
    for (size_t i = 0; i < CONTEXT_SPECIES && context->species[i]; i++)
        add_around(traits, context->species[i]);
}

static TaskTrait task_trait(Arena *arena, const Protocol *protocol, size_t index)
{
    const Block *task = protocol->tasks[index];
    TaskTrait trait = {.stage = block_of_stage(protocol, protocol->schedule->tasks[index].stage)};
    trait.path = arena_print(arena, "/%s/%s", oldest_name(trait.stage), oldest_name(task));
    find_time(&trait, said(task, FIELD_ROW(TAKES)));
    return trait;
}

static void add_setting(Arena *arena, const Protocol *protocol, const TaskTrait *tasks, TaskTrait *trait,
                        const Clause *setting)
{
    trait->setting = setting;
    trait->path = arena_print(arena, "%s/%d", trait->path, (int)setting->reading->row->first);
    trait->stage_is_around = !has_tasks(trait->stage, tasks, protocol);
}

static const TaskTrait *make_tasks(Arena *arena, const Protocol *protocol)
{
    size_t count = protocol->schedule->task_count, settings = protocol->task_count;
    TaskTrait *traits = ARENA_ARRAY(arena, TaskTrait, count);
    for (size_t i = 0; i < count; i++) traits[i] = task_trait(arena, protocol, i);
    for (size_t i = settings; i < count; i++)
        add_setting(arena, protocol, traits, &traits[i], protocol->settings[i - settings]);
    return traits;
}

static const TaskTrait *tasks_of(Expansion *expansion, const Protocol *protocol)
{
    const TaskTrait **tasks = &expansion->tasks[protocol - expansion->nursery->protocols];
    if (!*tasks) *tasks = make_tasks(expansion->nursery->arena, protocol);
    return *tasks;
}

static ContextTraits *traits_of(Expansion *expansion, Context *context, const Reading *plant)
{
    if (context->attached) return context->attached;
    ContextTraits *traits = ARENA_NEW(expansion->nursery->arena, ContextTraits);
    traits->tasks = tasks_of(expansion, context->protocol);
    find_around(expansion->nursery->arena, context, traits);
    traits->plant = context_plant(expansion->nursery->arena, context, plant);
    context->attached = traits;
    return traits;
}

/* ------------------------------------------------------------------ where it stands */

static bool changes_place(const Subject *batch)
{
    const Reading *said = plan_cell(batch->plan, batch->row, FIELD_ROW(STANDS_OF_BATCH));
    return batch->record || batch->timeline->move_count > 0 || (said && said->standing_count > 1);
}

/* ------------------------------------------------------------------ how much */

static void take_amounts(const Subject *batch, WorkTask *task)
{
    BatchSize size = batch_size(batch);
    task->has_count = size.has_count;
    task->count = size.count;
    task->has_trays = size.has_trays;
    task->trays = size.trays;
}

/* What the record knows of a batch; NULL: it has none. */
static const Ledger *known_of(Expansion *expansion, const Subject *batch)
{
    if (!batch->record) return NULL;
    if (!expansion->ledgers) expansion->ledgers = ledgers_new(expansion->nursery->arena, expansion->nursery);
    Ledger *ledger = ARENA_NEW(expansion->source.passing, Ledger);
    *ledger = ledger_of(expansion->ledgers, expansion->source.passing, batch->record->name, batch->record,
                        DAY_NONE);
    return ledger;
}

/* Those alive on a day by the record; else what is planned stays. A line of the day itself does not count:
 * the task comes first. */
static void take_known(const Ledger *ledger, Day day, int64_t planned, WorkTask *task)
{
    task->count = planned;
    for (size_t i = 0; i < ledger->step_count && ledger->steps[i].line->day < day; i++)
        if (ledger->steps[i].basis != LEDGER_UNKNOWN) task->count = ledger->steps[i].alive;
}

/* `2 min per tray` times the trays; a bare `15 min` is for the whole. */
static bool take_time(const TaskTrait *trait, WorkTask *task)
{
    int64_t times = 1;
    switch (trait->time_per) {
    case PER_UNKNOWN: return false;
    case PER_ONCE: break;
    case PER_COUNT:
        if (!task->has_count) return false;
        times = task->count;
        break;
    case PER_TRAYS:
        if (!task->has_trays) return false;
        times = task->trays;
        break;
    }
    if (!number_multiply(trait->time_low, NUMBER(times), &task->time_low)) return false;
    task->time_high = task->time_low;
    return number_equal(trait->time_low, trait->time_high) ||
           number_multiply(trait->time_high, NUMBER(times), &task->time_high);
}

/* ------------------------------------------------------------------ which tasks */

static bool in_span(const WorkFilter *filter, const TaskDate *date)
{
    Day first = date->watch ? date->date.on[RUN_EARLY] : date->date.on[RUN_PLANNED];
    Day last = date->watch ? date->date.on[RUN_LATE] : date->date.on[RUN_PLANNED];
    if (filter->from != DAY_NONE && last < filter->from) return false;
    return filter->to == DAY_NONE || first <= filter->to;
}

/* Work of one batch on its way to the sink. */
typedef struct Giving {
    Expansion *expansion;
    const Subject *batch;
    bool changes;      /* it stands here and there … */
    Whereabouts there; /* … and on the day of the last task there */
    const Ledger *known;
    int64_t planned; /* as many as the plan says */
    WorkTask task;
} Giving;

/* False: it is done in a place that is not asked for. */
static bool take_place(Giving *giving, Day day)
{
    Slice asked = giving->expansion->filter.place;
    WorkTask *task = &giving->task;
    if (giving->changes) {
        if (day < giving->there.first || day >= giving->there.leave)
            giving->there = stay_on(giving->batch, day);
        Name place = giving->there.place;
        if (!task->place || task->place->name != place) /* mostly it stands where it stood */
            task->place = place ? nursery_find(giving->expansion->nursery, BLOCK_PLACE, place) : NULL;
    }
    return !asked.length || (task->place && slice_equal(name_slice(task->place->name), asked));
}

/* What hangs on the day alone; then whether it is asked for. */
static bool take_day(Giving *giving, const TaskDate *date)
{
    Day day = date->watch ? date->date.on[RUN_EARLY] : date->date.on[RUN_PLANNED];
    if (!in_span(&giving->expansion->filter, date)) return false;
    giving->task.date = date;
    if (giving->known && giving->task.has_count)
        take_known(giving->known, day, giving->planned, &giving->task);
    return take_place(giving, day);
}

static bool give(Giving *giving)
{
    giving->expansion->result.tasks++;
    return giving->expansion->sink(giving->expansion->to, &giving->task);
}

static bool give_task(Giving *giving, const ContextTraits *traits, const TaskDate *date)
{
    if (!take_day(giving, date)) return true;
    const TaskTrait *trait = &traits->tasks[date->task];
    WorkTask *task = &giving->task;
    task->stage = trait->stage;
    task->stage_is_around = trait->stage_is_around;
    task->task = task->protocol->tasks[date->task];
    task->setting = trait->setting;
    task->has_time = take_time(trait, task);
    task->path = trait->path;
    return give(giving);
}

static bool give_trial(Giving *giving, const TrialTask *trial)
{
    if (!take_day(giving, &trial->date)) return true;
    WorkTask *task = &giving->task;
    task->stage = &trial_section;
    task->stage_is_around = false;
    task->task = trial->task;
    task->setting = NULL;
    task->has_time = false;
    task->path = trial->path;
    return give(giving);
}

/* By planned day; a trial is read behind the other work of its day. */
static bool give_tasks(Giving *giving, const ContextTraits *traits)
{
    const Timeline *timeline = giving->batch->timeline;
    Expansion *expansion = giving->expansion;
    TrialTasks trials = trial_tasks_of(expansion->nursery, &expansion->trials, giving->task.batch,
                                       giving->batch, expansion->filter.today);
    size_t next = 0;
    for (size_t i = 0; i < timeline->task_count; i++) {
        Day day = timeline->tasks[i].date.on[RUN_PLANNED];
        for (; next < trials.count && trials.at[next].date.date.on[RUN_PLANNED] < day; next++)
            if (!give_trial(giving, &trials.at[next])) return false;
        if (!give_task(giving, traits, &timeline->tasks[i])) return false;
    }
    for (; next < trials.count; next++)
        if (!give_trial(giving, &trials.at[next])) return false;
    return true;
}

static void tell_undated(Expansion *expansion, const Plan *plan, size_t row, const Protocol *protocol)
{
    expansion->result.undated++;
    for (size_t i = 0; i < expansion->undated_told.count; i++)
        if (expansion->undated_told.at[i] == protocol) return;
    VEC_PUSH(expansion->nursery->arena, &expansion->undated_told, protocol);
    Note *note = notes_add(expansion->nursery->notes, SEVERITY_NOTE, "undated", plan_place(plan, row, NULL),
                           "%.*s has no day to begin with: it is left out, as are others of %s like it",
                           SLICE_ARG(plan->ids[row]), protocol->name->text);
    note->instead = "say stick 18 Jun 2027, or want 200 by 1 Apr 2028";
}

/* ------------------------------------------------------------------ what is to be known */

/* A batch is failing until a stage's sign is seen or it has ended. */
static Day failing_until(const RecordLine *line)
{
    for (const RecordLine *later = line->next; later; later = later->next)
        if (later->verb == VERB_READY || later->verb == VERB_ENDED || later->verb == VERB_ABANDONED ||
            later->verb == VERB_FAILING)
            return later->day - 1;
    return INT32_MAX;
}

static bool is_noticed(const RecordLine *line)
{
    return record_says(line, PIECE_SHUT) || line->verb == VERB_FAILING;
}

static bool has_notices(const Block *record)
{
    for (const RecordLine *line = record ? record->lines : NULL; line; line = line->next)
        if (is_noticed(line)) return true;
    return false;
}

static void take_notices(Expansion *expansion, const Subject *batch, Slice id)
{
    Arena *arena = expansion->nursery->arena;
    for (const RecordLine *line = batch->record->lines; line; line = line->next) {
        if (!is_noticed(line)) continue;
        Name place = batch->timeline && batch->timeline->dated ? stay_on(batch, line->day).place : NULL;
        WorkNotice notice = {.place = place ? nursery_find(expansion->nursery, BLOCK_PLACE, place)
                                            : batch->context->place,
                             .batch = arena_copy(arena, id.at, id.length),
                             .line = line,
                             .first = line->day,
                             .last = record_says(line, PIECE_SHUT) ? line->day_open : failing_until(line)};
        if (notice.last >= notice.first) VEC_PUSH(arena, &expansion->notices, notice);
    }
}

static int by_first_day(const void *a, const void *b)
{
    const WorkNotice *x = a, *y = b;
    if (x->first != y->first) return x->first < y->first ? -1 : 1;
    return slice_compare(slice_of(x->batch), slice_of(y->batch));
}

/* ------------------------------------------------------------------ one batch */

static bool one_batch(Expansion *expansion, const Plan *plan, size_t row)
{
    WorkTask task = {.batch = plan->ids[row], .row = expansion->row++};
    const Block *record = plan->records ? plan->records[row] : NULL;
    if (expansion->records) record_check_seen(expansion->records, task.batch, record);
    bool asked = !expansion->filter.batch.length || slice_equal(task.batch, expansion->filter.batch);
    bool noticed = has_notices(record);
    if (!asked && !noticed) return true;
    Context *context = contexts_of_row(expansion->contexts, plan, row);
    if (!context) return true; /* what it follows is not known, and that was reported */
    Subject batch = subject_of_batch(context, plan, row);
    if (expansion->records && asked) record_check_batch(expansion->records, &batch);
    batch.timeline = timelines_of(expansion->timelines, &batch);
    if (noticed) take_notices(expansion, &batch, task.batch);
    if (!asked) return true;
    if (!batch.timeline || !batch.timeline->dated) {
        tell_undated(expansion, plan, row, context->protocol);
        return true;
    }
    expansion->result.batches++;
    const ContextTraits *traits =
        traits_of(expansion, context, plan_cell(plan, row, FIELD_ROW(PLANT_OF_BATCH)));
    task.plant = traits->plant;
    task.around = traits->around;
    task.around_count = traits->around_count;
    task.protocol = context->protocol;
    task.timeline = batch.timeline;
    task.place = context->place;
    take_amounts(&batch, &task);
    Giving giving = {.expansion = expansion,
                     .batch = &batch,
                     .changes = changes_place(&batch),
                     .there = {.leave = INT32_MIN}, /* nothing is known of any day yet */
                     .known = known_of(expansion, &batch),
                     .planned = task.count,
                     .task = task};
    return give_tasks(&giving, traits);
}

bool expansion_plan(Expansion *expansion, const Plan *plan)
{
    bool more = true;
    for (size_t row = 0; row < plan->rows && more; row++) {
        more = one_batch(expansion, plan, row);
        arena_release(expansion->source.passing, expansion->passing);
    }
    if (!more) expansion->stopped = true;
    return more;
}

void expansion_check_records(Expansion *expansion)
{
    expansion->records = record_check_new(expansion->nursery, DAY_NONE, NULL);
}

WorkResult expansion_finish(Expansion *expansion)
{
    if (expansion->records && !expansion->stopped) record_check_finish(expansion->records);
    if (expansion->notices.count)
        qsort(expansion->notices.at, expansion->notices.count, sizeof *expansion->notices.at, by_first_day);
    expansion->result.notices = expansion->notices.at;
    expansion->result.notice_count = expansion->notices.count;
    return expansion->result;
}
