/* heelcut yield: how many come through, and how many it takes. */
#include "write/forecast.h"

#include "cmd/figures.h"

#include <string.h>

static const struct {
    const char *name;
    ForecastWriter *writer;
} forms[] = {{"text", forecast_write_text}, {"csv", forecast_write_csv}, {"json", forecast_write_json}};

static ForecastWriter *writer_called(const char *name)
{
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
        if (!strcmp(forms[i].name, name ? name : "text")) return forms[i].writer;
    return NULL;
}

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
    ForecastWriter *writer = writer_called(job->options->value[OPTION_FORMAT]);
    Load load;
    SurveyFilter filter;
    if (!writer)
        return job_trouble(job, "--format takes text, csv or json, not '%s'",
                           job->options->value[OPTION_FORMAT]);
    if (!figures_begin(job, &load, &filter)) return STATUS_TROUBLE;
    Round round = {ledgers_new(job->arena, load.nursery),
                   forecast_report(job->arena, job->options->value[OPTION_EXPLAIN] != NULL)};
    Survey *survey = survey_new(load.nursery, &filter, job_out_of_memory);
    survey_visit(survey, visit, &round);
    figures_survey(&load, survey);
    writer(job->out, round.report);
    survey_free(survey);
    return figures_end(job);
}
