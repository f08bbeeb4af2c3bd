/* Reading for commands that reckon: see figures.h. */
#include "cmd/figures.h"

#include "write/report.h"

#include <unistd.h>

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

void figures_plans(Job *job, Load *load, FiguresPlan *give, void *to)
{
    give(to, plan_of_blocks(load->nursery));
    for (size_t i = 0; i < load->table_count; i++) {
        PlanTable *table = plan_table_open(load->nursery, load->tables[i].name, load_read_table,
                                           &load->tables[i], job_out_of_memory);
        for (const Plan *plan; (plan = plan_table_next(table));) give(to, plan);
        if (plan_table_failed(table)) notes_set_fatal(job->notes);
        plan_table_close(table);
        if (load->tables[i].descriptor >= 0) close(load->tables[i].descriptor);
    }
}

static void survey_stretch(void *to, const Plan *plan)
{
    survey_plan(to, plan);
}

void figures_survey(Job *job, Load *load, Survey *survey)
{
    figures_plans(job, load, survey_stretch, survey);
}

int figures_end(Job *job)
{
    if (!notes_total(job->notes)) return STATUS_CLEAN;
    bool errors = notes_count(job->notes, SEVERITY_ERROR) > 0;
    Report report = {.notes = job->notes, .command = "figures"};
    report_write_text(job->errors, &report);
    buffer_flush(job->errors);
    return notes_fatal(job->notes) ? STATUS_TROUBLE : errors ? STATUS_FINDINGS : STATUS_CLEAN;
}
