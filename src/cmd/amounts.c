/* heelcut amounts: what to have ready. */
#include "write/amounts.h"

#include "cmd/figures.h"

#include <string.h>

static const char *const forms[] = {"text", "csv", "json", NULL};
static AmountsWriter *const writers[] = {amounts_write_text, amounts_write_csv, amounts_write_json};

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
    int form = job_form(job, forms);
    Load load;
    SurveyFilter filter;
    AmountsReport report = {.arena = job->arena, .explain = job->options->value[OPTION_EXPLAIN] != NULL};
    if (form < 0) return STATUS_TROUBLE;
    if (!read_by(job->options->value[OPTION_BY], &report.by))
        return job_trouble(job, "--by takes batch, week or season, not '%s'", job->options->value[OPTION_BY]);
    if (!figures_begin(job, &load, &filter)) return STATUS_TROUBLE;
    Amounts *amounts = amounts_new(load.nursery);
    Survey *survey = survey_new(load.nursery, &filter, job_out_of_memory);
    survey_visit(survey, amounts_batch, amounts);
    figures_survey(job, &load, survey);
    report.nursery = load.nursery;
    report.amounts = amounts;
    writers[form](job->out, &report);
    survey_free(survey);
    return figures_end(job);
}
