/* Looking into a task's block for what is to be told of it. */
#include "write/sheet_part.h"

const char *const state_name[] = {[STATE_COMING] = "coming",           [STATE_DUE] = "due",
                                  [STATE_OVERDUE] = "overdue",         [STATE_DONE] = WORDED("done"),
                                  [STATE_SKIPPED] = WORDED("skipped"), [STATE_MISSED] = "missed"};

const Clause *task_say_clause(const Block *task, Slice language)
{
    return block_spoken(task, FIELD_ROW(SAY), language, 0);
}

static void write_block_say(Buffer *out, const Block *block, Slice language)
{
    const Clause *clause;
    for (size_t n = 0; (clause = block_spoken(block, FIELD_ROW(SAY), language, n)); n++) {
        if (n) buffer_char(out, '\n');
        buffer_slice(out, clause->reading->text);
    }
}

/* The glossaries' translation of each of its texts; false, and nothing said, where they lack one. */
static bool write_glossary_say(Buffer *out, const Block *block, const Tongue *tongue)
{
    const Clause *own;
    for (size_t n = 0; (own = block_spoken(block, FIELD_ROW(SAY), (Slice){0}, n)); n++)
        if (!tongue_text(tongue, own->reading->text).length) return false;
    for (size_t n = 0; (own = block_spoken(block, FIELD_ROW(SAY), (Slice){0}, n)); n++) {
        if (n) buffer_char(out, '\n');
        buffer_slice(out, tongue_text(tongue, own->reading->text));
    }
    return true;
}

void write_say_in(Buffer *out, const Block *block, const Tongue *tongue)
{
    if (!tongue->language.length || task_say_clause(block, tongue->language))
        write_block_say(out, block, tongue->language);
    else
        write_glossary_say(out, block, tongue);
}

Slice say_in(Arena *arena, const Block *block, const Tongue *tongue)
{
    if (!tongue->language.length) return (Slice){0};
    Buffer *text = buffer_in_memory(arena);
    write_say_in(text, block, tongue);
    return buffer_slice_of(text);
}

bool say_in_is_whole(const Block *block, const Tongue *tongue)
{
    size_t own = 0, other = 0;
    while (block_spoken(block, FIELD_ROW(SAY), (Slice){0}, own)) own++;
    while (block_spoken(block, FIELD_ROW(SAY), tongue->language, other)) other++;
    return !other || other >= own;
}

bool caution_pair(const Block *block, const Tongue *tongue, size_t n, Slice *own, Slice *other)
{
    bool two = tongue->language.length > 0;
    const Clause *here = block_spoken(block, FIELD_ROW(CAUTION), (Slice){0}, n);
    const Clause *there = two ? block_spoken(block, FIELD_ROW(CAUTION), tongue->language, n) : NULL;
    *own = here ? here->reading->text : (Slice){0};
    *other = there ? there->reading->text : two && here ? tongue_text(tongue, *own) : (Slice){0};
    return here || there;
}

void write_missing(Buffer *out, const Tongue *tongue)
{
    buffer_char(out, '[');
    buffer_escaped(out, tongue->language);
    buffer_text(out, worded(tongue->catalogue, ": no translation]"));
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

void write_task_say(Buffer *out, const WorkTask *task, const Tongue *tongue)
{
    if (task->setting)
        buffer_slice(out, task_setting(task));
    else
        write_say_in(out, task->task, tongue);
}

Slice task_because(const WorkTask *task)
{
    const Clause *says = task->setting ? task->setting : task_say_clause(task->task, (Slice){0});
    return says ? says->item->because : (Slice){0};
}

/* How it is timed; a trial is read once. */
static const TaskPlan *task_plan(const WorkTask *task)
{
    static const TaskPlan reading = {.timing = TIMING_DAYS};
    return task->date->task < 0 ? &reading : &task->protocol->schedule->tasks[task->date->task];
}

bool task_is_duty(const WorkTask *task)
{
    return task_plan(task)->duty;
}

static size_t block_cautions(const Block *block, Slice language)
{
    size_t count = 0;
    while (block_spoken(block, FIELD_ROW(CAUTION), language, count)) count++;
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
        const Clause *caution = block_spoken(task_block(task, i), FIELD_ROW(CAUTION), language, n);
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
    const TaskPlan *plan = task_plan(task);
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

const char *task_words(Arena *arena, const Block *task, const Field *field, const Tongue *tongue)
{
    const Clause *clause = block_clause(task, field);
    if (!clause || !clause->reading) return NULL;
    Buffer *text = buffer_in_memory(arena);
    for (size_t i = 0; i < clause->reading->word_count; i++) {
        buffer_text(text, i ? ", " : "");
        write_named(text, tongue, clause->reading->words[i].name->text, FORM_WORD);
    }
    if (clause->reading->of_a_sample) buffer_text(text, worded(tongue->catalogue, " of a sample"));
    buffer_char(text, '\0');
    return buffer_slice_of(text).at;
}
