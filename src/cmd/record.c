/* heelcut record: read what is to be recorded, judge it as if it stood there, add it to the end of a file.
 *
 * Which file that is, is known when the nursery has been read; then the file is locked. Had somebody added to
 * it in between, the nursery is read once more, under the lock. So the line is judged beside all that stands
 * there, and two people who record at once do not miss each other. How files are added to is in append.h,
 * what is judged in judge_record.h.
 */
#include "cmd/append.h"
#include "cmd/folder.h"
#include "cmd/judge_record.h"

#include "base/vec.h"
#include "syntax/read.h"
#include "write/report.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* A file that is to be added to. */
typedef struct Target {
    Append append;
    const Text *text;   /* as it was read; NULL: it was not there, or not read */
    bool faulty;        /* and something in it could not be read */
    const char *before; /* what is written first, where its last line has no end */
    Slice bytes;        /* all that is written */
    VEC(Entry *) entries;
} Target;

typedef struct Recording {
    Job *job;
    Entries entries;
    Judged judged; /* the nursery with the entries in it */
    VEC(Target *) targets;
    size_t opened;
    size_t recorded, again; /* entries written, and said already */
} Recording;

/* ------------------------------------------------------------------ what is to be recorded */

static bool read_sheet(Recording *recording, const char *path)
{
    Job *job = recording->job;
    const char *why;
    size_t length;
    bool input = !strcmp(path, "-");
    int file = input ? STDIN_FILENO : file_open(path, &why);
    char *bytes = file < 0 ? NULL : file_read(job->arena, file, TEXT_LIMIT, &length, &why);
    if (file >= 0 && !input) close(file);
    if (!bytes) {
        job_trouble(job, "%s cannot be read: %s", path, why);
        return false;
    }
    return entries_of_sheet(job->arena, job->notes, path, (Slice){bytes, length}, job_out_of_memory,
                            &recording->entries);
}

/* Everything behind the line, or behind the options, is where the nursery is. False: told, or noted. */
static bool read_entries(Recording *recording)
{
    Job *job = recording->job;
    const Options *options = job->options;
    const char *sheet = options->value[OPTION_SHEET];
    size_t taken = sheet ? 0 : 2;
    if (options->path_count < taken) {
        job_trouble(job,
                    "record takes a batch and what happened: heelcut record H27-06 \"9 Jul 2027 culled 3\"");
        return false;
    }
    if (!sheet && !strchr(options->paths[1], ' ')) {
        job_trouble(job, "what happened goes in quotes: heelcut record %s \"9 Jul 2027 culled 3\"",
                    options->paths[0]);
        return false;
    }
    for (size_t i = taken; i < options->path_count; i++)
        if (!strcmp(options->paths[i], "-")) {
            job_trouble(job, "record reads a nursery from its files, not from standard input");
            return false;
        }
    recording->judged.paths = options->paths + taken;
    recording->judged.path_count = options->path_count - taken;
    return sheet ? read_sheet(recording, sheet)
                 : entries_of_line(job->arena, job->notes, options->paths[0], options->paths[1],
                                   &recording->entries);
}

/* ------------------------------------------------------------------ where to */

static bool is_new(const Recording *recording, const Entry *entry)
{
    return !entry->said || recording->job->options->value[OPTION_AGAIN];
}

/* The file that holds what was recorded of the batch so far; without one records.heel beside nursery.heel, or
 * the file of the year. NULL: there is no nursery. */
static const char *file_for(const Recording *recording, const Entry *entry)
{
    const char *given = recording->job->options->value[OPTION_FILE];
    const Block *self = recording->judged.load.nursery->self;
    Arena *arena = recording->job->arena;
    if (given) return given;
    if (entry->earlier) {
        const char *name = entry->earlier->item->span.text->name;
        return arena_copy(arena, name, strlen(name)); /* it outlives the nursery */
    }
    if (!self) return NULL;
    const char *name = self->name_span.text->name, *slash = strrchr(name, '/');
    const char *folder = slash ? arena_copy(arena, name, (size_t)(slash - name) + (slash == name)) : ".";
    const char *one = path_in(arena, folder, "records.heel");
    if (access(one, F_OK) == 0) return one;
    return path_in(arena, folder, arena_print(arena, "records-%d.heel", day_year(entry->line.date)));
}

static Target *target_called(Recording *recording, const char *path)
{
    for (size_t i = 0; i < recording->targets.count; i++)
        if (!strcmp(recording->targets.at[i]->append.path, path)) return recording->targets.at[i];
    Target *target = ARENA_NEW(recording->job->arena, Target);
    target->append.path = path;
    VEC_PUSH(recording->job->arena, &recording->targets, target);
    return target;
}

static bool choose_targets(Recording *recording)
{
    for (size_t i = 0; i < recording->entries.count; i++) {
        Entry *entry = recording->entries.at[i];
        if (!is_new(recording, entry)) continue;
        const char *path = file_for(recording, entry);
        if (!path) {
            job_trouble(recording->job, "there is no nursery here; say with --file where to write");
            return false;
        }
        VEC_PUSH(recording->job->arena, &target_called(recording, path)->entries, entry);
    }
    return true;
}

/* By name, so that two who need the same files never wait for each other. */
static int by_path(const void *a, const void *b)
{
    return strcmp((*(Target *const *)a)->append.path, (*(Target *const *)b)->append.path);
}

static bool open_targets(Recording *recording)
{
    if (recording->targets.count)
        qsort(recording->targets.at, recording->targets.count, sizeof *recording->targets.at, by_path);
    for (; recording->opened < recording->targets.count; recording->opened++) {
        Append *append = &recording->targets.at[recording->opened]->append;
        const char *path = append->path, *why;
        if (append_open(append, path, &why)) continue;
        job_trouble(recording->job, "%s cannot be written: %s", path, why);
        return false;
    }
    return true;
}

static void close_targets(Recording *recording)
{
    for (size_t i = 0; i < recording->opened; i++) append_close(&recording->targets.at[i]->append);
}

/* Whether the nursery was read with what stands in the files now. A record is only added to, so that the
 * length tells. */
static bool stands_as_read(const Recording *recording)
{
    bool same = true;
    size_t count;
    Note *const *notes = notes_sorted(recording->judged.load.notes, &count);
    for (size_t i = 0; i < recording->targets.count; i++) {
        Target *target = recording->targets.at[i];
        target->text = load_text_of(&recording->judged.load, target->append.file);
        target->faulty = false;
        for (size_t k = 0; k < count; k++)
            if (notes[k]->place[0].span.text == target->text && !strcmp(notes[k]->name, "syntax"))
                target->faulty = true;
        same = same && target->text && (off_t)target->text->length == target->append.length;
    }
    return same;
}

/* A file that the nursery does not use would take the line, and nobody would read it. */
static bool refuse_unread(const Recording *recording)
{
    for (size_t i = 0; i < recording->targets.count; i++) {
        const Target *target = recording->targets.at[i];
        if (target->text) continue;
        const char *name = strrchr(target->append.path, '/');
        job_trouble(recording->job,
                    "%s is not read with this nursery: write use \"%s\" into it, or name another with --file",
                    target->append.path, name ? name + 1 : target->append.path);
        return false;
    }
    return job_trouble(recording->job, "the files are being changed while they are read: try again"), false;
}

/* ------------------------------------------------------------------ what is written */

static bool has_no_end(const Text *text)
{
    return text->length && text->bytes[text->length - 1] != '\n';
}

static const char *line_end(const Text *text)
{
    const char *end = memchr(text->bytes, '\n', text->length);
    return end && end > text->bytes && end[-1] == '\r' ? "\r\n" : "\n";
}

static void make_bytes(Recording *recording, Target *target, const char *before)
{
    Buffer *out = buffer_in_memory(recording->job->arena);
    buffer_text(out, before);
    for (size_t i = 0; i < target->entries.count; i++) {
        if (!is_new(recording, target->entries.at[i])) continue; /* somebody was quicker */
        entry_write(out, target->entries.at[i]);
        buffer_text(out, line_end(target->text));
    }
    target->before = before;
    target->bytes = buffer_slice_of(out);
}

/* Whether each line would be read for itself. What is unfinished above it, as a block whose brace is missing,
 * could swallow it. */
static bool would_be_read(Recording *recording, const Target *target)
{
    Arena *arena = recording->judged.load.arena;
    Buffer *whole = buffer_in_memory(arena);
    buffer_bytes(whole, target->text->bytes, target->text->length);
    buffer_slice(whole, target->bytes);
    Slice all = buffer_slice_of(whole);
    const Text *text =
        text_new(arena, target->append.path, arena_copy(arena, all.at, all.length), (uint32_t)all.length, 1);
    const Tree *tree = syntax_read(arena, text, notes_new(arena, 0));
    size_t read = 0, wanted = 0;
    for (const Item *item = tree->first; item; item = item->next)
        read += item->kind == ITEM_BLOCK && item->first && item->span.begin >= target->text->length;
    for (size_t i = 0; i < target->entries.count; i++) wanted += is_new(recording, target->entries.at[i]);
    return read == wanted;
}

/* A line of ours that was broken off: its block was begun and is not closed. */
static bool is_broken_off(const Text *text)
{
    Slice line = text_line(text, text->length);
    return slice_starts(line, block_types[BLOCK_RECORD].spelling) && memchr(line.at, '{', line.length) &&
           !memchr(line.at, '}', line.length);
}

/* A broken line is closed so that it swallows nothing, and with a sign that cannot stand there, so that what
 * is left of it passes for no record until somebody has looked at it. */
static bool choose_bytes(Recording *recording, Target *target)
{
    const char *end = line_end(target->text);
    bool ends = !has_no_end(target->text);
    make_bytes(recording, target, ends ? "" : end);
    if ((ends && !target->faulty) || would_be_read(recording, target)) return true;
    if (!ends && is_broken_off(target->text)) {
        make_bytes(recording, target, arena_print(recording->job->arena, " )%s}%s", end, end));
        if (would_be_read(recording, target)) return true;
    }
    job_trouble(
        recording->job,
        "%s has a fault that would swallow what is added to it; heelcut check shows it: mend it first",
        target->append.path);
    return false;
}

static bool fits(Recording *recording, const Target *target)
{
    if (target->text->length + target->bytes.length <= TEXT_LIMIT) return true;
    job_trouble(recording->job, "%s would be larger than 16 MiB; begin another with --file",
                target->append.path);
    return false;
}

static void tell_end(Recording *recording, const Target *target)
{
    const char *what = *target->before == ' ' ? "was broken off while it was written; it counts for nothing"
                                              : "had no end; it was given one";
    if (*target->before)
        job_trouble(recording->job, "%s: line %u %s: look at it", target->append.path,
                    target->text->line_count, what);
}

static void tell_written(Recording *recording, const Target *target)
{
    Buffer *out = recording->job->out;
    uint32_t line = target->text->line_count;
    for (const char *at = target->before; *at; at++) line += *at == '\n';
    for (size_t i = 0; i < target->entries.count; i++) {
        const Entry *entry = target->entries.at[i];
        if (!is_new(recording, entry)) continue;
        recording->recorded++;
        buffer_escaped(out, slice_of(target->append.path));
        buffer_print(out, ":%u: ", line++);
        entry_write(out, entry);
        buffer_char(out, '\n');
    }
    tell_end(recording, target);
}

static bool write_target(Recording *recording, Target *target)
{
    static const struct {
        const char *fault, *now;
    } told[] = {[APPEND_REFUSED] = {"cannot be written", "it is as it was"},
                [APPEND_TORN] = {"cannot be written", "its last line may be broken off: look at it"},
                [APPEND_UNSURE] = {"was written, but may be lost with the power",
                                   "see whether the line is there, and if not record it again"}};
    const char *why;
    AppendResult result = append_write(&target->append, target->bytes, &why);
    if (result == APPEND_DONE) {
        tell_written(recording, target);
        return true;
    }
    job_trouble(recording->job, "%s %s: %s; %s", target->append.path, told[result].fault, why,
                told[result].now);
    return false;
}

static bool has_new(const Recording *recording, const Target *target)
{
    for (size_t i = 0; i < target->entries.count; i++)
        if (is_new(recording, target->entries.at[i])) return true;
    return false;
}

static int write_all(Recording *recording)
{
    for (size_t i = 0; i < recording->targets.count; i++)
        if (!choose_bytes(recording, recording->targets.at[i]) || !fits(recording, recording->targets.at[i]))
            return STATUS_TROUBLE;
    for (size_t i = 0; i < recording->targets.count; i++) {
        Target *target = recording->targets.at[i];
        if (has_new(recording, target) && !write_target(recording, target)) return STATUS_TROUBLE;
    }
    return STATUS_CLEAN;
}

/* ------------------------------------------------------------------ what is told */

static int refuse(Recording *recording)
{
    Job *job = recording->job;
    bool fatal = notes_fatal(job->notes);
    job_tell_notes(job, "record");
    job_trouble(job, "nothing was recorded");
    return fatal ? STATUS_TROUBLE : STATUS_FINDINGS;
}

static void tell_said(Recording *recording)
{
    Buffer *out = recording->job->out;
    bool sheet = recording->job->options->value[OPTION_SHEET] != NULL;
    for (size_t i = 0; i < recording->entries.count; i++) {
        const Entry *entry = recording->entries.at[i];
        if (is_new(recording, entry)) continue;
        recording->again++;
        Span place = entry->said->item->span;
        if (sheet) continue;
        buffer_escaped(out, slice_of(place.text->name));
        buffer_print(out, ":%u: recorded already: ", text_position(place.text, place.begin).line);
        buffer_slice(out, entry->words);
        buffer_char(out, '\n');
    }
    if (sheet)
        buffer_print(out, "%zu recorded, %zu recorded already\n", recording->recorded, recording->again);
}

/* ------------------------------------------------------------------ the whole */

/* The nursery with the entries, and what stands there already. False: it cannot be read, which was told. */
static bool read_nursery(Recording *recording)
{
    judged_read(&recording->judged, &recording->entries,
                recording->job->options->value[OPTION_AGAIN] != NULL);
    recording->job->notes = recording->judged.load.notes;
    return !notes_fatal(recording->job->notes);
}

/* Chooses files, locks them, and reads once more where that is needed. */
static bool take_targets(Recording *recording)
{
    if (!choose_targets(recording) || !open_targets(recording)) return false;
    if (stands_as_read(recording)) return true;
    return read_nursery(recording) && (stands_as_read(recording) || refuse_unread(recording));
}

static int record(Recording *recording)
{
    if (!read_nursery(recording)) return refuse(recording);
    if (!take_targets(recording))
        return notes_fatal(recording->job->notes) ? refuse(recording) : STATUS_TROUBLE;
    if (!judged_hold(&recording->judged, &recording->entries, recording->job->today))
        return refuse(recording);
    int status = write_all(recording);
    tell_said(recording);
    return status;
}

int command_record(Job *job)
{
    Recording recording = {.job = job};
    bool read = read_entries(&recording);
    if (!read) return notes_total(job->notes) ? refuse(&recording) : STATUS_TROUBLE;
    int status = record(&recording);
    close_targets(&recording);
    judged_free(&recording.judged);
    return status;
}
