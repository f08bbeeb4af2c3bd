/* Reading for commands that reckon: see figures.h. */
#include "cmd/figures.h"

bool figures_begin(Job *job, Load *load, SurveyFilter *filter)
{
    *filter = (SurveyFilter){.batch = slice_of(job->options->value[OPTION_BATCH]), .today = job->today};
    if (!job_read_span(job, &filter->from, &filter->to)) return false;
    *load = (Load){.arena = job->arena, .notes = job->notes, .nursery = nursery_new(job->arena, job->notes)};
    load_paths(load, job->options->paths, job->options->path_count);
    if (load->nothing) {
        figures_end(job);
        job_trouble(job, "there is no file here to reckon with");
        return false;
    }
    return load->table_count || job_option_names(job, load->nursery, OPTION_BATCH, BLOCK_BATCH);
}

void figures_plans(Load *load, TableVisit *give, void *to)
{
    if (give(to, plan_of_blocks(load->nursery))) tables_visit(load, give, to);
}

static bool survey_stretch(void *survey, const Plan *plan)
{
    survey_plan(survey, plan);
    return true;
}

void figures_survey(Load *load, Survey *survey)
{
    figures_plans(load, survey_stretch, survey);
}

int figures_end(Job *job)
{
    return job_tell_notes(job, "figures");
}
