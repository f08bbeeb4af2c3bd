/* heelcut check: read, judge, report. */
#include "cmd/job.h"

#include "analysis/baseline.h"
#include "analysis/lint.h"
#include "cmd/mend.h"
#include "cmd/tables.h"
#include "syntax/tree.h"
#include "write/report.h"
#include "write/vocabulary.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

static const char *const forms[] = {"text", "json", "sarif", NULL};
static ReportWriter *const writers[] = {report_write_text, report_write_json, report_write_sarif};

/* The lowest severity that makes the status 1; SEVERITIES for never. */
static bool read_fail_on(const char *word, Severity *severity)
{
    *severity = SEVERITY_ERROR;
    if (!word) return true;
    if (!strcmp(word, "never")) {
        *severity = SEVERITIES;
        return true;
    }
    for (int i = SEVERITY_NOTE; i < SEVERITIES; i++) {
        if (strcmp(severity_name[i], word)) continue;
        *severity = (Severity)i;
        return true;
    }
    return false;
}

static bool fails(const Notes *notes, Severity from)
{
    for (Severity i = from; i < SEVERITIES; i++)
        if (notes_count(notes, i)) return true;
    return false;
}

static bool judge_stretch(void *lint, const Plan *plan)
{
    lint_plan(lint, plan);
    return true;
}

/* ------------------------------------------------------------------ what is known already */

/* Takes out what the baseline lists. False: it cannot be read, and that was told. */
static bool apply_baseline(Job *job, uint64_t *known)
{
    const char *path = job->options->value[OPTION_BASELINE], *why;
    size_t length;
    if (!path) return true;
    int file = file_open(path, &why);
    char *bytes = file < 0 ? NULL : file_read(job->arena, file, TEXT_LIMIT, &length, &why);
    if (file >= 0) close(file);
    if (!bytes) {
        job_trouble(job, "%s cannot be read: %s", path, why);
        return false;
    }
    *known = baseline_apply(job->notes, text_new(job->arena, path, bytes, (uint32_t)length, 1));
    return true;
}

static bool write_baseline(Job *job)
{
    const char *path = job->options->value[OPTION_WRITE_BASELINE], *why;
    Replacement replacement;
    if (!path) return true;
    if (!replacement_begin(job->arena, &replacement, path, &why)) {
        job_trouble(job, "%s cannot be written: %s", path, why);
        return false;
    }
    Buffer *out = buffer_to_file(job->arena, replacement.descriptor);
    baseline_write(job->notes, out);
    if (!buffer_flush(out)) {
        why = strerror(errno);
        replacement_give_up(&replacement);
    } else if (replacement_end(&replacement, &why)) {
        return true;
    }
    job_trouble(job, "%s cannot be written: %s", path, why);
    return false;
}

/* ------------------------------------------------------------------ the whole */

/* Nothing of the house was there to judge, and nothing was told that would explain it. */
static bool nothing_to_judge(const Load *load, const Summary *summary)
{
    bool own_rules = false;
    for (size_t i = 0; i < load->nursery->lists[BLOCK_RULE].count; i++)
        own_rules = own_rules || !load->nursery->lists[BLOCK_RULE].at[i]->built_in;
    return !summary->protocols && !summary->batches && !own_rules &&
           !notes_count(load->notes, SEVERITY_ERROR);
}

static int dump_tree(Job *job, Load *load)
{
    if (!job->options->path_count)
        return job_trouble(job, "--dump tree shows files: name one, as in --dump tree nursery.heel");
    for (size_t i = 0; i < job->options->path_count; i++) {
        const Tree *tree = load_tree(load, job->options->paths[i]);
        if (tree) tree_dump(tree, job->out);
    }
    Report report = {.notes = load->notes, .command = "check"};
    if (notes_total(load->notes)) report_write_text(job->errors, &report);
    buffer_flush(job->errors);
    return notes_fatal(load->notes)   ? STATUS_TROUBLE
           : notes_total(load->notes) ? STATUS_FINDINGS
                                      : STATUS_CLEAN;
}

/* Reads and judges all; what is found lies in the job's notes. */
static Summary judge_all(Job *job, Load *load, bool *nothing)
{
    *load = (Load){.arena = job->arena, .notes = job->notes, .nursery = nursery_new(job->arena, job->notes)};
    load_paths(load, job->options->paths, job->options->path_count);
    Lint *lint = lint_new(load->nursery, job->today, job_out_of_memory);
    lint_protocols(lint);
    lint_plan(lint, plan_of_blocks(load->nursery));
    tables_visit(load, judge_stretch, lint);
    Summary summary = *lint_finish(lint);
    *nothing = nothing_to_judge(load, &summary);
    lint_free(lint);
    return summary;
}

static int dump(Job *job, const char *what)
{
    Load load = {.arena = job->arena, .notes = job->notes, .nursery = nursery_new(job->arena, job->notes)};
    if (!strcmp(what, "tree")) return dump_tree(job, &load);
    if (strcmp(what, "vocabulary"))
        return job_trouble(job, "--dump takes tree or vocabulary, not '%s'", what);
    vocabulary_write(job->out);
    return STATUS_CLEAN;
}

int command_check(Job *job)
{
    if (job->options->value[OPTION_SOURCES]) return check_sources(job);
    int form = job_form(job, forms);
    Severity fail_on;
    if (form < 0) return STATUS_TROUBLE;
    if (!read_fail_on(job->options->value[OPTION_FAIL_ON], &fail_on))
        return job_trouble(job, "--fail-on takes error, warning, note or never, not '%s'",
                           job->options->value[OPTION_FAIL_ON]);
    if (job->options->value[OPTION_DUMP]) return dump(job, job->options->value[OPTION_DUMP]);
    Load load;
    bool nothing;
    Summary summary = judge_all(job, &load, &nothing);
    if (job->options->value[OPTION_FIX] && mend_files(job)) {
        job_forget_notes(job);
        summary = judge_all(job, &load, &nothing);
    }
    if (!write_baseline(job) || !apply_baseline(job, &summary.known)) return STATUS_TROUBLE;
    int status = notes_fatal(job->notes) || nothing ? STATUS_TROUBLE
                 : fails(job->notes, fail_on)       ? STATUS_FINDINGS
                                                    : STATUS_CLEAN;
    Report report = {.notes = job->notes,
                     .summary = &summary,
                     .command = "check",
                     .color = job_color(job),
                     .status = status};
    writers[form](job->out, &report);
    if (nothing)
        job_trouble(job, "there is nothing to check here: no protocol, no batch and no rule of the house");
    return status;
}
