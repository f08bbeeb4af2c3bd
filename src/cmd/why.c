/* heelcut why: find the batch or protocol, and tell what something of it follows from. */
#include "cmd/tables.h"

#include "analysis/lint.h"
#include "analysis/why.h"
#include "model/protocol.h"
#include "write/reasons.h"

static const char *const forms[] = {"text", "json", NULL};
static ReasonsWriter *const writers[] = {reasons_write_text, reasons_write_json};

typedef struct Asked {
    Job *job;
    Load *load;
    Lint *lint;
    const char *id, *what;
    ReasonsWriter *writer;
    bool found;    /* the batch or protocol */
    bool answered; /* what was asked of it is known */
    const char *nearest;
} Asked;

static void answer(Asked *asked, const WhySubject *subject)
{
    Why why = why_is(subject, asked->what);
    asked->found = true;
    if (!why.count) {
        asked->nearest = why.nearest;
        return;
    }
    asked->answered = true;
    asked->writer(asked->job->out, asked->load->nursery, &why);
}

/* Judges a stretch of batches, so that findings are there to be explained, and answers for the one that is
 * asked for. */
static bool look_at_plan(void *to, const Plan *plan)
{
    Asked *asked = to;
    Nursery *nursery = asked->load->nursery;
    size_t row = 0;
    while (row < plan->rows && !slice_is(plan->ids[row], asked->id)) row++;
    if (row == plan->rows) return true;
    lint_plan(asked->lint, plan);
    const Reading *follows = plan_cell(plan, row, FIELD_ROW(FOLLOW));
    const Protocol *protocol =
        follows && follows->word_count ? nursery_protocol(nursery, follows->words[0].name) : NULL;
    WhySubject subject = {nursery, protocol, plan, row, asked->job->today};
    answer(asked, &subject);
    return false;
}

static void look_at_protocols(Asked *asked)
{
    Nursery *nursery = asked->load->nursery;
    Name name = names_find(nursery->names, slice_of(asked->id));
    const Protocol *protocol = name ? nursery_protocol(nursery, name) : NULL;
    WhySubject subject = {.nursery = nursery, .protocol = protocol, .today = asked->job->today};
    if (protocol) answer(asked, &subject);
}

static int not_found(const Asked *asked)
{
    const Nursery *nursery = asked->load->nursery;
    const char *near = nursery_nearest(nursery, BLOCK_BATCH, slice_of(asked->id));
    if (!near) near = nursery_nearest(nursery, BLOCK_PROTOCOL, slice_of(asked->id));
    return job_trouble(asked->job, "there is no batch and no protocol '%s'%s%s", asked->id, near ? "; " : "",
                       near ? near : "");
}

int command_why(Job *job)
{
    const Options *options = job->options;
    int form = job_form(job, forms);
    if (form < 0) return STATUS_TROUBLE;
    if (options->path_count < 2)
        return job_trouble(job, "why takes a batch or a protocol, and what of it: heelcut why H27-04 depth");
    Load load = {.arena = job->arena, .notes = job->notes, .nursery = nursery_new(job->arena, job->notes)};
    load_paths(&load, options->paths + 2, options->path_count - 2);
    Asked asked = {.job = job,
                   .load = &load,
                   .id = options->paths[0],
                   .what = options->paths[1],
                   .writer = writers[form]};
    Lint *lint = lint_new(load.nursery, job->today, job_out_of_memory);
    lint_protocols(lint);
    asked.lint = lint;
    if (look_at_plan(&asked, plan_of_blocks(load.nursery))) tables_visit(&load, look_at_plan, &asked);
    if (!asked.found) look_at_protocols(&asked);
    lint_free(lint);
    if (!asked.found) return not_found(&asked);
    if (!asked.answered)
        return job_trouble(job, "%s has no field, stage, task or finding '%s'%s%s", asked.id, asked.what,
                           asked.nearest ? "; " : "", asked.nearest ? asked.nearest : "");
    return STATUS_CLEAN;
}
