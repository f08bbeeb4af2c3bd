/* heelcut load: how full places are, day by day. */
#include "cmd/figures.h"
#include "write/occupancy.h"

#include <string.h>

static const struct {
    const char *name;
    OccupancyWriter *writer;
} forms[] = {{"text", occupancy_write_text},
             {"csv", occupancy_write_csv},
             {"json", occupancy_write_json},
             {"svg", occupancy_write_svg}};

static OccupancyWriter *writer_called(const char *name)
{
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
        if (!strcmp(forms[i].name, name ? name : "text")) return forms[i].writer;
    return NULL;
}

static void visit(void *to, const FactSource *source, const SurveyBatch *batch)
{
    (void)source;
    occupancy_add(to, batch->subject);
}

int command_load(Job *job)
{
    const Options *options = job->options;
    OccupancyWriter *writer = writer_called(options->value[OPTION_FORMAT]);
    Load load;
    SurveyFilter filter;
    if (!writer)
        return job_trouble(job, "--format takes text, csv, json or svg, not '%s'",
                           options->value[OPTION_FORMAT]);
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
    figures_survey(&load, survey);
    report.places = occupancy_places(occupancy, &report.place_count);
    report.gaps = occupancy_gaps(occupancy, &report.gap_count);
    writer(job->out, &report);
    survey_free(survey);
    return figures_end(job);
}
