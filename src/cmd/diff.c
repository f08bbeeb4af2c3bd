/* heelcut diff: read two nurseries, compare what they mean, write a briefing.
 *
 * Each side is a folder, a file or a revision of the git repository; git itself may call it for single files,
 * with the seven arguments of an external diff.
 */
#include "cmd/job.h"

#include "analysis/diff.h"
#include "cmd/revision.h"
#include "write/briefing.h"
#include "write/report.h"

#include <string.h>
#include <sys/stat.h>

enum { DRIVER_ARGUMENTS = 7, DRIVER_RENAMED = 9 };

static const struct {
    const char *name;
    BriefingWriter *writer;
} forms[] = {
    {"text", briefing_write_text}, {"json", briefing_write_json}, {"markdown", briefing_write_markdown}};

static BriefingWriter *writer_called(const char *name)
{
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
        if (!strcmp(forms[i].name, name ? name : "text")) return forms[i].writer;
    return NULL;
}

/* ------------------------------------------------------------------ which two */

/* One of the two sides: as it is named in the briefing, and where it is read from. */
typedef struct Side {
    const char *name;
    const char *path;     /* NULL: nothing, as before a file was there */
    const char *revision; /* of what lies in `path`; NULL: as it lies there now */
    Load load;
} Side;

typedef struct Sides {
    Side before, after;
    bool for_git; /* called by git, which takes any status but 0 for a failure */
} Sides;

static bool exists(const char *path)
{
    struct stat status;
    return stat(path, &status) == 0;
}

static Side side_of(const char *word, const char *folder)
{
    if (exists(word)) return (Side){.name = word, .path = word};
    return (Side){.name = word, .path = folder, .revision = word};
}

/* git's arguments: path, old file, its hash and mode, new file, its hash and mode; and what it is called now.
 */
static Side side_of_git(const char *path, const char *file)
{
    return (Side){.name = path, .path = strcmp(file, "/dev/null") ? file : NULL};
}

static bool find_sides(Job *job, Sides *sides)
{
    const char *const *words = job->options->paths, *since = job->options->value[OPTION_SINCE];
    size_t count = job->options->path_count;
    if (since && count <= 1) {
        const char *folder = count ? words[0] : ".";
        sides->before = (Side){.name = since, .path = folder, .revision = since};
        sides->after = (Side){.name = folder, .path = folder};
    } else if (!since && count == 1 && !exists(words[0])) {
        sides->before = side_of(words[0], ".");
        sides->after = (Side){.name = ".", .path = "."};
    } else if (!since && (count == 2 || (count == 3 && exists(words[2])))) {
        sides->before = side_of(words[0], count == 3 ? words[2] : ".");
        sides->after = side_of(words[1], count == 3 ? words[2] : ".");
    } else if (!since && (count == DRIVER_ARGUMENTS || count == DRIVER_RENAMED)) {
        sides->before = side_of_git(words[0], words[1]);
        sides->after = side_of_git(count == DRIVER_RENAMED ? words[7] : words[0], words[4]);
        sides->for_git = true;
    } else {
        job_trouble(job, since ? "--since takes one revision, and at most one folder beside it"
                               : "diff takes two: folders, files or revisions; a revision alone is compared "
                                 "with this folder");
        return false;
    }
    return true;
}

/* ------------------------------------------------------------------ reading them */

static bool read_side(Job *job, Side *side, const Nursery *other)
{
    const char *why;
    Notes *notes = notes_new(job->arena, JOB_NOTES);
    side->load = (Load){.arena = job->arena, .notes = notes, .alone = true};
    side->load.nursery = other ? nursery_beside(other, notes) : nursery_new(job->arena, notes);
    if (side->revision && !revision_load(&side->load, side->revision, side->path, &why)) {
        job_trouble(job, "%s is neither a file nor a revision that can be read: %s", side->revision, why);
        return false;
    }
    if (!side->revision && side->path) load_paths(&side->load, &side->path, 1);
    if (!side->revision && !side->path) {
        load_built_in(&side->load);
        load_finish(&side->load, NULL, 0);
    }
    if (!side->load.nothing || !side->path || notes_total(notes)) return true;
    job_trouble(job, "%s holds no file of the language", side->name);
    return false;
}

/* What cannot be read cannot be compared; all other faults are check's to tell. */
static bool is_unreadable(const Note *note)
{
    return !strcmp(note->name, "syntax") || (note->fatal && !strcmp(note->name, "use"));
}

static bool is_readable(Job *job, const Side *side)
{
    size_t count, unreadable = 0;
    Note *const *notes = notes_sorted(side->load.notes, &count);
    Notes *told = notes_new(job->arena, JOB_NOTES);
    for (size_t i = 0; i < count; i++) {
        if (!is_unreadable(notes[i])) continue;
        Note *note = notes_add(told, notes[i]->severity, notes[i]->name, notes[i]->place[0].span, "%s", "");
        uint32_t order = note->order;
        *note = *notes[i];
        note->order = order;
        unreadable++;
    }
    if (!unreadable) return true;
    Report report = {.notes = told, .command = "diff", .failed = true};
    report_write_text(job->errors, &report);
    job_trouble(job, "%s cannot be read as it is, so nothing is compared", side->name);
    return false;
}

/* ------------------------------------------------------------------ all */

int command_diff(Job *job)
{
    const Options *options = job->options;
    BriefingWriter *writer = writer_called(options->value[OPTION_FORMAT]);
    Sides sides = {0};
    if (!writer)
        return job_trouble(job, "--format takes text, json or markdown, not '%s'",
                           options->value[OPTION_FORMAT]);
    if (!find_sides(job, &sides) || !read_side(job, &sides.before, NULL) ||
        !read_side(job, &sides.after, sides.before.load.nursery))
        return STATUS_TROUBLE;
    if (!is_readable(job, &sides.before) || !is_readable(job, &sides.after)) return STATUS_TROUBLE;
    Briefing briefing = {.arena = job->arena,
                         .diff =
                             diff_nurseries(job->arena, sides.before.load.nursery, sides.after.load.nursery),
                         .before = sides.before.name,
                         .after = sides.after.name,
                         .same_bytes = sides.before.load.contents == sides.after.load.contents,
                         .all = options->value[OPTION_ALL] != NULL,
                         .color = job_color(job)};
    writer(job->out, &briefing);
    return briefing.diff->count && !sides.for_git ? STATUS_FINDINGS : STATUS_CLEAN;
}
