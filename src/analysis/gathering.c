/* Days on which batches stand together. */
#include "analysis/gathering.h"

#include "base/vec.h"

typedef struct Stay {
    Day first, leave; /* leave is the first day on which it is no longer there */
} Stay;

typedef VEC(Stay) Stays;

typedef struct Crowd {
    const Code *code;
    const Block *place;
    Name value;
    Stays sure, perhaps; /* ascending, no two touch */
} Crowd;

struct Gathering {
    const FactSource *source;
    const Code *const *codes;
    size_t code_count;
    VEC(Crowd) crowds;
};

Gathering *gathering_new(const FactSource *source, const Code *const *codes, size_t code_count)
{
    Gathering *gathering = ARENA_NEW(source->lasting, Gathering);
    gathering->source = source;
    gathering->codes = codes;
    gathering->code_count = code_count;
    return gathering;
}

static void add_stay(Arena *arena, Stays *stays, Stay stay)
{
    if (stay.first >= stay.leave) return;
    size_t at = 0;
    while (at < stays->count && stays->at[at].leave < stay.first) at++;
    size_t end = at;
    for (; end < stays->count && stays->at[end].first <= stay.leave; end++) {
        if (stays->at[end].first < stay.first) stay.first = stays->at[end].first;
        if (stays->at[end].leave > stay.leave) stay.leave = stays->at[end].leave;
    }
    if (end > at) {
        stays->at[at] = stay;
        memmove(&stays->at[at + 1], &stays->at[end], (stays->count - end) * sizeof *stays->at);
        stays->count -= end - at - 1;
        return;
    }
    (void)VEC_ADD(arena, stays);
    memmove(&stays->at[at + 1], &stays->at[at], (stays->count - 1 - at) * sizeof *stays->at);
    stays->at[at] = stay;
}

static bool stays_meet(const Stays *a, const Stays *b)
{
    for (size_t i = 0, k = 0; i < a->count && k < b->count;) {
        if (a->at[i].first < b->at[k].leave && b->at[k].first < a->at[i].leave) return true;
        if (a->at[i].leave <= b->at[k].leave)
            i++;
        else
            k++;
    }
    return false;
}

static Crowd *crowd_of(Gathering *gathering, const Code *code, const Block *place, Name value)
{
    for (size_t i = 0; i < gathering->crowds.count; i++) {
        Crowd *crowd = &gathering->crowds.at[i];
        if (crowd->code == code && crowd->place == place && crowd->value == value) return crowd;
    }
    Crowd *crowd = VEC_ADD(gathering->source->lasting, &gathering->crowds);
    *crowd = (Crowd){.code = code, .place = place, .value = value};
    return crowd;
}

/* ------------------------------------------------------------------ where a batch stands */

/* When a batch comes to where it stands from a stage or section on. */
static const Dates *begin_of(const Subject *batch, Name from)
{
    const Timeline *timeline = batch->timeline;
    const Schedule *schedule = batch->context->protocol->schedule;
    if (!from || slice_is(name_slice(from), "stick")) return &timeline->stick;
    if (slice_is(name_slice(from), "take")) return &timeline->take;
    for (size_t i = 0; i < schedule->stage_count; i++)
        if (schedule->stages[i].name == from) return &timeline->stages[i].begin;
    return NULL;
}

static int turnaround_days(const Block *place)
{
    enum { DAY_SECONDS = 86400 };
    const Clause *clause = place ? block_clause(place, FIELD_ROW(TURNAROUND)) : NULL;
    Number days;
    if (!clause || !clause->reading || !clause->reading->numbers.count) return 0;
    Bound high = intervals_hull(clause->reading->numbers).high;
    return !high.unbounded && number_divide(high.at, NUMBER(DAY_SECONDS), &days) ? (int)number_ceil(days) : 0;
}

static void add_standing(Gathering *gathering, const Code *code, const Subject *batch, Name value,
                         Name place_name, const Dates *begin, const Dates *leave)
{
    const Block *place = nursery_find(gathering->source->nursery, BLOCK_PLACE, place_name);
    if (!place) place = batch->context->place;
    if (!place || !begin) return;
    Crowd *crowd = crowd_of(gathering, code, place, value);
    add_stay(gathering->source->lasting, &crowd->sure, (Stay){begin->on[RUN_LATE], leave->on[RUN_EARLY]});
    add_stay(gathering->source->lasting, &crowd->perhaps,
             (Stay){begin->on[RUN_EARLY], leave->on[RUN_LATE] + turnaround_days(place)});
}

static void add_value(Gathering *gathering, const Code *code, const Subject *batch, Name value)
{
    const Reading *stands =
        batch->plan ? plan_cell(batch->plan, batch->row, FIELD_ROW(STANDS_OF_BATCH)) : NULL;
    if (!stands || stands == &reading_spoiled) {
        if (batch->context->place)
            add_standing(gathering, code, batch, value, batch->context->place->name, &batch->timeline->stick,
                         &batch->timeline->finish);
        return;
    }
    for (size_t i = 0; i < stands->standing_count; i++) {
        const Dates *begin = begin_of(batch, stands->standings[i].from), *leave = &batch->timeline->finish;
        for (size_t k = 0; k < stands->standing_count; k++) { /* it leaves when the next place begins */
            const Dates *next = begin_of(batch, stands->standings[k].from);
            if (k != i && begin && next && next->on[RUN_PLANNED] > begin->on[RUN_PLANNED] &&
                next->on[RUN_PLANNED] < leave->on[RUN_PLANNED])
                leave = next;
        }
        add_standing(gathering, code, batch, value, stands->standings[i].place, begin, leave);
    }
}

void gathering_add(Gathering *gathering, const Subject *batch)
{
    if (!batch->timeline || !batch->timeline->dated || !batch->context->protocol) return;
    for (size_t i = 0; i < gathering->code_count; i++) {
        Fact fact = fact_of(gathering->source, batch, &gathering->codes[i]->ref);
        if (fact.class < FACT_NOTHING && fact.word_count == 1)
            add_value(gathering, gathering->codes[i], batch, fact.words[0].name);
    }
}

/* ------------------------------------------------------------------ the question */

static bool same_group(const Gathering *gathering, const Code *code, const Block *a, const Block *b)
{
    if (a == b) return true;
    if (!code->has_other) return false;
    Subject place_a = {.scope = SCOPE_PLACE, .place = a}, place_b = {.scope = SCOPE_PLACE, .place = b};
    Fact x = fact_of(gathering->source, &place_a, &code->other),
         y = fact_of(gathering->source, &place_b, &code->other);
    return x.word_count == 1 && y.word_count == 1 && x.words[0].name == y.words[0].name;
}

Truth gathering_mixed(const Gathering *gathering, const Code *code, const Block *place)
{
    Truth found = TRUTH_FALSE;
    for (size_t i = 0; gathering && i < gathering->crowds.count; i++) {
        const Crowd *a = &gathering->crowds.at[i];
        if (a->code != code || a->place != place) continue;
        for (size_t k = 0; k < gathering->crowds.count; k++) {
            const Crowd *b = &gathering->crowds.at[k];
            if (b->code != code || b->value == a->value || !same_group(gathering, code, place, b->place))
                continue;
            if (stays_meet(&a->sure, &b->sure)) return TRUTH_TRUE;
            if (stays_meet(&a->perhaps, &b->perhaps)) found = TRUTH_UNSURE;
        }
    }
    return found;
}
