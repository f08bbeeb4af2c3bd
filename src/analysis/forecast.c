/* Forecasts from losses and lengths: see forecast.h. */
#include "analysis/forecast.h"

#include "analysis/timelines.h"
#include "base/vec.h"

static const double TWENTIETH = 0.05;

/* What lies ahead of every batch of a context. */
typedef struct Outlook {
    const char *missing;
    VEC(Survival) survivals;
    VEC(ForecastStage) stages; /* as many */
    bool ranged;
} Outlook;

Number nursery_sure(const Nursery *nursery)
{
    const Clause *clause = nursery->self ? block_clause(nursery->self, FIELD_ROW(SURE)) : NULL;
    if (clause && clause->reading && clause->reading->numbers.count)
        return clause->reading->numbers.at[0].low.at;
    return (Number){9, 10};
}

/* ------------------------------------------------------------------ what lies ahead */

/* A rate of "rooted" speaks of all up to the last stage whose role it is named after. -1: the protocol has
 * none. */
static int stage_of_rate(const Protocol *protocol, Name rated)
{
    int found = -1;
    for (size_t i = 0; i < protocol->stage_count; i++) {
        const StagePlan *plan = &protocol->schedule->stages[i];
        Name role = plan->role ? plan->role : plan->name;
        if (rated && slice_starts(name_slice(rated), role->text)) found = (int)i;
    }
    return found;
}

static const Reading *rate_of(const Context *context)
{
    const Clause *clause = context->variety ? block_clause(context->variety, FIELD_ROW(RATE)) : NULL;
    return clause && clause->reading && !clause->reading->unknown && clause->reading->numbers.count
               ? clause->reading
               : NULL;
}

static void add(Arena *arena, Outlook *outlook, const char *name, Survival survival)
{
    VEC_PUSH(arena, &outlook->survivals, survival);
    YieldStages so_far = {outlook->survivals.at, outlook->survivals.count};
    VEC_PUSH(arena, &outlook->stages, ((ForecastStage){.name = name, .mean = yield_share_mean(so_far)}));
}

/* What is missing, or NULL. */
static const char *look_ahead(Arena *arena, const Context *context, Outlook *outlook)
{
    const Protocol *protocol = context->protocol;
    const Reading *rate = rate_of(context);
    int last_of_rate = rate ? stage_of_rate(protocol, rate->per) : -1;
    Survival survival;
    if (last_of_rate >= 0) {
        if (survival_of_rate(intervals_hull(rate->numbers), &survival) == SURVIVAL_REFUSED)
            return arena_print(arena, "a rate of %s that can be", context->variety->name->text);
        add(arena, outlook, protocol->stages[last_of_rate]->name->text, survival);
    }
    for (size_t i = (size_t)(last_of_rate + 1); i < protocol->stage_count; i++) {
        const Clause *losses = block_limit(protocol->stages[i], FIELD_ROW(LOSSES));
        const char *name = protocol->stages[i]->name->text;
        if (!losses || !losses->reading || !losses->reading->numbers.count)
            return arena_print(arena, "the losses of %s in %s", name, protocol->name->text);
        SurvivalFinding finding = survival_of_losses(intervals_hull(losses->reading->numbers), &survival);
        if (finding == SURVIVAL_REFUSED) return arena_print(arena, "losses of %s that can be", name);
        add(arena, outlook, name, survival);
    }
    return protocol->stage_count ? NULL : arena_print(arena, "any stage in %s", protocol->name->text);
}

static Outlook *outlook_of(const FactSource *source, Context *context)
{
    if (context->outlook) return context->outlook;
    Outlook *outlook = ARENA_NEW(source->lasting, Outlook);
    outlook->missing = look_ahead(source->lasting, context, outlook);
    return context->outlook = outlook;
}

void forecast_ranges(const FactSource *source, const SurveyBatch *batch)
{
    Outlook *outlook = outlook_of(source, batch->subject->context);
    if (outlook->ranged) return;
    outlook->ranged = true;
    for (size_t i = 0; i < outlook->stages.count; i++) {
        YieldStages so_far = {outlook->survivals.at, i + 1};
        ForecastStage *stage = &outlook->stages.at[i];
        if (yield_share_point(so_far, TWENTIETH, &stage->low) != YIELD_COMPUTED) stage->low = stage->mean;
        if (yield_share_point(so_far, 1 - TWENTIETH, &stage->high) != YIELD_COMPUTED)
            stage->high = stage->mean;
    }
}

/* ------------------------------------------------------------------ figures */

static void take_count(const SurveyBatch *batch, YieldStages stages, Forecast *forecast)
{
    YieldBatch yield = yield_batch(stages, batch->size.count);
    forecast->stuck = batch->size.count;
    forecast->has_count = yield_expected(&yield, &forecast->expected) == YIELD_COMPUTED &&
                          yield_point(&yield, TWENTIETH, &forecast->low) == YIELD_COMPUTED &&
                          yield_point(&yield, 0.5, &forecast->median) == YIELD_COMPUTED &&
                          yield_point(&yield, 1 - TWENTIETH, &forecast->high) == YIELD_COMPUTED;
    if (forecast->has_count && forecast->wants &&
        yield_chance(&yield, forecast->wanted, &forecast->chance) != YIELD_COMPUTED)
        forecast->has_count = false;
}

static void take_needed(const SurveyBatch *batch, YieldStages stages, Forecast *forecast)
{
    forecast->needed_status = yield_needed(stages, forecast->wanted, forecast->sure, &forecast->needed);
    if (yield_on_average(stages, forecast->wanted, &forecast->on_average) != YIELD_COMPUTED)
        forecast->on_average = 0;
    if (forecast->needed_status != YIELD_COMPUTED || !batch->size.cells) return;
    forecast->needed_trays = (forecast->needed + batch->size.cells - 1) / batch->size.cells;
    forecast->needed_whole = forecast->needed_trays * batch->size.cells;
}

/* Counted back along the stages, each at its longest, inside the window of sticking. */
static void take_latest(Arena *arena, const SurveyBatch *batch, Forecast *forecast)
{
    const Context *context = batch->subject->context;
    static const Dates nothing = {{DAY_NONE, DAY_NONE, DAY_NONE}};
    if (forecast->by == DAY_NONE || !context->protocol->schedule) return;
    TimelineInput input = {.take = nothing,
                           .stick = nothing,
                           .stuck = DAY_NONE,
                           .wanted_by = forecast->by,
                           .ended = DAY_NONE,
                           .today = DAY_NONE};
    Timeline timeline = timeline_make(arena, context->protocol->schedule, context->calendar, &input);
    if (timeline.dated) forecast->latest = timeline.stick.on[RUN_LATE];
    const Timeline *planned = batch->subject->timeline;
    forecast->late =
        planned && forecast->latest != DAY_NONE && planned->stick.on[RUN_PLANNED] > forecast->latest;
}

Forecast forecast_of(Arena *arena, const FactSource *source, const SurveyBatch *batch)
{
    const Subject *subject = batch->subject;
    const Reading *want = plan_cell(subject->plan, subject->row, FIELD_ROW(WANT));
    Forecast forecast = {
        .by = DAY_NONE, .latest = DAY_NONE, .of = "finished", .sure = nursery_sure(source->nursery)};
    if (want && want != &reading_spoiled) {
        forecast.wants = true;
        forecast.wanted = number_ceil(want->wanted);
        forecast.by = want->last;
    }
    take_latest(arena, batch, &forecast);
    const Outlook *outlook = outlook_of(source, subject->context);
    forecast.missing = outlook->missing;
    if (forecast.missing) return forecast;
    YieldStages stages = {outlook->survivals.at, outlook->survivals.count};
    forecast.stages = outlook->stages.at;
    forecast.stage_count = outlook->stages.count;
    if (batch->size.has_count) take_count(batch, stages, &forecast);
    if (forecast.wants) take_needed(batch, stages, &forecast);
    return forecast;
}
