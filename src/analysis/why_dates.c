/* What a date follows from: the day of sticking, the stages one after the other, the timing of a task, closed
 * days. */
#include "analysis/why_work.h"

#include "analysis/context.h"
#include "analysis/timelines.h"

#include <string.h>

typedef struct DateWhy {
    WhyMaking *making;
    const Protocol *protocol;
    const Calendar *calendar;
    const Timeline *timeline; /* NULL: of a protocol, which has no days */
} DateWhy;

/* ------------------------------------------------------------------ days in words */

static const char *day_text(Arena *arena, Day day)
{
    char text[DAY_TEXT];
    if (day == DAY_NONE) return "never";
    return arena_copy(arena, text, day_write_long(text, day));
}

static const char *dates_text(Arena *arena, Dates dates)
{
    const char *planned = day_text(arena, dates.on[RUN_PLANNED]);
    if (dates.on[RUN_EARLY] == dates.on[RUN_LATE]) return planned;
    return arena_print(arena, "%s (%s .. %s)", planned, day_text(arena, dates.on[RUN_EARLY]),
                       day_text(arena, dates.on[RUN_LATE]));
}

/* ------------------------------------------------------------------ steps */

static void clauses_of(DateWhy *why, unsigned depth, const Block *block, const FieldNumber *fields,
                       size_t count)
{
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next)
        for (size_t i = 0; i < count; i++)
            if (clause->field->number == fields[i]) why_clause(why->making, depth, clause);
}

static void record_lines(DateWhy *why, Verb verb, Name thing)
{
    const WhySubject *subject = why->making->subject;
    const Block *record =
        subject->plan && subject->plan->records ? subject->plan->records[subject->row] : NULL;
    for (const RecordLine *line = record ? record->lines : NULL; line; line = line->next) {
        if (line->verb != verb || (thing && line->thing != thing)) continue;
        WhyStep *step = why_step(
            why->making, 1,
            arena_print(why->making->arena, "recorded: %s %s%s%s", day_text(why->making->arena, line->day),
                        verb_table[verb].spelling, thing ? " " : "", thing ? thing->text : ""));
        step->place = line->item->span;
    }
}

static void step_of_stick(DateWhy *why)
{
    const WhySubject *subject = why->making->subject;
    if (!why->timeline) return;
    static const FieldNumber said[] = {FIELD_NUMBER_TAKE, FIELD_NUMBER_ARRIVE, FIELD_NUMBER_STICK,
                                       FIELD_NUMBER_WANT};
    why_step(
        why->making, 0,
        arena_print(why->making->arena, "stuck %s", dates_text(why->making->arena, why->timeline->stick)));
    for (size_t i = 0; i < sizeof said / sizeof *said; i++) {
        const Field *field = &field_table[said[i]];
        const Reading *cell = plan_cell(subject->plan, subject->row, field);
        if (!cell || cell == &reading_spoiled) continue;
        WhyStep *step =
            why_step(why->making, 1,
                     arena_print(why->making->arena, "%s states %s %s", why->making->id, field->spelling,
                                 reading_print(why->making->arena, field, cell, NULL)));
        step->place = plan_place(subject->plan, subject->row, field);
    }
    record_lines(why, VERB_STUCK, NULL);
}

static void step_of_stage(DateWhy *why, size_t index)
{
    static const FieldNumber timing[] = {FIELD_NUMBER_LASTS_OF_STAGE, FIELD_NUMBER_BEGINS,
                                         FIELD_NUMBER_WAITS_FOR, FIELD_NUMBER_READY};
    Arena *arena = why->making->arena;
    const Block *stage = why->protocol->stages[index];
    if (why->timeline)
        why_step(why->making, 0,
                 arena_print(arena, "%s begins %s, ends %s", stage->name->text,
                             dates_text(arena, why->timeline->stages[index].begin),
                             dates_text(arena, why->timeline->stages[index].end)));
    else
        why_step(why->making, 0, stage->name->text);
    clauses_of(why, 1, stage, timing, sizeof timing / sizeof *timing);
    record_lines(why, VERB_READY, stage->name);
}

/* A stage hangs on all that come before it. */
static void steps_up_to(DateWhy *why, size_t stages)
{
    step_of_stick(why);
    for (size_t i = 0; i < stages; i++) step_of_stage(why, i);
}

/* ------------------------------------------------------------------ tasks */

static const char *shift_text(DateWhy *why, const TaskPlan *plan, const TaskDate *date)
{
    Arena *arena = why->making->arena;
    Day due = date->due.on[RUN_PLANNED], day = date->date.on[RUN_PLANNED];
    if (due == DAY_NONE || due == day) return date->cut ? ", cut to its latest day" : "";
    const char *site = why->calendar && why->calendar->site ? why->calendar->site->text : "the site";
    if (date->cut) return arena_print(arena, ", cut to its latest day from %s", day_text(arena, due));
    return arena_print(arena, ", moved from %s, a closed day at %s (slack %d days%s)", day_text(arena, due),
                       site, plan->slack,
                       plan->side == SLACK_BEFORE  ? " before"
                       : plan->side == SLACK_AFTER ? " after"
                                                   : "");
}

static void steps_of_dates(DateWhy *why, size_t index)
{
    Arena *arena = why->making->arena;
    const TaskPlan *plan = &why->protocol->schedule->tasks[index];
    for (size_t i = 0; why->timeline && i < why->timeline->task_count; i++) {
        const TaskDate *date = &why->timeline->tasks[i];
        if (date->task != (int)index) continue;
        const char *number = date->number && !plan->setting ? arena_print(arena, "#%d ", date->number) : "";
        why_step(why->making, 1,
                 date->watch
                     ? arena_print(arena, "watched from %s to %s", day_text(arena, date->date.on[RUN_EARLY]),
                                   day_text(arena, date->date.on[RUN_LATE]))
                     : arena_print(arena, "%s%s%s%s", number, dates_text(arena, date->date),
                                   shift_text(why, plan, date),
                                   date->sure ? "" : ", if it still stands there"));
    }
}

static void step_of_task(DateWhy *why, size_t index)
{
    static const FieldNumber timing[] = {FIELD_NUMBER_AT,       FIELD_NUMBER_EVERY, FIELD_NUMBER_FIRST,
                                         FIELD_NUMBER_DAILY,    FIELD_NUMBER_UNTIL, FIELD_NUMBER_WHEN_OF_TASK,
                                         FIELD_NUMBER_LATEST,   FIELD_NUMBER_SLACK, FIELD_NUMBER_DUTY_OF_TASK,
                                         FIELD_NUMBER_WAITS_FOR};
    const Protocol *protocol = why->protocol;
    const Block *task = protocol->tasks[index];
    bool is_task = index < protocol->task_count;
    if (is_task)
        clauses_of(why, 1, task, timing, sizeof timing / sizeof *timing);
    else
        why_clause(why->making, 1, protocol->settings[index - protocol->task_count]);
    steps_of_dates(why, index);
}

static bool is_called(const Block *block, Slice name)
{
    return slice_equal(name_slice(block->name), name) || block_has_been(block, name);
}

static bool is_in(const Block *task, Slice path)
{
    if (!path.length) return true;
    const char *first = strchr(task->id, '/'), *last = strrchr(task->id, '/');
    return first && last > first && slice_equal((Slice){first + 1, (size_t)(last - first - 1)}, path);
}

/* All settings of one schedule are one answer. */
static bool about_tasks(DateWhy *why, Slice path, Slice name)
{
    bool any = false;
    const Protocol *protocol = why->protocol;
    const Schedule *schedule = protocol->schedule;
    for (size_t i = 0, end; i < schedule->task_count; i = end) {
        const Block *task = protocol->tasks[i];
        for (end = i + 1; end < schedule->task_count && protocol->tasks[end] == task;) end++;
        if (!is_called(task, name) || !is_in(task, path)) continue;
        int stage = schedule->tasks[i].stage;
        steps_up_to(why, stage >= 0                ? (size_t)stage + 1
                         : stage == SECTION_FINISH ? protocol->stage_count
                                                   : 0);
        const char *what = task->type->spelling;
        why_step(why->making, 0, arena_print(why->making->arena, "%s %s", what, task->name->text));
        for (size_t k = i; k < end; k++) step_of_task(why, k);
        why_answer(why->making, arena_print(why->making->arena, "%s %s of %s", what,
                                            strchr(task->id, '/') + 1, why->making->id));
        any = true;
    }
    return any;
}

/* ------------------------------------------------------------------ what was asked */

static const Timeline *timeline_of(WhyMaking *making, DateWhy *why)
{
    const WhySubject *subject = making->subject;
    if (!subject->plan) return NULL;
    FactSource source = {subject->nursery, making->arena, making->arena, NULL, false};
    Context *context = contexts_of_row(contexts_new(&source), subject->plan, subject->row);
    if (!context) return NULL;
    Subject batch = subject_of_batch(context, subject->plan, subject->row);
    Timeline *timeline = ARENA_NEW(making->arena, Timeline);
    *timeline = timeline_of_batch(&source, &batch, subject->today);
    why->calendar = context->calendar;
    return timeline->dated ? timeline : NULL;
}

bool why_dates(WhyMaking *making, Slice path, Slice name)
{
    DateWhy why = {.making = making, .protocol = making->subject->protocol};
    if (!why.protocol || !why.protocol->schedule) return false;
    why.timeline = timeline_of(making, &why);
    bool known = false;
    for (size_t i = 0; i < why.protocol->stage_count && !path.length; i++) {
        if (!is_called(why.protocol->stages[i], name)) continue;
        steps_up_to(&why, i + 1);
        why_answer(making, arena_print(making->arena, "stage %.*s of %s", SLICE_ARG(name), making->id));
        known = true;
    }
    if (why.timeline && slice_is(name, "finish") && !path.length) {
        steps_up_to(&why, why.protocol->stage_count);
        why_step(making, 0,
                 arena_print(making->arena, "finished %s", dates_text(making->arena, why.timeline->finish)));
        why_answer(making, arena_print(making->arena, "finish of %s", making->id));
        known = true;
    }
    return about_tasks(&why, path, name) || known;
}
