/* heelcut yield: how many come through, and how many it takes. */
#include "write/forecast.h"

#include "cmd/figures.h"

static const char *const forms[] = {"text", "csv", "json", NULL};
static ForecastWriter *const writers[] = {forecast_write_text, forecast_write_csv, forecast_write_json};

typedef struct Round {
    const Ledgers *ledgers;
    ForecastReport *report;
} Round;

static void visit(void *to, const FactSource *source, const SurveyBatch *batch)
{
    const Round *round = to;
    Forecast forecast = forecast_of(source, round->ledgers, batch);
    forecast_report_add(round->report, batch->id, &forecast);
}

int command_yield(Job *job)
{
    int form = job_form(job, forms);
    Load load;
    SurveyFilter filter;
    if (form < 0) return STATUS_TROUBLE;
    if (!figures_begin(job, &load, &filter)) return STATUS_TROUBLE;
    Round round = {ledgers_new(job->arena, load.nursery),
                   forecast_report(job->arena, job->options->value[OPTION_EXPLAIN] != NULL)};
    Survey *survey = survey_new(load.nursery, &filter, job_out_of_memory);
    survey_visit(survey, visit, &round);
    figures_survey(job, &load, survey);
    writers[form](job->out, round.report);
    survey_free(survey);
    return figures_end(job);
}
