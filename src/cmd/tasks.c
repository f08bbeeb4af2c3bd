/* heelcut tasks: read, date, write. */
#include "cmd/figures.h"

#include "analysis/expand.h"
#include "write/report.h"
#include "write/sheet.h"

#include <stdlib.h>
#include <time.h>
#include <unistd.h>

static const char *const form_names[] = {"text", "csv", "json", "calendar", NULL};
static const SheetForm *const forms[] = {&sheet_text, &sheet_csv, &sheet_json, &sheet_calendar};

static bool read_filter(Job *job, const Load *load, WorkFilter *filter)
{
    const Options *options = job->options;
    if (!job_read_span(job, &filter->from, &filter->to) ||
        !job_option_names(job, load->nursery, OPTION_PLACE, BLOCK_PLACE) ||
        (!load->table_count && !job_option_names(job, load->nursery, OPTION_BATCH, BLOCK_BATCH)))
        return false;
    filter->today = job->today;
    filter->place = slice_of(options->value[OPTION_PLACE]);
    filter->batch = slice_of(options->value[OPTION_BATCH]);
    return true;
}

static bool read_previous(Job *job, SheetOptions *options)
{
    enum { CALENDAR_LIMIT = 64 << 20 };
    const char *path = job->options->value[OPTION_PREVIOUS], *why = NULL;
    if (!path) return true;
    int file = file_open(path, &why);
    size_t length = 0;
    char *bytes = file < 0 ? NULL : file_read(job->arena, file, CALENDAR_LIMIT, &length, &why);
    if (file >= 0) close(file);
    if (!bytes) {
        job_trouble(job, "%s cannot be read: %s", path, why);
        return false;
    }
    options->previous = (Slice){bytes, length};
    return true;
}

/* Repeatable output takes its time from outside. */
static int64_t stamp_of_run(void)
{
    const char *epoch = getenv("SOURCE_DATE_EPOCH");
    Number number;
    enum { STAMP_LIMIT = 2000000000 }; /* 2033; and dates beyond are for the clock alone */
    if (epoch && number_read(slice_of(epoch), &number) && number.den == 1 && number.num < STAMP_LIMIT)
        return number.num;
    return (int64_t)time(NULL);
}

typedef struct Target {
    const SheetForm *form;
    Sheet *sheet;
} Target;

static bool give(void *to, const WorkTask *task)
{
    Target *target = to;
    return target->form->task(target->sheet, task);
}

static bool expand_stretch(void *expansion, const Plan *plan)
{
    return expansion_plan(expansion, plan);
}

int command_tasks(Job *job)
{
    int chosen = job_form(job, form_names);
    if (chosen < 0) return STATUS_TROUBLE;
    const SheetForm *form = forms[chosen];
    Load load = {.arena = job->arena, .notes = job->notes, .nursery = nursery_new(job->arena, job->notes)};
    load_paths(&load, job->options->paths, job->options->path_count);
    SheetOptions options = {.nursery = load.nursery,
                            .language = slice_of(job->options->value[OPTION_LANGUAGE]),
                            .color = job_color(job),
                            .spreadsheet = job->options->value[OPTION_SPREADSHEET] != NULL,
                            .stamp = stamp_of_run()};
    if (load.nothing)
        return job_tell_notes(job, "tasks") ? STATUS_TROUBLE
                                            : job_trouble(job, "there is no file here to make work of");
    if (!read_filter(job, &load, &options.filter) || !read_previous(job, &options)) return STATUS_TROUBLE;
    Target target = {form, form->begin(job->arena, job->out, &options)};
    Expansion *expansion = expansion_new(load.nursery, &options.filter, give, &target, job_out_of_memory);
    expansion_check_records(expansion);
    figures_plans(job, &load, expand_stretch, expansion);
    WorkResult result = expansion_finish(expansion);
    form->end(target.sheet, &result);
    expansion_free(expansion);
    return job_tell_notes(job, "tasks");
}
