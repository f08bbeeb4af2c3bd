/* heelcut load: how full places are, day by day. */
#include "cmd/figures.h"
#include "write/occupancy.h"

static const char *const forms[] = {"text", "csv", "json", "svg", NULL};
static OccupancyWriter *const writers[] = {occupancy_write_text, occupancy_write_csv, occupancy_write_json,
                                           occupancy_write_svg};

static void visit(void *to, const FactSource *source, const SurveyBatch *batch)
{
    (void)source;
    occupancy_add(to, batch->subject);
}

int command_load(Job *job)
{
    const Options *options = job->options;
    int form = job_form(job, forms);
    Load load;
    SurveyFilter filter;
    if (form < 0) return STATUS_TROUBLE;
    if (!figures_begin(job, &load, &filter)) return STATUS_TROUBLE;
    if (!job_option_names(job, load.nursery, OPTION_PLACE, BLOCK_PLACE)) return STATUS_TROUBLE;
    OccupancyReport report = {.arena = job->arena,
                              .place = slice_of(options->value[OPTION_PLACE]),
                              .from = filter.from,
                              .to = filter.to,
                              .explain = options->value[OPTION_EXPLAIN] != NULL};
    Survey *survey = survey_new(load.nursery, &filter, job_out_of_memory);
    Occupancy *occupancy = occupancy_new(survey_source(survey));
    survey_visit(survey, visit, occupancy);
    figures_survey(job, &load, survey);
    report.places = occupancy_places(occupancy, &report.place_count);
    report.gaps = occupancy_gaps(occupancy, &report.gap_count);
    writers[form](job->out, &report);
    survey_free(survey);
    return figures_end(job);
}
