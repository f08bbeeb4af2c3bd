/* heelcut status: how every batch stands, the most urgent first. */
#include "write/status.h"

#include "base/vec.h"
#include "cmd/figures.h"

#include <stdlib.h>

static const char *const forms[] = {"text", "csv", "json", NULL};
static StatusWriter *const writers[] = {status_write_text, status_write_csv, status_write_json};

typedef struct Round {
    Arena *arena;
    const Ledgers *ledgers;
    Trials trials;
    Slice place; /* empty: all */
    VEC(Status) rows;
    VEC(StatusShut) shuts;
} Round;

static bool is_asked(const Round *round, const Block *place)
{
    return !round->place.length || (place && slice_equal(name_slice(place->name), round->place));
}

static void visit(void *to, const FactSource *source, const SurveyBatch *batch)
{
    Round *round = to;
    Status status = status_of(source, round->ledgers, &round->trials, round->arena, batch);
    if (is_asked(round, status.place)) VEC_PUSH(round->arena, &round->rows, status);
    for (size_t i = 0; i < status.shut_count; i++)
        if (!status.shuts[i].place || is_asked(round, status.shuts[i].place))
            VEC_PUSH(round->arena, &round->shuts, status.shuts[i]);
}

int command_status(Job *job)
{
    int form = job_form(job, forms);
    Load load;
    SurveyFilter filter;
    if (form < 0) return STATUS_TROUBLE;
    if (!figures_begin(job, &load, &filter)) return STATUS_TROUBLE;
    if (!job_option_names(job, load.nursery, OPTION_PLACE, BLOCK_PLACE)) return STATUS_TROUBLE;
    Round round = {.arena = job->arena,
                   .ledgers = ledgers_new(job->arena, load.nursery),
                   .trials = trials_of(load.nursery),
                   .place = slice_of(job->options->value[OPTION_PLACE])};
    Survey *survey = survey_new(load.nursery, &filter, job_out_of_memory);
    survey_visit(survey, visit, &round);
    figures_survey(job, &load, survey);
    if (round.rows.count) qsort(round.rows.at, round.rows.count, sizeof(Status), status_compare);
    writers[form](job->out, &(StatusReport){job->arena, job->today, round.rows.at, round.rows.count,
                                            round.shuts.at, round.shuts.count});
    survey_free(survey);
    return figures_end(job);
}
