/* heelcut amounts: what to have ready. */
#include "write/amounts.h"

#include "cmd/figures.h"

#include <string.h>

static const struct {
    const char *name;
    AmountsWriter *writer;
} forms[] = {{"text", amounts_write_text}, {"csv", amounts_write_csv}, {"json", amounts_write_json}};

static AmountsWriter *writer_called(const char *name)
{
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
        if (!strcmp(forms[i].name, name ? name : "text")) return forms[i].writer;
    return NULL;
}

static bool read_by(const char *word, AmountsBy *by)
{
    static const char *const words[] = {[BY_BATCH] = "batch", [BY_WEEK] = "week", [BY_SEASON] = "season"};
    *by = BY_BATCH;
    for (int i = 0; word && i <= BY_SEASON; i++) {
        if (strcmp(words[i], word)) continue;
        *by = (AmountsBy)i;
        return true;
    }
    return !word;
}

int command_amounts(Job *job)
{
    AmountsWriter *writer = writer_called(job->options->value[OPTION_FORMAT]);
    Load load;
    SurveyFilter filter;
    AmountsReport report = {.arena = job->arena, .explain = job->options->value[OPTION_EXPLAIN] != NULL};
    if (!writer)
        return job_trouble(job, "--format takes text, csv or json, not '%s'",
                           job->options->value[OPTION_FORMAT]);
    if (!read_by(job->options->value[OPTION_BY], &report.by))
        return job_trouble(job, "--by takes batch, week or season, not '%s'", job->options->value[OPTION_BY]);
    if (!figures_begin(job, &load, &filter)) return STATUS_TROUBLE;
    Amounts *amounts = amounts_new(load.nursery);
    Survey *survey = survey_new(load.nursery, &filter, job_out_of_memory);
    survey_visit(survey, amounts_batch, amounts);
    figures_survey(&load, survey);
    report.nursery = load.nursery;
    report.amounts = amounts;
    writer(job->out, &report);
    survey_free(survey);
    return figures_end(job);
}
