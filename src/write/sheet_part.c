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

bool is_own_language(const Nursery *nursery, Slice language)
{
    const Clause *sheets = nursery->self ? block_clause(nursery->self, FIELD_ROW(SHEETS)) : NULL;
    return sheets && sheets->reading && sheets->reading->word_count &&
           slice_equal(name_slice(sheets->reading->words[0].name), language);
}

const Clause *task_say_clause(const Block *task, Slice language)
{
    for (const Clause *clause = task->clauses; clause; clause = clause->next)
        if (clause->field == FIELD_ROW(SAY) && clause->reading && in_language(clause, language))
            return clause;
    return NULL;
}

static void write_block_say(Buffer *out, const Block *block, Slice language)
{
    bool first = true;
    for (const Clause *clause = block->clauses; clause; clause = clause->next) {
        if (clause->field != FIELD_ROW(SAY) || !clause->reading || !in_language(clause, language)) continue;
        if (!first) buffer_char(out, '\n');
        buffer_slice(out, clause->reading->text);
        first = false;
    }
}

Slice block_say(Arena *arena, const Block *block, Slice language)
{
    Buffer *text = buffer_in_memory(arena);
    write_block_say(text, block, language);
    return buffer_slice_of(text);
}

Slice task_setting(const WorkTask *task)
{
    return task->setting ? task->setting->reading->row->setting : (Slice){0};
}

void write_task_say(Buffer *out, const WorkTask *task, Slice language)
{
    if (task->setting)
        buffer_slice(out, task_setting(task));
    else
        write_block_say(out, task->task, language);
}

Slice task_because(const WorkTask *task)
{
    const Clause *says = task->setting ? task->setting : task_say_clause(task->task, (Slice){0});
    return says ? says->item->because : (Slice){0};
}

bool task_is_duty(const WorkTask *task)
{
    return task->protocol->schedule->tasks[task->date->task].duty;
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

size_t task_block_count(const WorkTask *task)
{
    return task->around_count + 2 + (task->place != NULL);
}

const Block *task_block(const WorkTask *task, size_t n)
{
    if (n == 0) return task->task;
    if (n == 1) return task->stage_is_around ? NULL : task->stage;
    return n - 2 < task->around_count ? task->around[n - 2] : task->place;
}

const Clause *task_caution(const WorkTask *task, Slice language, size_t n)
{
    for (size_t i = 0; i < task_block_count(task); i++) {
        const Clause *caution = block_caution(task_block(task, i), language, n);
        if (caution) return caution;
        n -= block_cautions(task_block(task, i), language);
    }
    return NULL;
}

int64_t minutes_of(Number seconds)
{
    Number minutes;
    if (seconds.den == 1 && seconds.num >= 0) return seconds.num / 60 + (seconds.num % 60 > 0); /* mostly */
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
