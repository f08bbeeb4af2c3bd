/* Plans that cannot come to what they want: too few cuttings, or too late for the day. */
#include "analysis/lint_work.h"

#include "analysis/forecast.h"

enum { HALF_YEAR = 183 };

static const char *day_text(Arena *arena, Day day)
{
    char text[DAY_TEXT];
    return arena_copy(arena, text, day_write(text, day));
}

static Fault *fault_at(Lint *lint, const Subject *batch, const char *name, Severity severity,
                       const Field *field)
{
    Fault *fault = faults_add(lint->faults);
    fault->rank = RANK_RULE;
    fault->row = (uint32_t)batch->row;
    fault->severity = severity;
    fault->name = name;
    fault->subject = subject_id(lint, batch);
    fault->value = "";
    fault->place = plan_place(batch->plan, batch->row, field);
    fault->accepts = batch->plan->blocks ? batch->plan->blocks[batch->row] : NULL;
    return fault;
}

static void tell_few(Lint *lint, const Subject *batch, const Forecast *forecast)
{
    Arena *arena = lint->source.passing;
    double sure = (double)forecast->sure.num / (double)forecast->sure.den;
    Fault *fault = fault_at(lint, batch, "too-few-stuck", SEVERITY_WARNING, FIELD_ROW(COUNT_OF_BATCH));
    fault->value =
        arena_print(arena, "%lld of %lld", (long long)forecast->wanted, (long long)forecast->stuck);
    fault->message = arena_print(
        arena, "%lld stuck come to %lld finished with a chance of %.0f %%, and %.0f %% is asked for",
        (long long)forecast->stuck, (long long)forecast->wanted, forecast->chance * 100, sure * 100);
    if (forecast->needed_status == YIELD_COMPUTED)
        fault->instead =
            slice_of(forecast->needed_trays
                         ? arena_print(arena, "stick %lld: %lld containers, %lld cuttings",
                                       (long long)forecast->needed, (long long)forecast->needed_trays,
                                       (long long)forecast->needed_whole)
                         : arena_print(arena, "stick %lld", (long long)forecast->needed));
}

static void tell_late(Lint *lint, const Subject *batch, const Forecast *forecast)
{
    Arena *arena = lint->source.passing;
    Fault *fault = fault_at(lint, batch, "stuck-too-late", SEVERITY_WARNING, FIELD_ROW(STICK));
    fault->value = day_text(arena, forecast->by);
    fault->message =
        arena_print(arena, "stuck then it may not be finished by %s", day_text(arena, forecast->by));
    Day planned = batch->timeline ? batch->timeline->stick.on[RUN_PLANNED] : forecast->latest;
    bool this_season = planned - forecast->latest < HALF_YEAR;
    fault->instead = slice_of(
        this_season
            ? arena_print(arena, "stick by %s, if each stage takes its longest",
                          day_text(arena, forecast->latest))
            : "no day of this season's window is early enough: promise it for later, or from an older batch");
}

/* Only what is wanted is reckoned: a batch without `want` costs nothing here. */
void yield_take(Lint *lint, const Subject *batch)
{
    const Reading *want = plan_cell(batch->plan, batch->row, FIELD_ROW(WANT));
    if (!want || want == &reading_spoiled) return;
    SurveyBatch surveyed = {batch, batch->plan->ids[batch->row], batch_size(batch),
                            batch->timeline && batch->timeline->dated};
    Subject dated = *batch;
    if (!surveyed.dated) dated.timeline = NULL;
    surveyed.subject = &dated;
    Forecast forecast = forecast_of(lint->source.passing, &lint->source, &surveyed);
    bool judged = forecast.has_count && !forecast.missing;
    bool few = judged && number_compare(yield_number(forecast.chance), forecast.sure) < 0;
    lint->summary.held += judged && !few;
    lint->summary.broken += few;
    if (few) tell_few(lint, batch, &forecast);
    lint->summary.broken += forecast.late;
    if (forecast.late) tell_late(lint, batch, &forecast);
}
