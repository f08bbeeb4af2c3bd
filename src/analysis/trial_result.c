/* Counts of a trial beside each other: see trial_result.h. */
#include "analysis/trial_result.h"

#include "base/vec.h"

enum { DAYS_EARLY = 3 }; /* counted on a Friday instead of a Monday is counted on its day */

/* ------------------------------------------------------------------ which count */

static bool is_before_its_day(Dates reading, Day day)
{
    Day settled = reading.on[RUN_EARLY];
    return settled != DAY_NONE && day < settled - DAYS_EARLY;
}

static bool counts_more(const TrialCount *count, const RecordLine *line, bool early)
{
    if (!count->line) return true;
    if (early != count->early) return !early;
    return early ? line->day >= count->line->day : line->day < count->line->day;
}

TrialCount trial_count(const Trial *trial, const Block *record, Dates reading)
{
    TrialCount count = {0};
    size_t counts = 0;
    for (const RecordLine *line = record ? record->lines : NULL; line; line = line->next) {
        if (line->verb != VERB_TRIAL || line->thing != trial->block->name) continue;
        counts++;
        bool early = is_before_its_day(reading, line->day);
        if (!counts_more(&count, line, early)) continue;
        count.line = line;
        count.early = early;
    }
    count.others = counts ? counts - 1 : 0;
    return count;
}

/* ------------------------------------------------------------------ two ways */

static bool tally_of(const RecordLine *line, Name way, Tally *tally)
{
    for (size_t i = 0; i < line->class_count; i++) {
        const RecordClass *count = &line->classes[i];
        if (count->name != way || count->of <= 0 || count->count > count->of) continue;
        *tally = (Tally){count->count, count->of};
        return true;
    }
    return false;
}

static TrialVerdict verdict_on(const TrialResult *result, const TrialPair *pair)
{
    const Trial *trial = result->trial;
    double matters = (double)trial->difference.num / (double)trial->difference.den;
    if (result->count.early) return TRIAL_PEEKED;
    if (pair->chance < trial_error(trial)) return TRIAL_DIFFERS;
    bool within = pair->difference.low > -matters && pair->difference.high < matters;
    return within ? TRIAL_ALIKE : TRIAL_OPEN;
}

static void compare(Arena *arena, TrialResult *result)
{
    const Trial *trial = result->trial;
    VEC(TrialPair) pairs = {0};
    Tally first;
    if (!result->count.line || !trial->way_count ||
        !tally_of(result->count.line, trial->ways[0]->name, &first))
        return;
    for (size_t i = 1; i < trial->way_count; i++) {
        TrialPair pair = {.way = trial->ways[i]->name, .first = first};
        if (!tally_of(result->count.line, pair.way, &pair.other)) return;
        pair.difference = proportion_difference(pair.other, 1, first, 1, 1 - trial_error(trial));
        pair.chance = proportion_exact_test(pair.other, first);
        pair.verdict = verdict_on(result, &pair);
        VEC_PUSH(arena, &pairs, pair);
    }
    result->pairs = pairs.at;
    result->pair_count = pairs.count;
}

TrialResult trial_result(const FactSource *source, const Trial *trial, const SurveyBatch *batch)
{
    TrialResult result = {.trial = trial, .plan = trial_plan(source, trial, batch)};
    result.batch = name_slice(trial->batch);
    result.trays = trial_trays(trial);
    result.count = trial_count(trial, batch->subject->record, result.plan.read);
    compare(source->lasting, &result);
    return result;
}
