/* Reading for commands that reckon: see figures.h. */
#include "cmd/figures.h"

static bool read_day(Job *job, Option option, const char *name, Day *day)
{
    *day = DAY_NONE;
    const char *text = job->options->value[option];
    if (!text || options_date(text, day)) return true;
    job_trouble(job, "--%s takes a date, as 18 Jun 2027 or 2027-06-18, not '%s'", name, text);
    return false;
}

bool figures_begin(Job *job, Load *load, SurveyFilter *filter)
{
    const char *batch = job->options->value[OPTION_BATCH];
    *filter = (SurveyFilter){.batch = slice_of(batch), .today = job->today};
    if (!read_day(job, OPTION_FROM, "from", &filter->from) || !read_day(job, OPTION_TO, "to", &filter->to))
        return false;
    if (filter->from != DAY_NONE && filter->to != DAY_NONE && filter->to < filter->from) {
        job_trouble(job, "--to is before --from");
        return false;
    }
    *load = (Load){.arena = job->arena, .notes = job->notes, .nursery = nursery_new(job->arena, job->notes)};
    load_paths(load, job->options->paths, job->options->path_count);
    if (load->nothing) {
        figures_end(job);
        job_trouble(job, "there is no file here to reckon with");
        return false;
    }
    Name name = batch ? names_find(load->nursery->names, slice_of(batch)) : NULL;
    if (!batch || load->table_count || (name && nursery_find(load->nursery, BLOCK_BATCH, name))) return true;
    const char *near = nursery_nearest(load->nursery, BLOCK_BATCH, slice_of(batch));
    job_trouble(job, "there is no batch '%s'%s%s", batch, near ? "; " : "", near ? near : "");
    return false;
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
