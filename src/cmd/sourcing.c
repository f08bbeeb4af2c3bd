/* heelcut check --sources: what the figures of the protocols rest on. */
#include "cmd/figures.h"
#include "write/sourcing.h"

int check_sources(Job *job)
{
    static const char *const forms[] = {"text", "csv", "json", NULL};
    static SourcingWriter *const writers[] = {sourcing_write_text, sourcing_write_csv, sourcing_write_json};
    int form = job_form(job, forms);
    Load load;
    SurveyFilter filter;
    if (form < 0 || !figures_begin(job, &load, &filter)) return STATUS_TROUBLE;
    writers[form](job->out, &(SourcingReport){job->arena, sourcing_of(job->arena, load.nursery)});
    return figures_end(job);
}
