/* Days on which batches stand together. */
#include "analysis/gathering.h"

#include "analysis/stays.h"
#include "base/vec.h"

typedef VEC(DayStretch) Stretches;

typedef struct Crowd {
    const Code *code;
    const Block *place;
    Name value;
    Stretches sure, perhaps; /* ascending, no two touch */
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

static void add_stretch(Arena *arena, Stretches *stays, DayStretch stay)
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

static bool stretches_meet(const Stretches *a, const Stretches *b)
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

/* ------------------------------------------------------------------ batches */

static void add_value(Gathering *gathering, const Code *code, const Stay *stays, size_t count, Name value)
{
    for (size_t i = 0; i < count; i++) {
        Crowd *crowd = crowd_of(gathering, code, stays[i].place, value);
        add_stretch(gathering->source->lasting, &crowd->sure, stays[i].sure);
        add_stretch(gathering->source->lasting, &crowd->perhaps, stays[i].perhaps);
    }
}

void gathering_add(Gathering *gathering, const Subject *batch)
{
    size_t count;
    const Stay *stays = stays_of(gathering->source, batch, &count);
    for (size_t i = 0; i < gathering->code_count && count; i++) {
        Fact fact = fact_of(gathering->source, batch, &gathering->codes[i]->ref);
        if (fact.class < FACT_NOTHING && fact.word_count == 1)
            add_value(gathering, gathering->codes[i], stays, count, fact.words[0].name);
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
            if (stretches_meet(&a->sure, &b->sure)) return TRUTH_TRUE;
            if (stretches_meet(&a->perhaps, &b->perhaps)) found = TRUTH_UNSURE;
        }
    }
    return found;
}
