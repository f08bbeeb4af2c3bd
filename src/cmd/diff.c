/* heelcut diff: read two nurseries, compare what they mean, write a briefing. */
#include "cmd/job.h"

#include "analysis/diff.h"
#include "write/briefing.h"
#include "write/report.h"

#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const struct {
    const char *name;
    BriefingWriter *writer;
} forms[] = {{"text", briefing_write_text}};

static BriefingWriter *writer_called(const char *name)
{
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
        if (!strcmp(forms[i].name, name ? name : "text")) return forms[i].writer;
    return NULL;
}

/* One of the two sides. */
typedef struct Side {
    const char *name;
    Notes *notes;
    Load load;
} Side;

static bool read_side(Job *job, Side *side, const char *path, const Nursery *other)
{
    side->name = path;
    side->notes = notes_new(job->arena, JOB_NOTES);
    side->load = (Load){.arena = job->arena, .notes = side->notes, .alone = true};
    side->load.nursery = other ? nursery_beside(other, side->notes) : nursery_new(job->arena, side->notes);
    load_paths(&side->load, &path, 1);
    return true;
}

/* What cannot be read cannot be compared; other faults are check's to tell. */
static bool is_readable(Job *job, const Side *side)
{
    size_t count, unreadable = 0;
    Note *const *notes = notes_sorted(side->notes, &count);
    Notes *told = notes_new(job->arena, JOB_NOTES);
    for (size_t i = 0; i < count; i++) {
        if (strcmp(notes[i]->name, "syntax") && !(notes[i]->fatal && !strcmp(notes[i]->name, "use")))
            continue;
        *notes_add(told, notes[i]->severity, notes[i]->name, notes[i]->place[0].span, "%s", "") = *notes[i];
        unreadable++;
    }
    if (!unreadable) return true;
    Report report = {.notes = told, .command = "diff", .failed = true};
    report_write_text(job->errors, &report);
    job_trouble(job, "%s cannot be read as it is, so nothing is compared", side->name);
    return false;
}

int command_diff(Job *job)
{
    const Options *options = job->options;
    BriefingWriter *writer = writer_called(options->value[OPTION_FORMAT]);
    if (!writer)
        return job_trouble(job, "--format takes text, json or markdown, not '%s'",
                           options->value[OPTION_FORMAT]);
    if (options->path_count != 2) return job_trouble(job, "diff takes two: heelcut diff OLD NEW");
    Side before, after;
    read_side(job, &before, options->paths[0], NULL);
    read_side(job, &after, options->paths[1], before.load.nursery);
    if (!is_readable(job, &before) | !is_readable(job, &after)) return STATUS_TROUBLE;
    Briefing briefing = {.arena = job->arena,
                         .diff = diff_nurseries(job->arena, before.load.nursery, after.load.nursery),
                         .before = before.name,
                         .after = after.name,
                         .all = options->value[OPTION_ALL] != NULL,
                         .color = job_color(job)};
    writer(job->out, &briefing);
    return briefing.diff->count ? STATUS_FINDINGS : STATUS_CLEAN;
}
