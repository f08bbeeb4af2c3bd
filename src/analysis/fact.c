/* Where the value of a field comes from: the batch's own word, what it refers to, the limits of its protocol.
 */
#include "analysis/subject.h"

#include "analysis/fact_derived.h"

const Subject *subject_at(const Subject *subject, Scope level)
{
    while (subject && subject->scope != level) subject = subject->outer;
    return subject;
}

/* ------------------------------------------------------------------ readings as facts */

static void set_words(Fact *fact, const Word *words, size_t count)
{
    fact->words = words;
    fact->word_count = count;
}

static const Word *word_called(const FactSource *source, Arena *arena, const char *text)
{
    Word *word = ARENA_NEW(arena, Word);
    word->name = names_intern(source->nursery->names, slice_of(text));
    return word;
}

/* Doses as words: the auxins, or none. */
static void dose_words(const FactSource *source, Arena *arena, const Reading *reading, Fact *fact)
{
    Word *words = ARENA_ARRAY(arena, Word, reading->dose_count);
    for (size_t i = 0; i < reading->dose_count; i++)
        words[i] = reading->doses[i].none ? *word_called(source, arena, "none")
                                          : (Word){.name = reading->doses[i].auxin};
    set_words(fact, words, reading->dose_count);
}

static void mix_words(Arena *arena, const Reading *reading, Fact *fact)
{
    Word *words = ARENA_ARRAY(arena, Word, reading->mix_count);
    for (size_t i = 0; i < reading->mix_count; i++) words[i] = (Word){.name = reading->mix[i].component};
    set_words(fact, words, reading->mix_count);
}

static void standing_words(Arena *arena, const Reading *reading, Fact *fact)
{
    Word *words = ARENA_ARRAY(arena, Word, reading->standing_count);
    for (size_t i = 0; i < reading->standing_count; i++)
        words[i] = (Word){.name = reading->standings[i].place};
    set_words(fact, words, reading->standing_count);
}

static IntervalSet one_interval(Arena *arena, Interval interval)
{
    Interval *kept = ARENA_NEW(arena, Interval);
    *kept = interval;
    return (IntervalSet){kept, 1};
}

enum { DAY_SECONDS = 86400 };

static Interval days_interval(int64_t low, int64_t high)
{
    return interval_closed(NUMBER(low * DAY_SECONDS), NUMBER(high * DAY_SECONDS));
}

/* A stage until a window or an event of the year lasts at most until that comes round again; one that waits
 * for another stage lasts as long as that takes. */
static void length_numbers(Arena *arena, const Reading *reading, Fact *fact)
{
    enum { YEAR_DAYS = 366 };
    int64_t over = reading->span.high > 0 ? reading->span.high : 0;
    Interval length = reading->length == LENGTH_DAYS ? days_interval(reading->span.low, reading->span.high)
                      : length_waits(reading)        ? interval_at_least(NUMBER(0))
                                                     : days_interval(0, YEAR_DAYS + over);
    fact->numbers = one_interval(arena, length);
}

/* The value itself; the class is the caller's to set. */
static Fact fact_of_reading(const FactSource *source, Arena *arena, const Field *field,
                            const Reading *reading)
{
    Fact fact = {
        .reading = reading, .field = field, .stated = true, .days = {{DAY_NONE, DAY_NONE, DAY_NONE}}};
    set_words(&fact, reading->words, reading->word_count);
    switch (field->type) {
    case TYPE_DOSE: dose_words(source, arena, reading, &fact); break;
    case TYPE_MIX: mix_words(arena, reading, &fact); break;
    case TYPE_STANDS: standing_words(arena, reading, &fact); break;
    case TYPE_LASTS: length_numbers(arena, reading, &fact); break;
    case TYPE_WANT:
        fact.numbers = one_interval(arena, interval_closed(reading->wanted, reading->wanted));
        break;
    case TYPE_UNTIL: fact.stated = !reading->none; break;
    case TYPE_DATE: {
        Day middle = reading->first + (reading->last - reading->first + 1) / 2;
        fact.days = (Dates){{reading->first, middle, reading->last}};
        break;
    }
    case TYPE_SIZE:
    case TYPE_TEXT: break;
    default: fact.numbers = reading->numbers; break;
    }
    return fact;
}

static bool is_point(const Fact *fact)
{
    if (fact->days.on[0] != DAY_NONE) return fact->days.on[RUN_EARLY] == fact->days.on[RUN_LATE];
    if (fact->numbers.count) return fact->numbers.count == 1 && interval_is_point(fact->numbers.at[0]);
    return fact->word_count <= 1;
}

Fact fact_of_statement(const FactSource *source, const Field *field, const Reading *reading,
                       const Clause *clause)
{
    if (reading == &reading_spoiled) return (Fact){.class = FACT_SPOILED};
    Fact fact = fact_of_reading(source, clause ? source->lasting : source->passing, field, reading);
    fact.clause = clause;
    fact.class = is_point(&fact) ? FACT_POINT : FACT_SPREAD;
    if (field->type == TYPE_DATE && reading->part_of_month) fact.class = FACT_UNCERTAIN;
    if (field->role == ROLE_PROMISE && !is_point(&fact)) fact.class = FACT_UNCERTAIN;
    if (reading->relative) fact.class = FACT_NOTHING; /* a share of a length that is not known here */
    return fact;
}

static const Fact nothing = {.class = FACT_NOTHING, .days = {{DAY_NONE, DAY_NONE, DAY_NONE}}};

/* A limit read as a value. `object`: the clause itself is what is judged, and is stated because it stands
 * there. */
static Fact fact_of_limit(const FactSource *source, Arena *arena, const Clause *clause, bool object)
{
    if (!clause) return nothing;
    if (!clause->reading) return (Fact){.class = FACT_SPOILED};
    Fact fact = fact_of_reading(source, arena, clause->field, clause->reading);
    fact.clause = clause;
    fact.class = clause->field->role == ROLE_PROMISE ? FACT_UNCERTAIN : FACT_PERMITTED;
    if (clause->reading->relative) fact.class = FACT_NOTHING;
    fact.stated = fact.stated && (object || limit_is_one_value(clause->reading));
    return fact;
}

/* ------------------------------------------------------------------ what a batch refers to */

static const Clause *statement_in(const Block *block, const Field *field)
{
    return block && field_stands_in(field, block->type->kind) ? block_clause(block, field) : NULL;
}

static const Clause *stated_by_context(const Context *context, const Field *field)
{
    const Block *nearest[] = {context->container, context->place, context->site, context->variety};
    for (size_t i = 0; i < sizeof nearest / sizeof *nearest; i++) {
        const Clause *clause = statement_in(nearest[i], field);
        if (clause) return clause;
    }
    for (size_t i = 0; i < CONTEXT_SPECIES && context->species[i]; i++) {
        const Clause *clause = statement_in(context->species[i], field);
        if (clause) return clause;
    }
    return NULL;
}

/* A climate's clause, else those of all stages together: what the protocol allows at one time or another. */
static Fact limit_in_protocol(const FactSource *source, Arena *arena, const Protocol *protocol,
                              const Field *field, bool object)
{
    const Clause *clause = protocol_limit(protocol, field);
    Fact fact = fact_of_limit(source, arena, clause, object);
    if (!clause || !field_stands_in(field, BLOCK_STAGE) || fact.class == FACT_SPOILED ||
        fact.class == FACT_NOTHING)
        return fact;
    for (size_t i = 0; i < protocol->stage_count; i++) {
        const Clause *other = block_limit(protocol->stages[i], field);
        if (!other || other == clause || !other->reading) continue;
        if (fact.numbers.count) fact.numbers = intervals_union(arena, fact.numbers, other->reading->numbers);
        if (fact.word_count) {
            const Reading *united = limit_united(arena, fact.reading, other->reading);
            fact.reading = united;
            set_words(&fact, united->words, united->word_count);
        }
        fact.stated = object;
    }
    return fact;
}

const Fact *fact_of_context(const FactSource *source, Context *context, const Field *field)
{
    const Fact *known = context->facts[field->number];
    if (known) return known;
    Fact *fact = ARENA_NEW(source->lasting, Fact);
    *fact = nothing;
    const Clause *clause = stated_by_context(context, field);
    if (clause)
        *fact = clause->reading ? fact_of_statement(source, field, clause->reading, clause)
                                : (Fact){.class = FACT_SPOILED};
    else if (context->protocol && !(field->flags & FIELD_UNASSUMED))
        *fact = limit_in_protocol(source, source->lasting, context->protocol, field, false);
    if (field->type == TYPE_TAXON && field == FIELD_ROW(PLANT_OF_BATCH))
        set_words(fact, context->taxon, context->taxon_count);
    context->facts[field->number] = fact;
    return fact;
}

/* ------------------------------------------------------------------ by level */

static Fact fact_of_section(const FactSource *source, const Protocol *protocol, const Ref *ref, bool object)
{
    const Block *section = protocol ? protocol_section(protocol, ref->section) : NULL;
    return fact_of_limit(source, source->passing, block_limit(section, ref->field), object);
}

const Field *batch_field_given(const Subject *batch, const Field *field)
{
    const Schedule *schedule = batch->context->protocol ? batch->context->protocol->schedule : NULL;
    if (!batch->plan || !schedule || field->type != TYPE_DATE || plan_cell(batch->plan, batch->row, field))
        return field;
    bool is_take = field == FIELD_ROW(TAKE), is_stick = field == FIELD_ROW(STICK);
    if (is_take && schedule->take_with_stick) return FIELD_ROW(STICK);
    if (is_stick && schedule->stick_with_take) return FIELD_ROW(TAKE);
    return field;
}

/* Dates stand for each other, so one column may speak for several. */
bool subject_leaves_open(const Subject *batch, const Field *field)
{
    if (!batch->open || !field_stands_in(field, BLOCK_BATCH)) return false;
    return !batch->plan || field->type == TYPE_DATE || batch->plan->column_of[field->number] >= 0;
}

static Fact fact_of_batch(const FactSource *source, const Subject *subject, const Ref *ref)
{
    if (ref->section != BLOCK_NONE) return fact_of_section(source, subject->context->protocol, ref, false);
    if (subject_leaves_open(subject, ref->field)) return nothing;
    if (subject->tried && fieldset_has(subject->tried, ref->field))
        return (Fact){.class = FACT_SPOILED}; /* whoever asks for the one value is passed over */
    const Reading *cell =
        subject->plan ? plan_cell(subject->plan, subject->row, batch_field_given(subject, ref->field)) : NULL;
    if (!cell) return *fact_of_context(source, subject->context, ref->field);
    Fact fact = fact_of_statement(source, ref->field, cell, NULL);
    if (ref->field->type == TYPE_TAXON && fact.class != FACT_SPOILED)
        set_words(&fact, subject->context->taxon, subject->context->taxon_count);
    return fact;
}

static Fact fact_of_protocol(const FactSource *source, const Subject *subject, const Ref *ref)
{
    if (ref->section != BLOCK_NONE) return fact_of_section(source, subject->protocol, ref, true);
    Fact fact = limit_in_protocol(source, source->passing, subject->protocol, ref->field, true);
    if (fact.class != FACT_NOTHING || fact.clause || !subject->context) return fact;
    for (size_t i = 0; i < CONTEXT_SPECIES && subject->context->species[i]; i++) {
        const Clause *clause = statement_in(subject->context->species[i], ref->field);
        if (clause && clause->reading) return fact_of_statement(source, ref->field, clause->reading, clause);
    }
    return fact;
}

/* Of a batch with dates it is known how long a stage lasts that ends on a day of the year or with another
 * one. */
static void dated_length(const FactSource *source, const Subject *stage, Fact *fact)
{
    const Subject *batch = subject_at(stage, SCOPE_BATCH);
    const Timeline *timeline = batch ? batch->timeline : NULL;
    bool until = fact->reading && fact->reading->type == TYPE_LASTS && fact->reading->length != LENGTH_DAYS;
    if (!until || !timeline || !timeline->dated || stage->index < 0) return;
    const StageDates *dates = &timeline->stages[stage->index];
    int64_t low = INT64_MAX, high = 0;
    for (int run = 0; run < RUNS; run++) {
        if (dates->begin.on[run] == DAY_NONE || dates->end.on[run] == DAY_NONE) return;
        int64_t days = dates->end.on[run] - dates->begin.on[run];
        if (days < low) low = days;
        if (days > high) high = days;
    }
    fact->numbers = one_interval(source->passing, days_interval(low, high));
    fact->class = low == high ? FACT_POINT : FACT_UNCERTAIN;
}

/* A stage's or task's own clause; what is kept may also be said for the whole time, in climate. */
static Fact fact_of_part(const FactSource *source, const Subject *subject, const Ref *ref)
{
    if (ref->is_role) {
        Name role = subject_role(subject);
        Fact fact = nothing;
        Word *word = ARENA_NEW(source->passing, Word);
        word->name = role;
        set_words(&fact, word, role != NULL);
        fact.class = FACT_POINT;
        fact.stated = true;
        return fact;
    }
    const Clause *clause = block_limit(subject->block, ref->field);
    if (!clause && ref->field->role == ROLE_INSTRUCTION && subject->scope == SCOPE_STAGE &&
        subject->context && subject->context->protocol)
        clause = block_limit(protocol_section(subject->context->protocol, BLOCK_CLIMATE), ref->field);
    Fact fact = fact_of_limit(source, source->passing, clause, true);
    if (subject->scope == SCOPE_STAGE) dated_length(source, subject, &fact);
    return fact;
}

static Fact fact_of_place(const FactSource *source, const Subject *subject, const Ref *ref)
{
    const Clause *clause = statement_in(subject->place, ref->field);
    if (!clause) clause = statement_in(subject->site, ref->field);
    if (!clause) return nothing;
    return clause->reading ? fact_of_statement(source, ref->field, clause->reading, clause)
                           : (Fact){.class = FACT_SPOILED};
}

Fact fact_of(const FactSource *source, const Subject *subject, const Ref *ref)
{
    const Subject *at = subject_at(subject, ref->level);
    if (!at) return nothing;
    if (!ref->field) return fact_of_derived(source, at, ref);
    switch (ref->level) {
    case SCOPE_BATCH: return fact_of_batch(source, at, ref);
    case SCOPE_PROTOCOL: return fact_of_protocol(source, at, ref);
    case SCOPE_STAGE:
    case SCOPE_TASK: return fact_of_part(source, at, ref);
    case SCOPE_PLACE: return fact_of_place(source, at, ref);
    case SCOPE_CLAUSE:
    case SCOPES: break;
    }
    return nothing;
}
