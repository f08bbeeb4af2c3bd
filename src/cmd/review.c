/* heelcut review: what the records teach. */
#include "cmd/figures.h"
#include "write/trial_result.h"

#include <string.h>

/* ------------------------------------------------------------------ one trial */

static const struct {
    const char *name;
    TrialResultWriter *writer;
} trial_forms[] = {
    {"text", trial_result_write_text}, {"csv", trial_result_write_csv}, {"json", trial_result_write_json}};

static TrialResultWriter *trial_writer_called(const char *name)
{
    for (size_t i = 0; i < sizeof trial_forms / sizeof *trial_forms; i++)
        if (!strcmp(trial_forms[i].name, name ? name : "text")) return trial_forms[i].writer;
    return NULL;
}

typedef struct TrialAsked {
    const Trial *trial;
    TrialResult result;
    bool found; /* its batch */
} TrialAsked;

static void visit_trial(void *to, const FactSource *source, const SurveyBatch *batch)
{
    TrialAsked *asked = to;
    if (!asked->trial->batch || !slice_equal(batch->id, name_slice(asked->trial->batch))) return;
    asked->result = trial_result(source, asked->trial, batch);
    asked->found = true;
}

static int read_trial(Job *job, Load *load, const SurveyFilter *filter)
{
    TrialResultWriter *writer = trial_writer_called(job->options->value[OPTION_FORMAT]);
    const char *name = job->options->value[OPTION_TRIAL];
    if (!writer)
        return job_trouble(job, "--format takes text, csv or json of a trial, not '%s'",
                           job->options->value[OPTION_FORMAT]);
    if (!job_option_names(job, load->nursery, OPTION_TRIAL, BLOCK_TRIAL)) return STATUS_TROUBLE;
    Trials trials = trials_of(load->nursery);
    TrialAsked asked = {.trial = trials_called(&trials, names_find(load->nursery->names, slice_of(name)))};
    Survey *survey = survey_new(load->nursery, filter, job_out_of_memory);
    survey_visit(survey, visit_trial, &asked);
    figures_survey(load, survey);
    survey_free(survey);
    if (!asked.found)
        return job_trouble(job, "the batch in which %s lies is not planned, or what it follows is not known",
                           name);
    writer(job->out, job->arena, &asked.result);
    return figures_end(job);
}

/* ------------------------------------------------------------------ all */

int command_review(Job *job)
{
    Load load;
    SurveyFilter filter;
    if (!figures_begin(job, &load, &filter)) return STATUS_TROUBLE;
    return read_trial(job, &load, &filter);
}
