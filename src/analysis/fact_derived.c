/* Derived values: time held, room in trays, the end of a licence, parts of a dose, dates of tasks, what a
 * clause cites. */
#include "analysis/fact_derived.h"

#include "analysis/batch_size.h"
#include "base/vec.h"
#include "model/record.h"

enum { DAY_SECONDS = 86400, MINUTE_SECONDS = 60 };

static const Fact nothing = {.class = FACT_NOTHING, .days = {{DAY_NONE, DAY_NONE, DAY_NONE}}};

Fact fact_number(const FactSource *source, Interval interval, FactClass class)
{
    Interval *kept = ARENA_NEW(source->passing, Interval);
    *kept = interval;
    Fact fact = nothing;
    fact.class = class;
    fact.stated = true;
    fact.numbers = (IntervalSet){kept, 1};
    return fact;
}

Fact fact_missing(const Field *field)
{
    Fact fact = nothing;
    fact.missing = field;
    return fact;
}

static Fact word_fact(const FactSource *source, Slice word)
{
    Word *kept = ARENA_NEW(source->passing, Word);
    kept->name = names_intern(source->nursery->names, word);
    Fact fact = nothing;
    fact.class = FACT_POINT;
    fact.stated = true;
    fact.words = kept;
    fact.word_count = 1;
    return fact;
}

static const Reading *cell(const Subject *subject, const Field *field)
{
    const Reading *reading = subject->plan ? plan_cell(subject->plan, subject->row, field) : NULL;
    return reading == &reading_spoiled ? NULL : reading;
}

/* ------------------------------------------------------------------ batches */

bool held_between(const Reading *taken, const Reading *stuck, Interval *held, FactClass *class)
{
    if (!taken || !stuck) return false;
    int64_t low = (int64_t)(stuck->first - taken->last) * DAY_SECONDS,
            high = (int64_t)(stuck->last - taken->first) * DAY_SECONDS;
    bool one_day = taken->first == taken->last && stuck->first == stuck->last;
    bool hours = taken->minutes >= 0 && !(one_day && low == 0);
    if (hours) { /* from the hour at the door to some hour of the sticking day */
        low -= (int64_t)taken->minutes * MINUTE_SECONDS;
        high += DAY_SECONDS - (int64_t)taken->minutes * MINUTE_SECONDS;
    }
    *held = interval_closed(NUMBER(low < 0 && hours ? 0 : low), NUMBER(high));
    *class = taken->part_of_month || stuck->part_of_month || hours ? FACT_UNCERTAIN
             : low == high                                         ? FACT_POINT
                                                                   : FACT_SPREAD;
    return true;
}

/* Where the protocol allows no night between, one date stands for both. */
static Fact held_of(const FactSource *source, const Subject *subject)
{
    const Schedule *schedule = subject->context->protocol ? subject->context->protocol->schedule : NULL;
    const Reading *taken = cell(subject, FIELD_ROW(TAKE)), *stuck = cell(subject, FIELD_ROW(STICK));
    Interval held;
    FactClass class;
    if (!taken) taken = cell(subject, FIELD_ROW(ARRIVE));
    if (schedule && schedule->take_with_stick && !taken) taken = stuck;
    if (schedule && schedule->stick_with_take && !stuck) stuck = taken;
    if (held_between(taken, stuck, &held, &class)) return fact_number(source, held, class);
    return fact_missing(taken ? FIELD_ROW(STICK) : FIELD_ROW(TAKE));
}

static bool whole_number(const Fact *fact, Number *number)
{
    if (fact->class != FACT_POINT && !(fact->class == FACT_PERMITTED && fact->stated)) return false;
    if (fact->numbers.count != 1) return false;
    *number = fact->numbers.at[0].low.at;
    return true;
}

static Fact batch_fact(const FactSource *source, const Subject *subject, const Field *field)
{
    Ref ref = {.level = SCOPE_BATCH, .field = field};
    return fact_of(source, subject, &ref);
}

/* Rows and columns of a grid, the better way round. */
static bool grid_room(const Reading *inside, const Reading *spacing, Number *room)
{
    int64_t best = 0;
    for (int turn = 0; turn < 2; turn++) {
        Number along, across;
        if (!number_divide(inside->sides[0], spacing->sides[turn], &along) ||
            !number_divide(inside->sides[1], spacing->sides[1 - turn], &across))
            return false;
        int64_t places = number_floor(along) * number_floor(across);
        if (places > best) best = places;
    }
    *room = NUMBER(best);
    return true;
}

static Fact room_of(const FactSource *source, const Subject *subject)
{
    const Block *container = subject->context->container;
    Fact trays = batch_fact(source, subject, FIELD_ROW(TRAYS));
    Number count, each, room;
    if (!container || !whole_number(&trays, &count)) return nothing;
    const Clause *cells = block_clause(container, FIELD_ROW(CELLS)),
                 *inside = block_clause(container, FIELD_ROW(INSIDE));
    if (cells && cells->reading) {
        each = cells->reading->numbers.at[0].low.at;
        Fact per_cell = batch_fact(source, subject, FIELD_ROW(PER_CELL));
        Number many;
        if (whole_number(&per_cell, &many) && !number_multiply(each, many, &each)) return nothing;
    } else {
        Fact spacing = batch_fact(source, subject, FIELD_ROW(SPACING));
        if (!inside || !inside->reading || !spacing.reading || inside->reading->side_count < 2 ||
            spacing.reading->side_count < 2 || !grid_room(inside->reading, spacing.reading, &each))
            return nothing;
    }
    return number_multiply(count, each, &room) ? fact_number(source, interval_closed(room, room), FACT_POINT)
                                               : nothing;
}

static Fact status_of(const FactSource *source, const Subject *subject)
{
    const char *status = "planned";
    for (const RecordLine *line = subject->record ? subject->record->lines : NULL; line; line = line->next) {
        if (line->verb == VERB_STUCK) status = "stuck";
        if (line->verb == VERB_ENDED || line->verb == VERB_ABANDONED) status = "ended";
    }
    return word_fact(source, slice_of(status));
}

/* The day of the fact that names the licence; a licence without an end has none, and nobody to ask for it. */
static Fact licence_end_of(const FactSource *source, const Subject *subject)
{
    Fact fact = batch_fact(source, subject, FIELD_ROW(LICENCE));
    if (fact.class == FACT_NOTHING) return fact_missing(FIELD_ROW(LICENCE));
    if (!fact.reading || fact.reading->last == DAY_NONE) return nothing;
    Day first = fact.reading->first == DAY_NONE ? fact.reading->last : fact.reading->first;
    fact.days = (Dates){{first, first, fact.reading->last}};
    fact.class = first == fact.reading->last ? FACT_POINT : FACT_UNCERTAIN;
    fact.field = FIELD_ROW(LICENCE);
    return fact;
}

static Fact date_fact(const Dates *dates)
{
    Fact fact = nothing;
    if (dates->on[RUN_EARLY] == DAY_NONE) return fact;
    fact.days = *dates;
    fact.stated = true;
    fact.class = dates->on[RUN_EARLY] == dates->on[RUN_LATE] ? FACT_POINT : FACT_UNCERTAIN;
    return fact;
}

/* ------------------------------------------------------------------ doses */

static Fact dose_of(const FactSource *source, const Subject *subject, const Ref *ref)
{
    Ref hormone = {.level = ref->level, .field = FIELD_ROW(HORMONE)};
    Fact fact = fact_of(source, subject, &hormone);
    if (fact.class >= FACT_NOTHING || !fact.reading) return fact;
    const Reading *reading = fact.reading;
    VEC(Interval) intervals = {0};
    VEC(Word) words = {0};
    for (size_t i = 0; i < reading->dose_count; i++) {
        const Dose *dose = &reading->doses[i];
        if (ref->derived == DERIVED_FORM && !dose->none)
            VEC_PUSH(source->passing, &words, ((Word){.name = dose->form}));
        if (ref->derived == DERIVED_STRENGTH)
            VEC_PUSH(source->passing, &intervals,
                     dose->none ? interval_closed(NUMBER(0), NUMBER(0)) : dose->strength);
        if (ref->derived == DERIVED_DIP_TIME && dose->has_time)
            VEC_PUSH(source->passing, &intervals, dose->time);
    }
    fact.words = words.at;
    fact.word_count = words.count;
    fact.numbers = intervals_of(source->passing, intervals.at, intervals.count);
    fact.field = FIELD_ROW(HORMONE);
    if (!words.count && !fact.numbers.count) return nothing;
    bool one = words.count == 1 || (fact.numbers.count == 1 && interval_is_point(fact.numbers.at[0]));
    if (fact.class == FACT_POINT || fact.class == FACT_SPREAD) fact.class = one ? FACT_POINT : FACT_SPREAD;
    return fact;
}

/* ------------------------------------------------------------------ stages and tasks */

Name subject_role(const Subject *subject)
{
    const Context *context = subject->context;
    const Schedule *schedule = context && context->protocol ? context->protocol->schedule : NULL;
    if (!schedule) return subject->block ? subject->block->name : NULL;
    if (subject->scope == SCOPE_STAGE)
        return subject->index >= 0 ? schedule->stages[subject->index].role : NULL;
    return schedule->tasks[subject->index].role;
}

/* Days from the begin of its stage to the first and last time of a task; false when they are not known
 * without a batch. */
static bool offsets(const Schedule *schedule, int index, int64_t *first, int64_t *last)
{
    const TaskPlan *task = &schedule->tasks[index];
    const StagePlan *stage = task->stage >= 0 ? &schedule->stages[task->stage] : NULL;
    bool lasts = stage && stage->length == LENGTH_DAYS;
    switch (task->timing) {
    case TIMING_DAYS: {
        bool own = task->moment.stage == STAGE_OWN || task->moment.stage == task->stage;
        if (!own || (task->moment.kind != MOMENT_START && !(task->moment.kind == MOMENT_END && lasts)))
            return false;
        int64_t low = task->moment.kind == MOMENT_END ? stage->span.low : 0,
                high = task->moment.kind == MOMENT_END ? stage->span.high : 0;
        *first = low + task->after.low;
        *last = high + task->after.high;
        return true;
    }
    case TIMING_EVERY:
        if (task->has_first && task->first_from.kind != MOMENT_NONE && task->first_from.kind != MOMENT_START)
            return false;
        *first = task->has_first ? task->first : task->period;
        *last = lasts ? stage->span.high : *first;
        return true;
    case TIMING_DAILY:
        *first = 0;
        *last = lasts ? stage->span.high : 0;
        return true;
    case TIMING_EACH: return task->each >= 0 && offsets(schedule, task->each, first, last);
    case TIMING_WEATHER: break;
    }
    return false;
}

static Fact offset_of(const FactSource *source, const Subject *subject)
{
    const Schedule *schedule =
        subject->context && subject->context->protocol ? subject->context->protocol->schedule : NULL;
    int64_t first, last;
    if (!schedule || !offsets(schedule, subject->index, &first, &last)) return nothing;
    if (last < first) last = first;
    return fact_number(source, interval_closed(NUMBER(first * DAY_SECONDS), NUMBER(last * DAY_SECONDS)),
                       FACT_SPREAD);
}

/* Cuttings for which the time of a task is meant; false where nobody says how many these are. */
static bool cuttings_of_time(const FactSource *source, const Subject *task, Name per, Number *cuttings)
{
    PerAmount amount = per ? per_amount(name_slice(per)) : PER_ONCE;
    *cuttings = NUMBER(1);
    if (amount == PER_COUNT) return true;
    if (amount != PER_TRAYS || !task->context) return false;
    const Subject *whole = task;
    while (whole->outer) whole = whole->outer;
    Ref in_cell = {.level = whole->scope, .field = FIELD_ROW(PER_CELL)};
    Fact said = fact_of(source, whole, &in_cell);
    Number each = NUMBER(1), cells = NUMBER(container_cells(task->context->container));
    if (said.class != FACT_NOTHING && !whole_number(&said, &each)) return false;
    return cells.num > 0 && number_multiply(cells, each, cuttings);
}

static Fact pace_of(const FactSource *source, const Subject *task)
{
    enum { HOUR_SECONDS = 3600 };
    Fact takes = fact_of(source, task, &(Ref){.level = SCOPE_TASK, .field = FIELD_ROW(TAKES)});
    Number cuttings, in_an_hour;
    if (takes.class == FACT_SPOILED) return takes;
    if (takes.class == FACT_NOTHING || !takes.numbers.count) return fact_missing(FIELD_ROW(TAKES));
    Interval time = intervals_hull(takes.numbers), pace = interval_closed(NUMBER(0), NUMBER(0));
    if (time.low.unbounded || time.high.unbounded ||
        !cuttings_of_time(source, task, takes.reading->per, &cuttings))
        return nothing;
    bool fits = number_multiply(cuttings, NUMBER(HOUR_SECONDS), &in_an_hour) &&
                number_divide(in_an_hour, time.high.at, &pace.low.at) &&
                number_divide(in_an_hour, time.low.at, &pace.high.at);
    return fits ? fact_number(source, pace, takes.class) : nothing;
}

/* ------------------------------------------------------------------ clauses */

static const Block *source_of(const FactSource *source, const Citation *citation)
{
    Name name = names_find(source->nursery->names, citation->key);
    return name ? nursery_find(source->nursery, BLOCK_SOURCE, name) : NULL;
}

static Fact cited_of(const FactSource *source, const Subject *subject)
{
    VEC(Word) words = {0};
    for (const Citation *citation = subject->clause->item->citations; citation; citation = citation->next)
        VEC_PUSH(source->passing, &words,
                 ((Word){names_intern(source->nursery->names, citation->key), citation->span}));
    Fact fact = nothing;
    if (!words.count) return fact;
    fact.class = FACT_POINT;
    fact.stated = true;
    fact.words = words.at;
    fact.word_count = words.count;
    return fact;
}

static Fact about_of(const FactSource *source, const Subject *subject)
{
    for (const Citation *citation = subject->clause->item->citations; citation; citation = citation->next) {
        const Block *cited = source_of(source, citation);
        const Clause *about = cited ? block_clause(cited, FIELD_ROW(ABOUT)) : NULL;
        if (!about || !about->reading) continue;
        Fact fact = nothing;
        fact.class = FACT_POINT;
        fact.stated = true;
        fact.clause = about;
        fact.words = about->reading->words;
        fact.word_count = about->reading->word_count;
        return fact;
    }
    return nothing;
}

static Fact year_of(const FactSource *source, const Subject *subject)
{
    int latest = 0;
    for (const Citation *citation = subject->clause->item->citations; citation; citation = citation->next) {
        const Block *cited = source_of(source, citation);
        if (cited && cited->year > latest) latest = cited->year;
    }
    return latest ? fact_number(source, interval_closed(NUMBER(latest), NUMBER(latest)), FACT_POINT)
                  : nothing;
}

static Fact strength_of(const FactSource *source, const Subject *subject)
{
    static const char *const words[] = {[STRENGTH_PLAIN] = "plain",
                                        [STRENGTH_MUST] = "must",
                                        [STRENGTH_PREFER] = "prefer",
                                        [STRENGTH_NEVER] = "never"};
    return word_fact(source, slice_of(words[subject->clause->strength]));
}

/* ------------------------------------------------------------------ all */

Fact fact_of_derived(const FactSource *source, const Subject *subject, const Ref *ref)
{
    bool undecided = subject->scope == SCOPE_BATCH && subject->open;
    switch (ref->derived) {
    case DERIVED_HELD: return undecided ? nothing : held_of(source, subject);
    case DERIVED_ROOM: return undecided ? nothing : room_of(source, subject);
    case DERIVED_STATUS: return undecided ? nothing : status_of(source, subject);
    case DERIVED_LICENCE_END: return licence_end_of(source, subject);
    case DERIVED_FINISH:
        return subject->timeline && subject->timeline->dated ? date_fact(&subject->timeline->finish)
                                                             : nothing;
    case DERIVED_STRENGTH:
    case DERIVED_FORM:
    case DERIVED_DIP_TIME: return dose_of(source, subject, ref);
    case DERIVED_PACE: return pace_of(source, subject);
    case DERIVED_OFFSET: return offset_of(source, subject);
    case DERIVED_DUE: return subject->date ? date_fact(&subject->date->due) : nothing;
    case DERIVED_DATE: return subject->date ? date_fact(&subject->date->date) : nothing;
    case DERIVED_EXPECTED:
    case DERIVED_CHANCE:
    case DERIVED_NEEDED: return undecided ? nothing : fact_of_figure(source, subject, ref->derived);
    case DERIVED_STANDING:
    case DERIVED_SURVIVAL:
    case DERIVED_LOAD: return fact_of_figure(source, subject, ref->derived);
    case DERIVED_FIELD: return word_fact(source, slice_of(subject->clause->field->spelling));
    case DERIVED_CLAUSE_STRENGTH: return strength_of(source, subject);
    case DERIVED_CITED: return cited_of(source, subject);
    case DERIVED_CITED_ABOUT: return about_of(source, subject);
    case DERIVED_YEAR: return year_of(source, subject);
    case DERIVED_NONE:
    case DERIVED_VALUES: break;
    }
    return nothing;
}
