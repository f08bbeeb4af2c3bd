/* From a batch's cells and record to what a timeline is made of, and a memory of timelines made. */
#include "analysis/timelines.h"

#include "base/vec.h"
#include "model/record.h"

enum { TIMELINE_SLOTS = 4096, TIMELINE_PROBES = 8, TIMELINE_MEMORY = 8 << 20 };

typedef struct Key {
    const Schedule *schedule;
    const Calendar *calendar;
    Day take_first, take_last, stick_first, stick_last, wanted_by;
} Key;

typedef struct Slot {
    Key key;
    bool used;
    Timeline timeline;
} Slot;

struct Timelines {
    Nursery *nursery;
    Day today;
    Arena *memory;
    ArenaMark empty;
    size_t kept; /* bytes of what is remembered, about */
    Slot *slots;
    Timeline last; /* of a batch that is not remembered */
};

/* What one timeline is made with. */
typedef struct Making {
    Arena *arena;
    Nursery *nursery;
    const Subject *batch;
    Day today;
} Making;

Timelines *timelines_new(const FactSource *source, Day today, ArenaExhausted *exhausted)
{
    Timelines *timelines = ARENA_NEW(source->lasting, Timelines);
    timelines->nursery = source->nursery;
    timelines->today = today;
    timelines->memory = arena_new(exhausted);
    timelines->empty = arena_mark(timelines->memory);
    return timelines;
}

void timelines_free(Timelines *timelines)
{
    if (timelines) arena_free(timelines->memory);
}

/* ------------------------------------------------------------------ dates */

static const Reading *cell(const Subject *batch, const Field *field)
{
    const Reading *reading = batch->plan ? plan_cell(batch->plan, batch->row, field) : NULL;
    return reading == &reading_spoiled ? NULL : reading;
}

static const Dates no_dates = {{DAY_NONE, DAY_NONE, DAY_NONE}};

static Dates dates_of(const Reading *reading)
{
    if (!reading) return no_dates;
    Day middle = reading->first + (reading->last - reading->first + 1) / 2;
    return (Dates){{reading->first, middle, reading->last}};
}

static TimelineInput input_of(const Subject *batch, Day today)
{
    const Schedule *schedule = batch->context->protocol->schedule;
    TimelineInput input = {.stuck = DAY_NONE, .wanted_by = DAY_NONE, .ended = DAY_NONE, .today = today};
    const Reading *take = cell(batch, FIELD_ROW(TAKE)), *want = cell(batch, FIELD_ROW(WANT));
    if (!take) take = cell(batch, FIELD_ROW(ARRIVE));
    input.take = dates_of(take);
    input.stick = dates_of(cell(batch, FIELD_ROW(STICK)));
    if (input.take.on[0] == DAY_NONE && schedule->take_with_stick) input.take = input.stick;
    if (input.stick.on[0] == DAY_NONE && schedule->stick_with_take) input.stick = input.take;
    if (want && input.stick.on[0] == DAY_NONE) input.wanted_by = want->last;
    return input;
}

/* ------------------------------------------------------------------ records and moves */

static int stage_called(const Protocol *protocol, Name name)
{
    for (size_t i = 0; i < protocol->stage_count; i++)
        if (protocol->stages[i]->name == name || block_has_been(protocol->stages[i], name_slice(name)))
            return (int)i;
    return -1;
}

static bool task_is_called(const Protocol *protocol, size_t index, Name name)
{
    return protocol->tasks[index]->name == name || block_has_been(protocol->tasks[index], name_slice(name));
}

/* The first task of a name, and how many there are: two stages may each have a `look`. */
static int task_called(const Protocol *protocol, Name name, size_t *count)
{
    int first = -1;
    *count = 0;
    for (size_t i = 0; i < protocol->task_count; i++) {
        if (!task_is_called(protocol, i, name)) continue;
        if (first < 0) first = (int)i;
        (*count)++;
    }
    return first;
}

/* A record or a move of a task whose name several stages have. */
typedef struct Shared {
    Name name;
    size_t index; /* among the records, or the moves */
    bool is_move;
} Shared;
typedef VEC(Shared) SharedList;

/* The first setting of a dial; where a task has its name, that is meant. */
static int dial_called(const Protocol *protocol, Slice name)
{
    for (size_t i = protocol->task_count; i < protocol->schedule->task_count; i++)
        if (slice_equal(name_slice(protocol->tasks[i]->name), name)) return (int)i;
    return -1;
}

typedef struct Happened {
    VEC(StageReady) ready;
    VEC(TaskRecord) tasks;
    VEC(EventPin) pins;
    SharedList shared;
} Happened;

/* `mist 3 s every 20 min`: a dial of that name was set to what its schedule says. Other words are what people
 * set besides. */
static void take_set(const Making *making, const RecordLine *line, Happened *happened)
{
    int dial = dial_called(making->batch->context->protocol, slice_of(verb_table[line->verb].spelling));
    if (dial < 0 || !line->set.length) return;
    TaskRecord *record = VEC_ADD(making->arena, &happened->tasks);
    record->task = dial;
    record->setting = line->set;
    record->day = line->day;
}

static void take_line(const Making *making, const RecordLine *line, TimelineInput *input, Happened *happened)
{
    Arena *arena = making->arena;
    const Protocol *protocol = making->batch->context->protocol;
    int index;
    size_t called;
    switch (line->verb) {
    case VERB_STUCK:
        if (input->stuck == DAY_NONE) input->stuck = line->day;
        break;
    case VERB_READY:
        index = stage_called(protocol, line->thing);
        if (index >= 0) VEC_PUSH(arena, &happened->ready, ((StageReady){index, line->day}));
        break;
    case VERB_DONE:
    case VERB_SKIPPED:
        index = task_called(protocol, line->thing, &called);
        if (called > 1)
            VEC_PUSH(arena, &happened->shared, ((Shared){line->thing, happened->tasks.count, false}));
        if (index < 0) index = dial_called(protocol, name_slice(line->thing));
        if (index >= 0)
            VEC_PUSH(arena, &happened->tasks,
                     ((TaskRecord){.task = index,
                                   .numbered = record_says(line, PIECE_TIME),
                                   .number = line->number,
                                   .day = line->day,
                                   .skipped = line->verb == VERB_SKIPPED}));
        break;
    case VERB_LEAF_FALL:
        VEC_PUSH(arena, &happened->pins,
                 ((EventPin){names_intern(making->nursery->names, slice_of(verb_table[line->verb].spelling)),
                             line->day}));
        break;
    case VERB_ENDED:
    case VERB_ABANDONED:
        if (input->ended == DAY_NONE) input->ended = line->day;
        break;
    default: take_set(making, line, happened); break;
    }
}

static void take_record(const Making *making, TimelineInput *input, Calendar *calendar, SharedList *shared)
{
    Happened happened = {0};
    for (const RecordLine *line = making->batch->record->lines; line; line = line->next)
        take_line(making, line, input, &happened);
    input->ready = happened.ready.at;
    input->ready_count = happened.ready.count;
    input->records = happened.tasks.at;
    input->record_count = happened.tasks.count;
    calendar->pins = happened.pins.at;
    calendar->pin_count = happened.pins.count;
    *shared = happened.shared;
}

static void take_moves(const Making *making, TimelineInput *input, SharedList *shared)
{
    VEC(TaskMove) moves = {0};
    const Plan *plan = making->batch->plan;
    const Block *block = plan->blocks ? plan->blocks[making->batch->row] : NULL;
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next) {
        if (clause->field->type != TYPE_MOVE || !clause->reading) continue;
        size_t called;
        Name name = clause->reading->words[0].name;
        int task = task_called(making->batch->context->protocol, name, &called);
        if (called > 1) VEC_PUSH(making->arena, shared, ((Shared){name, moves.count, true}));
        if (task >= 0)
            VEC_PUSH(making->arena, &moves,
                     ((TaskMove){task, clause->reading->span.low, clause->reading->first}));
    }
    input->moves = moves.at;
    input->move_count = moves.count;
}

/* Of all tasks of that name the one that is due nearest to the day, and that no record before has; equally
 * near: the earlier. `number`: only that time of it. */
static int nearest_task(const Making *making, const Timeline *plain, bool *taken, Name name, Day day,
                        int number)
{
    const TaskDate *best = NULL;
    const Protocol *protocol = making->batch->context->protocol;
    for (size_t i = 0; i < plain->task_count; i++) {
        const TaskDate *date = &plain->tasks[i];
        Day due = date->due.on[date->watch ? RUN_EARLY : RUN_PLANNED];
        if (taken[i] || due == DAY_NONE || (number && date->number != number) ||
            (size_t)date->task >= protocol->task_count || /* a dial shares its records out by itself */
            !task_is_called(protocol, (size_t)date->task, name))
            continue;
        Day best_due = best ? best->due.on[best->watch ? RUN_EARLY : RUN_PLANNED] : DAY_NONE;
        int32_t distance = due > day ? due - day : day - due,
                least = best_due > day ? best_due - day : day - best_due;
        if (!best || distance < least || (distance == least && due < best_due)) best = date;
    }
    if (!best) return -1;
    taken[best - plain->tasks] = true;
    return best->task;
}

/* Which stage's task is meant follows from the days, so these are worked out first, as if nobody had said
 * anything of them.
 */
static void settle_shared(const Making *making, const Calendar *calendar, const TimelineInput *input,
                          const SharedList *shared, TaskRecord *records, TaskMove *moves)
{
    TimelineInput unsaid = *input;
    unsaid.record_count = unsaid.move_count = 0;
    Timeline plain =
        timeline_make(making->arena, making->batch->context->protocol->schedule, calendar, &unsaid);
    bool *taken = ARENA_ARRAY(making->arena, bool, plain.task_count);
    for (size_t i = 0; i < shared->count; i++) {
        const Shared *one = &shared->at[i];
        Day day = one->is_move ? moves[one->index].day : records[one->index].day;
        int number = one->is_move ? moves[one->index].number : records[one->index].number;
        int task = nearest_task(making, &plain, taken, one->name, day, number);
        if (task >= 0) *(one->is_move ? &moves[one->index].task : &records[one->index].task) = task;
    }
}

static Timeline make(const Making *making, TimelineInput *input)
{
    Calendar calendar = *making->batch->context->calendar;
    SharedList shared = {0};
    if (making->batch->record) take_record(making, input, &calendar, &shared);
    take_moves(making, input, &shared);
    if (shared.count) {
        TaskRecord *records = ARENA_ARRAY(making->arena, TaskRecord, input->record_count);
        TaskMove *moves = ARENA_ARRAY(making->arena, TaskMove, input->move_count);
        if (input->record_count) memcpy(records, input->records, input->record_count * sizeof *records);
        if (input->move_count) memcpy(moves, input->moves, input->move_count * sizeof *moves);
        settle_shared(making, &calendar, input, &shared, records, moves);
        input->records = records;
        input->moves = moves;
    }
    return timeline_make(making->arena, making->batch->context->protocol->schedule, &calendar, input);
}

Timeline timeline_of_batch(const FactSource *source, const Subject *batch, Day today)
{
    Making making = {source->lasting, source->nursery, batch, today};
    TimelineInput input = input_of(batch, today);
    return make(&making, &input);
}

/* ------------------------------------------------------------------ memory */

static void forget_when_large(Timelines *timelines)
{
    if (timelines->kept < TIMELINE_MEMORY) return;
    arena_release(timelines->memory, timelines->empty);
    timelines->slots = NULL;
    timelines->kept = 0;
}

static void remember_size(Timelines *timelines, const Timeline *timeline)
{
    timelines->kept += sizeof *timeline + timeline->task_count * sizeof(TaskDate);
}

static size_t slot_of(const Key *key)
{
    uint64_t mixed = (uint64_t)(uintptr_t)key->schedule >> 4;
    mixed = mixed * 1000003U + (uint64_t)((uintptr_t)key->calendar >> 4);
    mixed = mixed * 1000003U + (uint64_t)(uint32_t)key->take_first;
    mixed = mixed * 1000003U + (uint64_t)(uint32_t)key->stick_first;
    mixed = mixed * 1000003U + (uint64_t)(uint32_t)key->stick_last;
    mixed = mixed * 1000003U + (uint64_t)(uint32_t)key->wanted_by;
    return (size_t)((mixed ^ mixed >> 29) % TIMELINE_SLOTS);
}

static bool same_key(const Key *a, const Key *b)
{
    return a->schedule == b->schedule && a->calendar == b->calendar && a->take_first == b->take_first &&
           a->take_last == b->take_last && a->stick_first == b->stick_first &&
           a->stick_last == b->stick_last && a->wanted_by == b->wanted_by;
}

const Timeline *timelines_of(Timelines *timelines, const Subject *batch)
{
    const Schedule *schedule = batch->context->protocol ? batch->context->protocol->schedule : NULL;
    if (!schedule || !batch->plan) return NULL;
    forget_when_large(timelines);
    Making making = {timelines->memory, timelines->nursery, batch, timelines->today};
    TimelineInput input = input_of(batch, timelines->today);
    if (batch->record || cell(batch, FIELD_ROW(MOVE_OF_BATCH))) {
        timelines->last = make(&making, &input);
        remember_size(timelines, &timelines->last);
        return &timelines->last;
    }
    if (!timelines->slots) timelines->slots = ARENA_ARRAY(timelines->memory, Slot, TIMELINE_SLOTS);
    Key key = {schedule,
               batch->context->calendar,
               input.take.on[RUN_EARLY],
               input.take.on[RUN_LATE],
               input.stick.on[RUN_EARLY],
               input.stick.on[RUN_LATE],
               input.wanted_by};
    size_t first = slot_of(&key);
    Slot *slot = &timelines->slots[first];
    for (size_t i = 1; i < TIMELINE_PROBES && slot->used && !same_key(&slot->key, &key); i++)
        slot = &timelines->slots[(first + i) % TIMELINE_SLOTS];
    if (!slot->used || !same_key(&slot->key, &key)) {
        slot->key = key;
        slot->used = true;
        slot->timeline = timeline_make(timelines->memory, schedule, batch->context->calendar, &input);
        remember_size(timelines, &slot->timeline);
    }
    return &slot->timeline;
}
