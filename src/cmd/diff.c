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

enum { DRIVER_ARGUMENTS = 7, DRIVER_RENAMED = 9, PLAN_NOTES = 1 << 20 /* findings that are compared */ };

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

/* Several are given with commas between them. */
static void load_plans(Job *job, Load *load, const char *plans)
{
    while (plans && *plans) {
        size_t length = strcspn(plans, ",");
        if (length) load_path(load, arena_copy(job->arena, plans, length));
        plans += length + (plans[length] == ',');
    }
}

static bool read_side(Job *job, Side *side, const Nursery *other)
{
    const char *why, *plan = job->options->value[OPTION_PLAN];
    Notes *notes = notes_new(job->arena, plan ? PLAN_NOTES : JOB_NOTES);
    side->load = (Load){.arena = job->arena, .notes = notes, .alone = true};
    side->load.nursery = other ? nursery_beside(other, notes) : nursery_new(job->arena, notes);
    load_begin(&side->load);
    load_plans(job, &side->load, plan); /* first: as part of the side their batches would be passed over */
    size_t files = side->load.nursery->file_count;
    side->load.without_plans = plan != NULL;
    if (side->revision && !revision_load(&side->load, side->revision, side->path, &why)) {
        job_trouble(job, "%s is neither a file nor a revision that can be read: %s", side->revision, why);
        return false;
    }
    if (!side->revision && side->path) load_path(&side->load, side->path);
    bool nothing = side->path && side->load.nursery->file_count == files && !notes_total(notes);
    load_end(&side->load);
    if (nothing) job_trouble(job, "%s holds no file of the language", side->name);
    return !nothing;
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
    Report report = {.notes = told, .command = "diff"};
    report_write_text(job->errors, &report);
    job_trouble(job, "%s cannot be read as it is, so nothing is compared", side->name);
    return false;
}

/* ------------------------------------------------------------------ a plan under both */

/* The same rows of the same file: both sides are read in step. */
static void add_tables(PlanComparison *comparison, Load *before, Load *after)
{
    for (size_t i = 0; i < before->table_count && i < after->table_count; i++) {
        PlanTable *tables[2];
        Load *loads[] = {before, after};
        const Plan *plans[2];
        for (int side = 0; side < 2; side++)
            tables[side] = plan_table_open(loads[side]->nursery, loads[side]->tables[i].name, load_read_table,
                                           &loads[side]->tables[i], job_out_of_memory);
        while ((plans[0] = plan_table_next(tables[0])) && (plans[1] = plan_table_next(tables[1])))
            plan_diff_add(comparison, plans[0], plans[1]);
        for (int side = 0; side < 2; side++) plan_table_close(tables[side]);
    }
}

static const PlanDiff *compare_plan(Job *job, Sides *sides)
{
    Load *before = &sides->before.load, *after = &sides->after.load;
    if (!job->options->value[OPTION_PLAN]) return NULL;
    PlanComparison *comparison =
        plan_diff_begin(job->arena, (PlanSide){before->nursery, before->notes},
                        (PlanSide){after->nursery, after->notes}, job->today, job_out_of_memory);
    plan_diff_add(comparison, plan_of_blocks(before->nursery), plan_of_blocks(after->nursery));
    add_tables(comparison, before, after);
    return plan_diff_end(comparison);
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
                         .plan = compare_plan(job, &sides),
                         .plan_name = options->value[OPTION_PLAN],
                         .before = sides.before.name,
                         .after = sides.after.name,
                         .same_bytes = sides.before.load.contents == sides.after.load.contents,
                         .all = options->value[OPTION_ALL] != NULL,
                         .color = job_color(job)};
    writer(job->out, &briefing);
    bool differs = briefing.diff->count || (briefing.plan && briefing.plan->batch_count);
    return differs && !sides.for_git ? STATUS_FINDINGS : STATUS_CLEAN;
}
