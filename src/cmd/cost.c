/* heelcut cost: what a finished plant costs, beside buying it in. */
#include "write/cost.h"

#include "analysis/expand.h"
#include "cmd/figures.h"

static const char *const forms[] = {"text", "csv", "json", NULL};
static CostWriter *const writers[] = {cost_write_text, cost_write_csv, cost_write_json};

typedef struct Both {
    Expansion *expansion;
    Survey *survey;
} Both;

/* The times of a stretch's tasks come before its batches. */
static bool take_plan(void *to, const Plan *plan)
{
    Both *both = to;
    bool more = expansion_plan(both->expansion, plan);
    survey_plan(both->survey, plan);
    return more;
}

static Note *tell(Job *job, const Load *load, const Cost *cost, const char *name, const char *message)
{
    const Block *batch = nursery_find(load->nursery, BLOCK_BATCH, cost->batch);
    Severity severity = nursery_judged(load->nursery, name, SEVERITY_WARNING);
    if (severity == SEVERITY_OFF) return NULL;
    Note *note = notes_add(job->notes, severity, name, batch ? batch->name_span : (Span){0}, "%s", message);
    note->subject = cost->batch->text;
    return note;
}

static void tell_costs(Job *job, const Load *load, const Cost *list, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const Cost *cost = &list[i];
        const char *id = cost->batch->text;
        Note *note;
        if (cost->has_pays && cost->rate < cost->pays &&
            (note = tell(job, load, cost, "does-not-pay",
                         arena_print(job->arena,
                                     "%s: %.0f %% are expected where the protocol pays from %.0f %% on", id,
                                     cost->rate * 100, cost->pays * 100))))
            note->instead = "buy young plants in, or find out what is lost";
        if (!cost->no_figures && cost->has_buy_in && cost->each > cost->buy_in &&
            (note = tell(job, load, cost, "dearer-than-bought",
                         arena_print(job->arena,
                                     "%s: a finished plant costs %.2f on average, bought in it costs %.2f",
                                     id, cost->each, cost->buy_in))))
            note->instead =
                "buy in, if the plants are as good; freight and the time of ordering are not in the price";
    }
}

int command_cost(Job *job)
{
    int form = job_form(job, forms);
    Load load;
    SurveyFilter filter;
    if (form < 0) return STATUS_TROUBLE;
    if (!figures_begin(job, &load, &filter)) return STATUS_TROUBLE;
    Costs *costs = costs_new(load.nursery);
    WorkFilter all = {.from = DAY_NONE, .to = DAY_NONE, .today = job->today, .batch = filter.batch};
    Both both = {expansion_new(load.nursery, &all, costs_task, costs, job_out_of_memory),
                 survey_new(load.nursery, &filter, job_out_of_memory)};
    survey_visit(both.survey, costs_batch, costs);
    figures_plans(job, &load, take_plan, &both);
    const Clause *currency =
        load.nursery->self ? block_clause(load.nursery->self, FIELD_ROW(CURRENCY)) : NULL;
    CostReport report = {.arena = job->arena,
                         .currency = currency && currency->reading && currency->reading->word_count
                                         ? currency->reading->words[0].name->text
                                         : "",
                         .explain = job->options->value[OPTION_EXPLAIN] != NULL};
    report.list = costs_list(costs, &report.count);
    writers[form](job->out, &report);
    tell_costs(job, &load, report.list, report.count);
    expansion_finish(both.expansion);
    expansion_free(both.expansion);
    survey_free(both.survey);
    return figures_end(job);
}
