/* Looking into a task's block for what is to be told of it. */
#include "write/sheet_part.h"

const char *const state_name[] = {
    [STATE_COMING] = "coming", [STATE_DUE] = "due",         [STATE_OVERDUE] = "overdue",
    [STATE_DONE] = "done",     [STATE_SKIPPED] = "skipped", [STATE_MISSED] = "missed"};

static bool in_language(const Clause *clause, Slice language)
{
    Name own = clause->reading ? clause->reading->language : NULL;
    return language.length ? own && slice_equal(name_slice(own), language) : !own;
}

const Clause *task_say_clause(const Block *task, Slice language)
{
    for (const Clause *clause = task->clauses; clause; clause = clause->next)
        if (clause->field == FIELD_ROW(SAY) && clause->reading && in_language(clause, language))
            return clause;
    return NULL;
}

Slice task_say(const Block *task, Slice language)
{
    const Clause *clause = task_say_clause(task, language);
    return clause ? clause->reading->text : (Slice){"", 0};
}

const Clause *block_caution(const Block *block, Slice language, size_t n)
{
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next)
        if (clause->field == FIELD_ROW(CAUTION) && clause->reading && in_language(clause, language) &&
            n-- == 0)
            return clause;
    return NULL;
}

static size_t block_cautions(const Block *block, Slice language)
{
    size_t count = 0;
    while (block_caution(block, language, count)) count++;
    return count;
}

const Clause *task_caution(const WorkTask *task, Slice language, size_t n)
{
    const Block *before[] = {task->task, task->stage};
    for (size_t i = 0; i < 2 + task->around_count; i++) {
        const Block *block = i < 2 ? before[i] : task->around[i - 2];
        const Clause *caution = block_caution(block, language, n);
        if (caution) return caution;
        n -= block_cautions(block, language);
    }
    return block_caution(task->place, language, n);
}

int64_t minutes_of(Number seconds)
{
    Number minutes;
    return number_divide(seconds, NUMBER(60), &minutes) ? number_ceil(minutes) : 0;
}

bool task_repeats(const WorkTask *task)
{
    const Schedule *schedule = task->protocol->schedule;
    const TaskPlan *plan = &schedule->tasks[task->date->task];
    while (plan->timing == TIMING_EACH)
        plan = &schedule->tasks[plan->each]; /* rings were cut when the schedule was made */
    return plan->timing == TIMING_EVERY || plan->timing == TIMING_DAILY;
}

void write_task_id(Buffer *out, const WorkTask *task)
{
    buffer_slice(out, task->batch);
    buffer_text(out, task->path);
    if (!task_repeats(task)) return;
    buffer_char(out, '#');
    buffer_integer(out, task->date->number);
}

const char *place_name(const WorkTask *task)
{
    return task->place ? task->place->name->text : "";
}

const char *move_name(const WorkTask *task)
{
    const Clause *move = block_clause(task->task, FIELD_ROW(MOVE_OF_TASK));
    return move && move->reading && move->reading->word_count ? move->reading->words[0].name->text : "";
}

const char *task_words(Arena *arena, const Block *task, const Field *field)
{
    const Clause *clause = block_clause(task, field);
    if (!clause || !clause->reading) return NULL;
    const char *text = "";
    for (size_t i = 0; i < clause->reading->word_count; i++)
        text = arena_print(arena, "%s%s%s", text, i ? ", " : "", clause->reading->words[i].name->text);
    return clause->reading->of_a_sample ? arena_print(arena, "%s of a sample", text) : text;
}
