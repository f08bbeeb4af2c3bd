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

/* The batch that is asked for, while all are given on. */
typedef struct Sought {
    Slice batch;
    bool found;
    TableVisit *give;
    void *to;
} Sought;

static bool look_and_give(void *to, const Plan *plan)
{
    Sought *sought = to;
    for (size_t row = 0; row < plan->rows && !sought->found; row++)
        sought->found = slice_equal(plan->ids[row], sought->batch);
    bool more = sought->give(sought->to, plan);
    if (!more) sought->found = true; /* nobody wants to know any more */
    return more;
}

void figures_plans(Job *job, Load *load, TableVisit *give, void *to)
{
    Sought sought = {slice_of(job->options->value[OPTION_BATCH]), false, give, to};
    sought.found = !sought.batch.length;
    if (look_and_give(&sought, plan_of_blocks(load->nursery))) tables_visit(load, look_and_give, &sought);
    if (sought.found) return;
    Note *note = notes_add(load->notes, SEVERITY_ERROR, "unknown-word", (Span){0},
                           "no batch is called '%.*s'", SLICE_ARG(sought.batch));
    note->fatal = true;
    note->instead = nursery_nearest(load->nursery, BLOCK_BATCH, sought.batch);
}

static bool survey_stretch(void *survey, const Plan *plan)
{
    survey_plan(survey, plan);
    return true;
}

void figures_survey(Job *job, Load *load, Survey *survey)
{
    figures_plans(job, load, survey_stretch, survey);
}

int figures_end(Job *job)
{
    return job_tell_notes(job, "figures");
}
