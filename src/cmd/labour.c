/* heelcut work: hours by week, held against the crews. */
#include "analysis/expand.h"
#include "cmd/figures.h"
#include "write/labour.h"

#include <unistd.h>

static const char *const forms[] = {"text", "csv", "json", NULL};
static LabourWriter *const writers[] = {labour_write_text, labour_write_csv, labour_write_json};

/* What goes to both: tasks by the expansion, taking and sticking by the survey. */
typedef struct Both {
    Expansion *expansion;
    Survey *survey;
} Both;

static bool take_plan(void *to, const Plan *plan)
{
    Both *both = to;
    survey_plan(both->survey, plan);
    return expansion_plan(both->expansion, plan);
}

static void tell_weeks(Job *job, const Load *load, const LabourWeek *weeks, size_t count)
{
    const BlockList *crews = &load->nursery->lists[BLOCK_CREW];
    for (size_t i = 0; i < count && crews->count; i++) {
        bool over = number_compare(weeks[i].low, weeks[i].crew) > 0;
        if (!weeks[i].has_crew || (!over && number_compare(weeks[i].high, weeks[i].crew) <= 0)) continue;
        Severity severity =
            nursery_judged(load->nursery, "too-much-work", over ? SEVERITY_WARNING : SEVERITY_NOTE);
        char day[DAY_TEXT];
        if (severity == SEVERITY_OFF) continue;
        day_write(day, weeks[i].monday);
        Note *note = notes_add(job->notes, severity, "too-much-work", crews->at[0]->name_span,
                               "the week of %s has %s hours of work than the crews", day,
                               over ? "more" : "perhaps more");
        note->subject = arena_print(job->arena, "%s", day);
        note->instead = "stick part of it in another week, or ask for more hands in time";
    }
}

int command_work(Job *job)
{
    int form = job_form(job, forms);
    Load load;
    SurveyFilter filter;
    if (form < 0) return STATUS_TROUBLE;
    if (!figures_begin(job, &load, &filter)) return STATUS_TROUBLE;
    Labour *labour = labour_new(load.nursery, filter.from, filter.to);
    WorkFilter all = {.from = DAY_NONE, .to = DAY_NONE, .today = job->today, .batch = filter.batch};
    Both both = {expansion_new(load.nursery, &all, labour_task, labour, job_out_of_memory),
                 survey_new(load.nursery, &filter, job_out_of_memory)};
    expansion_check_records(both.expansion);
    survey_visit(both.survey, labour_batch, labour);
    figures_plans(job, &load, take_plan, &both);
    LabourReport report = {.arena = job->arena, .explain = job->options->value[OPTION_EXPLAIN] != NULL};
    report.weeks = labour_weeks(labour, &report.count);
    writers[form](job->out, &report);
    tell_weeks(job, &load, report.weeks, report.count);
    expansion_finish(both.expansion);
    expansion_free(both.expansion);
    survey_free(both.survey);
    return figures_end(job);
}
