/* From an effective protocol to its schedule: lengths, timings, and the names of stages and tasks as indices.
 */
#include "model/schedule.h"

#include "base/vec.h"
#include "model/dial.h"
#include "model/protocol.h"

enum { DAY_SECONDS = 86400, HOLD_WITHOUT_A_DAY_BETWEEN = 24 * 3600 };

typedef struct Maker {
    Nursery *nursery;
    Protocol *protocol;
    VEC(TaskPlan) tasks;
    VEC(const Block *) blocks;
    VEC(const Clause *) settings;
} Maker;

static const Reading *said(const Block *block, const Field *field)
{
    const Clause *clause = block_limit(block, field);
    return clause ? clause->reading : NULL;
}

static Note *about(const Block *block, Note *note)
{
    note->subject = block->id;
    return note;
}

/* ------------------------------------------------------------------ names */

static int stage_index(const Protocol *protocol, Name name)
{
    for (size_t i = 0; i < protocol->stage_count; i++)
        if (protocol->stages[i]->name == name) return (int)i;
    return -1;
}

/* Whether a stage's own or old name is meant. */
static int stage_called(Maker *maker, const Block *block, const Clause *clause, Name name)
{
    int index = stage_index(maker->protocol, name);
    if (index >= 0) return index;
    Note *note = about(block, notes_add(maker->nursery->notes, SEVERITY_ERROR, "unknown-word",
                                        clause_value_place(clause), "there is no stage '%s'", name->text));
    Nearest nearest;
    nearest_start(&nearest, name_slice(name));
    for (size_t i = 0; i < maker->protocol->stage_count; i++)
        nearest_try(&nearest, name_slice(maker->protocol->stages[i]->name));
    if (nearest_found(&nearest))
        note->instead = arena_print(maker->nursery->arena, "did you mean %.*s?", SLICE_ARG(nearest.best));
    return -1;
}

static Moment moment_of(Maker *maker, const Block *block, const Clause *clause)
{
    const WrittenMoment *written = &clause->reading->moment;
    Moment moment = {written->kind, STAGE_OWN, written->event};
    if (written->stage) {
        moment.stage = stage_called(maker, block, clause, written->stage);
        if (moment.stage < 0) moment.kind = MOMENT_NONE;
    }
    return moment;
}

static Name role_of(Maker *maker, const Block *block)
{
    (void)maker;
    const Reading *role = said(block, FIELD_ROW(ROLE));
    return role && role->word_count ? role->words[0].name : block->name;
}

/* ------------------------------------------------------------------ stages */

static void take_length(Maker *maker, const Block *block, StagePlan *stage)
{
    const Clause *clause = block_limit(block, FIELD_ROW(LASTS_OF_STAGE));
    if (!clause) {
        Note *note =
            about(block, notes_add(maker->nursery->notes, SEVERITY_ERROR, "no-length", block->name_span,
                                   "stage %s does not say how long it lasts", block->name->text));
        note->instead = "lasts 2 .. 3 weeks, or lasts until mid Mar";
        return;
    }
    if (!clause->reading) return;
    stage->length = clause->reading->length;
    stage->span = clause->reading->span;
    if (stage->length == LENGTH_WINDOW && clause->reading->window_count)
        stage->until = clause->reading->windows[0];
    if (stage->length == LENGTH_MOMENT) stage->moment = moment_of(maker, block, clause);
    const Clause *wish = block_with(block, clause->field, STRENGTH_PREFER);
    if (wish && wish->reading && wish->reading->length == stage->length) {
        int32_t planned = wish->reading->span.planned;
        stage->span.planned = planned < stage->span.low    ? stage->span.low
                              : planned > stage->span.high ? stage->span.high
                                                           : planned;
    }
}

static const Window *waits_for(const Block *block)
{
    const Reading *window = said(block, FIELD_ROW(WAITS_FOR));
    return window && window->window_count ? window->windows : NULL;
}

static void take_stage(Maker *maker, const Block *block, StagePlan *stage)
{
    stage->name = block->name;
    stage->role = role_of(maker, block);
    take_length(maker, block, stage);
    const Clause *begins = block_limit(block, FIELD_ROW(BEGINS));
    if (begins && begins->reading) {
        stage->begins = true;
        stage->begins_at = moment_of(maker, block, begins);
        stage->begins_after = begins->reading->span;
    }
    stage->waits_for = waits_for(block);
}

/* ------------------------------------------------------------------ tasks */

static bool in_a_span(int stage)
{
    return stage >= 0 || stage == SECTION_HOLD || stage == SECTION_CLIMATE;
}

static void take_every(Maker *maker, const Block *block, const Clause *every, TaskPlan *task)
{
    Interval period = intervals_hull(every->reading->numbers);
    Number days;
    if (!interval_is_point(period) || !number_divide(period.low.at, NUMBER(DAY_SECONDS), &days) ||
        days.den != 1 || days.num < 1 || days.num > 36500) {
        about(block, notes_add(maker->nursery->notes, SEVERITY_ERROR, "value", clause_value_place(every),
                               "every takes one number of whole days or weeks"))
            ->instead = "every 2 weeks";
        return;
    }
    task->timing = TIMING_EVERY;
    task->period = (int32_t)days.num;
    const Clause *first = block_limit(block, FIELD_ROW(FIRST));
    if (!first || !first->reading) return;
    task->has_first = true;
    task->first = first->reading->span.low;
    task->first_from = moment_of(maker, block, first);
}

static void take_at(Maker *maker, const Block *block, const Clause *at, TaskPlan *task)
{
    if (at->reading->each) {
        task->timing = TIMING_EACH;
        task->each = -1; /* resolved when all tasks are known */
        return;
    }
    task->timing = TIMING_DAYS;
    task->moment = moment_of(maker, block, at);
    task->after = at->reading->span;
}

static void take_default(TaskPlan *task)
{
    task->timing = TIMING_DAYS;
    switch (task->stage) {
    case SECTION_TAKE: task->moment.kind = MOMENT_TAKE; break;
    case SECTION_TREAT:
    case SECTION_STICK: task->moment.kind = MOMENT_STICK; break;
    case SECTION_FINISH: task->moment.kind = MOMENT_FINISH; break;
    default: task->moment = (Moment){MOMENT_START, STAGE_OWN, NULL}; break;
    }
}

/* A task is timed in one way. `sign` alone, in a stage, waits for something to be seen: its day is the
 * stage's begin. */
static void take_timing(Maker *maker, const Block *block, TaskPlan *task)
{
    const Clause *ways[] = {block_limit(block, FIELD_ROW(EVERY)), block_limit(block, FIELD_ROW(AT)),
                            block_limit(block, FIELD_ROW(DAILY)),
                            block_limit(block, FIELD_ROW(WHEN_OF_TASK))};
    const Clause *chosen = NULL;
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        if (!ways[i]) continue;
        if (chosen) {
            Note *note =
                about(block, notes_add(maker->nursery->notes, SEVERITY_ERROR, "value", clause_place(ways[i]),
                                       "task %s is timed twice: every, at, daily and when exclude each other",
                                       block->name->text));
            note->instead = "for a first time of its own write first day 7, or first day 7 after stick";
            note_place(note, clause_place(chosen), "timed here already");
            return;
        }
        chosen = ways[i];
    }
    take_default(task);
    if (!chosen || !chosen->reading) return;
    if (chosen == ways[0]) take_every(maker, block, chosen, task);
    if (chosen == ways[1]) take_at(maker, block, chosen, task);
    if (chosen == ways[2]) task->timing = TIMING_DAILY;
    if (chosen == ways[3]) task->timing = TIMING_WEATHER;
    bool repeats = task->timing == TIMING_EVERY || task->timing == TIMING_DAILY;
    if (repeats && !in_a_span(task->stage)) {
        about(block, notes_add(maker->nursery->notes, SEVERITY_ERROR, "misplaced", clause_place(chosen),
                               "%s repeats, and stands where there is one day only: put it in a stage",
                               block->name->text));
        take_default(task);
    }
    const Clause *until = block_limit(block, FIELD_ROW(UNTIL));
    if (!until || !until->reading) return;
    task->has_until = true;
    task->until = moment_of(maker, block, until);
    task->until_after = until->reading->span;
}

static void take_task(Maker *maker, const Block *block, int stage)
{
    TaskPlan *task = VEC_ADD(maker->nursery->arena, &maker->tasks);
    VEC_PUSH(maker->nursery->arena, &maker->blocks, block);
    task->name = block->name;
    task->role = role_of(maker, block);
    task->stage = stage;
    task->slack = SLACK_DEFAULT;
    task->waits_for = waits_for(block);
    take_timing(maker, block, task);
    const Reading *latest = said(block, FIELD_ROW(LATEST));
    if (latest && latest->latest_day) {
        task->latest = LATEST_DAY;
        task->latest_day = latest->span.low;
    } else if (latest && latest->window_count) {
        task->latest = LATEST_WINDOW;
        task->latest_on = latest->windows[0];
    }
    const Reading *slack = said(block, FIELD_ROW(SLACK));
    if (slack) {
        task->slack = slack->span.low;
        task->side = slack->side;
    }
    task->duty = clause_is(block_limit(block, FIELD_ROW(DUTY_OF_TASK)), "yes");
    task->closes_up = clause_is(block_limit(block, FIELD_ROW(CLOSES_UP)), "yes");
    const Reading *move = said(block, FIELD_ROW(MOVE_OF_TASK));
    if (move && move->word_count) task->moves_to = move->words[0].name;
}

static void take_tasks(Maker *maker, const Block *block, int stage)
{
    for (const Block *child = block ? block->blocks : NULL; child; child = child->next)
        if (child->type->kind == BLOCK_TASK) take_task(maker, child, stage);
}

/* ------------------------------------------------------------------ tasks that hang on others */

static int task_index(const Maker *maker, const TaskPlan *of, Name name)
{
    int elsewhere = -1;
    for (size_t i = 0; i < maker->tasks.count; i++) {
        if (maker->tasks.at[i].name != name) continue;
        if (maker->tasks.at[i].stage == of->stage) return (int)i;
        if (elsewhere < 0) elsewhere = (int)i;
    }
    return elsewhere;
}

static void resolve_each(Maker *maker)
{
    for (size_t i = 0; i < maker->tasks.count; i++) {
        TaskPlan *task = &maker->tasks.at[i];
        if (task->timing != TIMING_EACH) continue;
        const Block *block = maker->blocks.at[i];
        const Clause *at = block_limit(block, FIELD_ROW(AT));
        task->each = task_index(maker, task, at->reading->each);
        if (task->each >= 0 && task->each != (int)i) continue;
        about(block,
              notes_add(maker->nursery->notes, SEVERITY_ERROR, "unknown-word", clause_value_place(at),
                        task->each < 0 ? "there is no task '%s' to go with" : "task %s goes with itself",
                        at->reading->each->text));
        take_default(task);
    }
}

/* Each task behind the one it goes with, settings last; a ring is reported and cut. */
static const int *order_tasks(Maker *maker)
{
    size_t count = maker->tasks.count - maker->settings.count;
    int *order = ARENA_ARRAY(maker->nursery->arena, int, maker->tasks.count);
    for (size_t i = count; i < maker->tasks.count; i++) order[i] = (int)i;
    bool *placed = ARENA_ARRAY(maker->nursery->arena, bool, count);
    size_t done = 0;
    while (done < count) {
        size_t before = done;
        for (size_t i = 0; i < count; i++) {
            const TaskPlan *task = &maker->tasks.at[i];
            if (placed[i] || (task->timing == TIMING_EACH && !placed[task->each])) continue;
            placed[i] = true;
            order[done++] = (int)i;
        }
        if (done > before) continue;
        for (size_t i = 0; i < count; i++) {
            if (placed[i]) continue;
            about(maker->blocks.at[i],
                  notes_add(maker->nursery->notes, SEVERITY_ERROR, "value",
                            clause_value_place(block_limit(maker->blocks.at[i], FIELD_ROW(AT))),
                            "task %s goes with a task that goes with it", maker->tasks.at[i].name->text));
            take_default(&maker->tasks.at[i]);
        }
    }
    return order;
}

/* ------------------------------------------------------------------ dials */

/* A dial has one setting, and who sets it reads one name: the same dial in another stage goes on. */
static int dial_called(const Maker *maker, Name name)
{
    size_t tasks = maker->tasks.count - maker->settings.count;
    for (size_t i = tasks; i < maker->tasks.count; i++)
        if (maker->tasks.at[i].name == name) return (int)i;
    return (int)maker->tasks.count;
}

static void take_setting(Maker *maker, const Block *block, const Clause *line, int stage)
{
    int dial = dial_called(maker, block->name);
    TaskPlan *setting = VEC_ADD(maker->nursery->arena, &maker->tasks);
    VEC_PUSH(maker->nursery->arena, &maker->blocks, block);
    VEC_PUSH(maker->nursery->arena, &maker->settings, line);
    int32_t day = line->reading->row->first;
    setting->name = setting->role = block->name;
    setting->stage = stage;
    setting->timing = TIMING_DAYS;
    setting->moment = (Moment){MOMENT_START, STAGE_OWN, NULL};
    setting->after = (DaySpan){day, day, day};
    setting->duty = true;
    setting->setting = line->reading->row;
    setting->dial = dial;
}

/* What the climate sets it sets for the whole time. */
static void check_climate(Maker *maker, const Block *block)
{
    const Block *climate = protocol_section(maker->protocol, BLOCK_CLIMATE);
    const Block *before = climate ? block_child(climate, BLOCK_SCHEDULE, block->name) : NULL;
    if (!before) return;
    Note *note = about(block, notes_add(maker->nursery->notes, SEVERITY_ERROR, "schedule-overlap",
                                        block->name_span, "%s is set in a stage and in the climate of %s",
                                        block->name->text, maker->protocol->name->text));
    note_place(note, before->name_span, "set here for the whole time");
    note->instead = "say it stage by stage";
}

static void take_dials(Maker *maker, const Block *block, int stage)
{
    for (const Block *child = block ? block->blocks : NULL; child; child = child->next) {
        if (child->type->kind != BLOCK_SCHEDULE) continue;
        const Clause **lines;
        size_t count = dial_lines(maker->nursery->arena, child, &lines);
        for (size_t i = 0; i < count; i++) take_setting(maker, child, lines[i], stage);
        if (stage != SECTION_CLIMATE) check_climate(maker, child);
    }
}

/* ------------------------------------------------------------------ the whole */

static void take_dates(Maker *maker, Schedule *schedule)
{
    const Block *hold = protocol_section(maker->protocol, BLOCK_HOLD);
    schedule->has_hold = hold != NULL;
    schedule->take_with_stick = schedule->stick_with_take = true;
    const Reading *lasts = hold ? said(hold, FIELD_ROW(LASTS_OF_HOLD)) : NULL;
    if (lasts && lasts->numbers.count) {
        Bound high = intervals_hull(lasts->numbers).high;
        bool short_hold = !high.unbounded && number_compare(high.at, NUMBER(HOLD_WITHOUT_A_DAY_BETWEEN)) <= 0;
        schedule->take_with_stick = schedule->stick_with_take = short_hold;
    }
    const Block *stick = protocol_section(maker->protocol, BLOCK_STICK),
                *take = protocol_section(maker->protocol, BLOCK_TAKE);
    const Reading *windows =
        stick ? block_reading(maker->nursery->arena, stick, FIELD_ROW(WINDOW_OF_STICK)) : NULL;
    if (!windows && take && schedule->take_with_stick)
        windows = block_reading(maker->nursery->arena, take, FIELD_ROW(WINDOW_OF_TAKE));
    if (!windows) return;
    schedule->stick_windows = windows->windows;
    schedule->stick_window_count = windows->window_count;
}

void schedule_make(Nursery *nursery, Protocol *protocol)
{
    Maker maker = {.nursery = nursery, .protocol = protocol};
    Schedule *schedule = ARENA_NEW(nursery->arena, Schedule);
    StagePlan *stages = ARENA_ARRAY(nursery->arena, StagePlan, protocol->stage_count);
    for (size_t i = 0; i < protocol->stage_count; i++) take_stage(&maker, protocol->stages[i], &stages[i]);
    schedule->stages = stages;
    schedule->stage_count = protocol->stage_count;
    take_tasks(&maker, protocol_section(protocol, BLOCK_TAKE), SECTION_TAKE);
    take_tasks(&maker, protocol_section(protocol, BLOCK_HOLD), SECTION_HOLD);
    take_tasks(&maker, protocol_section(protocol, BLOCK_TREAT), SECTION_TREAT);
    take_tasks(&maker, protocol_section(protocol, BLOCK_STICK), SECTION_STICK);
    take_tasks(&maker, protocol_section(protocol, BLOCK_CLIMATE), SECTION_CLIMATE);
    for (size_t i = 0; i < protocol->stage_count; i++) take_tasks(&maker, protocol->stages[i], (int)i);
    take_tasks(&maker, protocol_section(protocol, BLOCK_FINISH), SECTION_FINISH);
    resolve_each(&maker);
    take_dials(&maker, protocol_section(protocol, BLOCK_CLIMATE), SECTION_CLIMATE);
    for (size_t i = 0; i < protocol->stage_count; i++) take_dials(&maker, protocol->stages[i], (int)i);
    schedule->order = order_tasks(&maker);
    schedule->order_count = maker.tasks.count;
    schedule->tasks = maker.tasks.at;
    schedule->task_count = maker.tasks.count;
    for (size_t i = 0; i < schedule->task_count; i++) {
        schedule->moves |= schedule->tasks[i].moves_to != NULL;
        schedule->closes_up |= schedule->tasks[i].closes_up;
    }
    take_dates(&maker, schedule);
    protocol->tasks = maker.blocks.at;
    protocol->settings = maker.settings.at;
    protocol->task_count = maker.blocks.count - maker.settings.count;
    protocol->schedule = schedule;
}
