/* Counts of a trial beside each other: see trial_result.h. */
#include "analysis/trial_result.h"

#include "base/vec.h"

enum { DAYS_EARLY = 3 }; /* counted on a Friday instead of a Monday is counted on its day */

/* ------------------------------------------------------------------ which count */

static bool is_before_its_day(const TrialResult *result, Day day)
{
    Day settled = result->plan.read.on[RUN_EARLY];
    return settled != DAY_NONE && day < settled - DAYS_EARLY;
}

static bool counts_more(const TrialResult *result, const RecordLine *line)
{
    if (!result->counted) return true;
    bool early = is_before_its_day(result, line->day);
    if (early != result->early) return !early;
    return early ? line->day >= result->counted->day : line->day < result->counted->day;
}

static void choose_count(TrialResult *result, const Block *record)
{
    size_t counts = 0;
    for (const RecordLine *line = record ? record->lines : NULL; line; line = line->next) {
        if (line->verb != VERB_TRIAL || line->thing != result->trial->block->name) continue;
        counts++;
        if (!counts_more(result, line)) continue;
        result->counted = line;
        result->early = is_before_its_day(result, line->day);
    }
    result->others = counts ? counts - 1 : 0;
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
    if (result->early) return TRIAL_PEEKED;
    if (pair->chance < trial_error(trial)) return TRIAL_DIFFERS;
    bool within = pair->difference.low > -matters && pair->difference.high < matters;
    return within ? TRIAL_ALIKE : TRIAL_OPEN;
}

static void compare(Arena *arena, TrialResult *result)
{
    const Trial *trial = result->trial;
    VEC(TrialPair) pairs = {0};
    Tally first;
    if (!result->counted || !trial->way_count || !tally_of(result->counted, trial->ways[0]->name, &first))
        return;
    for (size_t i = 1; i < trial->way_count; i++) {
        TrialPair pair = {.way = trial->ways[i]->name, .first = first};
        if (!tally_of(result->counted, pair.way, &pair.other)) return;
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
    choose_count(&result, batch->subject->record);
    compare(source->lasting, &result);
    return result;
}
