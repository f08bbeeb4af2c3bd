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
#include <unistd.h>

enum { DRIVER_ARGUMENTS = 7, DRIVER_RENAMED = 9, PLAN_NOTES = 1 << 20 /* findings that are compared */ };

static const char *const forms[] = {"text", "json", "markdown", NULL};
static BriefingWriter *const writers[] = {briefing_write_text, briefing_write_json, briefing_write_markdown};

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

/* Several are given with commas between them. False: what both sides read cannot come but once. */
static bool load_plans(Job *job, Load *load, const char *plans)
{
    while (plans && *plans) {
        size_t length = strcspn(plans, ",");
        const char *path = arena_copy(job->arena, plans, length);
        if (!strcmp(path, "-")) {
            job_trouble(job, "--plan takes files, not standard input: both sides read it");
            return false;
        }
        if (length) load_path(load, path);
        plans += length + (plans[length] == ',');
    }
    return true;
}

static bool read_side(Job *job, Side *side, const Nursery *other)
{
    const char *why, *plan = job->options->value[OPTION_PLAN];
    Notes *notes = notes_new(job->arena, plan ? PLAN_NOTES : JOB_NOTES);
    side->load = (Load){.arena = job->arena, .notes = notes, .alone = true};
    side->load.nursery = other ? nursery_beside(job->arena, other, notes) : nursery_new(job->arena, notes);
    load_begin(&side->load);
    /* First: as part of the side their batches would be passed over. */
    if (!load_plans(job, &side->load, plan)) return false;
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

/* ------------------------------------------------------------------ what could not be read */

/* What cannot be read cannot be compared. */
static bool is_unreadable(const Note *note)
{
    return !strcmp(note->name, "syntax") || !strcmp(note->name, "language") ||
           (note->fatal && !strcmp(note->name, "use"));
}

/* What is read and not understood is left out of the nursery, and so of the comparison. All other faults are
 * check's to tell. */
static bool is_left_out(const Note *note)
{
    return note->left_out;
}

/* Tells the notes of a side that are chosen; gives how many. To git everything is told where it shows the
 * difference. */
static size_t tell(Job *job, const Sides *sides, const Side *side, bool chosen(const Note *note))
{
    size_t count, told = 0;
    Note *const *notes = notes_sorted(side->load.notes, &count);
    Notes *list = notes_new(job->arena, JOB_NOTES);
    for (size_t i = 0; i < count; i++) {
        if (!chosen(notes[i])) continue;
        Note *note = notes_add(list, notes[i]->severity, notes[i]->name, notes[i]->place[0].span, "%s", "");
        uint32_t order = note->order;
        *note = *notes[i];
        note->order = order;
        told++;
    }
    Report report = {.notes = list, .command = "diff"};
    if (told) report_write_text(sides->for_git ? job->out : job->errors, &report);
    return told;
}

/* Trouble, which git would take for a reason to stop at this file. */
static int give_up(Job *job, const Sides *sides, const char *name)
{
    if (!sides->for_git) return job_trouble(job, "%s cannot be read as it is, so nothing is compared", name);
    buffer_escaped(job->out, slice_of(name));
    buffer_text(job->out, " cannot be read as it is, so nothing is compared\n");
    return STATUS_CLEAN;
}

static bool is_readable(Job *job, const Sides *sides, const Side *side)
{
    return !tell(job, sides, side, is_unreadable) && !notes_full(side->load.notes);
}

/* ------------------------------------------------------------------ tables */

/* One reading of a table, from its begin. */
typedef struct Reel {
    TableFile file;
    uint64_t *contents; /* NULL, or what the bytes are added to */
} Reel;

static ptrdiff_t read_reel(void *from, char *to, size_t room)
{
    Reel *reel = from;
    ptrdiff_t count = load_read_table(&reel->file, to, room);
    for (ptrdiff_t i = 0; reel->contents && i < count; i++)
        *reel->contents = (*reel->contents ^ (unsigned char)to[i]) * UINT64_C(0x100000001b3); /* FNV */
    return count;
}

/* False: it cannot be read from its begin, as a pipe cannot twice. */
static bool wind(Job *job, Reel *reel, const TableFile *file)
{
    reel->file = *file;
    if (file->descriptor < 0) return true;
    reel->file.ahead_length = 0;
    if (lseek(file->descriptor, 0, SEEK_SET) == 0) return true;
    job_trouble(job, "%s cannot be read twice, so nothing is compared: name a file", file->name);
    return false;
}

typedef void TakeRows(BatchRows *rows, int side, const Plan *plan);

static bool read_tables(Job *job, BatchRows *rows, int side, Load *load, TakeRows *take)
{
    for (size_t i = 0; i < load->table_count; i++) {
        Reel reel = {.contents = take == batch_rows_weigh ? &load->contents : NULL};
        if (!wind(job, &reel, &load->tables[i])) return false;
        PlanTable *table =
            plan_table_open(load->nursery, load->tables[i].name, read_reel, &reel, job_out_of_memory);
        for (const Plan *plan; (plan = plan_table_next(table));) take(rows, side, plan);
        bool failed = plan_table_failed(table);
        plan_table_close(table);
        if (failed) job_trouble(job, "%s cannot be read, so nothing is compared", load->tables[i].name);
        if (failed) return false;
    }
    return true;
}

static bool read_rows(Job *job, Sides *sides, BatchRows *rows, TakeRows *take)
{
    return read_tables(job, rows, 0, &sides->before.load, take) &&
           read_tables(job, rows, 1, &sides->after.load, take);
}

/* ------------------------------------------------------------------ a plan under both */

/* The same table as both sides read it, in step. */
static bool add_table(Job *job, PlanComparison *comparison, Load *loads[2], size_t index)
{
    Reel reels[2] = {{.contents = NULL}, {.contents = NULL}};
    PlanTable *tables[2];
    bool ended[2] = {false, false}, failed = false;
    for (int side = 0; side < 2; side++) {
        if (!wind(job, &reels[side], &loads[side]->tables[index])) return false;
        tables[side] = plan_table_open(loads[side]->nursery, loads[side]->tables[index].name, read_reel,
                                       &reels[side], job_out_of_memory);
    }
    while (!ended[0] || !ended[1]) {
        int side = plan_diff_behind(comparison);
        if (ended[side]) side = !side;
        const Plan *plan = plan_table_next(tables[side]);
        if (plan)
            plan_diff_add(comparison, side, plan);
        else
            ended[side] = true;
    }
    for (int side = 0; side < 2; side++) {
        failed = failed || plan_table_failed(tables[side]);
        plan_table_close(tables[side]);
    }
    if (failed) job_trouble(job, "%s cannot be read", loads[0]->tables[index].name);
    return !failed;
}

/* NULL after telling why there is none. */
static const PlanDiff *compare_plan(Job *job, Sides *sides)
{
    Load *loads[] = {&sides->before.load, &sides->after.load};
    bool good = true;
    PlanComparison *comparison =
        plan_diff_begin(job->arena, (PlanSide){loads[0]->nursery, loads[0]->notes},
                        (PlanSide){loads[1]->nursery, loads[1]->notes}, job->today, job_out_of_memory);
    for (int side = 0; side < 2; side++)
        plan_diff_add(comparison, side, plan_of_blocks(loads[side]->nursery));
    for (size_t i = 0; i < loads[0]->table_count && good; i++) good = add_table(job, comparison, loads, i);
    const PlanDiff *plan = plan_diff_end(comparison);
    if (good && is_readable(job, sides, &sides->before)) return plan;
    if (good) give_up(job, sides, job->options->value[OPTION_PLAN]);
    return NULL;
}

/* ------------------------------------------------------------------ all */

static int status_of(const Sides *sides, const Briefing *briefing)
{
    bool differs = briefing->diff->count || (briefing->plan && briefing->plan->batch_count);
    if (sides->for_git) return STATUS_CLEAN;
    if (briefing->left_out && !briefing->same_bytes) return STATUS_TROUBLE;
    return differs ? STATUS_FINDINGS : STATUS_CLEAN;
}

static int compare(Job *job, Sides *sides, BriefingWriter *writer)
{
    Side *before = &sides->before, *after = &sides->after;
    BatchRows *rows = batch_rows_new(job->arena, before->load.nursery, after->load.nursery);
    bool with_plan = job->options->value[OPTION_PLAN] != NULL;
    if (!is_readable(job, sides, before)) return give_up(job, sides, before->name);
    if (!is_readable(job, sides, after)) return give_up(job, sides, after->name);
    if (!with_plan && !read_rows(job, sides, rows, batch_rows_weigh)) return STATUS_TROUBLE;
    if (!is_readable(job, sides, before)) return give_up(job, sides, before->name);
    if (!is_readable(job, sides, after)) return give_up(job, sides, after->name);
    size_t left_out = tell(job, sides, before, is_left_out) + tell(job, sides, after, is_left_out);
    if (!with_plan && !read_rows(job, sides, rows, batch_rows_take)) return STATUS_TROUBLE;
    Briefing briefing = {.arena = job->arena,
                         .diff = diff_nurseries(job->arena, before->load.nursery, after->load.nursery, rows),
                         .plan_name = job->options->value[OPTION_PLAN],
                         .before = before->name,
                         .after = after->name,
                         .left_out = left_out,
                         .same_bytes = before->load.contents == after->load.contents,
                         .all = job->options->value[OPTION_ALL] != NULL,
                         .color = job_color(job)};
    if (with_plan && !(briefing.plan = compare_plan(job, sides))) return STATUS_TROUBLE;
    writer(job->out, &briefing);
    return status_of(sides, &briefing);
}

int command_diff(Job *job)
{
    int form = job_form(job, forms);
    Sides sides = {0};
    if (form < 0) return STATUS_TROUBLE;
    if (!find_sides(job, &sides) || !read_side(job, &sides.before, NULL) ||
        !read_side(job, &sides.after, sides.before.load.nursery))
        return STATUS_TROUBLE;
    return compare(job, &sides, writers[form]);
}
