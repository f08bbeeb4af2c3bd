/* Forecasts from losses and lengths: see forecast.h. */
#include "analysis/forecast.h"

static const double TWENTIETH = 0.05;

/* The chance of what is planned is remembered; what is recorded is another in every batch. */
static YieldStatus chance_of(const FactSource *source, const Outlook *outlook, const YieldBatch *yield,
                             Forecast *forecast)
{
    if (forecast->progress.begun) return yield_chance(yield, forecast->wanted, &forecast->chance);
    return outlook_chance(source, outlook, yield->stuck, forecast->wanted, &forecast->chance);
}

static void take_count(const FactSource *source, const SurveyBatch *batch, const Outlook *outlook,
                       Forecast *forecast)
{
    const Progress *progress = &forecast->progress;
    YieldBatch yield = progress->begun ? progress->ahead : yield_batch(outlook->stages, batch->size.count);
    forecast->stuck = progress->begun ? progress->stuck : batch->size.count;
    forecast->has_count = yield_expected(&yield, &forecast->expected) == YIELD_COMPUTED &&
                          yield_point(&yield, TWENTIETH, &forecast->low) == YIELD_COMPUTED &&
                          yield_point(&yield, 0.5, &forecast->median) == YIELD_COMPUTED &&
                          yield_point(&yield, 1 - TWENTIETH, &forecast->high) == YIELD_COMPUTED;
    if (forecast->has_count && forecast->wants &&
        chance_of(source, outlook, &yield, forecast) != YIELD_COMPUTED)
        forecast->has_count = false;
}

static void take_needed(const FactSource *source, const SurveyBatch *batch, const Outlook *outlook,
                        Forecast *forecast)
{
    forecast->needed_status = outlook_needed(source, outlook, forecast->wanted, &forecast->needed);
    if (yield_on_average(outlook->stages, forecast->wanted, &forecast->on_average) != YIELD_COMPUTED)
        forecast->on_average = 0;
    if (forecast->needed_status != YIELD_COMPUTED || !batch->size.each) return;
    forecast->needed_trays = (forecast->needed + batch->size.each - 1) / batch->size.each;
    forecast->needed_whole = forecast->needed_trays * batch->size.each;
}

static void take_latest(const FactSource *source, const SurveyBatch *batch, Forecast *forecast)
{
    const Timeline *planned = batch->subject->timeline;
    forecast->latest = outlook_latest(source, batch->subject->context, forecast->by);
    forecast->late =
        planned && forecast->latest != DAY_NONE && planned->stick.on[RUN_PLANNED] > forecast->latest;
}

Forecast forecast_of(const FactSource *source, const Ledgers *ledgers, const SurveyBatch *batch)
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
    take_latest(source, batch, &forecast);
    Outlook *outlook = outlook_of(source, subject->context);
    forecast.missing = outlook->missing;
    if (forecast.missing) return forecast;
    forecast.stages = outlook_shares(source, outlook);
    forecast.stage_count = outlook->stages.count;
    if (ledgers) forecast.progress = progress_of(source, ledgers, batch, outlook);
    if (batch->size.has_count || forecast.progress.begun) take_count(source, batch, outlook, &forecast);
    if (forecast.wants) take_needed(source, batch, outlook, &forecast);
    return forecast;
}
