/* Trials before they are counted: see trial_plan.h. */
#include "analysis/trial_plan.h"

#include "analysis/outlook.h"
#include "analysis/proportion.h"

static const Dates no_day = {{DAY_NONE, DAY_NONE, DAY_NONE}};

double trial_error(const Trial *trial)
{
    return trial->way_count > 2 ? TRIAL_ERROR / (double)(trial->way_count - 1) : TRIAL_ERROR;
}

/* ------------------------------------------------------------------ how many */

static int64_t trays_of_way(const Block *way)
{
    const Clause *trays = block_clause(way, FIELD_ROW(TRAYS_OF_WAY));
    int64_t count = 0;
    for (size_t i = 0; trays && trays->reading && i < trays->reading->numbers.count; i++) {
        Interval numbers = trays->reading->numbers.at[i];
        if (!numbers.low.unbounded && !numbers.high.unbounded)
            count += number_floor(numbers.high.at) - number_ceil(numbers.low.at) + 1;
    }
    return count;
}

int64_t trial_trays(const Trial *trial)
{
    int64_t least = 0;
    for (size_t i = 0; i < trial->way_count; i++) {
        int64_t count = trays_of_way(trial->ways[i]);
        if (!i || count < least) least = count;
    }
    return least;
}

static int64_t cuttings_of_way(const Block *way, const BatchSize *size, size_t ways)
{
    int64_t trays = trays_of_way(way);
    if (trays && size->cells) return trays * size->cells;
    return size->has_count ? size->count / (int64_t)ways : 0;
}

static void take_each(const Trial *trial, const BatchSize *size, TrialPlan *plan)
{
    for (size_t i = 0; i < trial->way_count; i++) {
        int64_t count = cuttings_of_way(trial->ways[i], size, trial->way_count);
        if (!i || count < plan->each) plan->each = count;
    }
    plan->has_each = plan->each > 0;
}

/* What is counted is promised where a stage has that role: `rooted` at the end of root. */
static void take_expected(const FactSource *source, const Trial *trial, const SurveyBatch *batch,
                          TrialPlan *plan)
{
    const Context *context = batch->subject->context;
    const Outlook *outlook = outlook_of(source, context);
    size_t stages = trial->measure && !outlook->missing
                        ? outlook_stages_of(outlook, context->protocol, name_slice(trial->measure))
                        : 0;
    plan->has_expected = stages > 0;
    plan->expected = stages ? yield_share_mean((YieldStages){outlook->stages.at, stages}) : 0.5;
}

/* Better or worse by so much: the one that takes more. Without an expected share, the two on either side of a
 * half. */
static int64_t needed(const Trial *trial, const TrialPlan *plan)
{
    double apart = (double)trial->difference.num / (double)trial->difference.den, error = trial_error(trial);
    if (apart <= 0 || apart >= 1) return 0;
    if (!plan->has_expected) return proportion_needed(0.5 - apart / 2, 0.5 + apart / 2, error, TRIAL_POWER);
    int64_t most = 0;
    for (int side = -1; side <= 1; side += 2) {
        double other = plan->expected + side * apart;
        if (other < 0 || other > 1) continue;
        int64_t one = proportion_needed(plan->expected, other, error, TRIAL_POWER);
        if (one > most) most = one;
    }
    return most;
}

/* ------------------------------------------------------------------ when */

static Dates stage_day(const Subject *batch, const WrittenMoment *moment)
{
    const Schedule *schedule = batch->context->protocol->schedule;
    for (size_t i = 0; i < schedule->stage_count; i++)
        if (schedule->stages[i].name == moment->stage)
            return moment->kind == MOMENT_START ? batch->timeline->stages[i].begin
                                                : batch->timeline->stages[i].end;
    return no_day;
}

static Dates moment_day(const Subject *batch, const WrittenMoment *moment)
{
    switch (moment->kind) {
    case MOMENT_TAKE: return batch->timeline->take;
    case MOMENT_STICK: return batch->timeline->stick;
    case MOMENT_FINISH: return batch->timeline->finish;
    case MOMENT_START:
    case MOMENT_END: return stage_day(batch, moment);
    case MOMENT_NONE:
    case MOMENT_EVENT: break;
    }
    return no_day;
}

Dates trial_due(const Trial *trial, const Subject *batch)
{
    if (!trial->read || !batch->timeline || !batch->timeline->dated) return no_day;
    Dates dates = moment_day(batch, &trial->read->moment);
    const int32_t days[] = {trial->read->span.low, trial->read->span.planned, trial->read->span.high};
    for (int run = 0; run < RUNS; run++) {
        if (dates.on[run] == DAY_NONE) return no_day;
        dates.on[run] += days[run];
    }
    return dates;
}

Dates trial_reading(const Trial *trial, const Subject *batch)
{
    enum { SLACK = 3 };
    Dates dates = trial_due(trial, batch);
    bool found;
    for (int run = 0; run < RUNS && dates.on[run] != DAY_NONE; run++)
        dates.on[run] = calendar_moved(batch->context->calendar, dates.on[run], SLACK, SLACK_EITHER, &found);
    return dates;
}

TrialPlan trial_plan(const FactSource *source, const Trial *trial, const SurveyBatch *batch)
{
    TrialPlan plan = {.read = trial_reading(trial, batch->subject)};
    take_each(trial, &batch->size, &plan);
    take_expected(source, trial, batch, &plan);
    plan.needed = needed(trial, &plan);
    return plan;
}
