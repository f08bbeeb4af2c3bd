/* Trials as work: see trial_task.h. */
#include "analysis/trial_task.h"

#include "base/vec.h"

const Block trial_section = {.type = &block_types[BLOCK_TRIAL]};

/* ------------------------------------------------------------------ what it says */

static Slice asks_of(const Trial *trial)
{
    const Clause *asks = block_clause(trial->block, FIELD_ROW(ASKS));
    return asks && asks->reading ? asks->reading->text : (Slice){0};
}

/* "Do longer tips root as well? Count rooted of each way, and record: trial longer-tips: usual ____ of ____,
 * long ____ of ____". */
static const char *say_of(Arena *arena, const Trial *trial)
{
    Slice asks = asks_of(trial);
    const char *text = arena_print(
        arena, "%.*s%sCount %s of each way, and record: trial %s:", SLICE_ARG(asks), asks.length ? " " : "",
        trial->measure ? trial->measure->text : "what is asked", trial->block->name->text);
    for (size_t i = 0; i < trial->way_count; i++)
        text = arena_print(arena, "%s%s %s ____ of ____", text, i ? "," : "", trial->ways[i]->name->text);
    return text;
}

/* The trial's block with a text of its own before its cautions. */
static const Block *block_of(Nursery *nursery, const Trial *trial)
{
    Arena *arena = nursery->arena;
    Reading *reading = ARENA_NEW(arena, Reading);
    reading->text = slice_of(say_of(arena, trial));
    Clause *say = ARENA_NEW(arena, Clause);
    *say = (Clause){.field = FIELD_ROW(SAY),
                    .reading = reading,
                    .item = ARENA_NEW(arena, Item),
                    .home = trial->block,
                    .next = trial->block->clauses};
    Block *block = ARENA_NEW(arena, Block);
    *block = *trial->block;
    block->clauses = say;
    block->name =
        names_intern(nursery->names, slice_of(arena_print(arena, "trial %s", trial->block->name->text)));
    return block;
}

/* ------------------------------------------------------------------ when */

static bool has_ended(const Block *record)
{
    for (const RecordLine *line = record ? record->lines : NULL; line; line = line->next)
        if (line->verb == VERB_ENDED || line->verb == VERB_ABANDONED) return true;
    return false;
}

static TaskState state_on(Day today, const Dates *dates)
{
    if (today == DAY_NONE || dates->on[RUN_EARLY] > today) return STATE_COMING;
    return dates->on[RUN_LATE] >= today ? STATE_DUE : STATE_OVERDUE;
}

/* False: it does not come, or was not counted when the batch ended. */
static bool date_of(const Trial *trial, const Subject *batch, Day today, TaskDate *date)
{
    Dates reading = trial_reading(trial, batch);
    if (reading.on[RUN_PLANNED] == DAY_NONE) return false;
    *date = (TaskDate){.due = trial_due(trial, batch), .date = reading, .sure = true, .recorded = DAY_NONE};
    TrialCount count = trial_count(trial, batch->record, reading);
    if (count.line && !count.early) {
        date->recorded = count.line->day;
        date->date = dates_all(count.line->day);
        date->state = STATE_DONE;
        return true;
    }
    date->state = state_on(today, &reading);
    return !has_ended(batch->record);
}

/* ------------------------------------------------------------------ all of a batch */

static TrialTask task_of(Nursery *nursery, const Trial *trial, TaskDate date)
{
    return (TrialTask){
        .task = block_of(nursery, trial),
        .path = arena_print(nursery->arena, "/%s/%s", trial_section.type->spelling, trial->block->name->text),
        .date = date};
}

TrialTasks trial_tasks_of(Nursery *nursery, const Trials *trials, Slice id, const Subject *batch, Day today)
{
    VEC(TrialTask) tasks = {0};
    for (size_t i = 0; i < trials->count; i++) {
        const Trial *trial = &trials->at[i];
        TaskDate date;
        if (!trial->batch || !slice_equal(name_slice(trial->batch), id)) continue;
        if (!date_of(trial, batch, today, &date)) continue;
        date.task = -1 - (int)i;
        TrialTask task = task_of(nursery, trial, date);
        size_t at = tasks.count;
        VEC_PUSH(nursery->arena, &tasks, task);
        for (; at > 0 && tasks.at[at - 1].date.date.on[RUN_PLANNED] > date.date.on[RUN_PLANNED]; at--)
            tasks.at[at] = tasks.at[at - 1];
        tasks.at[at] = task;
    }
    return (TrialTasks){tasks.at, tasks.count};
}
