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

static void visit(void *to, const FactSource *source, const SurveyBatch *batch)
{
    Forecast forecast = forecast_of(source, batch);
    forecast_report_add(to, batch->id, &forecast);
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
    ForecastReport *report = forecast_report(job->arena, job->options->value[OPTION_EXPLAIN] != NULL);
    Survey *survey = survey_new(load.nursery, &filter, job_out_of_memory);
    survey_visit(survey, visit, report);
    figures_survey(&load, survey);
    writer(job->out, report);
    survey_free(survey);
    return figures_end(job);
}
